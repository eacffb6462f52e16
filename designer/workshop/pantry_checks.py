"""What can stand in a pantry: each fault is one sentence."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from designer.errors import ReadableError
from designer.handbook import Handbook
from designer.workshop import checks
from designer.workshop.records import key_of
from designer.workshop.values import Ingredient, Lot, Own

__all__ = ["checked_lot", "checked_own", "checked_parts"]

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
