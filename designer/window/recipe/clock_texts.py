"""Short texts on the dough clock: what they measure, where they have room, how they are drawn."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPen

from designer.vocabulary import Floats
from designer.window import fonts, theme
from designer.window.symbols import draw_state

__all__ = [
    "ON_PAPER",
    "QUIET",
    "Parts",
    "Room",
    "Text",
    "draw",
    "line_height",
    "measured",
    "spread_out",
]

Parts = tuple[tuple[str, bool], ...]
"""Pieces of a text and whether they are bold."""

_SYMBOL, _SYMBOL_GAP = 10, 4
_FAR = -1e6
"""Where a line is that is not there [px]."""


@lru_cache(maxsize=512)
def measured(parts: Parts, state: str = "") -> float:
    """Return the width [px] of a text with the mark of a state before it."""
    width = sum(fonts.metrics(fonts.SMALL, bold).horizontalAdvance(text) for text, bold in parts)
    return width + (_SYMBOL + _SYMBOL_GAP if state else 0)


@lru_cache(maxsize=1)
def line_height() -> float:
    """Return the height [px] that a text takes."""
    metrics = fonts.metrics(fonts.SMALL)
    return metrics.ascent() + metrics.descent()


@dataclass(frozen=True)
class Text:
    """A text placed with its baseline's start at a point, `paper` the alpha of its patch."""

    at: QPointF = field(default_factory=QPointF)
    parts: Parts = ()
    token: str = "ink"
    paper: float = 0.0
    state: str = ""
    patch: str = "paper"

    @property
    def words(self) -> str:
        """What it says."""
        return "".join(text for text, _ in self.parts)

    @property
    def rect(self) -> QRectF:
        """What it covers [px]."""
        top = self.at.y() - fonts.metrics(fonts.SMALL).ascent()
        return QRectF(self.at.x(), top, measured(self.parts, self.state), line_height())


def draw(painter: QPainter, text: Text) -> None:
    """Draw a text, on paper if it asks for it."""
    used, x = theme.now(), text.at.x()
    if text.paper:
        painter.fillRect(text.rect.adjusted(-3, -1, 3, 1), used.colour(text.patch, text.paper))
    if text.state:
        centre = QPointF(x + _SYMBOL / 2, text.rect.center().y())
        draw_state(painter, centre, text.state, _SYMBOL)
        x += _SYMBOL + _SYMBOL_GAP
    painter.setPen(_pen(used, text.token))
    for piece, bold in text.parts:
        painter.setFont(fonts.font(fonts.SMALL, bold))
        painter.drawText(QPointF(x, text.at.y()), piece)
        x += measured(((piece, bold),))


@lru_cache(maxsize=32)
def _pen(used: theme.Theme, token: str) -> QPen:
    return QPen(used.colour(token))


@dataclass
class Room:
    """What a text must not cover (`taken`) and would rather not: lines and upright `drops`.

    `taken` holds left, top, right and bottom [px].
    """

    taken: list[tuple[float, float, float, float]] = field(default_factory=list)
    lines: list[tuple[Floats, Floats]] = field(default_factory=list)
    drops: list[float] = field(default_factory=list)

    def costs(self, lefts: Floats, tops: Floats, width: float, height: float) -> Floats:
        """Return how bad each corner is, (lefts, tops): infinite over what is taken."""
        rights, bottoms = lefts + width, tops + height
        drops = np.array(self.drops)
        crossed = ((lefts[:, None] - 3 < drops) & (drops < rights[:, None] + 3)).sum(axis=1)
        cost = np.repeat(10.0 * crossed[:, None], tops.size, axis=1)
        across = lefts[:, None] + np.linspace(0.0, width, 7)
        for xs, ys in self.lines:
            there = np.isfinite(ys)
            if there.any():
                down = np.interp(across, xs[there], ys[there], _FAR, _FAR)
                upper, lower = down.min(axis=1)[:, None], down.max(axis=1)[:, None]
                cost += 10.0 * ((upper < bottoms) & (lower > tops))
        if self.taken:
            left, top, right, bottom = np.array(self.taken).T
            beside = (lefts[:, None] < right + 7) & (rights[:, None] > left - 7)
            level = (tops[:, None] < bottom + 1) & (bottoms[:, None] > top - 1)
            cost[(beside[:, None] & level).any(axis=2)] = np.inf
        return cost

    def take(self, rect: QRectF) -> None:
        """Keep what comes later off a rectangle."""
        self.taken.append((rect.left(), rect.top(), rect.right(), rect.bottom()))

    def is_free(self, rect: QRectF) -> bool:
        """Return whether nothing lies where a text would."""
        corner = np.array([rect.left()]), np.array([rect.top()])
        return not self.costs(*corner, rect.width(), rect.height()).any()

    def place(
        self, parts: Parts, tops: Iterable[float], lefts: Iterable[float], dress: Text
    ) -> Text | None:
        """Return a text, dressed as another, at its best corner, and take the room.

        Earlier corners are better ones; None where all are taken.
        """
        xs, ys = np.array([*lefts]), np.array([*tops])
        if not xs.size or not ys.size:
            return None
        cost = self.costs(xs, ys, measured(parts, dress.state), line_height())
        cost += 0.3 * np.arange(xs.size)[:, None] + 0.1 * np.arange(ys.size)
        column, line = divmod(int(cost.argmin()), ys.size)
        if not np.isfinite(cost[column, line]):
            return None
        ascent = fonts.metrics(fonts.SMALL).ascent()
        at = QPointF(float(xs[column]), float(ys[line]) + ascent)
        best = replace(dress, at=at, parts=parts)
        self.take(best.rect)
        return best


ON_PAPER = Text(paper=0.82)
"""How a text looks that may lie on a line."""
QUIET = Text(token="ink2")
"""How a text of less weight looks."""


def spread_out(wanted: list[float], gap: float, low: float, high: float) -> list[float]:
    """Return places near those wanted, ascending, at least `gap` apart, from `low` to `high`."""
    places: list[float] = []
    for place in wanted:
        places.append(max(place, places[-1] + gap if places else low))
    limit = high
    for at in range(len(places) - 1, -1, -1):
        places[at] = min(places[at], limit)
        limit = places[at] - gap
    return places
