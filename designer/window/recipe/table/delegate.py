"""How the cells are drawn."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem

from designer.window import fonts, theme
from designer.window.recipe.table.lines import HEAD, ROW, TOTAL, Line
from designer.window.recipe.table.model import NAME, TAG, Figure

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = [
    "GRAMS_POINT",
    "INDENT",
    "POINT",
    "RING",
    "Delegate",
    "baseline",
    "draw_key",
    "draw_wedge",
    "elided",
]

INDENT = 14
"""Names stand below the heads of their group [logical px]."""
POINT, GRAMS_POINT, RING = 28, 26, 25
"""Of the decimal points and a variant's number from the right edge of the column."""
_GAP = 12
_EDGE = 8


@lru_cache(maxsize=4096)
def width(text: str, size: int = fonts.MEDIUM, bold: bool = False) -> float:
    """Return how wide a text is."""
    return fonts.metrics(size, bold).horizontalAdvance(text)


@lru_cache(maxsize=2048)
def elided(text: str, room: int, size: int = fonts.MEDIUM, bold: bool = False) -> str:
    """Return as much of a text as there is room for, its end marked by …"""
    if room <= 0:
        return ""
    # Measuring a hundred thousand characters takes longer than a frame.
    start = text if len(text) <= 400 else f"{text[:400]}…"
    return fonts.metrics(size, bold).elidedText(start, Qt.TextElideMode.ElideRight, room)


def baseline(rect: QRect) -> float:
    """Return where texts of all sizes stand in a row; small ones share the line of the others."""
    measured = fonts.metrics(fonts.MEDIUM)
    return rect.top() + (rect.height() + measured.ascent() - measured.descent()) / 2 - 1


def draw_wedge(
    painter: QPainter, centre: QPointF, up: bool, colour: QColor, turned: float = 0
) -> None:
    """Draw a small wedge: more, or less; turned by -90° it points to a side."""
    tip = -3.0 if up else 3.0
    painter.save()
    painter.translate(centre)
    painter.rotate(-turned)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawPolygon(QPolygonF([QPointF(-3.5, -tip), QPointF(3.5, -tip), QPointF(0, tip)]))
    painter.restore()


def draw_key(painter: QPainter, x: float, rect: QRect, key: str) -> float:
    """Draw a key as a small cap in a row, and return where it ends."""
    used = theme.now()
    wide = width(key, fonts.SMALL, True) + 10
    cap = QRectF(x + 0.5, rect.center().y() - 7.5, round(wide), 16)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(used.colour("line"), 1))
    painter.setBrush(used.colour("paper"))
    painter.drawRoundedRect(cap, 2, 2)
    painter.restore()
    painter.setFont(fonts.font(fonts.SMALL, True))
    painter.setPen(used.colour("ink"))
    painter.drawText(cap, Qt.AlignmentFlag.AlignCenter, key)
    return float(cap.right())


class Delegate(QStyledItemDelegate):
    """Draws every cell of the table."""

    def __init__(self, table: RecipeTable) -> None:
        super().__init__(table)
        self._table = table

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one cell."""
        model = self._table.lines
        rect, column = option.rect, index.column()
        line = model.lines[index.row()]
        number = model.number_at(column)
        if number and model.recipe.variant(number).active:
            painter.fillRect(rect, QColor(theme.now().paper))
        if line.kind == ROW and self._table.is_selected(line):
            painter.fillRect(rect, theme.now().colour("accent", 0.12))
        if number:
            self._draw_percent(painter, rect, line, number)
        elif column == NAME:
            self._draw_name(painter, rect, line)
        elif column == TAG:
            self._draw_tags(painter, rect, line)
        else:
            self._draw_grams(painter, rect, line)
        self._draw_rule(painter, rect, index.row(), column)

    # --- figures

    def _draw_percent(self, painter: QPainter, rect: QRect, line: Line, number: str) -> None:
        model, used = self._table.lines, theme.now()
        if line.kind == ROW:
            refused = model.refused.get((model.identities[line.row], number))
            if refused is not None:
                painter.setFont(fonts.font())
                painter.setPen(used.colour("ink"))
                text = elided(refused, rect.width() - 2 * _EDGE)
                painter.drawText(QPointF(rect.left() + _EDGE, baseline(rect)), text)
                return
        figure = model.figure(line, model.recipe.numbers.index(number))
        self.draw_figure(painter, rect, figure, POINT)

    def draw_figure(self, painter: QPainter, rect: QRect, figure: Figure, point: int) -> None:
        """Draw a figure, its decimal point `point` px from the right edge."""
        used = theme.now()
        colour = used.colour("ink2" if figure.weak else "ink")
        at = rect.right() + 1 - point
        left = at + 2.0
        if figure.text:
            before = figure.text.split(".")[0] if "." in figure.text else figure.text
            left = at - width(before, bold=figure.bold)
            painter.setFont(fonts.font(bold=figure.bold))
            painter.setPen(colour)
            painter.drawText(QPointF(left, baseline(rect)), figure.text)
        else:
            painter.save()
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour)
            painter.drawEllipse(QPointF(at + 2.5, rect.center().y() + 0.5), 1.3, 1.3)
            painter.restore()
        if figure.wedge:
            # A total of three digits leaves less room.
            centre = QPointF(max(left - 8, rect.left() + 4.0), rect.center().y() + 0.5)
            draw_wedge(painter, centre, figure.wedge > 0, colour)
        if figure.fills:
            painter.setPen(QPen(colour, 1, Qt.PenStyle.DotLine))
            y = rect.center().y() + 8
            painter.drawLine(round(left), y, rect.right() - _EDGE, y)

    def _draw_grams(self, painter: QPainter, rect: QRect, line: Line) -> None:
        text = self._table.lines.grams_text(line)
        if text:
            bold = line.kind != ROW
            figure = Figure(text, bold=bold, weak=line.kind == HEAD)
            # Without decimals the last digit stands where the last decimal would.
            point = GRAMS_POINT if "." in text else GRAMS_POINT - 12
            self.draw_figure(painter, rect, figure, point)

    # --- words

    def _draw_name(self, painter: QPainter, rect: QRect, line: Line) -> None:
        if line.kind == ROW:
            self._draw_ingredient(painter, rect, line)
        elif line.kind == HEAD:
            self._draw_head(painter, rect, line)
        elif line.kind == TOTAL:
            self._draw_total(painter, rect)

    def _draw_ingredient(self, painter: QPainter, rect: QRect, line: Line) -> None:
        table, used = self._table, theme.now()
        row = table.lines.recipe.rows[line.row]
        left, y = rect.left() + INDENT, baseline(rect)
        tags = table.lines.tags(line.row, table.tagged_variant(line))
        over = max(0, round(width(tags, fonts.SMALL)) - self._tag_width() + 8) if tags else 0
        room = rect.width() - INDENT - 8 - over
        inci = row.inci if table.inci_shown and row.inci else ""
        name_room = room
        if inci:
            wanted = width(inci, fonts.SMALL) + _GAP
            name_room = round(max(room - wanted, 0.55 * room))
        text = elided(row.name, name_room)
        painter.setFont(fonts.font())
        painter.setPen(used.colour("ink"))
        painter.drawText(QPointF(left, y), text)
        if inci:
            x = max(width(text) + _GAP, table.inci_from(room))
            behind = elided(inci, int(room - x), fonts.SMALL)
            if len(behind) > 2:
                painter.setFont(fonts.font(fonts.SMALL))
                painter.setPen(used.colour("ink2"))
                painter.drawText(QPointF(left + x, y), behind)

    def _draw_head(self, painter: QPainter, rect: QRect, line: Line) -> None:
        used, y = theme.now(), baseline(rect)
        title = line.phase.capitalize()
        painter.setFont(fonts.font(bold=True))
        painter.setPen(used.colour("ink"))
        painter.drawText(QPointF(rect.left(), y), title)
        x = rect.left() + width(title, bold=True) + _GAP
        note = elided(
            self._table.lines.note(line.phase),
            int(rect.right() + self._tag_width() - x),
            fonts.SMALL,
        )
        painter.setFont(fonts.font(fonts.SMALL))
        painter.setPen(used.colour("ink2"))
        painter.drawText(QPointF(x, y), note)

    def _draw_total(self, painter: QPainter, rect: QRect) -> None:
        model, used, y = self._table.lines, theme.now(), baseline(rect)
        painter.setFont(fonts.font(bold=True))
        painter.setPen(used.colour("ink"))
        painter.drawText(QPointF(rect.left(), y), "Total")
        number = self._table.number_off()
        if not number:
            return
        variant = model.recipe.numbers.index(number)
        words = model.off_hundred(variant)
        x = rect.left() + width("Total", bold=True) + _GAP
        end = rect.right() + self._tag_width() - 4
        mend = " makes it 100"
        if number not in self._table.shown_numbers() or number != self._table.number():
            words, mend = f"{number}: {words}", f" makes {number} 100"
        needed = width(mend, fonts.SMALL) + width("N", fonts.SMALL, True) + 12
        painter.setFont(fonts.font(fonts.SMALL))
        painter.setPen(used.colour("ink"))
        if model.amounts.is_empty(variant) or x + width(words, fonts.SMALL) + 8 + needed <= end:
            painter.drawText(QPointF(x, y), words)
            x += width(words, fonts.SMALL) + 8
        if not model.amounts.is_empty(variant):
            x = draw_key(painter, x, rect, "N")
            painter.setFont(fonts.font(fonts.SMALL))
            painter.drawText(QPointF(x, y), mend)

    def _draw_tags(self, painter: QPainter, rect: QRect, line: Line) -> None:
        if line.kind != ROW:
            return
        table = self._table
        tags = table.lines.tags(line.row, table.tagged_variant(line))
        if tags:
            painter.setFont(fonts.font(fonts.SMALL))
            painter.setPen(theme.now().colour("ink2"))
            x = rect.right() + 1 - 4 - width(tags, fonts.SMALL)
            painter.drawText(QPointF(x, baseline(rect)), tags)

    # --- rules

    def _draw_rule(self, painter: QPainter, rect: QRect, number: int, column: int) -> None:
        """Draw the line below a row: strong above a total, plain above heads, else a hair."""
        lines, used = self._table.lines.lines, theme.now()
        following = lines[number + 1].kind if number + 1 < len(lines) else ""
        if not following:
            return
        token = {TOTAL: "ink", HEAD: "line"}.get(following, "hair")
        start = INDENT if token == "hair" and column == NAME else 0
        painter.fillRect(
            rect.left() + start,
            rect.bottom(),
            rect.width() - start,
            1,
            QColor(getattr(used, token)),
        )

    def _tag_width(self) -> int:
        return self._table.columnWidth(TAG)
