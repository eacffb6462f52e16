"""Why a reading is what it is: what each ingredient does to wetness and firmness at the knead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from designer.evaluation.dough import Dough, demand_volumes, dissolving, liquid_volume, trust
from designer.evaluation.draws import uptake_factors
from designer.vocabulary import Floats

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation


@dataclass(frozen=True, eq=False)
class Contribution:
    """What one material does, per relative change of its amount, at the knead.

    Attributes
    ----------
    name, kind : str
    wetness : array (draws,) [1]
        dW/d ln m. Over all materials it sums to 0, as only proportions count; liquids and fats
        alone sum to W.
    log_firmness : array (draws,) [ln Pa]
        d ln s/d ln m.
    """

    name: str
    kind: str
    wetness: Floats
    log_firmness: Floats


def why(result: Evaluation, variant: int) -> tuple[Contribution, ...]:
    """Return the contributions of all materials of a variant, in the order of its rows.

    Temperature, set share and dissolved share stay as they are in this evaluation.
    """
    one, drawn = result.forecasts[variant], result.scene.drawn
    dough = one.dough(slice(result.knead, result.knead + 1))
    liquidity = (dough.wetness[0] - drawn.plastic_wetness) / drawn.wetness_span
    slope = np.where(
        (liquidity > -1) & (liquidity < 3), -np.log(drawn.strength_ratio) / drawn.wetness_span, 0.0
    )
    per_material = {
        "powder": _powders(result, variant, dough),
        "liquid": _liquids(result, variant, dough),
        "melt": _melts(result, variant, dough),
    }
    found = []
    for kind, index in dict.fromkeys(result.mixture.place):
        name = getattr(result.mixture, f"{kind}s")[index].name
        wetness = per_material[kind][index]
        found.append(Contribution(name, kind, wetness, slope * wetness))
    return tuple(found)


def _liquids(result: Evaluation, variant: int, dough: Dough) -> list[Floats]:
    parts = []
    for one, share in zip(
        result.mixture.liquids, result.mixture.liquid_shares[variant], strict=True
    ):
        polar, oil = liquid_volume(one)
        amount = share * trust(one.name, result.mixture, result.handbook, result.knowledge)
        parts.append(amount * (polar / dough.polar_demand[0] + oil / dough.oil_demand[0]))
    return parts


def _melts(result: Evaluation, variant: int, dough: Dough) -> list[Floats]:
    drawn = result.scene.drawn
    set_share = 1 - result.forecasts[variant].heat(result.knead)[1]
    vehicle = 1 - set_share + drawn.set_fat_worth * set_share
    return [
        share
        * trust(one.name, result.mixture, result.handbook, result.knowledge)
        / one.density
        * vehicle
        / dough.oil_demand[0]
        for one, share in zip(
            result.mixture.melts, result.mixture.melt_shares[variant], strict=True
        )
    ]


def _powders(result: Evaluation, variant: int, dough: Dough) -> list[Floats]:
    handbook, drawn, powders = result.handbook, result.scene.drawn, result.mixture.powders
    temperature = result.forecasts[variant].heat(result.knead)[0]
    progress = result.scene.clock(powders, slice(result.knead, result.knead + 1)).progress
    factors = uptake_factors(powders, handbook, result.knowledge)
    polar_wetness = dough.polar_volume[0] / dough.polar_demand[0]
    fat = dough.oil_volume[0] + drawn.set_fat_worth * dough.set_volume[0]
    oil_wetness = fat / dough.oil_demand[0]
    limit = handbook.parameters["dissolved_limit"].si
    density = handbook.parameters["dissolved_density"].si
    parts = []
    for j, powder in enumerate(powders):
        share = result.mixture.powder_shares[variant, j]
        could = dissolving(powder.solubility, temperature, handbook)
        if powder.solubility < limit:
            could = could * drawn.dissolved_factor
        gone = dough.dissolved[0] * could
        solid = share * (1 - gone) if powder.solubility > 0 else np.full_like(gone, share)
        drunk = drawn.demand_factor * progress[powder.material_class][0]
        drunk = drunk * factors[j] * solid
        polar, oil = demand_volumes(powder, handbook)
        parts.append(
            share * gone / density / dough.polar_demand[0]
            - polar_wetness * polar * drunk / dough.polar_demand[0]
            - oil_wetness * oil * drunk / dough.oil_demand[0]
        )
    return parts
