"""Wetness and firmness of one dough over time, for every draw.

Arrays are (times, draws): one variant at a time stays in the processor's cache, which is several
times faster than all variants in one array.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from designer.evaluation.draws import DoughDraws
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.mixture import Mixture
from designer.handbook import Handbook, Liquid, Powder
from designer.laws import flow, wetting
from designer.laws.constants import REFERENCE_TEMPERATURE
from designer.vocabulary import Floats


@dataclass(frozen=True, eq=False)
class Clock:
    """Time, and what of it the powders feel.

    Attributes
    ----------
    times : array (times,) [s], since melt and powder met
    progress : mapping of powder class to array (times, draws) [1], share of its uptake drunk
    ready : array (times, powders, draws), optional
        What `drunk` returns, where it is known.
    """

    times: Floats
    progress: dict[str, Floats]
    ready: Floats | None = None

    def drunk(self, powders: tuple[Powder, ...], factors: Floats) -> Floats:
        """Return what powders have drunk, as a factor on their tabled uptake.

        Parameters
        ----------
        factors : array (powders, draws) [1], from `draws.uptake_factors`

        Returns
        -------
        array (times, powders, draws) [1]
        """
        if self.ready is not None:
            return self.ready
        made = np.empty((self.times.size, *factors.shape))
        for j, powder in enumerate(powders):
            np.multiply(self.progress[powder.material_class], factors[j], out=made[:, j])
        return made


def clock(
    times: Floats,
    knead_end: float,
    classes: set[str],
    handbook: Handbook,
    draws: DoughDraws,
) -> Clock:
    """Return the clock of a dough kneaded from the pour to `knead_end` [s]."""
    pace = handbook.parameters["rest_uptake_pace"].si
    worked = np.minimum(times, knead_end) + pace * np.maximum(0.0, times - knead_end)
    progress = {name: drunk_share(name, worked, handbook, draws) for name in sorted(classes)}
    return Clock(times, progress)


def drunk_share(name: str, worked: Floats, handbook: Handbook, draws: DoughDraws) -> Floats:
    """Return the share of its uptake (times, draws) that a class of powders has drunk.

    `worked` (times,) [s] is time on the kneading clock since the powder came in.
    """
    kind, limits = handbook.uptake_classes[name], handbook.parameters["uptake_immediate_limits"]
    immediate = np.clip(
        kind.immediate + draws.uptake_shift, limits.held_low_si, limits.held_high_si
    )
    return wetting.uptake_progress(
        worked[:, None], immediate, kind.time_constant * draws.uptake_pace
    )


@dataclass(frozen=True, eq=False)
class Dough:
    """One variant's dough, arrays (times, draws).

    Attributes
    ----------
    wetness : [1]
    log_strength, tack_cut, crumble_cut : [ln Pa]
    polar_volume, oil_volume, set_volume : [m^3/kg]
    polar_demand, oil_demand : [m^3/kg]
    dissolved : [1], factor on what could dissolve
    """

    wetness: Floats
    log_strength: Floats
    tack_cut: Floats
    crumble_cut: Floats
    polar_volume: Floats
    oil_volume: Floats
    set_volume: Floats
    polar_demand: Floats
    oil_demand: Floats
    dissolved: Floats


@dataclass(frozen=True, eq=False)
class Heat:
    """Temperature [K], its melt-draw form, and set share [1] of one variant, (times, draws)."""

    temperature: Floats
    melt_temperature: Floats
    set_share: Floats


def dough(
    mixture: Mixture,
    variant: int,
    heat: Heat,
    lost_water: Floats,
    clock: Clock,
    factors: Floats,
    draws: DoughDraws,
    handbook: Handbook,
    knowledge: Knowledge,
) -> Dough:
    """Return one variant's dough.

    Parameters
    ----------
    heat : Heat
    lost_water : array (times, draws) [1], mass dried out per mass of dough
    clock : Clock
    factors : array (powders, draws) [1], from `draws.uptake_factors`
    """
    p = handbook.parameters
    solution = _solution(mixture, variant, heat, clock, factors, handbook, draws, knowledge)
    dissolved_volume = solution.dissolved * solution.soluble / p["dissolved_density"].si
    polar, oil, tack_volume = _liquid_volumes(mixture, variant, handbook, knowledge)
    melt_volume = _melt_volume(mixture, variant, handbook, knowledge)
    set_volume = heat.set_share * melt_volume
    # What dries out may be the powders' own moisture, which never was among the liquids.
    poured = polar + dissolved_volume
    polar_volume = np.maximum(poured - lost_water / p["water_density"].si, 0.0)
    oil_volume = oil + melt_volume - set_volume
    wetness = wetting.wetness(
        polar_volume,
        oil_volume,
        set_volume,
        draws.set_fat_worth,
        solution.polar_demand,
        solution.oil_demand,
    )
    tacky = tack_volume + p["dissolved_tack"].si * dissolved_volume
    tacky += p["liquid_fat_tack"].si * (melt_volume - set_volume)
    # Tack matters under the hands, so it is that of the liquids as poured.
    tack = tacky / np.maximum(poured + oil_volume, 1e-12)
    return Dough(
        wetness,
        *_strength(wetness, tack, heat.temperature, draws, handbook),
        polar_volume,
        oil_volume,
        set_volume,
        solution.polar_demand,
        solution.oil_demand,
        solution.dissolved,
    )


def _strength(
    wetness: Floats, tack: Floats, temperature: Floats, draws: DoughDraws, handbook: Handbook
) -> tuple[Floats, Floats, Floats]:
    """Return ln strength, the tack cut and the crumble cut."""
    p = handbook.parameters
    softening = p["thermal_softening"].si
    liquidity = flow.liquidity(wetness, draws.plastic_wetness, draws.wetness_span)
    strength = flow.log_strength(
        liquidity, draws.liquid_limit_strength, draws.strength_ratio, softening, temperature
    )
    slack, firm, gap = np.log(p["slack_strength"].si), np.log(p["firm_strength"].si), p["cut_gap"]
    tack_cut = flow.tack_cut(draws.tack_strength, draws.tack_slope, tack, p["tack_reference"].si)
    tack_cut = np.clip(tack_cut, slack + gap.si, firm - gap.si)
    return strength, tack_cut, crumble_cut(temperature, draws, handbook)


def crumble_cut(temperature: Floats, draws: DoughDraws, handbook: Handbook) -> Floats:
    """Return ln of the strength above which a dough crumbles, at temperatures (..., draws)."""
    p = handbook.parameters
    # Air enters below a wetness, not above a strength: the cut in ln s follows from there.
    brittle = -p["brittle_margin"].si / draws.wetness_span
    cut = flow.log_strength(
        np.maximum(brittle, -1.0),
        draws.liquid_limit_strength,
        draws.strength_ratio,
        p["thermal_softening"].si,
        temperature,
    )
    least = np.log(p["firm_strength"].si) + p["cut_gap"].si
    held: Floats = np.maximum(cut, least)
    return held


@dataclass(frozen=True, eq=False)
class _Solution:
    dissolved: Floats
    soluble: Floats
    polar_demand: Floats
    oil_demand: Floats


def demand_volumes(powder: Powder, handbook: Handbook) -> tuple[float, float]:
    """Return what a powder drinks of polar liquid and of oil at the rub-out [m^3/kg]."""
    p = handbook.parameters
    return (
        powder.uptake_polar / p["polar_density"].si,
        powder.uptake_oil / p["oil_density"].si,
    )


def dissolving(solubility: ArrayLike, temperature: Floats, handbook: Handbook) -> Floats:
    """Return the share of a powder that could dissolve at `temperature`, before its draw."""
    p = handbook.parameters
    return wetting.dissolved_fraction(
        solubility,
        temperature,
        p["solubility_slope"].si,
        p["solubility_gain_limit"].si,
        p["dissolved_limit"].si,
    )


def _solution(
    mixture: Mixture,
    variant: int,
    heat: Heat,
    clock: Clock,
    factors: Floats,
    handbook: Handbook,
    draws: DoughDraws,
    knowledge: Knowledge,
) -> _Solution:
    """Return what dissolves, and what the powders that stay solid demand.

    Powders too sparingly soluble to reach any limit share one temperature factor, so they are
    summed before it; the others are followed one by one.
    """
    p = handbook.parameters
    limit, gain = p["dissolved_limit"].si, p["solubility_gain_limit"].si
    shares = mixture.powder_shares[variant]
    row = knowledge.melt_row
    solubility = np.array([powder.solubility for powder in mixture.powders])
    dissolving_shares = dissolving(solubility[:, None, None], heat.melt_temperature, handbook)
    parts = shares[:, None, None] * dissolving_shares
    soluble, freely = parts[solubility < limit].sum(axis=0), parts[solubility >= limit].sum(axis=0)
    could = draws.dissolved_factor * soluble[:, row] + freely[:, row]
    dissolved = wetting.dissolved_part(
        clock.times[:, None], could, _capacity(mixture, variant, handbook), p["dissolving_time"].si
    )
    warmth = np.exp(p["solubility_slope"].si * (heat.melt_temperature - REFERENCE_TEMPERATURE))
    # Demand of polar liquid and of oil by each powder, once all of it has drunk.
    each = [demand_volumes(one, handbook) for one in mixture.powders]
    volumes = shares * np.array(each).reshape(-1, 2).T
    drunk = clock.drunk(mixture.powders, factors)
    sparing = solubility * gain <= limit
    demands = np.matmul(np.concatenate([volumes, volumes * solubility * sparing]), drunk)
    lost = demands[:, 2:] * (draws.dissolved_factor * np.minimum(warmth, gain)[:, row])[:, None]
    followed = np.flatnonzero(~sparing & (shares > 0))
    gone = np.empty((len(drunk), followed.size, row.size))
    for place, j in enumerate(followed.tolist()):
        np.multiply(dissolving_shares[j][:, row], drunk[:, j], out=gone[:, place])
        if solubility[j] < limit:
            gone[:, place] *= draws.dissolved_factor
    lost += np.matmul(volumes[:, followed], gone)
    lost *= dissolved[:, None]
    solid = np.subtract(demands[:, :2], lost, out=lost)
    solid *= draws.demand_factor
    np.maximum(solid, p["least_demand"].si, out=solid)
    return _Solution(dissolved, could, solid[:, 0], solid[:, 1])


def _capacity(mixture: Mixture, variant: int, handbook: Handbook) -> float:
    """Return the mass of powder the liquids can dissolve, per mass of dough."""
    p = handbook.parameters
    worth = p["glycol_solvent_worth"].si
    solvent = sum(
        share * (one.water_fraction + worth * one.glycol_fraction)
        for one, share in zip(mixture.liquids, mixture.liquid_shares[variant], strict=True)
    )
    return float(p["dissolving_capacity"].si * solvent)


def liquid_volume(liquid: Liquid) -> tuple[float, float]:
    """Return the polar and the oily volume of a liquid [m^3/kg]."""
    return (1 - liquid.oil_fraction) / liquid.density, liquid.oil_fraction / liquid.density


def trust(name: str, mixture: Mixture, handbook: Handbook, knowledge: Knowledge) -> Floats | float:
    """Return the factor on a volume: 1, or draws around it where a stand-in serves."""
    if name not in mixture.unknown:
        return 1.0
    sd = handbook.parameters["unknown_volume_sd"].si
    return np.exp(sd * knowledge.scores(f"volume {name}"))


def _liquid_volumes(
    mixture: Mixture, variant: int, handbook: Handbook, knowledge: Knowledge
) -> tuple[Floats | float, Floats | float, Floats | float]:
    """Return polar volume, oily volume and volume times tack of the liquids [m^3/kg]."""
    polar: Floats | float = 0.0
    oil: Floats | float = 0.0
    tacky: Floats | float = 0.0
    for one, share in zip(mixture.liquids, mixture.liquid_shares[variant], strict=True):
        own_polar, own_oil = liquid_volume(one)
        amount = share * trust(one.name, mixture, handbook, knowledge)
        polar = polar + amount * own_polar
        oil = oil + amount * own_oil
        tacky = tacky + amount * one.tack_weight * (own_polar + own_oil)
    return polar, oil, tacky


def _melt_volume(
    mixture: Mixture, variant: int, handbook: Handbook, knowledge: Knowledge
) -> Floats | float:
    volume: Floats | float = 0.0
    for one, share in zip(mixture.melts, mixture.melt_shares[variant], strict=True):
        volume = volume + share / one.density * trust(one.name, mixture, handbook, knowledge)
    return volume
