"""What is said of a material that a maker keeps: where numbers come from, lots, prices, stock."""

from datetime import date
from typing import TYPE_CHECKING

from designer.handbook import Material, kind_of
from designer.quantities import written
from designer.workshop.overlay import current_lot
from designer.workshop.properties import PROPERTIES, told_value
from designer.workshop.values import Lot, Price

if TYPE_CHECKING:
    from designer.workshop import Pantry

__all__ = ["CAUTIONS", "EMPTY", "lot_lines", "mass_words", "price_words", "remarks", "value_rows"]

EMPTY = (
    "Nothing is kept yet. Begin with a material of your own, as: bar-dough pantry copy "
    '"oat flour" "Oat flour from the mill"; or with a measurement: bar-dough pantry measure '
    '"white clay" "uptake polar" 0.42 0.45 0.44'
)

CAUTIONS = {
    "powder": "Powder in the air: mask (FFP2 or better), no fan, wipe wet. A certificate for each "
    "lot of clay, herb and flour: little water does not kill spores.",
    "liquid": "Acids, amines and cationics as supplied hurt the eyes: goggles and gloves.",
    "melt": "Hot fat burns and its steam scalds: water bath, gloves, no hurry.",
}

_NO_EFFECT = "kept and shown; the forecast follows the fat's composition instead"


def value_rows(pantry: "Pantry", material: Material) -> list[tuple[str, str, str]]:
    """Return name, value and origin of each number that a maker can state."""
    kind = kind_of(material)
    origins = pantry.handbook().origins.get((kind, material.name), {})
    rows = []
    for one in PROPERTIES:
        value = getattr(material, one.column, None)
        if kind not in one.kinds or value is None:
            continue
        origin = origins.get(one.column)
        told = "shipped default" if origin is None else origin.words
        if origin is None and _is_own(pantry, material):
            told = "from what it was made of"
        if origin is not None and not one.moves:
            told = f"{told}; {_NO_EFFECT}"
        rows.append((one.words, told_value(value, one), told))
    return rows


def _is_own(pantry: "Pantry", material: Material) -> bool:
    kept = pantry.own(material.name, kind_of(material))
    return bool(kept and kept.own.own)


def lot_lines(lots: list[Lot], today: date) -> list[str]:
    """Return a line for each lot, with what is missing of it."""
    used = current_lot(tuple(lots))
    lines = []
    for lot in lots:
        facts = [f"lot {lot.code}"]
        facts += [f"received {lot.received}"] if lot.received else []
        facts += [lot.form] if lot.form else []
        for name, share in (("active", lot.active), ("dry", lot.dry)):
            facts += [f"{name} {100 * share:.4g} %"] if share is not None else []
        facts += [f"pH {lot.ph:g}"] if lot.ph is not None else []
        facts.append(f"certificate seen {lot.certificate}" if lot.certificate else "no certificate")
        facts.append(lot.microbiology or "no microbiology")
        if lot.best_before:
            passed = " (passed)" if lot.best_before < today.isoformat() else ""
            facts.append(f"best before {lot.best_before}{passed}")
        facts.append("used up" if lot.finished else "in use" if lot is used else "waits")
        lines.append(" · ".join(facts))
    return lines


def price_words(price: Price) -> str:
    """Return what a pack cost, and what that makes for a kilogram."""
    per = f"{price.per_kilogram:.2f} {price.currency} a kg"
    who = f", {price.supplier}" if price.supplier else ""
    return f"{price.day}: {mass_words(price.pack)} for {price.amount} {price.currency} ({per}){who}"


def mass_words(mass: float) -> str:
    """Return a mass in g, from a kilogram on in kg."""
    return f"{mass:.3f} kg" if abs(mass) >= 1 else written(mass, "mass")


def remarks(pantry: "Pantry", material: Material, today: date) -> list[str]:
    """Return what to mind with a material."""
    kind = kind_of(material)
    found = []
    stock = pantry.stock(material.name, kind)
    if stock is not None and stock <= 0:
        found.append("None is left by what was written down: order it, or count what is there.")
    lots = pantry.lots(material.name, kind)
    lot = current_lot(tuple(lots))
    if lot is not None and lot.best_before and lot.best_before < today.isoformat():
        found.append(
            f"Lot {lot.code} is past its best before: look at it, smell it, ask for advice."
        )
    if lot is not None and kind == "powder" and not _is_tested(pantry, material, lot):
        found.append(
            f"Lot {lot.code} was not rubbed out yet: the forecast is wider until it is, as lots "
            "differ."
        )
    found.append(CAUTIONS[kind])
    return found


def _is_tested(pantry: "Pantry", material: Material, lot: Lot) -> bool:
    kept = pantry.own(material.name, kind_of(material))
    return kept is not None and any(
        one.lot == lot.id and one.property == "uptake_polar" and one.origin == "measured"
        for one in kept.values
    )
