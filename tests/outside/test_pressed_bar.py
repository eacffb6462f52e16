"""Size of a pressed bar against geometry and the densities of its parts."""

import math

import pytest
from bars import grams

from designer import handbook

BOOK = handbook.load()


def cylinder(diameter, height):
    return math.pi / 4 * diameter**2 * height


def test_shipped_press_makes_a_bar_of_113_grams():
    # Mass = density x pi d^2/4 h (geometry); 113 g and 63.5 mm (4 oz, 2.5 in) are common practice.
    volume = cylinder(BOOK.parameters["puck_diameter"].si, BOOK.parameters["puck_height"].si)
    assert 1128 * volume * 1000 == pytest.approx(113, abs=0.2)


def test_usual_dough_without_air_has_the_density_of_that_bar():
    # 1.128 g/mL was printed for this dough (own calculation); the tables give 1.130, 0.2 % more,
    # for a reason not found. A pressed bar holds a little air besides.
    dough = grams(1)
    volume = 0.0
    for (phase, name), gram in dough.items():
        material = BOOK.find(name, phase)
        volume += gram / (material.true_density if phase == "powder" else material.density)
    assert sum(dough.values()) / volume == pytest.approx(1128, rel=0.003)


def test_example_bar_of_100_grams_weighs_what_its_size_says():
    # 60 x 35 mm: 98.96 mL, so 1.01 g/mL at 100 g: a kneaded bar holds air.
    assert 1e6 * cylinder(0.060, 0.035) == pytest.approx(98.96, abs=0.01)


def test_a_bar_keeps_its_mass_whichever_way_it_is_pressed():
    # 60 x 35, 80 x 19.7, 50 x 50.4 mm and 70 x 50 x 28.3 mm hold the same volume (geometry).
    volumes = [
        cylinder(0.060, 0.035),
        cylinder(0.080, 0.0197),
        cylinder(0.050, 0.0504),
        0.070 * 0.050 * 0.0283,
    ]
    assert volumes == pytest.approx([volumes[0]] * 4, rel=2e-3)
