"""JSON: valid against the schema, intervals recomputed from the draws, every number sourced."""

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import numpy as np
import pint
import pytest
from bars import recipe, recipe_of

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.acidity import acidity
from designer.evaluation.evaluate import evaluate
from designer.evaluation.readings import active_surfactant
from designer.evaluation.water_activity import water_activity
from designer.exchange.readings import as_json, bar_word
from designer.recipe import Row

BOOK = handbook.load()
SCHEMA = json.loads((Path(__file__).parent / "check.schema.json").read_text(encoding="utf-8"))
KINDS = {
    "even": knowledge.shipped(),
    "weighted": knowledge.practice(),
    "tables": knowledge.prior(512),
    "central": knowledge.central(),
}


def valid(made):
    text = json.dumps(made, allow_nan=False)
    jsonschema.validate(json.loads(text), SCHEMA)
    return made


@pytest.fixture(scope="module", params=["even", "weighted"])
def checked(request):
    result = evaluate(recipe(1), BOOK, KINDS[request.param])
    return result, valid(as_json(result, 0))


@pytest.mark.parametrize("number", [1, 2, 3, 4, 9])
def test_every_bar_gives_valid_json(number):
    valid(as_json(evaluate(recipe(number), BOOK, KINDS["even"]), 0))


@pytest.mark.parametrize("known", sorted(KINDS))
def test_every_kind_of_knowledge_gives_valid_json(known):
    made = valid(as_json(evaluate(recipe(1), BOOK, KINDS[known]), 0))
    assert made["conditions"]["draws"] == KINDS[known].draws


@pytest.mark.parametrize(
    "rows",
    [
        {("powder", "SCI fine powder"): 100.0},
        {("liquid", "water"): 100.0},
        {("melt", "cocoa butter"): 100.0},
        {("powder", "SCI fine powder"): 40.0, ("liquid", "water"): 60.0},
        {("powder", "SCI fine powder"): 60.0, ("melt", "cocoa butter"): 40.0},
    ],
)
def test_outside_the_model_there_is_a_reason_and_no_number(rows):
    made = valid(as_json(evaluate(recipe_of(rows), BOOK, KINDS["even"]), 0))
    for name in ("wetness", "firmness", "clean_knead_chance"):
        assert made["readings"][name]["value"] is None
        assert "outside the model" in made["readings"][name]["missing"]
    assert "outside_model" in {one["code"] for one in made["warnings"]}


def weighted_percentile(draws, weights, level):
    """Return a percentile by the written definition: linear between the middles of the weights."""
    draws, weights = draws[weights > 0], weights[weights > 0]
    order = np.argsort(draws, kind="stable")
    middle = np.cumsum(weights[order]) - weights[order] / 2
    return float(np.interp(level, middle, draws[order]))


def test_every_interval_is_recomputed_from_the_draws(checked):
    result, made = checked
    knead, weights = result.knead, result.weights
    draws = {
        "wetness": (result.wetness[0, knead], 1.0, 0.0),
        "melt_liquid_share": (result.melt_liquid_share[0, knead], 100.0, 0.0),
        "dough_temperature": (result.temperature[0, knead], 1.0, -273.15),
        "firmness": (result.firmness[0, knead], 1e-3, 0.0),
        "active_surfactant": (active_surfactant(result, 0)[0], 100.0, 0.0),
        "water": (result.water[0], 100.0, 0.0),
    }
    for name, (array, factor, offset) in draws.items():
        for key, level in (("low", 0.1), ("value", 0.5), ("high", 0.9)):
            expected = weighted_percentile(array, weights, level) * factor + offset
            assert made["readings"][name][key] == pytest.approx(expected, rel=1e-9), (name, key)
    chance = made["readings"]["clean_knead_chance"]
    assert chance["value"] == pytest.approx(float(result.clean[0] @ weights))
    assert chance["low"] is None
    assert chance["high"] is None


def test_every_moment_of_the_clock_is_recomputed_from_the_draws(checked):
    result, made = checked
    assert len(made["clock"]) == result.times.size == 60
    for at in (0, 7, result.knead, 40, 59):
        moment = made["clock"][at]
        for key, level in (("low", 0.1), ("value", 0.5), ("high", 0.9)):
            kpa = weighted_percentile(result.firmness[0, at], result.weights, level) / 1000
            wet = weighted_percentile(result.wetness[0, at], result.weights, level)
            left = weighted_percentile(1 - result.lost_water[0, at], result.weights, level)
            assert moment["firmness"][key] == pytest.approx(kpa, rel=1e-9)
            assert moment["wetness"][key] == pytest.approx(wet, rel=1e-9)
            assert moment["bar_weight_share"][key] == pytest.approx(left, rel=1e-9)


def test_marks_are_recomputed_from_the_draws_that_get_there(checked):
    from designer.evaluation.marks import first_crossing

    result, made = checked
    kneaded = result.times <= 1200.0 + 1e-6
    crossing = first_crossing(
        result.times[kneaded], (result.log_strength - result.tack_cut)[:, kneaded]
    )[0]
    there = np.isfinite(crossing)
    weights = result.weights[there] / result.weights[there].sum()
    mark = made["marks"]["clean_from"]
    assert mark["share"] == pytest.approx(result.weights[there].sum())
    for key, level in (("low", 0.1), ("minutes", 0.5), ("high", 0.9)):
        expected = weighted_percentile(crossing[there], weights, level) / 60
        assert mark[key] == pytest.approx(expected, rel=1e-9)


def test_every_unit_is_one_that_a_unit_library_reads(checked):
    registry = pint.UnitRegistry()
    _, made = checked
    for reading in made["readings"].values():
        registry.Unit(reading["unit"])
    for fact in made["conditions"].values():
        if isinstance(fact, dict):
            registry.Unit(fact["unit"])


def test_every_reading_names_its_source(checked):
    _, made = checked
    for name, reading in made["readings"].items():
        assert len(reading["source"]) > 15, name
    assert made["conditions"]["knowledge"] == "usual practice"
    assert "usual practice" in made["readings"]["firmness"]["source"]


def test_parts_of_the_surfactant_sum_to_the_whole(checked):
    _, made = checked
    reading = made["readings"]["active_surfactant"]
    assert sum(reading["parts"].values()) == pytest.approx(reading["value"], rel=0.02)


def test_state_chances_sum_to_one_and_name_the_state(checked):
    _, made = checked
    assert sum(made["state_chances"].values()) == pytest.approx(1.0, abs=1e-12)
    assert made["state"] == max(made["state_chances"], key=made["state_chances"].get)


def test_an_unknown_ingredient_is_named_in_the_warnings():
    bar = recipe(1).add_row(Row("powder", "meadow flour", {"1": 4.0}, given_class="powder"))
    made = valid(as_json(evaluate(bar, BOOK, KINDS["even"]), 0))
    named = [one for one in made["warnings"] if one["code"] == "unknown_ingredient"]
    assert [one["ingredient"] for one in named] == ["meadow flour"]


@pytest.mark.parametrize(
    ("kpa", "word"), [(10, "soft"), (74, "soft"), (75, "setting"), (150, "firm"), (300, "hard")]
)
def test_bar_words_change_at_their_limits(kpa, word):
    assert bar_word(kpa * 1000.0) == word


def test_water_activity_and_ph_are_recomputed_from_their_draws(checked):
    result, made = checked
    activity = water_activity(result, 0).activity
    found = {"ph": acidity(result, 0).added.ph, "water_activity": activity[0]}
    for name, draws in found.items():
        for key, level in (("low", 0.1), ("value", 0.5), ("high", 0.9)):
            expected = weighted_percentile(draws, result.weights, level)
            assert made["readings"][name][key] == pytest.approx(expected, rel=1e-9), (name, key)
    last = weighted_percentile(activity[-1], result.weights, 0.5)
    assert made["clock"][-1]["water_activity"]["value"] == pytest.approx(last, rel=1e-9)


def test_a_recipe_whose_main_ingredient_nobody_declared_says_what_is_missing():
    base = recipe(1, {"mystery powder": 10.0})
    rows = [
        replace(row, given_class="powder") if row.name == "mystery powder" else row
        for row in base.rows
    ]
    made = valid(as_json(evaluate(replace(base, rows=tuple(rows)), BOOK, KINDS["even"]), 0))
    assert made["readings"]["ph"]["value"] is None
    assert "mystery powder" in made["readings"]["ph"]["missing"]
    assert made["readings"]["water_activity"]["value"] > 0
