"""Formulas as assessed or released, in the file of a recipe."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from designer.errors import ReadableError
from designer.recipe import Assessed, Part, file
from designer.vocabulary import PHASES

from .strategies import NAMES, PERCENTS, STRANGE, recipes

FORMULA = (Part("melt", "cocoa butter", "Theobroma Cacao Seed Butter", 6.0),)
ONE = Assessed("R 14", "A. Assessor", "2026-11-28", "1", FORMULA)
FILLED = STRANGE.filter(str.strip)
FORMULAS = st.builds(
    Assessed,
    FILLED,
    FILLED,
    st.dates().map(str).filter(lambda day: len(day) == 10),
    st.sampled_from(["", "1", "12"]),
    st.lists(
        st.builds(Part, st.sampled_from(PHASES), NAMES, st.one_of(st.just(""), STRANGE), PERCENTS),
        min_size=1,
        max_size=3,
    ).map(tuple),
)
TEXT = """format = 1
name = "Oat bar"

[[row]]
phase = "powder"
name = "oat flour"   # fine
percent = 10.0

[[assessed]]
report = "R 1"   # in the red folder
name = "A. Assessor"
date = 2026-01-31
formula = [ { phase = "powder", name = "oat flour", percent = 10.0 } ]
"""


@settings(max_examples=25, suppress_health_check=list(HealthCheck))
@given(recipes(strange=True, most_rows=2), st.lists(FORMULAS, max_size=2), FORMULAS)
def test_formulas_come_back_from_a_new_file_and_from_a_changed_one(recipe, assessed, released):
    with_them = recipe.with_assessed(*assessed).with_released(released)
    assert file.parse(file.text(with_them)) == with_them
    read = file.parse(file.text(recipe))
    changed = read.with_assessed(*assessed).with_released(released)
    text = file.text(changed)
    assert file.parse(text) == changed
    assert file.parse(text).unknown == ()
    assert text.startswith(read.source.rstrip("\n"))


def test_a_formula_that_is_added_or_released_changes_no_line_that_was_there():
    recipe = file.parse(TEXT)
    assert recipe.assessed[0].date == "2026-01-31"
    grown = recipe.with_assessed(*recipe.assessed, ONE).with_released(ONE)
    text = file.text(grown)
    assert text.startswith(TEXT)
    assert file.parse(text) == grown
    without = file.parse(text).with_assessed(ONE)
    assert "red folder" not in file.text(without)
    assert "# fine" in file.text(without)
    back = file.parse(text).with_assessed(*recipe.assessed).with_released()
    assert file.text(back) == TEXT


def test_a_row_added_beside_a_formula_stands_among_the_rows():
    recipe = file.parse(TEXT)
    text = file.text(recipe.add_row(replace(recipe.rows[0], name="kaolin")))
    assert text.index("kaolin") < text.index("[[assessed]]")


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('report = "R 1"', 'report = " "', "no number of the report"),
        ('name = "A. Assessor"', "", "no name of a person"),
        ("2026-01-31", '"2026-02-31"', '"2026-02-31" is not a day'),
        ("2026-01-31", '"soon"', '"soon" is not a day'),
        ('name = "oat flour", percent = 10.0 }', 'name = "oat flour" }', "has no percent"),
        ("percent = 10.0 }", 'percent = "q.s." }', "cannot be q.s."),
        ("[ { phase", "[ 1, { phase", "not a list of ingredients"),
        ('{ phase = "powder", name = "oat flour", percent = 10.0 }', "", "has no ingredient"),
        ('{ phase = "powder"', '{ phase = "moon"', "not a phase"),
    ],
)
def test_what_is_wrong_with_a_formula_is_told_with_its_line(old, new, problem):
    assert old in TEXT
    with pytest.raises(ReadableError) as caught:
        file.parse(TEXT.replace(old, new), "oat.toml")
    assert problem in str(caught.value)
    assert "oat.toml, line 9" in caught.value.title


def test_an_unknown_key_of_a_formula_is_told_and_kept():
    recipe = file.parse(TEXT.replace("formula =", 'moon = "full"\nformula ='))
    assert recipe.unknown == ("assessed 1, moon",)
    assert "moon" in file.text(recipe.with_released(ONE))
