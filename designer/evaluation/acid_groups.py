"""Acids, bases and strong ions that a material brings into water, over the draws."""

from dataclasses import dataclass

import numpy as np

from designer.evaluation.knowledge import Knowledge
from designer.handbook import Handbook, Liquid, Material
from designer.handbook.acids import NEVER, Brought, Contribution
from designer.laws import charge_balance
from designer.vocabulary import Floats

__all__ = ["Groups", "groups_of", "joined", "own_water", "per_water"]


@dataclass(frozen=True, eq=False)
class Groups:
    """Acids and bases, per kg of what carries them: groups on the first axis.

    Attributes
    ----------
    names : tuple of str
    content : array (groups, draws) [mol/kg]
    charge : array (groups, 1) [1]
    pka : array (3, groups, draws) [1]
    strong : array (draws,) [mol/kg]
    inert : float [mol/kg]
    """

    names: tuple[str, ...]
    content: Floats
    charge: Floats
    pka: Floats
    strong: Floats
    inert: float

    def diluted(self, factor: float) -> tuple[Floats, Floats, Floats, Floats, float]:
        """Return the arguments of the charge balance, per kg of water."""
        return (
            self.content * factor,
            self.charge,
            self.pka,
            self.strong * factor,
            self.inert * factor,
        )


def per_water(water: float, handbook: Handbook) -> float:
    """Return the kg of a material per kg of water in its slurry, from its own water content."""
    strength = handbook.parameters["slurry_strength"].si
    return strength / (1 - strength + strength * water)


def own_water(material: Material) -> float:
    """Return the water fraction of a material as supplied."""
    if isinstance(material, Liquid):
        return material.water_fraction
    return float(getattr(material, "moisture_fraction", 0.0))


def groups_of(
    material: Material,
    brought: Brought,
    handbook: Handbook,
    knowledge: Knowledge,
    told: float | None,
    water_pka: Floats,
) -> Groups:
    """Return what a material brings, per kg of it.

    `told` is the pH that its maker states for its 10 % solution; it goes before that of the tables.
    """
    rows = brought.contributions
    content = np.array([_content(material, one, knowledge) for one in rows])
    content = content.reshape(len(rows), knowledge.draws)
    strong = np.zeros(knowledge.draws)
    for ions in brought.ions:
        factor = _factor(material, ions.ingredient, ions.share_sd, ions.reach_sd, knowledge)
        strong = strong + ions.strong * factor
    groups = Groups(
        tuple(one.acid.name for one in rows),
        content,
        np.array([one.acid.charge_protonated for one in rows]).reshape(-1, 1),
        _pka(rows, knowledge),
        strong,
        brought.inert,
    )
    ph = told if told is not None else brought.ph
    if ph is None or not rows:
        return groups
    sd = handbook.parameters["own_ph_sd"].si if told is not None else brought.ph_sd
    drawn_ph = np.clip(ph + sd * knowledge.scores(f"pH {material.name}"), 0.0, 14.0)
    return _fitted(groups, drawn_ph, own_water(material), handbook, water_pka)


def _fitted(
    groups: Groups, ph: Floats, water: float, handbook: Handbook, water_pka: Floats
) -> Groups:
    """Return the groups with the strong ions that give their own solution its pH."""
    factor = per_water(water, handbook)
    content, charge, pka, _, inert = groups.diluted(factor)
    strong = charge_balance.strong_charge_at(ph, content, charge, pka, inert, water_pka) / factor
    return Groups(groups.names, groups.content, charge, pka, strong, groups.inert)


def _content(material: Material, one: Contribution, knowledge: Knowledge) -> Floats:
    own = one.content_sd * knowledge.scores(f"acid {one.acid.name} in {material.name}")
    factor = _factor(material, one.ingredient, one.share_sd, one.reach_sd, knowledge)
    return np.asarray(one.content * factor * np.exp(own))


def _factor(
    material: Material, ingredient: str, share_sd: float, reach_sd: float, knowledge: Knowledge
) -> Floats:
    """Return by what factor an ingredient's part in the slurry is off, one for all it brings."""
    name = f"{ingredient} in {material.name}"
    wide = share_sd * knowledge.scores(f"share of {name}")
    return np.asarray(np.exp(wide + reach_sd * knowledge.scores(f"reach of {ingredient}")))


def _pka(rows: tuple[Contribution, ...], knowledge: Knowledge) -> Floats:
    found = np.empty((3, len(rows), knowledge.draws))
    for place, one in enumerate(rows):
        shift = one.acid.pka_sd * knowledge.scores(f"pKa {one.acid.name}")
        for step, pka in enumerate(one.acid.pka):
            found[step, place] = NEVER if pka >= NEVER else pka + shift
    return found


def joined(made: list[tuple[float, Groups]], knowledge: Knowledge) -> Groups:
    """Return the groups of a mixture, each acid once, per kg of it."""
    names: dict[str, int] = {}
    for _, one in made:
        for name in one.names:
            names.setdefault(name, len(names))
    content = np.zeros((len(names), knowledge.draws))
    charge, pka = np.zeros((len(names), 1)), np.full((3, len(names), knowledge.draws), NEVER)
    strong, inert = np.zeros(knowledge.draws), 0.0
    for share, one in made:
        for row, name in enumerate(one.names):
            at = names[name]
            content[at] += share * one.content[row]
            charge[at], pka[:, at] = one.charge[row], one.pka[:, row]
        strong = strong + share * one.strong
        inert += share * one.inert
    return Groups(tuple(names), content, charge, pka, strong, inert)
