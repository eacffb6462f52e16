"""Melting: the worked example of a fat blend, limits, and an independent root search."""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.optimize import brentq

from designer import handbook
from designer.laws.melting import (
    heat_released,
    ideal_solubility,
    liquid_amounts,
    liquid_mass_share,
)

BOOK = handbook.load()
EXAMPLE = {
    "cocoa butter": 60.0,
    "shea butter, West African": 30.0,
    "cetostearyl alcohol 50/50": 50.0,
    "stearic acid, double/triple pressed (C16/C18)": 20.0,
    "25 % active conditioner wax": 40.0,
}
FATS = sorted(BOOK.melts)


class Blend:
    """Components of a blend of melt materials given in grams, with tabled values."""

    def __init__(self, grams, fresh=True):
        mass = {}
        for name, gram in grams.items():
            for component, fraction in BOOK.melts[name].components:
                mass[component] = mass.get(component, 0.0) + gram * fraction
        self.names = sorted(mass)
        rows = [BOOK.components[name] for name in self.names]
        self.molar_mass = np.array([row.molar_mass for row in rows])
        moles = np.array([mass[name] for name in self.names]) / self.molar_mass
        self.amount = moles / moles.sum()
        self.point = np.array([row.melting_point - fresh * row.fresh_shift for row in rows])
        factor = np.array([row.fresh_heat_factor if fresh else 1.0 for row in rows])
        self.heat = np.array([row.heat_of_fusion for row in rows]) * factor
        self.families = [row.family for row in rows]
        self.heads = [{"FA": "acid", "OH": "alcohol"}.get(n[:2], "") for n in self.names]

    def solubility(self, celsius):
        kelvin = np.atleast_1d(celsius) + 273.15
        return ideal_solubility(kelvin, self.point[:, None], self.heat[:, None])

    def liquid(self, celsius, attraction=0.0):
        return liquid_amounts(
            self.amount, self.solubility(celsius), self.families, self.heads, attraction
        )

    def share(self, celsius, attraction=0.0):
        return liquid_mass_share(self.liquid(celsius, attraction), self.amount, self.molar_mass)


CELSIUS = np.arange(20.0, 51.0, 5.0)


@pytest.mark.parametrize(
    ("fresh", "attraction", "printed"),
    [
        (True, 0.0, [0.304, 0.502, 0.598, 0.695, 0.781, 0.888, 1.000]),
        (False, 0.0, [0.156, 0.236, 0.465, 0.604, 0.679, 0.776, 0.953]),
        (True, -1.8, [0.341, 0.600, 0.710, 0.764, 0.838, 0.928, 1.000]),
        (False, -1.8, [0.159, 0.253, 0.539, 0.667, 0.729, 0.832, 0.980]),
    ],
)
def test_worked_example_gives_its_printed_liquid_shares(fresh, attraction, printed):
    assert_allclose(Blend(EXAMPLE, fresh).share(CELSIUS, attraction), printed, atol=6e-4)


@pytest.mark.parametrize(
    ("fresh", "printed"),
    [
        (True, [100.6, 74.1, 59.1, 42.7, 30.0, 15.0, 0.0]),
        (False, [172.0, 157.7, 116.3, 88.5, 71.3, 48.6, 9.4]),
    ],
)
def test_worked_example_gives_its_printed_heats(fresh, printed):
    blend = Blend(EXAMPLE, fresh)
    heat = heat_released(blend.liquid(CELSIUS), blend.amount, blend.molar_mass, blend.heat)
    assert_allclose(heat / 1000, printed, atol=0.051)


def test_worked_example_gives_every_printed_amount_at_35_degrees():
    printed = {  # 100 n, s, 100 l
        "FA_C14": (0.342, 0.35613, 0.342),
        "FA_C16": (7.924, 0.17957, 7.924),
        "FA_C18": (6.318, 0.09140, 5.215),
        "OH_C14": (0.456, 0.90883, 0.252),
        "OH_C16": (31.751, 0.55037, 13.613),
        "OH_C18": (28.603, 0.34181, 9.094),
        "OH_C20": (0.327, 0.22002, 0.076),
        "TAG_POP": (2.757, 1.04442, 2.757),
        "TAG_SOS": (5.627, 0.57036, 5.627),
        "TAG_PPS": (0.168, 0.00826, 0.168),
        "CAT_BTMS": (4.072, 0.06558, 0.334),
    }
    blend = Blend(EXAMPLE)
    s, liquid = blend.solubility(35.0), blend.liquid(35.0)
    for name, (amount, solubility, melted) in printed.items():
        at = blend.names.index(name)
        assert 100 * blend.amount[at] == pytest.approx(amount, abs=6e-4)
        assert s[at, 0] == pytest.approx(solubility, abs=6e-6)
        assert 100 * liquid[at, 0] == pytest.approx(melted, abs=1e-3)
    assert liquid.sum() == pytest.approx(0.57058363, abs=1e-8)


def bracketed(blend, solubility, attraction=0.0):
    """Return l of one cell by nested bracketing root searches on the same balance."""
    n, s = blend.amount, solubility
    families = {f: [i for i, g in enumerate(blend.families) if g == f] for f in blend.families if f}
    single = [i for i, g in enumerate(blend.families) if not g]

    def solid(members, total):
        def miss(amount):
            return sum(n[i] / (total * s[i] + amount) for i in members) - 1

        if miss(1e-300) <= 0:
            return 0.0
        return brentq(miss, 1e-300, 1.0, xtol=1e-14, rtol=1e-14)

    def balance(total):
        loose = sum(max(0.0, n[i] - s[i] * total) for i in single)
        return total - 1 + loose + sum(solid(m, total) for m in families.values())

    if balance(1.0) <= 1e-13:
        total = 1.0
    else:
        steps = np.linspace(1.0, 1e-6, 400)
        below = next((x for x in steps if balance(x) < 0), None)
        total = 0.0 if below is None else brentq(balance, below, 1.0, xtol=1e-14, rtol=1e-14)
    liquid = np.minimum(n, s * total)
    for members in families.values():
        frozen = solid(members, total)
        for i in members:
            liquid[i] = n[i] * s[i] * total / (total * s[i] + frozen) if total else 0.0
    return liquid


def test_newton_equals_nested_bracketing_and_is_a_hundred_times_faster():
    blend = Blend(EXAMPLE)
    celsius = np.linspace(18.0, 52.0, 12)
    start = time.perf_counter()
    slow = [bracketed(blend, s) for s in blend.solubility(celsius).T]
    slow_time = (time.perf_counter() - start) / celsius.size
    many = np.repeat(celsius, 60)
    start = time.perf_counter()
    fast = blend.liquid(many)
    fast_time = (time.perf_counter() - start) / many.size
    assert_allclose(fast[:, ::60], np.array(slow).T, atol=1e-9)
    assert slow_time > 100 * fast_time


blends = st.dictionaries(st.sampled_from(FATS), st.floats(0.5, 50.0), min_size=1, max_size=4)


@settings(max_examples=60, deadline=None)
@given(grams=blends, fresh=st.booleans(), attraction=st.sampled_from([0.0, -1.8, -3.0]))
def test_any_blend_keeps_mass_and_melts_monotonically(grams, fresh, attraction):
    blend = Blend(grams, fresh)
    celsius = np.linspace(-20.0, 100.0, 61)
    liquid = blend.liquid(celsius, attraction)
    assert np.isfinite(liquid).all()
    assert (liquid >= 0).all()
    assert (liquid <= blend.amount[:, None] + 1e-12).all()
    share = liquid_mass_share(liquid, blend.amount, blend.molar_mass)
    # The damped activity may step back where a eutectic jumps; the melt table mends that.
    assert np.diff(share).min() >= (-1e-9 if attraction == 0.0 else -0.06)
    heat = heat_released(liquid, blend.amount, blend.molar_mass, blend.heat)
    if attraction == 0.0:
        assert np.diff(heat).max() <= 1e-6


@settings(max_examples=40, deadline=None)
@given(grams=blends, fresh=st.booleans(), celsius=st.floats(0.0, 80.0))
def test_what_is_saturated_obeys_its_own_equation(grams, fresh, celsius):
    blend = Blend(grams, fresh)
    s, liquid = blend.solubility(celsius)[:, 0], blend.liquid(celsius)[:, 0]
    total = liquid.sum()
    for i, family in enumerate(blend.families):
        members = [k for k, g in enumerate(blend.families) if family and g == family] or [i]
        saturated = liquid[members].sum() < blend.amount[members].sum() - 1e-9
        if saturated and total > 1e-6:
            solid_law = sum(liquid[k] / (s[k] * total) for k in members)
            assert solid_law == pytest.approx(1.0, abs=1e-8)


def test_fresh_crystals_are_never_harder_than_aged_ones_up_to_45_degrees():
    celsius = np.linspace(5.0, 45.0, 41)
    for name in FATS:
        fresh, aged = Blend({name: 1.0}).share(celsius), Blend({name: 1.0}, False).share(celsius)
        assert (fresh >= aged - 1e-9).all(), name


def test_pure_component_melts_at_its_point():
    acid = ideal_solubility(np.array([[342.44, 342.46]]), 342.45, 61200.0)
    liquid = liquid_amounts([1.0], acid, [""], ["acid"], 0.0)
    assert_allclose(liquid, [[0.0, 1.0]], atol=1e-12)


def test_one_family_alone_is_a_lens_between_solidus_and_liquidus():
    s = np.array([[1.3], [0.8]])
    n = np.array([0.5, 0.5])
    liquid = liquid_amounts(n, s, ["F", "F"], ["", ""], 0.0)
    # Both phases present: sum x_solid s = 1 with x_solid = l/(s L).
    total = liquid.sum()
    assert 0 < total < 1
    assert (liquid[:, 0] / s[:, 0]).sum() / total == pytest.approx(1.0, abs=1e-9)


def test_splitting_and_scaling_a_blend_changes_nothing():
    whole = Blend(EXAMPLE).share(CELSIUS, -1.8)
    scaled = Blend({name: 3 * gram for name, gram in EXAMPLE.items()}).share(CELSIUS, -1.8)
    turned = Blend(dict(reversed(EXAMPLE.items()))).share(CELSIUS, -1.8)
    assert_allclose(scaled, whole, atol=1e-12)
    assert_allclose(turned, whole, atol=1e-12)


def test_palmitic_and_stearic_acid_have_the_computed_eutectic():
    point = np.array([62.49, 69.3]) + 273.15
    heat = np.array([53700.0, 61200.0])
    eutectic = brentq(lambda t: ideal_solubility(t, point, heat).sum() - 1, 310.0, 340.0)
    assert eutectic - 273.15 == pytest.approx(54.434, abs=2e-3)
    share = ideal_solubility(eutectic, point, heat)
    mass = share * [256.42, 284.48]
    assert 100 * mass[0] / mass.sum() == pytest.approx(59.83, abs=0.02)


@pytest.mark.parametrize(
    ("fresh", "printed"),
    [
        (False, [97.5, 91.5, 86.4, 77.6, 69.9, 35.3, 5.4, 0.4]),
        (True, [96.9, 86.1, 74.9, 39.2, 4.0, 0.9, 0.7, 0.4]),
    ],
)
def test_cocoa_butter_gives_its_printed_solid_fat(fresh, printed):
    celsius = np.array([10, 15, 20, 25, 27.5, 30, 32.5, 35])
    solid = 100 * (1 - Blend({"cocoa butter": 1.0}, fresh).share(celsius))
    assert_allclose(solid, printed, atol=0.06)
