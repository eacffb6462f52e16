"""Cautions: each is given where it must be, not where it must not, and in words a maker can use."""

import re

import numpy as np
import pytest
from bars import grams, recipe, recipe_of

from designer import handbook
from designer.evaluation import knowledge, melt_table
from designer.evaluation.cautions import cautions
from designer.evaluation.evaluate import evaluate
from designer.evaluation.melt_table import blend_of, clear_point
from designer.handbook import acids
from designer.laws.acidity import undissociated_share
from designer.recipe import QS, Row

BOOK = handbook.load()
KNOWN = knowledge.shipped()
PHENOXY = ("last", "phenoxyethanol/ethylhexylglycerin 9:1")


def of(bar):
    """Return the cautions of a recipe by code."""
    return {one.code: one for one in cautions(evaluate(bar, BOOK, KNOWN), 0)}


def preserved(extra, acid=0.3, alkaline=0.0):
    """Return the usual bar with other preservatives, grams by (phase, name)."""
    bar = {key: gram for key, gram in grams(1).items() if key != PHENOXY}
    del bar["powder", "citric acid"]
    if acid:
        bar["powder", "citric acid"] = acid
    if alkaline:
        bar["liquid", "decyl glucoside 53 %"] = alkaline
    return recipe_of({**bar, **extra})


BENZOATE = {("liquid", "sodium benzoate"): 0.5}


def test_the_usual_bar_has_only_the_cautions_of_the_work():
    assert set(of(recipe(1))) <= {"dust", "hot_melt", "outside_known_good", "cationic_liquid"}


def test_serious_cautions_come_first():
    told = cautions(evaluate(preserved(BENZOATE, acid=0), BOOK, KNOWN), 0)
    assert told[0].serious
    assert [one.serious for one in told] == sorted((one.serious for one in told), reverse=True)


@pytest.mark.parametrize(
    ("added", "words"), [(2.0, "102.00, 2.00 too much"), (-2.0, "2.00 missing")]
)
def test_a_total_other_than_100_says_the_total_and_what_mends_it(added, words):
    bar = recipe(1)
    index = next(k for k, row in enumerate(bar.rows) if row.name == "SCI fine powder")
    bar = bar.with_percent(index, "1", bar.rows[index].percents["1"] + added)
    assert words in of(bar)["total_not_hundred"].text
    assert "qs_excess" not in of(bar)


def test_a_row_that_cannot_fill_up_says_by_how_much():
    bar = recipe(1)
    total = sum(row.percents["1"] for row in bar.rows)
    told = of(bar.add_row(Row("powder", "talc", {"1": QS})).with_percent(0, "1", total))
    assert re.search(r"Take \d+\.\d\d % out", told["qs_excess"].text)
    assert told["qs_excess"].serious


def test_an_unlisted_ingredient_is_named_with_the_class_the_file_gives():
    told = of(recipe(1).add_row(Row("powder", "meadow flour", {"1": 4.0}, given_class="powder")))
    assert told["unknown_ingredient"].ingredient == "meadow flour"
    assert "class" in told["unknown_ingredient"].text


def test_too_much_liquid_is_outside_the_model():
    told = of(recipe_of({("powder", "SCI fine powder"): 40.0, ("liquid", "water"): 60.0}))
    assert told["outside_model"].serious


def test_a_wet_fatty_dough_is_called_greasy_and_the_usual_one_is_not():
    fatty = recipe(1, {"shea butter, West African": 8, "argan oil": 4, "SCI fine powder": -12})
    assert "greasy" in of(fatty)
    assert "greasy" not in of(recipe(1))


def test_each_range_that_is_left_has_its_own_caution_with_numbers():
    told = cautions(evaluate(recipe(2), BOOK, KNOWN), 0)
    ranges = [one.text for one in told if one.code == "outside_known_good"]
    assert ranges
    assert len(set(ranges)) == len(ranges)
    for text in ranges:
        assert len(re.findall(r"\d+\.\d", text)) == 3


@pytest.mark.parametrize(
    ("celsius", "codes"),
    [
        (45.0, {"bath_low", "bath_below_clear_point"}),
        (70.0, set()),
        (84.9, set()),
        (85.1, {"bath_hot"}),
    ],
)
def test_the_bath_is_judged_by_its_limits_and_by_the_melt(celsius, codes):
    told = of(recipe(1, bath=celsius + 273.15))
    assert {code for code in told if code.startswith("bath")} == codes


def test_a_bath_is_of_no_matter_without_a_melt():
    bar = {key: gram for key, gram in grams(1).items() if key[0] != "melt"}
    assert not {
        code for code in of(recipe_of(bar, bath=318.15)) if code.startswith(("bath", "hot"))
    }


# Where 99.8 % of the aged melt is liquid: ideal solubility (Schroeder, van Laar) solved by
# bisection, a calculation of its own.
CLEAR = {
    "25 % active conditioner wax": 61.7,
    "50 % active conditioner wax": 67.4,
    "carnauba wax": 81.4,
    "cocoa butter": 36.2,
}


def clears_at(name):
    """Return the clear point of one material [°C]."""
    blend = blend_of((BOOK.melts[name],), np.ones(1))
    return float(clear_point(BOOK, blend, knowledge.central())[0]) - 273.15


@pytest.fixture
def fine_table(monkeypatch):
    melt_table._melt_table.cache_clear()
    monkeypatch.setattr(melt_table, "GRID", np.arange(5.0, 86.01, 0.1) + 273.15)
    yield
    melt_table._melt_table.cache_clear()


@pytest.mark.parametrize("name", sorted(CLEAR))
def test_clear_points_are_those_of_a_bisection(name, fine_table):
    assert clears_at(name) == pytest.approx(CLEAR[name], abs=0.06)


@pytest.mark.parametrize("name", sorted(CLEAR))
def test_reading_the_coarse_table_errs_by_less_than_melting_points_are_known(name):
    assert -0.1 < clears_at(name) - CLEAR[name] < 0.7


def test_a_hard_wax_asks_for_a_hotter_bath():
    text = of(hard_wax_bar())["bath_below_clear_point"].text
    assert "about 82 °C, so about 90 °C" in text


def hard_wax_bar():
    bar = {key: gram for key, gram in grams(1).items() if key[0] != "melt"}
    return recipe_of({**bar, ("melt", "carnauba wax"): 16.0})


def test_a_cationic_liquid_matters_only_among_anionic_surfactants():
    honey = {("liquid", "honey quat 50 %"): 2.0}
    assert of(recipe_of({**grams(1), **honey}))["cationic_liquid"].ingredient == "honey quat 50 %"
    mild = {
        key: gram for key, gram in grams(1).items() if "SCI" not in key[1] and "SLSA" not in key[1]
    }
    assert "cationic_liquid" not in of(
        recipe_of({**mild, ("powder", "corn starch"): 60.0, **honey})
    )


def test_a_melt_material_that_is_not_heated_is_named():
    bar = recipe(1).add_row(Row("liquid", "cetyl alcohol (95 %+)", {"1": 2.0}))
    assert of(bar)["not_heated"].ingredient == "cetyl alcohol (95 %+)"


def test_dust_asks_for_a_mask_and_no_fan():
    text = of(recipe(1))["dust"].text
    for word in ("FFP2", "no fan", "wipe wet"):
        assert word in text


@pytest.mark.parametrize(
    ("name", "strong"),
    [
        ("lactic acid 80 %", True),
        ("sodium hydroxide solution 20 %", True),
        ("triethanolamine 99 %", True),
        ("acetic acid solution 10 %", False),
        ("arginine solution 10 %", False),
    ],
)
def test_only_strong_acids_and_alkalis_are_said_to_burn(name, strong):
    assert ("strong_acid_or_alkali" in of(recipe_of({**grams(1), ("liquid", name): 0.3}))) == strong


# Preservatives ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("acid", "alkaline", "weak"),
    [(0.3, 0.0, False), (0.1, 0.0, True), (0.0, 0.0, True), (0.3, 1.0, False), (0.3, 4.0, True)],
)
def test_organic_acids_alone_are_weak_without_acid_or_with_alkaline_liquids(acid, alkaline, weak):
    told = of(preserved(BENZOATE, acid, alkaline))
    assert ("weak_preservative" in told) == weak
    assert ("preservative_needs_acid" in told) != weak
    one = told["weak_preservative" if weak else "preservative_needs_acid"]
    assert one.serious == weak
    assert one.ingredient == "sodium benzoate"
    assert "pH of a 10 % slurry" in one.text
    assert "challenge test" in one.text


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("sodium benzoate", "5 or lower"),
        ("potassium sorbate", "5.5 or lower"),
        ("dehydroacetic acid", "5.5 or lower"),
        ("sodium levulinate powder", "5.5 or lower"),
        ("p-anisic acid", "5.5 or lower"),
    ],
)
def test_the_highest_ph_is_that_of_common_practice(name, words):
    assert words in of(preserved({("liquid", name): 0.5}))["preservative_needs_acid"].text


def test_each_of_two_acids_is_told_with_its_own_share():
    text = of(preserved({("last", "benzoate/sorbate solution"): 1.0}))[
        "preservative_needs_acid"
    ].text
    assert "Benzoic Acid 14 % at pH 5, 1.6 % at pH 6" in text
    assert "Sorbic Acid 37 % at pH 5, 5.4 % at pH 6" in text
    assert "5 or lower" in text


@pytest.mark.parametrize(
    "other",
    [
        ("powder", "methylparaben"),
        ("last", "phenoxyethanol"),
        ("last", "benzyl alcohol/dehydroacetic acid"),
    ],
)
def test_another_preservative_beside_an_acid_keeps_it_from_being_weak(other):
    told = of(preserved({**BENZOATE, other: 0.3}, acid=0))
    assert "weak_preservative" not in told


@pytest.mark.parametrize("carrier", ["gluconolactone/benzoate powder"])
def test_what_carries_an_acid_is_no_other_preservative(carrier):
    assert "weak_preservative" in of(preserved({("powder", carrier): 0.1}, acid=0))


@pytest.mark.parametrize("name", ["methylparaben", "imidazolidinyl urea", "chlorphenesin"])
def test_a_powder_sold_to_preserve_is_recognised(name):
    assert "no_preservative" not in of(preserved({("powder", name): 0.3}))


def test_without_a_preservative_the_laboratory_is_named_and_nothing_is_judged():
    one = of(preserved({}))["no_preservative"]
    assert "challenge test" in one.text
    assert "assessor" in one.text


@pytest.mark.parametrize(
    "booster",
    [
        ("last", "ethylhexylglycerin"),
        ("last", "caprylyl glycol"),
        ("powder", "caprylhydroxamic acid"),
        ("last", "propanediol/caprylyl glycol"),
        ("last", "1,2-hexanediol/caprylyl glycol"),
        ("last", "phenethyl alcohol/caprylyl glycol"),
        ("last", "glyceryl caprylate"),
        ("last", "lactobacillus ferment"),
    ],
)
def test_what_only_helps_a_preservative_counts_as_none(booster):
    one = of(preserved({booster: 1.0}))["no_preservative"]
    assert one.serious
    assert one.ingredient == booster[1]
    assert "none by itself" in one.text


def test_a_booster_does_not_make_a_weak_acid_strong():
    beside = {**BENZOATE, ("last", "caprylyl glycol"): 1.0}
    assert "weak_preservative" in of(preserved(beside, acid=0))


@pytest.mark.parametrize(
    "blend", ["phenoxyethanol/ethylhexylglycerin 9:1", "benzyl alcohol/glyceryl esters"]
)
def test_a_preservative_with_its_booster_still_counts(blend):
    assert "no_preservative" not in of(preserved({("last", blend): 1.0}))


@pytest.mark.parametrize("number", range(1, 11))
def test_no_caution_promises_anything(number):
    for one in cautions(evaluate(recipe(number), BOOK, KNOWN), 0):
        for word in ("safe", "compliant", "preservative-free", "hypoallergenic", "guarantee"):
            assert word not in one.text.lower()
        assert re.fullmatch("[a-z_]+", one.code)
        assert one.text.endswith(".")


@pytest.mark.parametrize(
    ("record", "percents"),
    [
        # 100/(1 + 10^(pH - pKa)) at pH 4.0, 4.5, 5.0, 5.5, 6.0, 6.5 to the digits printed.
        # pKa of benzoic acid: CRC Handbook of Chemistry and Physics; the others from memory.
        ("Salicylic Acid", (8.5, 2.9, 0.9, 0.3, 0.1, 0.0)),
        ("Benzoic Acid", (61, 34, 14, 4.8, 1.6, 0.5)),
        ("p-Anisic Acid", (75, 48, 23, 8.5, 2.9, 0.9)),
        ("Levulinic Acid", (81, 58, 30, 12, 4.2, 1.4)),
        ("Sorbic Acid", (85, 64, 37, 15, 5.4, 1.8)),
        ("Dehydroacetic Acid", (95, 86, 65, 37, 16, 5.6)),
    ],
)
def test_undissociated_shares_are_those_of_henderson_and_hasselbalch(record, percents):
    for ph, percent in zip((4.0, 4.5, 5.0, 5.5, 6.0, 6.5), percents, strict=True):
        share = 100 * float(undissociated_share(ph, acids.load().acids[record].pka[0]))
        half_a_digit = 0.051 if percent < 10 else 0.6
        assert share == pytest.approx(percent, abs=half_a_digit)
