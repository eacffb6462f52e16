"""The dough map's shading as a picture, and its contours as lines."""

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QColor, QImage

from designer.evaluation.dough_map import DoughMap
from designer.vocabulary import STATES, Floats
from designer.window import theme
from designer.window.recipe.map_lines import lines
from designer.window.theme import Theme

__all__ = ["CONTOURS", "STEPS", "WETNESSES", "Field", "Line"]

STEPS = (0.25, 0.5, 0.75, 0.9)
"""Chances at which the tint changes."""

CONTOURS = (5, 10, 15, 18)
"""Of 20, where a line of equal chance is drawn: at the same chances."""

WETNESSES = (0.9, 1.1)

_FINER = np.array([-1 / 3, 0.0, 1 / 3])
"""Places within a pixel at which an edge is looked at, three each way."""

Small = NDArray[np.float32]

_SPECK = 6
"""A line through fewer edges than this is a grain of the draws, no shape of the model."""

_GRAIN = 0.005
"""So is one that bends round less than this part of the map, as where the chance is level."""


class Line(NamedTuple):
    """A line of equal value, as places (points, 2) on the axes: 0 to 1 across and up."""

    level: float
    places: Floats


class Field:
    """What the model says all over one map, between the nodes too.

    Between nodes the chance is read linearly. So is how much of the neighbourhood fails in each
    way; the likeliest is the one that is most of it.
    """

    def __init__(self, chart: DoughMap) -> None:
        self.chart = chart
        self.silent = ~chart.reachable | chart.outside
        self.states = tuple(int(state) for state in np.unique(chart.failing))
        known = chart.reachable
        self._chance = _carried(chart.chance, known)
        self._wetness = _carried(chart.wetness, known)
        layers = [
            self._chance,
            _softened(self.silent),
            *(
                _softened(_carried((chart.failing == state).astype(float), known))
                for state in self.states
            ),
        ]
        self._layers: Small = np.stack(layers).astype(np.float32)
        self._nodes = np.stack(layers, axis=-1).reshape(-1, len(layers))

    def state_at(self, x: float, y: float) -> str:
        """Return how a dough would fail at a point [g/g], [1], or "" where nothing is told."""
        across, up = self.places(np.array([x]), np.array([y]))
        number = int(self._numbers(self._at(across, up))[0])
        if number >= 5 * len(self.states):
            return ""
        return STATES[self.states[number // 5]]

    def places(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Return where points [g/g], [1] stand among the nodes."""
        chart = self.chart
        return (
            np.interp(x, chart.x, np.arange(chart.x.size)),
            np.interp(y, chart.y, np.arange(chart.y.size)),
        )

    def picture(self, used: Theme, width: int, height: int) -> QImage:
        """Return the shading `width` by `height` device px; clear where nothing can be said.

        An edge is the mean of nine places within each of its pixels.
        """
        columns, rows = self.chart.x.size - 1, self.chart.y.size - 1
        across = ((np.arange(width) + 0.5) / width) * columns
        up = (1 - (np.arange(height) + 0.5) / height) * rows
        numbers = self._numbers(self._grid(across, up))
        colours = self._colours(used)
        pixels = _packed(colours)[numbers]
        if width * height < 600_000:
            # Finer pictures than that are for screens on which a pixel is not seen.
            # Edges within one state lie under the contours.
            row, column = np.nonzero(_edges(numbers // len(used.field_alpha)))
            finer = self._numbers(
                self._at(
                    (across[column, None, None] + _FINER * columns / width + 0 * _FINER[:, None]),
                    (up[row, None, None] + _FINER[:, None] * rows / height + 0 * _FINER),
                )
            )
            pixels[row, column] = _packed(colours[finer].mean(axis=(1, 2)))
        image = QImage(
            pixels.data, width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied
        )
        return image.copy()

    def regions(self, columns: int, rows: int) -> dict[str, NDArray[np.bool_]]:
        """Return where each state is tinted, masks (rows, columns) from the top; where strongly, if
        anywhere.
        """
        _, height, width = self._layers.shape
        across = (np.arange(columns) + 0.5) / columns * (width - 1)
        up = (1 - (np.arange(rows) + 0.5) / rows) * (height - 1)
        numbers = self._numbers(self._grid(across, up))
        found = {}
        for k, state in enumerate(self.states):
            own = numbers // (len(STEPS) + 1) == k
            step = numbers % (len(STEPS) + 1)
            strong, faint = own & (step <= 2), own & (step <= 3)
            found[STATES[state]] = strong if strong.sum() > 0.02 * strong.size else faint
        return found

    def contours(self) -> list[Line]:
        """Return the lines of equal chance, level in 20ths."""
        return [
            Line(level, places)
            for level in CONTOURS
            for places in self._lines(self._chance, level / 20)
        ]

    def wetness_lines(self) -> list[Line]:
        """Return the lines of equal wetness."""
        return [
            Line(level, places)
            for level in WETNESSES
            for places in self._lines(self._wetness, level)
        ]

    def _lines(self, values: Floats, level: float) -> Iterator[Floats]:
        """Yield the lines on which `values` are `level`, where something can be said."""
        rows, columns = values.shape
        for points in lines(values, level):
            near = np.round(points).astype(int)
            cut = np.flatnonzero(self.silent[near[:, 1], near[:, 0]])
            for part in np.split(points, cut):
                whole = part[1:] if cut.size else part
                places = whole / (columns - 1, rows - 1)
                if len(whole) >= _SPECK and not _is_grain(places):
                    yield places

    def _grid(self, across: Floats, up: Floats) -> Small:
        """Return the layers (layers, up, across) on a raster of places among the nodes."""
        return _weights(up, self._layers.shape[1]) @ (
            self._layers @ _weights(across, self._layers.shape[2]).T
        )

    def _at(self, across: Floats, up: Floats) -> Floats:
        """Return the layers (layers, ...) at places among the nodes."""
        _, rows, columns = self._layers.shape
        i = np.clip(up.astype(np.intp), 0, rows - 2)
        j = np.clip(across.astype(np.intp), 0, columns - 2)
        f = np.clip(up - i, 0.0, 1.0)[..., None]
        g = np.clip(across - j, 0.0, 1.0)[..., None]
        node = i * columns + j
        found = (1 - f) * ((1 - g) * self._nodes[node] + g * self._nodes[node + 1])
        found += f * ((1 - g) * self._nodes[node + columns] + g * self._nodes[node + columns + 1])
        return np.moveaxis(found, -1, 0)

    def _numbers(self, layers: Small | Floats) -> NDArray[np.uint8]:
        """Return the number of the colour at each place: 5 for each state, then none."""
        chance, silent, *failing = layers
        number = np.zeros(chance.shape, dtype=np.uint8)
        most = failing[0]
        for state, share in enumerate(failing[1:], 1):
            number[share > most] = 5 * state
            most = np.maximum(most, share)
        for step in STEPS:
            number += chance > step
        number[silent > 0.5] = 5 * len(self.states)
        return number

    def _colours(self, used: Theme) -> Floats:
        """Return what the numbers stand for, (numbers, 4) red, green, blue, alpha of 255."""
        paper = QColor(used.paper)
        colours = [
            theme.blend(paper, used.state(STATES[state]), alpha)
            for state in self.states
            for alpha in used.field_alpha
        ]
        shades = [(c.red(), c.green(), c.blue(), 255) for c in colours]
        return np.array([*shades, (0, 0, 0, 0)], dtype=float)


def _is_grain(places: Floats) -> bool:
    """Return whether a line comes back near to where it starts, round next to nothing."""
    length = float(np.hypot(*np.diff(places, axis=0).T).sum())
    apart = float(np.hypot(*(places[-1] - places[0])))
    x, y = (places - places[0]).T
    around = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2
    return apart < 0.75 * length and around < _GRAIN


def _weights(places: Floats, count: int) -> Small:
    """Return the matrix (places, count) that reads between nodes."""
    low = np.clip(places.astype(np.intp), 0, count - 2)
    part = np.clip(places - low, 0.0, 1.0)
    weights = np.zeros((places.size, count), dtype=np.float32)
    row = np.arange(places.size)
    weights[row, low] = 1 - part
    weights[row, low + 1] = part
    return weights


def _carried(values: Floats, known: NDArray[np.bool_]) -> Floats:
    """Return values with those of known nodes carried to the unknown ones beside them.

    Otherwise what is read between nodes would fall off towards the border of what is known.
    """
    held = np.where(known, values, 0.0)
    total, count = np.zeros(values.shape), np.zeros(values.shape)
    wide, there = np.pad(held, 1), np.pad(known.astype(float), 1)
    rows, columns = values.shape
    for down in range(3):
        for right in range(3):
            total += wide[down : down + rows, right : right + columns]
            count += there[down : down + rows, right : right + columns]
    return np.where(known, held, total / np.maximum(count, 1.0))


def _softened(mask: NDArray[Any]) -> Floats:
    """Return a mask averaged 1 2 1 each way, so that its edge has no stairs."""
    wide = np.pad(mask.astype(float), 1, mode="edge")
    across = wide[:, :-2] + 2 * wide[:, 1:-1] + wide[:, 2:]
    soft: Floats = (across[:-2] + 2 * across[1:-1] + across[2:]) / 16
    return soft


def _edges(numbers: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Return where a neighbour above, below or beside is another."""
    edges = np.zeros(numbers.shape, dtype=bool)
    down = numbers[1:] != numbers[:-1]
    edges[1:] |= down
    edges[:-1] |= down
    beside = numbers[:, 1:] != numbers[:, :-1]
    edges[:, 1:] |= beside
    edges[:, :-1] |= beside
    return edges


def _packed(colours: Floats) -> NDArray[np.uint32]:
    red, green, blue, alpha = np.moveaxis(np.round(colours).astype(np.uint32), -1, 0)
    packed: NDArray[np.uint32] = alpha << 24 | red << 16 | green << 8 | blue
    return packed
