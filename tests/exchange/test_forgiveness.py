"""What a recipe forgives as plain values: units that any library reads, and words for the end."""

import json
from pathlib import Path

import jsonschema
import pint
import pytest
from bars import recipe

from designer import handbook
from designer.advice.forgiveness import forgiveness
from designer.advice.variance import uncertainty
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.exchange.forgiveness import forgiveness_json, uncertainty_json
from designer.exchange.readings import as_json

BOOK = handbook.load()
SCHEMA = json.loads((Path(__file__).parent / "check.schema.json").read_text(encoding="utf-8"))
RESULT = evaluate(recipe(10), BOOK, knowledge.shipped())
FOUND = forgiveness(RESULT, 0)
MADE = forgiveness_json(FOUND)


def test_they_go_with_the_readings_of_a_check():
    made = as_json(RESULT, 0) | {
        "forgiveness": MADE,
        "uncertainty": uncertainty_json(uncertainty(RESULT, 0, draws=64)),
    }
    jsonschema.validate(json.loads(json.dumps(made, allow_nan=False)), SCHEMA)


def test_every_end_is_in_a_unit_that_a_unit_library_reads():
    registry = pint.UnitRegistry()
    for one, made in zip(FOUND.allowances, MADE["allowances"], strict=True):
        for value, shown in ((one.at, made["value"]), (one.high.value, made["high"]["value"])):
            if value is not None:
                read = registry.Quantity(shown, made["unit"]).to_base_units().magnitude
                assert read == pytest.approx(value, rel=1e-9)


def test_an_ingredient_is_told_in_percent_of_the_recipe_too():
    for made in MADE["allowances"]:
        if made["kind"] == "ingredient":
            assert made["percent_of_recipe"]["value"] == pytest.approx(made["value"] / 4.5)
    assert "others keep theirs" in MADE["note"]


def test_where_nothing_is_forgiven_it_is_said_why():
    hopeless = evaluate(recipe(4), BOOK, knowledge.shipped())
    assert "hardly ever" in forgiveness_json(forgiveness(hopeless, 0))["missing"]
