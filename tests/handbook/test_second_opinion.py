"""Molar masses and densities against formulas and an independent property library.

The library is `chemicals` 1.5 (CRC Handbook of Chemistry and Physics, Perry and VDI correlations).
"""

import statistics

import pytest

from designer import handbook

chemicals = pytest.importorskip("chemicals")

BOOK = handbook.load()

# Structural formulas.
FORMULAS = {
    ("components", "TAG_POP"): "C53H100O6",
    ("components", "TAG_POS"): "C55H104O6",
    ("components", "TAG_SOS"): "C57H108O6",
    ("components", "TAG_SOA"): "C59H112O6",
    ("components", "TAG_SSS"): "C57H110O6",
    ("components", "TAG_PPP"): "C51H98O6",
    ("components", "FA_12OH18"): "C18H36O3",
    ("components", "MG_S"): "C21H42O4",
    ("components", "CAT_BTMS"): "C26H57NO4S",
    ("components", "CAT_BTAC"): "C25H54NCl",
    ("components", "HC_SQUAL"): "C30H62",
    ("powders", "SLSA powder"): "C14H27NaO5S",
    ("powders", "SLS powder"): "C12H25NaO4S",
    ("powders", "SLG powder"): "C17H30NNaO5",
    ("powders", "SLMI powder"): "C15H29NaO5S",
    ("powders", "DLS powder"): "C16H28Na2O7S",
    ("powders", "soap powder"): "C18H35NaO2",
    ("powders", "sodium lauroyl sarcosinate powder"): "C15H28NNaO3",
    ("powders", "sodium methyl lauroyl taurate powder"): "C15H30NNaO4S",
    ("powders", "sodium methyl oleoyl taurate powder"): "C21H40NNaO4S",
    ("powders", "sucrose laurate powder"): "C24H44O12",
    ("liquids", "LAPB 30 %"): "C19H38N2O3",
    ("liquids", "lauryl betaine 30 %"): "C16H33NO2",
    ("liquids", "lauramine oxide 30 %"): "C14H31NO",
    ("liquids", "ALS 28 %"): "C12H29NO4S",
    ("liquids", "CETAC 29 %"): "C19H42NCl",
    ("holders", "Glycerin"): "C3H8O3",
    ("holders", "Propanediol"): "C3H8O2",
    ("holders", "Butylene Glycol"): "C4H10O2",
    ("holders", "Sorbitol"): "C6H14O6",
    ("holders", "Sucrose"): "C12H22O11",
    ("holders", "Panthenol"): "C9H19NO4",
    ("holders", "Sodium Chloride"): "NaCl",
    ("holders", "Potassium Chloride"): "KCl",
    ("holders", "Sodium Lactate"): "C3H5NaO3",
    ("holders", "Sodium PCA"): "C5H6NNaO3",
    ("holders", "Citric Acid"): "C6H8O7",
    ("holders", "Sodium Phytate"): "C6H6Na12O24P6",
    ("holders", "Tetrasodium Glutamate Diacetate"): "C9H9NNa4O8",
    ("holders", "Betaine"): "C5H11NO2",
}


@pytest.mark.parametrize(("key", "formula"), FORMULAS.items(), ids=str)
def test_molar_mass_is_that_of_the_formula(key, formula):
    table, name = key
    elements = chemicals.elements.simple_formula_parser(formula)
    expected = chemicals.elements.molecular_weight(elements) / 1000
    assert getattr(BOOK, table)[name].molar_mass == pytest.approx(expected, rel=5e-4)


@pytest.mark.parametrize(
    ("name", "cas"),
    [
        ("1,3-propanediol", "504-63-2"),
        ("propylene glycol", "57-55-6"),
        ("1,3-butylene glycol", "107-88-0"),
        ("benzyl alcohol", "100-51-6"),
        ("glycerin", "56-81-5"),
        ("water", "7732-18-5"),
    ],
)
def test_density_of_a_pure_liquid_is_that_of_its_correlation_at_25_degrees(name, cas):
    found = [density for density in (perry(cas), vdi(cas)) if density is not None]
    assert found
    # Glycerin is tabled at 20 °C, 0.3 % denser.
    assert BOOK.liquids[name].density == pytest.approx(statistics.mean(found), rel=0.0035)


def perry(cas):
    """Return the density [kg/m^3] at 25 °C by Perry's Handbook, 8th ed., table 2-32."""
    table = chemicals.volume.rho_data_Perry_8E_105_l
    if cas not in table.index:
        return None
    row = table.loc[cas]
    moles = chemicals.dippr.EQ105(298.15, row["C1"], row["C2"], row["C3"], row["C4"])
    return moles * chemicals.MW(cas) / 1000


def vdi(cas):
    """Return the density [kg/m^3] at 25 °C by the VDI Heat Atlas, 2nd ed., part D3.1."""
    table = chemicals.volume.rho_data_VDI_PPDS_2
    if cas not in table.index:
        return None
    row = table.loc[cas]
    return chemicals.dippr.EQ116(
        298.15, row["Tc"], row["rhoc"], row["A"], row["B"], row["C"], row["D"]
    )


@pytest.mark.parametrize(
    ("name", "cas"),
    [
        ("salt", "7647-14-5"),
        ("potassium chloride", "7447-40-7"),
        ("calcium carbonate (ground)", "471-34-1"),
        ("zinc oxide", "1314-13-2"),
        ("sodium sulfate", "7757-82-6"),
        ("sodium bicarbonate", "144-55-8"),
        ("sodium carbonate", "497-19-8"),
        ("sodium hydroxide pellets", "1310-73-2"),
        ("sulfur (fine)", "7704-34-9"),
        ("boron nitride", "10043-11-5"),
        ("chromium oxide green", "1308-38-9"),
        ("sodium acetate", "127-09-3"),
        ("calcium sulfate dihydrate", "10101-41-4"),
        ("magnesium sulfate heptahydrate", "10034-99-8"),
    ],
)
def test_density_of_a_pure_solid_is_that_of_the_crc_handbook(name, cas):
    volume = chemicals.volume.rho_data_CRC_inorg_s_const.loc[cas]["Vm"]
    expected = chemicals.MW(cas) / 1000 / volume
    assert BOOK.powders[name].true_density == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    ("name", "activity", "within"),
    [
        # L. Greenspan, J. Res. NBS 81A (1977) 89, 25 °C, from memory.
        ("Sodium Chloride", 0.7529, 0.0012),
        ("Potassium Chloride", 0.8434, 0.0026),
    ],
)
def test_activity_over_a_saturated_salt_is_greenspans(name, activity, within):
    assert BOOK.holders[name].saturation_activity == pytest.approx(activity, abs=within)
