"""The dough map: the chance of a clean knead with the mix of a recipe scaled to each point.

The model is evaluated for all draws at a few nodes. What is carried from there to the fine raster
are two margins of every draw at every moment of the kneading window: how far the strength felt is
above the tack cut, and how far below the firm one. They are smooth, so a spline meets them well
(largest error of the chance about 0.01), while the chance itself has cliffs that a spline blurs.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.map_nodes import (
    NODES_ACROSS,
    NODES_UP,
    Field,
    Small,
    Span,
    Task,
    limits,
    model_at_nodes,
)
from designer.evaluation.paths import scaled_shares
from designer.handbook import Handbook
from designer.recipe import Recipe
from designer.vocabulary import STATES, Floats, si

__all__ = ["DoughMap", "dough_map", "known_good", "limits"]

COLUMNS, ROWS = 64, 48

SAME_MIX = 3e-4
"""Shares that differ by less are one mix: `moved` rounds to 1e-4 of the dough. It moves wetness by
under 0.001 and the chance by under 0.005 [1]."""

SMALL_SHIFT = 0.02
"""Where the chance of an older map is further than this from the reading, it is made anew [1]."""


@dataclass(frozen=True)
class _Shift:
    """What brings the chance of a field of before to the truth at the recipe's new place.

    It fades as slowly as the error of a spline does, over the distance of two nodes: a narrow
    correction, or one of each draw by itself, would bend the contours around the mark.
    """

    x: float
    y: float
    reach: Span
    by: float

    def shifted(self, chance: Floats, x: Floats, y: Floats | float) -> Floats:
        """Return chances at points as they are with the shift."""
        far = ((x - self.x) / self.reach[0]) ** 2 + ((y - self.y) / self.reach[1]) ** 2
        shifted: Floats = np.clip(chance + self.by * np.exp(-far / 2), 0.0, 1.0)
        return shifted


@dataclass(frozen=True, eq=False)
class DoughMap:
    """The dough map of one variant; arrays (rows, columns), read-only.

    Attributes
    ----------
    recipe, number
        What it belongs to.
    mark : (float, float) [g/g], [1]
        Liquid : powder and melt phase of the variant; the first is infinite without powder.
    known_good : two (float, float)
        Ends across and up of what usual practice calls good.
    x, y : arrays (columns,) [g/g] and (rows,) [1]
        Ascending, from edge to edge.
    chance : [1]
        Of a clean knead; 0 where nothing can be reached.
    reachable : bool
        Whether the mix can be scaled there with what is held and what stays.
    outside : bool
        Whether the model must not speak there.
    failing : int
        Index into `STATES`: what the dough is like where it does not come clean.
    wetness : [1]
        Median at the knead.
    reason : str
        Why there is no shading, as one sentence, or "".
    """

    recipe: Recipe
    number: str
    mark: tuple[float, float]
    known_good: tuple[Span, Span]
    x: Floats
    y: Floats
    chance: Floats
    reachable: NDArray[np.bool_]
    outside: NDArray[np.bool_]
    failing: NDArray[np.int8]
    wetness: Floats
    reason: str
    _ground: tuple[object, ...]
    _field: Field | None
    _shift: _Shift | None
    _plain: Floats

    @property
    def limits(self) -> tuple[Span, Span]:
        """Ends of the axes, across [g/g] and up [1]."""
        return (float(self.x[0]), float(self.x[-1])), (float(self.y[0]), float(self.y[-1]))

    def chance_at(self, x: ArrayLike, y: ArrayLike) -> Floats:
        """Return the chance at any points [g/g], [1]; NaN off the axes and out of reach.

        At the mark it is that of the evaluation.
        """
        x, y = np.broadcast_arrays(np.asarray(x, dtype=float), np.asarray(y, dtype=float))
        chance = np.full(x.size, np.nan)
        if self._field is None:
            return chance.reshape(x.shape)
        (left, right), (low, high) = self.limits
        on = (x >= left) & (x <= right) & (y >= low) & (y <= high)
        _, reachable = scaled_shares(self._field.paths, x.ravel(), y.ravel())
        for k in np.flatnonzero(on.ravel() & reachable):
            point = x.flat[k : k + 1], float(y.flat[k])
            met = _chance(self._field, *point).astype(float)
            chance[k] = (met if self._shift is None else self._shift.shifted(met, *point))[0]
        return chance.reshape(x.shape)

    def serves(self, result: Evaluation, variant: int) -> bool:
        """Return whether the shading is that of a variant's mix, wherever its mark stands."""
        if self._field is None:
            return self.recipe == result.recipe
        return _serves(self, Task.of(result, variant))


def dough_map(
    result: Evaluation,
    variant: int,
    stop: Callable[[], bool] = lambda: False,
    before: DoughMap | None = None,
) -> DoughMap | None:
    """Return the dough map of a variant.

    Parameters
    ----------
    result : Evaluation
    variant : int
        Its index.
    stop : callable
        Asked every few milliseconds whether to give up.
    before : DoughMap, optional
        An older map, used again where it holds.

    Returns
    -------
    DoughMap, or None when stopped

    Notes
    -----
    Moving a recipe along the paths moves its mark but not the map, which is that of the mix. So a
    map of before serves again at once when handbook, knowledge, materials, room, bath, liquids,
    batch, window and axes are the same, and the mix scaled to every node is, within `SAME_MIX`,
    the one evaluated there. What is held, last or q.s. takes part in that: a row held now makes
    other shares at the nodes. The comparison is always with the mix first evaluated, so that
    roundings do not add up. The chance is shifted a little so that at the new mark it is again that
    of the reading; where more than `SMALL_SHIFT` is needed, the map is made anew.
    """
    task = Task.of(result, variant)
    if reason := task.why_none:
        return _empty(task, reason)
    if before is not None and _serves(before, task) and (again := _again(before, task)):
        return again
    field = model_at_nodes(task, stop)
    return None if field is None else _drawn(task, field, stop)


def _chance(field: Field, x: Floats, y: float) -> Small:
    """Return the chance (points,) at points of one melt phase: both margins held at one moment.

    One moment at a time stays in the processor's cache, and in one thread.
    """
    nodes, across = field.row_of_nodes(y), field.weights_across(x, y)
    best = np.full((x.size, nodes.shape[-1]), -np.inf, dtype=np.float32)
    for moment in range(nodes.shape[2]):
        over, under = across @ nodes[:, 0, moment], across @ nodes[:, 1, moment]
        np.maximum(best, np.minimum(over, under, out=over), out=best)
    chance: Small = np.vecdot((best >= 0).astype(np.float32), field.weights)
    return np.minimum(chance, np.float32(1.0))


def _drawn(task: Task, field: Field, stop: Callable[[], bool]) -> DoughMap | None:
    """Return the map of a field, or None when stopped."""
    x, y = _raster(task)
    wide, high = np.meshgrid(x, y)
    _, reachable = scaled_shares(task.way, wide.ravel(), high.ravel())
    reachable = reachable.reshape(wide.shape)
    chance = np.zeros(wide.shape)
    if not _shade(chance, reachable, field, (x, y), stop):
        return None
    wetness = field.on_raster(field.wetness, x, y)
    demand = field.on_raster(field.polar_demand, x, y)
    scores = field.on_raster(field.scores, x, y, degree=1)
    scores[..., STATES.index("pliable")] = -np.inf
    failing = scores.argmax(axis=-1).astype(np.int8)
    outside = _outside(wetness, demand, high, task.result.handbook)
    return _made(task, x, y, chance, reachable, outside, failing, wetness, field)


def _shade(
    chance: Floats,
    where: NDArray[np.bool_],
    field: Field,
    raster: tuple[Floats, Floats],
    stop: Callable[[], bool],
) -> bool:
    """Write the chance `where` it is wanted, row by row; False when stopped."""
    x, y = raster
    for row in np.flatnonzero(where.any(axis=1)):
        if stop():
            return False
        on = where[row]
        chance[row, on] = _chance(field, x[on], float(y[row]))
    return True


def _outside(
    wetness: Floats, demand: Floats, melt_fraction: Floats, handbook: Handbook
) -> NDArray[np.bool_]:
    """Return where the model must not speak, by the rule of `readings.outside_model`."""
    p = handbook.parameters
    outside: NDArray[np.bool_] = (
        (demand < p["domain_demand"].si)
        | (wetness < p["domain_wetness_low"].si)
        | (wetness > p["domain_wetness_high"].si)
        | (melt_fraction > p["domain_melt"].si)
    )
    return outside


def _empty(task: Task, reason: str) -> DoughMap:
    """Return a map without shading."""
    x, y = _raster(task)
    nowhere = np.zeros((y.size, x.size), dtype=bool)
    failing, wetness = nowhere.astype(np.int8), np.full(nowhere.shape, np.nan)
    chance = np.zeros(nowhere.shape)
    return _made(task, x, y, chance, nowhere, nowhere, failing, wetness, None, reason)


def _raster(task: Task) -> tuple[Floats, Floats]:
    return np.linspace(*task.axes[0], COLUMNS), np.linspace(*task.axes[1], ROWS)


def _made(
    task: Task,
    x: Floats,
    y: Floats,
    chance: Floats,
    reachable: NDArray[np.bool_],
    outside: NDArray[np.bool_],
    failing: NDArray[np.int8],
    wetness: Floats,
    field: Field | None,
    reason: str = "",
) -> DoughMap:
    for array in (x, y, chance, reachable, outside, failing, wetness):
        array.flags.writeable = False
    return DoughMap(
        task.result.recipe,
        task.result.recipe.numbers[task.variant],
        (task.way.liquid_to_powder, task.way.melt_fraction),
        known_good(task.result.handbook),
        x,
        y,
        chance,
        reachable,
        outside,
        failing,
        wetness,
        reason,
        task.ground,
        field,
        None,
        chance,
    )


def known_good(handbook: Handbook) -> tuple[Span, Span]:
    """Return the ends, across [g/g] and up [1], of what usual practice calls good."""
    across, up = handbook.ranges["liquid:powder"], handbook.ranges["melt phase"]
    return (across.low, across.high), (float(si(up.low, up.unit)), float(si(up.high, up.unit)))


def _serves(before: DoughMap, task: Task) -> bool:
    """Return whether the field of an older map is that of this mix too."""
    field = before._field
    if field is None or before._ground != task.ground:
        return False
    return bool(np.abs(task.shares(field.across, field.up) - field.shares).max() <= SAME_MIX)


def _again(before: DoughMap, task: Task) -> DoughMap | None:
    """Return an older map for this recipe, true at its mark; None where it is too far off."""
    field, result = before._field, task.result
    assert field is not None
    mark = (task.way.liquid_to_powder, task.way.melt_fraction)
    (left, right), (low, high) = task.axes
    shift, chance = None, before._plain
    if left <= mark[0] <= right and low <= mark[1] <= high:
        met = float(_chance(field, np.array(mark[:1]), mark[1])[0])
        by = float(result.clean_knead_chance[task.variant]) - met
        if abs(by) > SMALL_SHIFT:
            return None
        reach = (right - left) / (NODES_ACROSS - 1), (high - low) / (NODES_UP - 1)
        shift = _Shift(*mark, reach, by)
        shifted = shift.shifted(chance, before.x, before.y[:, None])
        chance = np.where(before.reachable, shifted, 0.0)
        chance.flags.writeable = False
    return replace(
        before,
        recipe=result.recipe,
        number=result.recipe.numbers[task.variant],
        mark=mark,
        chance=chance,
        _shift=shift,
    )
