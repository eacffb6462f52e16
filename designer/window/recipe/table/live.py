"""A figure that is being changed: by a burst of arrow keys, or by a drag. One undo step."""

from __future__ import annotations

from typing import TYPE_CHECKING

from designer.recipe import Recipe
from designer.window.recipe.table import edits

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["LiveFigure"]


class LiveFigure:
    """Moves one figure from where it was; back where it was, nothing has changed.

    The figure must not be q.s.
    """

    def __init__(self, table: RecipeTable, row: int, number: str) -> None:
        self._table, self.row, self.number = table, row, number
        self._recipe: Recipe = table.document.recipe
        cell = self._recipe.rows[row].percents.get(number)
        self._cell = cell if isinstance(cell, int | float) else None
        self._start = 0.0 if self._cell is None else float(self._cell)
        self._moved = 0.0
        self._gesture = table.document.new_gesture()

    def move(self, by: float) -> None:
        """Move the figure by so many percent, never below 0 or above 100."""
        self.move_to(self._moved + by)

    def move_to(self, moved: float) -> None:
        """Move the figure to so many percent from where it was."""
        at = min(max(self._start + round(moved, 9), 0.0), 100.0)
        self._moved = round(at - self._start, 9)
        cell = round(at, 6) if self._moved else self._cell
        after = self._recipe.with_percent(self.row, self.number, cell)
        text = edits.stepped(self._recipe, self.row, self.number, self._cell, cell)
        self._table.change(text, after, self._gesture)

    def restore(self) -> None:
        """Bring back the figure as it was, and leave no step."""
        self.move_to(0.0)

    @property
    def moved(self) -> float:
        """How far the figure is from where it was [percent]."""
        return self._moved
