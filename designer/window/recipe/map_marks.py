"""The numbers of the variants on the dough map, and the handle of the active one."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from designer.vocabulary import Floats
from designer.window import symbols, theme

__all__ = ["CLOSEST", "Mark", "marks", "paint_marks"]

CLOSEST = 22.0
"""Numbers nearer to each other than this [px] are drawn apart."""

_SAME = 2.0
"""Recipes nearer to each other than this [px] are one place: their numbers hang together."""

_RADIUS = 10.0
_HANDLE = 24.0
_WEDGE = 19.0
"""How far from the middle the wedges of the handle stand."""
_INSIDE = 22.0
"""How far within the edge the number of a recipe off the map stands: its handle is inside too."""
_ASIDE = tuple(
    QPointF(away * math.cos(angle), -away * math.sin(angle))
    for away in (34.0, 46.0, 58.0)
    # From the upper right round: away from where a hand comes from.
    for angle in (math.radians(45 + 30 * turn) for turn in range(12))
)
"""Where a number may stand that has no room on its recipe, best first."""


@dataclass(frozen=True)
class Mark:
    """The number of a variant on the map, in px.

    Attributes
    ----------
    place : where its recipe is, or the nearest point of the edge
    shown : where its number is drawn
    beyond : -1, 0 or 1 across and down: to which side its recipe lies off the map
    attached : whether it hangs on the number of another recipe at the same place
    """

    number: str
    active: bool
    place: QPointF
    shown: QPointF
    beyond: tuple[int, int] = (0, 0)
    attached: bool = False

    @property
    def box(self) -> QRectF:
        """What it takes up, its handle too."""
        return _around(self.shown, _HANDLE if self.active else _RADIUS + 1)


def marks(area: QRectF, points: Mapping[str, QPointF], active: str) -> list[Mark]:
    """Return the marks of variants, the active one last; those that would cover it stand aside."""
    placed: list[Mark] = []
    # In arrays too: fifty numbers at one place are tried at a thousand points.
    places, drawn = np.empty((2, len(points), 2))
    for number in sorted(points, key=lambda one: one != active):
        point = points[number]
        inside = QPointF(
            min(max(point.x(), area.left() + _INSIDE), area.right() - _INSIDE),
            min(max(point.y(), area.top() + _INSIDE), area.bottom() - _INSIDE),
        )
        beyond = (
            (point.x() > area.right() + 0.5) - (point.x() < area.left() - 0.5),
            (point.y() > area.bottom() + 0.5) - (point.y() < area.top() - 0.5),
        )
        is_off = any(beyond)
        # On the map a number stands on its recipe, even when the edge cuts into the ring.
        place = inside if is_off else point
        count = len(placed)
        hung = _hung(place, area, places[:count], drawn[:count])
        shown = _free(place, area, drawn[:count]) if hung is None else hung
        places[count], drawn[count] = place.toTuple(), shown.toTuple()
        placed.append(Mark(number, number == active, place, shown, beyond, hung is not None))
    return placed[::-1]


def _hung(place: QPointF, area: QRectF, places: Floats, drawn: Floats) -> QPointF | None:
    """Return where a number touches those of the same place, at their lower right if it can.

    Parameters
    ----------
    places, drawn : arrays (marks, 2) [px]
        Where the recipes of the others are, and where their numbers are drawn.
    """
    same = np.flatnonzero(np.hypot(*(places - place.toTuple()).T) <= _SAME)
    if not same.size:
        return None
    first = QPointF(*drawn[same[0]].tolist())
    side = CLOSEST * math.sqrt(0.5)
    inside = area.adjusted(11, 11, -11, -11)
    for across, down in ((1, 1), (-1, 1), (1, -1), (-1, -1)):
        point = first + QPointF(across * side, down * side)
        # Further ones stand in a row.
        point += QPointF(across * CLOSEST * (same.size - 1), 0)
        if inside.contains(point) and _apart([point], drawn)[0] >= CLOSEST - 1e-6:
            return point
    return None


def _free(place: QPointF, area: QRectF, drawn: Floats) -> QPointF:
    """Return the place, or the nearest one beside it where no number is drawn."""
    if not len(drawn) or _apart([place], drawn)[0] >= CLOSEST:
        return place
    inside = area.adjusted(11, 11, -11, -11)
    aside = [point for way in _ASIDE if inside.contains(point := place + way)]
    if not aside:
        return place
    room = _apart(aside, drawn)
    roomy = room >= CLOSEST + 4
    return aside[int(roomy.argmax() if roomy.any() else room.argmax())]


def _apart(points: Sequence[QPointF], drawn: Floats) -> Floats:
    """Return how far each point (points,) is from the nearest number drawn."""
    ways = np.array([point.toTuple() for point in points])[:, None] - drawn
    apart: Floats = np.hypot(ways[..., 0], ways[..., 1]).min(axis=1)
    return apart


def paint_marks(painter: QPainter, shown: Sequence[Mark], area: QRectF, is_focused: bool) -> None:
    """Draw marks, the active one with its handle, and round it the focus."""
    used = theme.now()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for mark in shown:
        if mark.place != mark.shown and not mark.attached:
            painter.setPen(QPen(used.colour("ink"), 1))
            painter.setBrush(used.colour("ink"))
            painter.drawLine(mark.place, mark.shown)
            painter.drawEllipse(mark.place, 2, 2)
    for mark in shown:
        if mark.active:
            _paint_handle(painter, mark, [one for one in shown if one is not mark], area)
            if is_focused:
                _paint_focus(painter, mark)
        if any(mark.beyond):
            _paint_way_out(painter, mark, area)
        symbols.draw_number(painter, mark.shown, mark.number, mark.active)


def _paint_handle(painter: QPainter, mark: Mark, others: Sequence[Mark], area: QRectF) -> None:
    """Draw four wedges, but for one that another number or the edge would cut."""
    used = theme.now()
    painter.setPen(QPen(used.colour("paper", 0.82), 1))
    painter.setBrush(used.colour("accent"))
    for turn in range(4):
        angle = math.pi / 2 * turn
        way = QPointF(math.cos(angle), math.sin(angle))
        at = mark.shown + way * _WEDGE
        is_free = all(_length(at - one.shown) > _RADIUS + 5 for one in others)
        if is_free and area.contains(at + way * 2.5):
            painter.drawPolygon(_wedge(at, way))


def _paint_focus(painter: QPainter, mark: Mark) -> None:
    used = theme.now()
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(used.colour("paper"), 4))
    painter.drawEllipse(mark.shown, 12.5, 12.5)
    painter.setPen(QPen(used.colour("accent"), 2))
    painter.drawEllipse(mark.shown, 13, 13)


def _paint_way_out(painter: QPainter, mark: Mark, area: QRectF) -> None:
    """Draw a small wedge at the edge beyond which the recipe lies."""
    across, down = mark.beyond
    edge = QPointF(
        area.right() if across > 0 else area.left() if across < 0 else mark.shown.x(),
        area.bottom() if down > 0 else area.top() if down < 0 else mark.shown.y(),
    )
    way = QPointF(across, down) / math.hypot(across, down)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.now().colour("accent" if mark.active else "ink"))
    painter.drawPolygon(_wedge(edge - way * 2.5, way))


def _wedge(at: QPointF, way: QPointF) -> QPolygonF:
    """Return a wedge 9 px wide and 5 long that points a way."""
    side = QPointF(-way.y(), way.x())
    return QPolygonF([at + way * 2.5, at - way * 2.5 + side * 4.5, at - way * 2.5 - side * 4.5])


def _around(point: QPointF, radius: float) -> QRectF:
    return QRectF(point.x() - radius, point.y() - radius, 2 * radius, 2 * radius)


def _length(way: QPointF) -> float:
    return math.hypot(way.x(), way.y())
