"""Drying of a pressed bar by diffusion: the share of the losable water that is still inside.

Water starts even, the diffusivity is constant, and the bar dries towards balance with the room.
The share left of a puck or block is the product of those of the slabs and cylinder that cut it
out. The surface is held in balance with the room from the start; `surface_drying` lets the air
resist as well.
"""

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.constants import GAS_CONSTANT, REFERENCE_TEMPERATURE
from designer.vocabulary import Floats, checked

__all__ = [
    "block_water_left",
    "cylinder_water_left",
    "diffusivity_factor",
    "puck_drying_time",
    "puck_water_left",
    "slab_water_left",
]

_BESSEL_ZEROS_SQUARED = (5.783185962947, 30.471262343662, 74.887006790695)


def slab_water_left(time: ArrayLike, diffusivity: ArrayLike, half_thickness: ArrayLike) -> Floats:
    """Return the share of the losable water still in a slab drying from both faces.

    Parameters
    ----------
    time : array [s]
    diffusivity : array [m^2/s]
    half_thickness : array [m]
        Half the height on a rack; the full height on a tray, which seals one face.

    Returns
    -------
    array [1], broadcast of the three: 1 as pressed, 0 in balance with the room

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    E = sum over odd k of 8/(k pi)^2 exp(-(k pi/2)^2 Fo), Fo = D t/L^2, D constant, to 2e-6.
    Source: J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, p. 48.

    Examples
    --------
    The reference page of a public engineering library prints this uptake:

    >>> round(1 - float(slab_water_left(100.0, 1e-10, 0.2e-3)), 6)
    0.562234
    """
    time, diffusivity, half_thickness = checked(
        time=time, diffusivity=diffusivity, half_thickness=half_thickness
    )
    return _slab(diffusivity * time / half_thickness**2)


def _slab(fourier: Floats) -> Floats:
    first = np.exp(-(np.pi**2) / 4 * fourier)
    # The terms k = 3, 5 are the powers 9, 25 of the first: one exponential instead of three.
    ninth = first * _square(_square(_square(first)))
    twenty_fifth = ninth * _square(_square(_square(_square(first))))
    late = 8 / np.pi**2 * (first + ninth / 9 + twenty_fifth / 25)
    # Three terms miss 7 % at Fo = 0, where the square-root law is exact.
    return np.where(fourier < 0.08, 1 - 2 * np.sqrt(fourier / np.pi), late)


def _square(value: Floats) -> Floats:
    return value * value


def cylinder_water_left(time: ArrayLike, diffusivity: ArrayLike, radius: ArrayLike) -> Floats:
    """Return the share of the losable water still in a long cylinder drying through its mantle.

    Parameters
    ----------
    time : array [s]
    diffusivity : array [m^2/s]
    radius : array [m]

    Returns
    -------
    array [1], broadcast of the three: 1 as pressed, 0 in balance with the room

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    E = sum 4/j^2 exp(-j^2 Fo) over the zeros j of J0, Fo = D t/a^2, three of them above Fo 0.06;
    below, the expansion in sqrt(Fo) that follows from I1/I0 of the Laplace transform; to 1e-5.
    Source: J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, p. 73 and eq. 5.26 (the first
    three terms of the expansion; the others are of the same kind).

    Examples
    --------
    Half is lost at Fo 0.0631:

    >>> round(float(cylinder_water_left(0.0631, 1e-4, 1e-2)), 3)
    0.5
    """
    time, diffusivity, radius = checked(time=time, diffusivity=diffusivity, radius=radius)
    return _cylinder(diffusivity * time / radius**2)


def _cylinder(fourier: Floats) -> Floats:
    late = sum((4 / j2 * np.exp(-j2 * fourier) for j2 in _BESSEL_ZEROS_SQUARED), np.zeros(()))
    # The expansion grows beyond any bound later on, so it is not even asked there.
    soon = np.minimum(fourier, 0.06)
    x = np.sqrt(soon / np.pi)
    odd = -4 + soon * (1 / 3 + soon * (5 / 24 + soon * 0.3194))
    even = soon * (1 + soon * (1 / 8 + soon * 13 / 96))
    return np.where(fourier < 0.06, 1 + x * odd + even, late)


def puck_water_left(
    time: ArrayLike, diffusivity: ArrayLike, diameter: ArrayLike, height: ArrayLike, tray: bool
) -> Floats:
    """Return the share of the losable water still in a round bar.

    Parameters
    ----------
    time : array [s]
    diffusivity : array [m^2/s]
    diameter : array [m]
    height : array [m]
    tray : bool
        True where it lies on a tray, which seals one face; False on a rack.

    Returns
    -------
    array [1], broadcast of the four

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    Slab times cylinder. Source: A. B. Newman, Trans. AIChE 27 (1931) 203.

    Examples
    --------
    A bar of 60 x 35 mm on a rack, 11 days, half left at 2e-11 m^2/s:

    >>> round(float(puck_water_left(11 * 86400.0, 2e-11, 0.060, 0.035, False)), 2)
    0.5
    """
    time, diffusivity, diameter, height = checked(
        time=time, diffusivity=diffusivity, diameter=diameter, height=height
    )
    reach = diffusivity * time
    return _puck(reach, diameter, _slab_reach(height, tray))


def _slab_reach(height: Floats, tray: bool) -> Floats:
    return height if tray else height / 2


def _puck(reach: Floats, diameter: Floats, half_thickness: Floats) -> Floats:
    return _slab(reach / half_thickness**2) * _cylinder(4 * reach / diameter**2)


def block_water_left(
    time: ArrayLike,
    diffusivity: ArrayLike,
    length: ArrayLike,
    width: ArrayLike,
    height: ArrayLike,
    tray: bool,
) -> Floats:
    """Return the share of the losable water still in a square-edged bar.

    Parameters
    ----------
    time : array [s]
    diffusivity : array [m^2/s]
    length : array [m]
    width : array [m]
    height : array [m]
    tray : bool
        True where it lies on a tray, which seals one face; False on a rack.

    Returns
    -------
    array [1], broadcast of all

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    The product of three slabs. Source: A. B. Newman, Trans. AIChE 27 (1931) 203.

    Examples
    --------
    70 x 50 x 28.3 mm dries a little quicker than the puck of the same mass:

    >>> round(float(block_water_left(11 * 86400.0, 2e-11, 0.070, 0.050, 0.0283, False)), 2)
    0.45
    """
    time, diffusivity, length, width, height = checked(
        time=time, diffusivity=diffusivity, length=length, width=width, height=height
    )
    reach = diffusivity * time
    sides = _slab(4 * reach / length**2) * _slab(4 * reach / width**2)
    return sides * _slab(reach / _slab_reach(height, tray) ** 2)


def puck_drying_time(
    lost_share: ArrayLike,
    diffusivity: ArrayLike,
    diameter: ArrayLike,
    height: ArrayLike,
    tray: bool,
) -> Floats:
    """Return when a round bar has lost a share of its losable water.

    Parameters
    ----------
    lost_share : array [1]
    diffusivity : array [m^2/s]
    diameter : array [m]
    height : array [m]
    tray : bool
        True where it lies on a tray, which seals one face; False on a rack.

    Returns
    -------
    array [s], broadcast of the four; infinite where nothing diffuses

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    The root of `puck_water_left` = 1 - lost share, by halving the logarithm of time.
    Source: as `puck_water_left`.

    Examples
    --------
    Days until the bar of `puck_water_left` has lost nine tenths:

    >>> round(float(puck_drying_time(0.9, 2e-11, 0.060, 0.035, False)) / 86400)
    69
    """
    lost_share, diffusivity, diameter, height = checked(
        lost_share=lost_share, diffusivity=diffusivity, diameter=diameter, height=height
    )
    half = _slab_reach(height, tray)
    # The slowest term alone, with a coefficient of 1 instead of 0.56, is always wetter.
    slowest = np.pi**2 / 4 / half**2 + 4 * _BESSEL_ZEROS_SQUARED[0] / diameter**2
    high = -np.log1p(-lost_share) / slowest
    low = high * lost_share * 1e-3
    for _ in range(60):
        middle = np.sqrt(low * high)
        wetter = _puck(middle, diameter, half) > 1 - lost_share
        low, high = np.where(wetter, middle, low), np.where(wetter, high, middle)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(lost_share > 0, high / diffusivity, 0.0)


def diffusivity_factor(temperature: ArrayLike, activation_energy: ArrayLike) -> Floats:
    """Return the diffusivity at a temperature over that at 25 °C.

    Parameters
    ----------
    temperature : array [K]
    activation_energy : array [J/mol]

    Returns
    -------
    array [1], broadcast of the two

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    exp(-(E/R)(1/T - 1/298.15)). Source: S. Arrhenius 1889; 35 kJ/mol is usual for water in moist
    solids (N. P. Zogzas et al., Drying Technol. 14 (1996) 2225).

    Examples
    --------
    At 35 °C:

    >>> round(float(diffusivity_factor(308.15, 35000.0)), 2)
    1.58
    """
    temperature, activation_energy = checked(
        temperature=temperature, activation_energy=activation_energy
    )
    inverse = 1 / temperature - 1 / REFERENCE_TEMPERATURE
    return np.exp(-activation_energy / GAS_CONSTANT * inverse)
