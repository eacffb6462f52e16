"""The ingredient list: order, groups and allergens by market, and where the two bases differ."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_up import bar, share, supplied, worked_example

from designer.errors import ReadableError
from designer.evaluation.composition import Loss, compose
from designer.evaluation.label import (
    LabelFacts,
    allergens,
    differences,
    ingredient_list,
    lot_number,
    missing_facts,
    notification_range,
    scents_untold,
)
from designer.handbook import law

LAW = law.load()
MADE = worked_example()
CODES = sorted(law.MARKETS)


def names(market, basis="added", made=MADE, **order):
    return ingredient_list(made, LAW, market, basis, **order).names


def decisions(made=MADE, market="EU", basis="added"):
    return {one.allergen.name: one.decision for one in allergens(made, LAW, market, basis)}


# The worked example: invented materials, the list worked out by hand; own calculation.


def test_water_stands_second_as_added_and_fourth_as_cured():
    assert names("EU")[1] == "Aqua"
    assert names("EU", "cured")[:4] == (
        "Sodium Cocoyl Isethionate",
        "Kaolin",
        "Cetyl Alcohol",
        "Aqua",
    )


def test_equal_shares_go_by_the_alphabet():
    assert names("EU")[4:6] == ("Cocamidopropyl Betaine", "Theobroma Cacao Seed Butter")


@pytest.mark.parametrize(
    ("market", "group"), [("EU", "ordered"), ("UK", "ordered"), ("US", "small"), ("CA", "small")]
)
@pytest.mark.parametrize("name", ["Sodium Chloride", "Lavandula Angustifolia Oil"])
def test_exactly_one_percent_is_small_only_beyond_the_ocean(market, group, name):
    """Below 1 % in Reg 1223/2009, not more than 1 % in 21 CFR 701.3, 1 % or less in Canada."""
    found = ingredient_list(MADE, LAW, market)
    assert name in [one.name for one in found.of(group)]
    cured = ingredient_list(MADE, LAW, market, "cured")
    assert name in [one.name for one in cured.of("ordered")]


@pytest.mark.parametrize("market", CODES)
@pytest.mark.parametrize("basis", ["added", "cured"])
def test_the_colour_stands_last(market, basis):
    assert names(market, basis)[-1] == {"US": "Ultramarines"}.get(market, "CI 77007")


def test_allergens_above_the_threshold_are_declared():
    told = decisions()
    for name in ("Lavandula Oil/Extract", "Linalyl Acetate", "Linalool", "Beta-Caryophyllene"):
        assert told[name] == "declare"
    for name in ("Geraniol", "Limonene", "Camphor", "Coumarin"):
        assert told[name] == "below"
        assert decisions(basis="cured")[name] == "below"


def test_terpineol_is_at_the_limit_as_added_and_above_it_as_cured():
    """0.0100 % is not above 0.01 %; 0.0107 % is."""
    found = next(one for one in allergens(MADE, LAW, "EU", "added") if "Terp" in one.allergen.name)
    assert found.amount.typical == found.threshold
    assert decisions()["Terpineol"] == "below"
    assert decisions(basis="cured")["Terpineol"] == "declare"
    assert ("Terpineol", "below", "declare") in differences(MADE, LAW, "EU").decided


def test_the_two_bases_are_compared_in_order_group_and_allergens():
    told = differences(MADE, LAW, "US")
    assert ("Water", 2, 4) in told.moved
    assert ("Sodium Chloride", "small", "ordered") in told.regrouped
    assert told.decided == ()
    assert differences(MADE, LAW, "EU").regrouped == ()


def test_without_a_loss_there_is_nothing_to_compare():
    assert differences(MADE.with_loss(None), LAW, "EU") is None
    assert not differences(MADE.with_loss(Loss.weighed(0)), LAW, "EU")


# Markets -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("market", "water", "perfume"),
    [("EU", "Aqua", "Parfum"), ("US", "Water", "Fragrance"), ("CA", "Aqua", "Parfum")],
)
def test_each_market_has_its_names(market, water, perfume):
    made = bar(supplied("Aqua", 5), supplied("Parfum", 2))
    assert {water, perfume} <= set(names(market, made=made))


def test_canada_puts_the_perfume_at_the_end():
    made = bar(supplied("Parfum", 2), supplied("Panthenol", 0.5), supplied("CI 77491", 0.1))
    assert names("CA", made=made)[-1] == "Parfum"
    assert names("EU", made=made)[1] == "Parfum"


def test_common_names_in_brackets_are_left_out_in_europe():
    made = bar(supplied("Avena Sativa (Oat) Kernel Flour", 5))
    assert "Avena Sativa Kernel Flour" in names("EU", made=made)
    assert "Avena Sativa (Oat) Kernel Flour" in names("US", made=made)


def test_two_ingredients_of_one_name_are_one():
    made = bar(supplied("CI 77491", 0.3), supplied("CI 77499", 0.2))
    last = ingredient_list(made, LAW, "US").entries[-1]
    assert (last.name, last.percent) == ("Iron Oxides", Decimal("0.5"))
    assert names("EU", made=made)[-2:] == ("CI 77491", "CI 77499")


@pytest.mark.parametrize(
    ("market", "told"), [("EU", True), ("CA", True), ("UK", False), ("US", False)]
)
def test_the_additions_of_2023_are_named_where_they_hold(market, told):
    assert ("Linalyl Acetate" in names(market)) == told
    assert ("Linalool" in names(market)) == (market != "US")


def test_what_stays_on_the_skin_has_a_tenth_of_the_threshold():
    rinsed, left = (allergens(MADE, LAW, "EU", "added", stays) for stays in (False, True))
    assert {one.threshold for one in rinsed} == {Decimal("0.01")}
    assert {one.threshold for one in left} == {Decimal("0.001")}


def test_an_unknown_market_is_refused():
    with pytest.raises(ReadableError, match='"XX" is not known'):
        ingredient_list(MADE, LAW, "XX")


# The small group -------------------------------------------------------------------------------


def test_the_small_group_may_go_in_any_order():
    small = [one.name for one in ingredient_list(MADE, LAW, "EU").of("small")]
    turned = names("EU", small_order=small[::-1])
    at = names("EU").index(small[0])
    assert list(turned[at : at + len(small)]) == small[::-1]
    assert turned[:at] == names("EU")[:at]


@pytest.mark.parametrize(
    ("order", "words"),
    [(["Kaolin"], "is not in it"), (["Citric Acid"], "once"), (["Citric Acid"] * 2, "once")],
)
def test_an_order_that_is_none_of_the_small_group_is_refused(order, words):
    with pytest.raises(ReadableError, match=words):
        names("EU", small_order=order)


INCIS = ("Aqua", "Kaolin", "Parfum", "CI 77491", "Panthenol", "Linalool", "Glycerin", "Cera Alba")
RECIPES = st.lists(
    st.tuples(st.sampled_from(INCIS), st.integers(1, 4000)), min_size=1, max_size=8
).map(
    lambda rows: compose(
        [supplied(inci, Decimal(cents) / 100) for inci, cents in rows], Loss.weighed(3)
    )
)


@settings(max_examples=60)
@given(RECIPES, st.sampled_from(CODES), st.sampled_from(["added", "cured"]))
def test_the_list_is_a_permutation_of_what_is_in_the_bar_and_falls_within_groups(
    made, market, basis
):
    found = ingredient_list(made, LAW, market, basis)
    behind = sorted(inci for one in found.entries for inci in one.incis)
    there = sorted(
        one.inci
        for one in made.ingredients.values()
        if made.percent(one.inci, basis, "listed").typical > 0
    )
    assert behind == there
    for group in ("ordered", "small", "colour"):
        shares = [one.percent for one in found.of(group)]
        assert shares == sorted(shares, reverse=True)
    for one in found.of("ordered"):
        assert one.percent >= 1
    assert found.names[: len(found.of("ordered"))] == tuple(one.name for one in found.of("ordered"))


@pytest.mark.parametrize("one", LAW.allergens, ids=lambda one: one.name)
@pytest.mark.parametrize("stays", [False, True])
def test_every_allergen_is_decided_at_its_threshold(one, stays):
    """At 0.99 of the threshold it is below, at it not above, at 1.01 declared."""
    threshold = one.leave_on_percent if stays else one.rinse_off_percent
    for factor, wanted in (("0.99", "below"), ("1", "below"), ("1.01", "declare")):
        carrier = supplied("rose water", 50, {"Aqua": 1}, {one.name: float(threshold) / 50})
        made = bar(
            type(carrier)(**{**vars(carrier), "percent": 50 * Decimal(factor)}),
        )
        found = {
            told.allergen.name: told.decision for told in allergens(made, LAW, "EU", "added", stays)
        }
        assert found[one.name] == ("prohibited" if one.status == "prohibited" else wanted)


# What is not known ----------------------------------------------------------------------------


def test_a_range_that_reaches_over_the_threshold_is_said():
    oil = supplied("oil", 1, {"Rosmarinus Officinalis Leaf Oil": 1})
    parts = (*oil.parts, share("Camphor", 0.005, 0.0, 0.02, level=2, parent="x"))
    made = bar(type(oil)(**{**vars(oil), "parts": parts}))
    assert decisions(made)["Camphor"] == "may"


@pytest.mark.parametrize(
    ("one", "untold"),
    [
        (supplied("perfume", 1, {"Parfum": 1}, material_class="scent"), True),
        (supplied("rose water", 2, {"Rosa Damascena Flower Water": 1}), True),
        (supplied("extract", 2, {"Camellia Sinensis Leaf Extract": 1}), True),
        (supplied("meadow flour", 2, {"Iris Powder": 1}, unlisted=True), True),
        (supplied("water", 2, {"Aqua": 1}), False),
        (supplied("clay", 2, {"Kaolin": 1}), False),
    ],
)
def test_a_scent_without_allergen_data_is_named_and_not_taken_as_free(one, untold):
    assert scents_untold(bar(one), LAW) == ((one.name,) if untold else ())
    assert scents_untold(MADE, LAW) == ()


def test_a_material_without_an_inci_name_stands_in_the_list_under_its_own():
    made = bar(supplied("meadow flour", 4, {}, unlisted=True))
    one = next(one for one in ingredient_list(made, LAW, "EU").entries if not one.known)
    assert (one.name, one.percent) == ("meadow flour", 4)


# Facts ----------------------------------------------------------------------------------------

FACTS = LabelFacts(
    "Oat bar",
    "solid shampoo",
    "261128-OAT-1",
    date(2026, 11, 28),
    date(2028, 11, 28),
    responsible="Workshop",
    address="1 Lane",
    contact="mail",
    grams=Decimal(100),
)


@pytest.mark.parametrize("market", CODES)
def test_what_is_missing_is_told_and_nothing_else(market):
    assert missing_facts(FACTS, market) == ()
    assert set(missing_facts(LabelFacts(), market)) >= {"responsible", "address", "weight"}


def test_months_after_opening_stand_for_a_date():
    assert "durability" in missing_facts(LabelFacts(), "EU")
    assert "durability" not in missing_facts(LabelFacts(months_open=12), "EU")


@pytest.mark.parametrize(
    "given_as",
    [
        {"made": date(2026, 1, 2), "best_before": date(2026, 1, 2)},
        {"months_open": 0},
        {"panel": Decimal(0)},
        {"grams": Decimal(100), "ounces": Decimal("3.5")},
        {"product": "two\nlines"},
    ],
)
def test_facts_that_cannot_be_are_refused(given_as):
    with pytest.raises(ReadableError):
        LabelFacts(**given_as)


def test_a_batch_number_says_day_formula_and_run():
    assert lot_number(date(2026, 11, 28), "oat", 2) == "261128-OAT-2"
    for code, run in (("o/t", 1), ("", 1), ("OAT", 0)):
        with pytest.raises(ReadableError):
            lot_number(date(2026, 11, 28), code, run)


@pytest.mark.parametrize(
    ("percent", "number"),
    [
        ("13.725", 7),
        ("1.000", 10),
        ("0.100", 12),
        ("3.0", 9),
        ("80.1", 1),
        ("0.0001", 13),
        ("0", None),
    ],
)
def test_canadas_ranges_hold_their_upper_edge(percent, number):
    """Ranges of the notification in the Cosmetic Regulations (Canada); worked out by hand."""
    assert notification_range(Decimal(percent)) == number
