"""Short texts on the dough clock: what they measure, where they have room, how they are drawn."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from designer.vocabulary import Floats
from designer.window import fonts, theme
from designer.window.symbols import draw_state

__all__ = ["Parts", "Room", "Text", "draw", "line_height", "measured", "spread_out"]

Parts = tuple[tuple[str, bool], ...]
"""Pieces of a text and whether they are bold."""

_SYMBOL, _SYMBOL_GAP = 10, 4


def measured(parts: Parts, state: str = "") -> float:
    """Return the width [px] of a text with the mark of a state before it."""
    width = sum(fonts.metrics(fonts.SMALL, bold).horizontalAdvance(text) for text, bold in parts)
    return width + (_SYMBOL + _SYMBOL_GAP if state else 0)


def line_height() -> float:
    """Return the height [px] that a text takes."""
    metrics = fonts.metrics(fonts.SMALL)
    return metrics.ascent() + metrics.descent()


@dataclass(frozen=True)
class Text:
    """A text placed with its baseline's start at a point, `paper` the alpha of its patch."""

    at: QPointF
    parts: Parts
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
    painter.setPen(used.colour(text.token))
    for piece, bold in text.parts:
        painter.setFont(fonts.font(fonts.SMALL, bold))
        painter.drawText(QPointF(x, text.at.y()), piece)
        x += fonts.metrics(fonts.SMALL, bold).horizontalAdvance(piece)


@dataclass
class Room:
    """What a text must not cover (`taken`) and would rather not: lines and upright `drops`."""

    taken: list[QRectF] = field(default_factory=list)
    lines: list[tuple[Floats, Floats]] = field(default_factory=list)
    drops: list[float] = field(default_factory=list)

    def cost(self, rect: QRectF) -> float:
        """Return how bad a place is: infinite over what is taken."""
        wide = rect.adjusted(-7, -1, 7, 1)
        if any(wide.intersects(one) for one in self.taken):
            return float("inf")
        crossed = sum(rect.left() - 3 < drop < rect.right() + 3 for drop in self.drops)
        across = np.linspace(rect.left(), rect.right(), 7)
        for xs, ys in self.lines:
            down = np.interp(across, xs, ys)
            down = down[np.isfinite(down)]
            if down.size and down.min() < rect.bottom() and down.max() > rect.top():
                crossed += 1
        return 10.0 * crossed

    def place(
        self, parts: Parts, tops: Iterable[float], lefts: Iterable[float], **dress: str | float
    ) -> Text | None:
        """Return a text at its best place among the corners offered, and take the room.

        Earlier corners are better ones; None where all are taken.
        """
        ascent, best, least = fonts.metrics(fonts.SMALL).ascent(), None, float("inf")
        for step, left in enumerate(lefts):
            for rank, top in enumerate(tops):
                text = Text(QPointF(left, top + ascent), parts, **dress)  # type: ignore[arg-type]
                cost = self.cost(text.rect) + 0.3 * step + 0.1 * rank
                if cost < least:
                    best, least = text, cost
        if best is not None:
            self.taken.append(best.rect)
        return best


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
