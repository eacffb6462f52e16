"""Temperature of the dough from the pour on, and what of the melt has set by then."""

from dataclasses import dataclass

import numpy as np

from designer.evaluation.draws import drawn
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.melt_table import GRID, MeltTable, blend_of, melt_table
from designer.evaluation.mixture import Mixture
from designer.handbook import Handbook, Powder
from designer.laws import cooling
from designer.vocabulary import Floats

_MINERAL = ("starch", "clay", "mineral")


@dataclass(frozen=True, eq=False)
class Conditions:
    """Under which a dough is made, all in SI.

    Attributes
    ----------
    room, bath, liquids : float [K]
    humidity : float [1]
    batch_mass : array (variants,) [kg]
    window : (float, float) [s]
        When a knead counts as clean; the dough is kneaded to its end and then shaped.
    """

    room: float
    bath: float
    liquids: float
    humidity: float
    batch_mass: Floats
    window: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Course:
    """Heat of every variant over time, per draw of the melt.

    Attributes
    ----------
    temperature : array (variants, times, melt draws) [K]
    set_share : array (variants, times, melt draws) [1], of the melt by mass
    ageing : array (variants, times, melt draws) [1]
        How much more sets once the crystals have gone over to their stable form.
    """

    temperature: Floats
    set_share: Floats
    ageing: Floats


def course(
    mixture: Mixture,
    conditions: Conditions,
    times: Floats,
    handbook: Handbook,
    knowledge: Knowledge,
) -> Course:
    """Return how every variant cools and sets at `times` [s] from the pour."""
    variants, draws = mixture.melt_shares.shape[0], knowledge.melt_draws
    blends = [blend_of(mixture.melts, shares) for shares in mixture.melt_shares]
    tables = [melt_table(handbook, blend, knowledge) if blend else None for blend in blends]
    step, kneaded, recorded = _steps(times, conditions.window[1])
    temperature, set_share = cooling.set_while_cooling(
        step,
        kneaded,
        recorded,
        _cooling(mixture, conditions, handbook, knowledge),
        _setting(mixture.melt_fraction, tables, handbook, knowledge),
    )
    shape = (times.size, variants, draws)
    temperature = temperature.reshape(shape).swapaxes(0, 1)
    ageing = np.zeros_like(temperature)
    for variant, table in enumerate(tables):
        if table is not None:
            change = np.maximum(0.0, table.aged_set - table.fresh_set)
            ageing[variant] = _at(change, temperature[variant])
    return Course(temperature, set_share.reshape(shape).swapaxes(0, 1), ageing)


def _at(table: Floats, temperature: Floats) -> Floats:
    """Read a table (draws, grid) at temperatures (times, draws)."""
    place = np.clip(temperature - GRID[0], 0, GRID.size - 1.000001)
    low = place.astype(np.intp)
    row = np.arange(table.shape[0])
    below, above = table[row, low], table[row, low + 1]
    read: Floats = below + (place - low) * (above - below)
    return read


def _steps(times: Floats, knead_end: float) -> tuple[Floats, np.ndarray, np.ndarray]:
    """Return step lengths, whether each is kneaded, and the step that ends at each time."""
    last = max(times[-1], knead_end)
    middle = min(max(10800.0, 2 * knead_end), max(last, knead_end))
    ends = [np.geomspace(3.0, knead_end, 60)]
    if last > knead_end:
        ends += [np.geomspace(knead_end, middle, 30)[1:]]
    if last > middle:
        ends += [np.geomspace(middle, last, 20)[1:]]
    # The ends are rounded so that an output time never makes a step of rounding error.
    end = np.unique(np.round(np.concatenate([*ends, times]), 6))
    end = end[(end > 0) & (end <= round(float(times[-1]), 6))]
    step = np.diff(end, prepend=0.0)
    return step, end <= round(knead_end, 6), np.searchsorted(end, np.round(times, 6))


def _cooling(
    mixture: Mixture, conditions: Conditions, handbook: Handbook, knowledge: Knowledge
) -> cooling.Cooling:
    parameters = handbook.parameters
    draws = knowledge.melt_draws
    parts, temperatures = _heat_capacities(mixture, conditions, handbook)
    relative = drawn(parameters["heat_capacity_factor"], knowledge.melt_scores("melt C"))
    capacity = parts.sum(axis=0)[:, None] * relative
    start = cooling.meeting_temperature(parts, temperatures)[:, None] + drawn(
        parameters["mixing_temperature_error"], knowledge.melt_scores("melt T0")
    )
    mass, density = conditions.batch_mass, parameters["lump_density"].si
    coefficient = drawn(parameters["surface_coefficient"], knowledge.melt_scores("melt h"))
    hand = drawn(parameters["hand_coefficient"], knowledge.melt_scores("melt U"))
    area = cooling.lump_area(mass, density, parameters["lump_area_factor"].si)[:, None]
    biot = cooling.biot_number(
        mass[:, None], density, coefficient, parameters["dough_conductivity"].si
    )
    kneaded_loss = area * coefficient
    whole = capacity * mass[:, None]
    towards = (kneaded_loss * conditions.room + hand * parameters["hand_temperature"].si) / (
        kneaded_loss + hand
    )
    rate = np.stack([(kneaded_loss + hand) / whole, kneaded_loss / (1 + biot / 5) / whole])
    surroundings = np.stack([towards, np.full_like(towards, conditions.room)])
    cells = mixture.melt_shares.shape[0] * draws
    return cooling.Cooling(
        start.reshape(cells),
        capacity.reshape(cells),
        surroundings.reshape(2, cells),
        rate.reshape(2, cells),
    )


def _heat_capacities(
    mixture: Mixture, conditions: Conditions, handbook: Handbook
) -> tuple[Floats, Floats]:
    """Return heat capacity [J/(kg K)] per kg of dough and temperature [K] of each part.

    Parts: melt, powders, liquids, bowl; both (parts, variants).
    """
    parameters = handbook.parameters
    melt = mixture.melt_shares @ np.array([m.heat_capacity for m in mixture.melts])
    powder = mixture.powder_shares @ np.array(
        [_powder_heat(powder, handbook) for powder in mixture.powders]
    )
    water, oil, rest = (parameters[f"cp_{name}"].si for name in ("water", "oil", "other_liquid"))
    liquid = mixture.liquid_shares @ np.array(
        [
            water * one.water_fraction
            + oil * one.oil_fraction
            + rest * (1 - one.water_fraction - one.oil_fraction)
            for one in mixture.liquids
        ]
    )
    # A bowl's mass grows with the surface of what it holds.
    bowl = parameters["bowl_heat_capacity"].si * conditions.batch_mass ** (-1 / 3)
    temperature = [conditions.bath, conditions.room, conditions.liquids, conditions.room]
    parts = np.stack(np.broadcast_arrays(melt, powder, liquid, bowl))
    return parts, np.broadcast_to(np.array(temperature)[:, None], parts.shape)


def _powder_heat(powder: Powder, handbook: Handbook) -> float:
    kind = "other_powder"
    if powder.material_class == "surfactant_powder":
        kind = "surfactant_powder"
    elif powder.material_class in _MINERAL:
        kind = "mineral_powder"
    return handbook.parameters[f"cp_{kind}"].si


def _setting(
    melt_fraction: Floats,
    tables: list[MeltTable | None],
    handbook: Handbook,
    knowledge: Knowledge,
) -> cooling.Setting:
    """Return what sets, the variants' tables side by side over the union of their components."""
    draws = knowledge.melt_draws
    names = sorted({name for table in tables if table for name in table.components})
    cells, size = len(tables) * draws, max(1, len(names))
    target = np.zeros((cells, GRID.size, size))
    heat, molar_mass = np.zeros((cells, size)), np.ones(size)
    time_constant = np.ones((cells, size))
    for variant, table in enumerate(tables):
        if table is None:
            continue
        at = np.array([names.index(name) for name in table.components])
        cell = slice(variant * draws, (variant + 1) * draws)
        target[cell, :, at] = table.solid
        heat[cell, at], time_constant[cell, at] = table.heat_of_fusion, table.time_constant
        molar_mass[at] = table.molar_mass
    return cooling.Setting(
        np.repeat(melt_fraction, draws),
        GRID,
        target,
        heat,
        molar_mass,
        time_constant,
        handbook.parameters["melting_time"].si,
    )
