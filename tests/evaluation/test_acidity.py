"""PH of the slurry of a recipe: against a worked example, its own balance, and common sense."""

from dataclasses import replace

import numpy as np
import pytest
from bars import recipe, recipe_of
from hypothesis import given, settings
from hypothesis import strategies as st

from designer import handbook
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.acidity import (
    DOSES,
    acid_dose,
    acidity,
    acidity_with,
    protection,
    slurry,
    usual_doses,
)
from designer.evaluation.evaluate import evaluate
from designer.evaluation.spread import spread
from designer.evaluation.to_measure import to_measure
from designer.laws.charge_balance import charge_excess

BOOK = handbook.load()
KNOWN = knowledge.shipped(512)
CENTRAL = knowledge.central()
STEARIC = BOOK.melts["stearic acid, double/triple pressed (C16/C18)"]

# The worked example: percents of a bar, the rest of it neither acid nor base.
EXAMPLE = {
    "SCI fine powder": 56.0,
    "CAPB 30 %": 13.0,
    "sodium lactate 60 %": 1.0,
    "sodium benzoate": 0.5,
    "potassium sorbate": 0.3,
    "hydrolysed wheat protein 25 %": 2.0,
}


def example(known=KNOWN, declared=None, **more):
    parts = [(BOOK.find(name, "liquid"), share / 100) for name, share in EXAMPLE.items()]
    parts += [(BOOK.find(name, "liquid"), share / 100) for name, share in more.items()]
    return slurry([*parts, (STEARIC, 0.05)], (), BOOK, known, declared or {})


def with_citric(percent, known=KNOWN):
    return example(known, **({"citric acid": percent} if percent else {}))


@pytest.mark.parametrize(
    ("citric", "ph"), [(0.0, 5.84), (0.084, 5.5), (0.246, 5.0), (0.5, 4.6), (1.2, 4.05)]
)
def test_the_worked_example_is_met_within_its_own_uncertainty(citric, ph):
    # Own calculation with other declared pH of the raw materials, recorded; it states 0.26 to 0.32
    # for one standard deviation and asks for +- 0.5 (90 %).
    found = with_citric(citric)
    assert float(found.spread.value) == pytest.approx(ph, abs=0.32)
    assert found.spread.low < ph < found.spread.high or citric == 1.2
    assert 0.2 < found.ph.std() < 0.36


def test_the_example_lies_between_two_usual_ph_of_its_main_powder():
    # The example does not say which pH its raw materials were given.
    low, high = (example(CENTRAL, {"SCI fine powder": ph}).spread.value for ph in (5.5, 6.2))
    assert float(low) < 5.84 < float(high)


@pytest.mark.parametrize("strength", [0.01, 0.05, 0.2])
def test_the_strength_of_the_slurry_hardly_matters_with_buffers(strength):
    # The worked example: 1, 5, 10, 20 % with 0.3 % citric acid give 4.99, 4.92, 4.89, 4.85.
    usual = float(with_citric(0.3, CENTRAL).spread.value)
    parameters = dict(BOOK.parameters)
    one = with_citric(0.3, CENTRAL)
    parameters["slurry_strength"] = replace(parameters["slurry_strength"], value=100 * strength)
    other = replace(one, handbook=replace(BOOK, parameters=parameters))
    assert float(other.spread.value) == pytest.approx(usual, abs=0.15)
    assert (float(other.spread.value) > usual) == (strength < 0.1)


@pytest.mark.parametrize("number", [1, 2, 9])
def test_the_charges_of_a_slurry_balance_in_every_draw(number):
    one = acidity(evaluate(recipe(number), BOOK, KNOWN), 0).added
    excess = charge_excess(one.balanced_ph, *one.groups.diluted(one.per_water), one.water_pka)
    assert np.abs(excess).max() < 1e-10


def test_interval_is_that_of_the_draws():
    one = with_citric(0.1)
    expected = spread(one.ph, KNOWN.weights)
    assert (one.spread.low, one.spread.high) == (expected.low, expected.high)
    assert one.spread.low < one.spread.value < one.spread.high


def test_a_slurry_alone_of_a_raw_material_reads_its_declared_ph():
    for name in ("CAPB 30 %", "decyl glucoside 53 %", "cocoamphoacetate 31 %", "CAHS 42 %"):
        material = BOOK.liquids[name]
        found = slurry([(material, 1.0)], (), BOOK, CENTRAL, {})
        assert float(found.spread.value) == pytest.approx(material.ph, abs=1e-6), name


def test_a_declared_ph_goes_before_the_tables_and_narrows_the_interval():
    wide = example()
    told = example(declared={"SCI fine powder": 6.4, "CAPB 30 %": 6.0})
    assert told.spread.value > wide.spread.value
    source = {one.material: one for one in told.sources}["SCI fine powder"]
    assert (source.ph, source.basis) == (6.4, "declared")


def test_every_source_says_what_its_ph_rests_on():
    basis = {one.material: one.basis for one in with_citric(0.1).sources}
    assert basis["SCI fine powder"] == "class"
    assert basis["CAPB 30 %"] == "table"
    assert basis["citric acid"] == "formula"
    assert next(iter(basis)) == "SCI fine powder"


@settings(max_examples=20, deadline=None)
@given(citric=st.floats(0.01, 2.0), more=st.floats(0.01, 1.0))
def test_more_acid_never_raises_the_ph_in_any_draw(citric, more):
    assert np.all(with_citric(citric + more).ph <= with_citric(citric).ph + 1e-9)


def test_splitting_a_material_changes_nothing():
    powder = BOOK.powders["SCI fine powder"]
    parts = [(powder, 0.3), (BOOK.liquids["CAPB 30 %"], 0.2)]
    once = slurry([*parts, (powder, 0.2)], (), BOOK, KNOWN, {})
    split = slurry([*parts, (powder, 0.05), (powder, 0.15)], (), BOOK, KNOWN, {})
    np.testing.assert_allclose(once.ph, split.ph, atol=1e-9)


@pytest.mark.parametrize(
    ("acid", "target"),
    [
        ("citric acid", 5.0),
        ("citric acid", 4.5),
        ("lactic acid 80 %", 5.0),
        ("sodium hydroxide solution 20 %", 7.0),
        ("sodium citrate", 6.0),
    ],
)
def test_the_median_dose_brings_the_slurry_to_its_target(acid, target):
    dose = acid_dose(example(), acid, target)
    assert dose.is_needed
    assert float(dose.after[1.0].value) == pytest.approx(target, abs=0.03)
    slope = [float(dose.after[part].value) for part in DOSES]
    assert slope == sorted(slope, reverse=target < 5.6)
    assert dose.share.low <= dose.share.value <= dose.share.high


def test_the_dose_is_exact_where_nothing_is_in_doubt():
    dose = acid_dose(example(CENTRAL), "citric acid", 5.0)
    percent = 100 * float(dose.share.value)
    assert float(with_citric(percent, CENTRAL).spread.value) == pytest.approx(5.0, abs=2e-3)
    assert percent == pytest.approx(0.246, abs=0.1)


def test_lactic_acid_takes_more_than_citric_and_80_per_cent_more_than_pure():
    citric = acid_dose(example(), "citric acid", 5.0)
    eighty = acid_dose(example(), "lactic acid 80 %", 5.0)
    ninety = acid_dose(example(), "lactic acid 90 %", 5.0)
    assert eighty.share.value > citric.share.value
    assert float(eighty.share.value / ninety.share.value) == pytest.approx(0.9 / 0.8, rel=0.02)


def test_the_monohydrate_is_heavier_by_its_water():
    # 210.14 over 192.12 g/mol, from the formulas.
    assert BOOK.parameters["citric_monohydrate"].si == pytest.approx(210.14 / 192.124, rel=1e-4)
    citric, hydrate, lactic = usual_doses(example(), 5.0)
    assert (citric.material, lactic.material) == ("citric acid", "lactic acid 80 %")
    assert float(hydrate.share.value / citric.share.value) == pytest.approx(1.0938, abs=1e-4)
    assert hydrate.after is citric.after


def test_an_acid_that_cannot_get_there_has_no_dose():
    # Gluconic acid of pKa 3.9 brings no slurry below its own pH, nor lactate below the lactate's.
    for name, target in (("gluconic acid 50 %", 1.0), ("sodium lactate 60 %", 12.0)):
        dose = acid_dose(example(), name, target)
        assert not dose.is_needed
        assert dose.after == {}
        assert np.isfinite([dose.share.low, dose.share.value, dose.share.high]).all()


@pytest.mark.parametrize(
    "name",
    [
        "lactic acid 80 %",
        "lactic acid 90 %",
        "citric acid solution 50 %",
        "gluconic acid 50 %",
        "acetic acid solution 10 %",
        "glycolic acid 70 %",
        "phosphoric acid 85 %",
        "phytic acid 50 %",
        "etidronic acid 60 %",
        "sodium hydroxide solution 20 %",
        "triethanolamine 99 %",
        "arginine solution 10 %",
        "sodium hydroxymethylglycinate 50 %",
    ],
)
def test_an_acid_or_base_by_its_formula_has_the_usual_ph_of_its_solution(name):
    # The usual pH of 10 % solutions is from memory, give or take 0.5.
    material = BOOK.liquids[name]
    found = slurry([(material, 1.0)], (), BOOK, CENTRAL, {})
    assert found.sources[0].basis == "formula"
    assert float(found.spread.value) == pytest.approx(material.ph, abs=0.7)


@pytest.mark.parametrize(
    "name",
    ["tetrasodium glutamate diacetate 47 %", "tetrasodium EDTA 39 %", "trisodium EDDS 30 %"],
)
def test_sodium_salts_of_chelants_are_alkaline(name):
    # Their ions of charge 3 and 4 are beyond the Davies equation at 0.3 mol/kg and more, and they
    # are sold with free alkali: the usual 9.5 to 11.3 (memory) is met to 2 only.
    material = BOOK.liquids[name]
    found = slurry([(material, 1.0)], (), BOOK, CENTRAL, {})
    assert float(found.spread.value) == pytest.approx(material.ph, abs=2.0)
    assert float(found.spread.value) > 7.5


def test_materials_alone_have_a_ph_on_the_scale():
    materials = [*BOOK.powders.values(), *BOOK.liquids.values(), *BOOK.melts.values()]
    for material in materials[::3]:
        found = slurry([(material, 1.0)], (), BOOK, CENTRAL, {})
        assert 0 < float(found.spread.value) < 14.5, material.name


def test_a_slurry_past_its_target_needs_no_dose():
    dose = acid_dose(with_citric(1.0), "citric acid", 6.0)
    assert not dose.is_needed
    assert dose.after == {}


@pytest.mark.parametrize("name", ["glycerin", "cocoa butter", "nothing known"])
def test_what_is_no_acid_is_refused_with_a_sentence(name):
    with pytest.raises(ReadableError, match="no such acid"):
        acid_dose(example(), name, 5.0)


def test_what_preserves_is_the_undissociated_part():
    found = {one.acid: one for one in protection(example())}
    assert set(found) == {"Benzoic Acid", "Sorbic Acid"}
    benzoic = found["Benzoic Acid"]
    # 0.5 % benzoate is 0.42 % acid (122.12 over 144.10), and a little comes with the protein.
    assert 100 * float(benzoic.total.value) == pytest.approx(0.424 + 0.01, abs=0.01)
    assert 0.01 < float(benzoic.undissociated.value) < 0.14
    acid = {one.acid: one for one in protection(with_citric(1.2))}["Benzoic Acid"]
    assert float(acid.undissociated.value) > 0.5
    assert acid.active.value <= acid.total.value


def test_the_cured_bar_has_nearly_the_ph_of_the_dough():
    both = acidity(evaluate(recipe(1), BOOK, KNOWN), 0)
    assert float(both.cured.spread.value) == pytest.approx(float(both.added.spread.value), abs=0.05)
    assert both.cured.per_water > 0
    assert both.cured.groups.content.sum() > both.added.groups.content.sum()


def told(rows):
    return evaluate(recipe_of(rows), BOOK, KNOWN)


def test_an_unknown_main_ingredient_leaves_the_ph_untold_and_says_which():
    base = recipe(1, {"mystery powder": 10.0})
    rows = tuple(
        replace(row, given_class="powder") if row.name == "mystery powder" else row
        for row in base.rows
    )
    result = evaluate(replace(base, rows=rows), BOOK, KNOWN)
    found = acidity(result, 0)
    assert found.missing == ("mystery powder",)
    reading = to_measure(result, 0)["ph"]
    assert reading.value is None
    assert '"mystery powder"' in reading.missing
    assert "measure" in reading.missing


def test_an_unknown_butter_or_a_pinch_of_an_unknown_powder_does_not_matter():
    for name, kind, grams in (("mystery butter", "melt", 10.0), ("mystery powder", "powder", 0.5)):
        base = recipe(1, {name: grams})
        rows = tuple(
            replace(row, phase=kind, given_class=kind) if row.name == name else row
            for row in base.rows
        )
        result = evaluate(replace(base, rows=rows), BOOK, KNOWN)
        assert result.mixture.unknown == (name,)
        assert acidity(result, 0).missing == ()


def test_carbonates_and_lactones_are_said_to_drift():
    drifting = {
        ("powder", "SCI fine powder"): 50.0,
        ("powder", "sodium bicarbonate"): 2.0,
        ("powder", "gluconolactone"): 1.0,
        ("liquid", "CAPB 30 %"): 47.0,
    }
    found = acidity(told(drifting), 0).added.drifts
    assert any("Sodium Bicarbonate" in one and "gas" in one for one in found)
    assert any("Gluconolactone" in one and "falls" in one for one in found)


def test_where_nothing_is_acid_or_base_there_is_no_ph():
    result = told({("melt", "cocoa butter"): 60.0, ("powder", "talc"): 40.0})
    assert acidity(result, 0).why_not
    assert to_measure(result, 0)["ph"].value is None


def test_more_alkaline_glucoside_raises_the_ph():
    glucoside = BOOK.liquids["decyl glucoside 53 %"]
    base = [(BOOK.powders["SCI fine powder"], 0.5), (BOOK.liquids["CAPB 30 %"], 0.1)]
    found = [
        float(slurry([*base, (glucoside, share)], (), BOOK, KNOWN, {}).spread.value)
        for share in (0.001, 0.05, 0.10, 0.2)
    ]
    assert found == sorted(found)
    assert found[-1] > found[0] + 0.5


def test_asking_with_a_declaration_leaves_the_remembered_answer_alone():
    result = evaluate(recipe(1), BOOK, KNOWN)
    before = acidity(result, 0)
    other = acidity_with(result, 0, {"SCI fine powder": 7.0})
    assert other.added.spread.value > before.added.spread.value
    assert acidity(result, 0) is before


def test_a_measured_pH_holds_in_every_draw_and_leaves_only_the_dose_unsure():  # noqa: N802
    result = evaluate(recipe(1), BOOK, KNOWN)
    told = acidity(result, 0)
    read = told.measured(6.2)
    assert read.cured.ph == pytest.approx(6.2, abs=1e-9)
    assert told.cured.ph.std() > 0.1
    assert abs(float(read.added.spread.value) - 6.2) < 0.2
    dose = acid_dose(read.cured, "citric acid", 5.0)
    assert 0 < float(dose.share.low) < float(dose.share.high)
    assert float(dose.after[1.0].value) == pytest.approx(5.0, abs=0.1)
