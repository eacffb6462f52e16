"""What is solid in a fat blend at each temperature, fresh and aged, for every draw of the melt."""

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from designer.evaluation.draws import drawn
from designer.evaluation.knowledge import Knowledge, central, prior
from designer.evaluation.spread import first_at_most
from designer.handbook import Component, Handbook, Melt
from designer.laws import melting
from designer.vocabulary import Floats

GRID = np.arange(5.0, 86.0) + 273.15
"""Temperatures of the table [K]; between them it is read linearly."""


@dataclass(frozen=True, eq=False)
class Crystals:
    """Melting points [K] and heats of fusion [J/mol] of one form, arrays (components, draws)."""

    point: Floats
    heat: Floats


@dataclass(frozen=True, eq=False)
class MeltTable:
    """Equilibrium of one blend of fats, per draw of the melt.

    What is solid is found when it is first asked for: a clear point asks for aged crystals alone.

    Attributes
    ----------
    components : tuple of str
    molar_mass : array (components,) [kg/mol]
    moles : array (components,) [mol/kg], of the blend
    attraction : array (draws,) [1], of acids and alcohols
    time_constant : array (draws, components) [s], of crystallising
    fresh, aged : Crystals
    families, head_groups : tuples of str, one per component, as `melting.liquid_amounts` takes them
    """

    components: tuple[str, ...]
    molar_mass: Floats
    moles: Floats
    attraction: Floats
    time_constant: Floats
    fresh: Crystals
    aged: Crystals
    families: tuple[str, ...]
    head_groups: tuple[str, ...]

    @cached_property
    def heat_of_fusion(self) -> Floats:
        """Heat of fusion of fresh crystals (draws, components) [J/mol]."""
        return np.ascontiguousarray(self.fresh.heat.T)

    @cached_property
    def solid(self) -> Floats:
        """Moles solid as fresh crystals (draws, temperatures, components), per kg of melt."""
        solid = (self._amount[:, None, None] - self._liquid(self.fresh)) * self.moles.sum()
        return np.ascontiguousarray(np.moveaxis(solid, 0, 2))

    @cached_property
    def fresh_set(self) -> Floats:
        """Set share of the melt by mass (draws, temperatures) [1], as fresh crystals."""
        share: Floats = self.solid @ self.molar_mass / (self.moles @ self.molar_mass)
        return share

    @cached_property
    def aged_set(self) -> Floats:
        """Set share of the melt by mass (draws, temperatures) [1], as aged crystals."""
        liquid = self._liquid(self.aged)
        return 1 - melting.liquid_mass_share(liquid, self._amount, self.molar_mass)

    @property
    def _amount(self) -> Floats:
        amount: Floats = self.moles / self.moles.sum()
        return amount

    def _liquid(self, crystals: Crystals) -> Floats:
        """Return the moles liquid (components, draws, temperatures), per mole of melt."""
        liquid = melting.liquid_amounts(
            self._amount,
            melting.ideal_solubility(GRID, crystals.point[..., None], crystals.heat[..., None]),
            self.families,
            self.head_groups,
            self.attraction[:, None],
        )
        # The damped activity passes may leave a step backwards where a eutectic jumps.
        risen: Floats = np.maximum.accumulate(liquid, axis=-1)
        return risen


def blend_of(melts: tuple[Melt, ...], shares: Floats) -> tuple[tuple[str, float], ...]:
    """Return the mass fractions of the melt's components, sorted by name; empty without melt.

    Rounded to 1e-12, so that the same fats in the same proportions are one cached blend.
    """
    total = shares.sum()
    parts: dict[str, float] = {}
    if total <= 0:
        return ()
    for melt, share in zip(melts, shares, strict=True):
        for name, fraction in melt.components:
            parts[name] = parts.get(name, 0.0) + float(share / total) * fraction
    return tuple((name, round(parts[name], 12)) for name in sorted(parts) if parts[name] > 0)


def melt_table(
    handbook: Handbook, blend: tuple[tuple[str, float], ...], knowledge: Knowledge
) -> MeltTable:
    """Return the table of a blend, computed once per blend and kind of knowledge."""
    return _melt_table(handbook, blend, knowledge.rows is None)


@lru_cache(maxsize=96)
def _melt_table(
    handbook: Handbook, blend: tuple[tuple[str, float], ...], is_central: bool
) -> MeltTable:
    knowledge = central() if is_central else prior(2)
    components = [handbook.components[name] for name, _ in blend]
    molar_mass = np.array([component.molar_mass for component in components])
    aged, fresh = _crystals(components, handbook, knowledge)
    return MeltTable(
        tuple(name for name, _ in blend),
        molar_mass,
        np.array([fraction for _, fraction in blend]) / molar_mass,
        drawn(handbook.parameters["acid_alcohol_attraction"], knowledge.melt_scores("melt A")),
        _time_constants(components, handbook, knowledge),
        fresh,
        aged,
        tuple(component.family for component in components),
        tuple(_head_group(component) for component in components),
    )


def clear_point(
    handbook: Handbook, blend: tuple[tuple[str, float], ...], knowledge: Knowledge
) -> Floats:
    """Return the temperature [K] from which an aged melt is clear, per draw of the melt.

    Clear means that `clear_liquid_share` of it is liquid; NaN where the table ends before.
    """
    left = 1 - handbook.parameters["clear_liquid_share"].si
    return first_at_most(GRID, melt_table(handbook, blend, knowledge).aged_set, left)


def _head_group(component: Component) -> str:
    return {"FA": "acid", "OH": "alcohol"}.get(component.name.split("_")[0], "")


def _crystals(
    components: list[Component], handbook: Handbook, knowledge: Knowledge
) -> tuple[Crystals, Crystals]:
    """Return aged and fresh crystals."""
    parameters, scores = handbook.parameters, knowledge.melt_scores
    common = drawn(parameters["melt_common_shift"], scores("melt Tm"))
    alcohol = drawn(parameters["alcohol_fresh_factor"], scores("melt alcohol"))
    shift_error = drawn(parameters["sus_shift"], scores("melt SUS"))
    heat_sd = parameters["heat_of_fusion_sd"].si
    points, heats, fresh_points, fresh_heats = [], [], [], []
    for one in components:
        own = one.sd_melting_point * scores(f"melt Tm {one.name}")
        point = one.melting_point + common + own
        heat = one.heat_of_fusion * (1 + heat_sd * scores(f"melt H {one.name}"))
        shift = one.fresh_shift + (shift_error if one.fresh_shift else 0.0)
        is_rotator = one.family == "ALC" and one.fresh_heat_factor < 1
        points.append(point)
        heats.append(heat)
        fresh_points.append(point - shift)
        fresh_heats.append(heat * (alcohol if is_rotator else one.fresh_heat_factor))
    fresh = Crystals(np.array(fresh_points), np.array(fresh_heats))
    return Crystals(np.array(points), np.array(heats)), fresh


def _time_constants(
    components: list[Component], handbook: Handbook, knowledge: Knowledge
) -> Floats:
    classes = {component.kinetic_class for component in components}
    lags = {
        name: drawn(handbook.parameters[f"lag_{name}"], knowledge.melt_scores(f"melt lag {name}"))
        for name in classes
    }
    return np.stack([lags[component.kinetic_class] for component in components], axis=1)
