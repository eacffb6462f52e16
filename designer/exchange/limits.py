"""JSON of the checks of a variant for a market."""

from decimal import Decimal
from typing import Any

from designer.evaluation.assessed import AssessedDifference, assessed_difference
from designer.evaluation.checks import checks, is_broken
from designer.evaluation.composition import Amount
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.verdicts import Check
from designer.exchange.readings import rounded
from designer.handbook.law import Law
from designer.wording.assessed import standing_words
from designer.wording.checks import DISCLAIMER, check_line, summary

__all__ = ["amount", "as_json", "number"]

_UNITS = {"%": "percent", "1": "dimensionless", "°C": "degC", "": ""}


def as_json(
    result: Evaluation,
    variant: int,
    market: str,
    tables: Law,
    other_purpose: frozenset[str] = frozenset(),
) -> dict[str, Any]:
    """Return the checks as plain values; parameters as of `evaluation.checks.checks`."""
    found = checks(result, variant, market, tables, other_purpose)
    known = result.recipe.variants[variant]
    return {
        "schema": 1,
        "recipe": result.recipe.name,
        "variant": known.number,
        "title": known.title,
        "market": market,
        "tables_of": tables.as_of,
        "broken": is_broken(found),
        "assessed": _assessed(assessed_difference(result.recipe, known.number)),
        "summary": summary(found, market, tables),
        "disclaimer": DISCLAIMER,
        "checks": [_check(one) for one in found],
    }


def _assessed(found: AssessedDifference | None) -> dict[str, Any] | None:
    """Return how a variant stands to what was assessed, None where nothing was."""
    if found is None:
        return None
    return {
        "report": found.assessed.report,
        "date": found.assessed.date,
        "outside": found.is_outside,
        "hold": found.is_held,
        "released_by": None if found.release is None else found.release.name,
        "changes": [
            {"name": one.name, "kind": one.kind, "was": rounded(one.was), "now": rounded(one.now)}
            for one in found.changes
        ],
        "text": standing_words(found),
    }


def _check(one: Check) -> dict[str, Any]:
    line = check_line(one)
    return {
        "code": one.code,
        "subject": one.subject,
        "title": line.title,
        "verdict": one.verdict,
        "broken": one.is_broken,
        **(dict.fromkeys(("value", "low", "high")) if one.amount is None else amount(one.amount)),
        "unit": _UNITS[one.unit],
        "basis": one.basis,
        "limit": None if one.limit is None else number(one.limit),
        "text": line.note,
        "materials": list(one.materials),
        "source": one.source,
        "read": one.standing,
        "evidence": one.evidence,
        "as_of": one.as_of,
    }


def amount(one: Amount) -> dict[str, float]:
    """Return an amount as its three numbers."""
    return {
        "value": number(one.typical),
        "low": number(one.low),
        "high": number(one.high),
    }


def number(value: Decimal) -> float:
    """Return a decimal as the number that JSON has."""
    return rounded(float(value))
