"""JSON of swaps: every stand-in with its amounts, its effect and what it breaks."""

from typing import Any

from designer.advice.offers import Figures, Move, Offer, Reason, Swaps
from designer.advice.origins import WISHES
from designer.advice.stocked import CostChange
from designer.advice.swap_papers import LimitChange, Papers
from designer.exchange.readings import rounded
from designer.vocabulary import from_si
from designer.wording.swap_papers import limit_words
from designer.wording.swaps import (
    FORMULA,
    broken_words,
    moved_words,
    note_words,
    refused_words,
    verdict,
)

SCHEMA = 1


def as_json(answer: Swaps) -> dict[str, Any]:
    """Return stand-ins as plain values: percent of the dough, chances as shares of 1."""
    return {
        "schema": SCHEMA,
        "recipe": answer.recipe.name,
        "variant": answer.number,
        "row": answer.row + 1,
        "ingredient": answer.name,
        "half": answer.request.half,
        "wishes": sorted(answer.request.wishes),
        "text": verdict(answer),
        "formula": FORMULA,
        "before": _figures(answer.before),
        "swaps": [_offer(one) for one in answer.every],
    }


def _offer(one: Offer) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": one.name,
        "inci": one.peer.inci,
        "phase": one.phase,
        "percent": rounded(one.percent),
        "stands_in": one.refused is None,
        "keeps_chance": one.keeps_chance,
        "closeness": rounded(one.closeness),
        "residual": rounded(one.residual),
        "moves": [_move(move) for move in one.moves],
        "after": _figures(one.after),
        "notes": [_reason(note, note_words(note, one)) for note in one.notes],
        "origin": {wish: one.origins.answer(wish) for wish in WISHES},
        "allergens": list(one.origins.allergens),
        "new_allergens": list(one.new_allergens),
        "breaks": [
            {
                "wish": each.wish,
                "ingredient": each.name,
                "sure": each.is_sure,
                "text": broken_words(each),
            }
            for each in one.broken
        ],
    }
    if one.cost is not None:
        found["cost"] = cost_json(one.cost)
    if one.papers is not None:
        found["limits_and_label"] = _papers(one.papers)
    if one.refused is not None:
        found["no_stand_in"] = _reason(one.refused, refused_words(one))
    if one.moved is not None:
        found["chance_moved"] = _reason(one.moved, moved_words(one))
    return found


def cost_json(one: CostChange) -> dict[str, Any]:
    """Return a change of cost as plain values."""
    return {
        "change": {"value": rounded(float(one.per_kilogram)), "unit": f"{one.currency}/kg"},
        "oldest_price": one.oldest,
    }


def _papers(one: Papers) -> dict[str, Any]:
    if one.problem:
        return {"market": one.market, "missing": one.problem}
    return {
        "market": one.market,
        "limits": [_limit(change, one.market) for change in one.limits],
        "allergens_to_name": list(one.allergens),
        "allergens_that_may_be": list(one.may_allergens),
        "allergens_no_longer": list(one.allergens_off),
        "names_new": list(one.names),
        "names_no_longer": list(one.names_off),
        "allergens_unknown_of": list(one.untold),
    }


def _limit(change: LimitChange, market: str) -> dict[str, Any]:
    return {
        "code": change.check.code,
        "subject": change.check.subject,
        "before": None if change.before is None else change.before.verdict,
        "after": None if change.is_gone else change.check.verdict,
        "breaks_limit": change.is_broken,
        "text": limit_words(change, market),
    }


def _move(move: Move) -> dict[str, Any]:
    return {
        "name": move.name,
        "phase": move.phase,
        "part": move.part,
        "from": rounded(move.before),
        "to": rounded(move.after),
        "delta": rounded(move.change),
    }


def _reason(one: Reason, text: str) -> dict[str, Any]:
    return {"code": one.code.replace(" ", "_"), "text": text}


def _figures(one: Figures) -> dict[str, Any]:
    found: dict[str, Any] = {
        "clean_knead_chance": None if one.chance is None else rounded(one.chance),
        "state": one.state,
        "wetness": rounded(one.wetness),
        "dough_temperature": _quantity(one.temperature, "°C", "degC"),
        "melt_fraction": _quantity(one.melt, "%", "percent"),
        "liquid_fat": _quantity(one.melt_liquid, "%", "percent"),
        "water": _quantity(one.water, "%", "percent"),
        "firmness_next_day": _quantity(one.firmness, "kPa", "kPa"),
        "active_surfactant": _quantity(one.active, "%", "percent"),
        "active_by_charge": {
            charge: _quantity(share, "%", "percent") for charge, share in one.by_charge
        },
    }
    if one.outside:
        found["missing"] = f"outside the model: {one.outside}"
    return found


def _quantity(value: float, ours: str, unit: str) -> dict[str, Any]:
    return {"value": rounded(float(from_si(value, ours))), "unit": unit}
