"""The model at the few nodes from which the dough map is drawn, for all draws.

Nodes stand across at places 0 to 1 of the liquid : powder that can be reached at a melt phase, so
that none lies where a share would be negative. The recipe's own place is a node: there the map
says what its evaluation says.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from designer.evaluation import heat
from designer.evaluation.dough import Clock, Dough, Heat, clock, dough
from designer.evaluation.draws import DoughDraws, dough_draws, uptake_factors
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.forecast import with_melt_error
from designer.evaluation.mixture import Mixture
from designer.evaluation.paths import Paths, paths, scaled_shares
from designer.laws import flow
from designer.vocabulary import STATES, Floats

__all__ = ["Field", "Moments", "Small", "Span", "Task", "limits", "model_at_nodes"]

Span = tuple[float, float]
Small = NDArray[np.float32]

NODES_ACROSS, NODES_UP = 7, 5

USUAL_ACROSS, USUAL_UP = (0.10, 0.46), (0.06, 0.28)
WIDEST_ACROSS, WIDEST_UP = (0.0, 1.0), (0.0, 0.40)
"""Ends of the axes [g/g], [1]: where nothing lies outside, and at most."""

NARROWEST = 0.02
"""Where less liquid : powder than this can be reached across, there is no map [g/g]."""

_CLEAN_COUNTS = 1e-3
"""Weight of a draw that comes clean, when it is asked what a dough is like that does not."""


def limits(mixture: Mixture) -> tuple[Span, Span]:
    """Return the ends of the map's axes for a recipe, across [g/g] and up [1].

    They are usual ones, widened in steps to hold the marks of all variants, within what is still a
    dough; a mark beyond, or without powder, is not shown.
    """
    across = mixture.liquid_to_powder
    return (
        _widened(across[np.isfinite(across)], USUAL_ACROSS, WIDEST_ACROSS, 0.05),
        _widened(mixture.melt_fraction, USUAL_UP, WIDEST_UP, 0.02),
    )


def _widened(marks: Floats, usual: Span, widest: Span, step: float) -> Span:
    marks = marks[(marks >= widest[0]) & (marks <= widest[1])]
    if not marks.size:
        return usual
    low, high = float(marks.min()) - step / 4, float(marks.max()) + step / 4
    if low < usual[0]:
        usual = max(round(np.floor(low / step) * step, 6), widest[0]), usual[1]
    if high > usual[1]:
        usual = usual[0], min(round(np.ceil(high / step) * step, 6), widest[1])
    return usual


@dataclass(frozen=True, eq=False)
class Task:
    """A variant to be mapped; `ground` is all on which its map rests but the shares."""

    result: Evaluation
    variant: int
    way: Paths
    axes: tuple[Span, Span]
    ground: tuple[object, ...]

    @classmethod
    def of(cls, result: Evaluation, variant: int) -> "Task":
        """Return the task for a variant, its index."""
        mixture, had = result.mixture, result.conditions
        axes = limits(mixture)
        ground = (
            result.handbook,
            result.knowledge,
            (had.room, had.bath, had.liquids, had.window, float(had.batch_mass[variant])),
            mixture.place,
            [mixture.powders, mixture.liquids, mixture.melts],
            mixture.unknown,
            axes,
        )
        return cls(
            result, variant, paths(result.recipe, result.amounts, mixture, variant), axes, ground
        )

    @property
    def why_none(self) -> str:
        """Why there can be no shading, or ""."""
        if reason := self.way.why_not_liquid or self.way.why_not_melt:
            return reason
        if self.span_up is None:
            return "What is held or stays leaves hardly anything to scale within the axes."
        return ""

    @cached_property
    def span_up(self) -> Span | None:
        """Melt phases over which the map can be shaded, or None."""
        least, most = self.way.melt_reach
        y = np.linspace(max(self.axes[1][0], least), min(self.axes[1][1], most), 200)
        low, high = _reach(self.way, y, self.axes[0])
        wide = y[high - low > NARROWEST]
        is_span = wide.size > 1 and wide[-1] > wide[0]
        return (float(wide[0]), float(wide[-1])) if is_span else None

    @cached_property
    def mark(self) -> tuple[float, float]:
        """Place across (0 to 1 within reach) and melt phase of the variant."""
        low, high = _reach(self.way, self.way.melt_fraction, self.axes[0])
        place = (self.way.liquid_to_powder - float(low)) / (float(high) - float(low))
        return place, self.way.melt_fraction

    def shares(self, across: Floats, up: Floats) -> Floats:
        """Return the shares (up * across, rows) of the mix at nodes."""
        low, high = _reach(self.way, up, self.axes[0])
        x = low[:, None] + (high - low)[:, None] * across
        shares, _ = scaled_shares(self.way, x.ravel(), np.repeat(up, across.size))
        return shares


@dataclass(frozen=True, eq=False)
class Field:
    """The model at the nodes of one mix, and what carries it to any point.

    Attributes
    ----------
    paths : Paths
    across, up : arrays of nodes: place 0 to 1 of what can be reached, and melt phase [1]
    span_across : (float, float) [g/g], ends of the axis
    shares : array (up * across, rows) [1]
        The mix at the nodes.
    margins : array (up, across, 2, moments, draws) [ln Pa]
        Of the strength felt: over the tack cut, and under the firm one.
    scores : array (up, across, states)
        ln of how likely a dough that does not come clean is in each state.
    wetness, polar_demand : arrays (up, across) [1], [m^3/kg], medians at the knead
    weights : array (draws,)
    """

    paths: Paths
    across: Floats
    up: Floats
    span_across: Span
    shares: Floats
    margins: Small
    scores: Floats
    wetness: Floats
    polar_demand: Floats
    weights: Small

    def row_of_nodes(self, y: float) -> Small:
        """Return the margins (across, 2, moments, draws) at the nodes of a melt phase."""
        up = self._weights_up(np.array([y]), 3)[0].astype(np.float32)
        # Not by "@": matrices of that size are shared out to threads, which the window needs.
        nodes: Small = np.einsum("u,u...->...", up, self.margins)
        return nodes

    def weights_across(self, x: Floats, y: float) -> Small:
        """Return what each node of a row weighs at points of it: (points, across)."""
        weights: Small = self._weights_across(x, np.full(x.shape, y), 3).astype(np.float32)
        return weights

    def on_raster(self, values: Floats, x: Floats, y: Floats, degree: int = 3) -> Floats:
        """Return values (up, across, ...) of the nodes on a raster: (rows, columns, ...)."""
        up = self._weights_up(y, degree)
        across = self._weights_across(*np.meshgrid(x, y), degree)
        raster: Floats = np.einsum("ru,uc...,rkc->rk...", up, values, across, optimize=True)
        return raster

    def _weights_up(self, y: Floats, degree: int) -> Floats:
        up: Floats = self._splines[degree][1](np.clip(y, self.up[0], self.up[-1]))
        return up

    def _weights_across(self, x: Floats, y: Floats, degree: int) -> Floats:
        low, high = _reach(self.paths, y, self.span_across)
        across: Floats = self._splines[degree][0](np.clip((x - low) / (high - low), 0.0, 1.0))
        return across

    @cached_property
    def _splines(self) -> dict[int, tuple[Any, Any]]:
        return {d: (_spline(self.across, d), _spline(self.up, d)) for d in (1, 3)}


def _reach(way: Paths, y: ArrayLike, across: Span) -> tuple[Floats, Floats]:
    """Return the least and the largest liquid : powder at a melt phase, within the axis."""
    least, most = way.liquid_reach(y)
    return np.maximum(least, across[0]), np.minimum(most, across[1])


def _nodes(low: float, high: float, mark: float, count: int) -> Floats:
    """Return nodes from `low` to `high`, even on both sides of the mark, which is one of them."""
    least = 1e-3 * (high - low)
    if not low + least < mark < high - least:
        nodes = np.linspace(low, high, count)
        if low <= mark <= high:
            nodes[-1 if mark > (low + high) / 2 else 0] = mark
        return nodes
    below = int(np.clip(round((count - 1) * (mark - low) / (high - low)), 1, count - 2))
    return np.concatenate(
        [np.linspace(low, mark, below + 1), np.linspace(mark, high, count - below)[1:]]
    )


def _spline(nodes: Floats, degree: int) -> Any:
    """Return the function from places to the weights of the nodes, a constant matrix.

    Of degree 1 it is linear between nodes; of degree 3 it is the cubic spline whose third
    derivative does not jump at the second node from either end. SciPy has it, but its module
    brings 40 MB and 0.3 s with it, for these few nodes.
    """
    count = nodes.size
    steps: Floats = np.diff(nodes)
    one: Floats = np.eye(count)
    bend: Floats = np.zeros((count, count))
    if degree == 3:
        before, after = steps[:-1], steps[1:]
        inner = np.arange(1, count - 1)
        left = np.zeros((count, count))
        left[inner, inner - 1], left[inner, inner + 1] = before, after
        left[inner, inner] = 2 * (before + after)
        left[0, :3] = steps[1], -steps[0] - steps[1], steps[0]
        left[-1, -3:] = steps[-1], -steps[-1] - steps[-2], steps[-2]
        right = np.zeros((count, count))
        right[inner] = 6 * np.diff(np.diff(one, axis=0) / steps[:, None], axis=0)
        bend = np.linalg.solve(left, right).astype(float)

    def weights(at: Floats) -> Floats:
        span = np.clip(np.searchsorted(nodes, at) - 1, 0, count - 2)
        far = ((at - nodes[span]) / steps[span])[..., None]
        near = 1 - far
        curved = (near**3 - near) * bend[span] + (far**3 - far) * bend[span + 1]
        found: Floats = (
            near * one[span] + far * one[span + 1] + curved * (steps[span] ** 2 / 6)[..., None]
        )
        return found

    return weights


def model_at_nodes(task: Task, stop: Callable[[], bool]) -> Field | None:
    """Return the model at the nodes, or None when stopped."""
    if task.span_up is None:
        return None
    across = _nodes(0.0, 1.0, task.mark[0], NODES_ACROSS)
    up = _nodes(*task.span_up, task.mark[1], NODES_UP)
    shares = task.shares(across, up)
    moments = Moments.of(task.result)
    margins, scores, wetness, demand = [], [], [], []
    # One row of nodes at a time: its melt is one blend, and no step is long to wait for.
    for row in np.split(shares, up.size):
        if stop():
            return None
        mixture = task.result.mixture.with_shares(row)
        warmth = _course(task, mixture)
        for node in range(len(row)):
            if stop():
                return None
            one = moments.dough(mixture, node, warmth)
            margin = moments.margins(one.log_strength, one.tack_cut, one.crumble_cut)
            margins.append(margin.astype(np.float32))
            scores.append(moments.scores(one, margin))
            wetness.append(one.wetness[moments.knead])
            demand.append(one.polar_demand[moments.knead])
    shape = (up.size, across.size)
    spread = task.result.spread
    return Field(
        task.way,
        across,
        up,
        task.axes[0],
        shares,
        np.stack(margins).reshape(*shape, *margins[0].shape),
        np.stack(scores).reshape(*shape, len(STATES)),
        spread(np.stack(wetness)).value.reshape(shape),
        spread(np.stack(demand)).value.reshape(shape),
        task.result.weights.astype(np.float32),
    )


def _course(task: Task, mixture: Mixture) -> heat.Course:
    """Return how nodes cool and set, at the times of the evaluation up to the window's end.

    The same times make the same steps, and these the same numbers as those of the evaluation.
    """
    result = task.result
    batch = np.full(len(mixture.powder_shares), float(result.conditions.batch_mass[task.variant]))
    return heat.course(
        mixture,
        replace(result.conditions, batch_mass=batch),
        result.times[: result.window[-1] + 1],
        result.handbook,
        result.knowledge,
    )


@dataclass(frozen=True, eq=False)
class Moments:
    """The moments at which a dough is felt, and what all nodes share at them."""

    at: np.ndarray  # indices into the times of the evaluation
    window: np.ndarray  # which of them make the chance
    knead: int
    clock: Clock
    factors: Floats
    drawn: DoughDraws
    result: Evaluation

    @classmethod
    def of(cls, result: Evaluation) -> "Moments":
        """Return the moments of an evaluation."""
        handbook, knowledge = result.handbook, result.knowledge
        at = np.union1d(result.window, [result.knead])
        drawn = dough_draws(handbook, knowledge)
        powders = result.mixture.powders
        return cls(
            at,
            np.searchsorted(at, result.window),
            int(np.searchsorted(at, result.knead)),
            clock(
                result.times[at],
                result.conditions.window[1],
                {powder.material_class for powder in powders},
                handbook,
                drawn,
            ),
            uptake_factors(powders, handbook, knowledge),
            drawn,
            result,
        )

    def dough(self, mixture: Mixture, node: int, course: heat.Course) -> Dough:
        """Return the dough of a node; nothing has dried out before it is shaped."""
        handbook, knowledge = self.result.handbook, self.result.knowledge
        row = knowledge.melt_row
        temperature, set_share = course.temperature[node, self.at], course.set_share[node, self.at]
        share = with_melt_error(np.clip(set_share, 0.0, 1.0)[:, row], mixture, node, self.drawn)
        warmth = Heat(temperature[:, row], temperature, share)
        dry = np.zeros_like(share)
        return dough(
            mixture, node, warmth, dry, self.clock, self.factors, self.drawn, handbook, knowledge
        )

    def margins(self, log_strength: Floats, tack_cut: Floats, crumble_cut: Floats) -> Floats:
        """Return the margins (2, moments of the window, draws) from arrays over all moments."""
        firm = np.log(self.result.handbook.parameters["firm_strength"].si)
        felt = log_strength[self.window] + self.drawn.rating
        stiff = np.minimum(firm, crumble_cut[self.window])
        return np.stack([felt - tack_cut[self.window], stiff - felt])

    def scores(self, one: Dough, margins: Floats) -> Floats:
        """Return ln of the chance of each state (states,) at the window's end, where not clean.

        A clean draw counts a little too: where none fails, it tells the side nearest to failing.
        """
        p, end = self.result.handbook.parameters, self.window[-1]
        clean = (margins >= 0).all(axis=0).any(axis=0)
        chances = flow.state_chances(
            one.log_strength[end],
            (
                np.log(p["slack_strength"].si),
                one.tack_cut[end],
                np.log(p["firm_strength"].si),
                one.crumble_cut[end],
            ),
            p["rating_sd"].si,
        )
        scores: Floats = chances @ (self.result.weights * np.where(clean, _CLEAN_COUNTS, 1.0))
        return np.log(np.maximum(scores, 1e-9))
