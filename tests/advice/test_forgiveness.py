"""What a recipe forgives, against bisection with full evaluations that knows nothing of how."""

import math
from dataclasses import replace

import numpy as np
import pytest
from bars import grams, recipe, recipe_of

from designer import handbook
from designer.advice.edge import Edge
from designer.advice.forgiveness import CONDITIONS, GIVEN_UP, LEAST_BATH, forgiveness
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate, evaluate_knead
from designer.recipe import Row
from designer.wording.forgiveness import (
    allowance_sentence,
    forgiveness_sentence,
    interval_words,
    weakest_sentences,
)

BOOK = handbook.load()
KNOWN = knowledge.shipped()
BATCH = 0.45


def chance(made):
    return float(evaluate_knead(made, BOOK, KNOWN).clean_knead_chance[0])


def weighed(number, name, mass):
    """Return a bar with one ingredient weighed so [kg], all others as they are: a full recipe."""
    bar = grams(number)
    total = sum(bar.values())
    masses = {key: BATCH * gram / total for key, gram in bar.items()}
    masses = {key: mass if key[1] == name else kg for key, kg in masses.items()}
    batch = sum(masses.values())
    return recipe_of({key: kg for key, kg in masses.items() if kg > 0}, batch=batch)


def under(number, name, value):
    if name == "knead":
        return recipe(number, knead=(min(300.0, value), value))
    return recipe(number, **{name: value})


def from_lot(number, name, factor):
    """Return the chance of a bar whose powder drinks so many times as much as tabled."""
    powder = BOOK.powders[name]
    drinks = replace(
        powder,
        uptake_polar=factor * powder.uptake_polar,
        uptake_oil=factor * powder.uptake_oil,
    )
    book = replace(BOOK, powders={**BOOK.powders, name: drinks})
    return float(evaluate_knead(recipe(number), book, KNOWN).clean_knead_chance[0])


@pytest.mark.parametrize(("name", "side"), [("SCI fine powder", "high"), ("SLSA powder", "low")])
def test_a_lot_may_drink_so_much_more_or_less(found, name, side):
    one = next(a for a in found[10].allowances if (a.kind, a.name) == ("lot", name))
    end = getattr(one, side)
    assert end.state == ("stiff" if side == "high" else "sticky")
    assert from_lot(10, name, end.value) == pytest.approx(0.7, abs=0.005)
    assert from_lot(10, name, 1 + 1.1 * (end.value - 1)) < 0.7
    by = round(100 * abs(end.value - 1))
    way = "more" if side == "high" else "less"
    nearer = end is one.weaker
    assert not nearer or f"A lot of {name} that drinks {by} % {way}" in allowance_sentence(one, 1.0)


def bisected(changed, holds, fails, needed):
    """Return the last value that holds, between one that does and one that does not."""
    assert chance(changed(holds)) >= needed > chance(changed(fails))
    for _ in range(11):
        middle = (holds + fails) / 2
        holds, fails = (middle, fails) if chance(changed(middle)) >= needed else (holds, middle)
    return holds


@pytest.fixture(scope="module")
def found():
    return {number: forgiveness(evaluate(recipe(number), BOOK, KNOWN), 0) for number in (1, 2, 10)}


def named(one, name):
    return next(a for a in one.allowances if a.name == name and a.kind != "lot")


@pytest.mark.parametrize(
    ("number", "name", "side"),
    [
        (10, "CAPB 30 %", "low"),
        (10, "CAPB 30 %", "high"),
        (10, "SCI fine powder", "high"),
        (10, "white clay", "high"),
        (10, "cocoa butter", "low"),
        (10, "shea butter, West African", "high"),
        (10, "stearic acid, double/triple pressed (C16/C18)", "high"),
        (1, "corn starch", "low"),
        (2, "glycerin", "high"),
        (2, "white clay", "low"),
        (10, "room", "low"),
        (10, "knead", "low"),
        (1, "batch", "high"),
        (1, "bath", "high"),
    ],
)
def test_an_interval_ends_where_bisection_with_full_evaluations_finds_it(found, number, name, side):
    one = named(found[number], name)
    end = getattr(one, side)
    distance = end.value - one.at

    def changed(value):
        made = weighed if one.is_ingredient else under
        return made(number, name, value)

    beyond = one.at + 1.25 * distance
    truth = bisected(changed, one.at, max(beyond, 0.0), found[number].needed)
    # A chance is a count of 512 draws: within a step or two of it there is no single edge.
    assert end.value == pytest.approx(truth, abs=0.02 * abs(truth - one.at) + 1e-9)
    assert end.chance == pytest.approx(chance(changed(end.value)), abs=0.006)


def test_what_meets_the_wanted_chance_holds_it_and_what_misses_it_gives_up_one_in_twenty(found):
    assert found[10].meets
    assert found[10].needed == 0.7
    assert not found[2].meets
    assert found[2].needed == pytest.approx(found[2].chance - GIVEN_UP)
    assert "one more batch in 20 fails" in forgiveness_sentence(found[2])
    assert "fewer than 14 of 20" in forgiveness_sentence(found[10])


def test_less_of_a_preservative_is_never_told(found):
    dosed = [one for one in found[10].allowances if one.dosed]
    assert {"phenoxyethanol/ethylhexylglycerin 9:1", "citric acid"} <= {one.name for one in dosed}
    for one in dosed:
        assert interval_words(one)[1] == "as dosed"


def test_every_ingredient_and_condition_is_told_once(found):
    names = [name for _, name in grams(10)]
    by = [(one.kind, one.name) for one in found[10].allowances if one.kind != "lot"]
    assert by == [
        *(("ingredient", name) for name in names),
        *(("condition", name) for name in CONDITIONS),
    ]
    lots = [one.name for one in found[10].allowances if one.kind == "lot"]
    assert lots == ["SCI fine powder", "SLSA powder", "corn starch"]
    for one in found[10].allowances:
        for end in (one.low, one.high):
            assert min(one.low.looked, one.at) <= one.at <= max(one.high.looked, one.at)
            assert end.state == ("" if end.value is None else end.state)
            assert end.chance >= found[10].needed
        assert one.low.value is None or one.low.value <= one.at
        assert one.high.value is None or one.high.value >= one.at


def test_too_much_liquid_sticks_and_too_much_powder_stiffens(found):
    assert named(found[10], "CAPB 30 %").high.state == "sticky"
    assert named(found[10], "CAPB 30 %").low.state == "stiff"
    assert named(found[10], "white clay").high.state == "stiff"
    assert named(found[10], "room").low.state == "stiff"


def test_no_bath_is_said_to_do_below_65_degrees(found):
    for one in found.values():
        assert named(one, "bath").low.looked >= LEAST_BATH == pytest.approx(338.15)
        value = named(one, "bath").low.value
        assert value is None or value >= LEAST_BATH


def test_humidity_does_not_reach_the_knead(found):
    one = named(found[10], "humidity")
    assert one.low.value is None
    assert one.high.value is None
    assert math.isinf(one.slack)
    assert interval_words(one) == ("50 %", "0 % and less", "97 % and more")


def test_the_weakest_come_first_in_plain_words(found):
    slacks = [one.slack for one in found[10].weakest(3)]
    assert slacks == sorted(slacks)
    assert slacks[0] == min(one.slack for one in found[10].allowances)
    told = weakest_sentences(found[10])
    assert len(told) == 3
    one = named(found[10], "CAPB 30 %")
    assert "CAPB 30 % in 0.45 kg makes it" in allowance_sentence(one, BATCH)
    assert "less" in allowance_sentence(one, BATCH)


def test_rows_of_one_ingredient_are_one_and_empty_rows_none():
    made = recipe(10)
    clay = Row("powder", "white clay", {"1": 2.0})
    result = evaluate_knead(
        made.add_row(clay).add_row(Row("last", "water", {"1": 0.0})), BOOK, KNOWN
    )
    names = [one.name for one in forgiveness(result, 0).allowances if one.is_ingredient]
    assert names.count("white clay") == 1
    assert "water" not in names


def test_one_of_several_variants_is_asked_for_by_its_place():
    two = recipe(2)
    made = two.add_variant(like="1")
    at = [row.name for row in made.rows].index("CAPB 30 %")
    made = made.with_percent(at, "2", 9.0)
    found = forgiveness(evaluate_knead(made, BOOK, KNOWN), 1)
    alone = forgiveness(evaluate_knead(made.only("2"), BOOK, KNOWN), 0)
    assert found.number == "2"
    for one, other in zip(found.allowances, alone.allowances, strict=True):
        assert one.name == other.name
        ends = [getattr(a, side).value for side in ("low", "high") for a in (one, other)]
        for mine, same in (ends[:2], ends[2:]):
            assert (mine is None) == (same is None)
            assert mine is None or mine == pytest.approx(same, rel=1e-9)


def test_nothing_is_forgiven_where_nothing_is_to_lose_or_to_tell():
    hopeless = forgiveness(evaluate_knead(recipe(4), BOOK, KNOWN), 0)
    assert hopeless.allowances == ()
    assert forgiveness_sentence(hopeless).startswith("It hardly ever comes clean")
    powder = recipe_of({("powder", "SCI fine powder"): 100.0})
    assert forgiveness(evaluate_knead(powder, BOOK, KNOWN), 0).missing.startswith("no forecast")


def test_the_search_stops_when_asked():
    result = evaluate_knead(recipe(10), BOOK, KNOWN)
    with pytest.raises(InterruptedError):
        forgiveness(result, 0, stop=lambda: True)


def straight(edge, base, slope):
    """Walk an edge whose margins go straight, and return how many doughs it asked for."""
    count = 0
    while edge.next is not None:
        at = edge.next
        edge.record(at, base + at * slope)
        count += 1
    return count


@pytest.mark.parametrize("knows", [False, True])
@pytest.mark.parametrize("bound", [0.5, 3.0, 40.0])
def test_an_edge_of_straight_margins_is_found_with_few_doughs(knows, bound):
    draws = 400
    ends = np.linspace(0.0, 2.0, draws)  # draw k is lost at ends[k]
    base = np.stack([ends, np.full(draws, 9.0)])[:, None]
    slope = np.stack([np.full(draws, -1.0), np.zeros(draws)])[:, None]
    edge = Edge(base, np.full(draws, 1 / draws), 0.7, bound, 0.1, slope if knows else None)
    assert straight(edge, base, slope) <= 7
    if bound < 0.6:
        assert edge.at is None
        assert edge.nodes[-1] == bound
    else:
        assert edge.at == pytest.approx(0.6, abs=0.01)


def test_no_way_to_go_is_no_edge():
    base = np.ones((2, 1, 4))
    edge = Edge(base, np.full(4, 0.25), 0.7, 0.0, 0.1)
    assert edge.next is None
    assert edge.at is None
