import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import jn_zeros

from designer.laws.drying import (
    block_water_left,
    cylinder_water_left,
    diffusivity_factor,
    puck_drying_time,
    puck_water_left,
    slab_water_left,
)

approx = pytest.approx

DAY = 86400.0
FOURIER = np.concatenate([np.geomspace(1e-4, 0.05, 40), np.linspace(0.055, 0.1, 40), [0.3, 1, 3]])
PUCK = (0.060, 0.035)
times = st.floats(60.0, 1e8)
sizes = st.floats(0.01, 0.1)


def slab_series(fourier):
    odd = np.arange(1, 2001, 2)[:, None] * np.pi
    return (8 / odd**2 * np.exp(-(odd**2) / 4 * fourier)).sum(axis=0)


def cylinder_series(fourier):
    zeros = jn_zeros(0, 600)[:, None]
    return (4 / zeros**2 * np.exp(-(zeros**2) * fourier)).sum(axis=0)


def test_the_closed_slab_meets_a_thousand_terms_to_two_millionths():
    # A thousand terms miss 2e-4 at Fo = 0, nothing visible from 1e-4 on.
    assert slab_water_left(FOURIER, 1e-4, 1e-2) == approx(slab_series(FOURIER), abs=2e-6)


def test_the_closed_cylinder_meets_six_hundred_terms_to_a_hundred_thousandth():
    assert cylinder_water_left(FOURIER, 1e-4, 1e-2) == approx(cylinder_series(FOURIER), abs=1e-5)


@pytest.mark.parametrize("law", [slab_water_left, cylinder_water_left])
def test_what_is_left_starts_at_all_and_ends_at_nothing(law):
    assert law(0.0, 1e-11, 0.02) == 1.0
    assert law(1e10, 1e-11, 1e-4) == approx(0.0, abs=1e-12)
    assert law(1e8, 0.0, 0.02) == 1.0


@pytest.mark.parametrize("law", [slab_water_left, cylinder_water_left])
def test_what_is_left_never_rises(law):
    left = law(np.linspace(0.0, 3.0, 20001), 1e-4, 1e-2)
    # The closed halves meet within their error, so the joint may step by that much.
    assert np.diff(left).max() < 1e-5
    assert left.min() > 0


@given(time=times, diameter=sizes, height=sizes)
def test_a_tray_never_dries_faster_than_a_rack(time, diameter, height):
    rack = puck_water_left(time, 2e-11, diameter, height, False)
    assert puck_water_left(time, 2e-11, diameter, height, True) >= rack - 1e-5


@given(time=times, diameter=sizes, height=sizes, growth=st.floats(1.0, 2.0))
def test_a_larger_bar_keeps_more(time, diameter, height, growth):
    small = puck_water_left(time, 2e-11, diameter, height, False)
    assert puck_water_left(time, 2e-11, growth * diameter, growth * height, False) >= small - 1e-5


@given(time=times, diameter=sizes, height=sizes, factor=st.floats(0.1, 10.0))
def test_only_diffusivity_times_time_counts(time, diameter, height, factor):
    one = puck_water_left(time, 2e-11, diameter, height, False)
    other = puck_water_left(time / factor, 2e-11 * factor, diameter, height, False)
    assert other == approx(one, abs=1e-9)


def test_the_first_days_follow_open_area_over_volume():
    time = np.array([0.5, 1.0, 2.0]) * DAY
    diameter, height = PUCK
    area = np.pi * diameter**2 / 2 + np.pi * diameter * height
    volume = np.pi / 4 * diameter**2 * height
    early = 1.128 * area / volume * np.sqrt(2e-11 * time)
    assert 1 - puck_water_left(time, 2e-11, *PUCK, False) == approx(early, rel=0.1)


@given(share=st.floats(0.001, 0.999), diameter=sizes, height=sizes, tray=st.booleans())
def test_at_its_drying_time_a_bar_has_lost_the_share(share, diameter, height, tray):
    time = puck_drying_time(share, 2e-11, diameter, height, tray)
    lost = 1 - puck_water_left(np.minimum(time, 1e10), 2e-11, diameter, height, tray)
    # Where the closed halves meet, no time may have just this share.
    assert lost == approx(share, abs=2e-5)


def test_drying_times_of_nothing_lost_and_of_no_diffusion():
    assert puck_drying_time(0.0, 0.0, *PUCK, False) == 0.0
    assert puck_drying_time(0.5, 0.0, *PUCK, False) == np.inf


@pytest.mark.parametrize(("celsius", "factor"), [(20.0, 0.79), (25.0, 1.0), (35.0, 1.58)])
def test_diffusion_speeds_up_with_warmth(celsius, factor):
    assert diffusivity_factor(celsius + 273.15, 35000.0) == approx(factor, abs=0.005)


def test_all_water_is_either_left_or_lost():
    # The mean of the profile over the slab is what the law calls left; its balance is the flux.
    time = np.linspace(0.3, 1.0, 20001)
    x = (np.arange(400) + 0.5) / 400
    odd = np.arange(1, 40, 2)[:, None, None] * np.pi / 2
    sign = np.where(np.arange(20) % 2 == 0, 1.0, -1.0)[:, None, None]
    profile = (2 * sign / odd * np.exp(-(odd**2) * 0.3) * np.cos(odd * x[:, None])).sum(axis=0)
    flux = (2 * np.exp(-(odd[:, 0] ** 2) * time)).sum(axis=0)
    left = slab_water_left(np.array([0.3, 1.0]), 1e-4, 1e-2)
    assert left[0] == approx(float(profile.mean()), abs=1e-5)
    assert left[0] - left[1] == approx(float(np.trapezoid(flux, time)), abs=1e-6)


@given(time=times, length=sizes, width=sizes, height=sizes)
def test_a_block_may_be_turned_and_any_pair_of_faces_only_dries_it(time, length, width, height):
    block = block_water_left(time, 2e-11, length, width, height, False)
    assert block == approx(block_water_left(time, 2e-11, height, length, width, False), abs=1e-12)
    assert block <= slab_water_left(time, 2e-11, height / 2)
