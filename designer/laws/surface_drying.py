"""Drying of a bar when the air resists, too: Newman's series, their roots and the Biot number.

Needed below a Biot number of about 100 (a closed box, a very thin or very open bar); above it the
closed forms of `drying` are within 0.02 and the air hardly counts.
"""

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.roots import bracketed_root
from designer.vocabulary import Floats, checked

__all__ = [
    "cylinder_roots",
    "drying_biot",
    "resisted_cylinder_water_left",
    "resisted_puck_water_left",
    "resisted_slab_water_left",
    "slab_roots",
    "vapour_transfer",
]

_MOST_TERMS = 400


def vapour_transfer(
    surface_velocity: ArrayLike, saturated_vapour: ArrayLike, activity_slope: ArrayLike
) -> Floats:
    """Return the surface coefficient of drying, on the water concentration inside the bar.

    Parameters
    ----------
    surface_velocity : array [m/s]
        Mass transfer coefficient of the air: 0.003 in free convection.
    saturated_vapour : array [kg/m^3]
        Water in saturated air, 0.0231 at 25 °C.
    activity_slope : array [m^3/kg]
        Rise of water activity per water in the bar.

    Returns
    -------
    array [m/s], broadcast of the three

    Notes
    -----
    k = k_air rho_sat da/dC: the same vapour flux on either side. Source: as J. Crank 1975, ch. 14;
    k_air from memory.

    Examples
    --------
    Water activity 0.28 above the room's over 72 kg/m^3 of losable water:

    >>> float(round(vapour_transfer(0.003, 0.0231, 0.28 / 72.0), 9))
    2.7e-07
    """
    surface_velocity, saturated_vapour, activity_slope = checked(
        surface_velocity=surface_velocity,
        saturated_vapour=saturated_vapour,
        activity_slope=activity_slope,
    )
    return surface_velocity * saturated_vapour * activity_slope


def drying_biot(surface_velocity: ArrayLike, length: ArrayLike, diffusivity: ArrayLike) -> Floats:
    """Return the Biot number of drying: the inner resistance over that of the air.

    Parameters
    ----------
    surface_velocity : array [m/s]
        From `vapour_transfer`.
    length : array [m]
        Half thickness or radius.
    diffusivity : array [m^2/s]

    Returns
    -------
    array [1], broadcast of the three: above 100 the air hardly counts; infinite without diffusion

    Notes
    -----
    Bi = k L/D. Source: definition, J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, p. 60.

    Examples
    --------
    >>> round(float(drying_biot(2.7e-7, 0.0175, 2e-11)))
    236
    """
    surface_velocity, length, diffusivity = checked(
        surface_velocity=surface_velocity, length=length, diffusivity=diffusivity
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        return surface_velocity * length / diffusivity


def slab_roots(biot: ArrayLike, count: int) -> Floats:
    """Return the first roots of beta tan(beta) = Bi.

    Parameters
    ----------
    biot : array (...) [1]
    count : int

    Returns
    -------
    array (count, ...) [1], ascending

    Raises
    ------
    ValueError
        The Biot number lies outside its domain; NaN always does.

    Notes
    -----
    Solved as beta = n pi + arctan(Bi/beta), whose two sides differ by a function that rises and is
    concave, so Newton from the left cannot leave it.
    Source: J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, table 4.1.

    Examples
    --------
    Bi = 1; in print 0.8603:

    >>> slab_roots(1.0, 2).round(4).tolist()
    [0.8603, 3.4256]
    """
    (biot,) = checked(biot=biot)
    turn = np.pi * _column(np.arange(count), biot)

    def excess(root: Floats) -> tuple[Floats, Floats]:
        return root - turn - np.arctan2(biot, root), 1 + biot / (root**2 + biot**2)

    low = turn + np.zeros_like(biot)
    return bracketed_root(excess, low, low + np.pi / 2)


def _column(values: np.ndarray, like: Floats) -> Floats:
    return np.asarray(values, dtype=np.float64).reshape(-1, *(1,) * like.ndim)


def cylinder_roots(biot: ArrayLike, count: int) -> Floats:
    """Return the first roots of gamma J1(gamma) = Bi J0(gamma).

    Parameters
    ----------
    biot : array (...) [1]
    count : int

    Returns
    -------
    array (count, ...) [1], ascending

    Raises
    ------
    ValueError
        The Biot number lies outside its domain; NaN always does.

    Notes
    -----
    The n-th lies between a zero of J1 and the next of J0.
    Source: J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, table 5.2.

    Examples
    --------
    Bi = 1; in print 1.2558:

    >>> cylinder_roots(1.0, 2).round(4).tolist()
    [1.2558, 4.0795]
    """
    from scipy.special import j0, j1, jn_zeros

    (biot,) = checked(biot=biot)
    low = _column(np.concatenate([[0.0], jn_zeros(1, count)[:-1]]), biot) + np.zeros_like(biot)
    high = _column(jn_zeros(0, count), biot) + np.zeros_like(biot)
    sign = _column((-1.0) ** np.arange(count), biot)

    def excess(root: Floats) -> tuple[Floats, Floats]:
        zero, one = sign * j0(root), sign * j1(root)
        return root * one - biot * zero, root * zero + biot * one

    return bracketed_root(excess, low, high)


def resisted_slab_water_left(
    time: ArrayLike, diffusivity: ArrayLike, half_thickness: ArrayLike, biot: ArrayLike
) -> Floats:
    """Return the share of the losable water still in a slab when the air resists, too.

    Parameters
    ----------
    time : array [s]
    diffusivity : array [m^2/s]
    half_thickness : array [m]
    biot : array [1]
        k L/D, see `drying_biot`.

    Returns
    -------
    array [1], broadcast of the four

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    E = sum 2 Bi^2/(b^2 (b^2 + Bi^2 + Bi)) exp(-b^2 Fo), b from `slab_roots`; to 1e-5 up to Bi 100.
    Source: J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, eq. 4.53.

    Examples
    --------
    Bi = 1, Fo = 1:

    >>> round(float(resisted_slab_water_left(1.0, 1e-4, 1e-2, 1.0)), 4)
    0.4704
    """
    time, diffusivity, half_thickness, biot = checked(
        time=time, diffusivity=diffusivity, half_thickness=half_thickness, biot=biot
    )
    fourier = diffusivity * time / half_thickness**2
    roots = slab_roots(biot, _terms(fourier))
    return _series(fourier, roots, 2 / (roots**2 * (1 + 1 / biot + (roots / biot) ** 2)))


def resisted_cylinder_water_left(
    time: ArrayLike, diffusivity: ArrayLike, radius: ArrayLike, biot: ArrayLike
) -> Floats:
    """Return the share of the losable water still in a long cylinder when the air resists, too.

    Parameters
    ----------
    time : array [s]
    diffusivity : array [m^2/s]
    radius : array [m]
    biot : array [1]
        k a/D, see `drying_biot`.

    Returns
    -------
    array [1], broadcast of the four

    Raises
    ------
    ValueError
        An argument lies outside its domain; NaN always does.

    Notes
    -----
    E = sum 4 Bi^2/(g^2 (g^2 + Bi^2)) exp(-g^2 Fo), g from `cylinder_roots`; to 1e-5 up to Bi 100.
    Source: J. Crank, The Mathematics of Diffusion, 2nd ed. 1975, eq. 5.49.

    Examples
    --------
    Bi = 1, Fo = 1:

    >>> round(float(resisted_cylinder_water_left(1.0, 1e-4, 1e-2, 1.0)), 4)
    0.2033
    """
    time, diffusivity, radius, biot = checked(
        time=time, diffusivity=diffusivity, radius=radius, biot=biot
    )
    fourier = diffusivity * time / radius**2
    roots = cylinder_roots(biot, _terms(fourier))
    return _series(fourier, roots, 4 / (roots**2 * (1 + (roots / biot) ** 2)))


def resisted_puck_water_left(
    time: ArrayLike,
    diffusivity: ArrayLike,
    diameter: ArrayLike,
    height: ArrayLike,
    surface_velocity: ArrayLike,
    tray: bool,
) -> Floats:
    """Return the share of the losable water still in a round bar when the air resists, too.

    Parameters
    ----------
    time : array [s]
    diffusivity : array [m^2/s]
        Above 0.
    diameter : array [m]
    height : array [m]
    surface_velocity : array [m/s]
        From `vapour_transfer`.
    tray : bool
        True where it lies on a tray, which seals one face; False on a rack.

    Returns
    -------
    array [1], broadcast of the five

    Raises
    ------
    ValueError
        An argument, or the Biot number that follows, lies outside its domain; NaN always does.

    Notes
    -----
    Slab times cylinder. Source: A. B. Newman, Trans. AIChE 27 (1931) 203.

    Examples
    --------
    60 x 35 mm, 28 days in a closed box that slows the air fifty times:

    >>> left = resisted_puck_water_left(28 * 86400.0, 2e-11, 0.060, 0.035, 5.4e-9, False)
    >>> round(float(left), 2)
    0.48
    """
    diameter, height = checked(diameter=diameter, height=height)
    half, radius = (height if tray else height / 2), diameter / 2
    slab = resisted_slab_water_left(
        time, diffusivity, half, drying_biot(surface_velocity, half, diffusivity)
    )
    return slab * resisted_cylinder_water_left(
        time, diffusivity, radius, drying_biot(surface_velocity, radius, diffusivity)
    )


def _terms(fourier: Floats) -> int:
    """Return how many terms the earliest time needs, within reason."""
    earliest = fourier[fourier > 0].min(initial=1.0)
    return int(np.clip(np.sqrt(16 / earliest) / np.pi + 2, 8, _MOST_TERMS))


def _series(fourier: Floats, roots: Floats, coefficients: Floats) -> Floats:
    # All coefficients together are 1, so what the later ones are worth is known: it decays with
    # the last root at least, and at the start nothing is missing.
    total: Floats = (1 - coefficients.sum(axis=0)) * np.exp(-(roots[-1] ** 2) * fourier)
    for root, coefficient in zip(roots, coefficients, strict=True):
        total = total + coefficient * np.exp(-(root**2) * fourier)
    return total
