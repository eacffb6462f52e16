import numpy as np
import pint
import pytest

from designer.vocabulary import MATERIAL_KINDS, PHASES, QUANTITIES, UNITS, checked, from_si, si

# What pint calls a unit that we write otherwise; it reads "mL/100 g" as (mL/100) g.
PINT_SPELLINGS = {
    "1": "",
    "ln": "",
    "%": "percent",
    "°C": "degC",
    "delta_°C": "delta_degC",
    "mL/100 g": "mL / (100 * g)",
    "g/100 g": "g / (100 * g)",
    "g/(100 g d)": "g / (100 * g * day)",
    "d": "day",
}


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


def in_si_by_pint(registry, value, unit):
    spelling = PINT_SPELLINGS.get(unit, unit)
    si_unit = UNITS[unit][0]
    if unit == "°C":
        return registry.Quantity(value, "degC").to("kelvin").magnitude
    measured = value * registry.parse_expression(spelling or "dimensionless")
    return registry.Quantity(measured).to(PINT_SPELLINGS.get(si_unit, si_unit)).magnitude


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("value", [0.0, 1.0, 37.5])
def test_our_units_agree_with_pint(registry, unit, value):
    # Source of the second opinion: the definitions shipped with pint (CODATA, SI brochure).
    assert si(value, unit) == pytest.approx(in_si_by_pint(registry, value, unit), rel=1e-12)


@pytest.mark.parametrize("unit", UNITS)
def test_from_si_undoes_si(unit):
    values = np.array([0.0, 0.5, 21.0, 1e3])
    assert from_si(si(values, unit), unit) == pytest.approx(values, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_quantity_is_shown_in_a_unit_of_its_kind(name):
    quantity = QUANTITIES[name]
    assert UNITS[quantity.shown][0] == quantity.unit
    assert quantity.low < quantity.high
    assert quantity.decimals >= 0
    assert quantity.words == quantity.words.strip() != ""


@pytest.mark.parametrize("name", QUANTITIES)
def test_both_ends_of_a_domain_are_inside_it_and_nothing_beyond(name):
    quantity = QUANTITIES[name]
    checked(**{name: [quantity.low, quantity.high]})
    for outside in (np.nextafter(quantity.low, -np.inf), np.nextafter(quantity.high, np.inf)):
        with pytest.raises(ValueError, match=name):
            checked(**{name: outside})


def test_nan_is_outside_every_domain():
    for name in QUANTITIES:
        with pytest.raises(ValueError, match=name):
            checked(**{name: [QUANTITIES[name].low, float("nan")]})


def test_a_foreign_unit_or_quantity_is_our_own_mistake():
    with pytest.raises(KeyError):
        si(1.0, "furlong")
    with pytest.raises(KeyError):
        checked(luck=1.0)


def test_phases_stand_in_the_order_of_work():
    assert PHASES == ("melt", "powder", "liquid", "last")
    assert set(MATERIAL_KINDS) < set(PHASES)
