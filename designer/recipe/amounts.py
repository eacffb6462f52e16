"""From stated percentages to shares and masses: the one place where q.s. and totals are settled."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from designer.errors import ReadableError
from designer.quantities import QS
from designer.recipe.values import Percents, Recipe
from designer.vocabulary import Floats

__all__ = ["Amounts", "resolve", "resolved"]

TOLERANCE = 0.005
"""A total this near to 100 counts as 100 [percent]: half of the last digit shown."""


@dataclass(frozen=True)
class Amounts:
    """What goes into the dough; V variants, R rows.

    Attributes
    ----------
    percents : array (V, R) [percent]
        As stated, q.s. filled in, a row without a figure 0.
    shares : array (V, R) [kg/kg]
        Of the dough; each variant sums to 1 whatever its total is.
    totals : array (V,) [percent]
    excess : array (V,) [percent]
        By how much the total is above 100; with a q.s. row, what the others have too much.
    batch_mass : array (V,) [kg]
    """

    percents: Floats
    shares: Floats
    totals: Floats
    excess: Floats
    batch_mass: Floats

    @property
    def masses(self) -> Floats:
        """What to weigh, (V, R) [kg]."""
        return self.shares * self.batch_mass[:, None]

    @property
    def is_whole(self) -> NDArray[np.bool_]:
        """Whether the total is 100, (V,)."""
        return np.abs(self.totals - 100) <= TOLERANCE


def resolve(recipe: Recipe) -> Amounts:
    """Return what goes into the dough of each variant.

    Parameters
    ----------
    recipe : Recipe
        All its variants are resolved; `Recipe.only` picks some.

    Returns
    -------
    Amounts, its arrays read-only

    Raises
    ------
    ReadableError
        A variant has no ingredient above 0 %.

    Notes
    -----
    A q.s. row takes what the others leave of 100, never below 0. Rows of one ingredient stay
    apart here; whoever mixes them adds them up. Resolving `resolved(recipe)` gives the same.
    """
    cells = [[row.percents.get(number) for row in recipe.rows] for number in recipe.numbers]
    shape = len(recipe.variants), len(recipe.rows)
    stated = [[0.0 if c is None or c is QS else c for c in column] for column in cells]
    percents = np.array(stated, dtype=np.float64).reshape(shape)
    fills = np.array([[c is QS for c in column] for column in cells], dtype=bool).reshape(shape)
    rest = np.maximum(100 - percents.sum(axis=1, keepdims=True), 0.0)
    percents = np.where(fills, rest, percents)
    totals = percents.sum(axis=1)
    _refuse_nothing(recipe, totals)
    amounts = Amounts(
        percents=percents,
        shares=percents / totals[:, None],
        totals=totals,
        excess=np.maximum(totals - 100, 0.0),
        batch_mass=np.full(len(recipe.variants), recipe.bench.batch_mass),
    )
    for array in vars(amounts).values():
        array.setflags(write=False)
    return amounts


def resolved(recipe: Recipe) -> Recipe:
    """Return the recipe with each q.s. replaced by its figure."""
    percents = resolve(recipe).percents
    rows = []
    for column, row in enumerate(recipe.rows):
        figures = {
            number: float(percents[line, column]) if row.percents.get(number) is QS else cell
            for line, number in enumerate(recipe.numbers)
            if (cell := row.percents.get(number)) is not None
        }
        rows.append(replace(row, percents=Percents(figures)))
    return replace(recipe, rows=tuple(rows))


def _refuse_nothing(recipe: Recipe, totals: Floats) -> None:
    """Raise when a variant has nothing in it."""
    for variant, total in zip(recipe.variants, totals, strict=True):
        if not total > 0:
            raise ReadableError(
                f"{recipe.name or 'Recipe'}, variant {variant.number}",
                "No ingredient has more than 0 %.",
                "Give at least one row a percentage.",
            )
