"""Why two variants differ: the difference split exactly over the ingredients that differ."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from scipy.special import ndtr

from designer.advice.splitting import MOST_EXACT, along_path, shapley
from designer.advice.stocked import Stocked
from designer.advice.weighed import Weighed, chance_of
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import outside_model
from designer.handbook import Material, kind_of
from designer.vocabulary import Floats

__all__ = ["COST", "SPLIT", "Change", "Difference", "differences", "priced"]

SPLIT = ("wetness", "log_firmness", "clean_knead_chance", "dough_temperature")
"""What is split: the shown figures at the knead, wetness [1], ln of firmness [ln Pa], the chance
within the window [1] and the temperature [K]."""

COST = "cost"
"""What is split as well where prices are kept: the materials of a kilogram of dough."""

_UNCHANGED = 1e-12
"""Shares that differ by less are the same [1]: what rounding leaves of equal percentages."""

_AT_ONCE = 64
"""Doughs followed together; between two lots it is asked whether to stop."""


@dataclass(frozen=True)
class Change:
    """One ingredient that differs, and its part of each difference.

    Attributes
    ----------
    name : str
    kind : str
        What it counts as: "powder", "liquid" or "melt".
    more : float [1]
        By how much its share of the dough is larger in the one than in the other.
    parts : mapping of the names in `Difference.quantities` to float
    """

    name: str
    kind: str
    more: float
    parts: Mapping[str, float]


@dataclass(frozen=True)
class Difference:
    """The one variant against the other: each figure is that of the one less that of the other.

    Attributes
    ----------
    one, other : str
        Numbers of the variants.
    changes : tuple of Change
        Ingredients that differ, in the order of the recipe.
    whole : mapping of the names in `quantities` to float
        The differences that are split; the parts of the changes sum to them.
    every_order : bool
        Whether all orders of making the changes were taken (up to eight changes), or the straight
        path from the other to the one.
    missing : str
        Why there is nothing to split, "" where there is; then there are no changes and no figures.
    currency : str
        Of the cost, "" where it is not split.
    """

    one: str
    other: str
    changes: tuple[Change, ...] = ()
    whole: Mapping[str, float] = field(default_factory=dict)
    every_order: bool = True
    missing: str = ""
    currency: str = ""

    @property
    def quantities(self) -> tuple[str, ...]:
        """What is split: `SPLIT`, and the cost where prices are kept."""
        return (*SPLIT, COST) if self.currency else SPLIT

    def of(self, quantity: str) -> tuple[tuple[Change, float], ...]:
        """Return the changes with their parts of one of `quantities`, largest first."""
        pairs = [(change, change.parts[quantity]) for change in self.changes]
        return tuple(sorted(pairs, key=lambda pair: -abs(pair[1])))

    def part(self, name: str, quantity: str) -> float:
        """Return an ingredient's part of the difference; exactly 0 where it does not differ."""
        return sum((c.parts[quantity] for c in self.changes if c.name == name), start=0.0)


def differences(
    result: Evaluation, one: int, other: int, stop: Callable[[], bool] = lambda: False
) -> Difference:
    """Return why the variant `one` differs from the variant `other`, both their indices.

    Parameters
    ----------
    result : Evaluation
        Of the whole clock, or up to the end of the kneading window.
    stop : callable
        Asked between lots of doughs whether to give up.

    Raises
    ------
    ReadableError
        It is one variant twice.
    InterruptedError
        `stop` said so.

    Notes
    -----
    Each change is one of grams in 100 g of the other: where only some are made, the other grams
    stay and the batch weighs more or less. What is split are the shown figures: weighted medians of
    wetness, firmness and temperature, and the chance. None of them is a sum over draws, but any
    figure can be split this way, and so the parts sum to what a person sees.
    Swapping the two turns every sign. Up to eight changes: `splitting.shapley`; beyond:
    `splitting.along_path`, with the hand's rating averaged instead of drawn, which takes the steps
    out of the chance.
    """
    numbers = result.recipe.numbers
    if one == other:
        raise ReadableError(
            f"Variant {numbers[one]}",
            "It is compared with itself, so nothing differs.",
            "Choose two variants.",
        )
    if missing := _missing(result, one, other):
        return Difference(numbers[one], numbers[other], missing=missing)
    doughs = _Doughs.between(result, one, other, stop)
    count = len(doughs.changed)
    if not count:
        nothing = dict.fromkeys(SPLIT, 0.0)
        return Difference(numbers[one], numbers[other], whole=nothing)
    if count <= MOST_EXACT:
        parts, whole = shapley(doughs.figures, count)
    else:
        parts, whole = along_path(doughs.smooth_figures, doughs.figures, count)
    return Difference(
        numbers[one],
        numbers[other],
        tuple(
            Change(*doughs.weighed.named(place), float(doughs.change[place]), _by_name(row))
            for place, row in zip(doughs.changed, parts, strict=True)
        ),
        _by_name(whole),
        count <= MOST_EXACT,
    )


def priced(difference: Difference, result: Evaluation, stocked: Stocked) -> Difference:
    """Return a difference with the cost split too, if the price of all that differs is kept.

    The cost is a sum over the ingredients, so each part is what its change costs.
    """
    mixture = result.mixture
    present: tuple[Material, ...] = (*mixture.powders, *mixture.liquids, *mixture.melts)
    materials = {(one.name, kind_of(one)): one for one in present}
    changes = [
        (materials[change.name, change.kind], 100 * change.more) for change in difference.changes
    ]
    if not changes or (whole := stocked.cost(changes)) is None:
        return difference
    parts = [stocked.cost([(material, percent)]) for material, percent in changes]
    costs = [0.0 if one is None else float(one.per_kilogram) for one in parts]
    return replace(
        difference,
        changes=tuple(
            replace(change, parts={**change.parts, COST: cost})
            for change, cost in zip(difference.changes, costs, strict=True)
        ),
        whole={**difference.whole, COST: float(sum(costs))},
        currency=whole.currency,
    )


def _by_name(figures: Floats) -> dict[str, float]:
    return dict(zip(SPLIT, figures.tolist(), strict=True))


def _missing(result: Evaluation, one: int, other: int) -> str:
    """Return why a variant has no figures to split, or ""."""
    for variant in (one, other):
        if why := outside_model(result, variant):
            return f"no forecast of {result.recipe.numbers[variant]}: {why}"
    return ""


@dataclass(frozen=True, eq=False)
class _Doughs:
    """The doughs between two variants.

    Attributes
    ----------
    start, change : arrays (materials,) [1]
        Mass per mass of the other, as in `Weighed`.
    changed : list of int
        Which materials differ, in the order of the recipe.
    """

    weighed: Weighed
    start: Floats
    change: Floats
    changed: list[int]

    @classmethod
    def between(
        cls, result: Evaluation, one: int, other: int, stop: Callable[[], bool]
    ) -> "_Doughs":
        """Return the doughs from the variant `other` to the variant `one`."""
        weighed = Weighed.like(result, other, stop)
        start = weighed.masses(other)
        change = weighed.masses(one) - start
        changed = [
            place for place in dict.fromkeys(weighed.places()) if abs(change[place]) > _UNCHANGED
        ]
        return cls(weighed, start, change, changed)

    def figures(self, made: Floats) -> Floats:
        """Return the shown figures (points, 4) where so much of each change is made."""
        return self._figures(made, False)

    def smooth_figures(self, made: Floats) -> Floats:
        """Return the same with the chance that has no steps."""
        return self._figures(made, True)

    def _figures(self, made: Floats, smooth: bool) -> Floats:
        masses = np.tile(self.start, (len(made), 1))
        masses[:, self.changed] += made * self.change[self.changed]
        masses = np.maximum(masses, 0.0)
        lots = [masses[first : first + _AT_ONCE] for first in range(0, len(masses), _AT_ONCE)]
        return np.concatenate([self._lot(lot, smooth) for lot in lots])

    def _lot(self, masses: Floats, smooth: bool) -> Floats:
        result = self.weighed.result
        felt = self.weighed.felt(masses, self.weighed.courses(masses))
        chance = [
            self._smooth_chance(one.margins) if smooth else chance_of(one.margins, result.weights)
            for one in felt
        ]
        wetness, strength, temperature = (
            result.spread(np.stack([getattr(one, name) for one in felt])).value
            for name in ("wetness", "log_strength", "temperature")
        )
        return np.stack([wetness, strength, np.array(chance), temperature], axis=1)

    def _smooth_chance(self, margins: Floats) -> float:
        """Return the chance with the hand's rating averaged over its spread.

        A dough stiffens without a jump, so the ratings that find it clean at some moment of the
        window are one stretch: from the softest cut met to the stiffest.
        """
        rating, result = self.weighed.moments.drawn.rating, self.weighed.result
        sd = result.handbook.parameters["rating_sd"].si
        most = ndtr((margins[1].max(axis=0) + rating) / sd)
        least = ndtr((rating - margins[0].max(axis=0)) / sd)
        return float(np.vecdot(np.maximum(most - least, 0.0), result.weights))
