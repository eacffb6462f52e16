"""The figures the table shows: percentages, totals, and grams that add up."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from designer.recipe import Recipe, resolve
from designer.recipe.amounts import TOLERANCE
from designer.vocabulary import PHASES, Floats

__all__ = ["Shown", "largest_remainder", "shown_amounts"]


@dataclass(frozen=True, eq=False)
class Shown:
    """Figures of V variants and R rows.

    Attributes
    ----------
    percents : array (V, R) [percent]
        q.s. filled in; 0 where there is no figure.
    totals : array (V,) [percent]
    subtotals : array (V, 4) [percent], by phase
    grams : array (R,)
        Of the active variant, in units of the last decimal shown; they sum to what is there.
    subtotal_grams : array (4,), likewise
    decimals : int
        Decimals of the grams.
    """

    percents: Floats
    totals: Floats
    subtotals: Floats
    grams: Floats
    subtotal_grams: Floats
    decimals: int

    def is_whole(self, variant: int) -> bool:
        """Return whether a total counts as 100."""
        return bool(abs(self.totals[variant] - 100) <= TOLERANCE)

    def is_empty(self, variant: int) -> bool:
        """Return whether a variant has nothing in it."""
        return not self.totals[variant] > 0

    def grams_text(self, units: float) -> str:
        """Return grams as shown."""
        return f"{units / 10**self.decimals:.{self.decimals}f}"

    @cached_property
    def total_grams(self) -> float:
        """What is there of the batch, in units of its last decimal."""
        return float(self.grams.sum())


def shown_amounts(recipe: Recipe) -> Shown:
    """Return the figures of a recipe; a variant with nothing in it has zeros."""
    variants, rows = len(recipe.variants), len(recipe.rows)
    empty = recipe.empty
    filled = [number not in empty for number in recipe.numbers]
    percents = np.zeros((variants, rows))
    if any(filled):
        numbers = [n for n, has in zip(recipe.numbers, filled, strict=True) if has]
        # A variant without any amount is refused by the engine; the others are not.
        amounts = resolve(recipe if all(filled) else recipe.only(*numbers))
        percents[filled] = amounts.percents
    active = recipe.numbers.index(recipe.active.number)
    batch = 1e3 * recipe.bench.batch_mass
    decimals = 2 if batch < 100 else 1 if batch < 10_000 else 0
    shares, total = percents[active], percents[active].sum()
    # As a typed mass is read: a share of the batch, however much of it is there yet.
    whole = total if abs(total - 100) <= TOLERANCE else 100.0
    grams = largest_remainder(batch * shares / whole * 10**decimals)
    phase = np.array([PHASES.index(row.phase) for row in recipe.rows], dtype=int)
    member = phase[:, None] == np.arange(len(PHASES))
    return Shown(percents, percents.sum(axis=1), percents @ member, grams, grams @ member, decimals)


def largest_remainder(values: Floats) -> Floats:
    """Return whole numbers that sum to the rounded sum of the values, each within 1 of its own."""
    whole = np.floor(values + 1e-9)
    missing = round(float(values.sum())) - int(whole.sum())
    # Stable: of equal remainders the first row gets the unit.
    first = np.argsort(-(values - whole), kind="stable")[: max(missing, 0)]
    whole[first] += 1
    return np.asarray(whole, dtype=np.float64)
