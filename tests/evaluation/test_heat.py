"""Cooling and setting of a lump: the worked batch, limits, and the steps' own error."""

from dataclasses import replace

import numpy as np
import pytest
from bars import recipe

from designer import handbook
from designer.evaluation import heat, knowledge
from designer.evaluation.evaluate import clock_times, conditions_of
from designer.evaluation.melt_table import GRID, blend_of, melt_table
from designer.evaluation.mixture import mix
from designer.laws import cooling
from designer.recipe import resolve

BOOK = handbook.load()
EXAMPLE = {
    "cocoa butter": 60.0,
    "shea butter, West African": 30.0,
    "cetostearyl alcohol 50/50": 50.0,
    "stearic acid, double/triple pressed (C16/C18)": 20.0,
    "25 % active conditioner wax": 40.0,
}
ROOM, MELT_SHARE, CAPACITY = 295.15, 0.2, 2045.5


def with_attraction(value):
    parameter = replace(BOOK.parameters["acid_alcohol_attraction"], value=value)
    return replace(BOOK, parameters={**BOOK.parameters, "acid_alcohol_attraction": parameter})


def run(book, minutes, mass=1.0, lag=None, kneaded_for=10.0, dt=2.0):
    """Return temperature [°C] and liquid share of the worked batch at times [min]."""
    melts = tuple(BOOK.melts[name] for name in EXAMPLE)
    table = melt_table(book, blend_of(melts, np.array(list(EXAMPLE.values()))), knowledge.central())
    end = np.arange(dt, 60 * max(minutes) + dt / 2, dt)
    kneaded = end <= 60 * kneaded_for + 1e-9
    area = float(cooling.lump_area(mass, 950.0, 1.2))
    biot = float(cooling.biot_number(mass, 950.0, 12.0, 0.25))
    # The bowl's heat capacity goes with the surface of what it holds.
    capacity = CAPACITY - 150.0 + 150.0 * mass ** (-1 / 3)
    loss, hand, whole = 12.0 * area, 0.25, capacity * mass
    rate = np.array([[(loss + hand) / whole], [loss / (1 + biot / 5) / whole]])
    around = np.array([[(loss * ROOM + hand * 304.15) / (loss + hand)], [ROOM]])
    start = 305.15
    lump = cooling.Cooling(np.array([start]), np.array([capacity]), around, rate)
    setting = cooling.Setting(
        np.array([MELT_SHARE]),
        GRID,
        table.solid,
        table.heat_of_fusion,
        table.molar_mass,
        table.time_constant if lag is None else np.full_like(table.time_constant, lag),
        30.0,
    )
    recorded = np.searchsorted(end, 60 * np.array(minutes))
    step = np.full(end.size, dt)
    temperature, share = cooling.set_while_cooling(step, kneaded, recorded, lump, setting)
    return temperature[:, 0] - 273.15, 1 - share[:, 0]


MINUTES = [1, 2, 5, 10, 20, 30, 60]


@pytest.mark.parametrize(
    ("attraction", "celsius", "liquid"),
    [
        (
            0.0,
            [33.98, 34.71, 34.67, 33.62, 32.50, 31.57, 29.11],
            [0.839, 0.764, 0.702, 0.678, 0.656, 0.633, 0.585],
        ),
        (
            -1.8,
            [33.46, 33.99, 33.87, 32.83, 31.67, 30.62, 28.31],
            [0.873, 0.813, 0.761, 0.743, 0.729, 0.718, 0.680],
        ),
    ],
)
def test_the_worked_batch_runs_as_printed(attraction, celsius, liquid):
    temperature, share = run(with_attraction(attraction), MINUTES)
    np.testing.assert_allclose(temperature, celsius, atol=0.03)
    np.testing.assert_allclose(share, liquid, atol=0.0021)


@pytest.mark.parametrize(
    ("mass", "celsius"),
    [
        (0.5, [34.3, 33.0, 30.5, 27.6]),
        (2.0, [35.0, 34.1, 32.5, 30.5]),
        (5.0, [35.3, 34.7, 33.5, 32.0]),
    ],
)
def test_larger_batches_stay_warm_as_printed(mass, celsius):
    temperature, _ = run(with_attraction(0.0), [5, 10, 30, 60], mass)
    np.testing.assert_allclose(temperature, celsius, atol=0.06)


def test_the_worked_batch_meets_at_32_degrees():
    parts = np.array(
        [0.2 * 2045, 450 * 1.45 + 70 * 1.2 + 100 * 1.8 + 100 * 3.3 + 40 * 2.4 + 40 * 3.6, 150.0]
    )
    temperature = cooling.meeting_temperature(parts, np.array([345.15, 295.15, 295.15]))
    assert temperature - 273.15 == pytest.approx(32.00, abs=0.01)


def test_without_setting_the_lump_cools_by_newtons_law():
    temperature, share = run(BOOK, [5, 10], lag=1e9)
    area = float(cooling.lump_area(1.0, 950.0, 1.2))
    loss, hand = 12.0 * area, 0.25
    around = (loss * ROOM + hand * 304.15) / (loss + hand)
    exact = cooling.newton_cooling(
        np.array([300.0, 600.0]), 305.15, around, CAPACITY / (loss + hand)
    )
    np.testing.assert_allclose(temperature + 273.15, exact, atol=1e-3)
    np.testing.assert_allclose(share, 1.0, atol=1e-6)


def test_setting_at_once_follows_equilibrium():
    book = with_attraction(0.0)
    melts = tuple(BOOK.melts[name] for name in EXAMPLE)
    table = melt_table(book, blend_of(melts, np.array(list(EXAMPLE.values()))), knowledge.central())
    temperature, share = run(book, [30, 60], lag=1e-3)
    for celsius, liquid in zip(temperature, share, strict=True):
        at_rest = 1 - np.interp(celsius + 273.15, GRID, table.fresh_set[0])
        assert liquid == pytest.approx(at_rest, abs=0.006)


def test_the_steps_of_the_evaluation_are_fine_enough():
    """Many more steps move temperature by under 0.02 K and the share by under 0.002."""
    bar = recipe(1)
    mixture, conditions = mix(bar, resolve(bar), BOOK), conditions_of(bar, resolve(bar))
    times = clock_times(conditions.window)
    few = heat.course(mixture, conditions, times, BOOK, knowledge.central())
    fine = np.unique(np.concatenate([times, np.geomspace(1.0, times[-1], 2000)]))
    many = heat.course(mixture, conditions, fine, BOOK, knowledge.central())
    at = np.searchsorted(fine, times)
    np.testing.assert_allclose(few.temperature[0], many.temperature[0][at], atol=0.02)
    np.testing.assert_allclose(few.set_share[0], many.set_share[0][at], atol=0.002)


@pytest.mark.parametrize(
    ("mass", "area", "biot", "loss", "end"),
    [
        (0.5, 0.0378, 2.40, 0.454, 25.2),
        (1.0, 0.0601, 3.03, 0.721, 24.3),
        (2.0, 0.0953, 3.82, 1.144, 23.6),
        (5.0, 0.1756, 5.18, 2.107, 23.0),
    ],
)
def test_lumps_have_their_printed_surface_and_end_temperature(mass, area, biot, loss, end):
    surface = float(cooling.lump_area(mass, 950.0, 1.2))
    assert surface == pytest.approx(area, abs=6e-5)
    assert float(cooling.biot_number(mass, 950.0, 12.0, 0.25)) == pytest.approx(biot, abs=6e-3)
    assert 12 * surface == pytest.approx(loss, abs=6e-4)
    around = (12 * surface * 22 + 0.25 * 31) / (12 * surface + 0.25)
    assert around == pytest.approx(end, abs=0.06)
