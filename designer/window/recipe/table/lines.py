"""What stands on each line of the table, and which row is which after a change."""

from collections.abc import Sequence
from typing import NamedTuple

from designer.recipe import Recipe, Row
from designer.vocabulary import PHASES

__all__ = ["HEAD", "NEW", "ROW", "TOTAL", "Line", "NewRow", "Place", "lines_of", "same_rows"]

HEAD, ROW, NEW, TOTAL = "head", "row", "new", "total"
"""Kinds of lines."""

Place = tuple[int, str]
"""A cell that outlives changes: identity of its row, number of its variant ("" is the name)."""


class Line(NamedTuple):
    """One line: its kind, its phase ("" for the total), and the index of its row or -1."""

    kind: str
    phase: str
    row: int


class NewRow(NamedTuple):
    """A row whose name is being typed: it stands after the row of that index, -1 for first."""

    phase: str
    after: int


def lines_of(recipe: Recipe, new: NewRow | None = None) -> tuple[Line, ...]:
    """Return the lines of a recipe: each phase under its head, then the total."""
    if not recipe.rows and new is None:
        return ()
    lines: list[Line] = []
    for phase in PHASES:
        lines.append(Line(HEAD, phase, -1))
        if new == NewRow(phase, -1):
            lines.append(Line(NEW, phase, -1))
        for index, row in enumerate(recipe.rows):
            if row.phase == phase:
                lines.append(Line(ROW, phase, index))
                if new == NewRow(phase, index):
                    lines.append(Line(NEW, phase, -1))
    return (*lines, Line(TOTAL, "", -1))


def same_rows(
    old: Sequence[Row], identities: Sequence[int], new: Sequence[Row], fresh: int
) -> list[int]:
    """Return the identity of each new row: that of the old row it is, else one from `fresh` on.

    A row is the same when it is unchanged; else when it has the name, and at best the phase;
    else, where the number of rows is the same, when it stands at the same place.
    """
    found: list[int | None] = [None] * len(new)
    left = dict.fromkeys(range(len(old)))

    def pair(keys_old: Sequence[object], keys_new: Sequence[object]) -> None:
        places: dict[object, list[int]] = {}
        for index in left:
            places.setdefault(keys_old[index], []).append(index)
        for index, key in enumerate(keys_new):
            if found[index] is None and places.get(key):
                taken = places[key].pop(0)
                del left[taken]
                found[index] = identities[taken]

    pair([id(row) for row in old], [id(row) for row in new])
    if left:
        pair([(row.phase, row.name) for row in old], [(row.phase, row.name) for row in new])
        pair([row.name for row in old], [row.name for row in new])
    if left and len(old) == len(new):
        pair(range(len(old)), range(len(new)))
    named: list[int] = []
    for identity in found:
        named.append(fresh if identity is None else identity)
        fresh += identity is None
    return named
