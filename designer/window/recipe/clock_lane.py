"""The lane below the dough clock: temperature of the dough, and the time ticks of both."""

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPolygonF

from designer.vocabulary import Floats
from designer.window import fonts, theme
from designer.window.plot import Plot
from designer.window.recipe.clock_data import ClockData
from designer.window.recipe.clock_texts import Text, line_height, measured

__all__ = ["TICKS", "Lane", "draw_lane", "draw_ticks", "lane", "tick_texts"]

TICKS = (
    (1.0, "1 min"),
    (10.0, "10 min"),
    (60.0, "1 h"),
    (360.0, "6 h"),
    (1440.0, "1 d"),
    (10080.0, "1 wk"),
    (40320.0, "4 wk"),
)
"""Minutes and what their tick says."""
_DOTS = (1.0, 10.0, 60.0, 360.0)
"""Minutes whose temperature is written."""
_LEAST_SPAN = 8.0
"""Least temperature [K] from foot to head of the lane, so that no noise is drawn large."""
_TICK = 4.0


@dataclass(frozen=True)
class Lane:
    """Where the temperature runs, in px."""

    rect: QRectF
    line: QPolygonF
    band: QPainterPath
    dots: tuple[QPointF, ...]
    texts: tuple[Text, ...]


def lane(plot: Plot, data: ClockData, rect: QRectF) -> Lane:
    """Return the lane of a clock in a rectangle below its plot."""
    low, value, high = data.temperature
    middle = (low.min() + high.max()) / 2
    span = max(high.max() - low.min(), _LEAST_SPAN) * 1.15
    xs = rect.left() + plot.x.placed(data.minutes) * rect.width()

    def down(celsius: Floats) -> Floats:
        return np.asarray(rect.center().y() - (celsius - middle) / span * rect.height())

    heights = down(value)
    line = _polygon(xs, heights)
    band = QPainterPath()
    band.addPolygon(
        _polygon(np.concatenate([xs, xs[::-1]]), np.concatenate([down(high), down(low)[::-1]]))
    )
    band.closeSubpath()
    dots, texts = [], []
    for minutes in _DOTS:
        x = plot.px(minutes, plot.y.low).x()
        dot = QPointF(x, float(np.interp(x, xs, heights)))
        dots.append(dot)
        warmth = float(np.interp(x, xs, value))
        texts.append(_number(rect, dot, f"{warmth:.0f}", xs, heights))
    texts.append(_title(rect, xs, heights, [text.rect for text in texts]))
    unit = (("°C", False),)
    ascent = fonts.metrics(fonts.SMALL).ascent()
    at = QPointF(rect.left() - 8 - measured(unit), rect.center().y() + ascent / 2 - 1)
    texts.append(Text(at, unit, "ink2"))
    return Lane(rect, line, band, tuple(dots), tuple(texts))


def _number(rect: QRectF, dot: QPointF, words: str, xs: Floats, heights: Floats) -> Text:
    """Return a number beside its dot, below or above the line where the lane has room."""
    parts, height = ((words, False),), line_height()
    left = dot.x() + 5
    line = np.interp([left, left + measured(parts)], xs, heights)
    ascent = fonts.metrics(fonts.SMALL).ascent()
    for top in (line.max() + 1, line.min() - height - 1):
        if rect.top() - 5 <= top <= rect.bottom() - height + 4:
            return Text(QPointF(left, float(top) + ascent), parts)
    # On a low lane the line runs behind its number.
    top = min(max(dot.y() - height / 2, rect.top() - 4), rect.bottom() - height + 3)
    return Text(QPointF(left, top + ascent), parts, paper=0.9, patch="ground")


def _title(rect: QRectF, xs: Floats, heights: Floats, taken: list[QRectF]) -> Text:
    """Return what the lane shows, at its right, above the line or below it; shorter in a low room.

    With no room beside the numbers at all it says nothing: the unit stands at the left.
    """
    for words in ("dough temperature, middle of the lump", "dough temperature"):
        parts = ((words, False),)
        left = rect.right() - measured(parts) - 6
        line = np.interp(np.linspace(left, rect.right(), 5), xs, heights)
        is_low = line.mean() > rect.center().y()
        top = rect.top() - 2 if is_low else rect.bottom() - line_height()
        text = Text(QPointF(left, top + fonts.metrics(fonts.SMALL).ascent()), parts, "ink2")
        if not any(text.rect.adjusted(-4, 0, 4, 0).intersects(other) for other in taken):
            return text
    return Text()


def _polygon(xs: Floats, ys: Floats) -> QPolygonF:
    return QPolygonF([QPointF(x, y) for x, y in zip(xs.tolist(), ys.tolist(), strict=True)])


def draw_lane(painter: QPainter, one: Lane, token: str) -> None:
    """Draw the temperature with its band, dots and numbers."""
    used = theme.now()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillPath(one.band, used.colour("ink", 0.14))
    painter.setPen(QPen(used.colour(token), 1.25))
    painter.drawPolyline(one.line)
    painter.setBrush(used.colour(token))
    for dot in one.dots:
        painter.drawEllipse(dot, 2.0, 2.0)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)


def tick_texts(plot: Plot, rect: QRectF) -> list[Text]:
    """Return the texts of the time ticks below the lane; those at the ends stay inside."""
    found = []
    for minutes, words in TICKS:
        parts = ((words, False),)
        width = measured(parts)
        x = plot.px(minutes, plot.y.low).x() - width / 2
        x = min(max(x, rect.left()), rect.right() - width)
        found.append(Text(QPointF(x, rect.bottom() + _TICK + 12), parts, "ink2"))
    return found


def draw_ticks(painter: QPainter, plot: Plot, rect: QRectF) -> None:
    """Draw the time axis below the lane, ticks out."""
    painter.setPen(QPen(theme.now().colour("line"), 1))
    bottom = round(rect.bottom()) + 0.5
    painter.drawLine(QPointF(rect.left(), bottom), QPointF(rect.right(), bottom))
    for minutes, _ in TICKS:
        x = min(round(plot.px(minutes, plot.y.low).x()) + 0.5, rect.right() - 0.5)
        painter.drawLine(QPointF(x, bottom), QPointF(x, bottom + _TICK))
