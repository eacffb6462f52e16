"""How much to add to a dough in the bowl, in closed form: its state stands still meanwhile.

Only additions are possible. Masses are per mass of dough before the addition.
"""

import numpy as np
from numpy.typing import ArrayLike

from designer.vocabulary import Floats, checked

__all__ = [
    "liquid_to_add",
    "powder_to_add",
    "wetness_per_liquid",
    "wetness_per_powder",
    "wetness_wanted",
]


def wetness_wanted(
    wetness: ArrayLike,
    firmness: ArrayLike,
    firmness_wanted: ArrayLike,
    wetness_span: ArrayLike,
    strength_ratio: ArrayLike,
) -> Floats:
    """Return the wetness at which a dough would have another strength, at the same temperature.

    Parameters
    ----------
    wetness : array [1]
        Present wetness.
    firmness : array [Pa]
        Present strength.
    firmness_wanted : array [Pa]
    wetness_span : array [1]
    strength_ratio : array [1]

    Returns
    -------
    array [1]: negative where no liquid at all were still too much

    Notes
    -----
    W* = W + dW ln(s/s*)/ln R. Source: the strength law of `flow.log_strength`, turned round.

    Examples
    --------
    From 6.2 to 21 kPa:

    >>> round(float(wetness_wanted(1.1721, 6.2e3, 21e3, 0.48, 35.0)), 4)
    1.0074
    """
    wetness, firmness, firmness_wanted, wetness_span, strength_ratio = checked(
        wetness=wetness,
        firmness=firmness,
        firmness_wanted=firmness_wanted,
        wetness_span=wetness_span,
        strength_ratio=strength_ratio,
    )
    # Where the ratio is one no wetness changes anything, and the answer is infinite.
    with np.errstate(divide="ignore", invalid="ignore"):
        change: Floats = wetness_span * np.log(firmness / firmness_wanted) / np.log(strength_ratio)
    return wetness + change


def liquid_to_add(wetness_gain: ArrayLike, demand: ArrayLike, density: ArrayLike) -> Floats:
    """Return the liquid that raises a dough's wetness by so much.

    Parameters
    ----------
    wetness_gain : array [1]
        Wanted less present wetness.
    demand : array [m^3/kg]
        Of the dough's powders: for polar liquid, or for oil if the liquid is one.
    density : array [kg/m^3]
        Of the liquid.

    Returns
    -------
    array [1]: mass per mass of dough; negative where the dough is too wet already

    Notes
    -----
    x = (W* - W) rho A. Source: the definition of wetness, `wetting.wetness`.

    Examples
    --------
    Water for a dough at 0.882 to reach 1.004:

    >>> round(float(liquid_to_add(0.122, 34.09e-5, 1000.0)), 4)
    0.0416
    """
    wetness_gain, demand, density = checked(
        wetness_gain=wetness_gain, demand=demand, density=density
    )
    return wetness_gain * density * demand


def powder_to_add(
    wetness_wanted: ArrayLike,
    polar_wetness: ArrayLike,
    oil_wetness: ArrayLike,
    polar_demand: ArrayLike,
    oil_demand: ArrayLike,
    polar_uptake: ArrayLike,
    oil_uptake: ArrayLike,
) -> Floats:
    """Return the powder that lowers a dough's wetness to a wanted one.

    Parameters
    ----------
    wetness_wanted : array [1]
    polar_wetness : array [1]
        Polar liquid over the demand for it, the first part of wetness.
    oil_wetness : array [1]
        The other part: oil and set fat over the demand for oil.
    polar_demand : array [m^3/kg]
    oil_demand : array [m^3/kg]
    polar_uptake : array [m^3/kg]
        What the powder demands in this dough: on contact less than once it has drunk.
    oil_uptake : array [m^3/kg]

    Returns
    -------
    array [1]: mass per mass of dough; NaN where no powder leads there, for the dough is drier
    already or the powder drinks nothing

    Notes
    -----
    Positive root of alpha beta W* x^2 + (W*(A beta + B alpha) - V_p beta - V_o alpha) x
    + W* A B - V_p B - V_o A = 0, with V_p and V_o the volumes of polar liquid and of oil.
    Source: `wetting.wetness` with alpha x and beta x more demand.

    Examples
    --------
    Corn starch that has drunk, into a dough of 1.172 on its way to 1.0065:

    >>> found = powder_to_add(1.0065, 0.6802, 0.4919, 30.81e-5, 31.26e-5, 0.624e-3, 0.5087e-3)
    >>> round(float(found), 3)
    0.089
    """
    wetness_wanted, polar_wetness, oil_wetness = checked(
        wetness_wanted=wetness_wanted, polar_wetness=polar_wetness, oil_wetness=oil_wetness
    )
    polar_demand, oil_demand, polar_uptake, oil_uptake = checked(
        polar_demand=polar_demand,
        oil_demand=oil_demand,
        polar_uptake=polar_uptake,
        oil_uptake=oil_uptake,
    )
    # Divided by A B, uptakes as shares of the demands: all numbers are then near 1.
    alpha, beta = polar_uptake / polar_demand, oil_uptake / oil_demand
    square = alpha * beta * wetness_wanted
    slope = (alpha + beta) * wetness_wanted - polar_wetness * beta - oil_wetness * alpha
    excess = polar_wetness + oil_wetness - wetness_wanted
    with np.errstate(divide="ignore", invalid="ignore"):
        inner = np.sqrt(slope**2 + 4 * square * np.maximum(excess, 0.0))
        # The root whose two forms lose no digits: one for each sign of the slope.
        root = np.where(slope > 0, 2 * excess / (slope + inner), (inner - slope) / (2 * square))
    return np.where((excess > 0) & np.isfinite(root), root, np.nan)


def wetness_per_liquid(demand: ArrayLike, density: ArrayLike) -> Floats:
    """Return the rise of wetness per liquid added.

    Parameters
    ----------
    demand : array [m^3/kg]
    density : array [kg/m^3]

    Returns
    -------
    array [1]: per mass of liquid per mass of dough

    Notes
    -----
    dW/dx = 1/(rho A). Source: the slope of `liquid_to_add`.

    Examples
    --------
    One gram of water per 100 g of dough:

    >>> round(0.01 * float(wetness_per_liquid(32.3e-5, 1000.0)), 4)
    0.031
    """
    demand, density = checked(demand=demand, density=density)
    with np.errstate(divide="ignore"):
        rise: Floats = 1 / (density * demand)
    return rise


def wetness_per_powder(
    polar_wetness: ArrayLike,
    oil_wetness: ArrayLike,
    polar_demand: ArrayLike,
    oil_demand: ArrayLike,
    polar_uptake: ArrayLike,
    oil_uptake: ArrayLike,
) -> Floats:
    """Return the change of wetness per powder added, for the first grain of it.

    Parameters
    ----------
    polar_wetness : array [1]
    oil_wetness : array [1]
    polar_demand : array [m^3/kg]
    oil_demand : array [m^3/kg]
    polar_uptake : array [m^3/kg]
    oil_uptake : array [m^3/kg]

    Returns
    -------
    array [1]: per mass of powder per mass of dough; never positive

    Notes
    -----
    dW/dx = -(W_p alpha/A + W_o beta/B). Source: the slope of wetness that `powder_to_add` inverts.

    Examples
    --------
    One gram of corn starch per 100 g of a dough:

    >>> found = wetness_per_powder(0.5331, 0.4963, 32.34e-5, 32.8e-5, 0.624e-3, 0.5087e-3)
    >>> round(0.01 * float(found), 4)
    -0.018
    """
    polar_wetness, oil_wetness = checked(polar_wetness=polar_wetness, oil_wetness=oil_wetness)
    polar_demand, oil_demand, polar_uptake, oil_uptake = checked(
        polar_demand=polar_demand,
        oil_demand=oil_demand,
        polar_uptake=polar_uptake,
        oil_uptake=oil_uptake,
    )
    return -(polar_wetness * polar_uptake / polar_demand + oil_wetness * oil_uptake / oil_demand)
