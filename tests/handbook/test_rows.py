"""Every row of every table: sourced, marked honestly, plausible, and joined to the others."""

import csv
import re

import pytest

from designer import handbook
from designer.handbook import EVIDENCE, acids, law, places
from designer.handbook.book import weaker
from designer.vocabulary import MATERIAL_KINDS, PHASES, UNITS

BOOK = handbook.load()
MATERIALS = [*BOOK.powders.values(), *BOOK.liquids.values(), *BOOK.melts.values()]
TABLES = {
    name: list(getattr(BOOK, name).values())
    for name in (
        "powders",
        "liquids",
        "melts",
        "components",
        "holders",
        "uptake_classes",
        "ranges",
        "roles",
        "parameters",
    )
}
TABLES["compositions"] = [part for parts in BOOK.compositions.values() for part in parts]
TABLES["holding_rules"] = list(BOOK.holding_rules)
TABLES["unknowns"] = list(BOOK.unknowns.values())


@pytest.mark.parametrize("table", TABLES)
def test_every_row_has_a_source_and_a_mark(table):
    for row in TABLES[table]:
        assert len(row.source) >= 4, row
        assert row.evidence in EVIDENCE, row


def own_words(source):
    """Return the weakest mark that a source text gives itself."""
    text = source.lower()
    if re.search(r"\bestimate|\bown (check|choice|calculation|fit)|\bx0\.\d", text):
        return "estimate"
    return "memory" if "from memory" in text else "measured"


@pytest.mark.parametrize("table", sorted(TABLES.keys() - {"parameters"}))
def test_no_mark_is_stronger_than_the_source_says(table):
    for row in TABLES[table]:
        assert weaker(row.evidence, own_words(row.source)) == row.evidence, (row.source, row)


def test_no_parameter_is_marked_stronger_than_its_source_says():
    for name, one in BOOK.parameters.items():
        if one.source.startswith(("Own", "Common practice")):
            assert one.evidence == "estimate", name
        if "from memory" in one.source and one.evidence == "published":
            assert "(" in one.source, name


def test_nothing_claims_to_be_measured_by_us():
    for rows in TABLES.values():
        assert all(row.evidence != "measured" for row in rows)


def test_no_source_or_note_points_to_a_file_of_the_house():
    for rows in TABLES.values():
        for row in rows:
            text = f"{row.source} {getattr(row, 'note', '')} {getattr(row, 'definition', '')}"
            assert not re.search(r"\.(md|csv|toml)\b", text), text


def test_units_of_parameters_and_columns_are_known():
    assert all(one.unit in UNITS for one in BOOK.parameters.values())
    for columns in BOOK.columns.values():
        for name, column in columns.items():
            assert column.unit is None or column.unit in UNITS, name
            assert column.choices or column.unit or column.optional or name == "recipe", name


def test_every_number_column_states_its_doubt_and_its_origin():
    for table, columns in BOOK.columns.items():
        for name, column in columns.items():
            if column.unit is not None:
                assert column.sd > 0, (table, name)
                assert column.spread in ("factor", "difference"), (table, name)
                assert column.source, (table, name)
                assert column.evidence in EVIDENCE, (table, name)
                assert column.low < column.high, (table, name)


@pytest.mark.parametrize("powder", BOOK.powders.values(), ids=lambda one: one.name)
def test_powder_is_plausible(powder):
    assert powder.active_fraction + powder.moisture_fraction <= 1
    assert powder.bulk_density < powder.true_density
    for uptake, density in ((powder.uptake_polar, 1000.0), (powder.uptake_oil, 920.0)):
        # Voids of a heap of grains, and what swells in them: nothing packs tighter than 92 %.
        packed = 1 / (1 + uptake / density * powder.true_density)
        assert 0.1 < packed < 0.93
    is_charged = powder.surfactant_charge in ("anionic", "cationic")
    assert is_charged == bool(powder.charge_number)
    assert (powder.molar_mass is None) == (powder.surfactant_charge == "")
    if powder.material_class == "surfactant_powder":
        assert powder.active_fraction >= 0.6
        assert powder.surfactant_charge
    if powder.material_class in ("clay", "mineral", "starch"):
        assert powder.solubility <= 0.6


@pytest.mark.parametrize("liquid", BOOK.liquids.values(), ids=lambda one: one.name)
def test_liquid_is_plausible(liquid):
    parts = (
        liquid.active_fraction
        + liquid.water_fraction
        + liquid.glycol_fraction
        + liquid.salt_fraction
        + liquid.oil_fraction
    )
    assert parts == pytest.approx(1, abs=1e-9)
    assert liquid.ph is not None or liquid.oil_fraction > 0.4
    if liquid.material_class == "oil":
        assert liquid.oil_fraction >= 0.4
        assert liquid.density <= 1150
    if liquid.material_class == "liquid_surfactant":
        assert liquid.surfactant_charge
        assert liquid.active_fraction >= 0.2
    if liquid.surfactant_charge:
        assert liquid.molar_mass is not None
        assert liquid.charge_number is not None


@pytest.mark.parametrize("melt", BOOK.melts.values(), ids=lambda one: one.name)
def test_melt_is_plausible(melt):
    assert sum(share for _, share in melt.components) == pytest.approx(1, abs=1e-9)
    assert len(dict(melt.components)) == len(melt.components)
    assert melt.melting_low < melt.melting_high
    points = [melt.sfc[degree] for degree in sorted(melt.sfc)]
    assert points == sorted(points, reverse=True)
    # A material melts where its components do, eutectics and the rest of a lump apart.
    melting = [BOOK.components[name].melting_point for name, _ in melt.components]
    assert melt.melting_high > min(melting) - 15
    assert melt.melting_low < max(melting) + 15


def test_every_component_is_used_and_fresh_crystals_are_the_weaker_ones():
    used = {
        name
        for melt in [*BOOK.melts.values(), BOOK.unknowns["melt"]]
        for name, _ in melt.components
    }
    # Three pure compounds stand there for published eutectics alone.
    assert set(BOOK.components) - used <= {"FA_C8", "FA_C10", "HC_C31"}
    assert used <= set(BOOK.components)
    for one in BOOK.components.values():
        assert one.fresh_heat_factor <= 1
        assert (one.fresh_shift > 0) <= (one.fresh_heat_factor < 1)
        assert f"lag_{one.kinetic_class}" in BOOK.parameters
        # Trouton-like bound: entropy of fusion of chains, J/(mol K).
        assert 50 < one.heat_of_fusion / one.melting_point < 800


def test_a_material_in_two_tables_is_the_same_material():
    both = BOOK.liquids.keys() & BOOK.melts.keys()
    assert len(both) >= 18
    for name in both:
        assert BOOK.liquids[name].inci == BOOK.melts[name].inci
        assert BOOK.liquids[name].density == pytest.approx(BOOK.melts[name].density, rel=1e-9)
    assert not BOOK.powders.keys() & (BOOK.liquids.keys() | BOOK.melts.keys())


def test_no_oil_has_two_names_in_the_two_tables():
    melts = {melt.inci: melt.name for melt in BOOK.melts.values() if melt.material_class == "oil"}
    for liquid in BOOK.liquids.values():
        if liquid.material_class == "oil" and liquid.inci in melts:
            assert melts[liquid.inci] == liquid.name


@pytest.mark.parametrize("key", BOOK.compositions, ids=str)
def test_composition_adds_up(key):
    parts = BOOK.compositions[key]
    named = [part for part in parts if part.level == 1]
    assert sum(part.typical for part in named) == pytest.approx(1, abs=0.011)
    for part in parts:
        assert part.low <= part.typical <= part.high
        assert (part.level == 2) == bool(part.parent)
        assert not part.parent or part.parent in {one.component for one in named}
    # An oil is its own fragrance allergen; the substances in it are the rest.
    within = sum(part.typical for part in parts if part.level == 2 and part.typical < 1)
    assert within <= 1


@pytest.mark.parametrize("kind", ["powder", "liquid"])
def test_active_of_a_composition_is_that_of_the_table(kind):
    table = BOOK.powders if kind == "powder" else BOOK.liquids
    for name, material in table.items():
        charged = [part for part in BOOK.compositions[kind, name] if part.charge]
        if len(charged) == 1 and material.surfactant_charge:
            assert charged[0].charge == material.surfactant_charge, name
            assert charged[0].molar_mass == material.molar_mass, name
            assert charged[0].charge_number == material.charge_number, name


def test_roles_join_and_are_plausible():
    for (kind, name), role in BOOK.roles.items():
        assert kind in MATERIAL_KINDS
        assert 0 <= role.use_low < role.use_high <= 1, name
        assert role.roles, name
        assert all(role.roles), name
    sulfates = {name for (_, name), role in BOOK.roles.items() if role.sulfate_free == "no"}
    assert {"SLS powder", "SCS granules", "SLES 27 %", "ALS 28 %"} <= sulfates
    assert "SCI fine powder" not in sulfates


@pytest.mark.parametrize(
    "word",
    [
        "goat milk",
        "honey",
        "silk",
        "keratin",
        "collagen",
        "beeswax",
        "lanolin",
        "carmine",
        "egg yolk",
    ],
)
def test_what_comes_from_animals_is_not_vegan(word):
    names = [key for key in BOOK.roles if word in key[1]]
    assert names
    assert all(BOOK.roles[key].vegan == "no" for key in names), names


@pytest.mark.parametrize(
    ("word", "allergen"),
    [
        ("wheat", "wheat"),
        ("barley", "gluten"),
        ("goat milk", "milk"),
        ("whey", "milk"),
        ("caseinate", "milk"),
        ("soy ", "soy"),
        ("peanut", "peanut"),
        ("sesame", "sesame"),
        ("hazelnut", "nut"),
        ("macadamia", "nut"),
        ("lupin", "lupin"),
        ("egg yolk", "egg"),
    ],
)
def test_what_allergic_people_must_know_is_flagged(word, allergen):
    names = [key for key in BOOK.roles if word in key[1]]
    assert names
    assert all(allergen in BOOK.roles[key].allergen for key in names), names


def test_known_good_ranges_are_ordered():
    for one in BOOK.ranges.values():
        assert one.low <= one.typical <= one.high
        assert one.low < one.high
        assert one.unit in UNITS
        assert one.definition


def test_usual_recipes_are_whole_and_lie_in_the_ranges_of_usual_practice():
    for recipe in BOOK.practice:
        assert sum(percent for _, _, percent in recipe) == pytest.approx(100, abs=0.05)
        assert len({(phase, name) for phase, name, _ in recipe}) == len(recipe)
        assert all(phase in PHASES and percent >= 0 for phase, _, percent in recipe)
        sums = {
            "surfactant powder": 0.0,
            "melt phase": 0.0,
            "liquid surfactant": 0.0,
            "starch": 0.0,
        }
        for phase, name, percent in recipe:
            kind = BOOK.find(name, phase).material_class
            if kind in ("surfactant_powder", "liquid_surfactant", "starch"):
                sums[kind.replace("_", " ")] += percent
            if phase == "melt":
                sums["melt phase"] += percent
        for quantity, total in sums.items():
            one = BOOK.ranges[quantity]
            assert one.low - 1 <= total <= one.high + 1.5, quantity


def test_every_class_of_powder_has_its_pace_of_uptake():
    assert {powder.material_class for powder in BOOK.powders.values()} < set(BOOK.uptake_classes)


def test_corrections_are_listed_with_their_reason_and_applied():
    path = places.resources() / "corrections.csv"
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) >= 18
    for row in rows:
        assert len(row["why"]) > 20
        assert row["old"] != row["new"]
        if row["table"] == "use_limits":
            rules = [one for one in law.load().use_limits if one.name == row["name"]]
            assert all(getattr(one, row["column"]) == (row["new"] == "yes") for one in rules)
        elif row["table"] == "acids":
            now = getattr(acids.load().acids[row["name"]], row["column"])
            assert now == pytest.approx(float(row["new"]), rel=1e-12)
        elif row["column"] == "name":
            assert row["new"] in getattr(BOOK, row["table"])
            assert row["old"] not in getattr(BOOK, row["table"])
        else:
            now = BOOK.number(row["table"], row["name"], row["column"]).value
            assert now == pytest.approx(float(row["new"]), rel=1e-12)
