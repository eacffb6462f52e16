"""A recipe to publish in words: what no dough does is not told of it, amounts only where wished."""

from decimal import Decimal
from pathlib import Path

import pytest

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.evaluation.label_sheet import kept_label
from designer.handbook import law
from designer.recipe import Recipe, Row, file
from designer.wording.recipe_sheet import recipe_sheet

DEMOS = Path(__file__).parents[2] / "demo_recipes"
LAW = law.load()
HANDBOOK, KNOWN = handbook.load(), knowledge.shipped(64)


def sheet(recipe, amounts=True):
    result = evaluate(recipe, HANDBOOK, KNOWN)
    at = recipe.numbers.index(recipe.active.number)
    return recipe_sheet(result, at, kept_label(result, at, LAW), amounts)


@pytest.fixture(scope="module")
def oat():
    return file.read(DEMOS / "oat_bar.toml")


def test_steps_go_from_weighing_to_the_press_in_the_order_of_work(oat):
    told = sheet(oat)
    starts = ("Weigh", "Mask on", "Melt in", "Have the", "Stir into", "Pour", "Knead", "Portion")
    assert len(told.steps) == len(starts)
    for step, start in zip(told.steps, starts, strict=True):
        assert step.startswith(start)
    assert "the room is at 21 °C and 45 % humidity" in told.steps[0]
    assert "8 bars of 100 g" in told.batch


def test_rows_stand_by_phase_and_their_grams_and_percents_add_up(oat):
    told = sheet(oat)
    phases = list(dict.fromkeys(row.phase for row in told.rows))
    assert phases == ["melt", "powder", "liquid", "last"]
    assert sum(Decimal(row.percent) for row in told.rows) == 100
    assert sum(Decimal(row.grams) for row in told.rows) == Decimal(told.total.grams)


def test_without_amounts_none_is_told(oat):
    told = sheet(oat, amounts=False)
    assert told.total is None
    assert told.batch == ""
    assert {row.percent + row.grams + row.ounces for row in told.rows} == {""}
    assert oat.notes not in told.notes


def test_a_dough_that_crumbles_is_not_said_to_come_clean():
    told = sheet(file.read(DEMOS / "dry_clay_bar.toml"))
    knead = next(step for step in told.steps if step.startswith("Knead"))
    assert "crumbles rather than sticks" in knead
    assert "comes clean" not in knead
    assert any("crumbly" in what for _, what in told.feel)


def test_a_dough_that_sticks_tells_how_few_batches_come_clean():
    told = sheet(file.read(DEMOS / "oat_bar_sticky_and_mended.toml").use_variant("1"))
    knead = next(step for step in told.steps if step.startswith("Knead"))
    assert "of 20 such batches come clean" in knead
    assert told.title.endswith("variant 1 sticks") or "variant 1" in told.title


def test_what_is_no_dough_has_no_forecast_and_no_feel():
    told = sheet(Recipe("Flour", rows=(Row("powder", "oat flour", {"1": 100.0}),)))
    assert told.summary.startswith("No forecast")
    assert told.feel == ()
    assert told.cure == "Cure: not known."
    assert told.weight == "Net weight: not stated."
    assert "as no batch is stated" in told.batch
    assert not any("°C" in step and step.startswith("Knead") for step in told.steps)


def test_cautions_name_dust_heat_press_and_the_usual_ones_of_the_label(oat):
    told = " ".join(sheet(oat).cautions)
    for words in ("dust", "burn", "Press: fingers", "Avoid contact with eyes", "10 % slurry"):
        assert words in told
    notes = " ".join(sheet(oat).notes)
    assert f"Tables as of {LAW.as_of}" in notes
    assert "is safe" not in notes + told
