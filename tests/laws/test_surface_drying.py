import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.special import j0, j1, jn_zeros

from designer.laws.drying import cylinder_water_left, puck_water_left, slab_water_left
from designer.laws.surface_drying import (
    cylinder_roots,
    drying_biot,
    resisted_cylinder_water_left,
    resisted_puck_water_left,
    resisted_slab_water_left,
    slab_roots,
    vapour_transfer,
)

approx = pytest.approx

DAY = 86400.0
PUCK = (0.060, 0.035)
RESISTED = [resisted_slab_water_left, resisted_cylinder_water_left]


@pytest.mark.parametrize("biot", [1e-6, 1e-3, 0.1, 1.0, 10.0, 1e3, 1e7])
def test_slab_roots_are_those_of_a_bracketing_search(biot):
    found = slab_roots(biot, 12)
    for n, root in enumerate(found):
        searched = brentq(
            lambda b: b * np.sin(b) - biot * np.cos(b), n * np.pi, n * np.pi + np.pi / 2, xtol=1e-15
        )
        assert root == approx(searched, rel=1e-9)


@pytest.mark.parametrize("biot", [1e-6, 1e-3, 0.1, 1.0, 10.0, 1e3, 1e7])
def test_cylinder_roots_are_those_of_a_bracketing_search(biot):
    ones = np.concatenate([[0.0], jn_zeros(1, 12)])
    zeros = jn_zeros(0, 12)
    for n, root in enumerate(cylinder_roots(biot, 12)):
        searched = brentq(lambda g: g * j1(g) - biot * j0(g), ones[n], zeros[n], xtol=1e-15)
        assert root == approx(searched, rel=1e-9)


def test_roots_of_many_biot_numbers_are_those_of_each():
    biots = np.array([[0.1], [10.0]])
    assert slab_roots(biots, 5).shape == (5, 2, 1)
    assert cylinder_roots(biots, 5)[:, 1, 0] == approx(cylinder_roots(10.0, 5))


@pytest.mark.parametrize("law", RESISTED)
def test_everything_is_there_at_the_start(law):
    assert law(0.0, 1e-11, 0.02, np.array([0.01, 1.0, 1e6])) == approx(1.0, abs=1e-12)


@pytest.mark.parametrize(
    ("resisted", "free"),
    [
        (resisted_slab_water_left, slab_water_left),
        (resisted_cylinder_water_left, cylinder_water_left),
    ],
)
def test_air_without_resistance_is_the_closed_form(resisted, free):
    fourier = np.geomspace(1e-3, 2, 30)
    assert resisted(fourier, 1e-4, 1e-2, 1e8) == approx(free(fourier, 1e-4, 1e-2), abs=2e-5)


@pytest.mark.parametrize(("law", "surface"), [(RESISTED[0], 1.0), (RESISTED[1], 2.0)])
def test_a_bar_that_only_the_air_holds_back_empties_exponentially(law, surface):
    time = np.linspace(0.0, 300.0, 7)
    left = law(time, 1e-4, 1e-2, 0.01)
    assert left == approx(np.exp(-surface * 0.01 * time), abs=5e-3)


@given(
    law=st.sampled_from(RESISTED),
    fourier=st.floats(1e-5, 5.0),
    biot=st.floats(0.01, 100.0),
    growth=st.floats(1.0, 3.0),
)
def test_more_resistance_keeps_more_and_more_time_less(law, fourier, biot, growth):
    left = law(fourier, 1e-4, 1e-2, biot)
    assert 0 <= left <= 1
    assert law(fourier, 1e-4, 1e-2, biot / growth) >= left - 1e-5
    assert law(fourier * growth, 1e-4, 1e-2, biot) <= left + 1e-5


@pytest.mark.parametrize("law", RESISTED)
def test_a_cut_series_meets_one_asked_for_many_terms(law):
    # One very early time in the call makes the law take all its terms.
    alone = law(0.02, 1e-4, 1e-2, np.array([0.1, 1.0, 10.0, 100.0]))
    together = law(np.array([[0.02], [1e-6]]), 1e-4, 1e-2, np.array([0.1, 1.0, 10.0, 100.0]))
    assert alone == approx(together[0], abs=1e-6)


@pytest.mark.parametrize(
    ("biot", "cost"), [(233.0, 0.008), (88.0, 0.020), (44.0, 0.037), (9.0, 0.135)]
)
def test_neglecting_the_air_costs_what_is_claimed(biot, cost):
    # Bi of the half height; the mantle's is greater by radius over half height. Own calculation.
    time = np.geomspace(0.1, 300, 400) * DAY
    velocity = biot * 2e-11 / 0.0175
    resisted = resisted_puck_water_left(time, 2e-11, *PUCK, velocity, False)
    miss = np.abs(resisted - puck_water_left(time, 2e-11, *PUCK, False)).max()
    assert miss == approx(cost, rel=0.12)


RHO = 0.100 / (np.pi / 4 * 0.060**2 * 0.035)
VELOCITY = float(vapour_transfer(0.003, 0.0231, (0.779 - 0.5) / (0.0718 * RHO)))


@pytest.mark.parametrize(
    ("diffusivity", "diameter", "height", "tray", "lost"),
    [
        (2e-11, 0.060, 0.035, False, [1.19, 2.94, 3.91, 5.04]),
        (1e-11, 0.060, 0.035, False, [0.87, 2.19, 2.97, 3.93]),
        (2e-11, 0.060, 0.035, True, [0.93, 2.35, 3.17, 4.18]),
        (2e-11, 0.080, 0.0197, False, [1.46, 3.62, 4.81, 6.06]),
        (2e-11, 0.060, 0.0175, False, [1.71, 4.14, 5.37, 6.50]),
    ],
)
def test_the_worked_bar_loses_its_grams(diffusivity, diameter, height, tray, lost):
    # 100 g, 7.18 g losable, after 1, 7, 14, 28 days. Own calculation, for regression.
    time = np.array([1.0, 7.0, 14.0, 28.0]) * DAY
    left = resisted_puck_water_left(time, diffusivity, diameter, height, VELOCITY, tray)
    assert 7.18 * (1 - left) == approx(lost, abs=0.0101)


def test_a_closed_box_slows_the_worked_bar():
    time = np.array([1.0, 7.0, 14.0, 28.0]) * DAY
    left = resisted_puck_water_left(time, 2e-11, *PUCK, VELOCITY / 50, False)
    assert 7.18 * (1 - left) == approx([0.32, 1.54, 2.47, 3.73], abs=0.0101)


def test_the_worked_bar_has_its_surface_coefficient():
    assert approx(2.7e-7, rel=0.02) == VELOCITY
    assert drying_biot(VELOCITY, 0.0175, 2e-11) == approx(233, abs=0.5)
