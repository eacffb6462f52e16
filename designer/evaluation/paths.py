"""How a recipe is carried to another liquid : powder and melt phase with its mix kept.

The rule is one for the dough map, which asks what dough a recipe would be elsewhere, and for the
hand that drags its mark there. Liquids of phase liquid scale together, and so do the melt
materials of phase melt. Whatever else counts as liquid or melt stays: scent and preservative of
phase last have limits of their own, a held row is held, a material in a strange phase stands there
for a reason. Powders of phase powder give way in proportion; powders that stand elsewhere, as a
salt dissolved in the liquids, stay. Where a powder is q.s. it alone gives way, as it would when a
figure is typed, and once it is used up the other powders do so in proportion; where the rows
already exceed 100 % it is no part of the dough and cannot grow, so that the others give way alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, Decimal
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from designer.errors import ReadableError
from designer.evaluation.mixture import Mixture, mix
from designer.handbook import Handbook
from designer.quantities import QS
from designer.recipe import Amounts, Percents, Recipe, resolve
from designer.vocabulary import Floats

__all__ = ["Paths", "moved", "paths", "scaled_shares"]

_STEP = Decimal("0.01")
"""Figures are written in steps of this many percent."""

Rows = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Paths:
    """Which rows of one variant move when its mix is scaled.

    Attributes
    ----------
    shares : array (rows,) [1]
        Of the dough, sum 1.
    is_liquid, is_powder, is_melt : bool arrays (rows,)
        What each row counts as.
    liquids, powders, melts : bool arrays (rows,)
        Rows that scale, or give way.
    giver : int or None
        The q.s. powder, which gives way first.
    """

    shares: Floats
    is_liquid: Rows
    is_powder: Rows
    is_melt: Rows
    liquids: Rows
    powders: Rows
    melts: Rows
    giver: int | None

    @property
    def can_move_liquid(self) -> bool:
        """Whether liquid : powder can be changed."""
        return bool(self.liquids.any() and self.powders.any())

    @property
    def can_move_melt(self) -> bool:
        """Whether the melt phase can be changed."""
        return bool(self.melts.any() and self.powders.any())

    @property
    def why_not_liquid(self) -> str:
        """One sentence on why liquid : powder cannot be changed, or ""."""
        return _why_not(self.can_move_liquid, self.powders, "liquid")

    @property
    def why_not_melt(self) -> str:
        """One sentence on why the melt phase cannot be changed, or ""."""
        return _why_not(self.can_move_melt, self.powders, "melt")

    @property
    def liquid_to_powder(self) -> float:
        """Unheated liquids over all powders [g/g]; infinite without powder."""
        powder = float(self.shares[self.is_powder].sum())
        return float(self.shares[self.is_liquid].sum()) / powder if powder > 0 else np.inf

    @property
    def melt_fraction(self) -> float:
        """Melt phase per dough [1]."""
        return float(self.shares[self.is_melt].sum())

    @cached_property
    def fixed(self) -> tuple[float, float, float]:
        """Liquid, powder and melt [1] that no move changes."""
        return (
            float(self.shares[self.is_liquid & ~self.liquids].sum()),
            float(self.shares[self.is_powder & ~self.powders].sum()),
            float(self.shares[self.is_melt & ~self.melts].sum()),
        )

    @property
    def melt_reach(self) -> tuple[float, float]:
        """Least and largest melt phase [1] that can be reached at all."""
        liquid, powder, melt = self.fixed
        return melt, 1 - liquid - powder

    def liquid_reach(self, melt_fraction: ArrayLike) -> tuple[Floats, Floats]:
        """Return the least and the largest liquid : powder [g/g] at a melt phase [1].

        The first is the larger, or NaN, where nothing can be reached.
        """
        liquid, powder, _ = self.fixed
        rest = 1 - np.asarray(melt_fraction, dtype=float)
        with np.errstate(divide="ignore", invalid="ignore"):
            least = np.where(rest > liquid, liquid / (rest - liquid), np.nan)
            most = rest / powder - 1 if powder > 0 else np.full_like(rest, np.inf)
        return least, np.asarray(most)


def _why_not(can: bool, powders: Rows, what: str) -> str:
    if can:
        return ""
    if not powders.any():
        return "No powder can give way: each one is held or at 0 %, or there is none."
    return f"No {what} can be scaled: each row of phase {what} is held or at 0 %, or there is none."


def paths(recipe: Recipe, amounts: Amounts, mixture: Mixture, variant: int) -> Paths:
    """Return the paths of a variant; `variant` is its index in `amounts` and `mixture`."""
    number, shares = recipe.numbers[variant], amounts.shares[variant]
    kinds = np.array([kind for kind, _ in mixture.place], dtype=object)
    phases = np.array([row.phase for row in recipe.rows], dtype=object)
    loose = np.array([number not in row.held for row in recipe.rows], dtype=bool)
    fills = np.array([row.percents.get(number) is QS for row in recipe.rows], dtype=bool)
    is_kind = {kind: kinds == kind for kind in ("liquid", "powder", "melt")}
    own = {kind: is_kind[kind] & (phases == kind) & loose for kind in is_kind}
    present = shares > 0
    # With an excess the q.s. row is 0 and stays so: the total is kept, and it is above 100.
    giving = np.flatnonzero(own["powder"] & fills & (amounts.excess[variant] < 1e-6))
    powders = own["powder"] & present
    powders[giving] = True
    return Paths(
        shares,
        is_kind["liquid"],
        is_kind["powder"],
        is_kind["melt"],
        own["liquid"] & present,
        powders,
        own["melt"] & present,
        int(giving[0]) if giving.size else None,
    )


def scaled_shares(
    paths: Paths, liquid_to_powder: ArrayLike, melt_fraction: ArrayLike
) -> tuple[Floats, Rows]:
    """Return the shares of all rows with the mix scaled to points of the dough map.

    Parameters
    ----------
    paths : Paths
    liquid_to_powder, melt_fraction : arrays (points,) [g/g], [1]

    Returns
    -------
    shares : array (points, rows) [1]
        Each point sums to 1; where it cannot be reached, no meaning.
    reachable : bool array (points,)
        No share is negative, and both directions can move.

    Notes
    -----
    Per dough, melt y leaves 1 - y, of which x/(1 + x) is liquid at liquid : powder x.
    """
    x, y = np.broadcast_arrays(
        np.atleast_1d(np.asarray(liquid_to_powder, dtype=float)),
        np.asarray(melt_fraction, dtype=float),
    )
    if not (paths.can_move_liquid and paths.can_move_melt):
        return np.tile(paths.shares, (x.size, 1)), np.zeros(x.size, dtype=bool)
    fixed_liquid, fixed_powder, fixed_melt = paths.fixed
    shares = np.tile(paths.shares, (x.size, 1))
    liquid = x * (1 - y) / (1 + x) - fixed_liquid
    powder = (1 - y) / (1 + x) - fixed_powder
    melt = y - fixed_melt
    for rows, wanted in ((paths.liquids, liquid), (paths.melts, melt)):
        shares[:, rows] *= (wanted / paths.shares[rows].sum())[:, None]
    _give_way(paths, shares, powder)
    # Rounding must not put a point out of reach that lies just on the edge.
    least = np.minimum(np.minimum(liquid, melt), powder)
    reachable = (least >= -1e-12) & np.isfinite(shares).all(axis=1)
    return np.maximum(shares, 0.0), reachable


def _give_way(paths: Paths, shares: Floats, powder: Floats) -> None:
    """Set the powders that give way so that they sum to `powder` (points,)."""
    others = paths.powders.copy()
    if paths.giver is not None:
        others[paths.giver] = False
    kept = float(paths.shares[others].sum())
    if paths.giver is None:
        shares[:, others] *= (powder / kept)[:, None]
        return
    shares[:, paths.giver] = np.maximum(powder - kept, 0.0)
    if kept > 0:
        shares[:, others] *= np.minimum(powder / kept, 1.0)[:, None]


def moved(
    recipe: Recipe,
    number: str,
    handbook: Handbook,
    liquid_to_powder: float | None = None,
    melt_fraction: float | None = None,
) -> Recipe:
    """Return the recipe with one variant moved along its paths.

    Parameters
    ----------
    recipe : Recipe
        The recipe at the start of a gesture; a point on the way taken as the start rounds twice.
    number : str
        Of the variant.
    handbook : Handbook
    liquid_to_powder, melt_fraction : float or None [g/g], [1]
        Where to. None keeps it; only where the liquids cannot scale, they keep their percent
        while the melt phase moves.

    Returns
    -------
    Recipe
        Moved figures are in steps of 0.01 % and not 0, so that they can come back. The total is
        kept, q.s. stays q.s., and a figure that does not change is the same number: back at the
        start the recipe is equal to the one given. At a total of 100 the two readings are within
        0.0005 g/g and 0.01 % of those asked.

    Raises
    ------
    ReadableError
        The direction cannot move, or the point cannot be reached.
    """
    only = recipe.only(number)
    amounts = resolve(only)
    way = paths(only, amounts, mix(only, amounts, handbook), 0)
    liquid, melt = _wanted(way, liquid_to_powder, melt_fraction)
    old = _percents(recipe, number)
    new = _moved_percents(way, old, liquid, melt)
    if new is None:
        raise _out_of_reach("The rows cannot be scaled that far")
    rows = tuple(
        row
        if before == after or row.percents.get(number) is QS
        else replace(row, percents=Percents(row.percents).changed(number, float(after)))
        for row, before, after in zip(recipe.rows, old, new, strict=True)
    )
    return recipe if rows == recipe.rows else recipe.with_rows(rows)


def _wanted(way: Paths, x: float | None, y: float | None) -> tuple[float, float]:
    """Return the shares of liquid and of melt that are asked for."""
    if x is not None and way.why_not_liquid:
        raise ReadableError("Liquid : powder", way.why_not_liquid, "Release a row, or add one.")
    if y is not None and way.why_not_melt:
        raise ReadableError("Melt phase", way.why_not_melt, "Release a row, or add one.")
    melt = way.melt_fraction if y is None else y
    ratio = way.liquid_to_powder if x is None else x
    if not (0 <= melt <= 1 and ratio >= 0):
        raise _out_of_reach("There is no such dough")
    if not way.can_move_liquid:
        return float(way.shares[way.is_liquid].sum()), melt
    return (1 - melt) * (ratio / (1 + ratio) if np.isfinite(ratio) else 1.0), melt


def _out_of_reach(problem: str) -> ReadableError:
    return ReadableError(
        "Dough map", f"{problem} with what is held and what stays.", "Choose a nearer point."
    )


def _percents(recipe: Recipe, number: str) -> list[Decimal]:
    """Return the figures of a variant as written, q.s. filled in."""
    cells = [row.percents.get(number) for row in recipe.rows]
    stated = [Decimal(0) if c is None or c is QS else Decimal(repr(float(c))) for c in cells]
    rest = max(100 - sum(stated, Decimal(0)), Decimal(0))
    return [rest if cell is QS else figure for cell, figure in zip(cells, stated, strict=True)]


def _moved_percents(
    way: Paths, old: list[Decimal], liquid: float, melt: float
) -> list[Decimal] | None:
    """Return all figures with liquid and melt brought to these shares; None if out of reach."""
    total = sum(old, Decimal(0))
    new = list(old)
    for rows, kind, share in ((way.liquids, way.is_liquid, liquid), (way.melts, way.is_melt, melt)):
        change = Decimal(share) * total - sum(_at(old, kind), Decimal(0))
        if abs(change) < _STEP / 2:
            continue
        figures = _at(old, rows)
        wanted = (sum(figures, Decimal(0)) + change).quantize(_STEP)
        shared = _shared_out(figures, wanted)
        if shared is None:
            return None
        _put(new, rows, shared)
    if new == old:
        return new
    rest = total - sum(_at(new, ~way.powders), Decimal(0))
    others = way.powders.copy()
    if way.giver is not None:
        others[way.giver] = False
        kept = sum(_at(old, others), Decimal(0))
        new[way.giver] = max(rest - kept, Decimal(0))
        if rest >= kept:
            return new
    given = _shared_out(_at(old, others), rest)
    if given is None:
        return None
    _put(new, others, given)
    return new


def _at(figures: list[Decimal], rows: Rows) -> list[Decimal]:
    return [figures[k] for k in np.flatnonzero(rows)]


def _put(figures: list[Decimal], rows: Rows, values: list[Decimal]) -> None:
    for k, value in zip(np.flatnonzero(rows), values, strict=True):
        figures[k] = value


def _shared_out(figures: Sequence[Decimal], wanted: Decimal) -> list[Decimal] | None:
    """Return figures scaled to sum to `wanted`, in steps by largest remainder, none of them 0.

    What is less than a step, where a figure that stays has more decimals, goes to the largest.
    None when there is too little to give each a step.
    """
    if not figures or wanted < _STEP * len(figures):
        return None
    factor = wanted / sum(figures, Decimal(0))
    exact = [figure * factor for figure in figures]
    shared = [max(value.quantize(_STEP, ROUND_FLOOR), _STEP) for value in exact]
    steps, below = divmod(wanted - sum(shared, Decimal(0)), _STEP)
    order = sorted(range(len(exact)), key=lambda k: shared[k] - exact[k])
    largest = max(range(len(exact)), key=lambda k: exact[k])
    # Rows raised to one step may have taken more than there is: the largest pays.
    for k in order[: max(int(steps), 0)]:
        shared[k] += _STEP
    shared[largest] += below + min(int(steps), 0) * _STEP
    return shared if shared[largest] > 0 else None
