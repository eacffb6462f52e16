"""One evaluation of a recipe: the arrays and summaries that every view and command reads."""

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from designer.evaluation import heat
from designer.evaluation.dough import Dough
from designer.evaluation.forecast import Forecast, Scene, forecast, forecast_key
from designer.evaluation.heat import Conditions, Course
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.marks import Mark
from designer.evaluation.mixture import Mixture, mix
from designer.evaluation.spread import Spread, spread
from designer.handbook import Handbook
from designer.recipe import Amounts, Recipe, resolve
from designer.vocabulary import Floats

MINUTE = 60.0
HOUR = 3600.0
DAY = 86400.0
WINDOW_STEPS = np.array([0.0, 1, 2, 3, 4, 5, 7, 9, 11, 13, 15]) / 15
"""Where within the maker's kneading window the dough is felt: 5, 6, ... 10, 12, ... 20 min."""
USUAL_KNEAD = 600.0
"""The moment [s] that readings at the knead are given for, unless the window ends before it."""
LAST_TIME = 28 * DAY


@dataclass(frozen=True, eq=False)
class Evaluation:
    """Everything known about a recipe, read-only.

    What a variant does stands in its forecast. The arrays over (variants, times, draws) are put
    together from there when they are first asked for.

    Attributes
    ----------
    recipe, amounts, mixture, conditions
        What was evaluated.
    scene : Scene
        Times, and what else the variants share.
    forecasts : tuple of Forecast, one per variant
    """

    recipe: Recipe
    amounts: Amounts
    mixture: Mixture
    conditions: Conditions
    scene: Scene
    forecasts: tuple[Forecast, ...]

    @property
    def knowledge(self) -> Knowledge:
        """The draws it rests on."""
        return self.scene.knowledge

    @property
    def handbook(self) -> Handbook:
        """The tables it rests on."""
        return self.scene.handbook

    @property
    def times(self) -> Floats:
        """Times [s] from the first contact of melt and powder (times,)."""
        return self.scene.times

    @property
    def knead(self) -> int:
        """Index of the moment the readings at the knead are given for."""
        return self.scene.knead

    @property
    def window(self) -> np.ndarray:
        """Indices of the moments within the maker's kneading window."""
        return self.scene.window

    @property
    def weights(self) -> Floats:
        """Weights of the draws (draws,)."""
        return self.knowledge.weights

    def _stacked(self, name: str) -> Floats:
        arrays = [getattr(one, name) for one in self.forecasts]
        return _read_only(arrays[0][None] if len(arrays) == 1 else np.stack(arrays))

    @cached_property
    def temperature(self) -> Floats:
        """Temperature of the dough [K]."""
        return self._stacked("temperature")

    @cached_property
    def melt_liquid_share(self) -> Floats:
        """Liquid share of the melt by mass [1]."""
        return self._stacked("melt_liquid_share")

    @cached_property
    def wetness(self) -> Floats:
        """Wetness of the dough, also within the bar [1]."""
        return self._stacked("wetness")

    @cached_property
    def firmness(self) -> Floats:
        """Firmness [Pa]: the dough's while kneaded, the bar's after shaping."""
        return self._stacked("firmness")

    @cached_property
    def log_strength(self) -> Floats:
        """Strength of the dough, also within the bar [ln Pa]."""
        return self._stacked("log_strength")

    @cached_property
    def tack_cut(self) -> Floats:
        """Strength of the dough below which it sticks [ln Pa]."""
        return self._stacked("tack_cut")

    @cached_property
    def crumble_cut(self) -> Floats:
        """Strength of the dough above which it crumbles [ln Pa]."""
        return self._stacked("crumble_cut")

    @cached_property
    def polar_demand(self) -> Floats:
        """Demand for polar liquid at the knead (variants, draws) [m^3/kg]."""
        return self._stacked("polar_demand")

    @cached_property
    def oil_share(self) -> Floats:
        """Share of fat in all that is liquid or fat, at the knead (variants, draws) [1]."""
        return self._stacked("oil_share")

    @cached_property
    def water(self) -> Floats:
        """Water of liquids and powders (variants, draws) [1]."""
        return self._stacked("water")

    @cached_property
    def kept_water(self) -> Floats:
        """Water in balance with the room (variants, draws) [1]."""
        return self._stacked("kept_water")

    @cached_property
    def lost_water(self) -> Floats:
        """Water dried out since shaping [1]; negative where the bar drinks."""
        return self._stacked("lost_water")

    @cached_property
    def bar_weight_share(self) -> Floats:
        """Weight of the bar over its weight as shaped [1]."""
        return self._stacked("bar_weight_share")

    @cached_property
    def clean(self) -> Floats:
        """Whether each draw is felt clean within the window, 1 or 0 (variants, draws)."""
        return self._stacked("clean")

    @property
    def doughs(self) -> tuple[Dough, ...]:
        """The dough of each variant with its volumes, made anew at each access."""
        return tuple(one.dough() for one in self.forecasts)

    @cached_property
    def clean_knead_chance(self) -> Floats:
        """Chance of a clean knead within the maker's window (variants,)."""
        return _read_only(np.array([one.clean_knead_chance for one in self.forecasts]))

    @cached_property
    def state_chances(self) -> Floats:
        """Chance of each state at each time: (variants, times, 5), dry to wet."""
        return self._stacked("every_state_chance")

    def spread(self, draws_of: Floats) -> Spread:
        """Return median and 80 % interval over the last axis under this knowledge."""
        return spread(draws_of, self.weights)

    def spread_over_time(self, variant: int) -> dict[str, Spread]:
        """Return medians and intervals (times,) of what the clock of a variant shows, in SI.

        By name: "temperature", "wetness", "firmness", "bar_weight_share", and any other attribute
        over time; each is made when it is first asked for.
        """
        return self.forecasts[variant].spreads

    @cached_property
    def marks(self) -> dict[str, Mark]:
        """The marks on the dough clock, each over (variants,)."""
        every = [one.marks for one in self.forecasts]
        return {
            name: Mark(
                *(
                    _read_only(np.array([float(getattr(one[name], field)) for one in every]))
                    for field in ("low", "value", "high", "share")
                )
            )
            for name in every[0]
        }


def _read_only(array: Floats) -> Floats:
    array.flags.writeable = False
    return array


def knead_moment(window: tuple[float, float]) -> float:
    """Return the moment [s] that readings at the knead are given for, inside the window."""
    return min(max(USUAL_KNEAD, window[0]), window[1])


def _felt(window: tuple[float, float]) -> Floats:
    """Return the moments [s] at which a dough is felt within the window."""
    start, end = window
    felt = start + (end - start) * WINDOW_STEPS
    felt[-1] = end
    return felt


@lru_cache(maxsize=32)
def clock_times(window: tuple[float, float]) -> Floats:
    """Return the times [s] of the dough clock: 60, from 1 minute to four weeks.

    The moments in the window are among them, and the knead's.
    """
    start, end = window
    felt = _felt(window)
    early = np.geomspace(MINUTE, max(start, 2 * MINUTE), 12)
    days = np.array([HOUR, DAY, 7 * DAY, 14 * DAY])
    fixed = np.unique(np.concatenate([early, felt, [knead_moment(window)], days]))
    # The free ones thin out until sixty are left.
    room = 60 - fixed.size
    late = np.geomspace(end, LAST_TIME, room + 1)[1:]
    times = np.unique(np.concatenate([fixed, late]))
    times.flags.writeable = False
    return times


def evaluate_knead(
    recipe: Recipe, handbook: Handbook, knowledge: Knowledge, before: Evaluation | None = None
) -> Evaluation:
    """Return the evaluation of a recipe up to the end of its kneading window, in half the time.

    All readings at the knead are in it, exactly as in `evaluate`, whose moments up to there it
    has; marks and the bar are not. Parameters and errors as of `evaluate`.
    """
    window = recipe.bench.knead
    times = clock_times(window)
    return evaluate(recipe, handbook, knowledge, times[times <= window[1] + 1e-6], before)


def conditions_of(recipe: Recipe, amounts: Amounts) -> Conditions:
    """Return the conditions a recipe states; liquids stand at room temperature unless said."""
    bench = recipe.bench
    liquids = bench.room if bench.liquids is None else bench.liquids
    return Conditions(
        bench.room,
        bench.bath,
        liquids,
        bench.humidity,
        np.asarray(amounts.batch_mass, dtype=float),
        bench.knead,
    )


def evaluate(
    recipe: Recipe,
    handbook: Handbook,
    knowledge: Knowledge,
    times: Floats | None = None,
    before: Evaluation | None = None,
) -> Evaluation:
    """Return the one evaluation of a recipe.

    Parameters
    ----------
    recipe : Recipe
    handbook : Handbook
    knowledge : Knowledge
    times : array (times,) [s], optional
        Ascending; the clock of the recipe's window if not given. It must hold the window's
        moments for a chance to be told.
    before : Evaluation, optional
        What is the same there is taken over; the result is the same to the last bit, only sooner.

    Raises
    ------
    ReadableError
        A row is unknown and has no class, or a variant holds nothing.
    """
    amounts = resolve(recipe)
    mixture = mix(recipe, amounts, handbook)
    conditions = conditions_of(recipe, amounts)
    return evaluate_mixture(
        recipe, amounts, mixture, conditions, handbook, knowledge, times, before=before
    )


def evaluate_mixture(
    recipe: Recipe,
    amounts: Amounts,
    mixture: Mixture,
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
    times: Floats | None = None,
    melt_course: Course | None = None,
    before: Evaluation | None = None,
) -> Evaluation:
    """Return the evaluation of a mixture under conditions.

    `melt_course` replaces the melt model, for simpler fats; then nothing is taken over.
    """
    times = clock_times(conditions.window) if times is None else np.array(times, dtype=float)
    scene = _scene(times, conditions, handbook, knowledge)
    known: tuple[Forecast, ...] = ()
    if before is not None and melt_course is None and scene.like(before.scene):
        scene, known = before.scene, before.forecasts
    made = _forecasts(mixture, conditions, scene, known, melt_course)
    return Evaluation(recipe, amounts, mixture, conditions, scene, made)


def _scene(
    times: Floats, conditions: Conditions, handbook: Handbook, knowledge: Knowledge
) -> Scene:
    knead = int(np.searchsorted(times, knead_moment(conditions.window) - 1e-6))
    window = _window_indices(times, conditions.window)
    if not window.size or knead >= times.size:
        raise ValueError("times: the moments of the kneading window are not among them")
    times.flags.writeable = window.flags.writeable = False
    return Scene(times, knead, window, conditions, handbook, knowledge)


def _forecasts(
    mixture: Mixture,
    conditions: Conditions,
    scene: Scene,
    known: tuple[Forecast, ...],
    melt_course: Course | None,
) -> tuple[Forecast, ...]:
    """Return the forecast of every variant; those of one key are made once."""
    lone = [mixture.alone(variant) for variant in range(len(mixture.powder_shares))]
    masses = conditions.batch_mass
    keys = [forecast_key(one, mass) for one, mass in zip(lone, masses.tolist(), strict=True)]
    if melt_course is not None:
        return tuple(
            forecast(key, one, melt_course.of(variant), scene)
            for variant, (key, one) in enumerate(zip(keys, lone, strict=True))
        )
    found = [next((one for one in known if one.key == key), None) for key in keys]
    new = [v for v, one in enumerate(found) if one is None and keys.index(keys[v]) == v]
    courses = heat.courses(
        [lone[v] for v in new],
        replace(conditions, batch_mass=masses[new]),
        scene.times,
        scene.handbook,
        scene.knowledge,
    )
    for place, v in enumerate(new):
        found[v] = forecast(keys[v], lone[v], courses.of(place), scene)
    firsts = [found[keys.index(key)] for key in keys]
    return tuple(one for one in firsts if one is not None)


def _window_indices(times: Floats, window: tuple[float, float]) -> np.ndarray:
    inside = (times >= window[0] - 1e-6) & (times <= window[1] + 1e-6)
    near = np.isclose(times[:, None], _felt(window), rtol=1e-9, atol=1e-6).any(axis=1)
    return np.flatnonzero(inside & near)
