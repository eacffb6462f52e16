"""The strip of a reading: its axis, the known-good block, the interval, the tick of now."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from designer.window import fonts, theme
from designer.window.recipe import drawing
from designer.wording.lines import Line

__all__ = ["SPANS", "draw_discs", "draw_split", "draw_strip", "place"]

SPANS: dict[str, tuple[float, float]] = {
    "liquid_to_powder": (0.10, 0.45),
    "melt_fraction": (4.0, 30.0),
    "melt_liquid_share": (0.0, 100.0),
    "dough_temperature": (18.0, 50.0),
    "wetness": (0.5, 1.5),
    "surfactant_powder": (20.0, 75.0),
    "active_surfactant": (0.0, 100.0),
    "water": (0.0, 22.0),
}
"""What each strip reaches from and to, in the unit shown, whatever the recipe: so the tick moves
and the strip stays."""

_CAP, _BLOCK, _TICK, _OTHER = 5, 11, 17, 13
_DISC, _DISC_PITCH = 7.0, 12.0


def place(name: str, value: float, left: float, right: float) -> float:
    """Return where a value stands on a strip; outside its span, the end."""
    low, high = SPANS[name]
    share = min(max((value - low) / (high - low), 0.0), 1.0)
    return left + share * (right - left)


def draw_strip(
    painter: QPainter,
    box: QRectF,
    line: Line,
    others: tuple[Line, ...],
    faint: bool = False,
) -> None:
    """Draw the strip of a reading in a box, with the ticks of other variants."""
    used = theme.now()
    first: float
    last: float
    left, right, middle = round(box.left()), round(box.right()), round(box.center().y())
    if line.known_good is not None:
        first, last = (round(place(line.name, end, left, right)) for end in line.known_good)
        block = QRectF(first, middle - _BLOCK // 2, last - first, _BLOCK)
        painter.fillRect(block, used.colour("good"))
        for x in (first, last):
            painter.fillRect(QRectF(x, block.top(), 1, _BLOCK), used.colour("line"))
    axis = used.colour("line")
    painter.fillRect(QRectF(left, middle, right - left, 1), axis)
    for x in (left, right - 1):
        painter.fillRect(QRectF(x, middle - _CAP // 2, 1, _CAP), axis)
    for other in others:
        if other.at is not None:
            _tick(painter, other, left, right, middle, used.colour("ink"), 2, _OTHER)
    accent = used.colour("ink2" if faint else "accent")
    if line.low is not None and line.high is not None:
        first, last = (place(line.name, end, left, right) for end in (line.low, line.high))
        painter.fillRect(QRectF(round(first), middle - 1, round(last - first), 3), accent)
    if line.at is not None:
        _tick(painter, line, left, right, middle, accent, 3, _TICK)


def _tick(
    painter: QPainter,
    line: Line,
    left: float,
    right: float,
    middle: float,
    colour: QColor,
    width: int,
    height: int,
) -> None:
    """Draw the tick of a value; a wedge at the end stands for a value outside the span."""
    low, high = SPANS[line.name]
    at = line.at or 0.0
    if low <= at <= high:
        x = round(place(line.name, at, left, right) - width / 2)
        painter.fillRect(QRectF(x, middle - height // 2, width, height), colour)
        return
    tip, out = (left - 4, 6) if at < low else (right + 4, -6)
    wedge = [(tip, middle + 0.5), (tip + out, middle - 4.5), (tip + out, middle + 5.5)]
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(colour)
    painter.drawPolygon(QPolygonF([QPointF(x, y) for x, y in wedge]))
    painter.restore()


def draw_discs(painter: QPainter, box: QRectF, line: Line) -> None:
    """Draw a chance as twenty discs, in one row where there is room, else in two."""
    if line.at is None:
        return
    columns = 20 if box.width() >= 20 * 10.5 else 10
    pitch = min(_DISC_PITCH, box.width() / columns)
    filled = int(line.value)
    ink = theme.now().colour("ink")
    size = min(_DISC, pitch - 2)
    rows = 20 // columns
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(ink, 1))
    top = round(box.center().y()) + 0.5 - (rows - 1) * 4
    for number in range(20):
        row, column = divmod(number, columns)
        painter.setBrush(ink if number < filled else Qt.BrushStyle.NoBrush)
        centre = QPointF(box.left() + pitch * column + 4.5, top + 8 * row)
        painter.drawEllipse(centre, size / 2 - 0.5, size / 2 - 0.5)
    painter.restore()


_FILLS = {"\N{MINUS SIGN}": "good", "±": "paper", "0 ": "ground", "+": "ink"}


def draw_split(painter: QPainter, box: QRectF, line: Line) -> None:
    """Draw the active surfactant as a bar split by charge, and its parts in figures behind it."""
    if line.at is None:
        return
    used = theme.now()
    left, right, middle = round(box.left()), round(box.right()), round(box.center().y())
    end: float = left
    start = 0.0
    for sign, percent in line.parts:
        first = round(place(line.name, start, left, right))
        start += percent
        end = round(place(line.name, start, left, right))
        area = QRectF(first, middle - _BLOCK // 2, end - first, _BLOCK)
        painter.fillRect(area, used.colour(_FILLS[sign]))
        painter.fillRect(QRectF(end - 1, area.top(), 1, _BLOCK), used.colour("line"))
    painter.setPen(QPen(used.colour("line"), 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(QRectF(left + 0.5, middle - _BLOCK // 2 + 0.5, end - left - 1, _BLOCK - 1))
    words = " ".join(f"{sign}{percent:.0f}" for sign, percent in line.parts)
    width = fonts.metrics(fonts.SMALL).horizontalAdvance(words)
    if end + 8 + width <= right + 12:
        base = drawing.baseline(box.top(), box.height(), fonts.SMALL)
        drawing.text(painter, end + 8, base, words, fonts.SMALL)
