"""A dough as it is really worked against the evaluation of a recipe that is kneaded throughout."""

from dataclasses import replace

import numpy as np
import pytest
from bars import recipe

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import clock_times, conditions_of, evaluate
from designer.evaluation.mixture import mix
from designer.evaluation.worked import (
    Hands,
    Stretch,
    added,
    carried_on,
    kneading_clock,
    poured,
)
from designer.recipe import resolve

BOOK, SHOWN = handbook.load(), knowledge.shipped(128)
TIMES = clock_times((300.0, 1200.0))
TIMES = TIMES[TIMES <= 1200.0]
KNEADED = (Stretch("knead", 0.0, 1200.0),)


def start(number, extra=None, **bench):
    made = recipe(number, extra, **bench)
    amounts = resolve(made)
    conditions = conditions_of(made, amounts)
    return poured(mix(made, amounts, BOOK), 0, conditions, BOOK, SHOWN), conditions


def followed(bowl, conditions, stretches=KNEADED, times=TIMES, past=()):
    (track,), (later,) = carried_on([bowl], stretches, times, conditions, BOOK, SHOWN)
    return Hands((*past, *stretches), times, BOOK, SHOWN).dough(bowl, track), track, later


@pytest.mark.parametrize("number", [1, 2, 4, 7])
def test_kneaded_throughout_it_is_the_evaluation(number):
    dough, track, _ = followed(*start(number))
    result = evaluate(recipe(number), BOOK, SHOWN, TIMES)
    # The steps of the two marches differ.
    np.testing.assert_allclose(dough.log_strength, result.log_strength[0], atol=0.01)
    np.testing.assert_allclose(dough.tack_cut, result.tack_cut[0], atol=0.002)
    np.testing.assert_allclose(
        track.temperature[:, SHOWN.melt_row], result.temperature[0], atol=0.03
    )


@pytest.mark.parametrize("name", ["corn starch", "SCI fine powder", "water"])
def test_what_is_added_at_the_pour_is_as_if_it_had_been_weighed_in(name):
    bowl, conditions = start(1, batch=0.5)
    material = BOOK.powders.get(name) or BOOK.liquids[name]
    (more,) = added(bowl, [(material, 0.025)], conditions, BOOK, SHOWN)
    assert more.mass == pytest.approx(0.525)
    made, _, _ = followed(more, conditions)
    weighed, _, _ = followed(*start(1, {name: 5.0}, batch=0.525))
    np.testing.assert_allclose(made.wetness, weighed.wetness, atol=3e-3)
    np.testing.assert_allclose(made.log_strength, weighed.log_strength, atol=0.03)


def test_powder_added_later_drinks_by_a_clock_of_its_own():
    bowl, conditions = start(2)
    first = (Stretch("knead", 0.0, 480.0),)
    _, _, at_eight = followed(bowl, conditions, first, np.array([480.0]))
    starch = BOOK.powders["corn starch"]
    (more,) = added(at_eight, [(starch, 0.03)], conditions, BOOK, SHOWN)
    times = np.array([480.0, 540.0, 780.0, 3600.0])
    rest = (Stretch("knead", 480.0, 3600.0),)
    late, _, _ = followed(more, conditions, rest, times, first)
    plain, _, _ = followed(at_eight, conditions, rest, times, first)
    early = replace(more, since=(0.0,) * len(more.since))
    drunk, _, _ = followed(early, conditions, rest, times, first)
    assert np.all(late.log_strength > plain.log_strength)
    # On contact it has drunk less than powder that was there from the start, in the end as much.
    assert np.all(late.log_strength[:3] < drunk.log_strength[:3])
    np.testing.assert_allclose(late.log_strength[3], drunk.log_strength[3], atol=0.01)


def test_masses_and_shares_are_kept():
    bowl, conditions = start(1, batch=0.5)
    for material in (BOOK.powders["corn starch"], BOOK.liquids["CAPB 30 %"], BOOK.liquids["water"]):
        (bowl,) = added(bowl, [(material, 0.0123)], conditions, BOOK, SHOWN)
    mixture = bowl.mixture
    shares = (mixture.powder_shares, mixture.liquid_shares, mixture.melt_shares)
    assert sum(float(one.sum()) for one in shares) == pytest.approx(1.0, abs=1e-12)
    assert bowl.mass == pytest.approx(0.5369)
    assert [one.name for one in mixture.powders].count("corn starch") == 2
    assert len(bowl.since) == len(mixture.powders)


def test_a_bowl_is_the_same_beside_others():
    bowl, conditions = start(1)
    several = added(
        bowl,
        [(BOOK.powders["corn starch"], mass) for mass in (0.01, 0.02, 0.03)],
        conditions,
        BOOK,
        SHOWN,
    )
    tracks, _ = carried_on(several, KNEADED, TIMES, conditions, BOOK, SHOWN)
    (alone,), _ = carried_on(several[1:2], KNEADED, TIMES, conditions, BOOK, SHOWN)
    np.testing.assert_allclose(tracks[1].temperature, alone.temperature, rtol=1e-12)
    np.testing.assert_allclose(tracks[1].set_share, alone.set_share, rtol=1e-9, atol=1e-12)


def test_rest_runs_the_kneading_clock_at_half_its_pace():
    stretches = (Stretch("knead", 0.0, 300.0), Stretch("rest", 300.0, 600.0))
    found = kneading_clock(np.array([0.0, 300.0, 600.0]), stretches, BOOK)
    np.testing.assert_allclose(found, [0.0, 300.0, 450.0])


def test_cold_water_cools_most_and_warm_water_warms():
    bowl, conditions = start(1, batch=0.5)
    first = (Stretch("knead", 0.0, 480.0),)
    _, _, now = followed(bowl, conditions, first, np.array([480.0]))
    ends = {}
    for way in ("knead", "rest", "cold", "warm"):
        stretch = (Stretch(way, 480.0, 1080.0),)
        _, _, later = followed(now, conditions, stretch, np.array([1080.0]), first)
        ends[way] = float(later.temperature.mean() - now.temperature.mean())
    # At rest a lump keeps its warmth inside, and hands are warmer than the room.
    assert ends["cold"] < ends["knead"] < ends["rest"] < ends["warm"]
    assert ends["cold"] < -3
    assert ends["warm"] > 0


def test_breaking_off_changes_nothing():
    bowl, conditions = start(1)
    _, whole, _ = followed(bowl, conditions, KNEADED, np.array([480.0, 1200.0]))
    _, _, half = followed(bowl, conditions, KNEADED, np.array([480.0]))
    _, later, _ = followed(half, conditions, KNEADED, np.array([480.0, 1200.0]))
    # Each march has steps of its own.
    np.testing.assert_allclose(later.temperature[0], whole.temperature[0], atol=1e-3)
    np.testing.assert_allclose(later.temperature[1], whole.temperature[1], atol=0.02)
