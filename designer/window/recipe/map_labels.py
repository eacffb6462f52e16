"""Where words and numbers stand on the dough map: none on another, none over the edge."""

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF

from designer.vocabulary import Floats
from designer.window import fonts

__all__ = ["Label", "Placer", "crossing", "edges", "length", "name_states", "ticks"]

_LEAST_NAMED = 14.0
"""A region whose middle is nearer to its edge than this [px] is not named."""
_LEAST_OWN = 0.6
"""Share of a name that must stand within its own region."""


class Label(NamedTuple):
    """A text and where it stands, in px."""

    text: str
    box: QRectF

    @property
    def baseline(self) -> QPointF:
        """Where the text starts."""
        metrics = fonts.metrics(fonts.SMALL)
        return QPointF(self.box.left() + 2, self.box.top() + metrics.ascent())


class Placer:
    """Finds free places within an area."""

    def __init__(self, area: QRectF, taken: Iterable[QRectF]) -> None:
        self.area = area
        self.taken = list(taken)

    def is_free(self, box: QRectF) -> bool:
        """Return whether a box lies inside and on nothing else."""
        middle = box.center().toTuple()
        return bool(self.are_free(np.array([middle]), box.width(), box.height())[0])

    def are_free(self, middles: Floats, width: float, height: float) -> NDArray[np.bool_]:
        """Return whether boxes of one size round points (points, 2) lie inside, on nothing else."""
        inside = self.area.adjusted(2, 2, -2, -2)
        left, top = middles[:, 0] - width / 2, middles[:, 1] - height / 2
        right, bottom = left + width, top + height
        free = (left >= inside.left()) & (right <= inside.right())
        free &= (top >= inside.top()) & (bottom <= inside.bottom())
        # All at once: with fifty variants, one by one took longer than a frame.
        taken = np.array([box.getCoords() for box in self.taken]).reshape(-1, 4)
        beside = (left[:, None] >= taken[:, 2]) | (right[:, None] <= taken[:, 0])
        beside |= (top[:, None] >= taken[:, 3]) | (bottom[:, None] <= taken[:, 1])
        clear: NDArray[np.bool_] = free & beside.all(axis=1)
        return clear

    def along(self, text: str, points: Floats, row: float) -> Label | None:
        """Put a text on a line (points, 2) in px, as near to a row as there is room; or nowhere."""
        metrics = fonts.metrics(fonts.SMALL)
        width, height = metrics.horizontalAdvance(text) + 4, metrics.height()
        free = points[self.are_free(points, width, height)]
        if not free.size:
            return None
        x, y = free[np.abs(free[:, 1] - row).argmin()].tolist()
        box = QRectF(x - width / 2, y - height / 2, width, height)
        self.taken.append(box.adjusted(-3, -1, 3, 1))
        return Label(text, box)


def name_states(
    placer: Placer,
    regions: Mapping[str, NDArray[np.bool_]],
    before: Mapping[str, QPointF],
) -> dict[str, QRectF]:
    """Return where the states are named, each inside its own region, far from edge and others.

    Parameters
    ----------
    placer : Placer
    regions : mapping of state to bool array (rows, columns), first row on top
    before : mapping of state to the middle of its name
        Where names stood; they stay while nothing comes in their way.
    """
    found: dict[str, QRectF] = {}
    # The smallest region has the least choice.
    for state in sorted(regions, key=lambda one: int(regions[one].sum())):
        size = _name_size(state)
        old = before.get(state)
        if old is not None and placer.is_free(_box(old, size)):
            found[state] = _box(old, size)
        elif (middle := _middle(placer, regions[state], size)) is not None:
            found[state] = _box(middle, size)
        if state in found:
            placer.taken.append(found[state].adjusted(-3, -3, 3, 3))
    return found


def _middle(placer: Placer, region: NDArray[np.bool_], size: tuple[float, float]) -> QPointF | None:
    """Return the middle of the name of a region, or None where there is no room."""
    area, (rows, columns) = placer.area, region.shape
    step = area.width() / columns, area.height() / rows
    row, column = np.nonzero(region)
    if not row.size:
        return None
    x = area.left() + (column + 0.5) * step[0]
    y = area.top() + (row + 0.5) * step[1]
    room = _room(region, step)[row, column]
    if room.max() < _LEAST_NAMED:
        return None
    own = _share_within(region, row, column, size[0] / step[0], size[1] / step[1])
    for other in placer.taken:
        aside = np.maximum(np.maximum(other.left() - x, x - other.right()), 0.0)
        above = np.maximum(np.maximum(other.top() - y, y - other.bottom()), 0.0)
        room = np.minimum(room, np.hypot(aside, above))
    fits = (own >= _LEAST_OWN) & placer.are_free(np.column_stack([x, y]), *size)
    if not fits.any():
        return None
    k = np.where(fits, room + 40 * np.minimum(own, 0.95), -np.inf).argmax()
    return QPointF(float(x[k]), float(y[k]))


def _room(region: NDArray[np.bool_], step: tuple[float, float]) -> Floats:
    """Return how far [px] each cell is from the next cell that is not of the region."""
    rows, columns = region.shape
    # What lies beyond the map counts as foreign.
    wide = np.pad(region, 1)
    mine_row, mine_column = np.nonzero(region)
    # The nearest foreign cell is one that touches the region.
    touching = np.zeros(wide.shape, dtype=bool)
    touching[1:-1, 1:-1] = region
    for axis in (0, 1):
        for way in (1, -1):
            touching |= np.roll(touching, way, axis)
    row, column = np.nonzero(touching & ~wide)
    down = (mine_row[:, None] + 1 - row) * step[1]
    across = (mine_column[:, None] + 1 - column) * step[0]
    room = np.zeros((rows, columns))
    room[mine_row, mine_column] = np.sqrt((down**2 + across**2).min(axis=1))
    return room


def _share_within(
    region: NDArray[np.bool_],
    row: NDArray[np.intp],
    column: NDArray[np.intp],
    width: float,
    height: float,
) -> Floats:
    """Return which share of a box round each cell belongs to the region."""
    rows, columns = region.shape
    sums = np.zeros((rows + 1, columns + 1))
    sums[1:, 1:] = region.cumsum(axis=0).cumsum(axis=1)
    half = max(round(width / 2 - 0.5), 0), max(round(height / 2 - 0.5), 0)
    left, right = np.maximum(column - half[0], 0), np.minimum(column + half[0] + 1, columns)
    top, bottom = np.maximum(row - half[1], 0), np.minimum(row + half[1] + 1, rows)
    inside = sums[bottom, right] - sums[top, right] - sums[bottom, left] + sums[top, left]
    share: Floats = inside / ((2 * half[0] + 1) * (2 * half[1] + 1))
    return share


def _name_size(state: str) -> tuple[float, float]:
    return fonts.metrics(fonts.MEDIUM).horizontalAdvance(state) + 26, 20.0


def _box(middle: QPointF, size: tuple[float, float]) -> QRectF:
    return QRectF(middle.x() - size[0] / 2, middle.y() - size[1] / 2, *size)


def ticks(low: float, high: float, step: float, decimals: int) -> Iterator[tuple[float, str]]:
    """Yield the ticks of an axis at multiples of a step, with their texts."""
    for k in range(math.ceil(low / step - 1e-6), math.floor(high / step + 1e-6) + 1):
        yield k * step, f"{k * step:.{decimals}f}"


def edges(box: QRectF) -> list[QRectF]:
    """Return what the outline of a box takes up."""
    flat = QRectF(0, 0, box.width(), 4)
    upright = QRectF(0, 0, 4, box.height())
    return [
        flat.translated(box.left(), box.top() - 2),
        flat.translated(box.left(), box.bottom() - 2),
        upright.translated(box.left() - 2, box.top()),
        upright.translated(box.right() - 2, box.top()),
    ]


def crossing(points: Floats, row: float) -> float:
    """Return where a line is nearest to a row, across."""
    return float(points[np.abs(points[:, 1] - row).argmin(), 0])


def length(points: Floats) -> float:
    """Return how long a line is."""
    return float(np.hypot(*np.diff(points, axis=0).T).sum())
