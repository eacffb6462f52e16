"""Water of a bar at a water activity, and the other way round.

Every holder keeps, at the common water activity, the water it would keep alone (`sorption`); the
sum is the water of the bar. It is linear in the holders and rises with water activity.
"""

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.constants import GAS_CONSTANT, REFERENCE_TEMPERATURE
from designer.vocabulary import Floats, checked

__all__ = ["activity_at_temperature", "balance_activity", "balance_water"]

ACTIVITY_GRID = np.concatenate(
    [np.linspace(0.0, 0.75, 375, endpoint=False), np.linspace(0.75, 0.999, 481)]
)
"""Water activities for tabled isotherms, finer where solutes bend upward."""
ACTIVITY_GRID.flags.writeable = False


def balance_water(holder_share: ArrayLike, holder_water: ArrayLike) -> Floats:
    """Return the water of a bar: the sum of what its holders keep at a common water activity.

    Parameters
    ----------
    holder_share : array (..., holders) [1]
        Dry mass of each holder per mass of bar; an error factor of its isotherm may be in it.
    holder_water : array (holders, points) [1]
        What each keeps, at each water activity of a grid.

    Returns
    -------
    array (..., points) [1]: kg water per kg of bar

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    W(a) = sum m X(a). Source: A. B. Zdanovskii 1936; R. H. Stokes, R. A. Robinson, J. Phys. Chem.
    70 (1966) 2126 for solutes; the same sum for solids.

    Examples
    --------
    >>> balance_water([0.06, 0.03], [[0.124], [0.265]]).round(5).tolist()
    [0.01539]
    """
    holder_share, holder_water = checked(holder_share=holder_share, holder_water=holder_water)
    return holder_share @ holder_water


def balance_activity(water: ArrayLike, isotherm: ArrayLike, water_activity: ArrayLike) -> Floats:
    """Return the water activity at which a bar's holders keep just its water.

    Parameters
    ----------
    water : array (...) [1]
    isotherm : array (..., points) [1]
        From `balance_water`; its leading axes broadcast against `water`.
    water_activity : array (points,) [1]
        Ascending, the grid of the isotherm.

    Returns
    -------
    array (...) [1]: the grid's end where there is more water than the isotherm reaches, its start
    where there is less

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    Linear interpolation in the running maximum of the isotherm. Source: the inverse of
    `balance_water`.

    Examples
    --------
    >>> float(balance_activity(0.05, [0.0, 0.04, 0.08], [0.0, 0.5, 1.0]))
    0.625
    """
    water, isotherm, water_activity = checked(
        water=water, isotherm=isotherm, water_activity=water_activity
    )
    points = water_activity.size
    shape = np.broadcast_shapes(water.shape, isotherm.shape[:-1])
    curves = np.maximum.accumulate(isotherm, axis=-1).ravel()
    # Rows are addressed, not copied: many times share the curve of one draw.
    rows = np.arange(isotherm.size // points).reshape(isotherm.shape[:-1]) * points
    rows, water = np.broadcast_to(rows, shape), np.broadcast_to(water, shape)
    upper = np.clip(_count_below(curves, rows, points, water), 1, points - 1)
    below, above = curves[rows + upper - 1], curves[rows + upper]
    span = above - below
    part = np.where(span > 0, (water - below) / np.where(span > 0, span, 1.0), water > below)
    step = water_activity[upper] - water_activity[upper - 1]
    activity: Floats = water_activity[upper - 1] + np.clip(part, 0.0, 1.0) * step
    return activity


def _count_below(
    curves: Floats, rows: np.ndarray, points: int, value: Floats
) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """Return how many points of its curve lie below each value, by halving."""
    low = np.zeros(value.shape, dtype=np.intp)
    high = np.full(value.shape, points, dtype=np.intp)
    for _ in range(points.bit_length()):
        middle = (low + high) // 2
        inside = low < high
        below = inside & (curves[rows + np.minimum(middle, points - 1)] < value)
        low = np.where(below, middle + 1, low)
        high = np.where(inside & ~below, middle, high)
    return low


def activity_at_temperature(
    water_activity: ArrayLike, temperature: ArrayLike, sorption_heat: ArrayLike
) -> Floats:
    """Return the water activity at a temperature, of a material known at 25 °C.

    Parameters
    ----------
    water_activity : array [1]
        At 25 °C.
    temperature : array [K]
    sorption_heat : array [J/mol]
        Heat that binds the water, beyond the heat of condensation.

    Returns
    -------
    array [1], broadcast of the three; 1 where the law passes it, as bound water has no such heat

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    ln(a/a_25) = (q/R)(1/298.15 - 1/T) at constant water. Source: Clausius and Clapeyron; 0.5 to
    1 kJ/mol for polyols, 2 to 5 for dry starch, from memory.

    Examples
    --------
    2 kJ/mol raises 0.70 to 0.72 at 35 °C:

    >>> round(float(activity_at_temperature(0.70, 308.15, 2000.0)), 2)
    0.72
    """
    water_activity, temperature, sorption_heat = checked(
        water_activity=water_activity, temperature=temperature, sorption_heat=sorption_heat
    )
    exponent = sorption_heat / GAS_CONSTANT * (1 / REFERENCE_TEMPERATURE - 1 / temperature)
    return np.minimum(water_activity * np.exp(exponent), 1.0)
