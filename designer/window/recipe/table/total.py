"""The line of totals: it stays in view at the foot of a table that scrolls."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRect
from PySide6.QtGui import QColor, QPainter

from designer.window import theme

if TYPE_CHECKING:
    from designer.window.recipe.table.drawing import Drawing
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["TotalLine"]


class TotalLine:
    """What the last line tells, and where it stands when its own place is out of view."""

    def __init__(self, table: RecipeTable) -> None:
        self._table = table

    @property
    def line(self) -> int:
        """The number of the line, -1 in an empty table."""
        return len(self._table.lines.lines) - 1

    def off(self) -> str:
        """Return the variant, in focus or active, whose total is not 100; "" for none."""
        table = self._table
        recipe, amounts = table.document.recipe, table.lines.amounts
        if not recipe.rows:
            return ""
        for number in (table.number(), recipe.active.number):
            if not amounts.is_whole(recipe.numbers.index(number)):
                return number
        return ""

    def pinned(self) -> QRect:
        """Return where the line lies over the last rows; empty when it is in view by itself."""
        table, line = self._table, self.line
        room = table.viewport().rect()
        if line < 0:
            return QRect()
        high = table.rowHeight(line)
        if table.rowViewportPosition(line) + high <= room.height() or room.height() < 3 * high:
            return QRect()
        return QRect(0, room.height() - high, room.width(), high)

    def draw(self, painter: QPainter, drawing: Drawing) -> None:
        """Draw the line over the last rows, where it is pinned."""
        rect = self.pinned()
        if not rect.isEmpty():
            used = theme.now()
            painter.fillRect(rect, QColor(used.ground))
            drawing.draw_line(painter, self.line, rect.top(), rect.height())
            painter.fillRect(0, rect.top() - 1, rect.width(), 1, QColor(used.ink))

    def uncover(self, bottom: int) -> None:
        """Scroll until a cell that ends at `bottom` is not under the line."""
        rect = self.pinned()
        if not rect.isEmpty() and bottom >= rect.top() - 1:
            bar = self._table.verticalScrollBar()
            bar.setValue(bar.value() + bottom - rect.top() + 2)
