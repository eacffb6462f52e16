"""JSON of a dough in the bowl and what to do with it."""

from typing import Any

import numpy as np

from designer.advice.bowl import Advice, Answer, Felt, Made, Rod
from designer.exchange.readings import rounded
from designer.handbook import Handbook
from designer.vocabulary import STATES, Floats, from_si
from designer.wording.bowl import cautions, refused_words, standing, steps, title

SCHEMA = 1


def as_json(answer: Answer, handbook: Handbook) -> dict[str, Any]:
    """Return where a dough stands and the advice, as plain values: grams, minutes, shares of 1."""
    question = answer.question
    return {
        "schema": SCHEMA,
        "recipe": question.recipe.name,
        "variant": question.recipe.numbers[question.variant],
        "batch": _grams(question.batch),
        "age_minutes": rounded(question.age / 60),
        "found": _found(answer, handbook),
        "text": standing(answer, handbook),
        "states": _states(answer.states),
        "until_minutes": rounded(answer.until / 60),
        "extended": answer.extended,
        "chance_without": rounded(answer.chance_without),
        "effective_draws": rounded(float(f"{answer.effective:.4g}")),
        "knowledge": answer.knowledge.basis,
        "advice": [_advice(one, answer) for one in answer.advice],
        "refused": [
            {"name": one.name, "code": one.code, "text": refused_words(one)}
            for one in answer.refused
        ],
        "cautions": list(cautions(answer, handbook)),
    }


def _found(answer: Answer, handbook: Handbook) -> dict[str, Any] | None:
    found = answer.question.felt
    if isinstance(found, Felt):
        return {"state": found.state}
    if isinstance(found, Rod):
        strength = rounded(float(from_si(found.strength(handbook), "kPa")))
        return {"rod": _grams(found.mass), "strength": {"value": strength, "unit": "kPa"}}
    return None


def _advice(one: Advice, answer: Answer) -> dict[str, Any]:
    found: dict[str, Any] = {
        "move": one.move,
        "text": title(one),
        "steps": steps(one, answer),
        "leave_minutes": rounded(one.leave / 60),
        "knead_minutes": rounded((one.feel_at - answer.question.age - one.leave) / 60),
        "feel_at_minutes": rounded(one.feel_at / 60),
        "chance": rounded(one.chance),
        "chance_without": rounded(answer.chance_without),
        "state": one.state,
        "states": _states(one.states),
    }
    if one.temperature is not None:
        value = rounded(float(from_si(one.temperature, "°C")))
        found["temperature"] = {"value": value, "unit": "degC"}
    if one.made is not None:
        found |= {
            "name": one.name,
            "first": _grams(one.first),
            "rest": _grams(one.rest),
            "chance_first": rounded(one.chance_first),
            "preparation": list(one.preparation),
            "powder_per_100_g": rounded(100 * one.powder_share),
            "new_formula": one.new_formula,
            "as_made": _made(one.made),
        }
    return found


def _made(made: Made) -> dict[str, Any]:
    rows = [
        {"name": row.name, "phase": row.phase, "percent": row.percents[made.number]}
        for row in made.recipe.rows
        if row.percents.get(made.number)
    ]
    title = made.recipe.variant(made.number).title
    return {"title": title, "mass": _grams(made.mass), "rows": rows}


def _grams(mass: float) -> dict[str, Any]:
    return {"value": rounded(1000 * mass), "unit": "g"}


def _states(chances: Floats) -> dict[str, float]:
    held = np.clip(chances, 0.0, 1.0)
    return dict(zip(STATES, (rounded(float(one)) for one in held), strict=True))
