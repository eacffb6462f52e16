"""A swap as an edit of the recipe: figures that can be weighed, and the rows that change."""

from dataclasses import replace

import numpy as np

from designer.advice.ground import Ground
from designer.advice.offers import Move
from designer.advice.stand_in import Plan
from designer.quantities import QS, Fill
from designer.recipe import Percents, Recipe, Row
from designer.vocabulary import Floats

__all__ = ["as_further_variant", "changed", "moves", "weighed", "without_old"]

_DIGITS = 2
"""Decimals of a percentage that are weighed."""


def weighed(ground: Ground, plan: Plan) -> Floats:
    """Return the percentages (rows,) of a plan in hundredths, the total kept."""
    moves = [(index, round(amount, _DIGITS)) for index, amount in plan.moves]
    found = ground.point(plan.place, plan.givers, moves)
    if plan.givers is None or np.count_nonzero(plan.givers) < 2:
        return np.where(np.abs(found) < 1e-9, 0.0, found)
    giving = np.flatnonzero(plan.givers)
    rounded = np.round(found[giving], _DIGITS)
    # What rounding leaves goes to the largest, which it changes least.
    rounded[rounded.argmax()] += found[giving].sum() - rounded.sum()
    found[giving] = np.round(rounded, 9)
    return found


def moves(ground: Ground, plan: Plan, point: Floats) -> tuple[Move, ...]:
    """Return the rows that change, the old ingredient first, then the stand-in."""
    beside = [index for index, _ in plan.beside]
    order = [ground.row, plan.place, *beside]
    others = [k for k in range(len(point)) if k not in order]
    parts = {ground.row: "out", plan.place: "in", **dict.fromkeys(beside, "with")}
    return tuple(
        Move(
            ground.recipe.rows[k].name,
            ground.recipe.rows[k].phase,
            float(ground.percents[k]),
            float(point[k]),
            parts.get(k, "fill"),
        )
        for k in (*order, *others)
        if k in (ground.row, plan.place) or abs(point[k] - ground.percents[k]) > 1e-9
    )


def changed(
    recipe: Recipe, ground: Ground, plan: Plan, point: Floats
) -> tuple[Recipe, tuple[int, ...]]:
    """Return the whole recipe with a swap made in its variant, and which of its rows were put in.

    Rows put in stand below the old ingredient, or below the last of their phase. The old
    ingredient keeps its row, be it at 0 %.
    """
    rows = [
        row if (cell := _cell(ground, plan, point, index)) is None else _with(row, ground, cell)
        for index, row in enumerate(recipe.rows)
    ]
    old, new = rows[ground.row], []
    for index in range(ground.own, len(point)):
        if point[index] > 0:
            new.append(_new_row(recipe, ground, plan, point, index))
            rows.insert(_place(rows, old, new[-1].phase), new[-1])
    added = tuple(k for k, row in enumerate(rows) if any(row is one for one in new))
    return replace(recipe, rows=tuple(rows)), added


def without_old(recipe: Recipe, row: int, added: tuple[int, ...], number: str) -> Recipe:
    """Return a recipe with a swap made, without the old row where nothing else is in it.

    `row` is its index before rows were put in.
    """
    kept = [k for k in range(len(recipe.rows)) if k not in added]
    old = recipe.rows[kept[row]]
    if len(recipe.variants) > 1 or old.percents.get(number) or old.swaps or old.note:
        return recipe
    return recipe.remove_row(kept[row])


def as_further_variant(
    before: Recipe, made: Recipe, added: tuple[int, ...], number: str, title: str
) -> Recipe:
    """Return a recipe with a swap made in a further variant, and variant `number` as before."""
    wide = made.add_variant(title, like=number)
    own = iter(before.rows)
    rows = []
    for index, row in enumerate(wide.rows):
        cell = 0.0 if index in added else next(own).percents.get(number)
        rows.append(replace(row, percents=Percents(row.percents).changed(number, cell)))
    return replace(wide, rows=tuple(rows))


def _with(row: Row, ground: Ground, cell: float | Fill) -> Row:
    return replace(row, percents=Percents(row.percents).changed(ground.number, cell))


def _place(rows: list[Row], old: Row, phase: str) -> int:
    """Return where a row of a phase is put in."""
    if old.phase == phase:
        return next(k for k, row in enumerate(rows) if row is old) + 1
    same = [k for k, row in enumerate(rows) if row.phase == phase]
    return same[-1] + 1 if same else len(rows)


def _cell(ground: Ground, plan: Plan, point: Floats, index: int) -> float | Fill | None:
    """Return the new figure of a row, or None where it stays as it is."""
    before = ground.recipe.rows[index].percents.get(ground.number)
    fills = before is QS
    if ground.fill is not None and fills and index != ground.row:
        return None
    if index == plan.place and ground.fill == ground.row:
        return QS
    if not fills and abs(point[index] - ground.percents[index]) <= 1e-9:
        return None
    return float(np.round(point[index], 9))


def _new_row(recipe: Recipe, ground: Ground, plan: Plan, point: Floats, index: int) -> Row:
    row = ground.recipe.rows[index]
    cell = _cell(ground, plan, point, index)
    others = dict.fromkeys(recipe.numbers, 0.0)
    material = ground.material(index)
    percents = {**others, ground.number: cell if cell is not None else 0.0}
    return Row(row.phase, row.name, Percents(percents), material.inci)
