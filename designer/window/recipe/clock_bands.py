"""States of a dough as bands of the clock, words of a bar beside it, numbers on the lines."""

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPen

from designer.vocabulary import BAR_WORDS, STATES, Floats
from designer.window import fonts, theme
from designer.window.plot import Plot
from designer.window.recipe.clock_data import ClockData, Line
from designer.window.recipe.clock_marks import workable
from designer.window.recipe.clock_texts import (
    ON_PAPER,
    QUIET,
    Room,
    Text,
    line_height,
    measured,
    spread_out,
)
from designer.wording.words import BAR_LIMITS

__all__ = ["Ring", "Words", "draw_bands", "draw_window", "words"]

_ALPHA = 0.34
_WINDOW_HEIGHT = 4.0
_RING = 11.0
"""Half of what a number takes [px]."""
_RING_SHARES = (0.45, 0.55, 0.35, 0.65, 0.75, 0.25, 0.85, 0.95, 0.15, 0.05)
_BAR_SHARES = (0.1, 0.2, 0.4, 0.6, 0.8, 0.3, 0.5, 0.7, 0.9)
"""Where along the dough's part, and along the bar's, a number may stand, best first: apart from
each other they hold more numbers than there are lines."""


@dataclass(frozen=True)
class Ring:
    """The number of a variant on its line."""

    centre: QPointF
    number: str
    is_active: bool


@dataclass(frozen=True)
class Words:
    """Texts in and beside the plot, and the numbers on the lines."""

    texts: tuple[Text, ...]
    rings: tuple[Ring, ...]


def draw_bands(painter: QPainter, plot: Plot, data: ClockData) -> None:
    """Draw the bands of a dough up to where it is pressed, and the cuts of a bar after it."""
    used, area = theme.now(), plot.area()
    end = _end(plot, data)
    for state, (top, bottom) in _bands(plot, data).items():
        if state != "pliable":
            block = QRectF(area.left(), top, end - area.left(), bottom - top)
            painter.fillRect(block, used.state(state, _ALPHA))
    painter.setPen(QPen(used.colour("line", 0.6), 1))
    for cut in data.cuts:
        y = _y(plot, cut)
        if area.top() < y < area.bottom():
            painter.drawLine(QPointF(area.left(), y), QPointF(end, y))
    painter.setPen(QPen(used.colour("hair"), 1))
    for limit in BAR_LIMITS:
        y = _y(plot, limit / 1e3)
        painter.drawLine(QPointF(end, y), QPointF(area.right(), y))
    painter.setPen(QPen(used.colour("line"), 1))
    if not any(mark.is_drawn and abs(mark.value - data.until) < 0.1 for mark in data.marks):
        painter.drawLine(QPointF(end, area.top()), QPointF(end, area.bottom()))
    for limit in BAR_LIMITS:
        y = _y(plot, limit / 1e3)
        painter.drawLine(QPointF(area.right(), y), QPointF(area.right() + 4, y))
    painter.drawLine(QPointF(area.right(), area.top()), QPointF(area.right(), area.bottom()))


def draw_window(painter: QPainter, plot: Plot, data: ClockData) -> None:
    """Draw the maker's kneading window at the foot of the plot."""
    painter.fillRect(_window(plot, data), theme.now().colour("ink2"))


def words(plot: Plot, data: ClockData) -> Words:
    """Return all texts in and beside the plot, none over another, and the numbers."""
    room = _room(plot, data)
    rings = _rings(plot, data, room)
    texts = [_window_word(plot, data, room), *_notes(plot, data, room)]
    texts += _state_words(plot, data, room)
    texts += [*_bar_words(plot), _rack_words(plot, data, room)]
    return Words(tuple(text for text in texts if text is not None), tuple(rings))


def _y(plot: Plot, kpa: float) -> float:
    return round(plot.px(plot.x.low, kpa).y()) + 0.5


def _end(plot: Plot, data: ClockData) -> float:
    return round(plot.px(data.until, plot.y.low).x()) + 0.5


def _bands(plot: Plot, data: ClockData) -> dict[str, tuple[float, float]]:
    """Return top and bottom [px] of each state's band, those that have any height."""
    area = plot.area()
    cuts = [min(max(_y(plot, cut), area.top()), area.bottom()) for cut in data.cuts]
    edges = [area.bottom(), *cuts, area.top()]
    found = {}
    for at, state in enumerate(reversed(STATES)):
        bottom, top = edges[at], edges[at + 1]
        if bottom - top >= 2:
            found[state] = (top, bottom)
    return found


def _window(plot: Plot, data: ClockData) -> QRectF:
    area = plot.area()
    start, end = (plot.px(minutes, plot.y.low).x() for minutes in data.window)
    return QRectF(start, area.bottom() - _WINDOW_HEIGHT, end - start, _WINDOW_HEIGHT)


def _px(plot: Plot, minutes: Floats, kpa: Floats) -> tuple[Floats, Floats]:
    area = plot.area()
    across = area.left() + plot.x.placed(minutes) * area.width()
    return across, area.bottom() - plot.y.placed(kpa) * area.height()


def _room(plot: Plot, data: ClockData) -> Room:
    room = Room()
    room.take(_window(plot, data))
    area = plot.area()
    for line in (data.active, *data.others):
        room.lines.append(_px(plot, data.minutes, line.value))
    room.drops = [plot.px(mark.value, plot.y.low).x() for mark in data.marks if mark.is_drawn]
    room.drops.append(_end(plot, data))
    if span := workable(plot, data):
        room.take(QRectF(span[0], area.top(), span[1] - span[0], 5))
    return room


def _rings(plot: Plot, data: ClockData, room: Room) -> list[Ring]:
    """Return a number on each line, where there is more than one, apart from each other."""
    found: list[Ring] = []
    area, end = plot.area(), _end(plot, data)
    if not data.others:
        return found
    places = area.left() + np.array(_RING_SHARES) * (end - area.left())
    places = np.concatenate([places, end + np.array(_BAR_SHARES) * (area.right() - end)])
    on_drop = (np.abs(places[:, None] - np.array(room.drops)) < _RING).any(axis=1)
    own = np.arange(places.size) + 5.0 * on_drop
    for line in (*data.others, data.active):
        xs, ys = _px(plot, data.minutes, line.value)
        heights = np.interp(places, xs, ys)
        cost = own.copy()
        for ring in found:
            away = np.hypot(places - ring.centre.x(), heights - ring.centre.y())
            cost[away < 2 * _RING + 2] = np.inf
        inside = (heights > area.top() + _RING) & (heights < area.bottom() - _RING - _WINDOW_HEIGHT)
        cost[~inside] = np.inf
        at = int(cost.argmin())
        if np.isfinite(cost[at]):
            centre = QPointF(float(places[at]), float(heights[at]))
            found.append(Ring(centre, line.number, line is data.active))
            corner = QPointF(_RING, _RING)
            room.take(QRectF(centre - corner, centre + corner))
    return found


def _window_word(plot: Plot, data: ClockData, room: Room) -> Text | None:
    bar = _window(plot, data)
    parts = (("window", False),)
    width = measured(parts)
    lefts = [bar.left() - width - 5, bar.right() + 5]
    lefts += [bar.left(), bar.right() + 30, bar.right() + 60]
    tops = [bar.bottom() - line_height(), bar.top() - line_height() - 2]
    text = room.place(parts, tops, [x for x in lefts if x > plot.area().left()], ON_PAPER)
    if text is not None:
        # The word of a state right beside it would read as one with it.
        room.take(text.rect.adjusted(-18, 0, 18, 0))
    return text


def _notes(plot: Plot, data: ClockData, room: Room) -> list[Text | None]:
    """Return why a line is not there, after the dough's part."""
    area, found = plot.area(), []
    left = _end(plot, data) + 8
    height = line_height()
    rows = np.arange(area.center().y() - height, area.bottom() - height, 4).tolist()
    rows += np.arange(area.center().y() - height, area.top() + 6, -4).tolist()
    for line in (data.active, *data.others):
        if line.silence:
            number = ((f"{line.number}  ", True),) if data.others else ()
            parts = (*number, (line.silence, False))
            found.append(room.place(parts, rows, [left, left + 60, left + 120], ON_PAPER))
    return found


def _state_words(plot: Plot, data: ClockData, room: Room) -> list[Text | None]:
    area, end, height = plot.area(), _end(plot, data), line_height()
    found = []
    for state, (top, bottom) in _bands(plot, data).items():
        parts = ((state, False),)
        width = measured(parts, state)
        middle = (top + bottom - height) / 2
        tops = [middle, middle + 3, middle - 3]
        if bottom - top > height + 8:
            tops += np.arange(top + 3, bottom - height - 3, 6).tolist()
        tops = [min(max(y, area.top() + 7), area.bottom() - height - 1) for y in tops]
        lefts = np.arange(area.left() + 8, end - width - 6, 12).tolist()
        found.append(room.place(parts, tops, lefts, replace(ON_PAPER, state=state)))
    return found


def _bar_words(plot: Plot) -> list[Text]:
    """Return soft, setting, firm, hard beside their bands, pushed apart on a low plot."""
    area, height = plot.area(), line_height()
    ascent = fonts.metrics(fonts.SMALL).ascent()
    soft, firm, hard = (_y(plot, limit / 1e3) for limit in BAR_LIMITS)
    wanted = [(area.top() + hard) / 2, (hard + firm) / 2, (firm + soft) / 2, soft + height]
    centres = spread_out(wanted, height - 1, area.top(), area.bottom() + 12)
    return [
        Text(QPointF(area.right() + 8, centre - height / 2 + ascent), ((word, False),))
        for word, centre in zip(reversed(BAR_WORDS), centres, strict=True)
    ]


def _rack_words(plot: Plot, data: ClockData, room: Room) -> Text | None:
    """Return what the part after pressing shows, if there is a clear place for it."""
    area, height = plot.area(), line_height()
    parts = (("pressed bar, on the rack", False),)
    if _is_silent(data.active):
        return None
    lefts = [_end(plot, data) + step for step in (8, 40, 80, 120)]
    text = room.place(parts, [area.bottom() - height - 4], lefts, QUIET)
    return None if text is None or _crosses(plot, data, text.rect) else text


def _is_silent(line: Line) -> bool:
    return not np.isfinite(line.value[-1])


def _crosses(plot: Plot, data: ClockData, rect: QRectF) -> bool:
    """Return whether a text would lie on a line, or on the band, or on a drop."""
    lines = [_px(plot, data.minutes, line.value) for line in (data.active, *data.others)]
    lines.append(_px(plot, data.minutes, data.active.low))
    drops = [plot.px(mark.value, plot.y.low).x() for mark in data.marks if mark.is_drawn]
    return not Room([], lines, drops).is_free(rect)
