"""The readings of a recipe, in SI and with their sources: what every view and file shows."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.remembered import remembered
from designer.handbook import KnownGoodRange, Liquid, Melt, Powder
from designer.vocabulary import STATES, Floats, si

CHARGES = ("anionic", "amphoteric", "nonionic", "cationic")

_RANGES = {
    "liquid_to_powder": "liquid:powder",
    "wetness": "wetness at 10 min",
    "melt_fraction": "melt phase",
    "dough_temperature": "dough temperature at knead",
    "firmness": "worked strength at 10 min",
    "water": "water",
}
"""Reading: the known-good range it is drawn against."""

_SOURCES = {
    "liquid_to_powder": "as weighed: unheated liquids over all powders",
    "wetness": "liquid over rub-out demand (end point of ISO 787-5, ASTM D281), added in own form",
    "melt_fraction": "as weighed: all melt materials",
    "melt_liquid_share": "ideal solubility (Schroeder, van Laar) with first-order setting",
    "dough_temperature": "heat balance at the pour, Newton cooling, heat of setting",
    "firmness": "log-linear strength between Atterberg limits (Vardanega, Haigh 2014, for soils; "
    "its use for doughs is an own estimate)",
    "clean_knead_chance": "share of weighted draws that are felt clean within the kneading window",
    "active_surfactant": "active content of every surfactant as sold",
    "water": "water of the liquids and moisture of the powders",
}

Span: TypeAlias = tuple[float, float]


@dataclass(frozen=True)
class Reading:
    """One shown number, in SI.

    Attributes
    ----------
    name : str
        A key of `vocabulary.QUANTITIES`.
    value, low, high : float or None
        Median and 80 % interval of the draws; None where the model must not speak, or, for the
        ends, where the number is exact or a chance.
    source : str
    known_good : (float, float) or None
    at : float or None [s]
        The moment it is given for.
    missing : str or None
        Why there is no value.
    parts : mapping of str to float
    """

    name: str
    value: float | None
    low: float | None
    high: float | None
    source: str
    known_good: Span | None = None
    at: float | None = None
    missing: str | None = None
    parts: dict[str, float] = field(default_factory=dict)


def readings(result: Evaluation, variant: int) -> dict[str, Reading]:
    """Return the readings of a variant at the knead, in the order they are shown."""
    one = result.forecasts[variant]
    temperature, liquid_share = one.heat(result.knead)
    active, by_charge = active_surfactant(result, variant)
    draws: dict[str, Floats] = {
        "liquid_to_powder": np.atleast_1d(result.mixture.liquid_to_powder[variant]),
        "wetness": one.wetness[result.knead],
        "melt_fraction": np.atleast_1d(result.mixture.melt_fraction[variant]),
        "melt_liquid_share": liquid_share,
        "dough_temperature": temperature,
        "firmness": one.firmness[result.knead],
        "active_surfactant": active,
        "water": one.water,
    }
    found = _readings(result, draws)
    if not np.isfinite(draws["liquid_to_powder"]).all():
        found["liquid_to_powder"] = _absent("liquid_to_powder", "there is no powder")
    if result.mixture.melt_fraction[variant] <= 0:
        found["melt_liquid_share"] = _absent("melt_liquid_share", "there is no melt")
    found["clean_knead_chance"] = Reading(
        "clean_knead_chance",
        one.clean_knead_chance,
        None,
        None,
        _source(result, "clean_knead_chance"),
    )
    parts = dict(zip(CHARGES, by_charge, strict=True))
    found["active_surfactant"] = _with_parts(found["active_surfactant"], parts)
    if outside := outside_model(result, variant):
        for name in ("wetness", "firmness", "clean_knead_chance"):
            found[name] = _absent(name, f"outside the model: {outside}")
    elif state(result, variant) == "crumbly":
        # A loose powder has no such strength.
        found["firmness"] = _absent("firmness", "a crumbling dough has no single firmness")
    return found


def _readings(result: Evaluation, draws: dict[str, Floats]) -> dict[str, Reading]:
    """Return readings of draws; where there is but one of them the number is exact."""
    uncertain = [name for name, values in draws.items() if values.size == result.knowledge.draws]
    # All are sorted at once: the calls would cost more than the sorting.
    spread = result.spread(np.stack([draws[name] for name in uncertain]))
    ends = {
        name: (float(spread.value[place]), float(spread.low[place]), float(spread.high[place]))
        for place, name in enumerate(uncertain)
    }
    found = {}
    for name, values in draws.items():
        value, low, high = ends.get(name) or (float(values[0]),) * 3
        is_timed = name in ("wetness", "melt_liquid_share", "dough_temperature", "firmness")
        found[name] = Reading(
            name,
            value,
            low,
            high,
            _source(result, name),
            known_good_span(result, name),
            float(result.times[result.knead]) if is_timed else None,
        )
    return found


def _source(result: Evaluation, name: str) -> str:
    exact = name in ("liquid_to_powder", "melt_fraction")
    return _SOURCES[name] if exact else f"{_SOURCES[name]}; {result.knowledge.basis}"


def _absent(name: str, why: str) -> Reading:
    return Reading(name, None, None, None, _SOURCES[name], missing=why)


def _with_parts(reading: Reading, parts: dict[str, float]) -> Reading:
    return replace(reading, parts={key: value for key, value in parts.items() if value > 0})


def known_good_span(result: Evaluation, name: str) -> Span | None:
    """Return the known-good range of a reading in SI, or None."""
    if name not in _RANGES:
        return None
    return _span(result.handbook.ranges[_RANGES[name]])


def _span(one: KnownGoodRange) -> Span:
    unit = one.unit.split(" of ")[0]
    return float(si(one.low, unit)), float(si(one.high, unit))


def active_surfactant(result: Evaluation, variant: int) -> tuple[Floats, Floats]:
    """Return active surfactant per mass of dough: all of it (draws,), medians by charge (4,)."""
    total = np.zeros(result.knowledge.draws)
    by_charge = dict.fromkeys(CHARGES, 0.0)
    sd = result.handbook.parameters["active_powder_sd"].si
    mixture = result.mixture
    for material, share in mixture.solids_and_liquids(variant):
        if material.surfactant_charge not in by_charge or not _is_surfactant(material):
            continue
        own = share * material.active_fraction
        spread = material.active_rel_sd if isinstance(material, Liquid) else None
        scores = result.knowledge.scores(f"active {material.name}")
        total = total + own * (1 + (sd if spread is None else spread) * scores)
        by_charge[material.surfactant_charge] += own
    return total, np.array([by_charge[charge] for charge in CHARGES])


def _is_surfactant(material: Powder | Liquid) -> bool:
    return material.material_class in ("surfactant_powder", "liquid_surfactant")


def state(result: Evaluation, variant: int, time: int | None = None) -> str:
    """Return the likeliest state of the dough at a moment, the knead unless said."""
    at = result.knead if time is None else time
    return STATES[int(result.forecasts[variant].state_chances(at).argmax())]


def outside_model(result: Evaluation, variant: int) -> str:
    """Return why the model must not speak about a variant, or ""."""
    return result.forecasts[variant].outside


@dataclass(frozen=True)
class Standing:
    """Where a recipe stands against one known-good range; values in the range's unit.

    Attributes
    ----------
    where : "below", "within" or "above"
    """

    quantity: str
    unit: str
    value: float
    low: float
    typical: float
    high: float
    where: str
    source: str


@remembered
def standings(result: Evaluation, variant: int) -> tuple[Standing, ...]:
    """Return where a variant stands against the known-good ranges of its make-up."""
    found = []
    for quantity, value in _make_up(result, variant).items():
        one = result.handbook.ranges[quantity]
        shown = value * 100 if one.unit.startswith("%") else value
        # Rounded as shown, so that "12.0 % above 12" is never said.
        rounded = round(shown, 1 if one.unit.startswith("%") else 2)
        where = "below" if rounded < one.low else "above" if rounded > one.high else "within"
        found.append(
            Standing(quantity, one.unit, shown, one.low, one.typical, one.high, where, one.source)
        )
    return tuple(found)


def _make_up(result: Evaluation, variant: int) -> dict[str, float]:
    """Return the shares of the dough that usual practice has ranges for."""
    mixture = result.mixture
    powder = _by_class(mixture.powders, mixture.powder_shares[variant])
    liquid = _by_class(mixture.liquids, mixture.liquid_shares[variant])
    melt = _by_class(mixture.melts, mixture.melt_shares[variant])
    powders, liquids = sum(powder.values()), sum(liquid.values())
    fraction = float(mixture.melt_fraction[variant])
    surfactant = powder.get("surfactant_powder", 0.0)
    made = {
        "surfactant powder": surfactant,
        "other powder": powders - surfactant,
        "starch": powder.get("starch", 0.0),
        "melt phase": fraction,
        "cationic wax": melt.get("cationic", 0.0),
        "liquid surfactant": liquid.get("liquid_surfactant", 0.0),
        "other liquids": liquids - liquid.get("liquid_surfactant", 0.0),
        "humectant": liquid.get("humectant", 0.0),
        "water": float(result.spread(result.forecasts[variant].water).value),
    }
    if powders > 0:
        made["liquid:powder"] = liquids / powders
        made["vehicle:powder"] = (liquids + fraction) / powders
    return made


def _by_class(materials: Sequence[Powder | Liquid | Melt], shares: Floats) -> dict[str, float]:
    found: dict[str, float] = {}
    for material, share in zip(materials, shares, strict=True):
        found[material.material_class] = found.get(material.material_class, 0.0) + float(share)
    return found
