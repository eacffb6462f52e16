"""The shipped handbook with the maker's materials and measurements laid over it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import TypeVar, cast

from designer.errors import ReadableError
from designer.handbook import (
    Handbook,
    Liquid,
    Material,
    Melt,
    Parameter,
    Part,
    Powder,
    Role,
)
from designer.handbook.frozen import Frozen
from designer.vocabulary import from_si
from designer.workshop.blends import blended, blended_parts, blended_role
from designer.workshop.making import changed
from designer.workshop.values import Ingredient, Lot, Own, Share, Value

__all__ = ["Kept", "Origin", "OwnHandbook", "current_lot", "laid_over", "with_values"]

Key = tuple[str, str]

_STRENGTH = {"stated": 0, "learned": 1, "measured": 2}
"""Of two numbers for one property the stronger holds, of equal ones the newer."""

_ORIGIN_WORDS = {
    "stated": "your value",
    "measured": "your measurement",
    "learned": "learned from your batches",
    "lot": "your lot",
}
_EVIDENCE = {
    "stated": "published",
    "measured": "measured",
    "learned": "estimate",
    "lot": "published",
}


@dataclass(frozen=True)
class Kept:
    """All that a pantry says of one material."""

    own: Own
    values: tuple[Value, ...] = ()
    parts: tuple[Ingredient, ...] = ()
    shares: tuple[Share, ...] = ()
    lots: tuple[Lot, ...] = ()


@dataclass(frozen=True)
class Origin:
    """Where a number that is not the shipped default comes from.

    Attributes
    ----------
    kind : "stated" | "measured" | "learned" | "lot"
    day : str
    sd : float or None
        As of `Value`.
    remark : str
    """

    kind: str
    day: str
    sd: float | None = None
    remark: str = ""

    @property
    def words(self) -> str:
        """Where it comes from, for a person."""
        day = f" of {self.day}" if self.day else ""
        return f"{_ORIGIN_WORDS[self.kind]}{day}"


@dataclass(frozen=True, eq=False)
class OwnHandbook(Handbook):
    """A handbook with what the maker knows better.

    Attributes
    ----------
    origins : mapping of (kind, name) to mapping of column to Origin
    removed : mapping of plain name to (kind, day)
        Materials that the maker took away: what still names them gets a wide stand-in.
    """

    origins: Mapping[Key, Mapping[str, Origin]]
    removed: Mapping[str, tuple[str, str]]

    def gone(self, name: str) -> str:
        """Return the kind of a material that was taken away, "" for any other."""
        return self.removed.get(" ".join(name.casefold().split()), ("", ""))[0]

    def number(self, table: str, name: str, column: str) -> Parameter:
        """Return a number as `Handbook.number`, with the maker's origin where it has one."""
        found = super().number(table, name, column)
        origin = self.origins.get((table.removesuffix("s"), name), {}).get(column)
        if origin is None:
            return found
        sd = found.sd
        if origin.sd is not None:
            factor = found.spread == "factor"
            sd = (
                origin.sd
                if factor
                else abs(from_si(origin.sd, found.unit) - from_si(0, found.unit))
            )
        source = f"{origin.words}{f'; {origin.remark}' if origin.remark else ''}"
        return replace(found, sd=sd, source=source, evidence=_EVIDENCE[origin.kind])


def laid_over(book: Handbook, kept: tuple[Kept, ...]) -> OwnHandbook:
    """Return a handbook with all that is kept; materials are worked out in the order made."""
    tables: dict[str, dict[str, Material]] = {
        "powder": dict(book.powders),
        "liquid": dict(book.liquids),
        "melt": dict(book.melts),
    }
    roles, compositions = dict(book.roles), dict(book.compositions)
    origins: dict[Key, Mapping[str, Origin]] = {}
    removed: dict[str, tuple[str, str]] = {}
    for one in kept:
        own = one.own
        if own.removed:
            removed[" ".join(own.name.casefold().split())] = (own.kind, own.removed)
            continue
        key = (own.kind, own.name)
        shipped = tables[own.kind].get(own.name)
        if not own.own and shipped is None:
            continue  # a later version of the program ships it no more
        start = shipped if not own.own and shipped else _start(book, tables, one)
        material, found = with_values(book, _named(start, own), one)
        tables[own.kind][own.name] = material
        if found:
            origins[key] = Frozen(found)
        roles[key] = _role(book, roles, one, material)
        if own.own or one.parts:
            compositions[key] = _parts(book, compositions, one, material)
    return OwnHandbook(
        **{
            field.name: getattr(book, field.name)
            for field in fields(Handbook)
            if field.name not in ("powders", "liquids", "melts", "roles", "compositions")
        },
        powders=cast("Mapping[str, Powder]", Frozen(tables["powder"])),
        liquids=cast("Mapping[str, Liquid]", Frozen(tables["liquid"])),
        melts=cast("Mapping[str, Melt]", Frozen(tables["melt"])),
        roles=Frozen(roles),
        compositions=Frozen(compositions),
        origins=Frozen(origins),
        removed=Frozen(removed),
    )


def _start(book: Handbook, tables: Mapping[str, Mapping[str, Material]], one: Kept) -> Material:
    """Return what stands behind a material: a blend, the one it was copied from, a middling one."""
    own = one.own
    table = tables[own.kind]
    if one.shares:
        middling = book.unknown(own.kind, own.name, own.inci)
        return blended([(table.get(part.name, middling), part.share) for part in one.shares])
    shipped: Mapping[str, Material] = getattr(book, f"{own.kind}s")
    return shipped.get(own.base) or book.unknown(own.kind, own.name, own.inci)


M = TypeVar("M", Powder, Liquid, Melt)


def _named(material: Material, own: Own) -> Material:
    """Return a material under the maker's name, with what the maker states in words."""
    changes: dict[str, str] = {"name": own.name} if material.name != own.name else {}
    for field in ("inci", "material_class", "dust_hazard", "surfactant_charge"):
        if (stated := getattr(own, field)) and hasattr(material, field):
            changes[field] = stated
    if own.own:
        behind = f"copied from {own.base}: " if own.base else ""
        changes["source"] = f"your own material; {behind}{material.source}"
    return changed(material, changes) if changes else material


def current_lot(lots: tuple[Lot, ...]) -> Lot | None:
    """Return the lot in use: of those not used up, the one received last."""
    there = [lot for lot in lots if not lot.finished]
    return max(there, key=lambda lot: (lot.received, lot.id)) if there else None


def with_values(
    book: Handbook, material: Material, one: Kept
) -> tuple[Material, dict[str, Origin]]:
    """Return a material with the maker's numbers, and where each comes from.

    Raises
    ------
    ReadableError
        The numbers do not fit together, as a strength and a moisture above the whole.
    """
    lot = current_lot(one.lots)
    best: dict[str, Value] = {}
    for value in one.values:
        before = best.get(value.property)
        if before is None or _rank(value, lot) >= _rank(before, lot):
            best[value.property] = value
    numbers = {name: value.si for name, value in best.items() if hasattr(material, name)}
    origins = {
        name: Origin(best[name].origin, best[name].day, best[name].sd, best[name].remark)
        for name in numbers
    }
    if lot is not None:
        _add_lot(material, lot, numbers, origins)
    if not numbers and lot is None:
        return material, origins
    if isinstance(material, Powder):
        return _powder(book, material, numbers, best, lot), origins
    if isinstance(material, Liquid):
        return _liquid(material, numbers), origins
    return _melt(material, numbers), origins


def _rank(value: Value, lot: Lot | None) -> tuple[bool, int, str, int]:
    """Return how much a number counts: measured on the lot in use, measured, newer."""
    on_lot = lot is not None and value.lot == lot.id and value.origin == "measured"
    return on_lot, _STRENGTH[value.origin], value.day, value.id


def _add_lot(
    material: Material, lot: Lot, numbers: dict[str, float], origins: dict[str, Origin]
) -> None:
    """Take what the lot's certificate states, where nothing was measured."""
    stated: dict[str, float] = {}
    if lot.active is not None and not isinstance(material, Melt):
        stated["active_fraction"] = lot.active
    if lot.dry is not None and not isinstance(material, Melt):
        name = "moisture_fraction" if isinstance(material, Powder) else "water_fraction"
        stated[name] = 1 - lot.dry
    if lot.ph is not None and isinstance(material, Liquid):
        stated["ph"] = lot.ph
    for name, number in stated.items():
        if name not in origins or origins[name].kind != "measured":
            numbers[name] = number
            origins[name] = Origin("lot", lot.received, None, f"lot {lot.code}")


def _powder(
    book: Handbook,
    powder: Powder,
    numbers: dict[str, float],
    best: Mapping[str, Value],
    lot: Lot | None,
) -> Powder:
    made = changed(powder, {**numbers, "uptake_sd": _uptake_sd(book, powder, best, lot)})
    if "active_fraction" in numbers and "moisture_fraction" not in numbers:
        # What is stated alone leaves the rest to give way.
        made = replace(
            made, moisture_fraction=min(made.moisture_fraction, 1 - made.active_fraction)
        )
    if made.active_fraction + made.moisture_fraction > 1 + 1e-9:
        raise ReadableError(
            made.name,
            f"Strength {100 * made.active_fraction:g} % and moisture "
            f"{100 * made.moisture_fraction:g} % make more than the whole.",
            "Correct one of them.",
        )
    if made.bulk_density > made.true_density:
        raise ReadableError(
            made.name,
            f"The heap would be denser ({made.bulk_density / 1000:g} g/mL) than its grains "
            f"({made.true_density / 1000:g} g/mL).",
            "Correct one of the two densities.",
        )
    return made


def _uptake_sd(book: Handbook, powder: Powder, best: Mapping[str, Value], lot: Lot | None) -> float:
    """Return how surely the uptake is known [ln]; an untested lot widens it."""
    polar = best.get("uptake_polar")
    measured = polar is not None and polar.origin in ("measured", "learned")
    usual = book.parameters["rub_out_sd"].si
    sd = (polar.sd or usual) if measured and polar is not None else powder.uptake_sd
    if lot is not None and not (measured and polar is not None and polar.lot == lot.id):
        sd = (sd**2 + _lot_sd(book) ** 2) ** 0.5
    return float(sd)


def _lot_sd(book: Handbook) -> float:
    return book.parameters["slip_lot"].si


_FRACTIONS = (
    "active_fraction",
    "water_fraction",
    "glycol_fraction",
    "salt_fraction",
    "oil_fraction",
)


def _liquid(liquid: Liquid, numbers: dict[str, float]) -> Liquid:
    """Return a liquid whose fractions make up the whole: water gives way first."""
    made = changed(liquid, numbers)
    stated = [name for name in _FRACTIONS if name in numbers]
    if not stated:
        return made
    open_ones = [name for name in _FRACTIONS if name not in numbers]
    rest = 1 - sum(numbers[name] for name in stated)
    if rest < -1e-9 or (not open_ones and rest > 1e-9):
        raise ReadableError(
            made.name,
            f"What is stated of it makes {100 * (1 - rest):g} % of the whole.",
            "Correct the strength, water, glycol, salt or oil.",
        )
    rest = max(rest, 0.0)
    if "water_fraction" in open_ones:
        others = sum(getattr(liquid, name) for name in open_ones if name != "water_fraction")
        if others <= rest:
            return replace(made, water_fraction=rest - others)
    return replace(made, **_shared_out(liquid, open_ones, rest))  # type: ignore[arg-type]


def _shared_out(liquid: Liquid, open_ones: list[str], rest: float) -> dict[str, float]:
    """Return the rest of a liquid over what is not stated, in proportion to what there was."""
    before = sum(getattr(liquid, name) for name in open_ones)
    if before > 0:
        return {name: getattr(liquid, name) * rest / before for name in open_ones}
    # Nothing was there that could grow: what is left is most often salt.
    first = "salt_fraction" if "salt_fraction" in open_ones else open_ones[0]
    return {first: rest}


def _melt(melt: Melt, numbers: dict[str, float]) -> Melt:
    made = changed(melt, numbers)
    if made.melting_low > made.melting_high:
        if "melting_low" in numbers and "melting_high" in numbers:
            raise ReadableError(
                made.name, "It would end to melt before it begins.", "Swap the two temperatures."
            )
        met = "melting_high" if "melting_high" in numbers else "melting_low"
        made = replace(made, melting_low=numbers[met], melting_high=numbers[met])
    return made


def _role(book: Handbook, roles: Mapping[Key, Role], one: Kept, material: Material) -> Role:
    """Return what a material is for: as stated, else as of what it was made from."""
    own = one.own
    if not own.own and (own.kind, own.name) in roles:
        start = roles[own.kind, own.name]
    elif one.shares:
        found = [(roles.get((own.kind, part.name)), part.share) for part in one.shares]
        start = blended_role(_unknown_role(own), found)
    else:
        start = book.roles.get((own.kind, own.base)) or _unknown_role(own)
    changes: dict[str, object] = {"name": own.name}
    for field in ("vegan", "palm", "sulfate_free", "allergen"):
        if stated := getattr(own, field):
            changes[field] = "" if stated == "none" else stated
    if own.roles:
        changes["roles"] = tuple(part.strip() for part in own.roles.split(";") if part.strip())
    if isinstance(material, Powder):
        changes["dust_hazard"] = material.dust_hazard
    return changed(start, changes)


def _unknown_role(own: Own) -> Role:
    """Return the cautious role of a material of which nothing is stated."""
    sulfate = any(word in own.inci.casefold() for word in ("sulfate", "sulphate"))
    return Role(
        kind=own.kind,
        name=own.name,
        roles=(),
        vegan="depends",
        palm="yes",
        sulfate_free="no" if sulfate else "yes",
        allergen="",
        dust_hazard="irritant" if own.kind == "powder" else "none",
        use_low=0.0,
        use_high=1.0,
        source="your own material; nothing stated: ask the supplier",
        evidence="estimate",
    )


def _parts(
    book: Handbook, compositions: Mapping[Key, tuple[Part, ...]], one: Kept, material: Material
) -> tuple[Part, ...]:
    """Return what a label names: as stated, of what it was made from, or its INCI name."""
    own = one.own
    if one.parts:
        return tuple(
            _part(p.component, p.low, p.typical, p.high, "your statement") for p in one.parts
        )
    if one.shares:
        return blended_parts(
            [(compositions.get((own.kind, part.name), ()), part.share) for part in one.shares]
        )
    base = book.compositions.get((own.kind, own.base), ())
    shipped = getattr(book, f"{own.kind}s").get(own.base)
    if base and shipped is not None and material.inci == shipped.inci:
        return base
    names = [name.strip() for name in material.inci.split("(and)") if name.strip()]
    if len(names) < 2:
        return tuple(
            _part(name, 1.0, 1.0, 1.0, "your INCI name, taken as all of it") for name in names
        )
    source = "your INCI name: named there, the share not known"
    return tuple(_part(name, 0.0, 1 / len(names), 1.0, source) for name in names)


def _part(component: str, low: float, typical: float, high: float, source: str) -> Part:
    return Part(component, low, typical, high, 1, "", "", None, None, source, "estimate")
