"""One evaluation of a recipe: the arrays and summaries that every view and command reads."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from designer.evaluation import bar, draws, heat, marks
from designer.evaluation.dough import Clock, Dough, Heat, clock, dough
from designer.evaluation.heat import Conditions, Course
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.mixture import Mixture, mix
from designer.evaluation.spread import Spread, spread
from designer.handbook import Handbook
from designer.laws import flow, hardening
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
    """Everything known about a recipe, read-only; arrays over (variants, times, draws).

    Attributes
    ----------
    recipe, amounts, mixture, conditions, knowledge, handbook
        What was evaluated, and on which knowledge.
    times : array (times,) [s] from the first contact of melt and powder
    knead : int
        Index of the moment the readings at the knead are given for.
    window : int array
        Indices of the moments within the maker's kneading window.
    temperature [K], melt_liquid_share [1], wetness [1], firmness [Pa]
        Firmness is the dough's while kneaded and the bar's after shaping.
    log_strength, tack_cut, crumble_cut [ln Pa]
        Of the dough, also within the bar.
    polar_demand [m^3/kg] (variants, draws), at the knead
    water, kept_water [1] (variants, draws), lost_water [1]
    """

    recipe: Recipe
    amounts: Amounts
    mixture: Mixture
    conditions: Conditions
    knowledge: Knowledge
    handbook: Handbook
    times: Floats
    knead: int
    window: np.ndarray
    temperature: Floats
    melt_liquid_share: Floats
    wetness: Floats
    firmness: Floats
    log_strength: Floats
    tack_cut: Floats
    crumble_cut: Floats
    polar_demand: Floats
    oil_share: Floats
    water: Floats
    kept_water: Floats
    lost_water: Floats
    clean: Floats
    doughs: tuple[Dough, ...]
    clock: Clock
    factors: Floats

    @property
    def weights(self) -> Floats:
        """Weights of the draws (draws,)."""
        return self.knowledge.weights

    @property
    def clean_knead_chance(self) -> Floats:
        """Chance of a clean knead within the maker's window (variants,)."""
        return self.clean @ self.weights

    @cached_property
    def state_chances(self) -> Floats:
        """Chance of each state at each time: (variants, times, 5), dry to wet."""
        slack, firm = self._fixed_cuts
        chances = flow.state_chances(
            self.log_strength,
            (slack, self.tack_cut, firm, self.crumble_cut),
            self.handbook.parameters["rating_sd"].si,
        )
        return np.moveaxis(chances @ self.weights, 0, -1)

    @property
    def _fixed_cuts(self) -> tuple[float, float]:
        p = self.handbook.parameters
        return float(np.log(p["slack_strength"].si)), float(np.log(p["firm_strength"].si))

    def spread(self, draws_of: Floats) -> Spread:
        """Return median and 80 % interval over the last axis under this knowledge."""
        return spread(draws_of, self.weights)

    @cached_property
    def _spreads(self) -> dict[int, dict[str, Spread]]:
        return {}

    def spread_over_time(self, variant: int) -> dict[str, Spread]:
        """Return medians and intervals (times,) of what the clock of a variant shows, in SI."""
        if variant not in self._spreads:
            shown = ("temperature", "wetness", "firmness", "bar_weight_share")
            self._spreads[variant] = {
                name: self.spread(getattr(self, name)[variant]) for name in shown
            }
        return self._spreads[variant]

    @cached_property
    def marks(self) -> dict[str, marks.Mark]:
        """The marks on the dough clock, each over (variants,)."""
        return marks.marks(
            self.times,
            self.log_strength,
            self.tack_cut,
            self.firmness,
            self.water - self.kept_water,
            self.conditions,
            self.handbook,
            self.knowledge,
        )

    @property
    def bar_weight_share(self) -> Floats:
        """Weight of the bar over its weight as shaped (variants, times, draws)."""
        return 1 - self.lost_water


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

    Raises
    ------
    ReadableError
        A row is unknown and has no class, or a variant holds nothing.
    """
    amounts = resolve(recipe)
    mixture = mix(recipe, amounts, handbook)
    conditions = conditions_of(recipe, amounts)
    return evaluate_mixture(recipe, amounts, mixture, conditions, handbook, knowledge, times)


def evaluate_mixture(
    recipe: Recipe,
    amounts: Amounts,
    mixture: Mixture,
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
    times: Floats | None = None,
    melt_course: Course | None = None,
) -> Evaluation:
    """Return the evaluation of a mixture under conditions.

    `melt_course` replaces the melt model, for simpler fats.
    """
    times = clock_times(conditions.window) if times is None else np.array(times, dtype=float)
    drawn = draws.dough_draws(handbook, knowledge)
    factors = draws.uptake_factors(mixture.powders, handbook, knowledge)
    classes = {powder.material_class for powder in mixture.powders}
    ticking = clock(times, conditions.window[1], classes, handbook, drawn)
    course = melt_course or heat.course(mixture, conditions, times, handbook, knowledge)
    since = times - conditions.window[1]
    left = bar.drying_share(since, conditions.room, handbook, knowledge)
    shared = _Shared(course, conditions, ticking, factors, since, left, drawn, handbook, knowledge)
    parts = [_variant(mixture, v, shared) for v in range(len(mixture.powder_shares))]
    doughs = tuple(part.dough for part in parts)
    knead = int(np.searchsorted(times, knead_moment(conditions.window) - 1e-6))
    window = _window_indices(times, conditions.window)
    if not window.size or knead >= times.size:
        raise ValueError("times: the moments of the kneading window are not among them")
    wetness = np.stack([one.wetness for one in doughs])
    log_strength = np.stack([one.log_strength for one in doughs])
    tack_cut = np.stack([one.tack_cut for one in doughs])
    crumble_cut = np.stack([one.crumble_cut for one in doughs])
    oil = np.stack([_oil_share(one, knead) for one in doughs])
    result = Evaluation(
        recipe,
        amounts,
        mixture,
        conditions,
        knowledge,
        handbook,
        times,
        knead,
        window,
        np.stack([part.heat.temperature for part in parts]),
        1 - np.stack([part.heat.set_share for part in parts]),
        wetness,
        np.stack([part.firmness for part in parts]),
        log_strength,
        tack_cut,
        crumble_cut,
        np.stack([one.polar_demand[knead] for one in doughs]),
        oil,
        np.stack([part.water.all for part in parts]),
        np.stack([part.water.kept for part in parts]),
        np.stack([part.water.lost for part in parts]),
        clean_within(log_strength, tack_cut, crumble_cut, window, drawn.rating, handbook),
        doughs,
        ticking,
        factors,
    )
    for array in vars(result).values():
        if isinstance(array, np.ndarray):
            array.flags.writeable = False
    return result


def _window_indices(times: Floats, window: tuple[float, float]) -> np.ndarray:
    inside = (times >= window[0] - 1e-6) & (times <= window[1] + 1e-6)
    near = np.isclose(times[:, None], _felt(window), rtol=1e-9, atol=1e-6).any(axis=1)
    return np.flatnonzero(inside & near)


def _oil_share(one: Dough, knead: int) -> Floats:
    fat = one.oil_volume[knead] + one.set_volume[knead]
    share: Floats = fat / np.maximum(one.polar_volume[knead] + fat, 1e-12)
    return share


@dataclass(frozen=True, eq=False)
class _Part:
    dough: Dough
    heat: Heat
    water: bar.Water
    firmness: Floats


@dataclass(frozen=True, eq=False)
class _Shared:
    """What all variants of one evaluation share."""

    course: Course
    conditions: Conditions
    ticking: Clock
    factors: Floats
    since: Floats
    left: Floats
    drawn: draws.DoughDraws
    handbook: Handbook
    knowledge: Knowledge


def _variant(mixture: Mixture, variant: int, shared: _Shared) -> _Part:
    handbook, knowledge = shared.handbook, shared.knowledge
    fraction = float(mixture.melt_fraction[variant])
    warmth = _heat(mixture, variant, shared)
    humidity = shared.conditions.humidity
    water = bar.water(mixture, variant, humidity, shared.left, handbook, knowledge)
    one = dough(
        mixture,
        variant,
        warmth,
        water.lost,
        shared.ticking,
        shared.factors,
        shared.drawn,
        handbook,
        knowledge,
    )
    firmness = bar.bar_firmness(
        one.log_strength, warmth.set_share, fraction, shared.since, handbook
    )
    return _Part(one, warmth, water, firmness)


def _heat(mixture: Mixture, variant: int, shared: _Shared) -> Heat:
    """Return temperature and set share per draw, with ageing and the melt model's own error."""
    course, row = shared.course, shared.knowledge.melt_row
    share = hardening.aged_set_share(
        np.maximum(shared.since, 0.0)[:, None],
        course.set_share[variant],
        0.0,
        course.ageing[variant],
        shared.handbook.parameters["aged_time"].si,
    )
    share = np.clip(share, 0.0, 1.0)[:, row]
    butter = sum(
        portion
        for melt, portion in zip(mixture.melts, mixture.melt_shares[variant], strict=True)
        if melt.material_class in ("butter", "lauric_fat", "hard_fat")
    )
    fraction = mixture.melt_fraction[variant]
    rich = np.clip(2 * butter / fraction, 0.5, 1.0) if fraction > 0 else 0.5
    share = share + rich * shared.drawn.melt_error * 4 * share * (1 - share)
    temperature = course.temperature[variant]
    return Heat(temperature[:, row], temperature, np.clip(share, 0.0, 1.0))


def clean_within(
    log_strength: Floats,
    tack_cut: Floats,
    crumble_cut: Floats,
    window: np.ndarray,
    rating: Floats,
    handbook: Handbook,
) -> Floats:
    """Return whether each draw is felt clean at some moment of the window: (variants, draws)."""
    firm = np.log(handbook.parameters["firm_strength"].si)
    felt = log_strength[:, window] + rating
    clean = (felt >= tack_cut[:, window]) & (felt <= np.minimum(firm, crumble_cut[:, window]))
    return clean.any(axis=1).astype(float)
