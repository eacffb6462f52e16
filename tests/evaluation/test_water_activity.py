"""Water activity of dough and bar: a worked table, mixtures, limits, and its own draws."""

import numpy as np
import pytest
from bars import recipe, recipe_of
from hypothesis import given
from hypothesis import strategies as st

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.bar import held_water, isotherm
from designer.evaluation.evaluate import DAY, evaluate
from designer.evaluation.to_measure import to_measure
from designer.evaluation.water_activity import activity_of, uncertain_water, water_activity
from designer.laws.balance import ACTIVITY_GRID

approx = pytest.approx

BOOK = handbook.load()
KNOWN = knowledge.shipped(512)
CENTRAL = knowledge.central()
MANY = knowledge.prior(4096)

# g per 100 g of bar, the rest of it fat.
BAR = {
    "anionic powder": 52.0,
    "amphoteric active": 3.9,
    "Sodium Chloride": 0.65,
    "Glycerin": 3.0,
    "Propanediol": 2.0,
    "Sodium Lactate": 0.6,
    "starch desorption": 6.0,
    "protein": 0.5,
}
HOLDERS = {name: grams / 100 for name, grams in BAR.items()}

# g of water per 100 g: activity, one standard deviation, chances of lying below 0.75 and 0.70.
# Own Monte Carlo of the same isotherms, recorded; water +- 0.4 g.
TABLE = {
    12: (0.798, 0.027, 0.07, 0.00),
    11: (0.779, 0.027, 0.18, 0.01),
    10: (0.759, 0.027, 0.40, 0.03),
    9: (0.742, 0.029, 0.74, 0.08),
    8: (0.727, 0.036, 0.97, 0.21),
    7: (0.704, 0.047, 1.00, 0.51),
    6: (0.661, 0.058, 1.00, 0.89),
    5: (0.600, 0.067, 1.00, 1.00),
    4: (0.517, 0.075, 1.00, 1.00),
}


def central(grams, **more):
    holders = dict(HOLDERS)
    for name, extra in more.items():
        holders[name] = holders.get(name, 0.0) + extra / 100
    return float(activity_of(np.array([grams / 100]), holders, BOOK, CENTRAL)[0])


@pytest.mark.parametrize("grams", TABLE)
def test_the_worked_table_is_met(grams):
    activity, sd, below_75, below_70 = TABLE[grams]
    assert central(grams) == approx(activity, abs=0.0015)
    water = grams / 100 + 0.004 * MANY.scores("water content")
    draws = activity_of(water, HOLDERS, BOOK, MANY)
    assert draws.std() == approx(sd, abs=0.003)
    assert (draws < 0.75).mean() == approx(below_75, abs=0.025)
    assert (draws < 0.70).mean() == approx(below_70, abs=0.025)


@pytest.mark.parametrize(("room", "grams"), [(30, 2.3), (40, 3.0), (50, 3.8), (60, 5.0), (70, 6.9)])
def test_the_worked_bar_settles_with_the_room(room, grams):
    kept = sum(share * held_water(name, room / 100, BOOK) for name, share in HOLDERS.items())
    assert 100 * kept == approx(grams, abs=0.06)


@pytest.mark.parametrize(
    ("more", "change"),
    [
        ({"Glycerin": 5.0, "anionic powder": -5.0}, -0.053),
        ({"starch desorption": 10.0, "anionic powder": -10.0}, -0.029),
        ({"Sodium Chloride": 1.0}, -0.035),
        ({"Sodium Lactate": 1.0}, -0.028),
    ],
)
def test_what_lowers_the_activity_of_the_worked_bar(more, change):
    assert central(11, **more) - central(11) == approx(change, abs=0.002)


def test_leaving_powder_and_starch_out_would_be_far_too_wet():
    # Humectants alone in the worked bar: 0.89 instead of 0.78.
    solutes = {name: HOLDERS[name] for name in ("Glycerin", "Propanediol", "Sodium Lactate")}
    alone = float(activity_of(np.array([0.11]), solutes, BOOK, CENTRAL)[0])
    assert alone == approx(0.89, abs=0.01)
    assert alone - central(11) > 0.08


@pytest.mark.parametrize("activity", [0.6, 0.8])
def test_two_solutes_and_a_solid_share_the_water_as_each_would_keep_alone(activity):
    holders = {"Glycerin": 0.03, "Sorbitol": 0.02, "starch desorption": 0.06}
    water = sum(share * held_water(name, activity, BOOK) for name, share in holders.items())
    found = float(activity_of(np.array([water]), holders, BOOK, CENTRAL)[0])
    assert found == approx(activity, abs=1e-5)


@given(grams=st.floats(0.5, 15.0), more=st.floats(0.1, 3.0))
def test_activity_rises_with_water_and_falls_with_every_holder(grams, more):
    here = central(grams)
    assert central(grams + more) >= here
    for name in HOLDERS:
        assert central(grams, **{name: more}) <= here + 1e-12


def test_without_water_it_is_dry_and_without_holders_wet():
    assert central(0.0) == 0.0
    assert float(activity_of(np.array([0.1]), {}, BOOK, CENTRAL)[0]) == 1.0
    assert float(activity_of(np.array([0.9]), {"Glycerin": 1e-6}, BOOK, CENTRAL)[0]) == 1.0


@pytest.mark.parametrize("name", sorted(BAR))
def test_a_tabled_isotherm_is_the_law_at_each_point(name):
    curve = isotherm(name, ACTIVITY_GRID, BOOK)
    for at in (10, 300, 500, 800):
        assert curve[at] == approx(held_water(name, float(ACTIVITY_GRID[at]), BOOK), rel=1e-12)


@pytest.mark.parametrize("number", [1, 3, 9])
def test_a_bar_ends_at_the_humidity_of_its_room(number):
    ages = [0.0, DAY, 28 * DAY, 20000 * DAY]
    window = np.array(evaluate(recipe(number), BOOK, KNOWN).times[:30])
    times = np.unique(np.concatenate([window, ages]))[1:]
    result = evaluate(recipe(number, humidity=0.5), BOOK, KNOWN, times=times)
    found = water_activity(result, 0)
    assert found.activity[-1] == approx(0.5, abs=2e-3)
    assert found.fresh.value > found.over_time.value[-2] > 0.5


def test_a_dry_bar_drinks_in_a_damp_room():
    dry = {("powder", "SCI fine powder"): 70.0, ("liquid", "glycerin"): 10.0}
    dry |= {("melt", "cocoa butter"): 18.0, ("liquid", "water"): 2.0}
    found = water_activity(evaluate(recipe_of(dry, humidity=0.8), BOOK, KNOWN), 0)
    assert found.cured.value > found.fresh.value


def test_interval_and_chance_are_those_of_the_draws():
    result = evaluate(recipe(1), BOOK, KNOWN)
    found = water_activity(result, 0)
    order = np.sort(found.activity[-1])
    assert found.cured.value == approx(np.interp(0.5, (np.arange(512) + 0.5) / 512, order))
    assert found.chance_below(0.75) == approx((found.activity[-1] < 0.75).mean())
    assert found.activity.shape == (result.times.size, 512)
    assert found.over_time.value[-1] == found.cured.value


def test_water_of_a_dough_never_exceeds_it():
    assert uncertain_water(1.0, BOOK, KNOWN).max() == 1.0
    assert uncertain_water(0.1, BOOK, CENTRAL).tolist() == [0.1]


def test_meters_that_alcohols_disturb_are_told():
    wet = {("powder", "SCI fine powder"): 60.0, ("liquid", "propylene glycol"): 5.0}
    wet |= {("liquid", "water"): 10.0, ("melt", "cocoa butter"): 25.0}
    assert water_activity(evaluate(recipe_of(wet), BOOK, KNOWN), 0).volatile == (
        "propylene glycol",
    )
    assert water_activity(evaluate(recipe(1), BOOK, KNOWN), 0).volatile == ()


def test_a_recipe_without_water_has_no_water_activity():
    fat = {("melt", "cocoa butter"): 60.0, ("powder", "mica"): 40.0}
    result = evaluate(recipe_of({("melt", "cocoa butter"): 100.0}), BOOK, KNOWN)
    reading = to_measure(result, 0)["water_activity"]
    assert reading.value is None
    assert "no water" in reading.missing
    assert to_measure(evaluate(recipe_of(fat), BOOK, KNOWN), 0)["water_activity"].value is not None


def test_both_readings_call_themselves_an_estimate_and_have_no_range():
    for reading in to_measure(evaluate(recipe(1), BOOK, KNOWN), 0).values():
        assert "not a measurement" in reading.source
        assert reading.known_good is None
        assert reading.low < reading.value < reading.high
