"""JSON of an evaluation: every reading with its unit, interval and source."""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from designer.evaluation.cautions import cautions
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import Reading, outside_model, readings, standings, state
from designer.evaluation.spread import Spread
from designer.evaluation.to_measure import to_measure
from designer.evaluation.water_activity import water_activity
from designer.evaluation.why import why
from designer.vocabulary import STATES, Floats, from_si
from designer.wording.sentence import crumbles, is_dough
from designer.wording.words import bar_word

SCHEMA = 1

UNITS = {
    "liquid_to_powder": ("g/g", "dimensionless"),
    "wetness": ("1", "dimensionless"),
    "melt_fraction": ("%", "percent"),
    "melt_liquid_share": ("%", "percent"),
    "dough_temperature": ("°C", "degC"),
    "firmness": ("kPa", "kPa"),
    "clean_knead_chance": ("1", "dimensionless"),
    "active_surfactant": ("%", "percent"),
    "water": ("%", "percent"),
    "water_activity": ("1", "dimensionless"),
    "ph": ("1", "dimensionless"),
}
"""Reading: our unit, and the same as a general unit library spells it."""


def compare(result: Evaluation, left_out: Sequence[str] = ()) -> dict[str, Any]:
    """Return all variants as plain values, and the numbers of those left out as empty."""
    return {
        "variants": [as_json(result, v) for v in range(len(result.recipe.variants))],
        "left_out": list(left_out),
    }


def as_json(result: Evaluation, variant: int) -> dict[str, Any]:
    """Return all readings of a variant as plain values, finite or null.

    Outside the model there is no firmness, wetness, mark or cause; the state is then no more than
    which end of the scale it lies beyond.
    """
    known = result.recipe.variants[variant]
    return {
        "schema": SCHEMA,
        "recipe": result.recipe.name,
        "variant": known.number,
        "title": known.title,
        "conditions": _conditions(result, variant),
        "readings": {name: _reading(one) for name, one in _every_reading(result, variant)},
        "state": state(result, variant),
        "state_chances": _chances(result, variant),
        "clock": _clock(result, variant),
        "marks": _marks(result, variant),
        "standings": [vars(one) for one in standings(result, variant)],
        "why": _why(result, variant),
        "warnings": [
            {"code": one.code, "text": one.text}
            | ({"ingredient": one.ingredient} if one.ingredient else {})
            for one in cautions(result, variant)
        ],
    }


def _every_reading(result: Evaluation, variant: int) -> Iterator[tuple[str, Reading]]:
    yield from readings(result, variant).items()
    yield from to_measure(result, variant).items()


def _conditions(result: Evaluation, variant: int) -> dict[str, Any]:
    c = result.conditions
    facts = {
        "room": (c.room, "°C", "degC"),
        "humidity": (c.humidity, "%", "percent"),
        "bath": (c.bath, "°C", "degC"),
        "liquids": (c.liquids, "°C", "degC"),
        "dough_mass": (float(c.batch_mass[variant]), "g", "g"),
    }
    found: dict[str, Any] = {
        name: {"value": rounded(from_si(value, ours)), "unit": unit}
        for name, (value, ours, unit) in facts.items()
    }
    found["knead_minutes"] = [rounded(end / 60) for end in c.window]
    found["draws"] = result.knowledge.draws
    found["knowledge"] = result.knowledge.basis
    return found


def rounded(value: float) -> float:
    """Return a value to twelve digits, so that no rounding error of a unit is printed."""
    return float(f"{value:.12g}")


def _shown(value: float | None, unit: str) -> float | None:
    if value is None or not np.isfinite(value):
        return None
    return rounded(float(from_si(value, unit)))


def _reading(one: Reading) -> dict[str, Any]:
    ours, unit = UNITS[one.name]
    found: dict[str, Any] = {
        "value": _shown(one.value, ours),
        "unit": unit,
        "low": _shown(one.low, ours),
        "high": _shown(one.high, ours),
        "range": None,
        "source": one.source,
    }
    if one.known_good is not None:
        found["range"] = [_shown(end, ours) for end in one.known_good]
    if one.at is not None:
        found["at_minutes"] = rounded(one.at / 60)
    if one.missing is not None:
        found["missing"] = one.missing
    if one.parts:
        found["parts"] = {name: _shown(value, ours) for name, value in one.parts.items()}
    return found


def _chances(result: Evaluation, variant: int) -> dict[str, float]:
    chances = np.clip(result.state_chances[variant, result.knead], 0.0, 1.0)
    return dict(zip(STATES, (float(chance) for chance in chances), strict=True))


def _span(spread: Spread, at: int, unit: str) -> dict[str, float | None]:
    return {
        name: _shown(float(getattr(spread, name)[at]), unit) for name in ("value", "low", "high")
    }


def _clock(result: Evaluation, variant: int) -> list[dict[str, Any]]:
    outside = bool(outside_model(result, variant))
    return [_moment(result, variant, at, outside) for at in range(result.times.size)]


def _moment(result: Evaluation, variant: int, at: int, outside: bool) -> dict[str, Any]:
    spread = result.spread_over_time(variant)
    firmness, wetness = _span(spread["firmness"], at, "kPa"), _span(spread["wetness"], at, "1")
    loose = crumbles(result, variant, at)
    air = water_activity(result, variant)
    dry = bool(air.why_not)
    if outside or is_dough(result, at):
        word = state(result, variant, at)
    else:
        word = "crumbly" if loose else bar_word(float(spread["firmness"].value[at]))
    return {
        "minutes": rounded(float(result.times[at]) / 60),
        "firmness": dict.fromkeys(firmness) if outside or loose else firmness,
        "wetness": dict.fromkeys(wetness) if outside else wetness,
        "temperature": _span(spread["temperature"], at, "°C"),
        "bar_weight_share": _span(spread["bar_weight_share"], at, "1"),
        "water_activity": dict.fromkeys(firmness) if dry else _span(air.over_time, at, "1"),
        "state": word,
    }


def _marks(result: Evaluation, variant: int) -> dict[str, Any]:
    if outside_model(result, variant):
        return {}
    return {
        name: {
            "minutes": _shown(float(mark.value[variant]), "min"),
            "low": _shown(float(mark.low[variant]), "min"),
            "high": _shown(float(mark.high[variant]), "min"),
            "share": min(1.0, float(mark.share[variant])),
        }
        for name, mark in result.marks.items()
    }


def _why(result: Evaluation, variant: int) -> list[dict[str, Any]]:
    def span(draws: Floats) -> dict[str, float | None]:
        spread = result.spread(draws[None])
        return _span(spread, 0, "1")

    if outside_model(result, variant):
        return []
    return [
        {
            "name": one.name,
            "kind": one.kind,
            "wetness": span(one.wetness),
            "log_firmness": span(one.log_firmness),
        }
        for one in why(result, variant)
    ]
