import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.laws.balance import (
    ACTIVITY_GRID,
    activity_at_temperature,
    balance_activity,
    balance_water,
)
from designer.laws.sorption import gab_water, norrish_water, salt_water

approx = pytest.approx

SALT = (0.07831, 0.2677, 0.000864, 0.058443, 0.753, 0.018, 0.012)

# The holders of a bar worked out in full, and what it reads (own calculation, for regression).
HOLDERS = {
    "anionic powder": (0.52, gab_water(ACTIVITY_GRID, 0.012, 8.0, 0.85)),
    "amphoteric": (0.039, gab_water(ACTIVITY_GRID, 0.060, 10.0, 0.92)),
    "sodium chloride": (0.0065, salt_water(ACTIVITY_GRID, *SALT)),
    "glycerin": (0.03, norrish_water(ACTIVITY_GRID, -1.24, 1.09, 1.0, 0.092094)),
    "propanediol": (0.02, norrish_water(ACTIVITY_GRID, -0.4, 0.6, 1.0, 0.076094)),
    "sodium lactate": (0.006, norrish_water(ACTIVITY_GRID, -2.6, 0.0, 2.0, 0.11206)),
    "starch": (0.06, gab_water(ACTIVITY_GRID, 0.08, 36.43, 0.7646)),
    "protein": (0.005, gab_water(ACTIVITY_GRID, 0.1, 10.0, 0.9)),
}
MASSES = np.array([mass for mass, _ in HOLDERS.values()])
ISOTHERMS = np.array([water for _, water in HOLDERS.values()])
CURVE = balance_water(MASSES, ISOTHERMS)


@pytest.mark.parametrize(
    ("water", "activity"),
    [
        (0.12, 0.798),
        (0.11, 0.779),
        (0.10, 0.759),
        (0.09, 0.742),
        (0.08, 0.727),
        (0.07, 0.704),
        (0.06, 0.661),
        (0.05, 0.600),
        (0.04, 0.517),
    ],
)
def test_the_worked_bar_reads_its_water_activities(water, activity):
    # The grid behind the printed figures was another, hence one unit of the last digit.
    assert balance_activity(water, CURVE, ACTIVITY_GRID) == approx(activity, abs=1.1e-3)


@pytest.mark.parametrize(
    ("humidity", "kept"), [(0.3, 2.3), (0.4, 3.0), (0.5, 3.8), (0.6, 5.0), (0.7, 6.9)]
)
def test_the_worked_bar_settles_with_the_room(humidity, kept):
    assert 100 * np.interp(humidity, ACTIVITY_GRID, CURVE) == approx(kept, abs=0.06)


@given(water=st.floats(0.002, 0.3))
def test_the_activity_that_holds_a_water_holds_that_water(water):
    activity = balance_activity(water, CURVE, ACTIVITY_GRID)
    assert np.interp(activity, ACTIVITY_GRID, CURVE) == approx(water, rel=1e-9)


@given(a=st.floats(0, 0.4), b=st.floats(0, 0.4))
def test_more_water_is_never_drier(a, b):
    low, high = sorted((a, b))
    reading = balance_activity([low, high], CURVE, ACTIVITY_GRID)
    assert reading[0] <= reading[1]


@pytest.mark.parametrize("holder", range(len(MASSES)))
def test_more_of_any_holder_lowers_the_water_activity(holder):
    more = MASSES.copy()
    more[holder] += 0.02
    curve = balance_water(more, ISOTHERMS)
    assert balance_activity(0.11, curve, ACTIVITY_GRID) < 0.7785


def test_every_cell_reads_its_own_row_as_np_interp_does():
    random = np.random.default_rng(1)
    masses = MASSES * random.uniform(0.5, 2.0, (7, MASSES.size))
    water = random.uniform(0.01, 0.2, (5, 7))
    curves = balance_water(masses, ISOTHERMS)
    rows = [[np.interp(water[i, j], curves[j], ACTIVITY_GRID) for j in range(7)] for i in range(5)]
    assert balance_activity(water, curves, ACTIVITY_GRID) == approx(np.array(rows), abs=1e-12)


def test_without_holders_any_water_is_free_and_none_is_dry():
    nothing = np.zeros(ACTIVITY_GRID.size)
    reading = balance_activity([0.0, 0.01], nothing, ACTIVITY_GRID)
    assert reading.tolist() == [0.0, ACTIVITY_GRID[-1]]


def test_a_dip_in_the_isotherm_is_bridged():
    reading = balance_activity([0.1, 0.15], [0.0, 0.1, 0.05, 0.2], [0.0, 0.3, 0.6, 0.9])
    assert reading.tolist() == [0.3, approx(0.75)]


def test_the_grid_is_ascending_and_cannot_be_changed():
    assert ACTIVITY_GRID.size == 856
    assert np.all(np.diff(ACTIVITY_GRID) > 0)
    with pytest.raises(ValueError, match="read-only"):
        ACTIVITY_GRID[0] = 1.0


@pytest.mark.parametrize(("celsius", "activity"), [(15.0, 0.68), (25.0, 0.70), (35.0, 0.72)])
def test_warmth_raises_the_water_activity(celsius, activity):
    reading = activity_at_temperature(0.70, celsius + 273.15, 2000.0)
    assert reading == approx(activity, abs=0.005)


def test_water_activity_never_passes_one():
    assert activity_at_temperature(0.99, 323.15, 5000.0) == 1.0


@pytest.mark.parametrize("place", range(3))
def test_a_balance_refuses_nan_in_each_argument(place):
    inverse = [np.array(0.1), CURVE, ACTIVITY_GRID]
    inverse[place] = np.append(np.atleast_1d(inverse[place])[:-1], np.nan)
    with pytest.raises(ValueError, match="outside"):
        balance_activity(*inverse)


def test_a_sum_of_holders_refuses_nan_and_negative_masses():
    for bad in (np.nan, -0.1):
        with pytest.raises(ValueError, match="holder_share"):
            balance_water([bad], [[0.1]])
    with pytest.raises(ValueError, match="holder_water"):
        balance_water([0.1], [[np.nan]])
