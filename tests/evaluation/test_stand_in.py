"""The dough and the bar with six simple fats have every printed number."""

import numpy as np
import pytest
from bars import CHANGES
from stand_in import Bench

GOLDEN = {
    1: ([1.17, 6.4, 1.06, 13.5, 1.03, 17.6, 1.01, 20.3], [50, 228, 346]),
    2: ([1.33, 2.0, 1.21, 4.5, 1.17, 6.2, 1.16, 7.2], [18, 96, 212]),
    3: ([0.95, 31.5, 0.85, 62.0, 0.82, 79.8, 0.81, 92.0], [196, 501, 538]),
    4: ([1.47, 0.7, 1.35, 1.5, 1.31, 2.1, 1.29, 2.6], [8, 68, 114]),
    5: ([1.27, 2.9, 1.17, 5.9, 1.14, 7.7, 1.12, 8.9], [23, 123, 214]),
    6: ([1.18, 5.2, 1.11, 9.1, 1.08, 11.4, 1.07, 12.4], [25, 82, 139]),
    7: ([1.16, 7.1, 1.05, 16.2, 1.01, 21.7, 0.99, 25.9], [69, 290, 413]),
    8: ([1.20, 5.2, 1.11, 9.7, 1.09, 11.5, 1.09, 11.9], [27, 124, 210]),
    9: ([1.06, 14.1, 0.96, 29.0, 0.92, 38.7, 0.91, 45.6], [113, 393, 486]),
    10: ([1.07, 13.3, 0.97, 26.9, 0.94, 34.1, 0.93, 37.7], [77, 229, 369]),
}


@pytest.mark.parametrize("number", sorted(CHANGES))
def test_every_bar_has_its_printed_wetness_and_strength(number):
    bench = Bench(number)
    made = bench.dough()
    printed, bars = GOLDEN[number]
    rows = [1, 2, 3, 4]
    np.testing.assert_allclose(made.wetness[rows, 0], printed[0::2], atol=0.0075)
    kpa = np.exp(made.log_strength[rows, 0]) / 1000
    np.testing.assert_allclose(kpa, printed[1::2], rtol=0.012, atol=0.051)
    np.testing.assert_allclose(bench.bar_kpa()[-3:], bars, rtol=0.02, atol=0.51)


def test_every_step_of_the_first_bar_has_its_printed_number():
    bench = Bench(1)
    made = bench.dough()
    rows = [0, 1, 3]
    np.testing.assert_allclose(np.array(bench.temperature)[rows], [29.99, 31.59, 32.56], atol=0.03)
    np.testing.assert_allclose(
        made.polar_demand[rows, 0] * 1e5, [28.748, 29.448, 32.338], atol=2e-3
    )
    polar = made.polar_volume / made.polar_demand
    oil = (made.oil_volume + 0.5 * made.set_volume) / made.oil_demand
    np.testing.assert_allclose(polar[rows, 0], [0.5358, 0.5328, 0.5331], atol=1.5e-4)
    np.testing.assert_allclose(oil[rows, 0], [0.6888, 0.6346, 0.4963], atol=4e-4)
    np.testing.assert_allclose(
        made.log_strength[rows, 0] - np.log(1000), [1.4587, 1.8588, 2.8664], atol=2e-3
    )
    np.testing.assert_allclose(np.exp(made.tack_cut[rows, 0]) / 1e3, [9.46, 9.66, 10.41], atol=0.02)
    np.testing.assert_allclose(
        np.exp(made.crumble_cut[rows, 0]) / 1e3, [86.1, 84.1, 82.8], atol=0.15
    )


@pytest.mark.parametrize(
    ("name", "wetness", "factor"),
    [
        ("CAPB 30 %", 0.0285, 0.811),
        ("water", 0.0299, 0.803),
        ("argan oil", 0.0349, 0.770),
        ("shea butter, West African", 0.0351, 0.769),
        ("corn starch", -0.0179, 1.143),
        ("SCI fine powder", -0.0159, 1.126),
        ("silica (precipitated hydrated)", -0.0540, 1.493),
        ("white clay", -0.0120, 1.094),
    ],
)
def test_one_gram_more_moves_the_first_bar_as_printed(name, wetness, factor):
    before, after = (Bench(1, extra).dough() for extra in (None, {name: 1.0}))
    moved = float(after.wetness[3, 0] - before.wetness[3, 0])
    stronger = float(np.exp(after.log_strength[3, 0] - before.log_strength[3, 0]))
    assert moved == pytest.approx(wetness, abs=1.5e-3)
    assert stronger == pytest.approx(factor, rel=0.012)
