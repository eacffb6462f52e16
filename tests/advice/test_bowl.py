"""Advice on the dough in the bowl: what it may say, and what becomes of the recipe."""

from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import product

import numpy as np
import pytest
from bars import recipe
from hypothesis import given, settings
from hypothesis import strategies as st

from designer import handbook
from designer.advice.as_made import Addition, as_made
from designer.advice.bowl import Felt, Rod, advise, in_bowl, past
from designer.advice.bowl_choices import weighable
from designer.advice.evidence import effective_draws, looked
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.quantities import QS
from designer.recipe import Recipe, Row, Variant, file, resolve

BOOK, SHOWN = handbook.load(), knowledge.shipped()
AT_HAND = ("corn starch", "microcrystalline cellulose", "water")
CASES = [
    (2, "sticky", 480.0),
    (2, "slack", 300.0),
    (1, "sticky", 300.0),
    (3, "stiff", 480.0),
    (3, "crumbly", 600.0),
    (4, "slack", 1500.0),
]


@lru_cache
def answer(bar, state, age=480.0, batch=0.5, temperature=None):
    asked = in_bowl(recipe(bar), 0, batch, age, state, temperature=temperature, at_hand=AT_HAND)
    return advise(asked, BOOK, SHOWN)


def percents(made):
    return [Fraction(repr(row.percents.get(made.number, 0.0))) for row in made.recipe.rows]


every = pytest.mark.parametrize(("bar", "state", "age"), CASES)


@every
def test_no_advice_is_worse_than_kneading_on(bar, state, age):
    found = answer(bar, state, age)
    assert found.advice
    for one in found.advice:
        assert one.chance >= found.chance_without
        assert one.chance + 1e-12 >= one.chance_first >= found.chance_without
        assert one.states.sum() == pytest.approx(1.0, abs=1e-9)
        assert found.question.age <= one.feel_at <= found.until


@every
def test_the_recipe_as_made_sums_to_what_is_in_the_bowl(bar, state, age):
    for one in answer(bar, state, age).advice:
        if one.move != "add":
            assert one.made is None
            continue
        for made, mass in ((one.made, one.mass), (one.made_first, one.first)):
            assert sum(percents(made)) == 100
            assert made.mass == pytest.approx(0.5 + mass, abs=1e-12)
            assert made.recipe.active.number == made.number


@every
def test_advice_only_ever_adds(bar, state, age):
    found = answer(bar, state, age)
    before = {row.name: row.percents["1"] * 5.0 for row in recipe(bar).rows}
    for one in found.advice:
        assert one.first >= 0
        assert one.rest >= 0
        if one.made is None:
            continue
        grams = {
            row.name: float(part) * 10 * one.made.mass
            for row, part in zip(one.made.recipe.rows, percents(one.made), strict=True)
        }
        for name, gram in before.items():
            more = 1e3 * one.mass if name == one.name else 0.0
            assert grams[name] == pytest.approx(gram + more, abs=1e-3)
        if one.name not in before:
            assert grams[one.name] == pytest.approx(1e3 * one.mass, abs=1e-3)


@every
def test_the_variant_that_was_made_stays_as_it_was(bar, state, age):
    for one in answer(bar, state, age).advice:
        if one.made is not None:
            kept = one.made.recipe.only("1")
            stated = {row.name: dict(row.percents) for row in kept.rows if row.percents}
            assert stated == {row.name: dict(row.percents) for row in recipe(bar).rows}


@every
def test_what_is_too_soft_gets_powder_or_cold_and_what_is_too_dry_liquid_or_warmth(bar, state, age):
    soft = state in ("sticky", "slack")
    for one in answer(bar, state, age).advice:
        if one.move == "add":
            assert one.is_powder == soft
            assert one.preparation == (("mask", "sieve", "sprinkle") if soft else ("drizzle",))
        else:
            assert one.move in (("knead", "rest", "cold") if soft else ("knead", "rest", "warm"))


@pytest.mark.parametrize("state", ["crumbly", "stiff"])
def test_a_dough_felt_too_dry_gets_no_powder_however_wet_its_recipe_is(state):
    for age in (60.0, 480.0):
        assert not any(one.is_powder for one in answer(2, state, age).advice)


@every
def test_what_leads_the_wrong_way_is_said_of_what_is_at_hand(bar, state, age):
    refused = {one.name: one.code for one in answer(bar, state, age).refused}
    if state in ("sticky", "slack"):
        assert refused == {"water": "softer"}
    else:
        assert refused == {"corn starch": "drier", "microcrystalline cellulose": "drier"}


def test_a_dough_that_is_clean_is_left_alone():
    found = answer(1, "pliable")
    (only,) = found.advice
    assert (only.move, only.mass, only.made) == ("press", 0.0, None)
    assert only.chance == found.chance_without > 0.8


def test_a_dough_that_is_clean_before_a_knead_counts_is_kneaded_on():
    (only,) = answer(1, "pliable", 60.0).advice
    assert only.move == "knead"
    assert only.feel_at >= 300.0


def test_ten_times_the_batch_takes_ten_times_the_grams():
    # At one temperature of the dough: else the larger lump is warmer.
    small, large = (answer(2, "sticky", 480.0, batch, 302.15) for batch in (0.5, 5.0))
    grams = [{one.name: one.mass for one in found.advice if one.mass} for found in (small, large)]
    shared = grams[0].keys() & grams[1].keys()
    assert len(shared) >= 3
    for name in shared:
        assert 8 < grams[1][name] / grams[0][name] < 12.5


def test_more_powder_than_five_in_a_hundred_is_a_new_formula():
    seen = set()
    for case in CASES:
        for one in answer(*case).advice:
            assert one.new_formula == (one.powder_share > 0.05 + 1e-9)
            assert one.powder_share == pytest.approx(one.mass / 0.5 if one.is_powder else 0.0)
            seen.add(one.new_formula)
    assert seen == {True, False}


def test_what_is_felt_moves_what_is_known():
    soft, firm, unfelt = answer(1, "slack"), answer(1, "stiff"), answer(1, None)
    assert unfelt.knowledge is SHOWN
    assert unfelt.effective == effective_draws(SHOWN)
    assert soft.states[4] > unfelt.states[4] > firm.states[4]
    assert firm.states[1] > unfelt.states[1] > soft.states[1]
    assert soft.knowledge.basis == "own batches"


def test_a_rod_reading_places_the_dough_where_it_reads():
    asked = in_bowl(recipe(1), 0, 0.5, 480.0, Rod(0.968))
    found = advise(asked, BOOK, SHOWN)
    now = past(asked, BOOK, SHOWN)
    now = looked(now.since_addition(np.array([480.0]), found.knowledge), 0)
    # A twentieth of the weight stays where it was.
    assert np.median(now.log_strength) == pytest.approx(np.log(21e3), abs=0.1)


def test_a_rod_that_reads_a_pliable_dough_says_to_shape_it():
    rod = advise(in_bowl(recipe(1), 0, 0.5, 480.0, Rod(1.1)), BOOK, SHOWN)
    assert [one.move for one in rod.advice] == ["press"]
    soft = advise(in_bowl(recipe(1), 0, 0.5, 480.0, Rod(0.2)), BOOK, SHOWN)
    assert soft.advice[0].move == "add"


def test_kneading_on_comes_first_where_it_reaches_what_is_wanted():
    asked = in_bowl(recipe(1).with_bench(wanted=0.3), 0, 0.5, 480.0, "sticky", at_hand=AT_HAND)
    assert advise(asked, BOOK, SHOWN).advice[0].move == "knead"
    asked = replace(asked, recipe=recipe(1).with_bench(wanted=0.9))
    assert advise(asked, BOOK, SHOWN).advice[0].move == "add"


def test_the_measured_temperature_is_that_of_the_dough_now():
    cold, warm = (
        past(in_bowl(recipe(1), 0, 0.5, 480.0, temperature=kelvin), BOOK, SHOWN)
        for kelvin in (297.15, 305.15)
    )
    for one, kelvin in ((cold, 297.15), (warm, 305.15)):
        np.testing.assert_allclose(one.now.temperature, kelvin, atol=1e-9)
        (leg,) = one.legs
        np.testing.assert_allclose(leg.track.temperature[-1], kelvin, atol=0.3)
    at = np.array([480.0])
    strength = [np.median(one.since_addition(at, SHOWN).log_strength) for one in (cold, warm)]
    assert strength[0] > strength[1] + 0.2


def test_a_dough_that_rested_has_drunk_less_than_one_kneaded():
    rested = past(in_bowl(recipe(1), 0, 0.5, 900.0, kneaded=300.0), BOOK, SHOWN)
    kneaded = past(in_bowl(recipe(1), 0, 0.5, 900.0), BOOK, SHOWN)
    demand = [
        one.since_addition(np.array([900.0]), SHOWN).polar_demand for one in (rested, kneaded)
    ]
    assert np.all(demand[0] < demand[1])


def test_advice_that_was_followed_is_where_the_next_one_starts():
    first = answer(1, "slack", 300.0)
    top = next(one for one in first.advice if one.move == "add" and one.rest > 0)
    later = first.followed(top, Felt("sticky"))
    assert later.age == top.feel_at
    assert later.additions == (Addition(top.name, "powder", top.first, 300.0),)
    assert [one.age for one in later.noted] == [300.0, top.feel_at]
    second = advise(later, BOOK, SHOWN)
    more = next(one for one in second.advice if one.move == "add")
    assert sum(percents(more.made)) == 100
    assert more.made.mass == pytest.approx(0.5 + top.first + more.mass)
    assert more.powder_share == pytest.approx((top.first + more.mass) / 0.5)


def test_held_rows_and_dosed_ones_are_not_added():
    rows = tuple(
        replace(row, held=frozenset("1")) if row.name == "SLSA powder" else row
        for row in recipe(2).rows
    )
    asked = in_bowl(replace(recipe(2), rows=rows), 0, 0.5, 480.0, "sticky")
    names = {one.name for one in advise(asked, BOOK, SHOWN).advice if one.name}
    assert "SLSA powder" not in names
    assert "SCI fine powder" in names
    assert not names & {"polyquaternium-10", "citric acid", "hydrolysed rice protein powder"}


def test_what_dissolves_or_is_dosed_is_refused_with_its_reason():
    asked = in_bowl(
        recipe(2),
        0,
        0.5,
        480.0,
        "sticky",
        at_hand=("citric acid", "lavender oil", "red iron oxide"),
    )
    refused = advise(asked, BOOK, SHOWN).refused
    assert {one.name: one.code for one in refused}["citric acid"] == "dissolves"
    assert {one.code for one in refused} == {"dissolves", "dosed"}


def test_the_recipe_as_made_is_evaluated_and_written_like_any_other(tmp_path):
    one = next(one for one in answer(2, "sticky").advice if one.made)
    made = one.made
    assert resolve(made.recipe).is_whole.all()
    file.write(made.recipe, tmp_path / "made.toml")
    assert file.read(tmp_path / "made.toml") == made.recipe
    index = made.recipe.numbers.index(made.number)
    chances = evaluate(made.recipe, BOOK, SHOWN).clean_knead_chance
    assert chances[index] > chances[0]


def test_an_older_dough_has_time_beyond_the_window():
    assert not answer(2, "slack", 300.0).extended
    late = answer(4, "slack", 1500.0)
    assert late.extended
    assert late.until == 1500.0 + 900.0


def test_advice_is_given_up_when_asked():
    with pytest.raises(InterruptedError):
        advise(in_bowl(recipe(2), 0, 0.5, 480.0, "sticky"), BOOK, SHOWN, stop=lambda: True)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"batch": -0.5}, "cannot be in a bowl"),
        ({"batch": 0.0}, "cannot be in a bowl"),
        ({"batch": float("nan")}, "cannot be in a bowl"),
        ({"age": -60.0}, "Before melt and powder meet"),
        ({"age": 4 * 3600.0}, "has set"),
        ({"kneaded": 600.0}, "longer than it is old"),
        ({"kneaded": -1.0}, "longer than it is old"),
        ({"temperature": 373.15}, "not possible"),
        ({"finding": "wet"}, "not a state"),
        ({"at_hand": ("moon dust",)}, "not in the handbook"),
        ({"at_hand": ("cocoa butter",)}, "melted"),
    ],
)
def test_what_cannot_be_is_said_in_one_sentence(change, words):
    given_ = {"batch": 0.5, "age": 480.0, "finding": "sticky", **change}
    with pytest.raises(ReadableError, match=words) as caught:
        advise(in_bowl(recipe(1), 0, **given_), BOOK, SHOWN)
    assert caught.value.advice


@given(
    st.lists(st.decimals("0.01", 40, places=2), min_size=2, max_size=12),
    st.integers(0, 11),
    st.lists(st.integers(1, 800), min_size=1, max_size=4),
    st.integers(20, 5000),
)
@settings(max_examples=60)
def test_any_recipe_as_made_sums_to_exactly_100(parts, filling, tenths, grams):
    rows = [Row("powder", f"row {k}", {"1": float(part)}) for k, part in enumerate(parts)]
    if sum(parts) < 100:
        rows.append(Row("liquid", "water", {"1": QS}))
    made_of = Recipe("any", variants=(Variant("1", active=True),), rows=tuple(rows))
    names = [f"row {filling}", "corn starch", "water", "row 0"]
    additions = [
        Addition(name, "liquid" if name == "water" else "powder", tenth / 1e4, 300.0)
        for name, tenth in zip(names, tenths, strict=False)
    ]
    made = as_made(made_of, 0, grams / 1e3, additions, "as made")
    assert sum(percents(made)) == 100
    assert made.mass == pytest.approx(grams / 1e3 + sum(tenths) / 1e4, abs=1e-12)


@given(st.floats(0.0, 20.0))
def test_a_weighable_mass_is_never_more_and_in_steps_of_a_scale(mass):
    found = weighable(mass)
    assert 0 <= found <= mass + 1e-9
    assert mass - found <= max(1e-4, 0.1 * mass) + 1e-9
    assert round(1e4 * found, 6) == round(1e4 * found)


def test_a_dough_just_poured_and_a_recipe_without_room_for_a_variant_get_advice():
    full = recipe(2)
    while len(full.variants) < 50:
        full = full.add_variant(like="1")
    found = advise(in_bowl(full, 3, 0.5, 0.0, "slack"), BOOK, SHOWN)
    made = next(one.made for one in found.advice if one.made)
    assert sum(percents(made)) == 100
    assert made.recipe.numbers == ("4", "5")


def test_a_dough_without_melt_gets_advice_too():
    rows = tuple(row for row in recipe(2).rows if row.phase != "melt")
    found = advise(in_bowl(replace(recipe(2), rows=rows), 0, 0.5, 300.0, "stiff"), BOOK, SHOWN)
    assert {one.is_powder for one in found.advice if one.move == "add"} == {False}


@pytest.mark.parametrize(("bar", "age"), [(3, 600.0), (3, 900.0)])
def test_what_the_recipe_hardly_allows_is_never_told_as_nearly_sure(bar, age):
    asked = in_bowl(recipe(bar), 0, 0.5, age, Felt("slack"))
    answer = advise(asked, BOOK, SHOWN)
    assert answer.effective < 10
    assert answer.chance_without < 0.9
    # The hands are believed: what comes next is still wet, not what the recipe foretold.
    assert answer.states[3:].sum() > 0.5


def test_no_rest_is_a_trifle_and_no_new_formula_is_made_for_one_batch_in_twenty():
    rests, formulas = 0, 0
    for bar, state in product((1, 2, 6, 10), ("stiff", "sticky", "slack")):
        one = answer(bar, state, 600.0)
        for told in one.advice:
            assert told.rest == 0 or told.rest >= 0.2 * told.first - 1e-9
            rests += told.rest > 0
            formulas += told.new_formula
            assert not told.new_formula or told.chance > one.chance_without + 0.1
    assert rests
    assert formulas
