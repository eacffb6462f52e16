"""A recipe as it was really made: what stood in it and what was added, summing exactly to 100."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from designer.quantities import QS
from designer.recipe import Percents, Recipe, Row

__all__ = ["Addition", "Made", "as_made"]

DECIMALS = 4
"""Decimals of a percentage as made: half a milligram in a batch of 500 g."""


@dataclass(frozen=True)
class Addition:
    """What was added to a dough.

    Attributes
    ----------
    name : str
        The common name; the row of the recipe that holds it, or a new one.
    phase : "powder" | "liquid"
    mass : float [kg]
    age : float [s]
        When, after the pour.
    """

    name: str
    phase: str
    mass: float
    age: float


@dataclass(frozen=True)
class Made:
    """A recipe with a further variant: what is in the bowl.

    Attributes
    ----------
    recipe : Recipe
    number : str
        Of that variant, which is in use. Its percentages sum to exactly 100 as decimals.
    mass : float [kg]
        In the bowl.
    """

    recipe: Recipe
    number: str
    mass: float


def as_made(
    recipe: Recipe, variant: int, batch: float, additions: Sequence[Addition], title: str
) -> Made:
    """Return a recipe with what is in the bowl as a new variant, the others unchanged.

    Parameters
    ----------
    variant : int
        Index of the one that was made.
    batch : float [kg]
        Its mass before the additions.

    Notes
    -----
    Worked in fractions of the decimals as stated; rounded so that the sum stays 100 (largest
    remainders).
    """
    number = recipe.numbers[variant]
    stated = [_stated(row, number) for row in recipe.rows]
    filling = [row.percents.get(number) is QS for row in recipe.rows]
    rest = max(Fraction(100) - sum(stated), Fraction(0))
    shares = [rest if fills else share for share, fills in zip(stated, filling, strict=True)]
    total = sum(shares, Fraction(0))
    mass = _exact(batch)
    masses = [share * mass / total for share in shares]
    rows = list(recipe.rows)
    for one in additions:
        at = _row_of(one, rows, masses)
        if at is None:
            rows.append(Row(one.phase, one.name))
            masses.append(Fraction(0))
            at = len(rows) - 1
        masses[at] += _exact(one.mass)
    whole = sum(masses, Fraction(0))
    percents = _rounded([100 * own / whole for own in masses])
    made = recipe.add_variant(title, like=number)
    new = made.numbers[-1]
    for index, (row, percent) in enumerate(zip(rows, percents, strict=True)):
        if index >= len(made.rows):
            made = made.add_row(Row(row.phase, row.name, Percents({new: percent})))
        elif percent or number in row.percents:
            made = made.with_percent(index, new, percent)
    return Made(made.use_variant(new), new, float(whole))


def _stated(row: Row, number: str) -> Fraction:
    cell = row.percents.get(number)
    return Fraction(0) if cell is None or cell is QS else _exact(float(cell))


def _exact(value: float) -> Fraction:
    """Return a number as the decimals it is written with."""
    return Fraction(repr(float(value)))


def _row_of(one: Addition, rows: list[Row], masses: list[Fraction]) -> int | None:
    """Return the row an addition belongs to: one that is in the dough before one that is not."""
    name = " ".join(one.name.casefold().split())
    found = [
        index
        for index, row in enumerate(rows)
        if " ".join(row.name.casefold().split()) == name and row.phase != "melt"
    ]
    return max(found, key=lambda index: masses[index] > 0) if found else None


def _rounded(percents: list[Fraction]) -> list[float]:
    """Return percentages with `DECIMALS` decimals that sum to what they summed to."""
    scale = 10**DECIMALS
    whole = [int(percent * scale) for percent in percents]
    missing = round(sum(percents) * scale) - sum(whole)
    order = sorted(range(len(percents)), key=lambda k: whole[k] - percents[k] * scale)
    for k in order[:missing]:
        whole[k] += 1
    return [float(Fraction(units, scale)) for units in whole]
