"""JSON keeps silent where the model must: outside its domain, and of the strength of crumbs."""

import json
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from bars import recipe, recipe_of

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.exchange.readings import as_json, compare

BOOK = handbook.load()
KNOWN = knowledge.shipped()
SCHEMA = json.loads((Path(__file__).parent / "check.schema.json").read_text(encoding="utf-8"))
LOOSE = {("powder", "SCI fine powder"): 40.0, ("liquid", "water"): 60.0}


def valid(made):
    jsonschema.validate(json.loads(json.dumps(made, allow_nan=False)), SCHEMA)
    return made


def test_outside_the_model_neither_clock_nor_marks_nor_causes_tell_a_number():
    made = valid(as_json(evaluate(recipe_of(LOOSE), BOOK, KNOWN), 0))
    silent = {"value": None, "low": None, "high": None}
    assert made["marks"] == {}
    assert made["why"] == []
    for moment in made["clock"]:
        assert moment["firmness"] == silent
        assert moment["wetness"] == silent
        assert moment["temperature"]["value"] is not None
        assert moment["state"] in ("crumbly", "stiff", "pliable", "sticky", "slack")


@pytest.mark.parametrize("number", [1, 2, 3, 5, 9])
def test_a_moment_has_a_firmness_unless_it_crumbles(number):
    made = valid(as_json(evaluate(recipe(number), BOOK, KNOWN), 0))
    for moment in made["clock"]:
        assert (moment["firmness"]["value"] is None) == (moment["state"] == "crumbly")


def test_a_bar_pressed_of_crumbs_has_no_firmness():
    result = evaluate(recipe(3), BOOK, KNOWN)
    assert result.state_chances[0, result.window[-1]].argmax() == 0
    for moment in as_json(result, 0)["clock"]:
        if moment["minutes"] >= 20:
            assert moment["state"] == "crumbly"
            assert moment["firmness"]["value"] is None


def test_states_are_those_of_a_dough_until_the_window_ends_and_of_a_bar_after_it():
    result = evaluate(recipe(1, knead=(120.0, 480.0)), BOOK, KNOWN)
    for moment in as_json(result, 0)["clock"]:
        a_bar = moment["state"] in ("soft", "setting", "firm", "hard")
        assert a_bar == (moment["minutes"] > 8.001)


def test_a_mark_that_no_draw_reaches_is_null():
    bars = [as_json(evaluate(recipe(number), BOOK, KNOWN), 0)["marks"] for number in (1, 2, 3, 4)]
    for mark in (mark for marks in bars for mark in marks.values()):
        assert (mark["minutes"] is None) == (mark["share"] == 0)
        if mark["minutes"] is not None:
            assert mark["low"] <= mark["minutes"] <= mark["high"]


def test_every_standing_is_the_make_up_as_weighed():
    result = evaluate(recipe(2), BOOK, KNOWN)
    told = {one["quantity"]: one for one in valid(as_json(result, 0))["standings"]}
    assert told["liquid:powder"]["value"] == pytest.approx(result.mixture.liquid_to_powder[0])
    assert told["melt phase"]["value"] == pytest.approx(100 * result.mixture.melt_fraction[0])
    for one in told.values():
        where = np.sign(
            round(one["value"], 2) - np.clip(round(one["value"], 2), one["low"], one["high"])
        )
        assert one["where"] == {-1: "below", 0: "within", 1: "above"}[int(where)]


def test_a_comparison_is_a_list_of_checks_of_all_variants():
    bar = recipe(1).add_variant("wetter", like="1").with_percent(8, "2", 20.0)
    result = evaluate(bar, BOOK, KNOWN)
    made = compare(result)
    assert [valid(one)["variant"] for one in made["variants"]] == ["1", "2"]
    assert made["variants"][1] == as_json(result, 1)


@pytest.mark.parametrize("share", [0.5, 0.98, 1.04])
def test_a_recipe_that_does_not_make_100_per_cent_gives_valid_json_and_says_so(share):
    bar = recipe(1)
    for index, row in enumerate(bar.rows):
        bar = bar.with_percent(index, "1", row.percents["1"] * share)
    made = valid(as_json(evaluate(bar, BOOK, KNOWN), 0))
    assert "total_not_hundred" in {one["code"] for one in made["warnings"]}
    whole = as_json(evaluate(recipe(1), BOOK, KNOWN), 0)
    for name, reading in made["readings"].items():
        assert reading["value"] == pytest.approx(whole["readings"][name]["value"], rel=1e-9)
