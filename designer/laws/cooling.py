"""Heat of the dough: where its parts meet, and how the lump cools and sets."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from designer.vocabulary import Floats, checked

__all__ = [
    "biot_number",
    "lump_area",
    "meeting_temperature",
    "newton_cooling",
    "set_while_cooling",
]


def meeting_temperature(heat_capacity: ArrayLike, temperature: ArrayLike) -> Floats:
    """Return the temperature of parts that meet without loss and before anything sets.

    Parameters
    ----------
    heat_capacity : array (parts, ...) [J/(kg K)]
        Share of the dough times heat capacity, of each part; any common factor drops out.
    temperature : array (parts, ...) [K]

    Returns
    -------
    array (...) [K]: the mean weighted by heat capacity

    Raises
    ------
    ValueError
        An argument lies outside its domain; all heat capacities of a dough are zero.

    Notes
    -----
    sum C (T - T_part) = 0. Source: energy balance; heat of wetting (about 1 K) is left out.

    Examples
    --------
    Equal parts of 20 and 70 °C:

    >>> round(float(meeting_temperature([1000.0, 1000.0], [293.15, 343.15])), 2)
    318.15
    """
    heat_capacity, temperature = checked(heat_capacity=heat_capacity, temperature=temperature)
    total = heat_capacity.sum(axis=0)
    if not np.all(total > 0):
        raise ValueError("heat_capacity: a dough without heat capacity has no temperature")
    meeting: Floats = (heat_capacity * temperature).sum(axis=0) / total
    return meeting


def lump_area(mass: ArrayLike, density: ArrayLike, area_factor: ArrayLike) -> Floats:
    """Return the surface of a hand-kneaded lump.

    Parameters
    ----------
    mass : array [kg]
    density : array [kg/m^3]
    area_factor : array [1]
        Surface over that of the sphere of the same volume.

    Returns
    -------
    array [m^2]

    Notes
    -----
    factor (36 pi)^(1/3) V^(2/3). Source: geometry of the sphere; the factor is common practice.

    Examples
    --------
    >>> round(float(lump_area(1.0, 950.0, 1.2)), 4)
    0.0601
    """
    mass, density, area_factor = checked(mass=mass, density=density, area_factor=area_factor)
    area: Floats = area_factor * (36 * np.pi) ** (1 / 3) * (mass / density) ** (2 / 3)
    return area


def biot_number(
    mass: ArrayLike, density: ArrayLike, surface_coefficient: ArrayLike, conductivity: ArrayLike
) -> Floats:
    """Return the Biot number h r/k of a lump at rest, r the radius of its sphere.

    Parameters
    ----------
    mass : array [kg]
    density : array [kg/m^3]
    surface_coefficient : array [W/(m^2 K)]
    conductivity : array [W/(m K)]

    Returns
    -------
    array [1]: h A/(1 + Bi/5) instead of h A gives a resting lump's loss

    Notes
    -----
    Source: H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, sphere with
    surface resistance; Bi/5 is its quasi-steady inner resistance.

    Examples
    --------
    >>> round(float(biot_number(1.0, 950.0, 12.0, 0.25)), 2)
    3.03
    """
    mass, density, surface_coefficient, conductivity = checked(
        mass=mass,
        density=density,
        surface_coefficient=surface_coefficient,
        conductivity=conductivity,
    )
    radius = (3 * mass / (4 * np.pi * density)) ** (1 / 3)
    return surface_coefficient * radius / conductivity


def newton_cooling(
    time: ArrayLike, start: ArrayLike, surroundings: ArrayLike, time_constant: ArrayLike
) -> Floats:
    """Return the temperature of a lump of even temperature that cools towards its surroundings.

    Parameters
    ----------
    time : array [s]
    start : array [K]
    surroundings : array [K]
    time_constant : array [s]
        Heat capacity over heat loss per kelvin.

    Returns
    -------
    array [K], broadcast of the four

    Notes
    -----
    T = T_env + (T_0 - T_env) e^(-t/tau). Source: Newton's law of cooling.

    Examples
    --------
    After one time constant 1/e of the difference is left:

    >>> round(float(newton_cooling(600.0, 305.15, 295.15, 600.0)), 3)
    298.829
    """
    time, start, surroundings, time_constant = checked(
        time=time, start=start, surroundings=surroundings, time_constant=time_constant
    )
    return surroundings + (start - surroundings) * np.exp(-time / time_constant)


@dataclass(frozen=True)
class Cooling:
    """What a lump cools by, one value per cell (a recipe with one draw of its unknowns).

    Attributes
    ----------
    start : array (cells,) [K]
        Temperature at the pour.
    heat_capacity : array (cells,) [J/(kg K)]
        Of dough and bowl, per kg of dough.
    surroundings, rate : array (2, cells) [K], [1/s]
        While kneaded and at rest: what the lump cools towards and how fast.
    """

    start: Floats
    heat_capacity: Floats
    surroundings: Floats
    rate: Floats


@dataclass(frozen=True)
class Setting:
    """What sets in the lump, one row per cell.

    Attributes
    ----------
    melt_share : array (cells,) [1]
        Mass of melt per mass of dough.
    grid : array (temperatures,) [K]
        Evenly spaced.
    target : array (cells, temperatures, components) [mol/kg]
        Solid moles per kg of melt at equilibrium.
    heat_of_fusion : array (cells, components) [J/mol]
    molar_mass : array (components,) [kg/mol]
    time_constant : array (cells, components) [s]
        Of crystallising.
    melting_time : float [s]
        Of melting again, all components.
    """

    melt_share: Floats
    grid: Floats
    target: Floats
    heat_of_fusion: Floats
    molar_mass: Floats
    time_constant: Floats
    melting_time: float


def set_while_cooling(
    step: Floats, kneaded: np.ndarray, recorded: np.ndarray, cooling: Cooling, setting: Setting
) -> tuple[Floats, Floats]:
    """Return temperature and set share of the melt while a lump cools and its melt crystallises.

    Parameters
    ----------
    step : array (steps,) [s]
        Lengths of the steps from the pour on.
    kneaded : bool array (steps,)
        False where the lump rests.
    recorded : int array (times,)
        Steps after whose end the result is wanted.
    cooling, setting : see their classes

    Returns
    -------
    temperature : array (times, cells) [K]
    set share : array (times, cells) [1]

    Notes
    -----
    Each step: T cools by Newton's law over half of it; every component goes towards its
    equilibrium solid with its own first-order time constant, d sigma = (target - sigma)
    (1 - e^(-dt/tau)); its heat warms the lump; T cools over the other half. This splitting
    (G. Strang 1968) needs under half the steps of cooling first and setting then.
    Source: energy balance; first-order crystallisation as in the linear driving-force model.
    """
    cells, components = setting.heat_of_fusion.shape
    where = np.arange(cells)
    spacing = setting.grid[1] - setting.grid[0]
    last = setting.grid.size - 2
    mode = np.where(kneaded, 0, 1)
    # Half of the cooling before and half after the setting: second order in the splitting.
    decay = np.exp(-step[:, None] / 2 * cooling.rate[mode])
    taus, tau_of = np.unique(setting.time_constant.T, axis=0, return_inverse=True)
    growth = 1 - np.exp(-step[:, None, None] / taus)
    melting = 1 - np.exp(-step / setting.melting_time)
    warming = (setting.melt_share / cooling.heat_capacity)[:, None] * setting.heat_of_fusion

    temperature = cooling.start.copy()
    solid = np.zeros((cells, components))
    temperatures, shares = [], []
    wanted = np.bincount(recorded, minlength=step.size)
    for k in range(step.size):
        surroundings = cooling.surroundings[mode[k]]
        temperature = surroundings + (temperature - surroundings) * decay[k]
        place = np.minimum(np.maximum((temperature - setting.grid[0]) / spacing, 0.0), last + 1.0)
        low = np.minimum(place.astype(np.intp), last)
        part = (place - low)[:, None]
        below, above = setting.target[where, low], setting.target[where, low + 1]
        missing = below + part * (above - below) - solid
        gain = missing * np.where(missing > 0, growth[k][tau_of].T, melting[k])
        solid += gain
        temperature = temperature + (gain * warming).sum(axis=1)
        temperature = surroundings + (temperature - surroundings) * decay[k]
        if wanted[k]:
            temperatures += [temperature] * int(wanted[k])
            shares += [solid @ setting.molar_mass] * int(wanted[k])
    return np.array(temperatures), np.clip(np.array(shares), 0.0, 1.0)
