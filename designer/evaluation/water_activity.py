"""Water activity of the dough and of the drying bar, after equalising in a closed jar, at 25 °C.

It is told from the recipe alone, over the draws, and is no measurement: the isotherms of surfactant
powders are guessed from their moisture.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from designer.evaluation import bar
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.remembered import remembered
from designer.evaluation.spread import Spread, spread
from designer.handbook import Handbook, Material, kind_of
from designer.laws.balance import ACTIVITY_GRID, balance_activity, balance_water
from designer.vocabulary import Floats

__all__ = ["WaterActivity", "activity_of", "uncertain_water", "water_activity"]

VOLATILE = ("Alcohol", "Alcohol Denat.", "Isopropyl Alcohol", "Propylene Glycol")
"""Vapours that disturb a meter which is not made for them: ISO 18787 on alcohols as told by a
summary; propylene glycol from memory."""

_HIGHEST = 1.0


@dataclass(frozen=True, eq=False)
class WaterActivity:
    """Water activity of a variant over the times of its evaluation.

    Attributes
    ----------
    activity : array (times, draws) [1]
        Of the dough until shaping, of the whole bar, equalised, from then on.
    weights : array (draws,)
    unknown : tuple of str
        Ingredients without isotherm of their own; a middling solid stands in for them.
    volatile : tuple of str
        Ingredients next to which a meter must be one made for vapours of alcohols.
    why_not : str
        Why there is nothing to tell, "" where there is.
    """

    activity: Floats
    weights: Floats
    unknown: tuple[str, ...]
    volatile: tuple[str, ...]
    why_not: str

    @cached_property
    def over_time(self) -> Spread:
        """Median and 80 % interval (times,)."""
        return spread(self.activity, self.weights)

    @property
    def fresh(self) -> Spread:
        """Of the dough as it is shaped."""
        return spread(self.activity[0], self.weights)

    @property
    def cured(self) -> Spread:
        """Of the bar at the last moment of the evaluation."""
        return spread(self.activity[-1], self.weights)

    def chance_below(self, limit: float, time: int = -1) -> float:
        """Return the chance that it lies below a limit at a moment, the last unless said."""
        return float(self.weights[self.activity[time] < limit].sum())


@remembered
def water_activity(result: Evaluation, variant: int) -> WaterActivity:
    """Return the water activity of a variant."""
    one, handbook, knowledge = result.forecasts[variant], result.handbook, result.knowledge
    total, holders = bar.water_and_holders(one.mixture, 0, handbook)
    water = uncertain_water(total, handbook, knowledge)
    # What the room leaves in the bar depends on its holders alone, not on what was poured.
    present = one.kept_water + (water - one.kept_water) * one.scene.left
    return WaterActivity(
        activity_of(np.maximum(present, 0.0), holders, handbook, knowledge),
        knowledge.weights,
        one.mixture.unknown,
        _volatile(result, variant),
        "" if total > 0 else "there is no water in it",
    )


def uncertain_water(total: float, handbook: Handbook, knowledge: Knowledge) -> Floats:
    """Return all water (draws,) of a dough, of which the recipe states `total`, both [1]."""
    sd = handbook.parameters["water_content"].si
    return np.minimum(total * np.exp(sd * knowledge.scores("water content")), 1.0)


def activity_of(
    water: Floats, holders: Mapping[str, float], handbook: Handbook, knowledge: Knowledge
) -> Floats:
    """Return the water activity at which holders keep just the water there is.

    Parameters
    ----------
    water : array (..., draws) [1]
        Per mass of dough.
    holders : mapping of holder to its dry mass per mass of dough
    handbook, knowledge

    Returns
    -------
    array (..., draws) [1]; 1 where the water exceeds all that the holders can keep
    """
    names = sorted(holders)
    shares = np.empty((knowledge.draws, len(names)))
    for column, name in enumerate(names):
        sd = handbook.holders[name].rel_sd
        factor = np.exp(sd * knowledge.scores(f"isotherm {name}")) if sd == sd else 1.0
        shares[:, column] = holders[name] * factor
    curves = np.array([_tabled(name, handbook) for name in names])
    sums = balance_water(shares, curves.reshape(len(names), ACTIVITY_GRID.size))
    found = balance_activity(water, sums, ACTIVITY_GRID)
    return np.where(water > sums[:, -1], _HIGHEST, found)


@lru_cache(maxsize=256)
def _tabled(name: str, handbook: Handbook) -> Floats:
    """Return the isotherm of a holder over the grid of water activities."""
    curve = bar.isotherm(name, ACTIVITY_GRID, handbook)
    curve.flags.writeable = False
    return curve


def _volatile(result: Evaluation, variant: int) -> tuple[str, ...]:
    mixture = result.forecasts[variant].mixture
    materials: tuple[Material, ...] = (*mixture.liquids, *mixture.powders, *mixture.melts)
    return tuple(
        material.name
        for material in materials
        if any(
            one.component in VOLATILE and one.typical > 0
            for one in result.handbook.compositions.get((kind_of(material), material.name), ())
        )
    )
