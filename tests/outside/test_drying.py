"""Diffusion out of slabs and cylinders against Crank and the textbook tables."""

import numpy as np
import pytest
from scipy.special import j0, j1

from designer.laws.drying import cylinder_water_left, puck_drying_time, slab_water_left
from designer.laws.surface_drying import cylinder_roots, slab_roots
from tests.outside.published import each

ROOTS = {"slab": slab_roots, "cylinder": cylinder_roots}


@each("diffusion", "shape", "biot")
def test_first_root_is_that_of_the_textbook(row):
    root = ROOTS[row["shape"]](row["biot"], 1)[0]
    assert root == pytest.approx(row["root"], abs=row["tolerance"])


@each("diffusion", "shape", "biot")
def test_first_coefficient_is_that_of_the_textbook(row):
    # The textbook's C1 multiplies the centre; the same root gives it.
    root = ROOTS[row["shape"]](row["biot"], 1)[0]
    centre = {
        "slab": 4 * np.sin(root) / (2 * root + np.sin(2 * root)),
        "cylinder": 2 * j1(root) / (root * (j0(root) ** 2 + j1(root) ** 2)),
    }
    assert centre[row["shape"]] == pytest.approx(row["coefficient"], abs=row["tolerance"])


@pytest.mark.parametrize(("shape", "limit"), [("slab", np.pi / 2), ("cylinder", 2.4048)])
def test_roots_end_where_the_surface_offers_no_resistance(shape, limit):
    # First zeros of cos and J0: any table of functions; A. G. Ostrogorsky, J. Heat Transfer 131
    # (2009), doi 10.1115/1.2977540, gives both as the limits (read).
    assert ROOTS[shape](1e8, 1)[0] == pytest.approx(limit, abs=5e-5)


def test_half_of_a_sheet_is_gone_at_cranks_half_time():
    # Crank 1975: D t/l^2 = 0.04919 for the whole thickness l (memory); exactly 0.04918.
    assert slab_water_left(0.04919, 1e-4, 0.5e-2) == pytest.approx(0.5, abs=2e-4)


def test_half_of_a_cylinder_is_gone_at_its_half_time():
    # D t/a^2 = 0.0631 (memory).
    assert cylinder_water_left(0.0631, 1e-4, 1e-2) == pytest.approx(0.5, abs=5e-4)


def test_sheet_takes_up_what_another_library_prints():
    # Reference page of an open polymer-kinetics library, after Crank 1975, p. 48 (read).
    uptake = 1 - slab_water_left(100.0, 1e-10, 0.2e-3)
    assert uptake == pytest.approx(0.562233541762138, abs=2e-6)


def test_a_flat_puck_dries_as_a_sheet_and_a_tall_one_as_a_cylinder():
    # Newman 1931: the product rule has both as limits (definition).
    flat = puck_drying_time(0.5, 1e-10, 1.0, 1e-3, False)
    tall = puck_drying_time(0.5, 1e-10, 1e-3, 1.0, False)
    assert flat * 1e-10 / 1e-3**2 == pytest.approx(0.0492, rel=0.01)
    assert tall * 1e-10 / 0.5e-3**2 == pytest.approx(0.0631, rel=0.01)


def test_drying_time_grows_with_the_square_of_size():
    # Any text on diffusion; a bar of twice the size takes four times as long.
    small = puck_drying_time(0.7, 2e-11, 0.03, 0.02, False)
    assert puck_drying_time(0.7, 2e-11, 0.06, 0.04, False) == pytest.approx(4 * small, rel=1e-9)
