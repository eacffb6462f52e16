"""Comparisons as plain values: what the splits say, and a table that no spreadsheet runs."""

import csv
import io
import json

import pytest
from bars import recipe
from hypothesis import given
from hypothesis import strategies as st

from designer import handbook
from designer.advice.differences import SPLIT, differences
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.exchange.comparison import cell, differences_json, pairs_json, table_csv
from designer.exchange.readings import compare

BOOK = handbook.load()


@pytest.fixture(scope="module")
def three():
    made = recipe(1).add_variant("=SUM(A1)", like="1").add_variant("drier", like="1")
    names = [row.name for row in made.rows]
    for number, more in (("2", 3.0), ("3", -2.5)):
        made = made.with_percent(names.index("CAPB 30 %"), number, 9.5 + more)
        made = made.with_percent(names.index("SCI fine powder"), number, 42.0 - more)
    return evaluate(made, BOOK, knowledge.shipped(128))


def test_parts_in_json_sum_to_the_difference_of_the_readings_beside_them(three):
    made = compare(three)
    split = differences_json([differences(three, 1, 0)], 0.45)[0]
    json.dumps(split, allow_nan=False)
    assert (split["variant"], split["against"]) == ("2", "1")
    for name in SPLIT:
        parts = sum(change[name] for change in split["changes"])
        assert parts == pytest.approx(split["together"][name], abs=1e-9)
    readings = [one["readings"] for one in made["variants"]]
    for name in ("wetness", "clean_knead_chance", "dough_temperature"):
        shown = readings[1][name]["value"] - readings[0][name]["value"]
        assert split["together"][name] == pytest.approx(shown, abs=1e-9)


def test_a_change_is_told_in_percent_and_in_grams_of_the_batch(three):
    split = differences_json([differences(three, 1, 0)], 0.45)[0]
    by = {one["name"]: (one["percent"], one["grams"]) for one in split["changes"]}
    assert by == {
        "CAPB 30 %": pytest.approx((3.0, 13.5)),
        "SCI fine powder": pytest.approx((-3.0, -13.5)),
    }


def test_pairs_are_told_against_the_active_variant(three):
    pairs = pairs_json(three)
    assert [(one["variant"], one["against"]) for one in pairs] == [("2", "1"), ("3", "1")]
    assert pairs[0]["wetter"] == 1.0
    assert pairs[1]["drier"] == 1.0


def test_a_table_reads_back_whole(three):
    made = list(csv.reader(io.StringIO(table_csv(three, [differences(three, 1, 0)]))))
    assert {len(row) for row in made} == {6}
    by = {(what, name): cells for what, name, _, *cells in made}
    assert by["liquid", "CAPB 30 %"] == ["9.5", "12.5", "7"]
    assert float(by["reading", "wetness"][1]) > float(by["reading", "wetness"][0])
    whole = by["part of the difference to 1, wetness", "together"]
    assert (whole[0], whole[2]) == ("", "")
    assert float(whole[1]) == pytest.approx(
        float(by["reading", "wetness"][1]) - float(by["reading", "wetness"][0]), abs=1e-8
    )


def test_no_text_in_a_table_is_a_formula(three):
    made = table_csv(three)
    assert "'=SUM(A1)" in made
    for row in csv.reader(io.StringIO(made)):
        for one in row:
            assert not one.startswith(("=", "@"))
            if one.startswith(("+", "-")):
                float(one)


@given(st.text(max_size=20))
def test_any_text_is_held_off_from_running_and_kept_whole(text):
    made = cell(text)
    assert made in (text, f"'{text}")
    assert not made.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
