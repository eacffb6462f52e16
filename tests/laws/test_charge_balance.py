import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.laws.acidity import davies_exponent, group_charge
from designer.laws.charge_balance import (
    added_acid,
    charge_excess,
    solution_ph,
    strong_charge_at,
)

approx = pytest.approx

WATER = 13.995
NEVER = 40.0
CITRIC = (3.128, 4.761, 6.396)
ACETIC = (4.756, NEVER, NEVER)
AMINE = (9.5, NEVER, NEVER)
GLYCINE = (2.35, 9.78, NEVER)
KINDS = [(0.0, CITRIC), (0.0, ACETIC), (1.0, AMINE), (1.0, GLYCINE), (-1.0, (3.5, 5.0, 9.4))]
CHARGE = [charge for charge, _ in KINDS]
PKA = np.array([pka for _, pka in KINDS]).T

molalities = st.lists(st.floats(0.0, 0.1), min_size=5, max_size=5)
strongs = st.floats(-0.1, 0.2)
salts = st.floats(0.0, 0.4)


def ph(molality, strong, salt=0.0):
    return float(solution_ph(molality, CHARGE, PKA, strong, salt, WATER))


@given(molality=molalities, strong=strongs, salt=salts)
def test_the_charges_balance_to_ten_digits(molality, strong, salt):
    found = ph(molality, strong, salt)
    excess = float(charge_excess(found, molality, CHARGE, PKA, strong, salt, WATER))
    assert abs(excess) < 1e-10


@given(molality=molalities, strong=strongs, salt=salts, more=st.floats(1e-5, 0.05))
def test_more_acid_never_raises_the_ph_by_more_than_its_ions_do(molality, strong, salt, more):
    # Strong acid takes from the strong charge; what its ions change in activity is far less.
    assert ph(molality, strong - more, salt) <= ph(molality, strong, salt) + 0.02


@given(molality=molalities, strong=st.floats(0.0, 0.2), parts=st.floats(0.05, 0.95))
def test_ph_falls_with_citric_acid_dose_by_dose_where_it_is_above_the_acids_own(
    molality, strong, parts
):
    dose = np.linspace(0, 0.05, 6)
    content = np.array(molality)[:, None] + np.zeros(6)
    content[0] += dose
    found = solution_ph(content, np.array(CHARGE)[:, None], PKA[:, :, None], strong, 0.0, WATER)
    if found[0] > 3.2:
        assert np.all(np.diff(found) <= 1e-9)


@given(molality=molalities, strong=strongs, salt=salts)
def test_strong_charge_is_the_inverse_of_ph(molality, strong, salt):
    back = strong_charge_at(ph(molality, strong, salt), molality, CHARGE, PKA, salt, WATER)
    assert float(back) == approx(strong, abs=1e-9)


@given(
    molality=molalities,
    strong=st.floats(0.02, 0.15),
    salt=st.floats(0.0, 0.1),
    target=st.floats(3.5, 8.0),
)
def test_a_dose_brings_the_solution_to_its_target(molality, strong, salt, target):
    acid = ([5.2], [0.0], np.array([CITRIC]).T, 0.0)
    dose = float(added_acid(target, molality, CHARGE, PKA, strong, salt, WATER, *acid))
    if dose > 0:
        more = [*molality, 5.2 * dose]
        pka = np.concatenate([PKA, np.array([CITRIC]).T], axis=1)
        found = solution_ph(more, [*CHARGE, 0.0], pka, strong, salt, WATER)
        assert float(found) == approx(target, abs=1e-8)
    else:
        assert ph(molality, strong, salt) <= target + 1e-9


@pytest.mark.parametrize("target", [7.0, 8.5, 10.0])
def test_a_base_without_protons_raises_the_ph_to_its_target(target):
    soda = ([0.0], [0.0], [[NEVER]], 1 / 0.039997)
    acetic = ([0.05], [0.0], [[4.756]], 0.02, 0.0, WATER)
    dose = float(added_acid(target, *acetic, *soda))
    found = solution_ph([0.05], [0.0], [[4.756]], 0.02 + dose / 0.039997, 0.0, WATER)
    assert float(found) == approx(target, abs=1e-9)


def test_what_has_no_charge_there_can_move_nothing():
    inert = ([1.0], [0.0], [[NEVER]], 0.0)
    assert np.isinf(added_acid(5.0, [0.05], [0.0], [[4.756]], 0.04, 0.0, WATER, *inert))


@given(molality=molalities, strong=strongs, part=st.floats(0.0, 1.0), salt=salts)
def test_splitting_a_group_or_changing_their_order_changes_nothing(molality, strong, part, salt):
    split = [*molality, molality[0] * (1 - part)]
    split[0] = molality[0] * part
    charge, pka = [*CHARGE, CHARGE[0]], np.concatenate([PKA, PKA[:, :1]], axis=1)
    once = ph(molality, strong, salt)
    assert float(solution_ph(split, charge, pka, strong, salt, WATER)) == approx(once, abs=1e-9)
    turned = solution_ph(split[::-1], charge[::-1], pka[:, ::-1], strong, salt, WATER)
    assert float(turned) == approx(once, abs=1e-9)


def test_many_solutions_at_once_are_the_single_ones():
    random = np.random.default_rng(1)
    content = random.uniform(0, 0.1, (5, 40))
    strong, salt = random.uniform(-0.1, 0.2, 40), random.uniform(0, 0.4, 40)
    together = solution_ph(content, np.array(CHARGE)[:, None], PKA[:, :, None], strong, salt, WATER)
    alone = [ph(content[:, k], strong[k], salt[k]) for k in range(40)]
    assert together == approx(np.array(alone), abs=1e-10)


def test_water_alone_is_neutral_with_or_without_salt():
    none = ([0.0], [0.0], [[NEVER]])
    assert float(solution_ph(*none, 0.0, 0.0, WATER)) == approx(WATER / 2, abs=1e-12)
    # Half of pKw, for both of its ions have the same activity coefficient.
    assert float(solution_ph(*none, 0.0, 0.1, WATER)) == approx(WATER / 2, abs=1e-12)


@pytest.mark.parametrize(("molality", "expected"), [(0.001, 3.015), (0.01, 2.045), (0.1, 1.107)])
def test_a_strong_acid_has_the_ph_of_its_activity(molality, expected):
    none = ([0.0], [0.0], [[NEVER]])
    found = float(solution_ph(*none, -molality, 0.0, WATER))
    assert found == approx(-np.log10(molality) - float(davies_exponent(molality)), abs=1e-7)
    # Hydrochloric acid: 2.04 and 1.10 in handbooks (memory), 3.02 by Debye and Hueckel.
    assert found == approx(expected, abs=0.01)


@given(factor=st.floats(0.1, 10.0))
def test_a_buffer_without_activity_keeps_its_ph_when_thinned(factor):
    # Salt so strong that it alone decides on activity, whose equation is held there.
    buffer = [0.02 * factor]
    found = solution_ph(buffer, [0.0], [[7.0]], 0.01 * factor, 5.0, WATER)
    expected = solution_ph([0.02], [0.0], [[7.0]], 0.01, 5.0, WATER)
    assert float(found) == approx(float(expected), abs=1e-3)


def test_activity_is_ideal_without_ions_and_held_where_its_equation_turns():
    assert float(davies_exponent(0.0)) == 0.0
    strength = np.linspace(0, 0.2, 30)
    assert np.all(np.diff(davies_exponent(strength)) < 0)
    assert float(davies_exponent(3.0)) == float(davies_exponent(0.6))


@pytest.mark.parametrize(("level", "charge"), [(0.0, 1.0), (6.06, 0.0), (13.0, -1.0)])
def test_an_ampholyte_goes_from_cation_through_zwitterion_to_anion(level, charge):
    found = group_charge(level, 0.0, 1.0, np.array(GLYCINE))
    assert float(found) == approx(charge, abs=0.01)


def test_solutions_beyond_the_scale_stay_on_its_ends():
    none = ([0.0], [0.0], [[NEVER]])
    assert -2 <= float(solution_ph(*none, -99.0, 0.0, WATER)) < -1
    assert 15 < float(solution_ph(*none, 99.0, 0.0, WATER)) <= 16
