"""Doughs near a recipe against full evaluations of the same doughs."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from designer import handbook
from designer.advice.nearby import Nearby, thinned
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate, evaluate_mixture
from designer.recipe import file

BOOK = handbook.load()
KNOWN = knowledge.shipped()
FOLDER = Path(__file__).parents[2] / "demo_recipes"
DEMOS = ["oat_bar.toml", "oat_bar_sticky_and_mended.toml"]


@cache
def evaluated(name):
    recipe = file.read(FOLDER / name)
    return evaluate(recipe.only(recipe.numbers[0]), BOOK, KNOWN)


def moved_shares(result, change):
    """Shares with one row at a time changed by so much of the dough, all brought back to 1."""
    rows = result.amounts.shares[0]
    points = rows + change * np.eye(rows.size)
    points = points[(points >= 0).all(axis=1)]
    return points / points.sum(axis=1, keepdims=True)


def in_full(result, points):
    mixture = result.mixture.with_shares(points)
    conditions = replace(
        result.conditions, batch_mass=np.full(len(points), float(result.conditions.batch_mass[0]))
    )
    return evaluate_mixture(result.recipe, result.amounts, mixture, conditions, BOOK, KNOWN)


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("change", [0.01, -0.01, 0.03])
def test_a_dough_nearby_is_that_of_the_full_evaluation(name, change):
    result = evaluated(name)
    points = moved_shares(result, change)
    near = Nearby.of(result, 0, draws=KNOWN.draws, days=True)
    found, full = near.forecasts(points), in_full(result, points)
    day = int(np.searchsorted(full.times, 86400.0))
    for one, true in zip(found, full.forecasts, strict=True):
        at = one.log_strength[one.scene.knead] - true.log_strength[true.scene.knead]
        # An error of .05 is a sixth of what one hand differs by from another. Three per cent more
        # of one fat is a doubling; there the slope is only a guide.
        far = abs(one.mixture.melt_shares.sum() - result.mixture.melt_shares.sum()) > 0.02
        assert np.sqrt((at**2).mean()) < (0.12 if far else 0.05)
        assert abs(one.clean_knead_chance - true.clean_knead_chance) < (0.03 if far else 0.02)
        assert np.median(one.firmness[-1] / true.firmness[day]) == pytest.approx(
            1, abs=0.15 if far else 0.05
        )


@pytest.mark.parametrize("name", DEMOS)
def test_the_recipe_itself_is_what_its_evaluation_says(name):
    result = evaluated(name)
    near = Nearby.of(result, 0, draws=KNOWN.draws)
    one = near.forecasts(result.amounts.shares[0])[0]
    np.testing.assert_allclose(
        one.log_strength[one.scene.knead],
        result.forecasts[0].log_strength[result.knead],
        atol=0.01,
    )
    clean = (near.margins(one) >= 0).all(axis=0).any(axis=0)
    np.testing.assert_array_equal(clean, one.clean.astype(bool))


def test_fewer_draws_tell_what_a_change_does():
    result = evaluated("oat_bar_sticky_and_mended.toml")
    points = np.concatenate([result.amounts.shares, moved_shares(result, 0.02)])
    few = Nearby.of(result, 0).chances(points)
    all_draws = Nearby.of(result, 0, draws=KNOWN.draws).chances(points)
    np.testing.assert_allclose(few - few[0], all_draws - all_draws[0], atol=0.06)


def test_thinned_draws_keep_the_weights_they_stand_for():
    heavy = knowledge.Knowledge(np.arange(1000), np.linspace(0, 2, 1000) / 1000, knowledge.BASES[1])
    key = np.arange(1000.0)
    few = thinned(heavy, key, 100)
    assert few.draws == 100
    assert key[few.rows].mean() == pytest.approx(np.vecdot(heavy.weights, key), rel=0.01)


def test_a_dough_is_left_where_it_is_stopped():
    result = evaluated("oat_bar.toml")
    near = Nearby.of(result, 0, stop=lambda: True)
    with pytest.raises(InterruptedError):
        near.chances(result.amounts.shares)
