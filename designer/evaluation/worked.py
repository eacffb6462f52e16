"""A dough as it is really worked: stretches of kneading, rest and cooling, and what is added.

An evaluation follows a recipe kneaded from the pour on. In the bowl the dough may have rested, its
temperature may have been read, and powder or liquid may be added: added powder begins to drink when
it comes in, and the lump goes on from the temperature it has then. All physics is that of `heat`
and `dough`; here are only the order of what happens and the clock of each addition. Nothing dries
out in the bowl, and all that dissolves does so by the clock of the pour.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from designer.evaluation.dough import Clock, Dough, Heat, dough, drunk_share
from designer.evaluation.draws import DoughDraws, dough_draws, uptake_factors
from designer.evaluation.forecast import with_melt_error
from designer.evaluation.heat import WAYS, Conditions, heat_capacity_of, lumps
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.mixture import Mixture
from designer.handbook import Handbook, Liquid, Powder
from designer.laws import cooling
from designer.vocabulary import Floats

__all__ = ["Bowl", "Hands", "Stretch", "Track", "added", "carried_on", "kneading_clock", "poured"]

_FIRST, _LONGEST = 3.0, 20.0
"""First step from the pour and longest step of a march [s]."""

_ZERO = np.zeros((1, 1))


@dataclass(frozen=True)
class Stretch:
    """What is done with a dough from one moment to another [s] after the pour; one of `WAYS`."""

    way: str
    start: float
    end: float


@dataclass(frozen=True, eq=False)
class Bowl:
    """What is in the bowl at a moment.

    Attributes
    ----------
    mixture : Mixture
        Of one variant. A powder that was added later stands in it once more.
    since : tuple of float [s]
        When each powder of the mixture came in, after the pour.
    mass : float [kg]
    time : float [s]
        Since the pour.
    temperature : array (melt draws,) [K]
    solid : array (melt draws, components) [mol/kg]
        What of the melt has set, per kg of melt.
    """

    mixture: Mixture
    since: tuple[float, ...]
    mass: float
    time: float
    temperature: Floats
    solid: Floats


@dataclass(frozen=True, eq=False)
class Track:
    """Heat of a bowl over time: temperature [K], set share of the melt [1], (times, melt draws)."""

    temperature: Floats
    set_share: Floats


def poured(
    mixture: Mixture,
    variant: int,
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
    warmer: Floats | float = 0.0,
) -> Bowl:
    """Return the bowl of a variant as melt and powder meet.

    Parameters
    ----------
    conditions : Conditions
        Its only batch is that of the bowl.
    warmer : float or array (melt draws,) [K]
        By how much the parts are warmer than their heat balance says.
    """
    lone = mixture.alone(variant)
    made, setting = lumps([lone], conditions, handbook, knowledge)
    return Bowl(
        lone,
        (0.0,) * len(lone.powders),
        float(conditions.batch_mass[0]),
        0.0,
        made.start + warmer,
        np.zeros((made.start.size, setting.target.shape[2])),
    )


def added(
    bowl: Bowl,
    additions: Sequence[tuple[Powder | Liquid, float]],
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
) -> tuple[Bowl, ...]:
    """Return the bowl after each of some additions, (material, mass [kg]), one for each.

    Powder is as warm as the room, liquid as the liquids; the dough cools by that at once.
    """
    batch = replace(conditions, batch_mass=np.array([bowl.mass]))
    made, _ = lumps([bowl.mixture], batch, handbook, knowledge)
    heat = made.heat_capacity * bowl.mass
    found = []
    for material, mass in additions:
        own = heat_capacity_of(material, handbook) * mass
        is_powder = isinstance(material, Powder)
        towards = conditions.room if is_powder else conditions.liquids
        whole = bowl.mass + mass
        found.append(
            Bowl(
                _with(bowl.mixture, material, bowl.mass / whole, mass / whole),
                (*bowl.since, bowl.time) if is_powder else bowl.since,
                whole,
                bowl.time,
                (heat * bowl.temperature + own * towards) / (heat + own),
                bowl.solid,
            )
        )
    return tuple(found)


def _with(mixture: Mixture, material: Powder | Liquid, kept: float, share: float) -> Mixture:
    """Return the mixture thinned to the share `kept`, and so much of a material in it."""
    powders, powder_shares = mixture.powders, kept * mixture.powder_shares
    liquids, liquid_shares = mixture.liquids, kept * mixture.liquid_shares
    if isinstance(material, Powder):
        powders = (*powders, material)
        powder_shares = np.append(powder_shares, [[share]], axis=1)
    elif material in liquids:
        liquid_shares = liquid_shares.copy()
        liquid_shares[0, liquids.index(material)] += share
    else:
        liquids = (*liquids, material)
        liquid_shares = np.append(liquid_shares, [[share]], axis=1)
    return replace(
        mixture,
        powders=powders,
        liquids=liquids,
        powder_shares=powder_shares,
        liquid_shares=liquid_shares,
        melt_shares=kept * mixture.melt_shares,
    )


def carried_on(
    bowls: Sequence[Bowl],
    stretches: Sequence[Stretch],
    times: Floats,
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
) -> tuple[tuple[Track, ...], tuple[Bowl, ...]]:
    """Return how bowls of one moment and one blend of fats go on, and the bowls as they end.

    Parameters
    ----------
    stretches : sequence of Stretch
        They cover the time from the bowls' moment to the last time.
    times : array (times,) [s]
        Ascending, none before the bowls' moment.
    """
    start = bowls[0].time
    batch = replace(conditions, batch_mass=np.array([one.mass for one in bowls]))
    made, setting = lumps([one.mixture for one in bowls], batch, handbook, knowledge)
    temperature = np.concatenate([one.temperature for one in bowls])
    solid = np.concatenate([one.solid for one in bowls])
    now = cooling.Cooling(temperature, made.heat_capacity, made.surroundings, made.rate)
    ends = _ends(start, times, stretches)
    if ends.size:
        mode = np.array([WAYS.index(_way(stretches, end)) for end in ends.tolist()])
        recorded = np.searchsorted(ends, np.round(times, 6))
        step = np.diff(ends, prepend=start)
        warm, share, later = cooling.carry_on_setting(step, mode, recorded, now, setting, solid)
    else:
        warm, share, later = np.tile(temperature, (times.size, 1)), _ZERO, solid
    at_once = np.round(times, 6) <= start + 1e-6
    if at_once.any():
        share = np.broadcast_to(share, warm.shape).copy()
        warm[at_once] = temperature
        share[at_once] = np.clip(solid @ setting.molar_mass, 0.0, 1.0)
    shape = (times.size, len(bowls), bowls[0].temperature.size)
    warm, share = warm.reshape(shape), share.reshape(shape)
    later = later.reshape(len(bowls), shape[2], -1)
    tracks = tuple(Track(warm[:, b], share[:, b]) for b in range(len(bowls)))
    last = float(times[-1])
    return tracks, tuple(
        replace(one, time=last, temperature=warm[-1, b], solid=later[b])
        for b, one in enumerate(bowls)
    )


def _ends(start: float, times: Floats, stretches: Sequence[Stretch]) -> Floats:
    """Return the ends of the steps of a march [s]: short ones just after the pour."""
    last = float(times[-1])
    borders = [one.end for one in stretches]
    even = np.linspace(start, last, int(np.ceil((last - start) / _LONGEST)) + 1)
    early = np.geomspace(_FIRST, max(last, _FIRST), 60)
    ends = np.unique(np.round(np.concatenate([times, borders, even, early]), 6))
    return ends[(ends > start + 1e-6) & (ends <= last + 1e-6)]


def _way(stretches: Sequence[Stretch], end: float) -> str:
    return next((one.way for one in stretches if end <= one.end + 1e-6), stretches[-1].way)


def kneading_clock(times: Floats, stretches: Sequence[Stretch], handbook: Handbook) -> Floats:
    """Return time on the kneading clock (times,) [s], which runs slower unless one kneads."""
    pace = handbook.parameters["rest_uptake_pace"].si
    ends = np.array([0.0, *(one.end for one in stretches)])
    paces = np.array([1.0 if one.way == "knead" else pace for one in stretches])
    reached = np.concatenate([[0.0], np.cumsum(paces * np.diff(ends))])
    clock: Floats = np.interp(times, ends, reached)
    return clock


@dataclass(frozen=True, eq=False)
class Hands:
    """What doughs that are worked alike share.

    Attributes
    ----------
    stretches : tuple of Stretch
        From the pour to the last time, without a gap.
    times : array (times,) [s]
    """

    stretches: tuple[Stretch, ...]
    times: Floats
    handbook: Handbook
    knowledge: Knowledge

    @cached_property
    def drawn(self) -> DoughDraws:
        """The draws of the parameters of the dough."""
        return dough_draws(self.handbook, self.knowledge)

    @cached_property
    def _worked(self) -> Floats:
        return kneading_clock(self.times, self.stretches, self.handbook)

    @cached_property
    def _factors(self) -> dict[Powder, Floats]:
        return {}

    @cached_property
    def _progress(self) -> dict[tuple[str, float], Floats]:
        return {}

    @cached_property
    def _drunk(self) -> dict[tuple[Powder, float], Floats]:
        return {}

    def dough(self, bowl: Bowl, track: Track) -> Dough:
        """Return a bowl's dough at all times, arrays (times, draws)."""
        mixture, row = bowl.mixture, self.knowledge.melt_row
        share = with_melt_error(track.set_share[:, row], mixture, 0, self.drawn)
        heat = Heat(track.temperature[:, row], track.temperature, share)
        factors = np.array([self._factor(one) for one in mixture.powders])
        drunk = [self._drunk_by(*one) for one in zip(mixture.powders, bowl.since, strict=True)]
        shape = (self.times.size, len(drunk), self.knowledge.draws)
        ready = np.stack(drunk, axis=1) if drunk else np.empty(shape)
        return dough(
            mixture,
            0,
            heat,
            _ZERO,
            Clock(self.times, {}, ready),
            factors.reshape(shape[1:]),
            self.drawn,
            self.handbook,
            self.knowledge,
        )

    def _factor(self, powder: Powder) -> Floats:
        if powder not in self._factors:
            made = uptake_factors((powder,), self.handbook, self.knowledge)
            self._factors[powder] = made[0]
        return self._factors[powder]

    def _drunk_by(self, powder: Powder, since: float) -> Floats:
        """Return what a powder that came in at a moment has drunk (times, draws)."""
        key = (powder.material_class, since)
        if key not in self._progress:
            began = kneading_clock(np.array([since]), self.stretches, self.handbook)
            worked = np.maximum(self._worked - began, 0.0)
            self._progress[key] = drunk_share(key[0], worked, self.handbook, self.drawn)
        if (powder, since) not in self._drunk:
            self._drunk[powder, since] = self._progress[key] * self._factor(powder)
        return self._drunk[powder, since]
