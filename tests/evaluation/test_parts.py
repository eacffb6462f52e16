"""Parts of a reading: sums add up to the reading, effects are what a changed recipe shows."""

import numpy as np
import pytest
from bars import recipe

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.evaluation.parts import MORE, SUMS, parts
from designer.evaluation.readings import readings, standings
from designer.evaluation.why import why

BOOK = handbook.load()
RESULTS = {k: evaluate(recipe(k), BOOK, knowledge.shipped()) for k in (1, 3, 4)}


@pytest.mark.parametrize("number", RESULTS)
@pytest.mark.parametrize("name", ["liquid_to_powder", "melt_fraction", "water"])
def test_the_parts_of_an_exact_reading_add_up_to_it(number, name):
    result = RESULTS[number]
    told = sum(part.value for part in parts(result, 0, name))
    # A part too small to be seen is left out.
    assert told == pytest.approx(readings(result, 0)[name].value, abs=2e-3)
    assert all(part.low == part.value == part.high for part in parts(result, 0, name))


def test_the_parts_of_the_surfactant_powder_and_of_the_melt_are_the_whole():
    result = RESULTS[1]
    stated = next(s for s in standings(result, 0) if s.quantity == "surfactant powder")
    told = sum(part.value for part in parts(result, 0, "surfactant_powder"))
    assert 100 * told == pytest.approx(stated.value)
    make_up = parts(result, 0, "melt_liquid_share")
    assert sum(part.value for part in make_up) == pytest.approx(1.0, abs=2e-3)


def test_the_parts_of_the_active_surfactant_add_up_and_carry_intervals():
    result = RESULTS[1]
    found = parts(result, 0, "active_surfactant")
    whole = readings(result, 0)["active_surfactant"].value
    assert sum(part.value for part in found) == pytest.approx(whole, rel=0.02)
    assert all(part.low < part.value < part.high for part in found)


@pytest.mark.parametrize("name", ["wetness", "firmness"])
def test_the_largest_come_first_inside_their_interval(name):
    found = parts(RESULTS[1], 0, name)
    sizes = [abs(part.value) for part in found]
    assert sizes == sorted(sizes, reverse=True)
    assert all(part.low <= part.value <= part.high for part in found)


def test_an_effect_on_firmness_is_the_relative_change_that_one_tenth_more_makes():
    result = RESULTS[1]
    slopes = {one.name: one.log_firmness for one in why(result, 0)}
    for part in parts(result, 0, "firmness"):
        median = float(result.spread(np.expm1(MORE * slopes[part.name])).value)
        assert part.value == pytest.approx(median)


@pytest.mark.parametrize("name", ["dough_temperature", "clean_knead_chance"])
def test_what_has_no_parts_gets_none(name):
    assert name not in SUMS
    assert parts(RESULTS[1], 0, name) == ()
