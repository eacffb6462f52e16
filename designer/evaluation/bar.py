"""Water that stays and leaves, and firmness of the pressed bar, for every draw."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from designer.evaluation.draws import drawn
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.mixture import Mixture
from designer.handbook import Handbook
from designer.laws import drying, hardening, sorption
from designer.vocabulary import Floats


@dataclass(frozen=True, eq=False)
class Water:
    """Water of one variant, masses per mass of dough.

    Attributes
    ----------
    all : array (draws,) [1], of liquids and the moisture of powders
    kept : array (draws,) [1], in balance with the room
    lost : array (times, draws) [1], dried out since shaping; negative where the bar drinks
    """

    all: Floats
    kept: Floats
    lost: Floats


def water(
    mixture: Mixture,
    variant: int,
    humidity: float,
    left: Floats,
    handbook: Handbook,
    knowledge: Knowledge,
) -> Water:
    """Return the water of one variant; `left` (times, draws) is from `drying_share`."""
    total, holders = water_and_holders(mixture, variant, handbook)
    kept = np.zeros(knowledge.draws)
    for name in sorted(holders):
        holder = handbook.holders[name]
        factor = np.exp(holder.rel_sd * knowledge.scores(f"isotherm {name}"))
        kept = kept + holders[name] * held_water(name, humidity, handbook) * factor
    lost = (total - kept) * (1 - left)
    return Water(np.full(knowledge.draws, total), kept, lost)


def drying_share(
    since_shaping: Floats, room: float, handbook: Handbook, knowledge: Knowledge
) -> Floats:
    """Return the share (times, draws) of the losable water still in the bar.

    `since_shaping` (times,) [s]; before it, where it is negative, nothing has dried.
    """
    p = handbook.parameters
    warmth = float(drying.diffusivity_factor(room, p["diffusivity_activation"].si))
    return drying.puck_water_left(
        np.maximum(since_shaping, 0.0)[:, None],
        warmth * drawn(p["diffusivity"], knowledge.scores("D dry")),
        p["puck_diameter"].si,
        p["puck_height"].si,
        False,
    )


def water_and_holders(
    mixture: Mixture, variant: int, handbook: Handbook
) -> tuple[float, dict[str, float]]:
    """Return all water, and the dry mass of every water holder, per mass of dough."""
    total = 0.0
    holders: dict[str, float] = {}
    for material, share in mixture.solids_and_liquids(variant):
        if share <= 0:
            continue
        water_fraction, parts = handbook.water_parts(material)
        total += share * water_fraction
        for name, fraction in parts.items():
            holders[name] = holders.get(name, 0.0) + share * fraction
    return total, holders


@lru_cache(maxsize=1024)
def held_water(name: str, activity: float, handbook: Handbook) -> float:
    """Return the water [kg/kg] a dry holder keeps at a water activity."""
    return float(isotherm(name, np.array(activity), handbook))


def isotherm(name: str, activity: Floats, handbook: Handbook) -> Floats:
    """Return the water [kg/kg] a dry holder keeps at water activities, in their shape."""
    holder = handbook.holders[name]
    if holder.model == "gab":
        return sorption.gab_water(activity, holder.gab_m0, holder.gab_c, holder.gab_k)
    if holder.model == "poly":
        return sorption.norrish_water(
            activity, holder.alpha, holder.beta, holder.nu, holder.molar_mass
        )
    if holder.model == "salt":
        p = handbook.parameters
        return sorption.salt_water(
            activity,
            holder.pitzer_b0,
            holder.pitzer_b1,
            holder.pitzer_cphi,
            holder.molar_mass,
            holder.saturation_activity,
            p["salt_step_lowering"].si,
            p["salt_step_width"].si,
        )
    return np.zeros(activity.shape)


def bar_firmness(
    log_strength: Floats,
    set_share: Floats,
    melt_fraction: float,
    since_shaping: Floats,
    handbook: Handbook,
) -> Floats:
    """Return the firmness (times, draws) [Pa]: the dough's until shaping, then the bar's."""
    p = handbook.parameters
    gain = hardening.setting_gain(
        np.maximum(since_shaping, 0.0)[:, None],
        set_share,
        melt_fraction,
        p["bar_melt_reference"].si,
        p["bar_set_gain"].si,
        p["bar_set_time"].si,
    )
    return hardening.bar_strength(np.exp(log_strength), gain, p["bar_limit_strength"].si)
