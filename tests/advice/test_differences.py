"""Why variants differ: exact, summing, sign-turning splits of what is shown, and how sure it is."""

from dataclasses import replace

import numpy as np
import pytest
from bars import grams, recipe_of
from hypothesis import given, settings
from hypothesis import strategies as st

from designer import handbook
from designer.advice.differences import SPLIT, differences
from designer.advice.paired import MOST_PAIRED, paired, paired_with
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate, evaluate_knead
from designer.recipe import Recipe, Row, Variant
from designer.wording.differences import (
    comparison_sentence,
    differ_sentence,
    difference_sentence,
    order_sentence,
    paired_sentence,
)

BOOK = handbook.load()
KNOWN = knowledge.shipped(128)
NAMES = [name for _, name in grams(1)]


def variants(*columns):
    """Return a recipe whose variants are (phase, name) to grams, each brought to 100."""
    keys = list(dict.fromkeys(key for column in columns for key in column))
    rows = tuple(
        Row(
            phase,
            name,
            {
                str(k + 1): 100 * column[phase, name] / sum(column.values())
                for k, column in enumerate(columns)
                if (phase, name) in column
            },
        )
        for phase, name in keys
    )
    made = tuple(Variant(str(k + 1), active=k == 0) for k in range(len(columns)))
    return Recipe("bars", variants=made, rows=rows, bench=recipe_of(columns[0]).bench)


def moved(**by):
    """Return the first bar with rows moved by grams, by their place in `NAMES`."""
    bar = grams(1)
    for place, gram in by.items():
        key = list(bar)[int(place[1:])]
        bar[key] = max(0.0, bar[key] + gram)
    return bar


def shown(result, variant):
    knead = result.knead
    return {
        "wetness": float(result.spread(result.wetness[variant, knead]).value),
        "log_firmness": float(result.spread(result.log_strength[variant, knead]).value),
        "clean_knead_chance": float(result.clean_knead_chance[variant]),
        "dough_temperature": float(result.spread(result.temperature[variant, knead]).value),
    }


def check(result, one, other):
    """Hold a split to all that any split must keep."""
    split, turned = differences(result, one, other), differences(result, other, one)
    a, b = shown(result, one), shown(result, other)
    for name in SPLIT:
        assert split.whole[name] == pytest.approx(a[name] - b[name], abs=1e-9)
        parts = [change.parts[name] for change in split.changes]
        assert sum(parts) == pytest.approx(split.whole[name], abs=1e-9)
        back = {change.name: change.parts[name] for change in turned.changes}
        for change in split.changes:
            assert change.parts[name] == pytest.approx(-back[change.name], abs=1e-9)
    return split


# Rows that keep their share make a bar of the same total: what one gains another gives.
exchanges = st.lists(
    st.tuples(st.integers(0, len(NAMES) - 1), st.floats(0.3, 2.0)), min_size=1, max_size=2
)


@settings(max_examples=6)
@given(exchanges)
def test_a_split_sums_to_what_is_shown_and_turns_its_sign_when_variants_are_swapped(pairs):
    bar = grams(1)
    powder = ("powder", "SCI fine powder")
    other = dict(bar)
    for place, gram in pairs:
        key = list(bar)[place]
        other[key] += gram
        other[powder] -= gram
    result = evaluate_knead(variants(bar, other), BOOK, KNOWN)
    split = check(result, 1, 0)
    touched = {list(bar)[place][1] for place, _ in pairs} | {powder[1]}
    for name in set(NAMES) - touched:
        for quantity in SPLIT:
            assert split.part(name, quantity) == 0.0


def test_more_than_eight_changes_are_split_along_the_path_and_sum_as_well():
    bar = grams(1)
    other = {key: gram * (1.08 if k % 2 else 0.93) for k, (key, gram) in enumerate(bar.items())}
    result = evaluate_knead(variants(bar, other), BOOK, KNOWN)
    split = check(result, 1, 0)
    assert len(split.changes) == len(bar)
    assert not split.every_order


def test_path_and_every_order_agree_where_both_can_be_taken(monkeypatch):
    bar = grams(1)
    result = evaluate_knead(variants(bar, grams(4)), BOOK, knowledge.shipped())
    exact = differences(result, 1, 0)
    monkeypatch.setattr("designer.advice.differences.MOST_EXACT", 0)
    path = differences(result, 1, 0)
    assert exact.every_order
    for change, again in zip(exact.changes, path.changes, strict=True):
        assert change.parts["wetness"] == pytest.approx(again.parts["wetness"], abs=0.004)
        assert change.parts["log_firmness"] == pytest.approx(again.parts["log_firmness"], abs=0.04)
        # Steps of the chance and what the path smooths of them.
        assert change.parts["clean_knead_chance"] == pytest.approx(
            again.parts["clean_knead_chance"], abs=0.06
        )


def test_equal_variants_have_no_changes_and_say_so():
    result = evaluate_knead(variants(grams(1), grams(1)), BOOK, KNOWN)
    split = differences(result, 1, 0)
    assert split.changes == ()
    assert set(split.whole.values()) == {0.0}
    assert difference_sentence(split, 0.45) == "2 and 1 hold the same."
    assert "as wet as" in paired_sentence(paired(result, 1, 0))


def test_rows_of_one_ingredient_that_only_share_it_out_otherwise_are_no_change():
    rows = (
        *variants(grams(1)).rows[:-1],
        Row("last", "fragrance oil", {"1": 1.0, "2": 0.4}),
        Row("last", "fragrance oil", {"2": 0.6}),
    )
    rows = tuple(
        replace(row, percents={**row.percents, "2": row.percents["1"]})
        if "2" not in row.percents
        else row
        for row in rows
    )
    recipe = Recipe("bar", variants=(Variant("1", active=True), Variant("2")), rows=rows)
    assert differences(evaluate_knead(recipe, BOOK, KNOWN), 1, 0).changes == ()


def test_a_variant_compared_with_itself_is_refused_in_a_sentence():
    result = evaluate_knead(variants(grams(1), grams(2)), BOOK, KNOWN)
    for question in (differences, paired):
        with pytest.raises(ReadableError, match="compared with itself"):
            question(result, 1, 1)


def test_nothing_is_split_outside_the_model_and_it_is_said_why():
    powder = {("powder", "SCI fine powder"): 100.0}
    result = evaluate_knead(variants(grams(1), powder), BOOK, KNOWN)
    split = differences(result, 0, 1)
    assert split.changes == ()
    assert difference_sentence(split, 0.45).startswith("No forecast of 2: ")
    assert paired_sentence(paired(result, 0, 1)).startswith("No forecast of 2: ")


def test_a_split_stops_when_asked():
    result = evaluate_knead(variants(grams(1), grams(2)), BOOK, KNOWN)
    with pytest.raises(InterruptedError):
        differences(result, 0, 1, stop=lambda: True)


def test_pairs_count_the_common_draws():
    result = evaluate(variants(grams(1), grams(2), grams(3)), BOOK, KNOWN)
    pair = paired(result, 1, 0)
    wetness = result.wetness[:, result.knead]
    assert pair.drier == pytest.approx(float((wetness[1] < wetness[0]) @ result.weights))
    day = int(np.argmin(np.abs(result.times - 86400.0)))
    firmness = result.firmness[:, day]
    assert pair.softer_next_day == pytest.approx(
        float((firmness[1] < firmness[0]) @ result.weights)
    )
    clean = result.clean
    assert pair.clean_only_other == pytest.approx(float((clean[1] < clean[0]) @ result.weights))
    told = paired_sentence(pair)
    # The program's reference: five per cent more betaine is softer in every draw.
    assert told.startswith("2 is wetter than 1 in 20 of 20; next day its bar is softer")
    assert [(p.one, p.other) for p in paired_with(result, 0)] == [("2", "1"), ("3", "1")]
    assert order_sentence(pair)


def test_before_the_clock_reaches_a_day_nothing_is_said_of_the_next_day():
    result = evaluate_knead(variants(grams(1), grams(2)), BOOK, KNOWN)
    assert paired(result, 1, 0).firmer_next_day is None
    assert "next day" not in paired_sentence(paired(result, 1, 0))


def test_the_sentence_names_what_pushes_the_way_the_difference_goes():
    bar = grams(1)
    other = dict(bar)
    other["melt", "shea butter, West African"] += 3.0
    other["powder", "SCI fine powder"] -= 3.0
    result = evaluate_knead(variants(bar, other), BOOK, KNOWN)
    told = difference_sentence(differences(result, 1, 0), 0.45)
    assert told.startswith("2 is wetter than 1")
    assert "13.5 g (3 %) more shea butter" in told


def test_one_more_of_a_butter_for_another_is_no_reason_but_what_is_left():
    bar = grams(1)
    other = dict(bar)
    other["melt", "shea butter, West African"] -= 2.5
    other["melt", "mango butter"] = 2.5
    other["liquid", "glycerin"] -= 2.0
    other["powder", "SCI fine powder"] += 2.0
    result = evaluate_knead(variants(bar, other), BOOK, KNOWN)
    told = difference_sentence(differences(result, 1, 0), 0.45)
    assert told.startswith("2 is drier than 1")
    assert "butter" not in told
    assert "glycerin" in told


def test_a_comparison_tells_the_active_one_first_and_how_the_others_fail():
    result = evaluate_knead(
        variants(grams(10), grams(2), {("powder", "SCI fine powder"): 100.0}), BOOK, KNOWN
    )
    told = comparison_sentence(result, 0)
    clean = [round(20 * chance) for chance in result.clean_knead_chance]
    assert told == (
        f"Variant 1 comes clean in {clean[0]} of 20 such batches, 2 in {clean[1]} (it sticks), "
        "3 has no forecast."
    )
    split = differences(result, 1, 0)
    largest = [change.name for change, _ in split.of("wetness")][:3]
    assert (
        differ_sentence([split])
        == f"They differ most in {largest[0]}, {largest[1]} and {largest[2]}."
    )
    assert differ_sentence([]) == ""


def test_no_more_than_eight_variants_are_told_against_each_other():
    columns = [grams(1, {"water": 0.1 * k}) for k in range(9)]
    result = evaluate_knead(variants(*columns), BOOK, knowledge.shipped(32))
    assert len(paired_with(result, 3)) == MOST_PAIRED - 1
    assert comparison_sentence(result, 3).startswith("Variant 4 comes clean in")
