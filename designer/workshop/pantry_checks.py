"""What can stand in a pantry: each fault is one sentence."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from designer.errors import ReadableError
from designer.handbook import Handbook
from designer.workshop import checks, properties
from designer.workshop.database import Database
from designer.workshop.records import key_of, select
from designer.workshop.values import Ingredient, Lot, Own, Price, Share, Stock, Value

__all__ = ["check_kept", "checked_lot", "checked_own", "checked_parts"]

_CHOICES: Mapping[str, tuple[str, ...]] = {
    "vegan": ("", "yes", "no", "depends"),
    "palm": ("", "yes", "no"),
    "sulfate_free": ("", "yes", "no"),
    "dust_hazard": ("", "none", "nuisance", "irritant"),
    "surfactant_charge": ("", "anionic", "amphoteric", "nonionic", "cationic"),
}
_WORDS = ("inci", "material_class", "roles", "allergen", "supplier", *_CHOICES)
_LOT_WORDS = ("supplier", "form", "microbiology", "remark")


def checked_own(own: Own, book: Handbook) -> Own:
    """Return a material whose words can stand, or raise a ReadableError."""
    title = own.name.strip()[:60] or "Material"
    name = checks.check_line("Name", own.name, required=True)
    checks.check_one_of("Kind", own.kind, ("powder", "liquid", "melt"))
    words = {field: checks.check_line(f"{title}, {field}", getattr(own, field)) for field in _WORDS}
    for field, choices in _CHOICES.items():
        checks.check_one_of(f"{title}, {field.replace('_', ' ')}", words[field], choices)
    if words["material_class"]:
        allowed = book.columns[f"{own.kind}s"]["material_class"].choices
        checks.check_one_of(f"{title}, class", words["material_class"], allowed)
    remark = checks.check_text(f"{title}, remark", own.remark)
    return replace(own, name=name, remark=remark, **words)  # type: ignore[arg-type]


def checked_lot(lot: Lot, today: date) -> Lot:
    """Return a lot that can be, or raise a ReadableError."""
    title = f"Lot {lot.code[:40]}"
    for field in ("active", "dry"):
        if (share := getattr(lot, field)) is not None:
            checks.check_number(f"{title}, {field}", share, 0.0, 1.0)
    if lot.ph is not None:
        checks.check_number(f"{title}, pH", lot.ph, 0.0, 14.0)
    for field in ("received", "certificate", "finished"):
        if day := getattr(lot, field):
            checks.check_day(f"{title}, {field}", day, today)
    if lot.best_before:
        checks.check_day(f"{title}, best before", lot.best_before, today, ahead=True)
    lines = {f: checks.check_line(f"{title}, {f}", getattr(lot, f)) for f in _LOT_WORDS}
    code = checks.check_line("Lot", lot.code, required=True)
    return replace(lot, **(lines | {"code": code}))  # type: ignore[arg-type]


def checked_parts(name: str, parts: Sequence[Ingredient]) -> list[Ingredient]:
    """Return a statement of composition that can be true, or raise a ReadableError."""
    seen: set[str] = set()
    for part in parts:
        title = f"{name}, {part.component[:60]}"
        checks.check_line(title, part.component, required=True)
        if key_of(part.component) in seen:
            raise ReadableError(title, "It is stated twice.", "Keep one of them.")
        seen.add(key_of(part.component))
        for share in (part.low, part.typical, part.high):
            checks.check_number(title, share, 0.0, 1.0)
        if not part.low <= part.typical <= part.high:
            raise ReadableError(title, "Its shares are not in order.", "Give low, typical, high.")
    if sum(part.low for part in parts) > 1 + 1e-6 or sum(part.typical for part in parts) > 1 + 1e-6:
        raise ReadableError(name, "Its parts make more than the whole.", "Correct the shares.")
    return list(parts)


def check_kept(stores: Database, book: Handbook, today: date) -> None:
    """Raise unless all in a pantry could have been typed in."""
    owns = {own.id: own for own in select(stores, Own)}
    for own in owns.values():
        if checked_own(own, book) != own:
            raise ReadableError(own.name, "Its words hold superfluous spaces.", "Tidy them.")
    taken = {key_of(name) for table in (book.powders, book.liquids, book.melts) for name in table}
    for own in owns.values():
        if own.own and not own.removed and key_of(own.name) in taken:
            raise ReadableError(own.name, "This name is taken already.", "Choose another name.")
        taken |= {key_of(own.name)} if own.own and not own.removed else set()
    for value in select(stores, Value):
        own = owns[value.material]
        prop = properties.named(value.property, own.kind)
        properties.check_value(value.si, prop, own.kind, book)
        if value.sd is not None:
            checks.check_number(f"{own.name}, spread", value.sd, 1e-9, 1e6)
        checks.check_day(f"{own.name}, day", value.day, today)
    for lot in select(stores, Lot):
        checked_lot(lot, today)
    for price in select(stores, Price):
        checks.check_price(price.amount)
        checks.check_currency(price.currency)
        checks.check_day("Price, day", price.day, today)
    for moved in select(stores, Stock):
        checks.check_number("Stock", moved.mass, -1e4, 1e4, "kg")
        checks.check_day("Stock, day", moved.day, today)
    _check_made_of(stores, owns)


def _check_made_of(stores: Database, owns: Mapping[int, Own]) -> None:
    """Raise unless statements of composition and blends make a whole."""
    parts: dict[int, list[Ingredient]] = {}
    for part in select(stores, Ingredient):
        parts.setdefault(part.material, []).append(part)
    for number, stated in parts.items():
        checked_parts(owns[number].name, stated)
    shares: dict[int, float] = {}
    for share in select(stores, Share):
        shares[share.material] = shares.get(share.material, 0.0) + share.share
    for number, total in shares.items():
        if abs(total - 1) > 1e-6:
            raise ReadableError(owns[number].name, "Its shares are not a whole.", "Mend them.")
