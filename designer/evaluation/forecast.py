"""What one variant does, for every draw: the part of an evaluation that knows no other variant.

It follows from the materials of the variant, the scene and nothing else, to the last bit, however
many variants are evaluated beside it: so it can be taken over where nothing of that has changed.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from designer.evaluation import bar, marks
from designer.evaluation.dough import Clock, Dough, Heat, clock, crumble_cut, dough
from designer.evaluation.draws import DoughDraws, dough_draws, uptake_factors
from designer.evaluation.heat import Conditions, Course
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.mixture import Mixture
from designer.evaluation.spread import Spread, repeated, spread
from designer.handbook import Handbook, Powder
from designer.laws import flow, hardening
from designer.vocabulary import Floats

__all__ = ["Forecast", "Scene", "clean_at", "forecast", "forecast_key", "with_melt_error"]

_ALL = slice(None)

_CLOCKS = 2
"""How many lists of powders a scene keeps the clock of."""


@dataclass(frozen=True, eq=False)
class Scene:
    """What the variants of an evaluation share.

    Attributes
    ----------
    times : array (times,) [s] from the first contact of melt and powder
    knead : int
        Index of the moment the readings at the knead are given for.
    window : int array
        Indices of the moments within the maker's kneading window.
    conditions : Conditions
        All but the batches are common to the variants.
    """

    times: Floats
    knead: int
    window: np.ndarray
    conditions: Conditions
    handbook: Handbook
    knowledge: Knowledge

    def like(self, other: "Scene") -> bool:
        """Return whether a variant does the same in both."""
        return (
            self.handbook is other.handbook
            and self.knowledge is other.knowledge
            and self.conditions.common == other.conditions.common
            and np.array_equal(self.times, other.times)
        )

    @cached_property
    def since_shaping(self) -> Floats:
        """Time since shaping (times, 1) [s], 0 before."""
        return np.maximum(self.times - self.conditions.window[1], 0.0)[:, None]

    @cached_property
    def drawn(self) -> DoughDraws:
        """The draws of the parameters of the dough."""
        return dough_draws(self.handbook, self.knowledge)

    @cached_property
    def left(self) -> Floats:
        """Share of the losable water still in the bar (times, draws)."""
        return bar.drying_share(
            self.since_shaping[:, 0], self.conditions.room, self.handbook, self.knowledge
        )

    @cached_property
    def loss_pace(self) -> marks.LossPace:
        """How fast losable water leaves, for the mark "wrap from"."""
        return marks.loss_pace(self.conditions, self.handbook, self.knowledge)

    @cached_property
    def _progress(self) -> dict[str, Floats]:
        return {}

    @cached_property
    def _clocks(self) -> dict[tuple[Powder, ...], Clock]:
        return {}

    @cached_property
    def _factors(self) -> dict[Powder, Floats]:
        return {}

    def clock(self, powders: tuple[Powder, ...], at: slice = _ALL) -> Clock:
        """Return the clock of the powders of a mixture, at some of the times."""
        if powders not in self._clocks:
            whole = self._whole_clock(powders)
            # One recipe's variants mostly hold the same powders, and this is the largest there is.
            while len(self._clocks) >= _CLOCKS:
                self._clocks.pop(next(iter(self._clocks)), None)
            drunk = whole.drunk(powders, self.factors(powders))
            self._clocks[powders] = Clock(whole.times, whole.progress, drunk)
        one = self._clocks[powders]
        progress = {name: array[at] for name, array in one.progress.items()}
        return Clock(one.times[at], progress, None if one.ready is None else one.ready[at])

    def _whole_clock(self, powders: Iterable[Powder]) -> Clock:
        classes = {powder.material_class for powder in powders}
        if new := classes - self._progress.keys():
            made = clock(self.times, self.conditions.window[1], new, self.handbook, self.drawn)
            self._progress.update(made.progress)
        return Clock(self.times, {name: self._progress[name] for name in classes})

    def factors(self, powders: Iterable[Powder]) -> Floats:
        """Return the factor of each powder's own uptake (powders, draws)."""
        rows = []
        for powder in powders:
            if powder not in self._factors:
                made = uptake_factors((powder,), self.handbook, self.knowledge)
                self._factors[powder] = made[0]
            rows.append(self._factors[powder])
        return np.array(rows).reshape(len(rows), self.knowledge.draws)


class _Spreads(dict[str, Spread]):
    """Spreads over time of a forecast, each made when it is first asked for."""

    def __init__(self, of: "Forecast") -> None:
        super().__init__()
        self._of = of

    def __missing__(self, name: str) -> Spread:
        made = self._of.spread_over_time(name)
        self[name] = made
        return made


@dataclass(frozen=True, eq=False)
class Forecast:
    """What one variant does; arrays (times, draws) unless said otherwise, read-only.

    Attributes
    ----------
    key : tuple
        All that it follows from, beside the scene.
    mixture : Mixture
        Of this variant alone: what is in it, sorted by name.
    course : Course
        Temperature, set share and ageing, each (times, melt draws).
    water, kept_water : arrays (draws,) [1]
    wetness [1], log_strength, tack_cut [ln Pa], firmness [Pa]
    polar_demand, oil_share : arrays (draws,), at the knead
    clean : array (draws,)
        1 where the dough is felt clean at some moment of the window, else 0.
    """

    key: tuple[object, ...]
    scene: Scene
    mixture: Mixture
    course: Course
    water: Floats
    kept_water: Floats
    wetness: Floats
    log_strength: Floats
    tack_cut: Floats
    firmness: Floats
    polar_demand: Floats
    oil_share: Floats
    clean: Floats

    @property
    def temperature(self) -> Floats:
        """Temperature [K]."""
        return self.course.temperature[:, self.scene.knowledge.melt_row]

    @property
    def melt_liquid_share(self) -> Floats:
        """Liquid share of the melt by mass [1]."""
        return 1 - self._heat(_ALL).set_share

    @property
    def crumble_cut(self) -> Floats:
        """Strength of the dough above which it crumbles [ln Pa]."""
        return crumble_cut(self.temperature, self.scene.drawn, self.scene.handbook)

    @property
    def lost_water(self) -> Floats:
        """Water dried out since shaping [1]."""
        return (self.water - self.kept_water) * (1 - self.scene.left)

    @property
    def bar_weight_share(self) -> Floats:
        """Weight of the bar over its weight as shaped [1]."""
        return 1 - self.lost_water

    def _heat(self, at: slice) -> Heat:
        return _heat(self.mixture, self.course, self.scene, at)

    def heat(self, at: int) -> tuple[Floats, Floats]:
        """Return temperature [K] and liquid share of the melt [1] at a moment, each (draws,)."""
        found = self._heat(slice(at, at + 1))
        return found.temperature[0], 1 - found.set_share[0]

    def dough(self, at: slice = _ALL) -> Dough:
        """Return the dough with its volumes at some of the times; they are made anew each time."""
        left = self.scene.left[at]
        return _dough(
            self.mixture,
            self._heat(at),
            (self.water - self.kept_water) * (1 - left),
            self.scene,
            at,
        )

    @cached_property
    def clean_knead_chance(self) -> float:
        """Chance of a clean knead within the maker's window."""
        return float(np.vecdot(self.clean, self.scene.knowledge.weights))

    @cached_property
    def _state_chances(self) -> dict[int, Floats]:
        return {}

    def state_chances(self, at: int) -> Floats:
        """Return the chance of each state (5,), dry to wet, at a moment."""
        at = range(self.scene.times.size)[at]
        if at not in self._state_chances:
            self._state_chances[at] = self._chances(slice(at, at + 1))[0]
        return self._state_chances[at]

    @cached_property
    def every_state_chance(self) -> Floats:
        """Chance of each state at each time: (times, 5), dry to wet."""
        return self._chances(_ALL)

    def _chances(self, at: slice) -> Floats:
        p = self.scene.handbook.parameters
        temperature = self.course.temperature[at][:, self.scene.knowledge.melt_row]
        chances = flow.state_chances(
            self.log_strength[at],
            (
                np.log(p["slack_strength"].si),
                self.tack_cut[at],
                np.log(p["firm_strength"].si),
                crumble_cut(temperature, self.scene.drawn, self.scene.handbook),
            ),
            p["rating_sd"].si,
        )
        found: Floats = np.vecdot(chances, self.scene.knowledge.weights).T
        found.flags.writeable = False
        return found

    def spread(self, draws_of: Floats) -> Spread:
        """Return median and 80 % interval over the last axis."""
        return spread(draws_of, self.scene.knowledge.weights)

    def spread_over_time(self, name: str) -> Spread:
        """Return median and interval (times,) of an attribute over time."""
        if name == "temperature":
            return repeated(
                self.course.temperature,
                self.scene.knowledge.melt_row,
                self.scene.knowledge.weights,
            )
        return self.spread(getattr(self, name))

    @cached_property
    def spreads(self) -> dict[str, Spread]:
        """Medians and intervals (times,) by attribute, each made when first asked for."""
        return _Spreads(self)

    @cached_property
    def marks(self) -> dict[str, marks.Mark]:
        """The marks on the dough clock."""
        return marks.marks(
            self.scene.times,
            self.log_strength,
            self.tack_cut,
            self.firmness,
            self.water - self.kept_water,
            self.scene.loss_pace,
            self.scene.conditions.window[1],
            self.scene.handbook,
            self.scene.knowledge,
        )

    @cached_property
    def outside(self) -> str:
        """Why the model must not speak about the variant, or ""."""
        p = self.scene.handbook.parameters
        demand = float(self.spread(self.polar_demand).value)
        wetness = float(self.spread(self.wetness[self.scene.knead]).value)
        if demand < p["domain_demand"].si:
            return "there is too little powder to make a dough"
        if wetness < p["domain_wetness_low"].si:
            return "there is far too little liquid to wet the powder"
        if wetness > p["domain_wetness_high"].si:
            return "there is far more liquid than the powder can take"
        if self.mixture.melt_fraction[0] > p["domain_melt"].si:
            return "there is more melt than such a dough was ever described with"
        return ""


def forecast_key(mixture: Mixture, batch_mass: float) -> tuple[object, ...]:
    """Return all that the forecast of a mixture of one variant follows from, beside the scene."""
    return (
        batch_mass,
        mixture.powder_shares.tobytes(),
        mixture.liquid_shares.tobytes(),
        mixture.melt_shares.tobytes(),
        mixture.powders,
        mixture.liquids,
        mixture.melts,
        mixture.unknown,
    )


def forecast(key: tuple[object, ...], mixture: Mixture, course: Course, scene: Scene) -> Forecast:
    """Return the forecast of a mixture of one variant; `course` is (times, melt draws)."""
    handbook, knowledge, knead = scene.handbook, scene.knowledge, scene.knead
    heat = _heat(mixture, course, scene, _ALL)
    humidity = scene.conditions.humidity
    water = bar.water(mixture, 0, humidity, scene.left, handbook, knowledge)
    one = _dough(mixture, heat, water.lost, scene, _ALL)
    fraction = float(mixture.melt_fraction[0])
    firmness = bar.bar_firmness(
        one.log_strength, heat.set_share, fraction, scene.since_shaping[:, 0], handbook
    )
    made = Forecast(
        key,
        scene,
        mixture,
        course,
        water.all,
        water.kept,
        one.wetness,
        one.log_strength,
        one.tack_cut,
        firmness,
        one.polar_demand[knead].copy(),
        _oil_share(one, knead),
        clean_within(one, scene.window, scene.drawn.rating, handbook),
    )
    for array in (*vars(made).values(), *vars(course).values()):
        if isinstance(array, np.ndarray):
            array.flags.writeable = False
    return made


def _oil_share(one: Dough, knead: int) -> Floats:
    fat = one.oil_volume[knead] + one.set_volume[knead]
    share: Floats = fat / np.maximum(one.polar_volume[knead] + fat, 1e-12)
    return share


def _dough(mixture: Mixture, heat: Heat, lost_water: Floats, scene: Scene, at: slice) -> Dough:
    return dough(
        mixture,
        0,
        heat,
        lost_water,
        scene.clock(mixture.powders, at),
        scene.factors(mixture.powders),
        scene.drawn,
        scene.handbook,
        scene.knowledge,
    )


def _heat(mixture: Mixture, course: Course, scene: Scene, at: slice) -> Heat:
    """Return temperature and set share per draw, with ageing and the melt model's own error."""
    row = scene.knowledge.melt_row
    share = hardening.aged_set_share(
        scene.since_shaping[at],
        course.set_share[at],
        0.0,
        course.ageing[at],
        scene.handbook.parameters["aged_time"].si,
    )
    share = np.clip(share, 0.0, 1.0)[:, row]
    share = with_melt_error(share, mixture, 0, scene.drawn)
    temperature = course.temperature[at]
    return Heat(temperature[:, row], temperature, share)


def with_melt_error(share: Floats, mixture: Mixture, variant: int, drawn: DoughDraws) -> Floats:
    """Add the melt model's own error to set shares (times, draws), in place, and return them."""
    butter = sum(
        portion
        for melt, portion in zip(mixture.melts, mixture.melt_shares[variant].tolist(), strict=True)
        if melt.material_class in ("butter", "lauric_fat", "hard_fat")
    )
    fraction = float(mixture.melt_fraction[variant])
    rich = min(max(2 * butter / fraction, 0.5), 1.0) if fraction > 0 else 0.5
    share += (4 * rich * drawn.melt_error) * (share * (1 - share))
    return np.clip(share, 0.0, 1.0, out=share)


def clean_within(one: Dough, window: np.ndarray, rating: Floats, handbook: Handbook) -> Floats:
    """Return whether each draw (draws,) is felt clean at some moment of the window, as 1 or 0."""
    felt_clean: Floats = clean_at(one, rating, handbook, window).any(axis=0).astype(float)
    return felt_clean


def clean_at(
    one: Dough, rating: Floats, handbook: Handbook, moments: np.ndarray | slice = _ALL
) -> np.ndarray:
    """Return whether each draw is felt clean at each moment: bool array (moments, draws)."""
    firm = np.log(handbook.parameters["firm_strength"].si)
    felt = one.log_strength[moments] + rating
    stiff = np.minimum(firm, one.crumble_cut[moments])
    clean: np.ndarray = (felt >= one.tack_cut[moments]) & (felt <= stiff)
    return clean
