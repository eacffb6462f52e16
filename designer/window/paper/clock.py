"""The dough clock on paper: bands of the dough, the line of firmness, the marks; in millimetres."""

import math
from collections.abc import Iterator

import numpy as np

from designer.evaluation.clock_bands import dough_cuts, dough_until
from designer.evaluation.evaluate import LAST_TIME, Evaluation
from designer.evaluation.readings import outside_model
from designer.vocabulary import BAR_WORDS, STATES, Floats
from designer.window import theme
from designer.window.paper.ink import Box, Item, Stroke, Text, advance
from designer.window.recipe.clock_data import ClockData, Mark, read
from designer.wording.words import BAR_LIMITS

__all__ = ["HEIGHT", "clock"]

HEIGHT = 78.0
_LEFT, _RIGHT, _TOP, _FOOT = 12.0, 17.0, 14.0, 9.0
_EM = 2.6
_ROWS = 3
_ALPHA = 0.17
"""Half of the tint on the screen: print is read close."""
_TICKS = (
    *((1, "1 min"), (5, "5"), (10, "10"), (20, "20"), (60, "1 h"), (360, "6 h"), (1440, "1 d")),
    *((10_080, "1 wk"), (40_320, "4 wk")),
)
_FIRMNESS = (0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000, 3000, 10_000)


class _Frame:
    """Where minutes and kPa stand [mm], both logarithmic."""

    def __init__(self, width: float, minutes: tuple[float, float], kpa: tuple[float, float]):
        self.left, self.right = _LEFT, width - _RIGHT
        self.top, self.bottom = _TOP, HEIGHT - _FOOT
        self._minutes, self.kpa = minutes, kpa

    def x(self, minutes: float) -> float:
        low, high = (math.log(one) for one in self._minutes)
        share = (math.log(max(minutes, 1e-9)) - low) / (high - low)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    def y(self, kpa: float) -> float:
        low, high = (math.log(one) for one in self.kpa)
        share = (math.log(max(kpa, 1e-9)) - low) / (high - low)
        return self.bottom - min(max(share, 0.0), 1.0) * (self.bottom - self.top)


def clock(result: Evaluation, variant: int, width: float) -> list[Item]:
    """Return the clock of a variant, `width` wide [mm] and `HEIGHT` high; [] outside the model."""
    if outside_model(result, variant):
        return []
    data = read(result, ())
    line = data.active
    known = np.concatenate([line.low, line.high])
    known = known[np.isfinite(known) & (known > 0)]
    if not known.size:
        return []
    low = max(one for one in _FIRMNESS if one <= max(float(known.min()), _FIRMNESS[0]))
    high = min(one for one in _FIRMNESS if one >= min(max(float(known.max()), 400), _FIRMNESS[-1]))
    frame = _Frame(width, (float(data.minutes[0]), LAST_TIME / 60), (low, high))
    middle = [
        (frame.x(float(a)), frame.y(float(b)))
        for a, b in zip(data.minutes, line.value, strict=True)
        if np.isfinite(b)
    ]
    cuts = [cut / 1e3 for cut in dough_cuts(result, variant)]
    until = dough_until(result, variant) / 60
    return [
        *_bands(frame, cuts, until, middle),
        *_axes(frame),
        *_line(frame, data.minutes, line.low, line.value, line.high),
        *_window(frame, data),
        *_marks(frame, data.marks),
        *_silence(frame, line.silence, until),
    ]


def _beside(
    frame: _Frame, end: float, base: float, word: str, line: list[tuple[float, float]]
) -> float:
    """Return where a state's word stands, at an end of its band or between, off the line."""
    wide = advance(word, _EM)
    places = np.linspace(frame.left + 1.5, max(end - wide - 1.5, frame.left + 1.5), 9)

    def away(x: float) -> float:
        near = [abs(y - base + 0.35 * _EM) for at, y in line if x - 2 <= at <= x + wide + 2]
        return min(near, default=4.0)

    return float(max(places, key=lambda x: (min(away(float(x)), 4.0), -x)))


def _bands(
    frame: _Frame, cuts: list[float], until: float, line: list[tuple[float, float]]
) -> Iterator[Item]:
    edges = [frame.bottom, *(frame.y(cut) for cut in cuts), frame.top]
    end = frame.x(until)
    for number, state in enumerate(reversed(STATES)):
        bottom, top = edges[number], edges[number + 1]
        if bottom - top < 0.3:
            continue
        block = ((frame.left, top), (end, top), (end, bottom), (frame.left, bottom))
        if state != "pliable":
            tint = theme.LIGHT.scale[2 * STATES.index(state)]
            yield Stroke(block, 0, closed=True, fill=tint, alpha=_ALPHA)
        if bottom - top > 1.25 * _EM:
            base = (top + bottom) / 2 + 0.35 * _EM
            yield Text(_beside(frame, end, base, state, line), base, state, _EM, token="ink2")
    yield Stroke(((end, frame.top), (end, frame.bottom)), 0.25, "line")
    limits = [frame.y(limit / 1e3) for limit in BAR_LIMITS]
    for y in limits:
        yield Stroke(((end, y), (frame.right, y)), 0.25, "hair")
    ends = [frame.y(BAR_LIMITS[0] / 1e3) + 3.0 * _EM, *limits, frame.top]
    for number, word in enumerate(BAR_WORDS):
        middle = (ends[number] + ends[number + 1]) / 2
        yield Text(frame.right + 1.5, middle + 0.35 * _EM, word, _EM, token="ink2")


def _axes(frame: _Frame) -> Iterator[Item]:
    yield Box(frame.left, frame.bottom, frame.right - frame.left, 0.25, "line")
    yield Box(frame.left, frame.top, 0.25, frame.bottom - frame.top, "line")
    for minutes, words in _TICKS:
        x = frame.x(minutes)
        yield Box(x, frame.bottom, 0.25, 1.2, "line")
        wide = advance(words, _EM)
        at = min(max(x - wide / 2, frame.left), frame.right - wide + 4)
        yield Text(at, frame.bottom + 4.2, words, _EM, token="ink2")
    for kpa in _FIRMNESS:
        if frame.kpa[0] <= kpa <= frame.kpa[1]:
            words = f"{kpa:g}"
            yield Box(frame.left - 1.0, frame.y(kpa), 1.0, 0.25, "line")
            x = frame.left - 1.6 - advance(words, _EM)
            yield Text(x, frame.y(kpa) + 0.9, words, _EM, token="ink2")
    yield Text(frame.left, frame.bottom + 8.0, "from the pour", _EM, token="ink2")
    yield Text(0, frame.top - 2.0, "kPa", _EM, token="ink2")


def _line(
    frame: _Frame, minutes: Floats, low: Floats, value: Floats, high: Floats
) -> Iterator[Item]:
    """Yield the 80 % band and the median, in as many parts as they have."""
    for part in _parts(value):
        x = [frame.x(float(one)) for one in minutes[part]]
        upper = [(a, frame.y(float(b))) for a, b in zip(x, high[part], strict=True)]
        lower = [(a, frame.y(float(b))) for a, b in zip(x, low[part], strict=True)]
        yield Stroke((*upper, *reversed(lower)), 0, closed=True, fill="#000000", alpha=0.1)
        for edge in (upper, lower):
            yield Stroke(tuple(edge), 0.25, "line")
        middle = [(a, frame.y(float(b))) for a, b in zip(x, value[part], strict=True)]
        yield Stroke(tuple(middle), 0.9)


def _parts(value: Floats) -> Iterator[slice]:
    """Yield the stretches in which there is a value, each of two moments at least."""
    start = None
    for number, known in enumerate([*np.isfinite(value), False]):
        if known and start is None:
            start = number
        elif not known and start is not None:
            if number - start > 1:
                yield slice(start, number)
            start = None


def _silence(frame: _Frame, words: str, until: float) -> Iterator[Item]:
    """Say why the line is not there."""
    if words:
        base = (frame.top + frame.bottom) / 2
        yield Text(frame.x(until) + 3, base, words, _EM, token="ink2")


def _window(frame: _Frame, data: ClockData) -> Iterator[Item]:
    left, right = (frame.x(minutes) for minutes in data.window)
    yield Box(left, frame.bottom - 1.2, right - left, 1.2, "ink2")
    yield Text(left, frame.bottom - 2.0, "kneading", _EM, token="ink2")


def _marks(frame: _Frame, marks: tuple[Mark, ...]) -> Iterator[Item]:
    """Yield marks with their words above the plot, in rows so that none lies over another.

    From the right: the line of an earlier mark then rises beside the words of later ones.
    """
    starts = [math.inf] * _ROWS
    for one in sorted((mark for mark in marks if mark.is_drawn), key=lambda mark: -mark.value):
        x = frame.x(one.value)
        yield Stroke(((x, frame.top), (x, frame.bottom)), 0.25, "ink2", dashed=True)
        words = f"{one.words} {one.time}"
        wide = advance(words, _EM)
        at = min(max(x + 0.8, frame.left), frame.right + _RIGHT - wide)
        row = next((n for n in range(_ROWS) if at + wide + 2 < starts[n]), _ROWS - 1)
        starts[row] = at
        y = frame.top - 1.6 - 1.5 * _EM * row
        yield Stroke(((x, frame.top), (x, y - 0.75 * _EM)), 0.25, "ink2")
        yield Text(at, y, words, _EM, bold=True)
