"""What stands over the cells: focus, pointer, refused texts, where dragged rows would go."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from designer.window import fonts, theme
from designer.window.recipe.table.drawing import draw_key, width
from designer.wording.headline import EMPTY

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["draw", "draw_empty"]


def draw(painter: QPainter, table: RecipeTable) -> None:
    """Draw the frames over the cells."""
    used = theme.now()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for place in table.lines.refused:
        index = table.lines.index_of(place)
        if index.isValid():
            pen = QPen(used.colour("ink"), 2)
            pen.setDashPattern([3, 2])
            _frame(painter, table.rect_of(index.row(), index.column()), pen, table)
    if table.pointer.hover is not None and not table.pointer.busy:
        _frame(painter, table.rect_of(*table.pointer.hover), QPen(used.colour("line"), 1), table)
    index = table.currentIndex()
    if table.place() is not None and not table.editing.is_open:
        focused = table.hasFocus()
        refused = table.place() in table.lines.refused
        pen = QPen(used.colour("accent"), 2) if focused else QPen(used.colour("line"), 1)
        outset = 4 if refused and focused else 1
        if not (refused and not focused):
            _frame(painter, table.rect_of(index.row(), index.column()), pen, table, outset)
    if table.pointer.drop is not None:
        y = table.pointer.drop[2]
        wide = table.viewport().width()
        y = max(1, min(y - 1, table.viewport().height() - 2))
        painter.fillRect(0, y, wide, 2, QColor(used.accent))


def _frame(painter: QPainter, rect: QRect, pen: QPen, table: RecipeTable, outset: int = 1) -> None:
    if rect.isEmpty():
        return
    # The rule below a cell belongs to the frame, and the edge of the table cuts none of it.
    framed = QRectF(rect.adjusted(-outset, -outset, outset, outset - 1))
    inside = QRectF(table.viewport().rect())
    half = pen.widthF() / 2
    framed = framed.intersected(inside).adjusted(half, half, -half, -half)
    painter.setPen(pen)
    painter.drawRoundedRect(framed, 2, 2)


def draw_empty(painter: QPainter, table: RecipeTable) -> None:
    """Draw what to do with a recipe that has no rows."""
    used = theme.now()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setFont(fonts.font())
    painter.setPen(used.colour("ink"))
    painter.drawText(QPointF(14, 34), EMPTY)
    row = QRect(14, 48, table.viewport().width() - 14, 24)
    x = draw_key(painter, 14, row, "Insert")
    painter.setFont(fonts.font(fonts.SMALL))
    painter.setPen(used.colour("ink2"))
    words = " adds an ingredient"
    painter.drawText(QPointF(x, row.center().y() + 4.5), words)
    if table.hasFocus():
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(used.colour("accent"), 2))
        wide = x + width(words, fonts.SMALL) + 6 - 8
        painter.drawRoundedRect(QRectF(8, row.top() - 2, wide, 28), 2, 2)
