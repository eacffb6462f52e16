"""Temperature of the dough from the pour on, and what of the melt has set by then."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from designer.evaluation.draws import drawn
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.melt_table import GRID, MeltTable, blend_of, melt_table
from designer.evaluation.mixture import Mixture
from designer.handbook import Handbook, Liquid, Powder
from designer.laws import cooling
from designer.vocabulary import Floats

WAYS = ("knead", "rest", "cold", "warm")
"""What may be done with a dough: kneaded, left, left with the bowl in cold or in warm water."""

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

    @property
    def common(self) -> tuple[object, ...]:
        """All but the batches."""
        return self.room, self.bath, self.liquids, self.humidity, self.window


@dataclass(frozen=True, eq=False)
class Course:
    """Heat of every variant over time, per draw of the melt.

    Attributes
    ----------
    temperature : array (variants, times, melt draws) [K]
    set_share : array (variants, times, melt draws) [1], of the melt by mass
    ageing : array (variants, times, melt draws) [1]
        How much more sets once the crystals have gone over to their stable form; 0 where no time
        lies after the window, as none ages before it is shaped.
    """

    temperature: Floats
    set_share: Floats
    ageing: Floats

    def of(self, variant: int) -> "Course":
        """Return the course of one variant, its arrays (times, melt draws)."""
        return Course(
            *(array[variant].copy() for array in (self.temperature, self.set_share, self.ageing))
        )


def course(
    mixture: Mixture,
    conditions: Conditions,
    times: Floats,
    handbook: Handbook,
    knowledge: Knowledge,
) -> Course:
    """Return how every variant cools and sets at `times` [s] from the pour."""
    lone = [mixture.alone(variant) for variant in range(len(mixture.melt_shares))]
    return courses(lone, conditions, times, handbook, knowledge)


def courses(
    lone: list[Mixture],
    conditions: Conditions,
    times: Floats,
    handbook: Handbook,
    knowledge: Knowledge,
) -> Course:
    """Return the same for variants that are each a mixture alone."""
    blends = [blend_of(one.melts, one.melt_shares[0]) for one in lone]
    shape = (len(lone), times.size, knowledge.melt_draws)
    found = Course(np.empty(shape), np.empty(shape), np.zeros(shape))
    # Variants of one blend are followed together. Others would need tables side by side, in which
    # sums are taken in another order: a variant's numbers must not hang on those beside it.
    for blend in dict.fromkeys(blends):
        members = [variant for variant, own in enumerate(blends) if own == blend]
        table = melt_table(handbook, blend, knowledge) if blend else None
        batch = replace(conditions, batch_mass=conditions.batch_mass[members])
        temperature, set_share = _followed(
            [lone[variant] for variant in members], table, batch, times, handbook, knowledge
        )
        found.temperature[members], found.set_share[members] = temperature, set_share
        # Nothing ages before it is shaped, and aged crystals are half the cost of a new blend.
        if table is not None and times[-1] > conditions.window[1]:
            change = np.maximum(0.0, table.aged_set - table.fresh_set)
            found.ageing[members] = [_at(change, one) for one in temperature]
    return found


def _followed(
    lone: list[Mixture],
    table: MeltTable | None,
    conditions: Conditions,
    times: Floats,
    handbook: Handbook,
    knowledge: Knowledge,
) -> tuple[Floats, Floats]:
    """Return temperature and set share (variants, times, melt draws) of variants of one blend."""
    step, kneaded, recorded = _steps(times, conditions.window[1])
    temperature, set_share = cooling.set_while_cooling(
        step,
        kneaded,
        recorded,
        _cooling(lone, conditions, handbook, knowledge),
        _setting(lone, table, handbook, knowledge),
    )
    shape = (times.size, len(lone), knowledge.melt_draws)
    return temperature.reshape(shape).swapaxes(0, 1), set_share.reshape(shape).swapaxes(0, 1)


def lumps(
    lone: list[Mixture], conditions: Conditions, handbook: Handbook, knowledge: Knowledge
) -> tuple[cooling.Cooling, cooling.Setting]:
    """Return what variants of one blend of fats cool and set by, for a march from any moment.

    Cells are variants times draws of the melt. The modes are those of `WAYS`: kneaded, at rest, at
    rest with the bowl in cold water or in warm.
    """
    blends = {blend_of(one.melts, one.melt_shares[0]) for one in lone}
    if len(blends) > 1:
        raise ValueError("lone: these are of more than one blend of fats")
    (blend,) = blends
    table = melt_table(handbook, blend, knowledge) if blend else None
    made = _cooling(lone, conditions, handbook, knowledge)
    rows = [
        _in_water(temperature, made, conditions, handbook, knowledge)
        for temperature in ("cold_water", "warm_water")
    ]
    around, rate = (
        np.concatenate([of_all, [row[place] for row in rows]])
        for place, of_all in enumerate((made.surroundings, made.rate))
    )
    setting = _setting(lone, table, handbook, knowledge)
    return cooling.Cooling(made.start, made.heat_capacity, around, rate), setting


def _in_water(
    name: str,
    made: cooling.Cooling,
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
) -> tuple[Floats, Floats]:
    """Return surroundings [K] and rate [1/s] (cells,) at rest with the bowl in water."""
    p, mass = handbook.parameters, conditions.batch_mass[:, None]
    air = drawn(p["surface_coefficient"], knowledge.melt_scores("melt h"))
    wall = p["water_contact"].si * p["water_coefficient"].si
    free = (1 - p["water_contact"].si) * air
    density = p["lump_density"].si
    area = cooling.lump_area(mass, density, p["lump_area_factor"].si)
    biot = cooling.biot_number(mass, density, wall + free, p["dough_conductivity"].si)
    towards = (wall * p[name].si + free * conditions.room) / (wall + free)
    loss = area * (wall + free) / (1 + biot / 5) / mass
    cells = made.heat_capacity.size
    around = np.broadcast_to(towards, loss.shape).reshape(cells)
    return around, loss.reshape(cells) / made.heat_capacity


def heat_capacity_of(material: Powder | Liquid, handbook: Handbook) -> float:
    """Return the heat capacity [J/(kg K)] of a powder or an unheated liquid."""
    if isinstance(material, Powder):
        return _powder_heat(material, handbook)
    return _liquid_heat(material, handbook)


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
    return _steps_of(times.tobytes(), knead_end)


@lru_cache(maxsize=8)
def _steps_of(as_bytes: bytes, knead_end: float) -> tuple[Floats, np.ndarray, np.ndarray]:
    times = np.frombuffer(as_bytes)
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
    lone: list[Mixture], conditions: Conditions, handbook: Handbook, knowledge: Knowledge
) -> cooling.Cooling:
    parameters = handbook.parameters
    draws = knowledge.melt_draws
    parts, temperatures = _heat_capacities(lone, conditions, handbook)
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
    cells = len(lone) * draws
    return cooling.Cooling(
        start.reshape(cells),
        capacity.reshape(cells),
        surroundings.reshape(2, cells),
        rate.reshape(2, cells),
    )


def _heat_capacities(
    lone: list[Mixture], conditions: Conditions, handbook: Handbook
) -> tuple[Floats, Floats]:
    """Return heat capacity [J/(kg K)] per kg of dough and temperature [K] of each part.

    Parts: melt, powders, liquids, bowl; both (parts, variants).
    """
    melt = [_summed(one.melt_shares, [m.heat_capacity for m in one.melts]) for one in lone]
    powder = [
        _summed(one.powder_shares, [_powder_heat(powder, handbook) for powder in one.powders])
        for one in lone
    ]
    liquid = [
        _summed(one.liquid_shares, [_liquid_heat(liquid, handbook) for liquid in one.liquids])
        for one in lone
    ]
    # A bowl's mass grows with the surface of what it holds.
    bowl_heat = handbook.parameters["bowl_heat_capacity"].si
    bowl = [bowl_heat * mass ** (-1 / 3) for mass in conditions.batch_mass.tolist()]
    temperature = [conditions.bath, conditions.room, conditions.liquids, conditions.room]
    parts = np.array([melt, powder, liquid, bowl])
    return parts, np.broadcast_to(np.array(temperature)[:, None], parts.shape)


def _summed(shares: Floats, each: list[float]) -> float:
    return float(sum(share * one for share, one in zip(shares[0].tolist(), each, strict=True)))


def _liquid_heat(one: Liquid, handbook: Handbook) -> float:
    water, oil, rest = (
        handbook.parameters[f"cp_{name}"].si for name in ("water", "oil", "other_liquid")
    )
    return (
        water * one.water_fraction
        + oil * one.oil_fraction
        + rest * (1 - one.water_fraction - one.oil_fraction)
    )


def _powder_heat(powder: Powder, handbook: Handbook) -> float:
    kind = "other_powder"
    if powder.material_class == "surfactant_powder":
        kind = "surfactant_powder"
    elif powder.material_class in _MINERAL:
        kind = "mineral_powder"
    return handbook.parameters[f"cp_{kind}"].si


def _setting(
    lone: list[Mixture], table: MeltTable | None, handbook: Handbook, knowledge: Knowledge
) -> cooling.Setting:
    draws = knowledge.melt_draws
    melting_time = handbook.parameters["melting_time"].si
    share = np.repeat([float(one.melt_fraction[0]) for one in lone], draws)
    if table is None:
        nothing, one = np.zeros((draws, 1)), np.ones((draws, 1))
        level = np.zeros((draws, GRID.size, 1))
        return cooling.Setting(share, GRID, level, nothing, np.ones(1), one, melting_time)
    return cooling.Setting(
        share,
        GRID,
        table.solid,
        table.heat_of_fusion,
        table.molar_mass,
        table.time_constant,
        melting_time,
    )
