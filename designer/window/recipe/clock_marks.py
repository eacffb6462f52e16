"""Marks above the dough clock: where their labels find room, and how they are drawn."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from designer.window import fonts, theme
from designer.window.plot import Plot
from designer.window.recipe.clock_data import ClockData, Mark
from designer.window.recipe.clock_texts import Parts, Text, measured

__all__ = ["HEAD_BASELINE", "TITLE", "Labels", "arranged", "draw_marks", "labels"]

TITLE = "Dough clock"
SUBTITLES = (
    "firmness in kPa since the pour; line: median, band: 8 of 10 batches",
    "firmness in kPa since the pour",
    "firmness in kPa",
    "",
)
HEAD_BASELINE = 14.0
"""Of the head and of the second row of labels [px]."""
_ROW_ABOVE = 22.0
"""Baseline of the first row of labels above the plot [px]."""
_TICK = (18.0, 3.0)
"""From and to where above the plot a tick stands [px]."""
_LEVELS = (14.0, 7.0)
"""Heights of intervals above the plot [px]."""
_GAP = 10.0


@dataclass(frozen=True)
class Labels:
    """Labels of the marks, and what room they leave for the subtitle."""

    texts: tuple[Text, ...]
    subtitle: Text | None


@dataclass(frozen=True)
class _Wish:
    """A label: where its mark stands, how wide it is, whether it may only end there."""

    x: float
    width: float
    ends: bool = False


def _parts(mark: Mark) -> Parts:
    return ((f"{mark.words} ", False), (mark.time, True)) if mark.time else ((mark.words, True),)


def labels(plot: Plot, data: ClockData) -> Labels:
    """Return the labels of all marks, none over another."""
    area = plot.area()
    told = sorted(data.marks, key=lambda mark: _x(plot, mark))
    wishes = [
        _Wish(_x(plot, mark), measured(_parts(mark)), not mark.is_drawn and _is_late(mark))
        for mark in told
    ]
    start = fonts.metrics(fonts.MEDIUM, True).horizontalAdvance(TITLE) + 12
    places = arranged(wishes, 0.0, plot.width() - 2.0, start)
    baselines = (area.top() - _ROW_ABOVE, HEAD_BASELINE)
    texts = [
        Text(QPointF(place[1], baselines[place[0]]), _parts(mark))
        for mark, place in zip(told, places, strict=True)
        if place is not None
    ]
    above = [text.at.x() for text in texts if text.at.y() == HEAD_BASELINE]
    end = min(above, default=plot.width()) - 12
    for words in filter(None, SUBTITLES):
        if start + measured(((words, False),)) <= end:
            subtitle = Text(QPointF(start, HEAD_BASELINE), ((words, False),), "ink2")
            return Labels(tuple(texts), subtitle)
    return Labels(tuple(texts), None)


def _is_late(mark: Mark) -> bool:
    return mark.name != "clean_from"


def _x(plot: Plot, mark: Mark) -> float:
    """Return where a mark stands; one that is not reached is told at the end it lies beyond."""
    if mark.is_drawn:
        return plot.px(mark.value, plot.y.low).x()
    return plot.area().right() if _is_late(mark) else plot.area().left()


def arranged(
    wishes: list[_Wish], left: float, right: float, head: float
) -> list[tuple[int, float] | None]:
    """Return row (0 above the plot, 1 beside the head) and left end for each label.

    A label starts at its mark; else it ends there; else it stands in the second row, which is
    free from `head` on; else it moves on as far as it must. None where nothing is left.
    """
    best: tuple[float, list[tuple[int, float] | None]] = (float("inf"), [])

    def put(at: int, cost: float, placed: list[tuple[int, float] | None]) -> None:
        nonlocal best
        if cost >= best[0]:
            return
        if at == len(wishes):
            best = (cost, list(placed))
            return
        wish = wishes[at]
        for row in (0, 1):
            ends = [
                place[1] + wishes[index].width
                for index, place in enumerate(placed)
                if place is not None and place[0] == row
            ]
            free = max(ends, default=(head if row else left) - _GAP) + _GAP
            starts, stops = wish.x - 1, wish.x + 2 - wish.width
            choices = [(stops, 0.0)] if wish.ends else [(starts, 0.0), (stops, 1.0)]
            choices.append((max(free, min(starts, right - wish.width)), 3.0))
            for x, own in choices:
                if free <= x <= right - wish.width:
                    far = abs(x - starts) / 60 if own == 3.0 else 0.0
                    put(at + 1, cost + own + far + 4.0 * row, [*placed, (row, x)])
        put(at + 1, cost + 100, [*placed, None])

    put(0, 0.0, [])
    return best[1]


def draw_marks(painter: QPainter, plot: Plot, data: ClockData) -> None:
    """Draw ticks with capped intervals, drop lines, and the bar from clean to press."""
    used, area = theme.now(), plot.area()
    ink = used.colour("ink")
    drawn = [mark for mark in data.marks if mark.is_drawn]
    for at, mark in enumerate(drawn):
        y = area.top() - _LEVELS[at % 2]
        low, x, high = (
            min(max(plot.px(end, plot.y.low).x(), area.left()), area.right())
            for end in (mark.low, mark.value, mark.high)
        )
        painter.setPen(QPen(ink, 1))
        painter.drawLine(QPointF(low, y), QPointF(high, y))
        for end, minutes in ((low, mark.low), (high, mark.high)):
            # Without a cap it goes on beyond the axis.
            if plot.x.low * 0.999 <= minutes <= plot.x.high * 1.001:
                painter.drawLine(QPointF(end, y - 3), QPointF(end, y + 3))
        top, bottom = area.top() - _TICK[0], area.top() - _TICK[1]
        painter.fillRect(QRectF(x - 1.5, top, 3, bottom - top), ink)
        dotted = QPen(used.colour("ink", 0.8), 1, Qt.PenStyle.CustomDashLine)
        dotted.setDashPattern([3.0, 3.0])
        painter.setPen(dotted)
        painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
    if span := workable(plot, data):
        painter.fillRect(QRectF(span[0], area.top(), span[1] - span[0], 5), used.colour("accent"))


def workable(plot: Plot, data: ClockData) -> tuple[float, float] | None:
    """Return from and to where [px] a clean dough can be pressed, or None."""
    found = {mark.name: mark for mark in data.marks if mark.words in ("clean from", "press before")}
    clean, press = found.get("clean_from"), found.get("press_before")
    if clean is None or not clean.is_drawn:
        return None
    start = plot.px(clean.value, plot.y.low).x()
    end = plot.area().right()
    if press is not None and press.is_drawn:
        end = plot.px(press.value, plot.y.low).x()
    return (start, end) if end > start + 1 else None
