"""Isotherms and salts against handbooks, standards and papers."""

import numpy as np
import pytest

from designer import handbook
from designer.laws.sorption import (
    WATER_MOLAR_MASS,
    gab_water,
    norrish_activity,
    pitzer_activity,
    pitzer_osmotic,
)
from tests.outside.published import each

HOLDERS = handbook.load().holders
INCI = {
    "glycerol": "Glycerin",
    "glucose": "Glucose",
    "fructose": "Fructose",
    "sucrose": "Sucrose",
    "urea": "Urea",
    "sodium chloride": "Sodium Chloride",
    "potassium chloride": "Potassium Chloride",
    "sodium acetate": "Sodium Acetate",
}


def pitzer(salt):
    holder = HOLDERS[INCI[salt]]
    return holder.pitzer_b0, holder.pitzer_b1, holder.pitzer_cphi


def solution_activity(solute, mass_percent):
    holder = HOLDERS[INCI[solute]]
    moles = mass_percent / holder.molar_mass
    if holder.model == "salt":
        return pitzer_activity(moles / (100 - mass_percent), *pitzer(solute))
    x = moles / (moles + (100 - mass_percent) / WATER_MOLAR_MASS)
    return norrish_activity(x, holder.alpha, holder.beta)


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
    law = pitzer_osmotic if row["quantity"] == "osmotic coefficient" else pitzer_activity
    assert law(row["molality"], *pitzer(row["salt"])) == pytest.approx(
        row["value"], abs=row["tolerance"]
    )


def test_one_constant_for_glycerol_would_fail_where_bars_end_up():
    # K -1.16: table 3 of Int. J. Dentistry 2010, 981072 (read); it holds above activity 0.85 only.
    moles = 80 / 0.092094
    x = moles / (moles + 20 / WATER_MOLAR_MASS)
    assert norrish_activity(x, -1.16, 0.0) == pytest.approx(0.449, abs=1e-3)
    assert 0.485 - norrish_activity(x, -1.16, 0.0) > 0.03


@each("salts", "salt", quantity="saturated activity")
def test_salt_dissolves_at_its_published_humidity_in_the_table_too(row):
    holder = HOLDERS[INCI[row["salt"]]]
    assert holder.saturation_molality == pytest.approx(row["molality"], abs=0.01)
    assert holder.saturation_activity == pytest.approx(row["value"], abs=row["tolerance"])


@pytest.mark.parametrize(
    ("inci", "constant"), [("Erythritol", 1.34), ("Xylitol", 1.66), ("Mannitol", 0.906)]
)
def test_sugar_alcohol_has_its_published_norrish_constant(inci, constant):
    # Table 3 of Int. J. Dentistry 2010, 981072 (read); the law's alpha is -K, beta 0.
    assert HOLDERS[inci].alpha == -constant
    assert HOLDERS[inci].beta == 0


def test_glycerol_weighs_what_a_handbook_says():
    # 1.2611 g/mL at 20 °C: CRC Handbook, 102nd ed., in a public transcription (read).
    assert HOLDERS["Glycerin"].density == pytest.approx(1261.1, abs=0.1)


STARCH = {
    name: (
        HOLDERS[f"starch {name}"].gab_m0,
        HOLDERS[f"starch {name}"].gab_c,
        HOLDERS[f"starch {name}"].gab_k,
    )
    for name in ("desorption", "adsorption")
}


@pytest.mark.parametrize(
    ("way", "activity", "water"),
    [
        ("desorption", 0.50, 0.124),
        ("desorption", 0.75, 0.184),
        ("adsorption", 0.50, 0.116),
        ("adsorption", 0.75, 0.176),
    ],
)
def test_rice_starch_holds_its_published_water(way, activity, water):
    # Rice starch, 25 °C: Sci. Technol. Food Ind. 2014 no. 10,
    # doi 10.13386/j.issn1002-0306.2014.10.036, GAB constants (recorded).
    assert gab_water(activity, *STARCH[way]) == pytest.approx(water, abs=5e-4)


def test_drying_starch_holds_more_than_wetting_starch():
    # Hysteresis of rice starch, same source: 10 % more at activity 0.3, 4 % more at 0.8.
    activity = np.array([0.3, 0.8])
    more = gab_water(activity, *STARCH["desorption"]) / gab_water(activity, *STARCH["adsorption"])
    assert more - 1 == pytest.approx(np.array([0.10, 0.04]), abs=0.01)
