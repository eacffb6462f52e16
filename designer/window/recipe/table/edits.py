"""Changes of a recipe that the table offers, and how each undo step is called. No widgets."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from designer.errors import ReadableError
from designer.quantities import QS, Fill
from designer.recipe import Percents, Recipe, Row
from designer.vocabulary import PHASES
from designer.window.recipe.table.amounts import largest_remainder, shown_amounts

__all__ = [
    "CLASS_IN_PHASE",
    "end_of",
    "fill_up",
    "held",
    "make_hundred",
    "moved",
    "named",
    "removed",
    "replaced",
    "short",
    "stepped",
    "text_of",
    "with_cell",
]

CLASS_IN_PHASE = {"melt": "melt", "powder": "powder", "liquid": "liquid", "last": "liquid"}
"""What an ingredient unknown to the handbook is taken for, by the phase it stands in."""

ARROW = "\N{RIGHTWARDS ARROW}"


def short(name: str, longest: int = 40) -> str:
    """Return a name that fits into a menu."""
    return name if len(name) <= longest else f"{name[: longest - 1].rstrip()}…"


def text_of(cell: float | Fill | None) -> str:
    """Return a figure as it is called: at least two decimals, all of those it has."""
    if cell is None:
        return "none"
    if cell is QS or isinstance(cell, Fill):
        return str(cell.value)
    two, exact = f"{cell:.2f}", f"{cell:.10g}"
    return two if float(two) == float(exact) or "e" in exact else exact


def stepped(
    recipe: Recipe, index: int, number: str, before: float | Fill | None, after: float | Fill | None
) -> str:
    """Return what a change of a figure is called: "CAPB 30 % 14.50 → 10.50"."""
    where = "" if number == recipe.active.number else f", variant {number}"
    name = short(recipe.rows[index].name)
    return f"{name} {text_of(before)} {ARROW} {text_of(after)}{where}"


def named(recipe: Recipe, indices: Sequence[int]) -> str:
    """Return rows as a step names them: the name of one, the number of several."""
    return short(recipe.rows[indices[0]].name) if len(indices) == 1 else f"{len(indices)} rows"


def with_cell(recipe: Recipe, index: int, number: str, cell: float | Fill | None) -> Recipe:
    """Return the recipe with a figure changed; a new q.s. makes the one there was a number."""
    if cell is QS:
        percents = shown_amounts(recipe).percents[recipe.numbers.index(number)]
        for other, row in enumerate(recipe.rows):
            if other != index and row.percents.get(number) is QS:
                recipe = recipe.with_percent(other, number, _plain(percents[other]))
    return recipe.with_percent(index, number, cell)


def fill_up(recipe: Recipe, index: int, number: str) -> Recipe:
    """Return the recipe in which a row is q.s., or is a number again if it was."""
    if recipe.rows[index].percents.get(number) is QS:
        percent = shown_amounts(recipe).percents[recipe.numbers.index(number), index]
        return recipe.with_percent(index, number, _plain(percent))
    return with_cell(recipe, index, number, QS)


def held(recipe: Recipe, index: int, number: str) -> Recipe:
    """Return the recipe in which a figure is held, or is let go if it was."""
    row = recipe.rows[index]
    return recipe.with_row(index, replace(row, held=row.held ^ {number}))


def make_hundred(recipe: Recipe, number: str) -> Recipe:
    """Return the recipe with the figures that are not held brought to a total of 100.

    They become hundredths of a percent, finer ones where a figure would be lost.

    Raises
    ------
    ReadableError
        No figure may move, or those held are too much already.
    """
    cells = [row.percents.get(number) for row in recipe.rows]
    figures = np.array([cell if isinstance(cell, int | float) else 0.0 for cell in cells])
    free = np.array([number not in row.held for row in recipe.rows], dtype=bool) & (figures > 0)
    fixed, movable = float(figures[~free].sum()), float(figures[free].sum())
    title = f"Total of variant {number}"
    if QS in cells and fixed + movable <= 100:
        return recipe
    if not movable > 0:
        raise ReadableError(
            title, "No figure may move.", "Type one, or press H to let one go that is held."
        )
    if not fixed < 100:
        raise ReadableError(
            title,
            f"The figures held make {fixed:.2f} % already.",
            "Press H on one of them to let it go.",
        )
    wanted = figures[free] * (100 - fixed) / movable
    per_percent = 1e2 if wanted.min() >= 0.05 else 1e4
    brought = largest_remainder(wanted * per_percent) / per_percent
    # Held figures with more decimals leave a rest; the largest row hides it best.
    brought[brought.argmax()] += 100 - fixed - brought.sum()
    rows = list(recipe.rows)
    for index, percent in zip(np.flatnonzero(free).tolist(), brought.tolist(), strict=True):
        percents = Percents(rows[index].percents).changed(number, _plain(percent))
        rows[index] = replace(rows[index], percents=percents)
    # One recipe for all rows: each one made is checked whole.
    return replace(recipe, rows=tuple(rows))


def removed(recipe: Recipe, indices: Iterable[int]) -> Recipe:
    """Return the recipe without some rows."""
    gone = set(indices)
    return replace(
        recipe, rows=tuple(row for index, row in enumerate(recipe.rows) if index not in gone)
    )


def moved(recipe: Recipe, indices: Sequence[int], phase: str, after: int | None) -> Recipe:
    """Return the recipe with rows moved into a phase, behind the row `after` or to its top.

    Parameters
    ----------
    indices : sequence of int
        In the order in which they shall stand.
    after : int or None
        None puts them first in the phase.
    """
    rest = [index for index in range(len(recipe.rows)) if index not in set(indices)]
    at = rest.index(after) + 1 if after is not None else _top_of(recipe, rest, phase)
    rows = [recipe.rows[index] for index in rest]
    rows[at:at] = [_in_phase(recipe.rows[index], phase) for index in indices]
    return replace(recipe, rows=tuple(rows))


def replaced(recipe: Recipe, index: int, row: Row) -> tuple[Recipe, int]:
    """Return the recipe with another row in place of one, and where it stands.

    In another phase it goes to the end of that.
    """
    changed = recipe.with_row(index, row)
    if row.phase == recipe.rows[index].phase:
        return changed, index
    at = end_of(recipe, row.phase)
    at -= index < at  # it leaves its place first
    return changed.move_row(index, at), at


def end_of(recipe: Recipe, phase: str) -> int:
    """Return where a new last row of a phase would stand."""
    rows = [index for index, row in enumerate(recipe.rows) if row.phase == phase]
    return rows[-1] + 1 if rows else _top_of(recipe, list(range(len(recipe.rows))), phase)


def _top_of(recipe: Recipe, rest: list[int], phase: str) -> int:
    """Return where the first row of a phase stands, or would stand, in the order of work."""
    for place, index in enumerate(rest):
        if recipe.rows[index].phase == phase:
            return place
    order = PHASES.index(phase)
    earlier = [
        place for place, index in enumerate(rest) if PHASES.index(recipe.rows[index].phase) < order
    ]
    return earlier[-1] + 1 if earlier else 0


def _in_phase(row: Row, phase: str) -> Row:
    """Return a row in a phase; what it is taken for follows, where that came from the phase."""
    if row.phase == phase:
        return row
    taken = row.given_class
    if taken == CLASS_IN_PHASE[row.phase]:
        taken = CLASS_IN_PHASE[phase]
    return replace(row, phase=phase, given_class=taken)


def _plain(percent: float) -> float:
    """Return a percentage without the noise of its sum."""
    return min(max(round(float(percent), 6), 0.0), 100.0)
