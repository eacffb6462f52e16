"""Tables of acids and bases, and which of them the ingredients of a material bring into water.

They are read when they are first asked for, not with the materials.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import lru_cache
from math import log
from pathlib import Path

from designer.errors import ReadableError
from designer.handbook import places, tables
from designer.handbook.book import Handbook, Material, kind_of, weaker
from designer.handbook.materials import Liquid, Part, Powder
from designer.handbook.tables import REPAIR, Table, plain

__all__ = ["Acid", "AcidRule", "Acids", "Brought", "Contribution", "Ions", "load"]

NEVER = 40.0
"""pKa of a proton that never leaves, where an acid has fewer than three."""

_MIDDLE_80 = 2.5631
"""Standard deviations between the 10th and the 90th percentile."""

_WIDEST = 0.7

_SURFACTANTS = ("surfactant_powder", "liquid_surfactant", "cationic_liquid")


@dataclass(frozen=True)
class Acid:
    """An acid or base, or a group of them that a raw material carries.

    Attributes
    ----------
    molar_mass : float or None [kg/mol]
    charge_protonated : float [1]
        Charge with all protons on.
    pka : tuple of three floats
        At 25 °C; `NEVER` for protons it does not have.
    pka_sd : float
        One standard deviation, common to all its pKa.
    heats : tuple of three floats [J/mol]
        Of dissociation; 0 where none is known.
    content : float or None [mol/kg]
        Of a group: per kg of the ingredient that carries it.
    content_sd : float
        One standard deviation of its natural logarithm.
    preservative : bool
        Whether its undissociated form preserves.
    """

    name: str
    molar_mass: float | None
    charge_protonated: float
    pka: tuple[float, float, float]
    pka_sd: float
    heats: tuple[float, float, float]
    content: float | None
    content_sd: float
    preservative: bool
    source: str
    evidence: str
    note: str


@dataclass(frozen=True)
class AcidRule:
    """Which acid an ingredient brings into water, and the strong ions with it.

    Attributes
    ----------
    kind : "powder" | "liquid" | "melt" | ""
        Of the material it comes in; "" for any.
    component : tuple of str
        INCI names without case; a star stands for any letters.
    acid : str
        "" for none.
    count : float
        Groups per molecule, or times the content of a group.
    molar_mass : float or None [kg/mol]
        Of the ingredient; None where its groups are told per kg.
    strong : float
        Charge of strong cations less anions per molecule.
    inert : float
        Ionic strength per molecule of a salt that balances itself.
    reach : float
        Share that takes part within an hour.
    reach_sd : float
        Of its natural logarithm; 0 where all takes part.
    ph, ph_sd : float or None
        Usual pH of a 10 % solution of the material, where no other is declared: then the strong
        ions follow from the pH.
    drift : str
        How it moves the pH for hours, "" if it does not.
    """

    kind: str
    component: tuple[str, ...]
    acid: str
    count: float
    molar_mass: float | None
    strong: float
    inert: float
    reach: float
    reach_sd: float
    ph: float | None
    ph_sd: float | None
    drift: str
    source: str
    evidence: str

    def fits(self, kind: str, inci: str) -> bool:
        """Return whether it speaks of an ingredient in a material of a kind."""
        name = plain(inci)
        return self.kind in ("", kind) and any(fnmatchcase(name, one) for one in self.component)


@dataclass(frozen=True)
class Contribution:
    """Groups of one acid that an ingredient brings.

    Attributes
    ----------
    acid : Acid
    ingredient : str
    content : float [mol/kg]
        Per kg of the material, all that takes part.
    content_sd, share_sd, reach_sd : float
        Of the natural logarithm: of the groups in the ingredient, of the ingredient in the
        material, of what takes part.
    """

    acid: Acid
    ingredient: str
    content: float
    content_sd: float
    share_sd: float
    reach_sd: float


@dataclass(frozen=True)
class Ions:
    """Strong ions that an ingredient brings, from its formula.

    Attributes
    ----------
    ingredient : str
    strong : float [mol/kg]
        Charge of cations less anions, per kg of the material.
    share_sd, reach_sd : float
        As of `Contribution`: where there is more of a salt there are more of both its halves.
    """

    ingredient: str
    strong: float
    share_sd: float
    reach_sd: float


@dataclass(frozen=True)
class Brought:
    """What a material brings into water, per kg of it.

    Attributes
    ----------
    contributions : tuple of Contribution
    ions : tuple of Ions
        From formulas; they do not count where there is a pH.
    inert : float [mol/kg]
        Ionic strength of salts that balance themselves.
    ph, ph_sd : float or None
        Of its 10 % solution, where the strong ions follow from that and not from formulas.
    is_declared : bool
        Whether the pH is the table's for this very material, not for its class.
    drifts : tuple of str
        Sentences on what moves the pH for hours.
    is_described : bool
        False for a surfactant of which no rule speaks.
    evidence : str
        The weakest mark of what it rests on.
    """

    contributions: tuple[Contribution, ...]
    ions: tuple[Ions, ...]
    inert: float
    ph: float | None
    ph_sd: float
    is_declared: bool
    drifts: tuple[str, ...]
    is_described: bool
    evidence: str

    @property
    def is_inert(self) -> bool:
        """Whether it leaves the pH of water alone, but for salt."""
        return not self.contributions and not self.ions


@dataclass(frozen=True, eq=False)
class Acids:
    """Both tables, checked. Compared and hashed as the one object it is."""

    acids: Mapping[str, Acid]
    rules: tuple[AcidRule, ...]

    def rules_for(self, kind: str, inci: str) -> tuple[AcidRule, ...]:
        """Return the first rules that speak of an ingredient: all rows of one pattern."""
        first = next((one for one in self.rules if one.fits(kind, inci)), None)
        if first is None:
            return ()
        same = (first.kind, first.component)
        return tuple(one for one in self.rules if (one.kind, one.component) == same)

    def brought(self, material: Material, handbook: Handbook) -> Brought:
        """Return what a material brings into water."""
        ph = material.ph if isinstance(material, Liquid) else None
        is_surfactant = (
            isinstance(material, Powder | Liquid) and material.material_class in _SURFACTANTS
        )
        return _brought(self, (kind_of(material), material.name), ph, is_surfactant, handbook)


@lru_cache(maxsize=4096)
def _brought(
    acids: Acids, key: tuple[str, str], ph: float | None, is_surfactant: bool, handbook: Handbook
) -> Brought:
    parts = handbook.compositions.get(key, ())
    pairs = [
        (part, rule)
        for part in parts
        if part.level == 1 and part.typical > 0
        for rule in acids.rules_for(key[0], part.component)
    ]
    fitted = [rule for _, rule in pairs if rule.ph is not None]
    declared = ph if fitted else None
    usual = fitted[0] if fitted else None
    spread = handbook.columns["liquids"]["ph"].sd
    marks = [rule.evidence for _, rule in pairs]
    marks += [acids.acids[rule.acid].evidence for _, rule in pairs if rule.acid]
    return Brought(
        tuple(_contributions(acids, pairs)),
        tuple(_ions(pairs)),
        _salt(pairs) + _counter_ions(parts, handbook),
        declared if declared is not None else (usual.ph if usual else None),
        spread if declared is not None else (usual.ph_sd or spread if usual else 0.0),
        declared is not None,
        tuple(dict.fromkeys(f"{part.component}: {r.drift}" for part, r in pairs if r.drift)),
        bool(pairs) or not is_surfactant,
        _weakest(marks),
    )


def _ions(pairs: Iterable[tuple[Part, AcidRule]]) -> Iterator[Ions]:
    for part, rule in pairs:
        if rule.molar_mass is not None and rule.strong:
            strong = part.typical * rule.strong * rule.reach / rule.molar_mass
            yield Ions(part.component, strong, _share_sd(part), rule.reach_sd)


def _salt(pairs: Iterable[tuple[Part, AcidRule]]) -> float:
    """Return the ionic strength [mol/kg] of salts that balance themselves."""
    return sum(
        part.typical * rule.inert / rule.molar_mass
        for part, rule in pairs
        if rule.molar_mass is not None
    )


def _counter_ions(parts: Iterable[Part], handbook: Handbook) -> float:
    """Return the ionic strength [mol/kg] of charged surfactant, whose micelles bind most ions."""
    free = handbook.parameters["free_counter_ions"].si
    return sum(
        free * part.typical * abs(part.charge_number) / part.molar_mass
        for part in parts
        if part.charge in ("anionic", "cationic") and part.charge_number and part.molar_mass
    )


def _contributions(acids: Acids, pairs: Iterable[tuple[Part, AcidRule]]) -> Iterator[Contribution]:
    for part, rule in pairs:
        if not rule.acid:
            continue
        acid = acids.acids[rule.acid]
        per_kg = acid.content if rule.molar_mass is None else 1 / rule.molar_mass
        yield Contribution(
            acid,
            part.component,
            part.typical * rule.count * rule.reach * (per_kg or 0.0),
            acid.content_sd if rule.molar_mass is None else 0.0,
            _share_sd(part),
            rule.reach_sd,
        )


def _share_sd(part: Part) -> float:
    """Return how wide the share of an ingredient is, of its natural logarithm."""
    if part.low <= 0:
        return _WIDEST if part.high > part.typical else 0.0
    return min(log(part.high / part.low) / _MIDDLE_80, _WIDEST)


def _weakest(marks: list[str]) -> str:
    found = "published"
    for mark in marks:
        found = weaker(found, mark)
    return found


@lru_cache(maxsize=4)
def load(folder: Path | None = None) -> Acids:
    """Return the shipped tables of acids and bases, or those of another folder.

    Raises
    ------
    ReadableError
        A table is missing or broken: which one, in which row and column, and what to do.
    """
    where = places.resources() / "acids" if folder is None else folder
    columns = tables.columns(where / "columns.toml")
    read = tables.read(where / "acids.csv", columns["acids"])
    read.check_unique("name")
    found = {one.name: one for one in _acids(read)}
    listed = tables.read(where / "acid_rules.csv", columns["acid_rules"], "component")
    rules = tuple(_rules(listed))
    for row, rule in enumerate(rules):
        _check(listed, row, rule, found)
    return Acids(found, rules)


def _acids(table: Table) -> Iterator[Acid]:
    pka = [table.optional_numbers(f"pka{step}") for step in (1, 2, 3)]
    heats = [table.optional_numbers(f"heat{step}") for step in (1, 2, 3)]
    rows = zip(
        table.texts("name"),
        table.optional_numbers("molar_mass"),
        table.numbers("charge_protonated"),
        zip(*([NEVER if one is None else one for one in column] for column in pka), strict=True),
        table.numbers("pka_sd"),
        zip(*([one or 0.0 for one in column] for column in heats), strict=True),
        table.optional_numbers("content"),
        [one or 0.0 for one in table.optional_numbers("content_sd")],
        [cell == "yes" for cell in table.texts("preservative")],
        table.texts("source"),
        table.texts("evidence"),
        table.texts("note"),
        strict=True,
    )
    return (Acid(*row) for row in rows)


def _rules(table: Table) -> Iterator[AcidRule]:
    rows = zip(
        table.texts("kind"),
        [tuple(plain(one) for one in cell.split("|")) for cell in table.texts("component")],
        table.texts("acid"),
        table.numbers("count"),
        table.optional_numbers("molar_mass"),
        table.numbers("strong"),
        table.numbers("inert"),
        table.numbers("reach"),
        [one or 0.0 for one in table.optional_numbers("reach_sd")],
        table.optional_numbers("ph"),
        table.optional_numbers("ph_sd"),
        table.texts("drift"),
        table.texts("source"),
        table.texts("evidence"),
        strict=True,
    )
    return (AcidRule(*row) for row in rows)


def _check(table: Table, row: int, rule: AcidRule, acids: Mapping[str, Acid]) -> None:
    """Raise unless a rule names a known acid and tells how much of it there is."""
    if rule.acid and rule.acid not in acids:
        problem = f'"{rule.acid}" is not in acids.csv.'
        raise ReadableError(table.where(row, "acid"), problem, REPAIR)
    known = rule.molar_mass is not None or (rule.acid and acids[rule.acid].content is not None)
    if (rule.acid or rule.strong or rule.inert) and not known:
        problem = "Neither the ingredient's molar mass nor the groups per kg are told."
        raise ReadableError(table.where(row, "molar_mass"), problem, REPAIR)
    if (rule.ph is None) != (rule.ph_sd is None):
        raise ReadableError(table.where(row, "ph_sd"), "It needs the pH, and the pH it.", REPAIR)
