"""What every law owes its reader, held by looking at all of them.

A law is a function in the `__all__` of a module of `designer.laws`. An argument annotated
`ArrayLike` comes from outside and is a quantity of the vocabulary; one annotated otherwise is
what another law returned, or a count or a name.
"""

import doctest
import importlib
import inspect
import pkgutil
import re
import types

import numpy as np
import pytest
from numpy.typing import ArrayLike

from designer import laws
from designer.vocabulary import QUANTITIES

MODULES = [
    importlib.import_module(f"designer.laws.{module.name}")
    for module in pkgutil.iter_modules(laws.__path__)
]
LAWS = {
    f"{module.__name__.rpartition('.')[2]}.{name}": getattr(module, name)
    for module in MODULES
    for name in getattr(module, "__all__", ())
    if isinstance(getattr(module, name), types.FunctionType)
}

NOT_ELEMENTWISE = {
    "acidity.group_charge": "pKa of its protons stand on the first axis",
    "balance.balance_water": "sums over holders, a matrix product",
    "balance.balance_activity": "its isotherm has an axis of grid points",
    "cooling.carry_on_setting": "marches in time over cells",
    "charge_balance.added_acid": "sums over groups on the first axis",
    "charge_balance.charge_excess": "sums over groups on the first axis",
    "charge_balance.solution_ph": "sums over groups on the first axis",
    "charge_balance.strong_charge_at": "sums over groups on the first axis",
    "cooling.meeting_temperature": "sums over the parts on the first axis",
    "cooling.set_while_cooling": "marches in time over cells",
    "flow.state_chances": "takes four cuts and returns five states on a new first axis",
    "melting.heat_released": "sums over components on the first axis",
    "melting.liquid_amounts": "solves a balance over components on the first axis",
    "melting.liquid_mass_share": "sums over components on the first axis",
}
"""Laws that the loop cannot be compared with, and why; their own tests compare them."""

NO_EXAMPLE = {
    "cooling.carry_on_setting": "a march needs a page of numbers; its test has the worked one",
    "cooling.set_while_cooling": "a march needs a page of numbers; its test has the worked one",
    "melting.heat_released": "a blend needs a table; its test has the worked one",
    "melting.liquid_amounts": "a blend needs a table; its test has the worked one",
    "melting.liquid_mass_share": "a blend needs a table; its test has the worked one",
}
"""Laws whose smallest honest example is too long for a docstring."""

TYPICAL = {
    "time": 1e5,
    "diffusivity": 1e-9,
    "half_thickness": 0.02,
    "radius": 0.03,
    "diameter": 0.03,
    "length": 0.05,
    "width": 0.04,
    "height": 0.03,
    "density": 1000.0,
    "molar_mass": 0.1,
    "alpha": -1.0,
    "pitzer_b0": 0.08,
    "pitzer_b1": 0.25,
    "pitzer_cphi": 1e-3,
    "molality": 2.0,
    "gab_c": 10.0,
    "nu": 1.5,
    "sorption_heat": 2000.0,
    "dissociation_heat": 2e4,
    "ph": 5.0,
    "pka": 4.0,
    "activation_energy": 3e4,
    "saturated_vapour": 0.02,
    "surface_velocity": 1e-6,
    "biot": 3.0,
    "time_constant": 5e4,
    "firmness": 1e4,
    "limit": 5e5,
    "heat_of_fusion": 5e4,
    "heat_capacity": 2e3,
    "softening": 0.015,
    "strength_ratio": 30.0,
    "surface_tension": 0.03,
    "surface_coefficient": 12.0,
    "gain_limit": 3.0,
    "area_factor": 1.2,
    "bearing_factor": 9.0,
    "saturation_activity": 0.75,
    "lowering": 0.02,
    "step_width": 0.02,
}
"""Where the laws live, for quantities that do not live near 0.3 or mid-domain."""


def of(law):
    return list(inspect.signature(law).parameters.values())


def quantities(law):
    return [parameter.name for parameter in of(law) if parameter.annotation is ArrayLike]


def typical(name, random, shape):
    quantity = QUANTITIES[name]
    middle = TYPICAL.get(name)
    if middle is None:
        fits = quantity.low <= 0.2 and quantity.high >= 0.4
        middle = 0.3 if fits else (quantity.low + quantity.high) / 2
    return middle * random.uniform(0.95, 1.05, shape)


def others(law):
    """Return a plain value for each argument that is no quantity."""
    plain = {bool: False, int: 3}
    return {p.name: plain[p.annotation] for p in of(law) if p.annotation is not ArrayLike}


def section(law, title):
    found = re.search(
        rf"^{title}\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", inspect.getdoc(law), re.M | re.S
    )
    return found.group(1) if found else ""


def documented(law):
    """Return {argument: what its line in the docstring says}."""
    lines = re.findall(r"^(\w[\w, ]*) : (.*)$", section(law, "Parameters"), re.M)
    return {name.strip(): text for names, text in lines for name in names.split(",")}


def each(names):
    return pytest.mark.parametrize("name", sorted(names))


def test_there_are_laws_and_no_exception_is_stale():
    assert len(LAWS) >= 40
    assert set(NOT_ELEMENTWISE) <= set(LAWS)
    assert set(NO_EXAMPLE) <= set(LAWS)
    assert set(TYPICAL) <= set(QUANTITIES)


@each(LAWS)
def test_a_law_names_each_argument_in_the_unit_of_the_vocabulary(name):
    law = LAWS[name]
    said = documented(law)
    assert list(said) == [parameter.name for parameter in of(law)]
    for argument in quantities(law):
        unit = QUANTITIES[argument].unit
        assert said[argument].endswith(f"[{unit}]"), f"{argument} is in {unit}"


@each(LAWS)
def test_a_law_says_what_it_returns_and_where_it_is_from(name):
    law = LAWS[name]
    assert section(law, "Returns")
    assert re.search(r"Source:\s+\S", section(law, "Notes"))


@each(set(LAWS) - set(NO_EXAMPLE))
def test_a_law_shows_a_number(name):
    assert ">>> " in section(LAWS[name], "Examples")


@each(LAWS)
def test_a_law_assumes_no_argument(name):
    assert all(parameter.default is inspect.Parameter.empty for parameter in of(LAWS[name]))


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_the_examples_print_what_they_say(module):
    outcome = doctest.testmod(module)
    assert outcome.failed == 0


@each(set(LAWS) - set(NOT_ELEMENTWISE))
def test_a_law_refuses_nan_in_each_argument(name):
    law = LAWS[name]
    values = {one: typical(one, np.random.default_rng(3), ()) for one in quantities(law)}
    for argument in values:
        for bad in (np.nan, np.array([float(values[argument]), np.nan])):
            with pytest.raises(ValueError, match=r"\w"):
                law(**values | {argument: bad} | others(law))


@each(set(LAWS) - set(NOT_ELEMENTWISE))
def test_a_law_refuses_values_outside_the_domain(name):
    law = LAWS[name]
    values = {one: typical(one, np.random.default_rng(3), ()) for one in quantities(law)}
    for argument in values:
        quantity = QUANTITIES[argument]
        for bad in (quantity.low - 1, quantity.high * 1.01 + 1):
            with pytest.raises(ValueError, match=r"\w"):
                law(**values | {argument: bad} | others(law))


@each(set(LAWS) - set(NOT_ELEMENTWISE))
def test_a_law_over_arrays_is_the_loop_over_numbers(name):
    law, random = LAWS[name], np.random.default_rng(5)
    names = quantities(law)
    values = {one: typical(one, random, (3, 1) if one == names[0] else (4,)) for one in names}
    result = law(**values, **others(law))
    assert result.shape[-2:] == ((3, 4) if len(names) > 1 else (3, 1))
    for i, j in np.ndindex(result.shape[-2:]):
        cell = {one: value[i, 0] if one == names[0] else value[j] for one, value in values.items()}
        alone = law(**cell, **others(law))
        np.testing.assert_allclose(result[..., i, j], alone, rtol=1e-10, atol=1e-14)
