"""The search for the smallest moves of rows that reach a goal.

Taking from one row and giving to another is a line through the space of recipes. Every such line
is screened at once with margins that are linear in the figures, at few draws; the nearest lines
are then followed with all draws. A third row joins only where no two suffice.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from designer.advice.line import GRID, Line, directions, with_guess
from designer.advice.moves import Room, eased
from designer.advice.nearby import Nearby
from designer.advice.wishes import Goal, Reached, Wish
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.forecast import Forecast
from designer.vocabulary import Floats

__all__ = ["LONGEST", "Found", "Line", "Search"]

_FEW = 64
"""Draws that lines are screened with."""

_SOFT = 0.15
"""How softly a draw counts as clean while screening [ln Pa]: half the scatter of a hand."""

_MOST_ROWS = 32
"""Rows that take part in exchanges; beyond, those that do most."""

LONGEST = 20.0
"""No line is followed further [percent]: that is another recipe."""

_TRIFLE = 0.2
"""Least by which a row moves along with two others [percent]: less is a row more to weigh for
nothing that anybody feels."""

_MOST_LATER = 8
"""Moments after the window at most that a wish asks for."""

_PROBE = 1.0
"""Percent added to a row for its slope."""


@dataclass(frozen=True, eq=False)
class Found:
    """A place on a line.

    Attributes
    ----------
    percents : array (rows,) [percent]
    change : array (rows,) [percent]
        From the recipe.
    reached : Reached
        With all draws, heat carried over by its slopes.
    meets : bool
    line : Line
    """

    percents: Floats
    change: Floats
    reached: Reached
    meets: bool
    line: Line

    @property
    def size(self) -> float:
        """Half of all that moves, from the recipe [percent]."""
        return float(np.abs(self.change).sum()) / 2


@dataclass(eq=False)
class Search:
    """The doughs around one variant, and what has been learnt about them.

    Attributes
    ----------
    room : Room
    wish : Wish
    goal : Goal
    near, few : Nearby
        With all draws, and with those that lines are screened with.
    evaluations : int
        How many doughs were asked for.
    """

    room: Room
    wish: Wish
    goal: Goal
    near: Nearby
    few: Nearby
    evaluations: int = 0
    _slopes: dict[int, Floats] = field(default_factory=dict)
    _known: dict[bytes, Reached] = field(default_factory=dict)

    @classmethod
    def of(cls, result: Evaluation, variant: int, wish: Wish, stop: Callable[[], bool]) -> "Search":
        """Return the search around a variant of a result under the wish's conditions."""
        recipe = result.recipe
        had = wish.reached(result.forecasts[variant])
        return cls(
            Room.of(result, variant),
            wish,
            wish.goal(had, recipe.bench.wanted),
            _near(result, variant, result.knowledge.draws, stop),
            _near(result, variant, _FEW, stop),
        )

    @property
    def start(self) -> Floats:
        """Figures of the variant (rows,) [percent]."""
        return self.room.percents

    def reached(self, percents: Floats) -> Reached:
        """Return how far a dough of these figures (rows,) [percent] is, with all draws."""
        key = np.round(percents, 7).tobytes()
        if key not in self._known:
            self.evaluations += 1
            one = self.near.forecasts(percents / percents.sum())[0]
            self._known[key] = self.wish.reached(one)
        return self._known[key]

    def score(self, reached: Reached) -> float:
        """Return how far beyond the goal a dough is, on a scale that is even along a line."""
        chance = _probit(reached.chance) - _probit(self.goal.chance)
        if self.wish.kind == "less-melt":
            return min(chance, 100 * (self.goal.value + 2e-5 - reached.value))
        if self.wish.kind == "firmer":
            return min(chance, float(np.log(max(reached.value, 1.0) / self.goal.value)))
        return _probit(reached.value) - _probit(self.goal.value)

    def meets(self, reached: Reached) -> bool:
        """Return whether the goal itself is reached, not merely as it is told."""
        if reached.chance < min(self.goal.chance, 1.0) - 1e-9:
            return False
        if self.goal.is_most:
            return reached.value <= self.goal.value + 5e-5
        return reached.value >= self.goal.value - 1e-9

    def lines(
        self, rows: NDArray[np.intp], start: Floats | None = None, least: float | None = None
    ) -> list[Line]:
        """Return all exchanges of two rows, and single rows where the total is not 100.

        Those shorter than `least` [percent], a step unless said, are left out.
        """
        least = self.room.step if least is None else least
        start = self.start if start is None else start
        found = []
        for direction, moved in directions(rows.tolist(), start.size, self.room.lack):
            far, limit = self.room.reach(start, direction)
            if len(moved) == 1 and self.room.lack:
                far = min(far, abs(self.room.lack))
            far = min(far, LONGEST)
            if far >= least:
                found.append(Line(start, direction, far, limit, moved))
        return found

    def busiest(self, rows: NDArray[np.intp]) -> NDArray[np.intp]:
        """Return the rows that take part: all, or those of the largest effect."""
        if rows.size <= _MOST_ROWS:
            return rows
        effect = [float(np.abs(self._slope(k)).mean()) for k in rows.tolist()]
        return np.sort(rows[np.argsort(effect)[::-1][:_MOST_ROWS]])

    def screened(self, lines: list[Line]) -> list[Line]:
        """Return lines with what is expected of each, the most promising first."""
        if not lines:
            return []
        done = []
        for first in range(0, len(lines), 64):
            if self.near.stop():
                raise InterruptedError
            part = lines[first : first + 64]
            scores = self._expected(part)
            for line, row in zip(part, scores, strict=True):
                done.append(with_guess(line, row))
        return sorted(done, key=lambda one: (one.guess * one.weight, -one.hope))

    def followed(self, line: Line, or_best: bool = True) -> Found | None:
        """Return the nearest place on a line that reaches the goal, or None.

        Where there is none it is the best place, if that is wanted. Figures are in steps that a
        scale can weigh.
        """
        far = self._root(line)
        if far is None:
            return self.top(line) if or_best else None
        by = eased(far * line.weight, self.room.step) / line.weight
        for steps in range(max(int(np.floor(far / by + 1e-6)), 1), int(np.ceil(far / by)) + 4):
            size = round(steps * by, 6)
            if size > line.far + 1e-9:
                break
            place = self._found(line, size)
            if place.meets:
                return place
        return self.top(line)

    def nearer(self, one: Found, far: float) -> Found | None:
        """Return the place on the same line about so far [percent], short of a place; or None.

        None also where the line does not begin at the recipe, or moves more rows than two.
        """
        if len(one.line.rows) > 2 or not np.array_equal(one.line.start, self.start):
            return None
        by = eased(far, self.room.step)
        size = round(np.ceil(far / by - 1e-6) * by, 6)
        if not 0 < size < one.size - 1e-6:
            return None
        return self._found(one.line, size / one.line.weight)

    def without_trifles(self, places: Iterable[Found]) -> list[Found]:
        """Return places without the rows that hardly move along with two others.

        What moves against them moves that much less, which cannot leave what held before.
        """
        plain = (self._without_trifles(one) for one in places)
        return [one for one in plain if one is not None]

    def _without_trifles(self, one: Found) -> Found | None:
        change = np.where(np.abs(one.change) < _TRIFLE - 1e-6, 0.0, one.change)
        if np.count_nonzero(np.abs(one.change) > 5e-7) <= 2 or np.array_equal(change, one.change):
            return one
        rest = float(one.change.sum() - change.sum())
        against = change if rest < 0 else -change
        change[int(against.argmax())] += rest
        size = float(np.abs(change).sum()) / 2
        rows = tuple(np.flatnonzero(change).tolist())
        if size < self.room.step or len(rows) < 2:
            return None
        far, limit = self.room.reach(self.start, change / size)
        line = Line(self.start, change / size, min(far, LONGEST), limit, rows, size, size)
        return self.followed(line)

    def top(self, line: Line) -> Found | None:
        """Return the best place on a line, of a few; None where it does not help."""
        tried = [(self.score(self.reached(line.start)), 0.0)]
        for far in (line.far * np.array([0.25, 0.5, 0.75, 1.0])).tolist():
            by = eased(far, self.room.step)
            size = round(np.floor(far / by + 1e-6) * by, 6)
            tried.append((self._score_at(line, size), size))
        size = max(tried, key=lambda pair: pair[0])[1]
        if size <= 0:
            return None
        best = self._found(line, size)
        # Where no more can be had, what is told as wanted is enough.
        return replace(best, meets=self.goal.is_met(best.reached, self.wish.is_chance))

    def _found(self, line: Line, far: float) -> Found:
        percents = self._weighable(line, far)
        reached = self.reached(percents)
        return Found(percents, percents - self.start, reached, self.meets(reached), line)

    def _weighable(self, line: Line, far: float) -> Floats:
        """Return the figures so far along a line, each moved row in steps of the scale."""
        percents = line.at(far)
        if len(line.rows) <= 2:
            return percents
        # Of many rows each is rounded, and the one that moves most takes what is left over.
        by = max(self.room.step, 0.1)
        moves = np.round((percents - line.start) / by) * by
        largest = int(np.abs(moves).argmax())
        moves[largest] += far * line.direction.sum() - moves.sum()
        rounded: Floats = np.maximum(line.start + np.round(moves, 6), 0.0)
        return rounded

    def strengths(self, rows: NDArray[np.intp]) -> Floats:
        """Return by how much ln strength at the knead rises per percent of each row (rows,)."""
        found = np.zeros_like(self.start)
        base = self._log_strength(self.start)
        for row in rows.tolist():
            moved = self.start.copy()
            moved[row] += _PROBE
            found[row] = (self._log_strength(moved) - base) / _PROBE
        return found

    def _log_strength(self, percents: Floats) -> float:
        self.evaluations += 1
        one = self.few.forecasts(percents / percents.sum())[0]
        return float(np.median(one.log_strength[one.scene.knead]))

    def is_too_dry(self) -> bool:
        """Return whether most draws that fail at the window's end are too firm, not too soft."""
        one = self.few.forecasts(self.start / self.start.sum())[0]
        over, under = self.few.margins(one)[:, -1]
        return bool((under < 0).sum() > (over < 0).sum())

    def _root(self, line: Line) -> float | None:
        """Return where a line reaches the goal first, to a fraction of a step; None where never."""
        low, below = 0.0, self._score_at(line, 0.0)
        if below >= 0:
            return 0.0
        first = line.guess if np.isfinite(line.guess) else line.peak
        # What was expected of the line may be wrong, so that a few other places are tried too.
        for high in (first, 1.2 * first, 0.5 * line.far, 0.75 * line.far, line.far):
            high = min(high or line.far, line.far)
            above = self._score_at(line, high)
            if above >= 0:
                break
            if low < high < first * 1.5 and above > below:
                low, below = high, above
        else:
            return None
        if high < low:
            low, below = 0.0, self._score_at(line, 0.0)
        for _ in range(6):
            if high - low <= 0.5 * eased(high, self.room.step):
                break
            middle = low - below * (high - low) / (above - below)
            middle = float(np.clip(middle, low + 0.05 * (high - low), high - 0.05 * (high - low)))
            value = self._score_at(line, middle)
            if value < 0:
                low, below = middle, value
            else:
                high, above = middle, value
        # Chances of draws come in steps, so that the root itself is met just behind it.
        return low - below * (high - low) / (above - below)

    def _score_at(self, line: Line, far: float) -> float:
        return self.score(self.reached(line.at(far)))

    def _slope(self, row: int) -> Floats:
        """Return by how much what decides changes per percent of a row: (features, draws)."""
        if row not in self._slopes:
            moved = self.start.copy()
            moved[row] += _PROBE
            self._slopes[row] = (self._features(moved) - self._base) / _PROBE
        return self._slopes[row]

    @property
    def _base(self) -> Floats:
        if -1 not in self._slopes:
            self._slopes[-1] = self._features(self.start)
        return self._slopes[-1]

    def _features(self, percents: Floats) -> Floats:
        """Return the margins, and what else decides, of a dough: (features, draws)."""
        self.evaluations += 1
        one = self.few.forecasts(percents / percents.sum())[0]
        margins = self.few.margins(one)
        parts = [margins.reshape(-1, margins.shape[-1])]
        if self.wish.kind == "bars":
            parts.append(_later(one))
        elif self.wish.kind == "firmer":
            parts.append(np.log(one.firmness[-1])[None])
        elif self.wish.kind == "less-melt":
            parts.append(np.full((1, margins.shape[-1]), one.mixture.melt_fraction[0]))
        return np.concatenate(parts).astype(np.float32)

    def _expected(self, lines: list[Line]) -> Floats:
        """Return the scores (lines, grid) expected along lines."""
        rows = sorted({row for line in lines for row in line.rows})
        slopes = np.stack([self._slope(row) for row in rows])
        moves = np.array([line.direction[rows] for line in lines], dtype=np.float32)
        along = np.einsum("lr,rfk->lfk", moves, slopes, optimize=True)
        base = self._base
        if not np.array_equal(lines[0].start, self.start):
            base = self._features(lines[0].start)
        far = np.array([line.far for line in lines])[:, None] * GRID
        found = np.empty(far.shape)
        for place in range(GRID.size):
            found[:, place] = self._linear_score(
                base + far[:, place, None, None].astype(np.float32) * along
            )
        return found + self._shift

    @cached_property
    def _shift(self) -> float:
        """What brings the few draws, softly read, to all of them, where the recipe stands."""
        soft = float(self._linear_score(self._base[None])[0])
        return float(np.clip(self.score(self.reached(self.start)) - soft, -0.5, 0.5))

    def _linear_score(self, features: Floats) -> Floats:
        """Return the scores (lines,) of features (lines, features, draws)."""
        moments = self.few.scene.window.size
        over, under = features[:, :moments], features[:, moments : 2 * moments]
        inside, rest = np.minimum(over, under), features[:, 2 * moments :]
        if self.wish.kind == "bars":
            inside = np.minimum(inside, rest)
        score = _soft_probit(inside) - _probit(self.goal.chance)
        if self.wish.is_chance:
            return score
        middle: Floats = np.median(rest[:, 0], axis=-1)
        if self.wish.kind == "firmer":
            middle -= np.log(self.goal.value)
        else:
            middle = 100 * (self.goal.value + 2e-5 - middle)
        np.minimum(score, middle, out=score)
        return score


def _near(result: Evaluation, variant: int, draws: int, stop: Callable[[], bool]) -> Nearby:
    """Return the doughs near a variant, at all moments after the window that were evaluated."""
    near = Nearby.of(result, variant, draws, stop=stop)
    scene = near.scene
    later = result.times[result.times > scene.times[-1] + 1e-6]
    # Only a clock that was made for a wish ends soon; what a whole one says is not asked for.
    if later.size > _MOST_LATER:
        return near
    longer = replace(scene, times=np.append(scene.times, later))
    return replace(near, scene=longer)


def _later(one: Forecast) -> Floats:
    """Return by how much a dough is still soft enough when the last bar is due.

    For each moment of the window (moments, draws) [ln Pa], if pressing begins then.
    """
    scene = one.scene
    times, window = scene.times, scene.window
    firm = np.log(scene.handbook.parameters["firm_strength"].si)
    felt = one.log_strength + scene.drawn.rating
    margin = np.minimum(firm, one.crumble_cut) - felt
    due = times[window] + (times[-1] - times[window[-1]])
    later = np.searchsorted(times, due - 1e-6).clip(0, times.size - 1)
    due_margin: Floats = margin[later]
    return due_margin


_NORMAL = NormalDist()


def _probit(chance: float) -> float:
    return _NORMAL.inv_cdf(min(max(chance, 1e-4), 1 - 1e-4))


def _soft_probit(inside: Floats) -> Floats:
    """Return the probit (lines,) of the chance to be clean, softly.

    `inside` (lines, moments, draws) [ln Pa] is how far a draw is from failing at each moment. The
    logistic curve stands for the normal one here and back again, for it is quicker.
    """
    best = inside.max(axis=1).astype(float)
    clean = 1 / (1 + np.exp(np.clip(-1.702 / _SOFT * best, -30, 30)))
    chance = np.clip(clean.mean(axis=-1), 1e-4, 1 - 1e-4)
    found: Floats = np.log(chance / (1 - chance)) / 1.702
    return found
