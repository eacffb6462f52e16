"""How the lines are drawn."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF, QRegion

from designer.window import fonts, theme
from designer.window.recipe.table.lines import HEAD, ROW, TOTAL, Line
from designer.window.recipe.table.model import FIRST, NAME, TAG, Figure

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = [
    "GRAMS_POINT",
    "INDENT",
    "POINT",
    "RING",
    "Drawing",
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
    return rect.top() + rect.height() / 2 + _middle()


@lru_cache(maxsize=1)
def _middle() -> float:
    """Return how far below the middle of a row its texts stand."""
    measured = fonts.metrics()
    return (measured.ascent() - measured.descent()) / 2 - 1


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


class _Column(NamedTuple):
    """Where a column stands, and the variant it holds: number, place, whether it is active."""

    left: int
    width: int
    number: str = ""
    variant: int = -1
    active: bool = False


class Drawing:
    """Draws the lines of the table.

    A cell at a time by way of a delegate took ten times as long: too long for a frame.
    """

    def __init__(self, table: RecipeTable) -> None:
        self._table = table
        self._set: tuple[int, bool, str] | None = None

    def draw(self, painter: QPainter, region: QRegion) -> None:
        """Draw what of the table lies in a region."""
        table = self._table
        self._set = None
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        columns = self._columns()
        # A cell drawn twice would have bolder edges.
        drawn: set[tuple[int, int]] = set()
        for part in region:  # type: ignore[attr-defined]
            left, right = part.left(), part.right()
            inside = [
                (at, one)
                for at, one in enumerate(columns)
                if one.left <= right and one.left + one.width > left
            ]
            if not inside:
                continue
            start, (_, outermost) = inside[0][1].left, inside[-1]
            end = outermost.left + outermost.width
            last = table.rowAt(part.bottom())
            last = len(table.lines.lines) - 1 if last < 0 else last
            for number in range(max(table.rowAt(max(part.top(), 0)), 0), last + 1):
                top, high = table.rowViewportPosition(number), table.rowHeight(number)
                for at, column in inside:
                    if (number, at) not in drawn:
                        drawn.add((number, at))
                        rect = QRect(column.left, top, column.width, high)
                        self._draw_cell(painter, rect, number, column)
                self._draw_rule(painter, QRect(start, top, end - start, high), number)
        table.total.draw(painter, self)

    def draw_line(self, painter: QPainter, number: int, top: int, high: int) -> None:
        """Draw a whole line at a height of its own."""
        self._set = None
        for column in self._columns():
            self._draw_cell(painter, QRect(column.left, top, column.width, high), number, column)

    def _columns(self) -> list[_Column]:
        """Return the names with their tags as one column, the variants in view, the grams."""
        table, model = self._table, self._table.lines
        names = table.columnWidth(NAME) + table.columnWidth(TAG)
        found = [_Column(0, names)]
        recipe = model.recipe
        for variant, one in enumerate(recipe.variants):
            at = FIRST + variant
            if not table.isColumnHidden(at):
                left, wide = table.columnViewportPosition(at), table.columnWidth(at)
                found.append(_Column(left, wide, one.number, variant, one.active))
        at = model.grams_column
        return [*found, _Column(table.columnViewportPosition(at), table.columnWidth(at))]

    def _write(self, painter: QPainter, token: str, size: int, bold: bool = False) -> None:
        """Set font and colour of what is written next."""
        wanted = size, bold, token
        if wanted != self._set:
            painter.setFont(fonts.font(size, bold))
            painter.setPen(QColor(getattr(theme.now(), token)))
            self._set = wanted

    # --- figures

    def _draw_cell(self, painter: QPainter, rect: QRect, number: int, column: _Column) -> None:
        model, used = self._table.lines, theme.now()
        line = model.lines[number]
        if column.active:
            painter.fillRect(rect, QColor(used.paper))
        if column.variant >= 0:
            refused = None
            if model.refused and line.kind == ROW:
                refused = model.refused.get((model.identities[line.row], column.number))
            if refused is None:
                self._draw_figure(painter, rect, model.figure(line, column.variant), POINT)
            else:
                self._write(painter, "ink", fonts.MEDIUM)
                text = elided(refused, rect.width() - 2 * _EDGE)
                painter.drawText(QPointF(rect.left() + _EDGE, baseline(rect)), text)
        elif column.left == 0:
            self._draw_name(painter, rect, line)
        else:
            self._draw_grams(painter, rect, line)

    def _draw_figure(self, painter: QPainter, rect: QRect, figure: Figure, point: int) -> None:
        """Draw a figure, its decimal point `point` px from the right edge."""
        token = "ink2" if figure.weak else "ink"
        at = rect.right() + 1 - point
        if not figure.text:
            self._write(painter, token, fonts.MEDIUM, True)
            left = at + 2.5 - width("·", bold=True) / 2
            painter.drawText(QPointF(left, baseline(rect)), "·")
        else:
            left = at - width(figure.text.split(".")[0], bold=figure.bold)
            self._write(painter, token, fonts.MEDIUM, figure.bold)
            painter.drawText(QPointF(left, baseline(rect)), figure.text)
        if figure.wedge:
            # A total of three digits leaves less room.
            centre = QPointF(max(left - 8, rect.left() + 4.0), rect.center().y() + 0.5)
            draw_wedge(painter, centre, figure.wedge > 0, QColor(getattr(theme.now(), token)))
        if figure.fills:
            painter.setPen(QPen(QColor(getattr(theme.now(), token)), 1, Qt.PenStyle.DotLine))
            self._set = None
            y = rect.center().y() + 8.5
            painter.drawLine(QPointF(round(left), y), QPointF(rect.right() - _EDGE, y))

    def _draw_grams(self, painter: QPainter, rect: QRect, line: Line) -> None:
        text = self._table.lines.grams_text(line)
        if text:
            figure = Figure(text, bold=line.kind != ROW, weak=line.kind == HEAD)
            # Without decimals the last digit stands where the last decimal would.
            point = GRAMS_POINT if "." in text else GRAMS_POINT - 12
            self._draw_figure(painter, rect, figure, point)

    # --- words

    def _draw_name(self, painter: QPainter, rect: QRect, line: Line) -> None:
        if line.kind == ROW and self._table.choice.holds(line):
            painter.fillRect(rect, theme.now().colour("accent", 0.12))
        if line.kind == ROW:
            self._draw_ingredient(painter, rect, line)
        elif line.kind == HEAD:
            self._draw_head(painter, rect, line)
        elif line.kind == TOTAL:
            self._draw_total(painter, rect)

    def _draw_ingredient(self, painter: QPainter, rect: QRect, line: Line) -> None:
        table = self._table
        row = table.lines.recipe.rows[line.row]
        left, y = rect.left() + INDENT, baseline(rect)
        tags = table.lines.tags(line.row, table.tagged_variant(line))
        tag_room = 0
        if tags:
            wide = width(tags, fonts.SMALL)
            tag_room = max(table.columnWidth(TAG), round(wide) + 8)
            self._write(painter, "ink2", fonts.SMALL)
            painter.drawText(QPointF(rect.right() + 1 - 4 - wide, y), tags)
        room = rect.width() - INDENT - 6 - tag_room
        inci = row.inci if table.inci_shown and row.inci else ""
        name_room = room
        if inci and table.inci_wanted:
            # Asked for, they get their part of a narrow table; else the name comes first.
            wanted = width(inci, fonts.SMALL) + _GAP
            name_room = round(max(room - wanted, 0.55 * room))
        text = elided(row.name, name_room)
        self._write(painter, "ink", fonts.MEDIUM)
        painter.drawText(QPointF(left, y), text)
        if inci:
            # In one column, whether a row has tags or not.
            x = max(width(text) + _GAP, table.inci_from(rect.width() - INDENT - 6))
            behind = elided(inci, int(room - x), fonts.SMALL)
            if len(behind) > 3:
                self._write(painter, "ink2", fonts.SMALL)
                painter.drawText(QPointF(left + x, y), behind)

    def _draw_head(self, painter: QPainter, rect: QRect, line: Line) -> None:
        y, title = baseline(rect), line.phase.capitalize()
        self._write(painter, "ink", fonts.MEDIUM, True)
        painter.drawText(QPointF(rect.left(), y), title)
        x = rect.left() + width(title, bold=True) + _GAP
        note = elided(self._table.lines.note(line.phase), int(rect.right() - x), fonts.SMALL)
        self._write(painter, "ink2", fonts.SMALL)
        painter.drawText(QPointF(x, y), note)

    def _draw_total(self, painter: QPainter, rect: QRect) -> None:
        table, y = self._table, baseline(rect)
        self._write(painter, "ink", fonts.MEDIUM, True)
        painter.drawText(QPointF(rect.left(), y), "Total")
        number = table.total.off()
        if not number:
            return
        variant = table.lines.recipe.numbers.index(number)
        empty = table.lines.amounts.is_empty(variant)
        words, mend = table.lines.off_hundred(variant), " makes it 100"
        if number != table.number():
            words, mend = f"{number}: {words}", f" brings {number} to 100"
        x = rect.left() + width("Total", bold=True) + _GAP
        needed = width(mend, fonts.SMALL) + width("N", fonts.SMALL, True) + 12
        self._write(painter, "ink", fonts.SMALL)
        if empty or x + width(words, fonts.SMALL) + 8 + needed <= rect.right() - 4:
            painter.drawText(QPointF(x, y), words)
            x += width(words, fonts.SMALL) + 8
        if not empty:
            x = draw_key(painter, x, rect, "N")
            self._set = None
            self._write(painter, "ink", fonts.SMALL)
            painter.drawText(QPointF(x, y), mend)

    # --- rules

    def _draw_rule(self, painter: QPainter, rect: QRect, number: int) -> None:
        """Draw the line below a row: strong above a total, plain above heads, else a hair."""
        lines = self._table.lines.lines
        following = lines[number + 1].kind if number + 1 < len(lines) else ""
        if not following:
            return
        token = {TOTAL: "ink", HEAD: "line"}.get(following, "hair")
        start = max(rect.left(), INDENT if token == "hair" else 0)
        colour = QColor(getattr(theme.now(), token))
        painter.fillRect(start, rect.bottom(), rect.right() + 1 - start, 1, colour)
