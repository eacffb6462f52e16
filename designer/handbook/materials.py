"""What the tables hold: materials, melt components, water holders, ranges, roles, compositions.

Every number is in SI. A field has the name of its column; units, plausible ranges and default
uncertainties of the columns stand in resources/materials/columns.toml.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from designer.handbook.frozen import Frozen


@dataclass(frozen=True)
class Powder:
    """A powder, by its common name: the grade decides the dough.

    Attributes
    ----------
    active_fraction, moisture_fraction : float [1]
    bulk_density, true_density : float [kg/m^3]
    uptake_polar, uptake_oil : float [g/g]
        Liquid it takes up until a spatula rubs it to a stiff putty.
    uptake_sd : float
        Standard deviation of the natural logarithm of both.
    solubility : float [1]
        Share that could dissolve in the liquid phase of a dough.
    surfactant_charge : "" | "anionic" | "amphoteric" | "nonionic" | "cationic"
    charge_number : float or None
    molar_mass : float or None [kg/mol]
        Of the active, per `charge_number` charges.
    """

    name: str
    inci: str
    material_class: str
    active_fraction: float
    moisture_fraction: float
    bulk_density: float
    true_density: float
    uptake_polar: float
    uptake_oil: float
    uptake_sd: float
    solubility: float
    dust_hazard: str
    surfactant_charge: str
    charge_number: float | None
    molar_mass: float | None
    source: str
    evidence: str
    molar_mass_source: str
    note: str


@dataclass(frozen=True)
class Liquid:
    """A liquid as supplied.

    Attributes
    ----------
    active_fraction, water_fraction, glycol_fraction, salt_fraction, oil_fraction : float [1]
        They sum to 1.
    active_rel_sd : float or None [1]
        Relative standard deviation of the active; None where none is tabled.
    density : float [kg/m^3]
    viscosity : float [Pa s], at 25 °C
    ph : float or None
        Of a 10 % solution; None for oils.
    tack_weight : float [1]
        How much it makes a dough stick: 0 not at all, 1 as honey.
    """

    name: str
    inci: str
    material_class: str
    active_fraction: float
    water_fraction: float
    glycol_fraction: float
    salt_fraction: float
    oil_fraction: float
    active_rel_sd: float | None
    surfactant_charge: str
    charge_number: float | None
    molar_mass: float | None
    density: float
    viscosity: float
    ph: float | None
    tack_weight: float
    source: str
    evidence: str
    molar_mass_source: str
    note: str


@dataclass(frozen=True)
class Melt:
    """A material that is melted and can set.

    Attributes
    ----------
    components : tuple of (component name, mass fraction)
        What the melt model knows it as; the fractions sum to 1.
    density : float [kg/m^3]
    heat_capacity : float [J/(kg K)]
    melting_low, melting_high : float [K]
        Published melting range, to check against.
    latent : float [J/kg]
        For display; the model uses the heats of the components.
    sfc : mapping of temperature [K] to solid fat content [1]
        Published points, to check against.
    """

    name: str
    inci: str
    material_class: str
    components: tuple[tuple[str, float], ...]
    density: float
    heat_capacity: float
    melting_low: float
    melting_high: float
    latent: float
    sfc: Mapping[float, float]
    source: str
    evidence: str
    note: str

    @classmethod
    def from_oil(cls, oil: Liquid) -> "Melt":
        """Return an oil of the liquid table as part of a melt: one fat that never sets."""
        return cls(
            name=oil.name,
            inci=oil.inci,
            material_class="oil",
            components=(("TAG_LIQ", 1.0),),
            density=oil.density,
            heat_capacity=2000.0,
            melting_low=253.15,
            melting_high=273.15,
            latent=60e3,
            sfc=Frozen({}),
            source=f"{oil.source}; taken as a liquid triglyceride in the melt",
            evidence="estimate",
            note=oil.note,
        )


@dataclass(frozen=True)
class Component:
    """A pseudo-component of fats and waxes that crystallises by itself or in a family.

    Attributes
    ----------
    melting_point, sd_melting_point : float [K]
    heat_of_fusion : float [J/mol]
    molar_mass : float [kg/mol]
    family : "" | "ALC" | "MG"
        Members of a family freeze into one solid solution.
    fresh_shift : float [K], fresh_heat_factor : float [1]
        By how much the crystals of the first days melt lower, and with what share of the heat.
    kinetic_class : str
        Which lag of crystallisation it has.
    """

    name: str
    melting_point: float
    sd_melting_point: float
    heat_of_fusion: float
    molar_mass: float
    family: str
    fresh_shift: float
    fresh_heat_factor: float
    kinetic_class: str
    source: str
    evidence: str
    note: str


@dataclass(frozen=True)
class Holder:
    """A substance or class of solids that holds water at a water activity.

    Constants that do not belong to its model are NaN.

    Attributes
    ----------
    model : "poly" | "salt" | "gab" | "none"
        Miscible solute, crystallising salt, sorbing solid, or none known.
    molar_mass : float [kg/mol]
    nu : float
        Particles per molecule.
    rel_sd : float [1]
        Relative standard deviation of the water held.
    """

    name: str
    model: str
    molar_mass: float
    nu: float
    alpha: float
    beta: float
    gab_m0: float
    gab_c: float
    gab_k: float
    pitzer_b0: float
    pitzer_b1: float
    pitzer_cphi: float
    saturation_molality: float
    saturation_activity: float
    rel_sd: float
    density: float
    source: str
    evidence: str
    note: str


@dataclass(frozen=True)
class UptakeClass:
    """How fast a class of powders drinks: at once, and the rest with a time constant [s]."""

    name: str
    immediate: float
    time_constant: float
    source: str
    evidence: str


@dataclass(frozen=True)
class KnownGoodRange:
    """Where usual recipes lie, as printed in `unit`."""

    quantity: str
    unit: str
    low: float
    typical: float
    high: float
    definition: str
    source: str
    evidence: str


@dataclass(frozen=True)
class Role:
    """What a material is for, and what a maker asks of it.

    Attributes
    ----------
    roles : tuple of str
    vegan : "yes" | "no" | "depends"
    palm : "yes" | "no"
        Whether it may come from palm.
    sulfate_free : "yes" | "no"
    allergen : str
        "" for none.
    dust_hazard : "none" | "nuisance" | "irritant"
    use_low, use_high : float [1]
        Usual share of a dough, as supplied.
    """

    kind: str
    name: str
    roles: tuple[str, ...]
    vegan: str
    palm: str
    sulfate_free: str
    allergen: str
    dust_hazard: str
    use_low: float
    use_high: float
    source: str
    evidence: str


@dataclass(frozen=True)
class Part:
    """An ingredient inside a material, for the label and for limits.

    Attributes
    ----------
    low, typical, high : float [1]
        Mass share of the material.
    level : int
        1 for what a label names, 2 for what an ingredient of level 1 brings with it.
    parent : str
        That ingredient, for level 2.
    """

    component: str
    low: float
    typical: float
    high: float
    level: int
    parent: str
    charge: str
    charge_number: float | None
    molar_mass: float | None
    source: str
    evidence: str


@dataclass(frozen=True)
class HoldingRule:
    """Which holder a part of a material is, for the water that stays.

    Attributes
    ----------
    kind : "powder" | "liquid"
    material_class : str
    charge : str
        Of surfactants only; "" for any.
    inci : tuple of str
        Pieces of a lower-case INCI name, one of which must occur; empty for any.
    part : "dry" | "active" | "salt" | "glycol"
    holder : str
        A holder, "inci" for the first substance of the INCI name that is one, "" for none.
    share : float [1]
        Of the part that holds water so.
    """

    kind: str
    material_class: str
    charge: str
    inci: tuple[str, ...]
    part: str
    holder: str
    share: float
    source: str
    evidence: str
