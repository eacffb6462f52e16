"""pH of a slurry of the grated bar, what brings it to a target, and what then preserves.

A bar has no pH; 10 g of it grated into 90 g of water have one. It is told from the recipe alone,
over the draws, and is no measurement.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from designer.errors import ReadableError
from designer.evaluation.acid_groups import Groups, groups_of, joined, own_water, per_water
from designer.evaluation.draws import drawn
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.remembered import remembered
from designer.evaluation.spread import Spread, spread
from designer.handbook import Handbook, Material, Melt, acids
from designer.handbook.acids import Brought
from designer.laws import acidity as law
from designer.laws import charge_balance
from designer.vocabulary import Floats

__all__ = [
    "DOSES",
    "MOST",
    "Acidity",
    "Dose",
    "Protection",
    "Slurry",
    "Source",
    "acid_dose",
    "acidity",
    "acidity_with",
    "protection",
    "slurry",
    "usual_doses",
]

DOSES = (0.8, 1.0, 1.2)
"""Parts of a dose that its slope is shown by."""

MOST = 1.0
"""Mass of an addition per mass of dough from which it is not one: it cannot get there."""

Declared = Mapping[str, float]
"""By common name of a material: the pH of its 10 % solution as its maker or a lot states it."""


@dataclass(frozen=True)
class Source:
    """An ingredient of the recipe that gives or takes acid.

    Attributes
    ----------
    material : str
    share : float [1]
        Of the dough.
    acids : tuple of str
        Groups it brings, in the words of the table.
    ph : float or None
        Of its own 10 % solution, where it enters so.
    basis : "declared" | "table" | "class" | "formula"
        Whose pH that is: the maker's, the table's for the material, the usual one of its class;
        or none is needed, as the formula tells its ions.
    evidence : str
    """

    material: str
    share: float
    acids: tuple[str, ...]
    ph: float | None
    basis: str
    evidence: str


@dataclass(frozen=True, eq=False)
class Slurry:
    """A slurry of a dough or bar in water, 10 % unless the parameters say otherwise.

    Attributes
    ----------
    groups : Groups
        Per kg of dough or bar.
    water : float [1]
        Water of the dough or bar itself.
    water_pka : array (draws,) [1]
    error : array (draws,) [1]
        What a reading differs from the balance by.
    sources : tuple of Source
        By how much charge they bring, greatest share first.
    missing : tuple of str
        Ingredients whose acidity nobody has declared: where there are any the pH is not told.
    drifts : tuple of str
        Ingredients that go on moving the pH for hours, each with how.
    """

    handbook: Handbook
    knowledge: Knowledge
    groups: Groups
    water: float
    water_pka: Floats
    error: Floats
    sources: tuple[Source, ...]
    missing: tuple[str, ...]
    drifts: tuple[str, ...]

    @property
    def per_water(self) -> float:
        """The kg of dough or bar per kg of water of the slurry."""
        return per_water(self.water, self.handbook)

    def dried(self, lost: float) -> "Slurry":
        """Return the slurry of a bar that has lost so much water per mass of dough."""
        kept = 1 - lost
        groups = joined([(1 / kept, self.groups)], self.knowledge)
        return replace(self, groups=groups, water=max(self.water - lost, 0.0) / kept)

    @cached_property
    def balanced_ph(self) -> Floats:
        """Acidity as pH (draws,) [1] of the balance of charges alone."""
        ph = charge_balance.solution_ph(*self.groups.diluted(self.per_water), self.water_pka)
        return np.broadcast_to(ph, self.error.shape)

    @cached_property
    def ph(self) -> Floats:
        """Acidity as pH (draws,) [1] as an electrode would read it."""
        return np.asarray(self.balanced_ph + self.error)

    @cached_property
    def spread(self) -> Spread:
        """Median pH and its 80 % interval."""
        return spread(self.ph, self.knowledge.weights)

    def chance_above(self, limit: float) -> float:
        """Return the chance that the pH lies above a limit."""
        return float(self.knowledge.weights[self.ph > limit].sum())


@dataclass(frozen=True, eq=False)
class Acidity:
    """pH of the slurry of a variant.

    Attributes
    ----------
    added, cured : Slurry
        Of the dough as weighed in, and of the bar after drying.
    """

    added: Slurry
    cured: Slurry

    @property
    def missing(self) -> tuple[str, ...]:
        """Ingredients whose acidity must be declared before a pH can be told."""
        return self.added.missing

    def measured(self, ph: float) -> "Acidity":
        """Return the same with what the maker read of a 10 % slurry of the cured bar.

        The balance is shifted to the reading in each draw: what stays uncertain is how much acid
        it takes to move it.
        """
        error = ph - self.cured.balanced_ph
        return Acidity(replace(self.added, error=error), replace(self.cured, error=error))

    @property
    def why_not(self) -> str:
        """Why no pH can be told, "" where it can."""
        if self.missing:
            named = ", ".join(f'"{name}"' for name in self.missing)
            return f"nobody has declared acid, base or pH of {named}: measure the slurry"
        if not self.added.sources:
            return "nothing in it gives water acid or base"
        return ""


@dataclass(frozen=True, eq=False)
class Dose:
    """How much of an acid or base brings a slurry to a pH.

    Attributes
    ----------
    material : str
    target : float [1]
    share : Spread [1]
        Mass as supplied per mass of dough as it stands, over the draws; 0 or less in draws that
        are past the target already, `MOST` where it cannot get there.
    after : mapping of part of the median dose to Spread of pH
        The parts are `DOSES`; empty where `is_needed` is false.
    """

    material: str
    target: float
    share: Spread
    after: Mapping[float, Spread]

    @property
    def is_needed(self) -> bool:
        """Whether the median dose is something to weigh."""
        return 0 < float(self.share.value) < MOST


@dataclass(frozen=True, eq=False)
class Protection:
    """A preservative acid in the slurry.

    Attributes
    ----------
    acid : str
    undissociated : Spread [1]
        Share of it that is not dissociated, the form that preserves.
    total, active : Spread [1]
        Mass of it as acid per mass of dough, all and undissociated.
    """

    acid: str
    undissociated: Spread
    total: Spread
    active: Spread


@remembered
def acidity(result: Evaluation, variant: int) -> Acidity:
    """Return the pH of the slurry of a variant, as added and as cured to the last moment."""
    return acidity_with(result, variant, {})


def acidity_with(result: Evaluation, variant: int, declared: Declared) -> Acidity:
    """Return the same with the pH of raw materials that the maker has measured or read."""
    lost = float(result.spread(result.forecasts[variant].lost_water[-1]).value)
    added = slurry(
        _parts(result, variant), result.mixture.unknown, result.handbook, result.knowledge, declared
    )
    return Acidity(added, added.dried(lost))


def _parts(result: Evaluation, variant: int) -> list[tuple[Material, float]]:
    mixture = result.mixture
    melts = zip(mixture.melts, mixture.melt_shares[variant].tolist(), strict=True)
    return [
        (material, share)
        for material, share in (*mixture.solids_and_liquids(variant), *melts)
        if share > 0
    ]


def slurry(
    parts: list[tuple[Material, float]],
    unknown: tuple[str, ...],
    handbook: Handbook,
    knowledge: Knowledge,
    declared: Declared,
) -> Slurry:
    """Return a slurry of materials, 10 % of them in water unless the parameters say otherwise.

    Parameters
    ----------
    parts : list of (material, share [1])
    unknown : tuple of str
        Names of materials that are stand-ins.
    handbook, knowledge
    declared : mapping of material to pH of its 10 % solution
    """
    p = handbook.parameters
    water_pka = drawn(p["water_pka"], knowledge.scores("pKa water"))
    book = acids.load()
    least = p["undeclared_share"].si
    made: list[tuple[float, Groups]] = []
    sources: list[Source] = []
    missing: list[str] = []
    drifts: list[str] = []
    for material, share in parts:
        brought = book.brought(material, handbook)
        told = declared.get(material.name)
        if material.name in unknown or not brought.is_described:
            # A fat that no table holds is still a fat: it gives water no acid to speak of.
            if share >= least and not isinstance(material, Melt):
                missing.append(material.name)
            continue
        drifts.extend(brought.drifts)
        if brought.is_inert and not brought.inert:
            continue
        made.append((share, groups_of(material, brought, handbook, knowledge, told, water_pka)))
        if not brought.is_inert:
            sources.append(_source(material, share, brought, told))
    water = sum(share * own_water(material) for material, share in parts)
    return Slurry(
        handbook,
        knowledge,
        joined(made, knowledge),
        water,
        water_pka,
        p["slurry_ph_error"].si * knowledge.scores("slurry pH error"),
        tuple(sorted(sources, key=lambda one: -one.share)),
        tuple(missing),
        tuple(dict.fromkeys(drifts)),
    )


def _source(material: Material, share: float, brought: Brought, told: float | None) -> Source:
    names = [one.acid.name for one in brought.contributions]
    if told is not None:
        basis = "declared"
    elif brought.ph is None:
        basis = "formula"
    else:
        basis = "table" if brought.is_declared else "class"
    return Source(
        material.name,
        share,
        tuple(dict.fromkeys(names)),
        told if told is not None else brought.ph,
        basis,
        brought.evidence,
    )


def acid_dose(one: Slurry, name: str, target: float) -> Dose:
    """Return how much of a material brings a slurry to a pH.

    Parameters
    ----------
    one : Slurry
    name : str
        A material of the handbook that is an acid, a base or a salt of one: "citric acid",
        "lactic acid 80 %". The monohydrate of citric acid is `citric_monohydrate` of the
        parameters times the anhydrous one.
    target : float [1]

    Raises
    ------
    ReadableError
        The material is unknown, or brings nothing that moves a pH.
    """
    material = one.handbook.find(name, "liquid")
    brought = acids.load().brought(material, one.handbook) if material else None
    if material is None or brought is None or brought.is_inert:
        raise ReadableError(
            f'Acid "{name}"',
            "The handbook holds no such acid or base.",
            'Name one of its acids, such as "citric acid" or "lactic acid 80 %".',
        )
    acid = groups_of(material, brought, one.handbook, one.knowledge, None, one.water_pka)
    wanted = np.clip(target - one.error, -2.0, 16.0)
    mixed = (*one.groups.diluted(one.per_water), one.water_pka)
    added = charge_balance.added_acid(
        wanted, *mixed, acid.content, acid.charge, acid.pka, acid.strong
    )
    drawn_share = np.clip(added / one.per_water, -MOST, MOST)
    dose = Dose(material.name, target, spread(drawn_share, one.knowledge.weights), {})
    if not dose.is_needed:
        return dose
    median = float(dose.share.value)
    return replace(dose, after={part: _after(one, acid, part * median) for part in DOSES})


def usual_doses(one: Slurry, target: float) -> tuple[Dose, ...]:
    """Return what brings a slurry to a lower pH by the acids that makers use.

    Anhydrous citric acid, its monohydrate, and lactic acid of 80 %.
    """
    citric = acid_dose(one, "citric acid", target)
    heavier = one.handbook.parameters["citric_monohydrate"].si
    ends = citric.share
    share = Spread(heavier * ends.low, heavier * ends.value, heavier * ends.high)
    hydrate = replace(citric, material="citric acid monohydrate", share=share)
    return citric, hydrate, acid_dose(one, "lactic acid 80 %", target)


def _after(one: Slurry, acid: Groups, share: float) -> Spread:
    """Return the pH with a dose, per mass of dough, in the slurry."""
    both = joined([(1.0, one.groups), (share, acid)], one.knowledge)
    ph = charge_balance.solution_ph(*both.diluted(one.per_water), one.water_pka)
    return spread(ph + one.error, one.knowledge.weights)


def protection(one: Slurry) -> tuple[Protection, ...]:
    """Return the preservative acids of a slurry and the share of each that preserves.

    Micelles and fat take up some of the undissociated acid too: what is free is less.
    """
    book, weights, found = acids.load().acids, one.knowledge.weights, []
    for row, name in enumerate(one.groups.names):
        acid = book[name]
        if not acid.preservative or acid.molar_mass is None:
            continue
        # The pKa drawn beyond its table would only repeat the doubt of the pH.
        undissociated = law.undissociated_share(np.clip(one.ph, -2.0, 16.0), acid.pka[0])
        total = one.groups.content[row] * acid.molar_mass
        found.append(
            Protection(
                name,
                spread(undissociated, weights),
                spread(total, weights),
                spread(total * undissociated, weights),
            )
        )
    return tuple(sorted(found, key=lambda each: each.acid))
