"""Fixes of random doughs that fail, against the dough map and against trying every move.

The doughs lie inside the known-good ranges (common practice, no source). What is found is held
against two other ways to look: the chance map, which scales the whole mix, and a plain grid over
all exchanges of two rows, each dough of it evaluated in full.
"""

import math
import time
from functools import lru_cache
from itertools import permutations

import numpy as np
import pytest
from advice.wild_bars import FAILING, book, drawn, failure, known, wild_bars

from designer.advice.fixes import fixes
from designer.evaluation.dough_map import dough_map
from designer.evaluation.evaluate import evaluate_knead
from designer.evaluation.readings import outside_model, standings
from designer.handbook import kind_of
from designer.recipe import QS, resolve

SEEDS = {
    "sticky": (13, 4, 19, 41, 67),
    "slack": (21, 81, 85, 181, 225),
    "stiff": (704, 44, 54, 430, 754),
    "crumbly": (74, 196, 202, 276, 422),
}
SOME = [seed for seeds in SEEDS.values() for seed in seeds[:3]]
"""Twelve for every change; the whole twenty, and two hundred, are for the long tests."""


@lru_cache(maxsize=32)
def evaluated(seed):
    return evaluate_knead(drawn(seed), book(), known())


@lru_cache(maxsize=32)
def mended(seed):
    result = evaluated(seed)
    return fixes(result.recipe, book(), known(), 0, before=result)


def highest(result):
    """Return the highest chance on the map of the mix, where the model may speak."""
    shown = dough_map(result, 0)
    return float(shown.chance[shown.reachable & ~shown.outside].max())


def rows_needed(result, answer):
    """Return how many rows move to get 80 % of the highest chance of the map; infinite for none."""
    enough = 0.8 * highest(result)
    return min((len(one.moves) for one in answer.fixes if one.chance >= enough), default=math.inf)


@pytest.mark.parametrize("kind", FAILING)
def test_the_doughs_fail_in_all_four_ways(kind):
    assert {failure(evaluated(seed)) for seed in SEEDS[kind][:3]} == {kind}


def test_nearly_every_failing_dough_is_mended_mostly_by_two_rows():
    needed = [rows_needed(evaluated(seed), mended(seed)) for seed in SOME]
    # Of two hundred 95 and 80 in 100: of twelve at least 11 and 9.
    assert np.isfinite(needed).sum() >= 11
    assert (np.array(needed) <= 2).sum() >= 9


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_two_hundred_failing_doughs_are_mended_as_often():
    needed, kinds = [], []
    for kind, _, result in wild_bars(200):
        answer = fixes(result.recipe, book(), known(), 0, before=result)
        needed.append(rows_needed(result, answer))
        kinds.append(kind)
    assert len(needed) == 200
    assert min(kinds.count(kind) for kind in FAILING) >= 30
    assert np.mean(np.isfinite(needed)) >= 0.95
    assert np.mean(np.array(needed) <= 2) >= 0.80


@pytest.mark.parametrize("seed", SOME)
def test_a_fix_keeps_what_must_be_kept(seed):
    before, answer = evaluated(seed), mended(seed)
    ideas = set()
    for one in answer.fixes:
        after = evaluate_knead(one.recipe, book(), known())
        assert is_kept(before, after)
        assert not outside_model(after, 0)
        assert float(resolve(one.recipe).totals[0]) == pytest.approx(100)
        assert one.size == pytest.approx(sum(abs(move.delta) for move in one.moves) / 2)
        for move in one.moves:
            row = before.recipe.rows[move.row]
            assert row.phase != "last"
            assert move.after >= 0
            # A tenth of a gram of 450 g is 0.022 %.
            assert move.delta / 0.01 == pytest.approx(round(move.delta / 0.01), abs=1e-4)
            assert abs(move.delta) >= 0.02 - 1e-9
        ideas.add(tuple((move.row, move.delta > 0) for move in one.moves))
    assert len(ideas) >= len(answer.fixes) - 1
    sizes = [one.size for one in answer.fixes]
    assert answer.status == "nearest" or sizes == sorted(sizes)


def uses(result):
    """Return the share of each material, and the ends of its usual share."""
    mixture, found = result.mixture, {}
    for kind in ("powder", "liquid", "melt"):
        shares = getattr(mixture, f"{kind}_shares")[0]
        for one, share in zip(getattr(mixture, f"{kind}s"), shares, strict=True):
            role = book().roles.get((kind_of(one), one.name))
            if role is not None:
                found[kind, one.name] = float(share), role.use_low, role.use_high
    return found


def is_kept(before, after):
    """Return whether no range or usual share is left, nor any that was broken left further."""
    old = {one.quantity: one for one in standings(before, 0)}
    for one in standings(after, 0):
        was = old[one.quantity]
        # Moisture that powders bring may raise a water that is too high by a fiftieth.
        high = was.value * (1.02 if one.quantity == "water" else 1.0)
        if not min(was.low, was.value) - 0.05 <= one.value <= max(was.high, high) + 0.05:
            return False
    shares = uses(before)
    for name, (share, low, high) in uses(after).items():
        was = shares[name][0] if name in shares else 0.0
        if not min(low, was) - 1e-6 <= share <= max(high, was) + 1e-6:
            return False
    return True


def movable(result):
    """Return the rows a plain search may move: all but those of phase last and the acid."""
    rows = result.recipe.rows
    return [k for k, row in enumerate(rows) if row.phase != "last" and row.name != "citric acid"]


def exchanged(result, down, up, size):
    """Return the recipe with so many percent taken from one row and given to another, or None."""
    recipe, percents = result.recipe, result.amounts.percents[0]
    for row, delta in ((down, -size), (up, size)):
        if recipe.rows[row].percents["1"] is QS:
            continue
        cell = round(float(percents[row]) + delta, 6)
        if cell < 0:
            return None
        recipe = recipe.with_percent(row, "1", cell)
    return recipe


def reaches(result, down, up, size):
    """Return whether an exchange reaches the wanted chance and keeps what must be kept."""
    recipe = exchanged(result, down, up, size)
    if recipe is None:
        return False
    after = evaluate_knead(recipe, book(), known())
    wanted = recipe.bench.wanted
    return float(after.clean_knead_chance[0]) >= wanted and is_kept(result, after)


def is_smallest(seed, sizes_of):
    """Return whether no exchange smaller by more than a tenth reaches what the first fix does."""
    result, answer = evaluated(seed), mended(seed)
    most = math.floor(10 * answer.fixes[0].size / 1.1 - 1e-9) / 10
    pairs = list(permutations(movable(result), 2))
    return not any(reaches(result, *pair, size) for size in sizes_of(most) for pair in pairs)


@pytest.mark.parametrize("seed", [704])
def test_no_exchange_that_is_a_tenth_smaller_would_do(seed):
    assert mended(seed).status == "found"
    assert is_smallest(seed, lambda most: [most])


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_no_exchange_of_a_grid_is_a_tenth_smaller_in_twenty_doughs():
    seeds = [seed for seeds in SEEDS.values() for seed in seeds if mended(seed).status == "found"]
    two = [seed for seed in seeds if len(mended(seed).fixes[0].moves) == 2]
    spare = [23, 37, 39, 47, 248, 564, 324, 378]
    chosen = (two + spare)[:20]
    assert len(chosen) == 20
    for seed in chosen:
        assert is_smallest(seed, lambda most: np.arange(most, 0.05, -0.3).round(6)), seed


def test_it_takes_a_small_part_of_the_time_of_trying_every_exchange():
    result = evaluated(13)
    start = time.process_time()
    answer = fixes(result.recipe, book(), known(), 0, before=result)
    took = time.process_time() - start
    pairs = list(permutations(movable(result), 2))
    steps = round(answer.fixes[0].size / 0.1)
    random = np.random.default_rng(3)
    start = time.process_time()
    for _ in range(20):
        down, up = pairs[random.integers(len(pairs))]
        reaches(result, down, up, 0.1 * random.integers(1, steps + 1))
    each = (time.process_time() - start) / 20
    assert each * len(pairs) * steps / took >= 20
    assert len(pairs) * steps / answer.evaluations >= 20
