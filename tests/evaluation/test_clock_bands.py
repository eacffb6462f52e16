"""Bands of the dough clock: cuts ascend and belong to the states; the dough's part ends rightly."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from designer import handbook as handbooks
from designer.evaluation import knowledge as knowledges
from designer.evaluation.clock_bands import dough_cuts, dough_until, may_crumble
from designer.evaluation.evaluate import evaluate
from designer.evaluation.readings import state
from designer.recipe import file

DEMOS = Path(__file__).parents[2] / "demo_recipes"
HANDBOOK = handbooks.load()


def opened(name, **bench):
    recipe = file.read(DEMOS / f"{name}.toml")
    if bench:
        recipe = replace(recipe, bench=replace(recipe.bench, **bench))
    return evaluate(recipe, HANDBOOK, knowledges.shipped())


@pytest.fixture(scope="module")
def oat():
    return opened("oat_bar_sticky_and_mended")


@pytest.mark.parametrize("name", sorted(path.stem for path in DEMOS.glob("*.toml")))
def test_cuts_ascend_in_every_demo_recipe(name):
    result = opened(name)
    for variant in range(len(result.recipe.variants)):
        cuts = dough_cuts(result, variant)
        assert list(cuts) == sorted(cuts)
        assert cuts[0] == pytest.approx(3e3)
        assert cuts[2] == pytest.approx(45e3)


def test_tack_and_crumbling_are_the_medians_of_the_draws_at_the_knead(oat):
    _, tack, _, crumble = dough_cuts(oat, 1)
    # Equal weights, so the median of 512 is the mean of the two in the middle.
    middle = np.sort(oat.tack_cut[1, oat.knead])[255:257].mean()
    assert tack == pytest.approx(np.exp(middle))
    assert crumble == pytest.approx(np.exp(np.sort(oat.crumble_cut[1, oat.knead])[255:257].mean()))


def test_the_dough_is_shown_until_it_must_be_pressed(oat):
    assert dough_until(oat, 1) == oat.marks["press_before"].value[1]
    assert 3600 < dough_until(oat, 1) < 3 * 3600


def test_one_hour_is_shown_of_a_dough_that_fewer_than_half_of_the_batches_make_clean(oat):
    assert oat.marks["press_before"].share[0] < 0.5
    assert dough_until(oat, 0) == 3600


def test_one_hour_is_shown_of_a_dough_that_stays_workable_for_longer_than_three():
    cold = opened("soft_fats_cold_room")
    assert cold.marks["press_before"].value[0] > 3 * 3600
    assert dough_until(cold, 0) == 3600


def test_a_dough_is_shown_through_all_of_the_kneading_window():
    soon = opened("swelling_clay_bar")
    assert soon.marks["press_before"].value[0] < soon.conditions.window[1]
    assert dough_until(soon, 0) == soon.conditions.window[1] == 1200
    late = opened("oat_bar", knead=(300.0, 5400.0))
    assert dough_until(late, 0) >= 5400


@pytest.mark.parametrize("name", sorted(path.stem for path in DEMOS.glob("*.toml")))
def test_a_dough_that_crumbles_is_among_those_that_may(name):
    result = opened(name)
    count = int(result.window[-1]) + 1
    for variant in range(len(result.recipe.variants)):
        may = may_crumble(result, variant, count)
        crumbly = [state(result, variant, at) == "crumbly" for at in range(count)]
        assert may.shape == (count,)
        assert not (np.array(crumbly) & ~may).any()


def test_a_sticky_dough_is_known_not_to_crumble_and_a_dry_one_may(oat):
    assert not may_crumble(oat, 0, 22).any()
    assert may_crumble(opened("dry_clay_bar"), 0, 22).any()
