"""What is printed on a label, in which words; what is told before it is printed."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.assessed import frozen
from designer.evaluation.evaluate import evaluate
from designer.evaluation.label_sheet import kept_label, small_names
from designer.evaluation.letters import small_print, weight_print
from designer.handbook import law
from designer.recipe import file
from designer.recipe.label import Label, LabelFacts
from designer.wording.label_rows import group_head, name_rows
from designer.wording.label_text import label_parts, label_plain, notes_before_print

OAT = Path(__file__).parents[2] / "demo_recipes" / "oat_bar.toml"
LAW = law.load()
FACTS = LabelFacts(
    product="Oat bar",
    batch="261128-OAT-1",
    best_before=date(2028, 11, 28),
    months_open=12,
    responsible="Oat Mill Workshop",
    address="Mill Lane 3\n1234 Brook",
    origin="Brookland",
)


@pytest.fixture(scope="module")
def result():
    return evaluate(file.read(OAT), handbook.load(), knowledge.shipped(64))


@pytest.fixture(scope="module")
def assessed(result):
    recipe = frozen(result.recipe, "1", "R-7", "Ada Green", "2026-11-01")
    at = [row.name for row in recipe.rows].index("water")
    changed = recipe.with_percent(at, "1", 2.5)
    return tuple(evaluate(one, result.handbook, result.knowledge) for one in (recipe, changed))


def sheet(result, **label):
    return kept_label(result, 0, LAW, Label(facts=FACTS, **label))


@pytest.mark.parametrize(
    ("languages", "words"),
    [
        ("en", ("Ingredients: ", "Batch 261128", "Best before: 2028-11-28", "Made in Brookland")),
        ("fr", ("Ingrédients : ", "Lot 261128", "À utiliser de préférence avant : 2028", "12 M")),
        ("en fr", ("Ingredients/Ingrédients: ", "Batch / lot 261128", "Avoid contact", "Éviter")),
    ],
)
def test_words_of_the_label_come_in_the_languages_wished(result, languages, words):
    text = label_plain(sheet(result), languages)
    for one in words:
        assert one in text
    assert ("Avoid contact" in text) == ("en" in languages)
    assert ("Éviter" in text) == ("fr" in languages)


def test_the_label_goes_from_name_and_weight_to_the_one_responsible(result):
    kinds = [part.kind for part in label_parts(sheet(result))]
    assert list(dict.fromkeys(kinds)) == ["product", "weight", "list", "caution", "fact"]
    lines = label_plain(sheet(result)).split("\n")
    assert lines[-4:-1] == ["Oat Mill Workshop", "Mill Lane 3", "1234 Brook"]


def test_pieces_of_the_list_are_marked_with_their_group_and_make_the_list(result):
    one = sheet(result)
    part = next(part for part in label_parts(one) if part.kind == "list")
    assert part.text.endswith(f"{one.ingredients.text}.")
    small = [words for words, tag in part.pieces if tag == "small"]
    assert small == [entry.name for entry in one.ingredients.of("small")]


def test_a_label_outside_the_assessed_formula_carries_it_first(assessed):
    same, changed = (sheet(one) for one in assessed)
    assert "hold" not in [part.kind for part in label_parts(same)]
    assert label_parts(changed)[0].text == "Outside the assessed formula: hold"
    assert any("until a named person releases" in note for note in notes_before_print(changed))


def test_notes_tell_heights_with_their_source_and_never_part_a_figure_from_its_unit(result):
    told = " ".join(notes_before_print(sheet(result, market="US")))
    assert "1.6\xa0mm, small letters (1/16 in: 21 CFR 701.3(b))" in told
    assert "the area of the panel is not stated" in told
    assert " %" not in told.replace("\xa0%", "")


def test_rows_have_percents_on_both_bases_and_mark_what_stands_elsewhere(result):
    rows = {one.name: one for one in name_rows(sheet(result))}
    assert rows["Linalool"].note == "allergen"
    # Of water and cetearyl alcohol, which change places, one is told to move.
    assert rows["Aqua"].moves or rows["Cetearyl Alcohol"].moves
    assert not rows["Kaolin"].moves
    assert float(rows["Kaolin"].cured) == pytest.approx(4 / (1 - 0.06), rel=0.01)
    assert group_head("small", "CA").startswith("at or below 1 %")
    assert group_head("small", "EU").startswith("below 1 %")


def test_heights_go_by_digits_and_in_the_united_states_by_small_letters(result):
    # Dir 76/211/EEC Annex I from memory: up to 200 g 3 mm. 21 CFR 701.13(i): 5 to 25 square inches
    # 1/8 in; 40 cm2 are 6.2 square inches.
    assert (weight_print(sheet(result)).millimetres, weight_print(sheet(result)).by) == (
        3,
        "digits",
    )
    facts = replace(FACTS, panel=Decimal(40))
    american = kept_label(result, 0, LAW, Label("US", facts=facts))
    assert weight_print(american).millimetres == Decimal("3.175")
    assert weight_print(american).by == "small letters"
    assert small_print("US").millimetres >= Decimal("1.5875")
    assert not small_print("EU").known


def test_a_kept_order_passes_over_strangers_and_finds_a_place_for_the_new(result):
    made = sheet(result).made
    by_weight = small_names(made, LAW, "EU", "added", ())
    assert by_weight == tuple(one.name for one in sheet(result).ingredients.of("small"))
    order = ("Linalool", "Moon Dust", "Citric Acid", "Benzyl Alcohol")
    found = small_names(made, LAW, "EU", "added", order)
    assert sorted(found) == sorted(by_weight)
    wished = [name for name in found if name in order]
    assert wished == ["Linalool", "Citric Acid", "Benzyl Alcohol"]
    assert found.index("Tocopherol") == found.index("Linalool") + 1


def test_the_basis_is_as_added_where_the_loss_is_not_known(result):
    dry = result.recipe.with_rows(
        row for row in result.recipe.rows if row.phase == "powder" or row.name == "cocoa butter"
    )
    found = evaluate(dry, result.handbook, result.knowledge)
    one = kept_label(found, 0, LAW, Label(basis="cured"))
    assert one.basis == ("added" if one.made.loss is None else "cured")
