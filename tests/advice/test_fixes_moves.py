"""The closed form of the least change, and the room a recipe leaves to be moved in."""

from functools import lru_cache

import numpy as np
import pytest
from advice.wild_bars import book, drawn, known
from bars import grams
from evaluation.test_stand_in import Bench
from hypothesis import given
from hypothesis import strategies as st

from designer.advice.moves import Room, changed, least_change, moves_of
from designer.evaluation.evaluate import evaluate_knead
from designer.recipe import QS, resolve

# Rows that may move, and the change that brings the second bar to 21.0 kPa at ten minutes [g per
# 100 g], as the reference of the stand-in model prints it (own calculation, independent of ours).
PRINTED = {
    "CAPB 30 %": -2.43,
    "glycerin": -0.24,
    "SCI fine powder": 3.03,
    "SLSA powder": 0.36,
    "corn starch": 0.10,
    "shea butter, West African": -0.22,
    "cocoa butter": -0.39,
    "cetyl alcohol (95 %+)": -0.22,
}
AT_TEN = 3
STEP = 0.02


@lru_cache(maxsize=1)
def scale():
    """Grams of the bar as weighed per gram of 100 g of it."""
    return sum(grams(2).values()) / 100


def log_kpa(change):
    """Return ln strength [kPa] at ten minutes of the second bar changed by grams per 100 g."""
    extra = {name: gram * scale() for name, gram in zip(PRINTED, change, strict=True)}
    return float(Bench(2, extra).dough().log_strength[AT_TEN, 0]) - np.log(1000)


def gradient(change):
    found = []
    for row in range(len(PRINTED)):
        more, less = change.copy(), change.copy()
        more[row] += STEP
        less[row] -= STEP
        found.append((log_kpa(more) - log_kpa(less)) / (2 * STEP))
    return np.array(found)


def masses():
    by_name = {name: gram for (_, name), gram in grams(2).items()}
    return np.array([by_name[name] / scale() for name in PRINTED])


def test_the_second_bar_is_brought_to_21_kpa_by_the_printed_moves():
    have = masses()
    change = least_change(
        0.0,
        np.zeros_like(have),
        0.1 * have + 0.2,
        have,
        np.log(21.0),
        at=lambda moved: (log_kpa(moved), gradient(moved)),
    )
    np.testing.assert_allclose(change, list(PRINTED.values()), atol=0.015)
    assert change.sum() == pytest.approx(0, abs=1e-9)
    assert np.exp(log_kpa(change)) == pytest.approx(21.0, rel=0.005)


def test_the_least_change_meets_a_linear_target_and_no_other_does_it_more_easily():
    random = np.random.default_rng(7)
    slopes, ease = random.normal(size=9), random.uniform(0.2, 3, 9)
    have = np.full(9, 50.0)
    change = least_change(1.0, slopes, ease, have, 2.0)
    assert change.sum() == pytest.approx(0, abs=1e-9)
    assert slopes @ change == pytest.approx(1.0)
    cost = ((change / ease) ** 2).sum()
    free = np.linalg.svd(np.stack([slopes, np.ones(9)]))[2][2:]
    for _ in range(50):
        other = change + free.T @ random.normal(size=7)
        assert ((other / ease) ** 2).sum() >= cost


def test_a_row_without_ease_stays_and_none_falls_below_zero():
    ease = np.array([1.0, 1.0, 0.0, 1.0])
    have = np.array([0.1, 5.0, 5.0, 5.0])
    change = least_change(0.0, np.array([-3.0, 1.0, 9.0, 2.0]), ease, have, 40.0)
    assert change[2] == 0
    assert (have + change >= 0).all()


@lru_cache(maxsize=1)
def room():
    return Room.of(evaluate_knead(drawn(4), book(), known()), 0)


ROWS = st.integers(0, 15)


@given(ROWS, ROWS, st.floats(0.0, 0.999))
def test_within_reach_every_limit_holds_and_beyond_it_one_is_broken(down, up, part):
    here = room()
    direction = np.zeros_like(here.percents)
    direction[down] -= 1.0
    direction[up] += 1.0
    if down == up:
        return
    far, limit = here.reach(here.percents, direction)
    assert np.isfinite(far)

    def broken(percents):
        shares = percents / percents.sum()
        return [
            one
            for one in here.limits
            if not one.low - 1e-7 <= one.weights @ shares <= one.high + 1e-7
        ] + [None] * bool((percents < -1e-9).any())

    assert not broken(here.percents + part * far * direction)
    assert limit in broken(here.percents + (far + 0.02) * direction)


@given(ROWS, ROWS, st.integers(1, 400))
def test_an_exchange_keeps_the_total_and_says_what_moved(down, up, hundredths):
    recipe = drawn(4)
    before = resolve(recipe).percents[0]
    delta = hundredths / 100
    if (
        down == up
        or before[down] < delta
        or QS in (recipe.rows[row].percents["1"] for row in (down, up))
    ):
        return
    after = changed(recipe, "1", {down: -delta, up: delta})
    assert float(resolve(after).totals[0]) == pytest.approx(100)
    moves = {
        one.row: one.delta for one in moves_of(recipe, before, resolve(after).percents[0], "1")
    }
    assert moves == {down: -delta, up: delta}
    assert changed(after, "1", {down: delta, up: -delta}) == recipe
