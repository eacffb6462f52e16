"""Which rows of a recipe a fix may move, how far, and in what steps."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from designer.evaluation.evaluate import Evaluation
from designer.handbook import Handbook, Material, kind_of
from designer.quantities import QS
from designer.recipe import Percents, Recipe
from designer.vocabulary import Floats, si

__all__ = [
    "MOISTURE",
    "SCALE",
    "Limit",
    "Move",
    "Room",
    "changed",
    "eased",
    "least_change",
    "materials_of",
    "moves_of",
    "step",
]

SCALE = 1e-4
"""What a workshop scale tells apart [kg]: 0.1 g; common practice, no source."""

_STEPS = ("0.01", "0.02", "0.05", "0.1", "0.2", "0.5", "1", "2", "5")
_COARSER = ((1.0, "0.1"), (0.5, "0.05"), (0.2, "0.02"))
"""From which move [percent] on which step is fine enough: a tenth of the move at most."""

_NEVER = ("preservative", "acid", "acid_salt")
"""Classes that no fix moves: what protects the bar, and what sets its pH."""

_GROUPS = {
    "butter": "fat",
    "lauric_fat": "fat",
    "hard_fat": "fat",
    "oil": "fat",
    "fatty_alcohol": "wax",
    "fatty_acid": "wax",
    "ester": "wax",
    "emulsifier": "wax",
    "protein_solution": "water",
    "active_solution": "water",
}
"""Classes that are one idea: less of this butter or of that one."""

MOISTURE = 0.02
"""By how much of itself too much water may grow by the moisture of powders [1]; own choice."""

_CLOSE = 1e-9


@dataclass(frozen=True)
class Move:
    """One moved row.

    Attributes
    ----------
    row : int
        Its index in the recipe.
    name : str
    before, after : float [percent]
        As stated; of a q.s. row what it fills up with.
    fills : bool
        Whether the row is q.s.: it follows by itself.
    """

    row: int
    name: str
    before: float
    after: float
    fills: bool = False

    @property
    def delta(self) -> float:
        """By how much it moves [percent]."""
        return float(Decimal(repr(self.after)) - Decimal(repr(self.before)))


@dataclass(frozen=True)
class Limit:
    """A sum over the rows that a fix must keep between two ends.

    Attributes
    ----------
    kind : "range", "use" or "amount"
        A known-good range of the make-up; the usual share of a material; what there is of a row.
    name : str
        Of the range or of the material.
    weights : array (rows,)
    low, high : float
        Of `weights @ shares`; infinite where there is no end.
    """

    kind: str
    name: str
    weights: Floats
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Room:
    """Where one variant may be moved.

    Attributes
    ----------
    percents : array (rows,) [percent], as stated, q.s. filled in
    total : float [percent]
    movable : int array
        Rows a fix may move.
    spare : int array
        Rows of phase last that may be moved when nothing else helps.
    fill : int or None
        The q.s. row.
    limits : tuple of Limit
    step : float [percent]
        The smallest a scale can weigh in this batch.
    groups : tuple of str
        What each row is to a maker who thinks of a change: "fat", "surfactant_powder".
    """

    percents: Floats
    total: float
    movable: NDArray[np.intp]
    spare: NDArray[np.intp]
    fill: int | None
    limits: tuple[Limit, ...]
    step: float
    groups: tuple[str, ...]

    @classmethod
    def of(cls, result: Evaluation, variant: int) -> "Room":
        """Return the room of a variant, its index."""
        recipe, amounts = result.recipe, result.amounts
        number = recipe.numbers[variant]
        percents = np.array(amounts.percents[variant])
        fills = [k for k, row in enumerate(recipe.rows) if row.percents.get(number) is QS]
        fill = fills[0] if fills else None
        overfull = fill is not None and amounts.excess[variant] > _CLOSE
        materials = materials_of(result)
        loose = []
        for k, row in enumerate(recipe.rows):
            # A q.s. row without room is no part of the dough and could not grow.
            stuck = number in row.held or (overfull if k == fill else percents[k] <= 0)
            if not stuck and materials[k].material_class not in _NEVER:
                loose.append(k)
        last = [k for k in loose if recipe.rows[k].phase == "last" and k != fill]
        movable = [k for k in loose if k not in last]
        return cls(
            percents,
            float(amounts.totals[variant]),
            np.array(movable, dtype=np.intp),
            np.array(last, dtype=np.intp),
            fill,
            _limits(materials, amounts.shares[variant], result.handbook),
            step(float(amounts.batch_mass[variant])),
            tuple(_GROUPS.get(one.material_class, one.material_class) for one in materials),
        )

    @cached_property
    def lack(self) -> float:
        """By how much the total is below 100 [percent]; negative above."""
        missing = 100 - self.total
        return missing if abs(missing) > 0.005 else 0.0

    @cached_property
    def _sums(self) -> tuple[Floats, Floats, Floats]:
        """Weights (limits, rows) and both ends (limits,)."""
        weights = np.array([one.weights for one in self.limits])
        low = np.array([one.low for one in self.limits])
        return weights, low, np.array([one.high for one in self.limits])

    def reach(self, percents: Floats, direction: Floats) -> tuple[float, Limit | None]:
        """Return how far one may go from figures along a direction, and what stops it.

        Parameters
        ----------
        percents, direction : arrays (rows,) [percent]

        Returns
        -------
        far : float
            In multiples of the direction; 0 where not at all.
        limit : Limit or None
            What stops it; None is the amount of a row that there is.
        """
        down = direction < 0
        far = float((percents[down] / -direction[down]).min()) if down.any() else np.inf
        stopped: Limit | None = None
        weights, low, high = self._sums
        # The ends are of shares; a total that moves with the direction moves them too.
        total, growth = percents.sum(), direction.sum()
        value, slope = weights @ percents, weights @ direction
        slack = 1e-7 * total
        for end, sign in ((high, 1.0), (low, -1.0)):
            is_end = np.isfinite(end)
            end = np.where(is_end, end, 0.0)
            rise, room = sign * (slope - end * growth), sign * (end * total - value)
            with np.errstate(divide="ignore", invalid="ignore"):
                ends = np.maximum(room + slack, 0.0) / rise
            ends = np.where(is_end & (rise > _CLOSE), ends, np.inf)
            first = int(np.argmin(ends)) if ends.size else 0
            if ends.size and ends[first] < far:
                far, stopped = float(ends[first]), self.limits[first]
        return far, stopped


def step(batch: float) -> float:
    """Return the smallest round step [percent] that a scale can weigh in a batch [kg]."""
    for one in _STEPS:
        if float(one) / 100 * batch >= SCALE * (1 - 1e-9):
            return float(one)
    return float(_STEPS[-1])


def eased(size: float, least: float) -> float:
    """Return the step [percent] a move of a size is rounded to; `least` is what can be weighed."""
    fine = next((float(one) for from_size, one in _COARSER if size >= from_size), 0.01)
    return max(fine, least)


def changed(recipe: Recipe, number: str, deltas: dict[int, float]) -> Recipe:
    """Return the recipe with rows of a variant moved by so many percent.

    Parameters
    ----------
    deltas : mapping of row index to percent; a q.s. row follows by itself and is passed over.
    """
    for index, delta in deltas.items():
        cell = recipe.rows[index].percents.get(number)
        if cell is QS:
            continue
        figure = Decimal(repr(float(cell or 0.0))) + Decimal(repr(delta)).quantize(
            Decimal("0.000001"), ROUND_HALF_EVEN
        )
        row = recipe.rows[index]
        moved = Percents(row.percents).changed(number, max(float(figure), 0.0))
        recipe = recipe.with_percent(index, number, moved[number])
    return recipe


def moves_of(recipe: Recipe, before: Floats, after: Floats, number: str) -> tuple[Move, ...]:
    """Return the rows that differ between two columns of figures (rows,) [percent]."""
    found = []
    for index, row in enumerate(recipe.rows):
        old, new = (round(float(column[index]), 6) for column in (before, after))
        if abs(new - old) > 5e-7:
            found.append(Move(index, row.name, old, new, row.percents.get(number) is QS))
    return tuple(found)


def least_change(
    log_strength: float,
    gradient: Floats,
    ease: Floats,
    masses: Floats,
    target: float,
    rounds: int = 6,
    at: Callable[[Floats], tuple[float, Floats]] | None = None,
) -> Floats:
    """Return the change of all rows, sum kept, that brings a dough to a strength most easily.

    Parameters
    ----------
    log_strength : float [ln Pa]
        Of the dough as it is.
    gradient : array (rows,) [ln Pa per unit of mass]
    ease : array (rows,)
        What counts as one step of each row, in units of mass; 0 holds a row.
    masses : array (rows,)
    target : float [ln Pa]
    rounds : int
    at : callable, optional
        Returns ln strength and gradient at a change (rows,); without it strength is linear.

    Returns
    -------
    array (rows,), in units of mass

    Notes
    -----
    Minimises sum (D/u)^2 with sum D = 0: D = u^2 g' (ln s* - ln s + g D)/sum(u^2 g'^2), where
    g' = g - sum(u^2 g)/sum(u^2); a row never falls below 0. Repeated, as strength is not linear.
    Source: Lagrange multipliers, own derivation.
    """
    change: Floats = np.zeros_like(masses)
    square = ease**2
    for _ in range(rounds):
        here = log_strength + float(gradient @ change)
        if at is not None:
            here, gradient = at(change)
        free = gradient - (square @ gradient) / square.sum()
        towards = square * free
        spread = float(towards @ free)
        if spread <= 0:
            return change
        change = towards * (target - here + gradient @ change) / spread
        change = np.maximum(change, -masses)
    return change


def materials_of(result: Evaluation) -> list[Material]:
    """Return what each row of an evaluated recipe is."""
    mixture = result.mixture
    lists: dict[str, Sequence[Material]] = {
        "powder": mixture.powders,
        "liquid": mixture.liquids,
        "melt": mixture.melts,
    }
    return [lists[kind][index] for kind, index in mixture.place]


def _limits(materials: list[Material], shares: Floats, handbook: Handbook) -> tuple[Limit, ...]:
    """Return all limits; one that is broken already may not be broken further."""
    found = [
        *_range_limits(materials, handbook),
        *_use_limits(materials, handbook),
    ]
    kept = []
    for one in found:
        value = float(one.weights @ shares)
        # Powders bring moisture of their own, which wets nothing: a little of it is not further.
        more = 1 + MOISTURE if one.name == "water" and value > one.high else 1.0
        kept.append(
            Limit(one.kind, one.name, one.weights, min(one.low, value), max(one.high, more * value))
        )
    return tuple(kept)


def _range_limits(materials: list[Material], handbook: Handbook) -> list[Limit]:
    """Return the known-good ranges of the make-up as sums over rows."""
    kinds = np.array([kind_of(one) for one in materials], dtype=object)
    classes = np.array([one.material_class for one in materials], dtype=object)
    powder, liquid, melt = (kinds == kind for kind in ("powder", "liquid", "melt"))
    surfactant = powder & (classes == "surfactant_powder")
    liquid_surfactant = liquid & (classes == "liquid_surfactant")
    water = np.array([_water(one, handbook) for one in materials])
    sums: dict[str, Floats] = {
        "surfactant powder": surfactant.astype(float),
        "other powder": (powder & ~surfactant).astype(float),
        "starch": (powder & (classes == "starch")).astype(float),
        "melt phase": melt.astype(float),
        "cationic wax": (melt & (classes == "cationic")).astype(float),
        "liquid surfactant": liquid_surfactant.astype(float),
        "other liquids": (liquid & ~liquid_surfactant).astype(float),
        "humectant": (liquid & (classes == "humectant")).astype(float),
        "water": water,
    }
    found = []
    for name, weights in sums.items():
        one = handbook.ranges[name]
        low, high = (float(si(end, one.unit)) for end in (one.low, one.high))
        found.append(Limit("range", name, weights, low, high))
    vehicle = (liquid | melt).astype(float)
    for name, weights in (("liquid:powder", liquid.astype(float)), ("vehicle:powder", vehicle)):
        one = handbook.ranges[name]
        # A ratio within two ends is two sums, each of one sign.
        found.append(Limit("range", name, weights - one.high * powder, -np.inf, 0.0))
        found.append(Limit("range", name, weights - one.low * powder, 0.0, np.inf))
    return found


def _use_limits(materials: list[Material], handbook: Handbook) -> list[Limit]:
    """Return the usual share of each material, however many rows hold it."""
    rows: dict[tuple[str, str], list[int]] = {}
    for index, one in enumerate(materials):
        rows.setdefault((kind_of(one), one.name), []).append(index)
    found = []
    for key, indices in rows.items():
        # An oil that is heated with the melt stands in the table of liquids.
        role = handbook.roles.get(key) or handbook.roles.get(("liquid", key[1]))
        if role is None:
            continue
        weights = np.zeros(len(materials))
        weights[indices] = 1.0
        found.append(Limit("use", key[1], weights, role.use_low, role.use_high))
    return found


def _water(one: Material, handbook: Handbook) -> float:
    if kind_of(one) == "melt":
        return 0.0
    return float(handbook.water_parts(one)[0])
