"""A variant against what was assessed: which rows differ, what is held, who released it."""

from dataclasses import replace

import pytest

from designer.errors import ReadableError
from designer.evaluation.assessed import assessed_difference, formula_of, frozen, release
from designer.recipe import QS, Recipe, Row, Variant
from designer.wording.assessed import HOLD, difference_lines, hold_words, standing_words


@pytest.fixture
def recipe():
    made = Recipe(
        variants=(Variant("1", active=True), Variant("2")),
        rows=(
            Row("melt", "cocoa butter", {"1": 6.0, "2": 7.0}, "Theobroma Cacao Seed Butter"),
            Row("powder", "SCI, fine powder", {"1": QS, "2": QS}),
            Row("liquid", "water", {"1": 10.0, "2": 10.0}),
            Row("last", "sodium benzoate", {"1": 0.0015, "2": 0.0015}),
        ),
    )
    return frozen(made, "1", "R 14", "A. Assessor", "2026-11-28")


def changes(recipe, number="1"):
    found = assessed_difference(recipe, number)
    return [(one.name, one.kind) for one in found.changes]


def test_the_formula_has_a_figure_in_place_of_qs_and_sums_to_the_whole(recipe):
    formula = formula_of(recipe, "1")
    assert formula[1].percent == pytest.approx(100 - 16.0015)
    assert sum(part.percent for part in formula) == pytest.approx(100)


def test_a_variant_as_assessed_is_not_held(recipe):
    found = assessed_difference(recipe, "1")
    assert not found.is_outside
    assert not found.is_held
    assert hold_words(found) == ""
    assert "R 14 of 28 November 2026, A. Assessor" in standing_words(found)


def test_every_row_that_differs_is_listed_and_the_variant_is_held(recipe):
    changed = recipe.with_percent(0, "1", 6.5)
    assert changes(changed) == [("cocoa butter", "more"), ("SCI, fine powder", "less")]
    assert hold_words(assessed_difference(changed, "1")) == HOLD
    assert difference_lines(assessed_difference(changed, "1")) == (
        ("cocoa butter", "6.00 % → 6.50 %"),
        ("SCI, fine powder", "83.9985 % → 83.4985 %"),
    )


def test_a_trace_of_preservative_counts(recipe):
    changed = recipe.with_percent(3, "1", 0.0014)
    assert ("sodium benzoate", "less") in changes(changed)
    assert ("sodium benzoate", "0.0015 % → 0.0014 %") in difference_lines(
        assessed_difference(changed, "1")
    )


def test_a_stand_in_an_ingredient_left_out_a_moved_one_and_another_inci_name_are_differences(
    recipe,
):
    swapped = recipe.with_row(0, replace(recipe.rows[0], name="mango butter"))
    assert changes(swapped) == [("cocoa butter", "left out"), ("mango butter", "new")]
    moved = recipe.with_row(3, replace(recipe.rows[3], phase="liquid"))
    assert changes(moved) == [("sodium benzoate", "moved")]
    named = recipe.with_row(0, replace(recipe.rows[0], inci="Mangifera Indica Seed Butter"))
    assert changes(named) == [("cocoa butter", "inci")]
    for one in (swapped, moved, named):
        assert assessed_difference(one, "1").is_held


def test_order_of_rows_splitting_a_row_and_the_total_are_no_difference(recipe):
    assert changes(recipe.move_row(0, 2)) == []
    split = recipe.with_percent(0, "1", 4.0).add_row(
        Row("melt", "Cocoa  butter", {"1": 2.0}, "Theobroma Cacao Seed Butter")
    )
    assert changes(split) == []


def test_another_variant_is_held_against_what_was_assessed_until_it_is_assessed_itself(recipe):
    assert changes(recipe, "2") == [("cocoa butter", "more"), ("SCI, fine powder", "less")]
    own = frozen(recipe, "2", "R 15", "A. Assessor", "2026-12-01")
    assert assessed_difference(own, "2").assessed.report == "R 15"
    assert not assessed_difference(own, "2").is_outside
    assert not assessed_difference(own, "1").is_outside
    back = own.with_percent(0, "2", 6.0)
    assert not assessed_difference(back, "2").is_outside


def test_a_release_holds_for_the_very_formula_it_was_given_for(recipe):
    changed = recipe.with_percent(0, "1", 6.5)
    free = release(changed, "1", "B. Keeper", "2026-12-02")
    found = assessed_difference(free, "1")
    assert found.is_outside
    assert not found.is_held
    assert "released by B. Keeper on 2 December 2026" in standing_words(found)
    assert assessed_difference(free.with_percent(0, "1", 6.6), "1").is_held
    assert not assessed_difference(free.with_percent(0, "1", 6.5), "1").is_held


def test_nothing_is_told_where_nothing_was_assessed_or_nothing_is_in_it(recipe):
    assert assessed_difference(replace(recipe, assessed=()), "1") is None
    assert "No formula" in standing_words(None)
    assert assessed_difference(recipe.add_variant(), "3") is None


@pytest.mark.parametrize(
    ("report", "name", "date", "told"),
    [
        ("", "A", "2026-11-28", "number of the report"),
        ("R", " ", "2026-11-28", "name of a person"),
        ("R", "A", "28.11.2026", "is not a day"),
    ],
)
def test_a_formula_is_not_frozen_without_report_person_and_day(recipe, report, name, date, told):
    with pytest.raises(ReadableError) as caught:
        frozen(recipe, "1", report, name, date)
    assert told in str(caught.value)
    with pytest.raises(ReadableError):
        release(recipe, "1", "", "2026-11-28")


def test_no_words_say_that_it_is_safe_or_compliant(recipe):
    changed = recipe.with_percent(0, "1", 6.5)
    free = release(changed, "1", "B. Keeper", "2026-12-02")
    told = " ".join(
        standing_words(assessed_difference(one, "1")) for one in (recipe, changed, free)
    ).lower()
    assert "safe" not in told
    assert "complian" not in told
