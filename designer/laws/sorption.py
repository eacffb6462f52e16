"""Water held at a water activity by one holder: a solute, a salt that crystallises, a solid.

Water activity 0 to 1 is what the humidity of air becomes over a material in a closed jar. Water
held is in kg per kg of dry holder. `balance` adds the holders of a bar up.
"""

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.roots import bracketed_root
from designer.vocabulary import Floats, checked

__all__ = [
    "crystallising_salt_water",
    "gab_water",
    "norrish_activity",
    "norrish_water",
    "pitzer_activity",
    "pitzer_osmotic",
    "pitzer_water",
    "salt_water",
]

WATER_MOLAR_MASS = 0.0180153
"""kg/mol."""

_DEBYE_HUCKEL = 0.39148
"""(kg/mol)^(1/2), of the osmotic coefficient of water at 25 °C."""

_HIGHEST_MOLALITY = 100.0


def norrish_activity(solute_fraction: ArrayLike, alpha: ArrayLike, beta: ArrayLike) -> Floats:
    """Return the water activity of a solution.

    Parameters
    ----------
    solute_fraction : array [1]
        Moles of dissolved particles per mole of particles and water.
    alpha, beta : array [1]
        Both 0 is Raoult's law.

    Returns
    -------
    array [1], broadcast of the three

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    ln a = ln(1 - x) + alpha x^2 + beta x^3.
    Source: R. S. Norrish, J. Food Technol. 1 (1966) 25, one constant; two constants:
    O. Miyawaki et al., Biosci. Biotechnol. Biochem. 61 (1997) 466.

    Examples
    --------
    Glycerol, 72 % by mass; humidity chambers are set to 60 % with it:

    >>> round(float(norrish_activity(0.3347, -1.24, 1.09)), 3)
    0.603
    """
    x, alpha, beta = checked(solute_fraction=solute_fraction, alpha=alpha, beta=beta)
    return (1 - x) * np.exp(alpha * x**2 + beta * x**3)


def norrish_water(
    water_activity: ArrayLike,
    alpha: ArrayLike,
    beta: ArrayLike,
    nu: ArrayLike,
    molar_mass: ArrayLike,
) -> Floats:
    """Return the water a miscible solute holds at a water activity.

    Parameters
    ----------
    water_activity : array [1]
    alpha, beta : array [1]
        As in `norrish_activity`.
    nu : array [1]
        Particles a molecule falls into.
    molar_mass : array [kg/mol]

    Returns
    -------
    array [1], broadcast of all: kg water per kg of dry solute; infinite at water activity 1

    Raises
    ------
    ValueError
        An argument lies outside its domain, or the constants make the solution part in two.

    Notes
    -----
    The inverse of `norrish_activity`, to 1e-12, then (1 - x)/x nu M_w/M. The unknown solved for
    is u = -ln(1 - x), in which Raoult's law is a straight line. Source: as `norrish_activity`.

    Examples
    --------
    72 % glycerol holds 28/72 = 0.389:

    >>> round(float(norrish_water(0.6031, -1.24, 1.09, 1.0, 0.092094)), 3)
    0.389
    """
    water_activity, alpha, beta, nu, molar_mass = checked(
        water_activity=water_activity, alpha=alpha, beta=beta, nu=nu, molar_mass=molar_mass
    )
    _refuse_miscibility_gap(alpha, beta)
    # The smallest number stands in for 0, which would make the logarithm infinite.
    dryness = -np.log(np.maximum(water_activity, 1e-300))
    dryness, alpha, beta = np.broadcast_arrays(dryness, alpha, beta)

    def excess(u: Floats) -> tuple[Floats, Floats]:
        x, left = -np.expm1(-u), np.exp(-u)
        return (
            u - alpha * x**2 - beta * x**3 - dryness,
            1 - (2 * alpha * x + 3 * beta * x**2) * left,
        )

    high = dryness + np.maximum(alpha, 0) + np.maximum(beta, 0)
    u = bracketed_root(excess, np.zeros_like(dryness), high)
    with np.errstate(divide="ignore"):
        return nu * WATER_MOLAR_MASS / molar_mass / np.expm1(u)


def _refuse_miscibility_gap(alpha: Floats, beta: Floats) -> None:
    x = np.linspace(0.0, 1.0, 101)
    alpha, beta = alpha[..., None], beta[..., None]
    if np.any((1 - x) * (2 * alpha * x + 3 * beta * x**2) > 1 + 1e-9):
        raise ValueError("alpha, beta: water activity would not fall all along with more solute")


def pitzer_osmotic(
    molality: ArrayLike, pitzer_b0: ArrayLike, pitzer_b1: ArrayLike, pitzer_cphi: ArrayLike
) -> Floats:
    """Return the osmotic coefficient of a salt of two ions of charge one, at 25 °C.

    Parameters
    ----------
    molality : array [mol/kg]
    pitzer_b0, pitzer_b1 : array [kg/mol]
    pitzer_cphi : array [kg^2/mol^2]

    Returns
    -------
    array [1], broadcast of the four

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    phi = 1 - A sqrt(m)/(1 + 1.2 sqrt(m)) + m (b0 + b1 exp(-2 sqrt(m))) + m^2 cphi, A = 0.39148.
    Source: K. S. Pitzer, G. Mayorga, J. Phys. Chem. 77 (1973) 2300; the constants in use and A:
    P. M. May et al., J. Chem. Eng. Data 56 (2011) 5066.

    Examples
    --------
    Sodium chloride, 1 mol/kg; Robinson and Stokes (1959) print 0.9355:

    >>> round(float(pitzer_osmotic(1.0, 0.07831, 0.2677, 0.000864)), 3)
    0.937
    """
    m, pitzer_b0, pitzer_b1, pitzer_cphi = checked(
        molality=molality, pitzer_b0=pitzer_b0, pitzer_b1=pitzer_b1, pitzer_cphi=pitzer_cphi
    )
    return _osmotic(m, pitzer_b0, pitzer_b1, pitzer_cphi)


def _osmotic(m: Floats, b0: Floats, b1: Floats, cphi: Floats) -> Floats:
    root = np.sqrt(m)
    screening = _DEBYE_HUCKEL * root / (1 + 1.2 * root)
    osmotic: Floats = 1 - screening + m * (b0 + b1 * np.exp(-2 * root)) + m**2 * cphi
    return osmotic


def pitzer_activity(
    molality: ArrayLike, pitzer_b0: ArrayLike, pitzer_b1: ArrayLike, pitzer_cphi: ArrayLike
) -> Floats:
    """Return the water activity over a solution of a salt of two ions of charge one, at 25 °C.

    Parameters
    ----------
    molality : array [mol/kg]
    pitzer_b0, pitzer_b1 : array [kg/mol]
    pitzer_cphi : array [kg^2/mol^2]

    Returns
    -------
    array [1], broadcast of the four

    Notes
    -----
    ln a = -2 M_w m phi. Source: definition of the osmotic coefficient, R. A. Robinson,
    R. H. Stokes, Electrolyte Solutions, 2nd ed. 1959, ch. 2.

    Examples
    --------
    Saturated sodium chloride; L. Greenspan (1977) prints 75.29 % at 25 °C:

    >>> round(float(pitzer_activity(6.146, 0.07831, 0.2677, 0.000864)), 3)
    0.753
    """
    m, pitzer_b0, pitzer_b1, pitzer_cphi = checked(
        molality=molality, pitzer_b0=pitzer_b0, pitzer_b1=pitzer_b1, pitzer_cphi=pitzer_cphi
    )
    return np.exp(-2 * WATER_MOLAR_MASS * m * _osmotic(m, pitzer_b0, pitzer_b1, pitzer_cphi))


def pitzer_water(
    water_activity: ArrayLike,
    pitzer_b0: ArrayLike,
    pitzer_b1: ArrayLike,
    pitzer_cphi: ArrayLike,
    molar_mass: ArrayLike,
) -> Floats:
    """Return the water a dissolved salt holds, also where it should have crystallised.

    Parameters
    ----------
    water_activity : array [1]
    pitzer_b0, pitzer_b1 : array [kg/mol]
    pitzer_cphi : array [kg^2/mol^2]
    molar_mass : array [kg/mol]

    Returns
    -------
    array [1], broadcast of all: kg water per kg of dry salt; infinite at water activity 1

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    The inverse of `pitzer_activity`, to 1e-12, then 1/(m M). Where the constants let the activity
    rise again at high molality, the water at that molality stands for all lower activities.
    Source: as `pitzer_osmotic`.

    Examples
    --------
    Just above its saturation sodium chloride holds 2.8 times its mass:

    >>> round(float(pitzer_water(0.753, 0.07831, 0.2677, 0.000864, 0.058443)), 1)
    2.8
    """
    water_activity, b0, b1, cphi, molar_mass = checked(
        water_activity=water_activity,
        pitzer_b0=pitzer_b0,
        pitzer_b1=pitzer_b1,
        pitzer_cphi=pitzer_cphi,
        molar_mass=molar_mass,
    )
    wanted = -np.log(np.maximum(water_activity, 1e-300)) / (2 * WATER_MOLAR_MASS)
    wanted, b0, b1, cphi = np.broadcast_arrays(wanted, b0, b1, cphi)
    highest = _highest_molality(b0, b1, cphi)

    def excess(m: Floats) -> tuple[Floats, Floats]:
        root = np.sqrt(m)
        decay = b1 * np.exp(-2 * root)
        screening = 0.5 * _DEBYE_HUCKEL * root * (3 + 2.4 * root) / (1 + 1.2 * root) ** 2
        slope = 1 - screening + m * (2 * b0 + (2 - root) * decay) + 3 * m**2 * cphi
        return m * _osmotic(m, b0, b1, cphi) - wanted, slope

    molality = bracketed_root(excess, np.zeros_like(wanted), highest)
    with np.errstate(divide="ignore"):
        return 1 / (molality * molar_mass)


def _highest_molality(b0: Floats, b1: Floats, cphi: Floats) -> Floats:
    """Return the molality to which the water activity keeps falling."""
    m = np.linspace(0.0, np.sqrt(_HIGHEST_MOLALITY), 401) ** 2
    osmolality = m * _osmotic(m, b0[..., None], b1[..., None], cphi[..., None])
    rises = np.diff(osmolality, axis=-1) > 0
    return m[np.where(rises.all(axis=-1), m.size - 1, rises.argmin(axis=-1))]


def crystallising_salt_water(
    water_activity: ArrayLike,
    pitzer_b0: ArrayLike,
    pitzer_b1: ArrayLike,
    pitzer_cphi: ArrayLike,
    molar_mass: ArrayLike,
    saturation_activity: ArrayLike,
) -> Floats:
    """Return the water a pure salt holds: none as a crystal, all of its solution's above.

    Parameters
    ----------
    water_activity : array [1]
    pitzer_b0, pitzer_b1 : array [kg/mol]
    pitzer_cphi : array [kg^2/mol^2]
    molar_mass : array [kg/mol]
    saturation_activity : array [1]
        Over the saturated solution.

    Returns
    -------
    array [1], broadcast of all: kg water per kg of dry salt

    Notes
    -----
    The sharp form, for tables of pure salts; in a bar use `salt_water`.
    Source: L. Greenspan, J. Res. NBS 81A (1977) 89, for the activities of saturated salts.

    Examples
    --------
    >>> float(crystallising_salt_water(0.75, 0.07831, 0.2677, 0.000864, 0.058443, 0.7529))
    0.0
    """
    dissolved = pitzer_water(water_activity, pitzer_b0, pitzer_b1, pitzer_cphi, molar_mass)
    water_activity, saturation_activity = checked(
        water_activity=water_activity, saturation_activity=saturation_activity
    )
    return np.where(water_activity >= saturation_activity, dissolved, 0.0)


def salt_water(
    water_activity: ArrayLike,
    pitzer_b0: ArrayLike,
    pitzer_b1: ArrayLike,
    pitzer_cphi: ArrayLike,
    molar_mass: ArrayLike,
    saturation_activity: ArrayLike,
    lowering: ArrayLike,
    step_width: ArrayLike,
) -> Floats:
    """Return the water a salt holds among polyols and surfactant, which blur its step.

    Parameters
    ----------
    water_activity : array [1]
    pitzer_b0, pitzer_b1 : array [kg/mol]
    pitzer_cphi : array [kg^2/mol^2]
    molar_mass : array [kg/mol]
    saturation_activity : array [1]
        Over the saturated pure solution.
    lowering : array [1]
        How far below that the middle of the step lies.
    step_width : array [1]

    Returns
    -------
    array [1], broadcast of all: kg water per kg of dry salt

    Notes
    -----
    X (dissolved, also metastable) / (1 + exp(-(a - a_sat + lowering)/width)). A sharp step would
    put a plateau right at the threshold 0.75. Source: own form; 0.018 and 0.012 own estimates.

    Examples
    --------
    Half of the metastable solution's water in the middle of the step:

    >>> salt = (0.07831, 0.2677, 0.000864, 0.058443)
    >>> middle = salt_water(0.735, *salt, 0.753, 0.018, 0.012)
    >>> round(float(middle / pitzer_water(0.735, *salt)), 6)
    0.5
    """
    dissolved = pitzer_water(water_activity, pitzer_b0, pitzer_b1, pitzer_cphi, molar_mass)
    water_activity, saturation_activity, lowering, step_width = checked(
        water_activity=water_activity,
        saturation_activity=saturation_activity,
        lowering=lowering,
        step_width=step_width,
    )
    place = (water_activity - saturation_activity + lowering) / step_width
    # This is the logistic function, which overflows if written with exp.
    step: Floats = (1 + np.tanh(place / 2)) / 2
    return dissolved * step


def gab_water(
    water_activity: ArrayLike, gab_m0: ArrayLike, gab_c: ArrayLike, gab_k: ArrayLike
) -> Floats:
    """Return the water a solid holds in layers.

    Parameters
    ----------
    water_activity : array [1]
    gab_m0 : array [1]
        Water of the first layer, kg per kg of dry solid.
    gab_c, gab_k : array [1]
        Binding of the first and of the further layers.

    Returns
    -------
    array [1], broadcast of the four: kg water per kg of dry solid

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    X = m0 C K a/((1 - K a)(1 - K a + C K a)), after Guggenheim, Anderson and de Boer.
    Source: C. van den Berg, S. Bruin, in Water Activity: Influences on Food Quality, 1981.

    Examples
    --------
    Rice starch, drying, 25 °C (doi 10.13386/j.issn1002-0306.2014.10.036), at one half:

    >>> round(float(gab_water(0.5, 0.08, 36.43, 0.7646)), 3)
    0.124
    """
    water_activity, gab_m0, gab_c, gab_k = checked(
        water_activity=water_activity, gab_m0=gab_m0, gab_c=gab_c, gab_k=gab_k
    )
    reach = gab_k * water_activity
    return gab_m0 * gab_c * reach / ((1 - reach) * (1 - reach + gab_c * reach))
