"""Isotherms and salts against handbooks, standards and papers."""

import numpy as np
import pytest

from designer.laws.sorption import (
    WATER_MOLAR_MASS,
    gab_water,
    norrish_activity,
    pitzer_activity,
    pitzer_osmotic,
)
from tests.outside.published import each

SOLUTES = {  # alpha, beta, kg/mol; the constants the program ships
    "glycerol": (-1.24, 1.09, 0.092094),
    "glucose": (-2.25, 0.0, 0.180156),
    "fructose": (-2.25, 0.0, 0.180156),
    "sucrose": (-6.47, 0.0, 0.342296),
    "urea": (0.9, 0.0, 0.060056),
}
SALTS = {  # beta 0, beta 1, C phi, kg/mol
    "sodium chloride": (0.07831, 0.2677, 0.000864, 0.058443),
    "potassium chloride": (0.04835, 0.2122, -0.00084, 0.074551),
}


def solution_activity(solute, mass_percent):
    if solute in SALTS:
        *pitzer, molar_mass = SALTS[solute]
        return pitzer_activity(mass_percent / (100 - mass_percent) / molar_mass, *pitzer)
    alpha, beta, molar_mass = SOLUTES[solute]
    moles = mass_percent / molar_mass
    return norrish_activity(moles / (moles + (100 - mass_percent) / WATER_MOLAR_MASS), alpha, beta)


def freezing_activity(depression):
    """Return the water activity of a solution in balance with ice at its freezing point.

    D. M. Murphy, T. Koop, Q. J. R. Meteorol. Soc. 131 (2005) 1539, eqs. 7 and 10, from memory.
    """
    t = 273.15 - depression
    ice = 9.550426 - 5723.265 / t + 3.53068 * np.log(t) - 0.00728332 * t
    liquid = 54.842763 - 6763.22 / t - 4.210 * np.log(t) + 0.000367 * t
    bend = 53.878 - 1331.22 / t - 9.44523 * np.log(t) + 0.014025 * t
    return np.exp(ice - liquid - np.tanh(0.0415 * (t - 218.8)) * bend)


@each("solutions", "solute", "mass_percent", "quantity")
def test_solution_has_its_published_water_activity(row):
    published = row["value"]
    if row["quantity"] == "freezing depression":
        published = freezing_activity(published)
    model = solution_activity(row["solute"], row["mass_percent"])
    assert model == pytest.approx(published, abs=row["tolerance"])


@each("salts", "salt", "quantity", "molality")
def test_salt_solution_has_its_published_value(row):
    *pitzer, _ = SALTS[row["salt"]]
    law = pitzer_osmotic if row["quantity"] == "osmotic coefficient" else pitzer_activity
    assert law(row["molality"], *pitzer) == pytest.approx(row["value"], abs=row["tolerance"])


def test_one_constant_for_glycerol_would_fail_where_bars_end_up():
    # K -1.16: table 3 of Int. J. Dentistry 2010, 981072 (read); it holds above activity 0.85 only.
    moles = 80 / 0.092094
    x = moles / (moles + 20 / WATER_MOLAR_MASS)
    assert norrish_activity(x, -1.16, 0.0) == pytest.approx(0.449, abs=1e-3)
    assert 0.485 - norrish_activity(x, -1.16, 0.0) > 0.03


@pytest.mark.parametrize(("activity", "water"), [(0.5, 0.124), (0.75, 0.184)])
def test_drying_rice_starch_holds_its_published_water(activity, water):
    # GAB constants read in Sci. Technol. Food Ind. 2014 no. 10 (recorded); values follow from them.
    assert gab_water(activity, 0.08, 36.43, 0.7646) == pytest.approx(water, abs=5e-4)


def test_drying_starch_holds_more_than_wetting_starch():
    # Hysteresis of rice starch, same source: 10 % more at activity 0.3, 4 % more at 0.8.
    dry = gab_water(np.array([0.3, 0.8]), 0.08, 36.43, 0.7646)
    wet = gab_water(np.array([0.3, 0.8]), 0.0743, 26.87, 0.7842)
    assert dry / wet - 1 == pytest.approx(np.array([0.10, 0.04]), abs=0.01)
