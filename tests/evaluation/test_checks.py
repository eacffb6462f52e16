"""Checks: what reacts, what heat spoils, what keeps; nothing is praised, no gap passed over."""

import re
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from bars import recipe
from made_up import bar, share, supplied

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.acidity import acidity
from designer.evaluation.checks import UNCHECKED, bench_of, check_all, checks, is_broken
from designer.evaluation.composition import Amount, composition
from designer.evaluation.evaluate import evaluate
from designer.evaluation.keeping import Keeping, keeping_checks, keeping_of
from designer.evaluation.preservatives import BOOSTERS
from designer.evaluation.verdicts import CLOSE, MEASURE, NOT_CHECKED, OVER, VERDICTS, WITHIN
from designer.evaluation.watch import watch_checks
from designer.evaluation.watched import Bench
from designer.evaluation.water_activity import water_activity
from designer.handbook import EVIDENCE, law
from designer.recipe import file

LAW = law.load()
BOOK = handbook.load()
KNOWN = knowledge.shipped(64)
DEMOS = sorted((Path(__file__).parents[2] / "demo_recipes").glob("*.toml"))


def celsius(low, typical=None, high=None):
    """Return a temperature [°C], exact unless a range is given."""
    return Amount(*(Decimal(str(end)) for end in (low, typical or low, high or low)))


BENCH = Bench(celsius(70), celsius(28, 31, 33))


def of(made, market="EU", bench=BENCH):
    return {one.code: one for one in watch_checks(made, LAW, market, bench)}


def charged(inci, percent, charge, grams_per_mole):
    one = supplied(inci, percent, {})
    piece = share(inci, 1.0, charge=charge, molar_mass=grams_per_mole / 1000)
    return replace(one, parts=(piece,))


# Charge and polymers --------------------------------------------------------------------------


@pytest.mark.parametrize(("cationic", "verdict"), [(1, WITHIN), (7, CLOSE), (30, OVER), (60, OVER)])
def test_charge_is_judged_by_its_ratio_in_moles(cationic, verdict):
    """Own lines at 0.1 and 0.5, not law; equal molar masses, 40 % anionic."""
    made = bar(
        charged("Sodium Cocoyl Isethionate", 40, "anionic", 338),
        charged("Behentrimonium Methosulfate", cationic, "cationic", 338),
    )
    one = of(made)["charge"]
    assert one.amount.typical == pytest.approx(Decimal(cationic) / 40, abs=Decimal("1e-9"))
    assert one.verdict == verdict
    assert not one.is_law


def test_without_a_cationic_there_is_nothing_to_balance():
    assert "charge" not in of(bar(charged("Sodium Cocoyl Isethionate", 40, "anionic", 338)))


@pytest.mark.parametrize(("percent", "verdict"), [(0.3, WITHIN), (0.8, CLOSE), (1.2, OVER)])
def test_much_cationic_polymer_is_too_much(percent, verdict):
    """0.1 to 0.5 % usual, above 1 % tacky: from memory."""
    assert of(bar(supplied("Polyquaternium-10", percent)))["cationic_polymer"].verdict == verdict


# Heat -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("inci", "phase", "dough", "verdict"),
    [
        ("Parfum", "last", 31, WITHIN),
        ("Parfum", "last", 44, CLOSE),
        ("Parfum", "last", 46, OVER),
        ("Parfum", "melt", 31, OVER),
        ("Panthenol", "liquid", 46, WITHIN),
        ("Panthenol", "melt", 31, OVER),
    ],
)
def test_what_heat_spoils_is_judged_where_it_is_put_in(inci, phase, dough, verdict):
    made = bar(supplied("thing", 1, {inci: 1}, phase=phase))
    one = of(made, bench=Bench(celsius(70), celsius(dough)))["heat"]
    assert one.verdict == verdict
    assert one.limit == (45 if inci == "Parfum" else 60)


def test_an_essential_oil_suffers_like_a_perfume():
    oil = supplied("oil", 1, {"Rose Flower Oil": 1}, phase="melt", material_class="scent")
    assert of(bar(oil))["heat"].verdict == OVER


def test_without_a_temperature_heat_is_not_checked():
    assert (
        of(bar(supplied("thing", 1, {"Parfum": 1})), bench=Bench())["heat"].verdict == NOT_CHECKED
    )


# What reacts ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "second", "code"),
    [
        ("Citric Acid", "Sodium Bicarbonate", "acid_carbonate"),
        ("Lactic Acid", "Calcium Carbonate", "acid_carbonate"),
        ("Sodium Benzoate", "Ascorbic Acid", "benzoate_ascorbic"),
        ("Cocamide DEA", "2-Bromo-2-Nitropropane-1,3-Diol", "nitrosamine"),
        ("Lauramine Oxide", "Magnesium Nitrate", "nitrosamine"),
    ],
)
def test_two_that_react_are_named_together_and_neither_alone(first, second, code):
    one, other = supplied(first, 1), supplied(second, 0.05)
    assert code not in of(bar(one))
    assert code not in of(bar(other))
    told = of(bar(one, other))[code]
    assert first in told.subject
    assert second in told.subject
    assert told.verdict in (MEASURE, OVER)


@pytest.mark.parametrize(
    ("amine", "market", "broken"),
    [
        ("TEA-Lauryl Sulfate", "EU", True),
        ("Triethanolamine", "EU", True),
        ("Triethanolamine", "US", False),
        ("Lauramine Oxide", "EU", False),
    ],
)
def test_only_amines_of_the_annex_break_a_rule_of_the_market(amine, market, broken):
    """Annex III/60-62 of Reg 1223/2009: no nitrosating systems."""
    made = bar(supplied(amine, 1), supplied("Sodium Nitrite", 0.1))
    assert of(made, market)["nitrosamine"].is_broken == broken


def test_a_clay_beside_an_acid_may_give_gas():
    clay = supplied("Illite", 5, material_class="clay")
    assert "acid_clay" not in of(bar(clay))
    assert "bubbles" in of(bar(clay, supplied("Citric Acid", 0.3)))["acid_clay"].note


@pytest.mark.parametrize(
    ("name", "yields"),
    [
        # Formaldehyde per mass if all is released: n x 30.026 / molar mass, own calculation.
        ("DMDM Hydantoin", 2 * 30.026 / 188.18),
        ("Imidazolidinyl Urea", 4 * 30.026 / 388.30),
        ("Diazolidinyl Urea", 4 * 30.026 / 278.22),
        ("Sodium Hydroxymethylglycinate", 30.026 / 127.08),
        ("2-Bromo-2-Nitropropane-1,3-Diol", 30.026 / 199.99),
    ],
)
def test_a_releaser_needs_its_statement_from_ten_parts_per_million_on(name, yields):
    little, more = (bar(supplied(name, Decimal(str(round(x / yields, 6))))) for x in (9e-4, 1.1e-3))
    assert of(little)["releaser"].verdict in (WITHIN, CLOSE)
    assert of(more)["releaser"].verdict == OVER
    assert of(more)["releaser"].amount.typical == pytest.approx(
        Decimal("0.0011"), rel=Decimal("0.01")
    )
    assert not of(more)["releaser"].is_broken


# Lots, origin, scent --------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["botanical", "clay", "flour"])
def test_a_natural_powder_asks_for_the_certificate_of_its_lot(kind):
    one = of(bar(supplied("powder", 3, {"Kaolin": 1}, material_class=kind)))["lot"]
    assert one.verdict == NOT_CHECKED
    assert "certificate of the lot" in one.note


@pytest.mark.parametrize(
    ("inci", "origin"),
    [
        ("Prunus Amygdalus Dulcis (Sweet Almond) Oil", "tree nut (almond)"),
        ("Hydrolyzed Wheat Protein", "wheat"),
        ("Goat Milk Powder", "milk"),
        ("Cera Alba", "bee product"),
        ("CI 75470", "animal (insect)"),
        ("Arachis Hypogaea Oil", "peanut"),
    ],
)
def test_origins_that_people_ask_for_are_named(inci, origin):
    found = watch_checks(bar(supplied(inci, 2)), LAW, "EU", BENCH)
    assert origin in [one.subject for one in found if one.code == "origin"]


def test_a_perfume_without_allergen_data_cannot_be_told():
    one = of(bar(supplied("perfume", 1, {"Parfum": 1}, material_class="scent")))["allergen_data"]
    assert one.verdict == MEASURE
    assert "none is taken as absent" in one.note


def test_essential_oil_above_one_percent_asks_for_its_certificate():
    def oil(percent):
        return bar(supplied("Rose Flower Oil", percent, material_class="scent"))

    assert of(oil(0.5))["essential_oil"].verdict == WITHIN
    assert of(oil(1.2))["essential_oil"].verdict == CLOSE


@pytest.mark.parametrize(
    ("inci", "percent", "verdict"),
    [("CI 77491", 0.3, WITHIN), ("CI 77491", 0.6, OVER), ("CI 75470", 0.1, CLOSE)],
)
def test_colours_that_stain_are_told(inci, percent, verdict):
    assert of(bar(supplied(inci, percent)))["stain"].verdict == verdict


def test_the_work_has_its_cautions():
    made = bar(
        supplied("powder", 40, {"Sodium Lauryl Sulfate": 1}, dust="irritant"),
        supplied("butter", 5, {"Theobroma Cacao Seed Butter": 1}, phase="melt"),
        supplied("flour", 5, {"Zea Mays (Corn) Starch": 1}, material_class="flour"),
    )
    told = of(made)
    assert "FFP2" in told["dust"].note
    assert "burn" in told["hot_melt"].note
    assert "flame" in told["dust_fire"].note
    assert "Fingers" in told["press"].note


# Keeping --------------------------------------------------------------------------------------

WATERY = supplied("Aqua", 10)
TOLD = Keeping(
    Amount(Decimal("4.6"), Decimal("5.0"), Decimal("5.4")),
    (),
    {"Benzoic Acid": Amount(Decimal(6), Decimal("13.7"), Decimal(28))},
    Amount(Decimal("0.65"), Decimal("0.73"), Decimal("0.75")),
    (),
    {"Benzoic Acid": Decimal("5.0")},
)


def keeps(*materials, told=TOLD):
    made = bar(WATERY, *materials)
    return {one.code: one for one in keeping_checks(made, LAW, "EU", told)}


@pytest.mark.parametrize("name", sorted(BOOSTERS))
def test_a_booster_alone_is_no_preservative(name):
    one = keeps(supplied(name, 1, preserves=True))["no_preservative"]
    assert one.verdict == MEASURE
    assert name in one.note
    assert "none by themselves" in one.note


def test_water_without_a_preservative_is_for_the_laboratory():
    one = keeps()["no_preservative"]
    assert one.verdict == MEASURE
    assert "ISO 11930" in one.note
    dry = keeping_checks(bar(supplied("Kaolin", 5)), LAW, "EU", TOLD)
    assert "no_preservative" not in [each.code for each in dry]


@pytest.mark.parametrize(
    ("ph", "verdict"), [((4.2, 4.5, 4.8), MEASURE), ((4.6, 5.0, 5.4), CLOSE), ((5.2, 5.6, 6), OVER)]
)
def test_a_preservative_acid_is_never_said_to_be_within(ph, verdict):
    """pH of a 10 % slurry up to which benzoate is used, 5.0: common practice, no source."""
    told = replace(TOLD, ph=Amount(*(Decimal(str(end)) for end in ph)))
    one = keeps(supplied("Sodium Benzoate", 0.5, preserves=True), told=told)["acid_form"]
    assert one.verdict == verdict
    assert ("weak" in one.note) == (verdict == OVER)
    assert "not the only" not in one.note
    assert one.amount.typical == Decimal("13.7")


def test_without_a_ph_the_acid_must_be_measured():
    told = replace(TOLD, ph=None, ph_missing=("meadow syrup",), undissociated={})
    found = keeps(supplied("Sodium Benzoate", 0.5, preserves=True), told=told)
    assert found["acid_form"].verdict == MEASURE
    assert found["acid_form"].amount is None
    assert "meadow syrup" in found["slurry_ph"].note


def test_water_activity_decides_nothing():
    one = keeps()["water_activity"]
    assert one.verdict == MEASURE
    assert one.limit == Decimal("0.75")
    for words in ("not a measurement", "wet dish", "ISO 29621", "kills nothing"):
        assert words in one.note
    assert "such vapours" in keeps(told=replace(TOLD, volatile=("ethanol",)))["water_activity"].note


# Whole recipes --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def results():
    return {path.stem: evaluate(file.read(path), BOOK, KNOWN) for path in DEMOS}


@pytest.mark.parametrize("name", [path.stem for path in DEMOS])
@pytest.mark.parametrize("market", law.MARKETS)
def test_every_check_of_a_demo_is_whole_and_promises_nothing(results, name, market):
    found = checks(results[name], 0, market)
    for one in found:
        assert one.verdict in VERDICTS
        assert re.fullmatch("[a-z_]+", one.code)
        assert re.fullmatch(r"20\d\d-\d\d-\d\d", one.as_of)
        assert one.evidence in (*EVIDENCE, "")
        if one.limit is not None:
            assert one.source
        for text in (one.subject, one.note, one.source):
            assert not re.search(
                r"\b(safe|safely|compliant|hypoallergenic|preservative-free)\b", text, re.I
            ), text
    assert [one.subject for one in found[-len(UNCHECKED) :]] == list(UNCHECKED)
    shown = [VERDICTS.index(one.verdict) for one in found[: -len(UNCHECKED)] if not one.is_broken]
    assert shown == sorted(shown)
    assert not is_broken(found)


def test_the_bar_with_the_weak_preservative_is_not_praised(results):
    found = {one.code: one for one in checks(results["weak_preservative_bar"], 0, "EU")}
    assert found["efficacy"].verdict == MEASURE
    assert found["acid_form"].verdict in (CLOSE, OVER)
    assert found["slurry_ph"].verdict == MEASURE
    assert found["water_activity"].verdict == MEASURE


def test_keeping_and_bench_are_those_of_the_evaluation(results):
    result = results["oat_bar"]
    told = keeping_of(result, 0)
    slurry = acidity(result, 0).cured
    assert float(told.ph.typical) == pytest.approx(float(slurry.spread.value), abs=0.006)
    cured = water_activity(result, 0).cured
    assert float(told.activity.high) == pytest.approx(float(cured.high), abs=6e-4)
    bench = bench_of(result, 0)
    assert bench.bath.typical == 70
    start = result.spread(result.temperature[0, 0])
    assert float(bench.dough.typical) == pytest.approx(float(start.value) - 273.15, abs=0.06)


def test_a_measured_pH_is_told_as_the_makers_and_judges_the_acid(results):  # noqa: N802
    result = results["weak_preservative_bar"]
    read = keeping_of(result, 0, acidity(result, 0).measured(6.4), is_measured=True)
    assert read.ph.low == read.ph.high == Decimal("6.40")
    found = {one.code: one for one in check_all(composition(result, 0), LAW, "EU", BENCH, read)}
    assert found["slurry_ph"].verdict == MEASURE
    assert found["slurry_ph"].evidence == "measured"
    assert found["acid_form"].verdict == OVER
    assert "stated as measured at pH 6.4" in found["acid_form"].note


def test_a_limit_that_is_broken_stands_first():
    made = bar(WATERY, supplied("Phenoxyethanol", 1.5, preserves=True))
    found = check_all(made, LAW, "EU", BENCH, TOLD)
    assert is_broken(found)
    assert found[0].subject == "Phenoxyethanol"
    assert found[0].is_broken


def test_a_usual_bar_says_what_its_perfume_does_not_tell():
    codes = [one.code for one in checks(evaluate(recipe(1), BOOK, KNOWN), 0, "EU")]
    assert "allergen_data" in codes
    assert "no_preservative" not in codes
