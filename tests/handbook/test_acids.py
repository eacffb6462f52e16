"""Tables of acids and bases: sourced, joined, with molar masses of their formulas."""

import shutil

import pytest

from designer import handbook
from designer.errors import ReadableError
from designer.handbook import EVIDENCE, acids, places

chemicals = pytest.importorskip("chemicals")

BOOK = handbook.load()
TABLE = acids.load()

FORMULAS = {
    "Citric Acid": "C6H8O7",
    "Trisodium Citrate": "C6H9Na3O9",
    "Lactic Acid": "C3H6O3",
    "Sodium Lactate": "C3H5NaO3",
    "Gluconic Acid": "C6H12O7",
    "Gluconolactone": "C6H10O6",
    "Sodium Gluconate": "C6H11NaO7",
    "Calcium Gluconate": "C12H22CaO14",
    "Zinc Gluconate": "C12H22ZnO14",
    "Acetic Acid": "C2H4O2",
    "Sodium Acetate": "C2H3NaO2",
    "Glycolic Acid": "C2H4O3",
    "Sodium Glycolate": "C2H3NaO3",
    "Malic Acid": "C4H6O5",
    "Tartaric Acid": "C4H6O6",
    "Succinic Acid": "C4H6O4",
    "Benzoic Acid": "C7H6O2",
    "Sodium Benzoate": "C7H5NaO2",
    "Sorbic Acid": "C6H8O2",
    "Potassium Sorbate": "C6H7KO2",
    "Dehydroacetic Acid": "C8H8O4",
    "Sodium Dehydroacetate": "C8H9NaO5",
    "Levulinic Acid": "C5H8O3",
    "Sodium Levulinate": "C5H7NaO3",
    "p-Anisic Acid": "C8H8O3",
    "Sodium Anisate": "C8H7NaO3",
    "Salicylic Acid": "C7H6O3",
    "Sodium Salicylate": "C7H5NaO3",
    "PCA": "C5H7NO3",
    "Sodium PCA": "C5H6NNaO3",
    "Zinc PCA": "C10H12N2O6Zn",
    "Phytic Acid": "C6H18O24P6",
    "Sodium Phytate": "C6H6Na12O24P6",
    "Glutamic Acid Diacetate": "C9H13NO8",
    "Tetrasodium Glutamate Diacetate": "C9H9NNa4O8",
    "EDTA": "C10H16N2O8",
    "Tetrasodium EDTA": "C10H12N2Na4O8",
    "Disodium EDTA": "C10H18N2Na2O10",
    "EDDS": "C10H16N2O8",
    "Trisodium Ethylenediamine Disuccinate": "C10H13N2Na3O8",
    "Etidronic Acid": "C2H8O7P2",
    "Phosphoric Acid": "H3PO4",
    "Carbonic Acid": "CH2O3",
    "Sodium Bicarbonate": "CHNaO3",
    "Sodium Carbonate": "CNa2O3",
    "Calcium Carbonate": "CCaO3",
    "Zinc Oxide": "ZnO",
    "Ammonia": "NH3",
    "Ammonium Sulfate": "H8N2O4S",
    "Triethanolamine": "C6H15NO3",
    "Ethanolamine": "C2H7NO",
    "Diethanolamine": "C4H11NO2",
    "Arginine": "C6H14N4O2",
    "Glycine": "C2H5NO2",
    "Taurine": "C2H7NO3S",
    "Betaine": "C5H11NO2",
    "Creatine": "C4H9N3O2",
    "Niacinamide": "C6H6N2O",
    "Ascorbic Acid": "C6H8O6",
    "Hydroxymethylglycine": "C3H7NO3",
    "Sodium Hydroxymethylglycinate": "C3H6NNaO3",
    "Sodium Hydroxide": "NaOH",
    "Sodium Chloride|Maris Sal": "NaCl",
    "Potassium Chloride": "KCl",
    "Sodium Sulfate": "Na2SO4",
    "Magnesium Sulfate": "MgSO11H14",
    "Magnesium Chloride": "MgCl2O6H12",
    "Magnesium Nitrate": "MgN2O12H12",
    "Sodium Isethionate|Sodium Methyl Isethionate|Sodium Methyltaurate": "C2H5NaO4S",
}
LUMPS = {"Magnesium Carbonate"}
"""No single formula: the usual basic carbonate."""


def masses():
    """Return every molar mass of both tables by the name it stands under."""
    found = {one.name: one.molar_mass for one in TABLE.acids.values() if one.molar_mass}
    for rule in TABLE.rules:
        if rule.molar_mass:
            found["|".join(rule.component)] = rule.molar_mass
    return found


def formula_mass(formula):
    elements = chemicals.elements.simple_formula_parser(formula)
    return chemicals.elements.molecular_weight(elements) / 1000


@pytest.mark.parametrize(("name", "formula"), FORMULAS.items())
def test_molar_mass_is_that_of_the_formula(name, formula):
    lower = {key.casefold(): value for key, value in masses().items()}
    assert lower[name.casefold()] == pytest.approx(formula_mass(formula), rel=1e-3)


def test_every_molar_mass_has_a_formula_here():
    known = {name.casefold() for name in (*FORMULAS, *LUMPS)}
    for name in masses():
        assert name.casefold() in known or name.startswith("Phytic acid, "), name


def test_every_row_has_a_source_and_an_honest_mark():
    for row in (*TABLE.acids.values(), *TABLE.rules):
        assert len(row.source) >= 4, row
        assert row.evidence in EVIDENCE, row
        if "own estimate" in row.source:
            assert row.evidence == "estimate", row
        elif "from memory" in row.source:
            assert row.evidence in ("memory", "estimate"), row


def test_dissociation_goes_on_with_less_and_less_strength():
    for one in TABLE.acids.values():
        steps = [pka for pka in one.pka if pka < acids.NEVER]
        assert steps == sorted(steps), one.name
        assert one.molar_mass or one.content, one.name


def test_every_rule_speaks_of_something_in_the_compositions():
    names = {
        (kind, part.component) for (kind, _), parts in BOOK.compositions.items() for part in parts
    }
    used = {id(rule) for kind, name in names for rule in TABLE.rules_for(kind, name)}
    idle = [rule.component for rule in TABLE.rules if id(rule) not in used]
    assert idle == []


def test_every_acid_is_brought_by_some_rule():
    assert {rule.acid for rule in TABLE.rules if rule.acid} == set(TABLE.acids)


@pytest.mark.parametrize("table", ["powders", "liquids"])
def test_every_surfactant_is_described_and_has_a_ph(table):
    for one in getattr(BOOK, table).values():
        if one.material_class in ("surfactant_powder", "liquid_surfactant", "cationic_liquid"):
            brought = TABLE.brought(one, BOOK)
            assert brought.is_described, one.name
            assert brought.ph is not None, one.name


def test_a_liquid_with_buffers_takes_the_ph_of_its_own_table_before_that_of_its_class():
    betaine = TABLE.brought(BOOK.liquids["CAPB 30 %"], BOOK)
    assert betaine.ph == BOOK.liquids["CAPB 30 %"].ph
    assert betaine.is_declared
    powder = TABLE.brought(BOOK.powders["CAPB powder"], BOOK)
    assert not powder.is_declared


def test_acids_and_salts_of_known_formula_need_no_ph():
    for name in ("lactic acid 80 %", "sodium lactate 60 %", "sodium hydroxide solution 20 %"):
        assert TABLE.brought(BOOK.liquids[name], BOOK).ph is None
    lactate = TABLE.brought(BOOK.liquids["sodium lactate 60 %"], BOOK)
    (lactic,), (sodium,) = lactate.contributions, lactate.ions
    assert sodium.strong == pytest.approx(lactic.content)
    # 60 % of 112.06 g/mol.
    assert lactic.content == pytest.approx(0.6 / 0.11206)


@pytest.mark.parametrize(
    ("kind", "name"), [("melt", "cocoa butter"), ("liquid", "olive oil"), ("powder", "talc")]
)
def test_fats_oils_and_stone_leave_water_alone(kind, name):
    assert TABLE.brought(getattr(BOOK, f"{kind}s")[name], BOOK).is_inert


@pytest.mark.parametrize("name", ["calcium carbonate (ground)", "sodium bicarbonate", "zinc oxide"])
def test_what_goes_on_eating_acid_says_so(name):
    assert TABLE.brought(BOOK.powders[name], BOOK).drifts


@pytest.mark.parametrize(
    ("file", "old", "new", "problem"),
    [
        ("acid_rules.csv", ",Lactic Acid,1,90.078", ",Lactic Acidd,1,90.078", "not in acids.csv"),
        ("acid_rules.csv", ",Lactic Acid,1,90.078", ",Lactic Acid,1,", "Neither"),
        ("acid_rules.csv", ",5.5,0.4,", ",5.5,,", "needs the pH"),
        ("acids.csv", "Lactic Acid,90.078", "Citric Acid,90.078", "in line 2 already"),
        ("acids.csv", "Lactic Acid,90.078", "Lactic Acid,9", "not plausible"),
    ],
)
def test_a_broken_table_is_told_with_its_place(tmp_path, file, old, new, problem):
    shutil.copytree(places.resources() / "acids", tmp_path / "acids")
    path = tmp_path / "acids" / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(ReadableError) as caught:
        acids.load(tmp_path / "acids")
    assert problem in str(caught.value)
    assert file in str(caught.value)
