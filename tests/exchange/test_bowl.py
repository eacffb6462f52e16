"""JSON of a dough in the bowl: its schema, and that it is plain and finite."""

import json

import jsonschema
import pytest
from bars import recipe

from designer import handbook
from designer.advice.bowl import MOVES, Rod, advise, in_bowl
from designer.evaluation import knowledge
from designer.exchange.bowl import as_json
from designer.vocabulary import STATES

BOOK, SHOWN = handbook.load(), knowledge.shipped()
CHANCE = {"type": "number", "minimum": 0, "maximum": 1}
MINUTES = {"type": "number", "minimum": 0}
STATE = {"enum": list(STATES)}
EACH_STATE = {
    "type": "object",
    "properties": dict.fromkeys(STATES, CHANCE),
    "required": list(STATES),
    "additionalProperties": False,
}
GRAMS = {
    "type": "object",
    "properties": {"value": {"type": "number", "minimum": 0}, "unit": {"const": "g"}},
    "required": ["value", "unit"],
    "additionalProperties": False,
}


def measured(unit):
    """Return the schema of a number in a unit."""
    properties = {"value": {"type": "number"}, "unit": {"const": unit}}
    return {"type": "object", "properties": properties, "required": ["value", "unit"]}


def closed(properties, optional=()):
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name in properties if name not in optional],
        "additionalProperties": False,
    }


MADE = closed(
    {
        "title": {"type": "string"},
        "mass": GRAMS,
        "rows": {
            "type": "array",
            "items": closed(
                {
                    "name": {"type": "string"},
                    "phase": {"enum": ["melt", "powder", "liquid", "last"]},
                    "percent": {"type": "number", "exclusiveMinimum": 0, "maximum": 100},
                }
            ),
        },
    }
)
OF_AN_ADDITION = {
    "name": {"type": "string"},
    "first": GRAMS,
    "rest": GRAMS,
    "chance_first": CHANCE,
    "preparation": {"type": "array", "items": {"enum": ["mask", "sieve", "sprinkle", "drizzle"]}},
    "powder_per_100_g": {"type": "number", "minimum": 0},
    "new_formula": {"type": "boolean"},
    "as_made": MADE,
}
ADVICE = closed(
    {
        "move": {"enum": list(MOVES)},
        "text": {"type": "string"},
        "steps": {"type": "string"},
        "leave_minutes": MINUTES,
        "knead_minutes": MINUTES,
        "feel_at_minutes": MINUTES,
        "chance": CHANCE,
        "chance_without": CHANCE,
        "state": STATE,
        "states": EACH_STATE,
        "temperature": measured("degC"),
        **OF_AN_ADDITION,
    },
    optional=("temperature", *OF_AN_ADDITION),
)
SCHEMA = closed(
    {
        "schema": {"const": 1},
        "recipe": {"type": "string"},
        "variant": {"type": "string"},
        "batch": GRAMS,
        "age_minutes": MINUTES,
        "found": {
            "oneOf": [
                {"type": "null"},
                closed({"state": STATE}),
                closed({"rod": GRAMS, "strength": measured("kPa")}),
            ]
        },
        "text": {"type": "string"},
        "states": EACH_STATE,
        "until_minutes": MINUTES,
        "extended": {"type": "boolean"},
        "chance_without": CHANCE,
        "effective_draws": {"type": "number", "minimum": 1},
        "knowledge": {"enum": ["tables only", "usual practice", "own batches"]},
        "advice": {"type": "array", "items": ADVICE},
        "refused": {
            "type": "array",
            "items": closed(
                {
                    "name": {"type": "string"},
                    "code": {"enum": ["softer", "drier", "full", "dissolves", "dosed"]},
                    "text": {"type": "string"},
                }
            ),
        },
        "cautions": {"type": "array", "items": {"type": "string"}},
    }
)


@pytest.mark.parametrize(
    ("bar", "finding"),
    [(2, "sticky"), (3, "crumbly"), (1, "pliable"), (1, None), (2, Rod(0.45))],
)
def test_the_json_of_every_kind_of_answer_is_valid(bar, finding):
    asked = in_bowl(recipe(bar), 0, 0.5, 480.0, finding, at_hand=("corn starch", "water"))
    made = as_json(advise(asked, BOOK, SHOWN), BOOK)
    jsonschema.validate(json.loads(json.dumps(made, allow_nan=False)), SCHEMA)
    for one in made["advice"]:
        assert one["chance"] >= one["chance_without"]
        assert ("as_made" in one) == (one["move"] == "add")
        assert ("temperature" in one) == (one["move"] in ("cold", "warm"))
