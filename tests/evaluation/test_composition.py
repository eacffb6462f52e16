"""What is in the bar: every material broken down, summed, mass kept, nothing assumed absent."""

from dataclasses import replace
from decimal import Decimal

import pytest
from bars import recipe, recipe_of
from hypothesis import given
from hypothesis import strategies as st
from made_up import bar, share, supplied, worked_example

from designer import handbook
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.composition import BASES, Loss, compose, composition
from designer.evaluation.evaluate import evaluate, evaluate_knead
from designer.recipe import Row

BOOK = handbook.load()
KNOWN = knowledge.shipped(64)

# Worked out by hand for invented materials; own calculation.
WORKED = {
    "Sodium Cocoyl Isethionate": ("52.000", "55.615"),
    "Aqua": ("13.725", "7.727"),
    "Kaolin": ("9.000", "9.626"),
    "Cetyl Alcohol": ("8.000", "8.556"),
    "Cocamidopropyl Betaine": ("6.000", "6.417"),
    "Theobroma Cacao Seed Butter": ("6.000", "6.417"),
    "Panthenol": ("1.500", "1.604"),
    "Sodium Chloride": ("1.000", "1.070"),
    "Lavandula Angustifolia Oil": ("1.000", "1.070"),
    "Benzyl Alcohol": ("0.860", "0.920"),
    "Tetrasodium Glutamate Diacetate": ("0.235", "0.251"),
    "Citric Acid": ("0.200", "0.214"),
    "Sodium Benzoate": ("0.100", "0.107"),
    "Dehydroacetic Acid": ("0.080", "0.086"),
    "CI 77007": ("0.300", "0.321"),
}


@pytest.mark.parametrize("inci", sorted(WORKED))
def test_the_worked_example_is_met_on_both_bases(inci):
    made = worked_example()
    for basis, told in zip(BASES, WORKED[inci], strict=True):
        typical = made.percent(inci, basis).typical
        assert typical.quantize(Decimal("0.001")) == Decimal(told)


def test_water_of_every_source_stands_on_one_line():
    made = worked_example()
    assert made.find("Aqua").materials == (
        "betaine solution",
        "panthenol solution",
        "preservative blend",
        "chelate solution",
    )


def test_a_share_of_an_oil_has_no_mass_of_its_own():
    found = worked_example().find("Linalool")
    assert found.listed.typical == 0
    assert found.inside.typical == Decimal("0.35")


def test_an_oil_that_is_its_own_entry_counts_once():
    oil = supplied("lemon oil", 2, {"Citrus Limon Peel Oil": 1}, {"Citrus Limon Peel Oil": 1.0})
    assert bar(oil).percent("Citrus Limon Peel Oil", "added").typical == 2


shares_of_two = st.integers(1, 999).map(
    lambda n: {"Aqua": n / 1000, "Panthenol": (1000 - n) / 1000}
)
materials = st.lists(
    st.tuples(st.integers(1, 5000), shares_of_two, st.sampled_from(["lot", "grade", "syrup"])),
    min_size=1,
    max_size=6,
).map(
    lambda rows: [
        supplied(f"{name} {index}", Decimal(cents) / 100, shares)
        for index, (cents, shares, name) in enumerate(rows)
    ]
)


@given(materials, st.integers(-300, 900))
def test_mass_is_kept_on_both_bases(rows, lost):
    made = compose(rows, Loss.weighed(Decimal(lost) / 100))
    added = sum(one.listed.typical for one in made.ingredients.values())
    assert added == pytest.approx(Decimal(100), abs=Decimal("1e-9"))
    water = made.percent("Aqua", "added").typical
    cured = sum(
        made.percent(one.inci, "cured", "listed").typical for one in made.ingredients.values()
    )
    if water >= made.loss.typical:
        assert cured == pytest.approx(Decimal(100), abs=Decimal("1e-9"))


@given(materials, st.integers(1, 99), st.permutations(range(6)))
def test_splitting_or_reordering_materials_changes_nothing(rows, cut, order):
    halves = []
    for index in order:
        if index < len(rows):
            one = rows[index]
            piece = one.percent * cut / 100
            halves += [supplied(one.name, amount) for amount in (piece, one.percent - piece)]
            halves[-2:] = [
                type(one)(**{**vars(one), "percent": half.percent}) for half in halves[-2:]
            ]
    whole, split = compose(rows, None), compose(halves, None)
    assert whole.ingredients.keys() == split.ingredients.keys()
    for key, one in whole.ingredients.items():
        other = split.ingredients[key]
        assert (one.listed, one.inside) == (other.listed, other.inside)
    assert whole.charges.ratio == split.charges.ratio


def test_the_charge_ratio_goes_by_moles_of_the_active():
    """6.67 mmol over 125.7 mmol: 50 g of 85 % at 338 g/mol, 4 g of 80 % at 480 g/mol."""
    anionic = supplied("powder", 50, {})
    cationic = supplied("wax", 4, {})
    made = bar(
        type(anionic)(
            **{
                **vars(anionic),
                "parts": (
                    share("Sodium Cocoyl Isethionate", 0.85, charge="anionic", molar_mass=0.338),
                ),
            }
        ),
        type(cationic)(
            **{
                **vars(cationic),
                "parts": (
                    share("Behentrimonium Methosulfate", 0.8, charge="cationic", molar_mass=0.48),
                ),
            }
        ),
    )
    assert made.charges.ratio[1] == pytest.approx(0.053, abs=5e-4)
    assert made.charges.anionic[1] == pytest.approx(1.257, abs=1e-3)


def test_without_anionic_surfactant_there_is_no_ratio():
    assert bar(supplied("Kaolin", 5)).charges.ratio is None


def test_parts_that_exceed_the_whole_are_refused():
    with pytest.raises(ReadableError) as caught:
        bar(supplied("odd blend", 5, {"Panthenol": 0.7, "Aqua": 0.4}))
    assert "odd blend" in caught.value.title
    assert "110.00 %" in caught.value.problem


@pytest.mark.parametrize("percent", [100, -100])
def test_a_loss_of_all_or_more_is_refused(percent):
    with pytest.raises(ReadableError):
        Loss.weighed(percent)


@pytest.mark.parametrize("key", sorted(BOOK.compositions))
def test_every_material_of_the_handbook_can_be_broken_down(key):
    kind, name = key
    parts = BOOK.compositions[key]
    one = supplied(name, 100, {})
    made = compose([type(one)(**{**vars(one), "parts": parts, "kind": kind})], None)
    total = sum(found.listed.typical for found in made.ingredients.values())
    assert float(total) == pytest.approx(100, abs=0.06)
    for found in made.ingredients.values():
        assert found.all.low <= found.all.typical <= found.all.high


def test_a_recipe_is_broken_down_with_the_loss_of_its_own_drying():
    result = evaluate(recipe(1), BOOK, KNOWN)
    made = composition(result, 0)
    lost = 100 * result.spread(result.lost_water[0, -1]).value
    assert float(made.loss.typical) == pytest.approx(float(lost), abs=1e-3)
    assert made.loss.low < made.loss.typical < made.loss.high
    assert sum(one.listed.typical for one in made.ingredients.values()) == pytest.approx(
        Decimal(100), abs=Decimal("0.05")
    )
    assert composition(result, 0) is made


def test_an_evaluation_up_to_the_knead_knows_no_cured_bar():
    made = composition(evaluate_knead(recipe(1), BOOK, KNOWN), 0)
    assert made.loss is None
    with pytest.raises(ValueError, match="loss"):
        made.percent("Aqua", "cured")


@pytest.mark.parametrize(
    ("inci", "names", "guessed"),
    [
        ("Bellis Perennis Flower Powder", {"Bellis Perennis Flower Powder"}, False),
        ("Mica (and) Iris Powder", {"Mica", "Iris Powder"}, True),
        (None, {"meadow flour"}, False),
    ],
)
def test_an_unlisted_material_is_never_assumed_absent(inci, names, guessed):
    row = Row("powder", "meadow flour", {"1": 4.0}, inci=inci, given_class="powder")
    made = composition(evaluate(recipe(1).add_row(row), BOOK, KNOWN), 0)
    found = {one.inci: one for one in made.ingredients.values() if "meadow flour" in one.materials}
    assert set(found) == names
    assert made.unlisted == ("meadow flour",)
    assert bool(made.nameless) == (inci is None)
    for one in found.values():
        assert bool(one.guessed) == guessed
        assert one.known == (inci is not None)
    if guessed:
        assert found["Mica"].listed.low == 0
        assert found["Mica"].listed.high > Decimal("3.8")


def test_an_oil_taken_into_the_melt_keeps_its_name_on_the_label():
    row = Row("melt", "liquid lecithin", {"1": 1.0})
    made = composition(evaluate(recipe(1).add_row(row), BOOK, KNOWN), 0)
    assert made.find("Lecithin") is not None


def test_an_inci_name_of_several_grades_is_broken_down_like_the_first():
    row = Row(
        "powder", "own powder", {"1": 10.0}, inci="Sodium Cocoyl Isethionate", given_class="powder"
    )
    bare = recipe_of({("powder", "corn starch"): 80.0, ("liquid", "water"): 10.0}).add_row(row)
    made = composition(evaluate(bare, BOOK, KNOWN), 0)
    assert made.find("Coconut Acid") is not None
    assert made.charges.anionic[1] > 0
    assert made.unlisted == ("own powder",)
    assert "the first grade" in made.find("Coconut Acid").source


def test_two_rows_of_one_material_give_the_list_of_one():
    bar_of_one = recipe(1)
    index = next(k for k, row in enumerate(bar_of_one.rows) if row.name == "CAPB 30 %")
    row = bar_of_one.rows[index]
    whole = row.percents["1"]
    split = bar_of_one.with_percent(index, "1", whole / 4).add_row(
        replace(row, percents={"1": whole - whole / 4}, note="another lot")
    )
    first, second = (composition(evaluate(one, BOOK, KNOWN), 0) for one in (bar_of_one, split))
    assert first.ingredients.keys() == second.ingredients.keys()
    for key, one in first.ingredients.items():
        assert float(one.all.typical) == pytest.approx(float(second.ingredients[key].all.typical))
