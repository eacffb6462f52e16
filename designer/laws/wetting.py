"""What powders drink: liquid demand with slow uptake and a dissolving share, and wetness."""

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.constants import REFERENCE_TEMPERATURE
from designer.vocabulary import Floats, checked

__all__ = [
    "dissolved_fraction",
    "dissolved_part",
    "packing_uptake",
    "uptake_progress",
    "wetness",
]


def packing_uptake(packed_share: ArrayLike, density: ArrayLike, swelling: ArrayLike) -> Floats:
    """Return the liquid a powder needs to become a stiff putty, from how its grains pack.

    Parameters
    ----------
    packed_share : array [1]
        Volume of grains per volume of putty at the end point of the rub-out, 0.60 to 0.70.
    density : array [kg/m^3]
        True density of the grains.
    swelling : array [m^3/kg]
        Liquid they swell with or adsorb.

    Returns
    -------
    array [m^3/kg]

    Notes
    -----
    u = (1 - phi)/(phi rho) + v_sw. Source: geometry; the end point is that of ISO 787-5 and
    ASTM D281 (spatula rub-out).

    Examples
    --------
    Titanium dioxide, 0.167 mL/g (oil absorption in print about 0.12):

    >>> round(1000 * float(packing_uptake(0.60, 4000.0, 0.0)), 3)
    0.167
    """
    packed_share, density, swelling = checked(
        packed_share=packed_share, density=density, swelling=swelling
    )
    return (1 - packed_share) / (packed_share * density) + swelling


def uptake_progress(time: ArrayLike, immediate: ArrayLike, time_constant: ArrayLike) -> Floats:
    """Return the share of its final uptake that a powder has drunk.

    Parameters
    ----------
    time : array [s]
        On the kneading clock, which runs slower at rest.
    immediate : array [1]
        Share drunk on contact.
    time_constant : array [s]

    Returns
    -------
    array [1], broadcast of the three

    Notes
    -----
    g = f + (1 - f)(1 - e^(-t/tau)). Source: first-order uptake, own form, constants by class.

    Examples
    --------
    >>> round(float(uptake_progress(360.0, 0.85, 360.0)), 4)
    0.9448
    """
    time, immediate, time_constant = checked(
        time=time, immediate=immediate, time_constant=time_constant
    )
    return 1 - (1 - immediate) * np.exp(-time / time_constant)


def dissolved_fraction(
    solubility: ArrayLike,
    temperature: ArrayLike,
    softening: ArrayLike,
    gain_limit: ArrayLike,
    dissolved_limit: ArrayLike,
) -> Floats:
    """Return the share of a powder that the liquids would dissolve if there were enough of them.

    Parameters
    ----------
    solubility : array [1]
        Share that dissolves at 25 °C; below `dissolved_limit` the powder is sparingly soluble.
    temperature : array [K]
        Present temperature, so what has dissolved comes out again on cooling.
    softening : array [1/K]
        Growth of the solubility per kelvin.
    gain_limit : array [1]
        Largest factor over 25 °C.
    dissolved_limit : array [1]
        Largest share of a sparingly soluble powder.

    Returns
    -------
    array [1]

    Notes
    -----
    x = S min(gain limit, e^(k (T - 298.15 K))), at most 1, and at most the limit where S is below
    it. Source: van 't Hoff slope of about 2 %/K, own form.

    Examples
    --------
    >>> round(float(dissolved_fraction(0.06, 308.15, 0.02, 3.0, 0.5)), 4)
    0.0733
    """
    solubility, temperature, softening, gain_limit, dissolved_limit = checked(
        solubility=solubility,
        temperature=temperature,
        softening=softening,
        gain_limit=gain_limit,
        dissolved_limit=dissolved_limit,
    )
    gain = np.minimum(np.exp(softening * (temperature - REFERENCE_TEMPERATURE)), gain_limit)
    most = np.where(solubility < dissolved_limit, dissolved_limit, 1.0)
    return np.minimum(solubility * gain, most)


def dissolved_part(
    time: ArrayLike, soluble: ArrayLike, capacity: ArrayLike, time_constant: ArrayLike
) -> Floats:
    """Return how much of the soluble powder has dissolved, as a factor on what could.

    Parameters
    ----------
    time : array [s]
        Since the liquids came in.
    soluble : array [1]
        Mass that could dissolve, per mass of dough.
    capacity : array [1]
        Mass that the liquids hold, per mass of dough.
    time_constant : array [s]

    Returns
    -------
    array [1]: 0 to 1

    Notes
    -----
    min(1, capacity/soluble)(1 - e^(-t/tau)). Source: own form.

    Examples
    --------
    >>> round(float(dissolved_part(480.0, 0.04, 0.03, 480.0)), 4)
    0.4741
    """
    time, soluble, capacity, time_constant = checked(
        time=time, soluble=soluble, capacity=capacity, time_constant=time_constant
    )
    held = np.minimum(1.0, capacity / np.maximum(soluble, 1e-12))
    return held * -np.expm1(-time / time_constant)


def wetness(
    polar_volume: ArrayLike,
    oil_volume: ArrayLike,
    set_volume: ArrayLike,
    worth: ArrayLike,
    polar_demand: ArrayLike,
    oil_demand: ArrayLike,
) -> Floats:
    """Return the wetness of a dough: liquid present over liquid demanded.

    Parameters
    ----------
    polar_volume : array [m^3/kg]
        Water, glycols, solutions and what dissolved in them, per kg of dough.
    oil_volume : array [m^3/kg]
        Oils and the liquid share of the melt.
    set_volume : array [m^3/kg]
        The set share of the melt.
    worth : array [1]
        What set fat is still worth as a vehicle.
    polar_demand, oil_demand : array [m^3/kg]
        Volume of polar liquid, or of oil alone, that makes the powders a stiff putty.

    Returns
    -------
    array [1]: about 0.88 at the plastic limit, 0.48 more at the liquid limit

    Notes
    -----
    W = V_polar/A + (V_oil + psi V_set)/B. Source: rub-out end points (ISO 787-5, ASTM D281) added
    as shares, own form.

    Examples
    --------
    >>> round(float(wetness(1e-4, 5e-5, 1e-4, 0.5, 3e-4, 3e-4)), 4)
    0.6667
    """
    polar_volume, oil_volume, set_volume = checked(
        polar_volume=polar_volume, oil_volume=oil_volume, set_volume=set_volume
    )
    worth, polar_demand, oil_demand = checked(
        worth=worth, polar_demand=polar_demand, oil_demand=oil_demand
    )
    return polar_volume / polar_demand + (oil_volume + worth * set_volume) / oil_demand
