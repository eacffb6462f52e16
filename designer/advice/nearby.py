"""The doughs near a recipe, each at a fraction of what an evaluation costs.

Advice asks for hundreds of doughs that differ by a few per cent. What costs most of an evaluation
is the march of the heat, and for fats the table of their equilibrium; both change little and
smoothly. So temperature and set share are carried over from the recipe by their slopes, one per
material, and all else is the model itself, with fewer draws. What is shown of a change is
evaluated in full.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from designer.evaluation import heat
from designer.evaluation.evaluate import DAY, Evaluation
from designer.evaluation.forecast import Forecast, Scene, forecast, forecast_key
from designer.evaluation.heat import Course
from designer.evaluation.knowledge import Knowledge, resampled
from designer.evaluation.mixture import Mixture
from designer.vocabulary import Floats

__all__ = ["DRAWS", "Nearby", "thinned"]

DRAWS = 128
"""Draws that a dough nearby uses unless asked otherwise."""

_STEP = 0.01
"""Mass added per mass of dough for a slope [1]."""

_SAME_BLEND = 1e-9
"""Change of a melt's proportions that counts as none, per mass of dough [1]."""

Place = tuple[str, int]


def thinned(knowledge: Knowledge, key: Floats, draws: int) -> Knowledge:
    """Return fewer draws that stand for all, evenly weighted and stratified along `key` (draws,).

    The key is what is asked about, as the strength at the knead: then a chance moves least.
    """
    if knowledge.rows is None or knowledge.draws <= draws:
        return knowledge
    chosen = resampled(knowledge.weights, key, draws)
    return Knowledge(knowledge.rows[chosen], np.full(draws, 1 / draws), knowledge.basis)


@dataclass(frozen=True, eq=False)
class Nearby:
    """The doughs near one variant of an evaluated recipe.

    Rows are those of the recipe. To ask for a material that is not in it, give the recipe a row
    of it at 0 % first, and evaluate that.

    Attributes
    ----------
    mixture : Mixture
        Of all variants; gives each row its material.
    shares : array (rows,) [1]
        Of the variant itself.
    batch_mass : float [kg]
    scene : Scene
        Moments of the window, the knead, and a day where asked for; the draws used.
    stop : callable
        Asked before each slow step whether to give up.
    """

    mixture: Mixture
    shares: Floats
    batch_mass: float
    scene: Scene
    stop: Callable[[], bool]

    @classmethod
    def of(
        cls,
        result: Evaluation,
        variant: int,
        draws: int = DRAWS,
        days: bool = False,
        stop: Callable[[], bool] = lambda: False,
    ) -> "Nearby":
        """Return the doughs near a variant, its index; with `days` up to one day after the pour."""
        had = result.forecasts[variant]
        moments = np.union1d(result.times[result.window], [result.times[result.knead]])
        times = np.append(moments, DAY) if days else moments
        knead = int(np.searchsorted(moments, result.times[result.knead]))
        window = np.searchsorted(moments, result.times[result.window])
        knowledge = thinned(result.knowledge, had.log_strength[result.knead], draws)
        conditions = replace(
            result.conditions, batch_mass=result.conditions.batch_mass[variant : variant + 1]
        )
        return cls(
            result.mixture,
            result.amounts.shares[variant],
            float(conditions.batch_mass[0]),
            Scene(times, knead, window, conditions, result.handbook, knowledge),
            stop,
        )

    def forecasts(self, shares: ArrayLike) -> list[Forecast]:
        """Return the dough of each point, `shares` (points, rows) [1], each to sum to 1.

        Raises
        ------
        InterruptedError
            `stop` said so.
        """
        points = np.atleast_2d(np.asarray(shares, dtype=float))
        mixture = self.mixture.with_shares(points)
        return [self._forecast(mixture, point) for point in range(len(points))]

    def chances(self, shares: ArrayLike) -> Floats:
        """Return the chance of a clean knead at points (points, rows): (points,).

        With few draws a level is rough; what a change does to it is surer.
        """
        return np.array([one.clean_knead_chance for one in self.forecasts(shares)])

    def margins(self, one: Forecast) -> Floats:
        """Return how far a dough is from failing: (2, moments, draws) [ln Pa].

        Of the strength felt: over the tack cut, and under the firm or crumble cut. A draw comes
        clean where both are at least 0 at one moment of the window.
        """
        window = self.scene.window
        firm = np.log(self.scene.handbook.parameters["firm_strength"].si)
        felt = one.log_strength[window] + self.scene.drawn.rating
        stiff = np.minimum(firm, one.crumble_cut[window])
        return np.stack([felt - one.tack_cut[window], stiff - felt])

    def _forecast(self, mixture: Mixture, point: int) -> Forecast:
        if self.stop():
            raise InterruptedError
        lone = mixture.alone(point)
        change = {
            kind: getattr(mixture, f"{kind}_shares")[point] - self._own[kind]
            for kind in ("powder", "liquid", "melt")
        }
        course = self._course(change)
        return forecast(forecast_key(lone, self.batch_mass), lone, course, self.scene)

    @cached_property
    def _own(self) -> dict[str, Floats]:
        own = self.mixture.with_shares(self.shares[None])
        return {kind: getattr(own, f"{kind}_shares")[0] for kind in ("powder", "liquid", "melt")}

    def _course(self, change: dict[str, Floats]) -> Course:
        """Return heat and setting where shares have changed so much."""
        found = [array.copy() for array in self._base]
        for kind in ("powder", "liquid"):
            for index in np.flatnonzero(change[kind]).tolist():
                _add(found, change[kind][index], self._plain_slopes[kind, index])
        melt = change["melt"]
        # More of the same blend needs no new table, and most changes are that.
        if melt.any() and self._blend is not None:
            _add(found, melt.sum(), self._plain_slopes["melt", -1])
            melt = melt - melt.sum() * self._blend
        for index in np.flatnonzero(np.abs(melt) > _SAME_BLEND).tolist():
            _add(found, melt[index], self._melt_slope(index, melt[index] > 0))
        temperature, set_share, ageing = found
        # Far along a slope more would be set than there is, now or once it has aged.
        set_share = np.clip(set_share, 0.0, 1.0)
        return Course(temperature, set_share, np.clip(ageing, 0.0, 1.0 - set_share))

    @cached_property
    def _blend(self) -> Floats | None:
        """Proportions of the variant's melt, or None without melt."""
        total = self._own["melt"].sum()
        return self._own["melt"] / total if total > 0 else None

    @cached_property
    def _base(self) -> list[Floats]:
        return self._marched([self._own])[0]

    @cached_property
    def _plain_slopes(self) -> dict[Place, list[Floats]]:
        """Slopes of powders, of liquids and of the melt as it is (index -1), in one march."""
        places: list[Place] = [
            (kind, index) for kind in ("powder", "liquid") for index in range(self._own[kind].size)
        ]
        changed = [self._changed(kind, index) for kind, index in places]
        if self._blend is not None:
            places.append(("melt", -1))
            changed.append({**self._own, "melt": self._own["melt"] + _STEP * self._blend})
        return dict(zip(places, self._slopes(changed), strict=True))

    @cached_property
    def _melt_slopes(self) -> dict[tuple[int, bool], list[Floats]]:
        return {}

    def _melt_slope(self, index: int, up: bool) -> list[Floats]:
        """Return the slope of one melt material up or down, each a blend of its own.

        It is found when it is first asked for: a table of a blend is what costs most here.
        """
        # Where there is nothing to take away, what the others lose tells the same.
        up = up or self._own["melt"][index] <= 0
        if (index, up) not in self._melt_slopes:
            if self.stop():
                raise InterruptedError
            step = _STEP if up else -min(_STEP, float(self._own["melt"][index]))
            changed = self._changed("melt", index, step)
            self._melt_slopes[index, up] = self._slopes([changed], step)[0]
        return self._melt_slopes[index, up]

    def _changed(self, kind: str, index: int, step: float = _STEP) -> dict[str, Floats]:
        more = self._own[kind].copy()
        more[index] += step
        return {**self._own, kind: more}

    def _slopes(self, changed: list[dict[str, Floats]], step: float = _STEP) -> list[list[Floats]]:
        return [
            [(new - old) / step for new, old in zip(one, self._base, strict=True)]
            for one in self._marched(changed)
        ]

    def _marched(self, changed: list[dict[str, Floats]]) -> list[list[Floats]]:
        """Return temperature, set share and ageing, each (times, melt draws), of doughs."""
        lone = [self._alone(one) for one in changed]
        conditions = replace(self.scene.conditions, batch_mass=np.full(len(lone), self.batch_mass))
        courses = heat.courses(
            lone, conditions, self.scene.times, self.scene.handbook, self.scene.knowledge
        )
        every = zip(courses.temperature, courses.set_share, courses.ageing, strict=True)
        return [list(one) for one in every]

    def _alone(self, one: dict[str, Floats]) -> Mixture:
        """Return a dough as a mixture, its masses brought to shares."""
        total = sum(float(masses.sum()) for masses in one.values())
        return replace(
            self.mixture,
            powder_shares=one["powder"][None] / total,
            liquid_shares=one["liquid"][None] / total,
            melt_shares=one["melt"][None] / total,
        ).alone(0)


def _add(found: list[Floats], by: float, slope: list[Floats]) -> None:
    """Add a slope times a change to arrays, in place."""
    for array, one in zip(found, slope, strict=True):
        array += by * one
