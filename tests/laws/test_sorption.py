import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.laws.sorption import (
    WATER_MOLAR_MASS,
    crystallising_salt_water,
    gab_water,
    norrish_activity,
    norrish_water,
    pitzer_activity,
    pitzer_osmotic,
    pitzer_water,
    salt_water,
)

approx = pytest.approx

GLYCEROL = (-1.24, 1.09)
SODIUM_CHLORIDE = (0.07831, 0.2677, 0.000864)
SALT_MASS = 0.058443
ACTIVITIES = np.linspace(0.001, 0.999, 400)
inner = st.floats(0.001, 0.999)


def fraction(water, nu, molar_mass):
    return nu / (nu + water * molar_mass / WATER_MOLAR_MASS)


@given(
    activity=inner,
    alpha=st.floats(-30, 1.9),
    nu=st.sampled_from([1, 2, 3]),
    molar_mass=st.floats(0.04, 0.5),
)
def test_norrish_water_is_the_inverse_of_norrish_activity(activity, alpha, nu, molar_mass):
    water = norrish_water(activity, alpha, 0.0, nu, molar_mass)
    back = norrish_activity(fraction(water, nu, molar_mass), alpha, 0.0)
    assert back == approx(activity, rel=1e-9)


@pytest.mark.parametrize("constants", [GLYCEROL, (-0.8, 1.3), (1.0, 0.0), (-26.6, 0.0)])
def test_water_of_a_solute_rises_with_water_activity(constants):
    assert np.all(np.diff(norrish_water(ACTIVITIES, *constants, 1.0, 0.092)) > 0)


def test_without_constants_the_law_is_raoults():
    water = norrish_water(ACTIVITIES, 0.0, 0.0, 1.0, WATER_MOLAR_MASS)
    assert water == approx(ACTIVITIES / (1 - ACTIVITIES), rel=1e-10)


def test_the_driest_and_the_wettest_air_are_limits_not_faults():
    assert norrish_water(0.0, *GLYCEROL, 1.0, 0.092) == approx(0.0, abs=1e-200)
    assert norrish_water(1.0, *GLYCEROL, 1.0, 0.092) == np.inf
    assert pitzer_water(1.0, *SODIUM_CHLORIDE, SALT_MASS) == np.inf


@pytest.mark.parametrize("constants", [(1.99, 3.0), (2.0, 1.0), (0.0, 20.0)])
def test_constants_that_would_part_the_solution_in_two_are_refused(constants):
    with pytest.raises(ValueError, match="alpha, beta"):
        norrish_water(0.5, *constants, 1.0, 0.1)


def test_glycerol_holds_a_quarter_of_its_mass_at_one_half():
    assert norrish_water(0.5, *GLYCEROL, 1.0, 0.092094) == approx(0.265, abs=5e-4)


@given(activity=st.floats(0.2, 0.9999))
def test_pitzer_water_is_the_inverse_of_pitzer_activity(activity):
    molality = 1 / (pitzer_water(activity, *SODIUM_CHLORIDE, SALT_MASS) * SALT_MASS)
    assert pitzer_activity(molality, *SODIUM_CHLORIDE) == approx(activity, rel=1e-9)


def test_osmotic_slope_used_in_the_inverse_is_that_of_the_law():
    # The inverse would still converge with a wrong slope, only slowly, so it is tested by count
    # of digits: neighbours 1e-7 apart must be told apart.
    near = pitzer_water(0.8 + np.array([0.0, 1e-9]), *SODIUM_CHLORIDE, SALT_MASS)
    assert 0 < near[1] - near[0] < 1e-7


def test_dilute_salt_is_ideal():
    assert pitzer_osmotic(0.0, *SODIUM_CHLORIDE) == 1.0
    assert pitzer_osmotic(1e-8, *SODIUM_CHLORIDE) == approx(1.0, abs=1e-4)


def test_a_salt_whose_fit_turns_round_keeps_its_last_water():
    acetate = (0.1382, 0.3317, -0.00496)
    water = pitzer_water(np.array([0.01, 0.1, 0.3]), *acetate, 0.082034)
    assert water[0] == approx(water[1], rel=1e-6)
    assert np.all(np.diff(pitzer_water(ACTIVITIES, *acetate, 0.082034)) >= -1e-12)


def test_a_pure_crystal_holds_nothing_below_its_saturation():
    activities = np.array([0.5, 0.7528, 0.7530])
    water = crystallising_salt_water(activities, *SODIUM_CHLORIDE, SALT_MASS, 0.7529)
    assert water[:2].tolist() == [0.0, 0.0]
    assert water[2] == approx(2.78, abs=0.01)


def test_the_blurred_step_runs_into_the_sharp_one_on_both_sides():
    far = np.array([0.60, 0.86])
    sharp = crystallising_salt_water(far, *SODIUM_CHLORIDE, SALT_MASS, 0.7529)
    blurred = salt_water(far, *SODIUM_CHLORIDE, SALT_MASS, 0.7529, 0.018, 0.012)
    assert blurred == approx(sharp, abs=2e-4)


def test_blurred_salt_water_rises_with_water_activity():
    water = salt_water(ACTIVITIES, *SODIUM_CHLORIDE, SALT_MASS, 0.753, 0.018, 0.012)
    assert np.all(np.diff(water) >= 0)
    assert np.all(np.diff(water[ACTIVITIES > 0.5]) > 0)
    assert np.all(np.isfinite(water))


@pytest.mark.parametrize(
    ("constants", "half", "three_quarters"),
    [
        ((0.0800, 36.43, 0.7646), 0.124, 0.184),
        ((0.0743, 26.87, 0.7842), 0.116, 0.176),
        ((0.012, 8.0, 0.85), 0.018, 0.031),
        ((0.060, 10.0, 0.92), 0.10, 0.19),
        ((0.100, 10.0, 0.90), 0.16, 0.29),
    ],
)
def test_solids_hold_what_their_constants_were_stated_with(constants, half, three_quarters):
    digits = 5e-4 if half not in (0.10, 0.16) else 5e-3
    assert gab_water(0.5, *constants) == approx(half, abs=digits)
    assert gab_water(0.75, *constants) == approx(three_quarters, abs=digits)


@given(
    m0=st.floats(0, 0.3), c=st.floats(0.5, 100), k=st.floats(0.01, 0.99), activity=st.floats(0, 0.9)
)
def test_water_of_a_solid_rises_with_water_activity(m0, c, k, activity):
    assert gab_water(activity + 0.05, m0, c, k) >= gab_water(activity, m0, c, k)


def test_a_fat_holds_no_water():
    assert gab_water(0.9, 0.0, 1.0, 0.0) == 0.0
