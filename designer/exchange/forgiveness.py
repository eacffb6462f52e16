"""What a recipe forgives, and what makes its forecast unsure, as plain values."""

from typing import Any

from designer.advice.forgiveness import Allowance, End, Forgiveness
from designer.advice.variance import Uncertainty
from designer.exchange.readings import rounded
from designer.vocabulary import from_si
from designer.wording.forgiveness import GRAMS_NOTE, weakest_sentences
from designer.wording.uncertainty import input_words, measurement_sentences

__all__ = ["forgiveness_json", "uncertainty_json"]

_UNITS = {
    "ingredient": ("g", "g"),
    "lot": ("%", "percent"),
    "room": ("°C", "degC"),
    "humidity": ("%", "percent"),
    "bath": ("°C", "degC"),
    "batch": ("kg", "kg"),
    "knead": ("min", "minute"),
}
"""Kind, or condition: our unit, and the same as a general unit library spells it."""


def forgiveness_json(found: Forgiveness) -> dict[str, Any]:
    """Return what a recipe forgives as plain values, finite or null."""
    made: dict[str, Any] = {
        "variant": found.number,
        "chance": found.chance,
        "wanted": found.wanted,
    }
    if found.missing:
        return made | {"missing": found.missing, "allowances": [], "weakest": []}
    return made | {
        "needed": found.needed,
        "note": GRAMS_NOTE,
        "allowances": [_allowance(one, found.batch) for one in found.allowances],
        "weakest": list(weakest_sentences(found)),
    }


def _allowance(one: Allowance, batch: float) -> dict[str, Any]:
    ours, unit = _UNITS[one.name if one.kind == "condition" else one.kind]
    made: dict[str, Any] = {
        "name": one.name,
        "kind": one.kind,
        "unit": unit,
        "value": rounded(from_si(one.at, ours)),
        "low": _end(one.low, ours),
        "high": _end(one.high, ours),
    }
    if one.is_ingredient:
        made["percent_of_recipe"] = {
            name: None if value is None else rounded(100 * value / batch)
            for name, value in (
                ("value", one.at),
                ("low", one.low.value),
                ("high", one.high.value),
            )
        }
    return made


def _end(end: End, unit: str) -> dict[str, Any]:
    return {
        "value": None if end.value is None else rounded(from_si(end.value, unit)),
        "looked_to": rounded(from_si(end.looked, unit)),
        "chance": end.chance,
        "beyond": end.state or None,
    }


def uncertainty_json(found: Uncertainty) -> dict[str, Any]:
    """Return what makes a forecast unsure as plain values."""
    if found.missing:
        return {"variant": found.number, "missing": found.missing, "inputs": []}
    return {
        "variant": found.number,
        "sd_log_firmness_tables_only": found.sd_tables,
        "sd_log_firmness": found.sd_now,
        "inputs": [
            {
                "name": input_words(one),
                "kind": one.kind,
                "of": one.of or None,
                "firmness": {"first": one.first, "total": one.total},
                "clean_knead": {"first": one.clean_first, "total": one.clean_total},
            }
            for one in found.inputs
        ],
        "measurements": [
            {"kind": one.kind, "of": one.of or None, "sd_log_firmness_after": one.sd_after}
            for one in found.measurements
        ],
        "worth_measuring": list(measurement_sentences(found)),
    }
