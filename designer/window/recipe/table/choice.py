"""Which rows are chosen, to be copied, moved or removed together."""

from __future__ import annotations

from typing import TYPE_CHECKING

from designer.window.recipe.table.lines import ROW, Line
from designer.window.recipe.table.model import NAME

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["Choice"]


class Choice:
    """Rows chosen by Shift and a click or an arrow; a row keeps being chosen where it moves."""

    def __init__(self, table: RecipeTable) -> None:
        self._table = table
        self._anchor: int | None = None
        self._chosen: set[int] = set()

    def choose(self, line: int, ranged: bool) -> None:
        """Choose the row of a line, or all rows from the last one chosen to it."""
        model = self._table.lines
        anchor = self._anchor_line() if ranged else None
        identity = model.identities[model.lines[line].row]
        if anchor is not None:
            low, high = sorted((anchor, line))
            rows = [one.row for one in model.lines[low : high + 1] if one.kind == ROW]
            self._chosen = {model.identities[row] for row in rows}
        elif identity not in self._chosen or len(self._chosen) < 2:
            self._anchor = identity
            self._chosen = {identity}
        self._table.focus_cell(line, NAME)
        self._table.viewport().update()

    def clear(self) -> bool:
        """Choose no rows but the one in focus; return whether there were several."""
        several = len(self._chosen) > 1
        self._chosen, self._anchor = set(), None
        if several:
            self._table.viewport().update()
        return several

    def forget_gone(self) -> None:
        """Forget rows that the recipe no longer has."""
        self._chosen &= set(self._table.lines.identities)

    def rows(self) -> list[int]:
        """Return the rows chosen, as indices in the recipe, else the one in focus."""
        model, row = self._table.lines, self._table.current_row()
        order = [line.row for line in model.lines if line.kind == ROW]
        chosen = [one for one in order if model.identities[one] in self._chosen]
        if row is not None and row not in chosen:
            return [row]
        return chosen

    def holds(self, line: Line) -> bool:
        """Return whether a line is one of several chosen."""
        return len(self._chosen) > 1 and self._table.lines.identities[line.row] in self._chosen

    def _anchor_line(self) -> int | None:
        """Return the line a range begins at: the row chosen last, else the one in focus."""
        model, place = self._table.lines, self._table.place()
        if self._anchor in model.identities:
            return model.index_of((self._anchor, "")).row()
        if place is None:
            return None
        self._anchor = place[0]
        return model.index_of((place[0], "")).row()
