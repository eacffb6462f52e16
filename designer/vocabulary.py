"""The quantities of the trade: names, SI units, domains, and how they are shown.

Every law, reading, field and file speaks of a quantity by its name here. Inside the program a
quantity is a float or array in its SI unit; `designer.quantities` turns typed text into that and
back. `UNITS` is the closed list of units our own tables and files use; a test holds it against
pint, so that reading them needs no unit library.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

STATES = ("crumbly", "stiff", "pliable", "sticky", "slack")
"""States of a dough, dry to wet."""

BAR_WORDS = ("soft", "setting", "firm", "hard")
"""States of a pressed bar, fresh to cured."""

PHASES = ("melt", "powder", "liquid", "last")
"""Phases in the order of work."""

MATERIAL_KINDS = ("powder", "liquid", "melt")
"""What a material is to the dough model."""

UNITS: dict[str, tuple[str, float, float]] = {
    # unit: (SI unit, factor, offset); SI value = factor * value + offset
    "1": ("1", 1.0, 0.0),
    "%": ("1", 1e-2, 0.0),
    "g/g": ("1", 1.0, 0.0),
    "ln": ("1", 1.0, 0.0),
    "kg": ("kg", 1.0, 0.0),
    "g": ("kg", 1e-3, 0.0),
    "mg": ("kg", 1e-6, 0.0),
    "mm": ("m", 1e-3, 0.0),
    "cm": ("m", 1e-2, 0.0),
    "m": ("m", 1.0, 0.0),
    "mL": ("m^3", 1e-6, 0.0),
    "L": ("m^3", 1e-3, 0.0),
    "s": ("s", 1.0, 0.0),
    "min": ("s", 60.0, 0.0),
    "h": ("s", 3600.0, 0.0),
    "d": ("s", 86400.0, 0.0),
    "1/min": ("1/s", 1 / 60.0, 0.0),
    "K": ("K", 1.0, 0.0),
    "°C": ("K", 1.0, 273.15),
    "delta_°C": ("K", 1.0, 0.0),
    "1/K": ("1/K", 1.0, 0.0),
    "Pa": ("Pa", 1.0, 0.0),
    "kPa": ("Pa", 1e3, 0.0),
    "g/mL": ("kg/m^3", 1e3, 0.0),
    "kg/m^3": ("kg/m^3", 1.0, 0.0),
    "mL/g": ("m^3/kg", 1e-3, 0.0),
    "mL/100 g": ("m^3/kg", 1e-5, 0.0),
    "g/100 g": ("1", 1e-2, 0.0),
    "g/mol": ("kg/mol", 1e-3, 0.0),
    "kg/mol": ("kg/mol", 1.0, 0.0),
    "mol/kg": ("mol/kg", 1.0, 0.0),
    "J/(g K)": ("J/(kg K)", 1e3, 0.0),
    "J/(kg K)": ("J/(kg K)", 1.0, 0.0),
    "J/K": ("J/K", 1.0, 0.0),
    "J/g": ("J/kg", 1e3, 0.0),
    "kJ/mol": ("J/mol", 1e3, 0.0),
    "J/mol": ("J/mol", 1.0, 0.0),
    "W/K": ("W/K", 1.0, 0.0),
    "W/(m K)": ("W/(m K)", 1.0, 0.0),
    "W/(m^2 K)": ("W/(m^2 K)", 1.0, 0.0),
    "m^2/s": ("m^2/s", 1.0, 0.0),
    "mm^2/s": ("m^2/s", 1e-6, 0.0),
    "mN/m": ("N/m", 1e-3, 0.0),
    "mPa s": ("Pa s", 1e-3, 0.0),
    "g/(100 g d)": ("1/s", 1e-2 / 86400.0, 0.0),
    "m^2": ("m^2", 1.0, 0.0),
    "cm^2": ("m^2", 1e-4, 0.0),
    "m/s": ("m/s", 1.0, 0.0),
    "m^3/kg": ("m^3/kg", 1.0, 0.0),
    "kg^2/mol^2": ("kg^2/mol^2", 1.0, 0.0),
}

FOREIGN_UNITS: dict[str, tuple[str, float, float]] = {
    # as in UNITS; by definition: 1 lb = 0.45359237 kg, 1 in = 25.4 mm, 1 US gallon = 231 in^3
    "degF": ("K", 5 / 9, 459.67 * 5 / 9),
    "oz": ("kg", 0.45359237 / 16, 0.0),
    "lb": ("kg", 0.45359237, 0.0),
    "stone": ("kg", 14 * 0.45359237, 0.0),
    "grain": ("kg", 0.45359237 / 7000, 0.0),
    "carat": ("kg", 2e-4, 0.0),
    "ug": ("kg", 1e-9, 0.0),
    "t": ("kg", 1e3, 0.0),
    "in": ("m", 0.0254, 0.0),
    "ft": ("m", 0.3048, 0.0),
    "yd": ("m", 0.9144, 0.0),
    "um": ("m", 1e-6, 0.0),
    "ms": ("s", 1e-3, 0.0),
    "week": ("s", 604800.0, 0.0),
    "ppm": ("1", 1e-6, 0.0),
    "permille": ("1", 1e-3, 0.0),
    "tsp": ("m^3", 231 * 0.0254**3 / 768, 0.0),
    "tbsp": ("m^3", 231 * 0.0254**3 / 256, 0.0),
    "cup": ("m^3", 231 * 0.0254**3 / 16, 0.0),
    "pint": ("m^3", 231 * 0.0254**3 / 8, 0.0),
    "quart": ("m^3", 231 * 0.0254**3 / 4, 0.0),
    "gallon": ("m^3", 231 * 0.0254**3, 0.0),
    "cl": ("m^3", 1e-5, 0.0),
    "dl": ("m^3", 1e-4, 0.0),
}
"""Units that people type but our tables do not use; held against pint by a test as well. Loading
pint takes a third of a second, too long for whoever has just typed 85 °F."""


def si(value: Any, unit: str) -> Any:
    """Return `value` [unit], a float or an array, in SI units; KeyError for a foreign unit."""
    _, factor, offset = UNITS[unit]
    return value * factor + offset


def from_si(value: Any, unit: str) -> Any:
    """Return an SI `value` in `unit`, the inverse of `si`."""
    _, factor, offset = UNITS[unit]
    return (value - offset) / factor


@dataclass(frozen=True)
class Quantity:
    """A quantity of the trade.

    Attributes
    ----------
    unit : str
        SI unit, as docstrings of laws print it.
    low, high : float
        Domain in SI; a value outside is refused, never moved to the nearest bound.
    shown : str
        Unit shown to people, a key of `UNITS`.
    decimals : int
        Decimals shown.
    words : str
        The name as a person reads it.
    """

    unit: str
    low: float
    high: float
    shown: str
    decimals: int
    words: str


QUANTITIES: dict[str, Quantity] = {
    "time": Quantity("s", 0.0, 1e10, "min", 1, "time"),
    "temperature": Quantity("K", 173.15, 573.15, "°C", 1, "temperature"),
    "room": Quantity("K", 268.15, 323.15, "°C", 0, "room temperature"),
    "bath": Quantity("K", 313.15, 393.15, "°C", 0, "bath temperature"),
    "liquids": Quantity("K", 268.15, 373.15, "°C", 0, "temperature of the liquids"),
    "humidity": Quantity("1", 0.0, 0.97, "%", 0, "room humidity"),
    "batch": Quantity("kg", 0.01, 1000.0, "kg", 2, "batch"),
    "net": Quantity("kg", 0.005, 1.0, "g", 0, "net weight of a bar"),
    "loss": Quantity("1", 0.0, 0.5, "%", 1, "bench loss"),
    "label_width": Quantity("m", 0.02, 0.175, "mm", 0, "width of the label"),
    "panel": Quantity("m^2", 1e-5, 1.0, "cm^2", 0, "main panel of the label"),
    "wanted": Quantity("1", 0.05, 1.0, "%", 0, "wanted chance of a clean knead"),
    "percent": Quantity("1", 0.0, 1.0, "%", 2, "share of the dough"),
    "knead": Quantity("s", 30.0, 7200.0, "min", 0, "kneading time"),
    "mass": Quantity("kg", 0.0, 1e4, "g", 1, "mass"),
    "length": Quantity("m", 1e-5, 10.0, "mm", 1, "length"),
    "diffusivity": Quantity("m^2/s", 0.0, 1e-3, "mm^2/s", 6, "diffusivity"),
    "half_thickness": Quantity("m", 1e-6, 10.0, "mm", 1, "half thickness"),
    "radius": Quantity("m", 1e-6, 10.0, "mm", 1, "radius"),
    "density": Quantity("kg/m^3", 1.0, 3e4, "g/mL", 2, "density"),
    "liquid_to_powder": Quantity("1", 0.0, 1e9, "g/g", 2, "liquid to powder"),
    "wetness": Quantity("1", 0.0, 1e9, "1", 2, "wetness"),
    "melt_fraction": Quantity("1", 0.0, 1.0, "%", 1, "melt phase"),
    "melt_liquid_share": Quantity("1", 0.0, 1.0, "%", 0, "liquid share of the melt"),
    "dough_temperature": Quantity("K", 173.15, 573.15, "°C", 0, "dough temperature"),
    "firmness": Quantity("Pa", 0.0, 1e12, "kPa", 0, "firmness"),
    "clean_knead_chance": Quantity("1", 0.0, 1.0, "1", 2, "clean knead"),
    "active_surfactant": Quantity("1", 0.0, 1.0, "%", 1, "active surfactant"),
    "water": Quantity("1", 0.0, 1.0, "%", 1, "water"),
    "water_activity": Quantity("1", 0.0, 1.0, "1", 2, "water activity"),
    "melting_point": Quantity("K", 100.0, 600.0, "°C", 1, "melting point"),
    "heat_of_fusion": Quantity("J/mol", 0.0, 1e6, "kJ/mol", 1, "heat of fusion"),
    "molar_mass": Quantity("kg/mol", 1e-3, 10.0, "g/mol", 1, "molar mass"),
    "amount": Quantity("1", 0.0, 1.0, "1", 4, "mole share of the melt"),
    "attraction": Quantity("1", -10.0, 0.0, "1", 2, "acid-alcohol attraction"),
    "heat_capacity": Quantity("J/(kg K)", 0.0, 1e5, "J/(g K)", 2, "heat capacity"),
    "surface_coefficient": Quantity("W/(m^2 K)", 0.0, 1e4, "W/(m^2 K)", 1, "heat transfer to air"),
    "area": Quantity("m^2", 0.0, 1e4, "m^2", 4, "area"),
    "conductivity": Quantity("W/(m K)", 1e-6, 1e4, "W/(m K)", 2, "thermal conductivity"),
    "uptake_volume": Quantity("m^3/kg", 0.0, 1.0, "mL/g", 3, "liquid a powder takes up"),
    "packed_share": Quantity("1", 1e-6, 1.0, "1", 2, "packed share of the grains"),
    "swelling": Quantity("m^3/kg", 0.0, 1.0, "mL/g", 3, "swelling"),
    "immediate": Quantity("1", 0.0, 1.0, "1", 2, "share taken up at once"),
    "time_constant": Quantity("s", 1e-6, 1e10, "min", 1, "time constant"),
    "solubility": Quantity("1", 0.0, 1.0, "1", 2, "solubility in the liquids"),
    "volume": Quantity("m^3/kg", -1e-2, 1.0, "mL/100 g", 2, "volume in the dough"),
    "demand": Quantity("m^3/kg", 0.0, 1.0, "mL/100 g", 2, "liquid demand"),
    "worth": Quantity("1", 0.0, 1.0, "1", 2, "worth of set fat as a vehicle"),
    "wetness_span": Quantity("1", 1e-6, 10.0, "1", 2, "wetness from plastic to liquid limit"),
    "plastic_wetness": Quantity("1", 1e-6, 10.0, "1", 2, "wetness at the plastic limit"),
    "strength_ratio": Quantity("1", 1.0, 1e6, "1", 0, "strength at plastic over liquid limit"),
    "softening": Quantity("1/K", 0.0, 1.0, "1/K", 3, "softening by warmth"),
    "tack": Quantity("1", -10.0, 1e6, "1", 2, "tack of the liquids"),
    "set_share": Quantity("1", 0.0, 1.0, "%", 0, "set share of the melt"),
    "gain": Quantity("1", 0.0, 1e3, "1", 2, "gain"),
    "area_factor": Quantity("1", 1.0, 100.0, "1", 2, "surface over that of a sphere"),
    "start": Quantity("K", 173.15, 573.15, "°C", 1, "temperature at the start"),
    "surroundings": Quantity("K", 173.15, 573.15, "°C", 1, "temperature around"),
    "gain_limit": Quantity("1", 1.0, 1e3, "1", 1, "largest gain of solubility"),
    "dissolved_limit": Quantity("1", 0.0, 1.0, "1", 2, "largest dissolving share"),
    "soluble": Quantity("1", 0.0, 10.0, "g/100 g", 1, "what could dissolve"),
    "capacity": Quantity("1", 0.0, 10.0, "g/100 g", 1, "what the liquids hold"),
    "polar_volume": Quantity("m^3/kg", -1e-2, 1.0, "mL/100 g", 2, "polar liquid"),
    "oil_volume": Quantity("m^3/kg", -1e-12, 1.0, "mL/100 g", 2, "oils and liquid melt"),
    "set_volume": Quantity("m^3/kg", -1e-12, 1.0, "mL/100 g", 2, "set melt"),
    "total_volume": Quantity("m^3/kg", -1e-2, 1.0, "mL/100 g", 2, "all liquid"),
    "polar_demand": Quantity("m^3/kg", 1e-12, 1.0, "mL/100 g", 2, "demand for polar liquid"),
    "oil_demand": Quantity("m^3/kg", 1e-12, 1.0, "mL/100 g", 2, "demand for oil"),
    "liquidity": Quantity("1", -1.0, 3.0, "1", 2, "liquidity"),
    "reference": Quantity("1", 1e-6, 10.0, "1", 2, "reference"),
    "cone_factor": Quantity("1", 0.0, 10.0, "1", 2, "cone factor"),
    "diameter": Quantity("m", 1e-9, 10.0, "mm", 1, "diameter"),
    "bearing_factor": Quantity("1", 0.1, 100.0, "1", 1, "bearing factor"),
    "porosity": Quantity("1", 1e-6, 1.0, "1", 2, "porosity"),
    "surface_tension": Quantity("N/m", 0.0, 10.0, "mN/m", 1, "surface tension"),
    "saturation": Quantity("1", 0.0, 1.0, "1", 2, "saturation of the pores"),
    "limit": Quantity("Pa", 1.0, 1e9, "kPa", 0, "largest strength"),
    "fresh": Quantity("1", -1e-9, 1.0 + 1e-9, "1", 2, "set share, fresh crystals"),
    "aged": Quantity("1", -1e-9, 1.0 + 1e-9, "1", 2, "set share, aged crystals"),
    "ph": Quantity("1", -2.0, 16.0, "1", 1, "pH"),
    "pka": Quantity("1", -10.0, 40.0, "1", 2, "pKa"),
    "ionic_strength": Quantity("mol/kg", 0.0, 100.0, "mol/kg", 3, "ionic strength"),
    "charge_protonated": Quantity("1", -20.0, 20.0, "1", 0, "charge with all protons on"),
    "dissociation_heat": Quantity("J/mol", -1e5, 2e5, "kJ/mol", 1, "heat of dissociation"),
    "strong_charge": Quantity("mol/kg", -100.0, 100.0, "mol/kg", 3, "charge of strong ions"),
    "inert_strength": Quantity("mol/kg", 0.0, 100.0, "mol/kg", 3, "ionic strength of salts"),
    "water_pka": Quantity("1", 10.0, 20.0, "1", 3, "pKa of water"),
    "acid_content": Quantity("mol/kg", 0.0, 100.0, "mol/kg", 2, "acid groups of an addition"),
    "acid_charge": Quantity("1", -20.0, 20.0, "1", 0, "charge of an addition, protons on"),
    "acid_pka": Quantity("1", -10.0, 40.0, "1", 2, "pKa of an addition"),
    "acid_strong": Quantity("mol/kg", -100.0, 100.0, "mol/kg", 2, "strong ions of an addition"),
    "bar_weight_share": Quantity("1", 0.0, 2.0, "%", 1, "bar weight, of the weight as pressed"),
    "solute_fraction": Quantity("1", 0.0, 1.0, "1", 3, "mole share of solute"),
    "alpha": Quantity("1", -100.0, 2.0, "1", 2, "Norrish constant of x^2"),
    "beta": Quantity("1", -100.0, 100.0, "1", 2, "Norrish constant of x^3"),
    "nu": Quantity("1", 1.0, 10.0, "1", 0, "particles per molecule"),
    "molality": Quantity("mol/kg", 0.0, 1e4, "mol/kg", 2, "molality"),
    "pitzer_b0": Quantity("kg/mol", -10.0, 10.0, "kg/mol", 4, "Pitzer constant beta 0"),
    "pitzer_b1": Quantity("kg/mol", -10.0, 10.0, "kg/mol", 4, "Pitzer constant beta 1"),
    "pitzer_cphi": Quantity("kg^2/mol^2", -1.0, 1.0, "kg^2/mol^2", 5, "Pitzer constant C phi"),
    "saturation_activity": Quantity("1", 1e-3, 1.0, "1", 3, "water activity where salt dissolves"),
    "lowering": Quantity("1", 0.0, 1.0, "1", 3, "lowering of the water activity of the step"),
    "step_width": Quantity("1", 1e-6, 1.0, "1", 3, "width of the step in water activity"),
    "gab_m0": Quantity("1", 0.0, 10.0, "g/g", 3, "water of the first layer"),
    "gab_c": Quantity("1", 1e-6, 1e6, "1", 1, "binding of the first layer"),
    "gab_k": Quantity("1", 0.0, 0.999, "1", 3, "binding of the further layers"),
    "holder_share": Quantity("1", 0.0, 1e3, "g/100 g", 2, "dry mass that holds water"),
    "holder_water": Quantity("1", 0.0, 1e12, "g/g", 3, "water held per dry mass"),
    "isotherm": Quantity("1", 0.0, 1e12, "g/100 g", 2, "water held over water activity"),
    "sorption_heat": Quantity("J/mol", -1e5, 1e5, "kJ/mol", 1, "heat of sorption"),
    "height": Quantity("m", 1e-6, 10.0, "mm", 1, "height"),
    "width": Quantity("m", 1e-6, 10.0, "mm", 1, "width"),
    "biot": Quantity("1", 1e-9, 1e9, "1", 1, "Biot number"),
    "surface_velocity": Quantity("m/s", 0.0, 1e2, "m/s", 7, "mass transfer to air"),
    "activation_energy": Quantity("J/mol", 0.0, 1e6, "kJ/mol", 0, "activation energy"),
    "lost_share": Quantity("1", 0.0, 1 - 1e-9, "%", 0, "lost share of the losable water"),
    "saturated_vapour": Quantity("kg/m^3", 0.0, 1.0, "kg/m^3", 4, "vapour of saturated air"),
    "firmness_wanted": Quantity("Pa", 1.0, 1e9, "kPa", 0, "wanted firmness"),
    "wetness_wanted": Quantity("1", -1e3, 1e9, "1", 2, "wanted wetness"),
    "wetness_gain": Quantity("1", -1e9, 1e9, "1", 2, "wanted less present wetness"),
    "polar_wetness": Quantity("1", 0.0, 1e9, "1", 2, "polar liquid over its demand"),
    "oil_wetness": Quantity("1", 0.0, 1e9, "1", 2, "oil and set fat over the demand for oil"),
    "polar_uptake": Quantity("m^3/kg", 0.0, 1.0, "mL/g", 3, "polar liquid a powder takes up"),
    "oil_uptake": Quantity("m^3/kg", 0.0, 1.0, "mL/g", 3, "oil a powder takes up"),
    "age": Quantity("s", 0.0, 86400.0, "min", 0, "time since the pour"),
    "kneaded": Quantity("s", 0.0, 86400.0, "min", 0, "time kneaded"),
    "rod": Quantity("kg", 1e-3, 100.0, "g", 0, "reading of the rod on the scale"),
    "activity_slope": Quantity("m^3/kg", 0.0, 1e3, "m^3/kg", 4, "water activity per water held"),
}
"""Every named quantity; laws add theirs below their own heading."""


def checked(**arguments: ArrayLike) -> tuple[Floats, ...]:
    """Return the arguments as float arrays, each inside the domain its name has in `QUANTITIES`.

    Raises
    ------
    ValueError
        A value is NaN or outside its domain.
    KeyError
        No quantity has that name.
    """
    arrays = []
    for name, value in arguments.items():
        array = np.asarray(value, dtype=np.float64)
        quantity = QUANTITIES[name]
        # The comparison is false for NaN too, which min and max hand on.
        if array.size and not (array.min() >= quantity.low and array.max() <= quantity.high):
            raise ValueError(
                f"{name} lies outside {quantity.low:g} to {quantity.high:g} {quantity.unit}"
            )
        arrays.append(array)
    return tuple(arrays)
