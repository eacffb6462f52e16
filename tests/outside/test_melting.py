"""Melting of pure fats, eutectics and butters against lists and papers.

The melt model is known to be off by two or three kelvins and by about nine points of solid fat;
its deviation is written into the rows and held, so that neither a better nor a worse model passes
unnoticed.
"""

import re
from functools import cache

import numpy as np
import pytest
from chemicals import MW, CAS_from_any
from chemicals.phase_change import Hfus, Tm

from designer import handbook
from designer.laws.melting import ideal_solubility, liquid_amounts, liquid_mass_share
from tests.outside.published import each, rows

BOOK = handbook.load()


@each("melting_points", "component")
def test_pure_fat_melts_where_a_handbook_says(row):
    listed = Tm(row["cas"], method=row["list"]) - 273.15
    assert listed == pytest.approx(row["value"], abs=0.01)
    table = BOOK.components[row["component"]].melting_point - 273.15
    assert table == pytest.approx(row["value"], abs=row["tolerance"])


def test_pure_fats_are_within_a_kelvin_of_a_handbook_on_the_whole():
    errors = [
        BOOK.components[row["component"]].melting_point - 273.15 - row["value"]
        for row in rows("melting_points")
    ]
    assert np.sqrt(np.mean(np.square(errors))) < 0.6


@each("heats_of_fusion", "component")
def test_pure_fat_takes_the_heat_a_handbook_says(row):
    assert Hfus(row["cas"], method="CRC") == pytest.approx(row["value"], abs=1.0)
    table = BOOK.components[row["component"]].heat_of_fusion * row["share"]
    assert table == pytest.approx(row["value"], rel=row["tolerance"])


def test_tristearin_takes_its_measured_heat():
    # 219.6 to 221.6 J/g, beta form: J. Chem. Eng. Data 50 (2005) 1624 (recorded).
    fat = BOOK.components["TAG_SSS"]
    assert fat.heat_of_fusion / fat.molar_mass / 1000 == pytest.approx(220.6, abs=2.5)


def test_tribehenin_takes_its_measured_heat():
    # 82 °C, 214 J/g: review table, PMC12131709 (recorded).
    fat = BOOK.components["TAG_BBB"]
    assert fat.heat_of_fusion / fat.molar_mass / 1000 == pytest.approx(214, abs=1)
    assert fat.melting_point - 273.15 == pytest.approx(82, abs=0.5)


@cache
def crystal(name):
    """Return melting point, heat of fusion and molar mass of a component or a pure compound."""
    if name in BOOK.components:
        component = BOOK.components[name]
        return component.melting_point, component.heat_of_fusion, component.molar_mass
    cas = CAS_from_any(name)
    return Tm(cas), Hfus(cas), MW(cas) / 1000


def head_groups(names):
    return [{"FA_": "acid", "OH_": "alcohol"}.get(name[:3], "") for name in names]


@cache
def eutectic(system, attraction):
    """Return temperature [K], mole shares and mass shares of a liquid saturated with all crystals.

    Solved apart from the law: the shares of one temperature by iteration of x = s/gamma(x), the
    temperature by halving where they sum to 1.
    """
    point, heat, molar_mass = np.array([crystal(name) for name in system.split(" + ")]).T
    heads = np.array(head_groups(system.split(" + ")))
    acid, alcohol = heads == "acid", heads == "alcohol"
    low, high = point.min() - 60, point.min()
    for _ in range(40):
        middle = (low + high) / 2
        ideal = ideal_solubility(middle, point, heat)
        share = ideal / ideal.sum()
        for _ in range(60 if attraction else 0):
            a, o = share[acid].sum(), share[alcohol].sum()
            pull = np.where(acid, o * (1 - a), np.where(alcohol, a * (1 - o), -a * o))
            share = 0.5 * share + 0.5 * ideal * np.exp(-attraction * pull)
        saturated = ideal.sum() if not attraction else share.sum()
        low, high = (low, middle) if saturated > 1 else (middle, high)
    share = share / share.sum()
    return middle, share, share * molar_mass / (share @ molar_mass)


@each("eutectics", "system", "attraction")
def test_eutectic_deviates_from_print_by_the_error_that_is_stated(row):
    error = eutectic(row["system"], row["attraction"])[0] - 273.15 - row["value"]
    assert error == pytest.approx(row["error"], abs=row["tolerance"])


@each("eutectics", "system", attraction=0.0)
def test_the_law_melts_a_eutectic_all_at_once(row):
    names = row["system"].split(" + ")
    point, heat, molar_mass = np.array([crystal(name) for name in names]).T
    temperature, amount, _ = eutectic(row["system"], 0.0)
    around = temperature + np.array([-0.02, 0.02])
    solubility = ideal_solubility(around, point[:, None], heat[:, None])
    liquid = liquid_amounts(amount, solubility, [""] * len(names), head_groups(names), 0.0)
    assert liquid_mass_share(liquid, amount, molar_mass) == pytest.approx([0.0, 1.0], abs=1e-9)


@pytest.mark.parametrize(
    ("use", "rms", "worst"),
    [("known", 2.4, 4.5), ("independent", 4.3, 8.35), ("fitted", 2.3, 2.65)],
)
def test_eutectics_are_off_by_what_is_claimed_on_the_whole(use, rms, worst):
    errors = np.array([row["error"] for row in rows("eutectics") if row["use"] == use])
    assert np.sqrt((errors**2).mean()) == pytest.approx(rms, abs=0.1)
    assert np.abs(errors).max() == pytest.approx(worst, abs=0.1)


def test_eutectics_of_acids_lie_within_six_per_cent_of_their_printed_mass():
    pairs = [row for row in rows("eutectics") if re.fullmatch(r"FA_\w+ \+ FA_\w+", row["system"])]
    printed = np.array([row["first_mass_percent"] for row in pairs])
    model = np.array([100 * eutectic(row["system"], 0.0)[2][0] for row in pairs])
    assert len(pairs) == 6
    assert np.abs(model - printed).max() < 6.2
    assert np.sqrt(np.mean((model - printed) ** 2)) == pytest.approx(4.5, abs=0.2)


class Fat:
    """A melt material at equilibrium, of fresh or aged crystals."""

    def __init__(self, melt, fresh=False):
        parts = [BOOK.components[name] for name, _ in melt.components]
        self.molar_mass = np.array([part.molar_mass for part in parts])
        moles = np.array([fraction for _, fraction in melt.components]) / self.molar_mass
        self.amount = moles / moles.sum()
        self.point = np.array([p.melting_point - fresh * p.fresh_shift for p in parts])
        factor = np.array([p.fresh_heat_factor if fresh else 1.0 for p in parts])
        self.heat = np.array([p.heat_of_fusion for p in parts]) * factor
        self.families = [part.family for part in parts]
        self.heads = head_groups([part.name for part in parts])

    def liquid_percent(self, celsius):
        kelvin = np.atleast_1d(celsius) + 273.15
        solubility = ideal_solubility(kelvin, self.point[:, None], self.heat[:, None])
        liquid = liquid_amounts(self.amount, solubility, self.families, self.heads, 0.0)
        return 100 * liquid_mass_share(liquid, self.amount, self.molar_mass)

    def softening_point(self):
        """Return the temperature [°C] where 4 % is still solid, near the slip point."""
        celsius = np.arange(-30.0, 110.0, 0.1)
        return celsius[(np.maximum.accumulate(self.liquid_percent(celsius)) >= 96).argmax()]


FITTED_BY_HAND = (
    "murumuru butter",
    "tucuma kernel butter",
    "coconut oil",
    "palm kernel oil",
    "babassu oil",
    "palm oil",
    "palm stearin",
)
"""Fats whose pseudo-components were set on their own curves."""

NOT_FITTED = (
    "cocoa butter",
    "shea butter, West African",
    "shea stearin",
    "illipe butter",
    "bacuri butter",
)


def solid_fat_errors(names):
    """Return model minus published solid fat content, in points, of the fats named."""
    errors = []
    for name in names:
        melt = BOOK.melts[name]
        for kelvin, share in melt.sfc.items():
            solid = 100 - Fat(melt).liquid_percent(kelvin - 273.15)[0]
            errors.append(solid - 100 * share)
    return np.array(errors)


def test_solid_fat_of_butters_is_off_by_what_is_claimed():
    # Published points stand in the melt table with their sources; mostly memory, bacuri recorded.
    errors = solid_fat_errors(NOT_FITTED)
    assert errors.size == 19
    assert errors.mean() == pytest.approx(3.3, abs=0.1)
    assert np.sqrt((errors**2).mean()) == pytest.approx(8.6, abs=0.1)
    assert np.sort(np.abs(errors))[-2:] == pytest.approx([11.8, 22.1], abs=0.2)


def test_solid_fat_of_fitted_fats_is_off_by_what_is_claimed():
    errors = solid_fat_errors(FITTED_BY_HAND)
    assert errors.size == 36
    assert np.sqrt((errors**2).mean()) == pytest.approx(2.3, abs=0.1)
    assert np.abs(errors).max() == pytest.approx(7.2, abs=0.1)


def test_every_published_solid_fat_point_is_checked():
    checked = {"sunflower oil", *NOT_FITTED, *FITTED_BY_HAND}
    assert {melt.name for melt in BOOK.melts.values() if melt.sfc} == checked


def test_sunflower_oil_never_sets_in_a_room():
    assert solid_fat_errors(["sunflower oil"]) == pytest.approx(0.0, abs=0.01)


def test_untempered_cocoa_butter_melts_as_form_iv():
    # Forms IV, V, VI at 27.5, 33.8, 36.3 °C: R. L. Wille, E. S. Lutton 1966, read in an
    # encyclopedia. Fresh crystals were fitted to the first, so only the others are a test.
    cocoa = BOOK.melts["cocoa butter"]
    assert Fat(cocoa, fresh=True).softening_point() == pytest.approx(27.5, abs=0.2)
    assert 32.0 < Fat(cocoa).softening_point() < 33.8


@each("melting_ranges", "material")
def test_fat_softens_within_its_published_range_or_off_it_by_what_is_stated(row):
    model = Fat(BOOK.melts[row["material"]]).softening_point()
    outside = max(model - row["high"], 0.0) + min(model - row["low"], 0.0)
    assert outside == pytest.approx(row["error"], abs=row["tolerance"])


def test_nine_in_ten_materials_soften_within_the_range_their_row_prints():
    solids = [melt for melt in BOOK.melts.values() if melt.material_class != "oil"]
    inside = [
        melt
        for melt in solids
        if melt.melting_low - 0.05
        <= Fat(melt).softening_point() + 273.15
        <= melt.melting_high + 0.05
    ]
    assert len(inside) / len(solids) >= 0.9


def test_neighbouring_fatty_alcohols_melt_together_as_one_crystal():
    # C19 and C20 alcohol form one crystal with less than 0.2 K between first and last melting
    # (Chem. Mater. 17 (2005) 3302, recorded).
    point, heat, molar_mass = np.array([crystal("1-nonadecanol"), crystal("1-eicosanol")]).T
    celsius = np.arange(50.0, 70.0, 0.01)
    solubility = ideal_solubility(celsius + 273.15, point[:, None], heat[:, None])
    amount = np.array([0.5, 0.5])
    liquid = liquid_amounts(amount, solubility, ["ALC", "ALC"], ["alcohol"] * 2, 0.0)
    share = liquid_mass_share(liquid, amount, molar_mass)
    assert np.ptp(celsius[(share > 1e-9) & (share < 1 - 1e-9)]) < 0.2
