"""Heat of the dough: where its parts meet, and how the lump cools and sets."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from designer.vocabulary import Floats, checked

__all__ = [
    "biot_number",
    "carry_on_setting",
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
    surroundings, rate : array (modes, cells) [K], [1/s]
        What the lump cools towards and how fast: while kneaded, at rest, and in whatever other
        surroundings a step may name.
    """

    start: Floats
    heat_capacity: Floats
    surroundings: Floats
    rate: Floats


@dataclass(frozen=True)
class Setting:
    """What sets in the lump. Cells that share a melt may share its rows: cell k has row k mod rows.

    Attributes
    ----------
    melt_share : array (cells,) [1]
        Mass of melt per mass of dough.
    grid : array (temperatures,) [K]
        Evenly spaced.
    target : array (rows, temperatures, components) [mol/kg]
        Solid moles per kg of melt at equilibrium.
    heat_of_fusion : array (rows, components) [J/mol]
    molar_mass : array (components,) [kg/mol]
    time_constant : array (rows, components) [s]
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
    nothing = np.zeros((setting.melt_share.size, setting.target.shape[2]))
    mode = np.where(kneaded, 0, 1)
    return carry_on_setting(step, mode, recorded, cooling, setting, nothing)[:2]


def carry_on_setting(
    step: Floats,
    mode: np.ndarray,
    recorded: np.ndarray,
    cooling: Cooling,
    setting: Setting,
    solid: Floats,
) -> tuple[Floats, Floats, Floats]:
    """Return how a lump goes on cooling and setting from a moment at which part of it has set.

    Parameters
    ----------
    step : array (steps,) [s]
        Lengths of the steps from that moment on.
    mode : int array (steps,)
        Row of the surroundings of each step.
    recorded : int array (times,)
        Steps after whose end the result is wanted.
    cooling, setting : see their classes
        The temperature at the start is that of the moment.
    solid : array (cells, components) [mol/kg]
        Solid moles per kg of melt at that moment.

    Returns
    -------
    temperature : array (times, cells) [K]
    set share : array (times, cells) [1]
    solid : array (cells, components) [mol/kg], after the last step

    Notes
    -----
    The steps are those of `set_while_cooling`: broken off after any step and carried on, the march
    is the same. Source: energy balance; first-order crystallisation as in the linear driving-force
    model.
    """
    spacing = setting.grid[1] - setting.grid[0]
    # Temperatures are counted in steps of the grid from its start, so they are places in it.
    around = (cooling.surroundings[mode] - setting.grid[0]) / spacing
    decay = np.exp(-step[:, None] / 2 * cooling.rate[mode])
    keep, gain = _between_settings(around, decay)
    heat = np.tile(setting.heat_of_fusion, (setting.melt_share.size // len(setting.target), 1))
    warming = (setting.melt_share / cooling.heat_capacity / spacing)[:, None] * heat
    start = (cooling.start - setting.grid[0]) / spacing
    solid = solid.copy()
    places, shares = _march(step, start, keep, gain, warming, np.unique(recorded), setting, solid)
    rows = np.searchsorted(np.unique(recorded), recorded)
    after = around[recorded] + (places[rows] - around[recorded]) * decay[recorded]
    return setting.grid[0] + spacing * after, np.clip(shares[rows], 0.0, 1.0), solid


def _between_settings(around: Floats, decay: Floats) -> tuple[Floats, Floats]:
    """Return factor and addend that cool from after one setting to before the next, per step.

    They join the second half of a step to the first half of the one that follows.
    """
    keep, gain = decay.copy(), around * (1 - decay)
    keep[1:] *= decay[:-1]
    gain[1:] += around[:-1] * (1 - decay[:-1]) * decay[1:]
    return keep, gain


def _growth(step: Floats, setting: Setting) -> tuple[Floats, np.ndarray]:
    """Return the share of what is missing that crystallises in a step, and of which kind each is.

    Components of one time constant are of one kind: the shares are (steps, cells, kinds), the kinds
    (components,).
    """
    columns = [column.tobytes() for column in setting.time_constant.T]
    kinds = list(dict.fromkeys(columns))
    taus = setting.time_constant[:, [columns.index(kind) for kind in kinds]]
    growth = 1 - np.exp(-step[:, None, None] / taus)
    times = setting.melt_share.size // len(setting.target)
    return np.tile(growth, (1, times, 1)), np.array([kinds.index(column) for column in columns])


def _lines(setting: Setting) -> tuple[Floats, Floats]:
    """Return the target as a line over each interval of the grid: its height at place 0, its rise.

    Both are (rows x temperatures, components); the last temperature has a level line.
    """
    rows, size, components = setting.target.shape
    rise = np.zeros_like(setting.target)
    np.subtract(setting.target[:, 1:], setting.target[:, :-1], out=rise[:, :-1])
    height = setting.target - np.arange(size)[:, None] * rise
    return height.reshape(rows * size, components), rise.reshape(rows * size, components)


def _march(
    step: Floats,
    place: Floats,
    keep: Floats,
    gain: Floats,
    warming: Floats,
    wanted: np.ndarray,
    setting: Setting,
    solid: Floats,
) -> tuple[Floats, Floats]:
    """Return place on the grid (wanted, cells) just after the setting of a step, and set share.

    `solid` (cells, components) is carried on in place.

    The loop is short of all but its own cost: arrays of a few hundred numbers, so every call
    counts, and each writes where the next one reads.
    """
    cells, (rows, size, _) = place.size, setting.target.shape
    growth, kind = _growth(step, setting)
    melting = 1 - np.exp(-step / setting.melting_time)
    height, rise = _lines(setting)
    first = np.arange(cells) % rows * size
    start, end = np.zeros(cells), np.full(cells, size - 1.0)
    missing, slope, rate = np.empty_like(solid), np.empty_like(solid), np.empty_like(solid)
    held = np.empty(cells)
    column = held[:, None]
    at = dict(zip(wanted.tolist(), range(wanted.size), strict=True))
    places, shares = np.empty((2, wanted.size, cells))
    # Then the nearer to nothing of the two changes is the one to take, upwards or downwards.
    melts_faster = bool((growth <= melting[:, None, None]).all())
    place = place.copy()
    per_step = zip(keep, gain, growth, melting.tolist(), strict=True)
    for k, (kept, gained, growing, melted) in enumerate(per_step):
        place *= kept
        place += gained
        np.maximum(place, start, out=held)
        np.minimum(held, end, out=held)
        index = held.astype(np.intp)
        index += first
        height.take(index, 0, missing, "clip")
        rise.take(index, 0, slope, "clip")
        slope *= column
        missing += slope
        missing -= solid
        growing.take(kind, 1, rate, "clip")
        if melts_faster:
            np.multiply(missing, melted, out=slope)
            missing *= rate
            np.minimum(missing, slope, out=missing)
        else:
            missing *= np.where(missing > 0, rate, melted)
        solid += missing
        place += np.vecdot(missing, warming)
        if k in at:
            places[at[k]] = place
            np.vecdot(solid, setting.molar_mass, out=shares[at[k]])
    return places, shares
