"""Strength of a dough: from wetness to firmness, where it sticks or crumbles, its state."""

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.constants import REFERENCE_TEMPERATURE
from designer.vocabulary import Floats, checked

__all__ = [
    "fall_cone_strength",
    "liquidity",
    "log_strength",
    "rod_strength",
    "rumpf_strength",
    "state_chances",
    "tack_cut",
]


def liquidity(wetness: ArrayLike, plastic_wetness: ArrayLike, wetness_span: ArrayLike) -> Floats:
    """Return the liquidity index: 0 at the plastic limit, 1 at the liquid limit.

    Parameters
    ----------
    wetness : array [1]
    plastic_wetness : array [1]
    wetness_span : array [1]

    Returns
    -------
    array [1], held to -1 ... 3, beyond which the law says nothing

    Notes
    -----
    LI = (W - W_PL)/dW. Source: A. Atterberg 1911; ISO 17892-12, with wetness for water content.

    Examples
    --------
    >>> round(float(liquidity(1.12, 0.88, 0.48)), 4)
    0.5
    """
    wetness, plastic_wetness, wetness_span = checked(
        wetness=wetness, plastic_wetness=plastic_wetness, wetness_span=wetness_span
    )
    return np.clip((wetness - plastic_wetness) / wetness_span, -1.0, 3.0)


def log_strength(
    liquidity: ArrayLike,
    firmness: ArrayLike,
    strength_ratio: ArrayLike,
    softening: ArrayLike,
    temperature: ArrayLike,
) -> Floats:
    """Return ln of the remoulded shear strength.

    Parameters
    ----------
    liquidity : array [1]
    firmness : array [Pa]
        Strength at the liquid limit and 25 °C.
    strength_ratio : array [1]
        Strength at the plastic over that at the liquid limit.
    softening : array [1/K]
    temperature : array [K]

    Returns
    -------
    array [ln Pa]

    Notes
    -----
    ln s = ln s_LL + (1 - LI) ln R - k (T - 298.15 K).
    Source: P. J. Vardanega, S. K. Haigh, Can. Geotech. J. 51 (2014) 1106: 641 fall-cone tests on
    101 soils, R about 35; s_LL 1.7 kPa; for doughs a transfer.

    Examples
    --------
    Half-way between the limits, 10.06 kPa:

    >>> round(float(np.exp(log_strength(0.5, 1700.0, 35.0, 0.015, 298.15))))
    10057
    """
    liquidity, firmness, strength_ratio, softening, temperature = checked(
        liquidity=liquidity,
        firmness=firmness,
        strength_ratio=strength_ratio,
        softening=softening,
        temperature=temperature,
    )
    warmth = softening * (temperature - REFERENCE_TEMPERATURE)
    return np.log(firmness) + (1 - liquidity) * np.log(strength_ratio) - warmth


def tack_cut(firmness: ArrayLike, gain: ArrayLike, tack: ArrayLike, reference: ArrayLike) -> Floats:
    """Return ln of the strength below which a dough smears: adhesion beats cohesion.

    Parameters
    ----------
    firmness : array [Pa]
        The cut at the reference tack.
    gain : array [1]
        Rise of ln strength per unit of tack.
    tack : array [1]
    reference : array [1]

    Returns
    -------
    array [ln Pa]

    Notes
    -----
    ln s_t = ln s_tack + k (tack - reference). Source: idea of the sticky limit of soils
    (A. Atterberg 1911); form and numbers are own estimates.

    Examples
    --------
    >>> round(float(np.exp(tack_cut(10000.0, 1.0, 0.4, 0.4))))
    10000
    """
    firmness, gain, tack, reference = checked(
        firmness=firmness, gain=gain, tack=tack, reference=reference
    )
    return np.log(firmness) + gain * (tack - reference)


def state_chances(
    log_firmness: Floats, cuts: tuple[Floats | float, ...], rating_sd: float
) -> Floats:
    """Return the chance of each state of `vocabulary.STATES` under one hand's rating noise.

    Parameters
    ----------
    log_firmness : array (...) [ln Pa]
    cuts : four arrays, ascending, broadcast against it [ln Pa]
        Slack below the first, sticky below the second, pliable below the third, stiff below the
        fourth, crumbly above.
    rating_sd : float [ln]

    Returns
    -------
    array (5, ...) [1]: crumbly, stiff, pliable, sticky, slack; sums to 1

    Notes
    -----
    Ordinal probit, Phi((cut - y)/sd). Source: P. McCullagh, J. R. Stat. Soc. B 42 (1980) 109.

    Examples
    --------
    >>> import numpy as np
    >>> np.round(state_chances(np.array(0.0), (-1.0, 0.0, 1.0, 2.0), 1.0), 3).tolist()
    [0.023, 0.136, 0.341, 0.341, 0.159]
    """
    from scipy.special import ndtr

    below = [ndtr((cut - log_firmness) / rating_sd) for cut in cuts]
    slack, sticky, pliable, stiff = below
    return np.stack([1 - stiff, stiff - pliable, pliable - sticky, sticky - slack, slack])


def fall_cone_strength(mass: ArrayLike, length: ArrayLike, cone_factor: ArrayLike) -> Floats:
    """Return the strength read by a fall cone.

    Parameters
    ----------
    mass : array [kg]
    length : array [m]
        Depth of penetration.
    cone_factor : array [1]
        K of the cone: 0.85 for 30 degrees.

    Returns
    -------
    array [Pa]

    Notes
    -----
    s = K m g/d^2. Source: S. Hansbo 1957; ISO 17892-6; K from memory.

    Examples
    --------
    >>> round(float(fall_cone_strength(0.080, 0.020, 0.85)))
    1667
    """
    mass, length, cone_factor = checked(mass=mass, length=length, cone_factor=cone_factor)
    return cone_factor * mass * 9.80665 / length**2


def rod_strength(mass: ArrayLike, diameter: ArrayLike, bearing_factor: ArrayLike) -> Floats:
    """Return the strength read by pushing a flat rod into the dough on a scale.

    Parameters
    ----------
    mass : array [kg]
        Reading of the scale.
    diameter : array [m]
    bearing_factor : array [1]
        About 9 for a deep circular punch.

    Returns
    -------
    array [Pa]

    Notes
    -----
    s = m g/(N area). Source: A. W. Skempton 1951 (deep circular footing, N = 9), from memory.

    Examples
    --------
    >>> round(float(rod_strength(0.968, 0.008, 9.0)))
    20984
    """
    mass, diameter, bearing_factor = checked(
        mass=mass, diameter=diameter, bearing_factor=bearing_factor
    )
    return mass * 9.80665 / (bearing_factor * np.pi / 4 * diameter**2)


def rumpf_strength(
    porosity: ArrayLike, diameter: ArrayLike, surface_tension: ArrayLike, saturation: ArrayLike
) -> Floats:
    """Return the tensile strength of a wet agglomerate, a second opinion on the plastic limit.

    Parameters
    ----------
    porosity : array [1]
    diameter : array [m]
        Of the grains.
    surface_tension : array [N/m]
    saturation : array [1]
        1 where the pores are full.

    Returns
    -------
    array [Pa]

    Notes
    -----
    C S (1 - eps)/eps gamma/d with C = 6. Source: H. Rumpf 1970 (capillary state), from memory.

    Examples
    --------
    >>> round(float(rumpf_strength(0.4, 20e-6, 0.030, 1.0)))
    13500
    """
    porosity, diameter, surface_tension, saturation = checked(
        porosity=porosity, diameter=diameter, surface_tension=surface_tension, saturation=saturation
    )
    return 6 * saturation * (1 - porosity) / porosity * surface_tension / diameter
