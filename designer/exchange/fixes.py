"""JSON of fixes on paper."""

from typing import Any

from designer.advice.fix import Fix, Fixes
from designer.advice.wishes import Reached, Wish
from designer.exchange.readings import rounded
from designer.exchange.swaps import cost_json
from designer.vocabulary import from_si
from designer.wording.fixes import obstacle_words, verdict

SCHEMA = 1


def as_json(fixes: Fixes) -> dict[str, Any]:
    """Return fixes as plain values: percent of the dough, chances as shares of 1."""
    found: dict[str, Any] = {
        "schema": SCHEMA,
        "recipe": fixes.recipe.name,
        "variant": fixes.number,
        "wish": _wish(fixes.wish),
        "wanted": rounded(fixes.recipe.bench.wanted),
        "status": fixes.status,
        "text": verdict(fixes),
        # Outside the model there is nothing to tell of the dough as it is.
        "now": None if fixes.outside else _reached(fixes.wish, fixes.now),
        "goal": {
            "value": _value(fixes.wish, fixes.goal.value),
            "unit": _unit(fixes.wish),
            "clean_knead_chance": rounded(fixes.goal.chance),
        },
        "fixes": [_fix(fixes.wish, one) for one in fixes.fixes],
    }
    if fixes.obstacle is not None:
        found["obstacle"] = {
            "kind": fixes.obstacle.kind,
            "name": fixes.obstacle.name,
            "text": obstacle_words(fixes.obstacle),
        }
    return found


def _fix(wish: Wish, one: Fix) -> dict[str, Any]:
    found: dict[str, Any] = {
        "moves": [
            {
                "row": move.row + 1,
                "name": move.name,
                "from": rounded(move.before),
                "to": rounded(move.after),
                "delta": rounded(move.delta),
                "fills": move.fills,
            }
            for move in one.moves
        ],
        "size": rounded(one.size),
        "meets": one.meets,
        "reached": _reached(wish, one.reached),
        "clean_knead_chance": rounded(one.chance),
        "state": one.state,
        "course": [
            {"minutes": rounded(moment / 60), "state": state} for moment, state in one.course
        ],
        "active_surfactant": _percent(one.active, one.active_change),
        "water": _percent(one.water, one.water_change),
    }
    if one.cost_change is not None:
        found["cost_change"] = cost_json(one.cost_change)
    return found


def _percent(value: float, change: float) -> dict[str, Any]:
    return {"value": rounded(100 * value), "change": rounded(100 * change), "unit": "percent"}


def _wish(wish: Wish) -> dict[str, Any]:
    found: dict[str, Any] = {"kind": wish.kind}
    if wish.kind == "clean-by":
        found["by_minutes"] = rounded(wish.by / 60)
    elif wish.kind == "bars":
        found |= {"bars": wish.bars, "seconds_per_bar": rounded(wish.seconds_per_bar)}
    elif wish.kind == "less-melt":
        found["less_percent"] = rounded(100 * wish.melt)
    elif wish.kind == "firmer" and wish.firmness is not None:
        found["firmness_kpa"] = rounded(wish.firmness / 1000)
    return found


def _reached(wish: Wish, one: Reached) -> dict[str, Any]:
    return {
        "value": _value(wish, one.value),
        "unit": _unit(wish),
        "clean_knead_chance": rounded(one.chance),
    }


def _value(wish: Wish, value: float) -> float | None:
    if value == float("inf"):
        return None
    if wish.kind == "firmer":
        return rounded(float(from_si(value, "kPa")))
    return rounded(100 * value if wish.kind == "less-melt" else value)


def _unit(wish: Wish) -> str:
    return {"firmer": "kPa", "less-melt": "percent"}.get(wish.kind, "dimensionless")
