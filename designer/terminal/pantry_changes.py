"""What the actions of `bar-dough pantry` change."""

import math
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import layout

if TYPE_CHECKING:
    from designer.workshop import Pantry
    from designer.workshop.properties import Property
    from designer.workshop.values import Ingredient

_WORDS = {
    "inci": "inci",
    "class": "material_class",
    "roles": "roles",
    "vegan": "vegan",
    "palm": "palm",
    "sulfate_free": "sulfate_free",
    "allergen": "allergen",
    "dust_hazard": "dust_hazard",
    "charge": "surfactant_charge",
    "supplier": "supplier",
    "remark": "remark",
}
"""Option: field."""


def run(arguments: Namespace) -> int:
    """Carry out one of the actions, tell what is kept now, and return the exit code."""
    from designer import handbook
    from designer.workshop import Pantry

    pantry = Pantry.opened(handbook.load())
    layout.say(layout.paragraph(_ACTIONS[arguments.action](pantry, arguments)))
    return 0


def _add(pantry: "Pantry", typed: Namespace) -> str:
    from designer.workshop.values import Own

    words, parts = _words(typed), _parts(typed.part)
    with pantry.database.write():
        if typed.blend:
            pantry.blend(typed.name, [_blended(one) for one in typed.blend], typed.kind)
            if words:
                pantry.describe(typed.name, **words)
            if parts:
                pantry.state_parts(typed.name, parts)
        elif not typed.kind:
            raise ReadableError("--kind", "It is missing.", "Give powder, liquid or melt.")
        else:
            own = replace(Own(typed.kind, typed.name, True), **words)  # type: ignore[arg-type]
            pantry.add(own, parts)
    made = "A blend" if typed.blend else "A middling material of its kind, widely uncertain,"
    return f'"{typed.name}" is kept. {made} stands behind it until you measure it.'


def _blended(text: str) -> tuple[str, float]:
    """Return the name and mass of a part of a blend, "white clay=3"."""
    from designer.quantities import read

    name, _, mass = text.rpartition("=")
    if not name:
        raise ReadableError("--blend", f'"{text[:40]}" has no mass.', 'Write "white clay=3".')
    return name, read(mass, "wetness" if _is_bare(mass) else "mass")


def _is_bare(text: str) -> bool:
    return text.strip().replace(".", "").replace(",", "").isdecimal()


def _parts(typed: Sequence[str] | None) -> list["Ingredient"]:
    """Return the ingredients stated, "Kaolin=97 to 99 %" or "Kaolin=98 %"."""
    from designer.quantities import read, read_span
    from designer.workshop.values import Ingredient

    found = []
    for text in typed or ():
        name, _, share = text.rpartition("=")
        if not name:
            raise ReadableError("--part", f'"{text[:40]}" has no share.', 'Write "Kaolin=98 %".')
        if any(mark in share for mark in ("to", "–", "-")):
            low, high = read_span(share, "percent")
        else:
            low = high = read(share, "percent")
        found.append(Ingredient(0, name, low, (low + high) / 2, high))
    return found


def _words(typed: Namespace) -> dict[str, str]:
    return {
        field: text
        for option, field in _WORDS.items()
        if (text := getattr(typed, option, None)) is not None
    }


def _copy(pantry: "Pantry", typed: Namespace) -> str:
    own = pantry.copy(typed.name, typed.new, typed.kind)
    return f'"{own.name}" is kept; it begins as {typed.name}.'


def _set(pantry: "Pantry", typed: Namespace) -> str:
    words, parts, name = _words(typed), _parts(typed.part), typed.name
    told = []
    with pantry.database.write():
        if typed.property:
            told.append(_stated(pantry, typed))
        if words:
            pantry.describe(name, typed.kind, **words)
            told.append(f"{', '.join(one.replace('_', ' ') for one in words)} kept")
        if parts:
            pantry.state_parts(name, parts, typed.kind)
            told.append(f"{len(parts)} parts of the composition kept")
        if typed.rename:
            name = pantry.rename(name, typed.rename, typed.kind).name
            told.append("renamed; recipes that use the old name must be changed")
    if not told:
        raise ReadableError("set", "Nothing to keep is given.", "Give a property and a value.")
    return f"{name}: {'; '.join(told)}."


def _stated(pantry: "Pantry", typed: Namespace) -> str:
    from designer.handbook import kind_of
    from designer.workshop.properties import named, read_value, told_value

    kind = kind_of(pantry.material(typed.name, typed.kind))
    prop = named(typed.property, kind)
    if typed.forget:
        count = pantry.forget(typed.name, prop, kind)
        return f"{count} of your numbers of {prop.words} taken away"
    if typed.value is None:
        raise ReadableError(prop.words, "The value is missing.", "Give it behind the property.")
    value = read_value(typed.value, prop, kind, pantry.book)
    pantry.put(typed.name, prop, value, "stated", kind, day=typed.day)
    return f"{prop.words} {told_value(value, prop)} kept{_effect(prop)}"


def _effect(prop: "Property") -> str:
    return "" if prop.moves else " and shown; the forecast follows the fat's composition instead"


def _measure(pantry: "Pantry", typed: Namespace) -> str:
    from designer.handbook import kind_of
    from designer.workshop.properties import named, read_value, told_value

    kind = kind_of(pantry.material(typed.name, typed.kind))
    prop = named(typed.property, kind)
    values = [read_value(text, prop, kind, pantry.book) for text in typed.values]
    mean, sd = averaged(pantry, prop, values)
    pantry.put(typed.name, prop, mean, "measured", kind, sd, typed.lot, typed.day, typed.remark)
    count = f" (mean of {len(values)})" if len(values) > 1 else ""
    return f"{typed.name}: {prop.words} {told_value(mean, prop)}{count} kept{_effect(prop)}."


def averaged(
    pantry: "Pantry", prop: "Property", values: Sequence[float]
) -> tuple[float, float | None]:
    """Return the mean of repeats and its standard deviation, None where the usual one holds.

    An uptake is averaged by its logarithm. Repeats of one hand agree better than they are true:
    their scatter may widen what is usual for a rub-out, never narrow it.
    """
    count = len(values)
    if prop.column.startswith("uptake"):
        logs = [math.log(value) for value in values]
        mean, usual = sum(logs) / count, pantry.book.parameters["rub_out_sd"].si
        return math.exp(mean), max(usual, _error(logs, mean))
    mean = sum(values) / count
    return mean, _error(values, mean) or None


def _error(values: Sequence[float], mean: float) -> float:
    """Return the standard error of a mean; 0 for one value."""
    count = len(values)
    if count < 2:
        return 0.0
    return math.sqrt(sum((value - mean) ** 2 for value in values) / (count - 1) / count)


def _lot(pantry: "Pantry", typed: Namespace) -> str:
    from designer.handbook import kind_of
    from designer.quantities import read
    from designer.wording.pantry import lot_lines
    from designer.workshop.records import key_of
    from designer.workshop.values import Lot

    kind = kind_of(pantry.material(typed.name, typed.kind))
    fields: dict[str, object] = {}
    for name in ("received", "supplier", "form", "certificate", "microbiology"):
        if (text := getattr(typed, name)) is not None:
            fields[name] = text
    for name in ("best_before", "finished", "remark"):
        if (text := getattr(typed, name)) is not None:
            fields[name] = text
    for name, quantity in (("active", "percent"), ("dry", "percent"), ("ph", "ph")):
        if (text := getattr(typed, name)) is not None:
            fields[name] = read(text, quantity)
    there = [key_of(lot.code) for lot in pantry.lots(typed.name, kind)]
    if key_of(typed.code) in there:
        pantry.change_lot(typed.name, typed.code, kind, **fields)
    else:
        pantry.add_lot(typed.name, Lot(0, typed.code, **fields), kind)  # type: ignore[arg-type]
    return f"{typed.name}: " + "; ".join(lot_lines(pantry.lots(typed.name, kind), date.today()))


def _price(pantry: "Pantry", typed: Namespace) -> str:
    from designer.quantities import read
    from designer.wording.pantry import price_words
    from designer.workshop import Settings
    from designer.workshop.checks import money

    settings = Settings(pantry.database)
    currency = typed.currency or settings.currency
    if not currency:
        raise ReadableError(
            "Currency", "It is not known yet.", "Write its three letters behind the amount, as EUR."
        )
    amount, pack = money(typed.amount), read(typed.pack, "mass")
    with pantry.database.write():
        price = pantry.add_price(
            typed.name, pack, amount, currency, typed.day, typed.supplier, typed.kind
        )
        settings.choose_currency(price.currency)
    return f"{typed.name}: {price_words(price)}."


def _stock(pantry: "Pantry", typed: Namespace) -> str:
    from designer.quantities import read
    from designer.wording.pantry import mass_words

    if typed.way is None:
        left = pantry.stock(typed.name, typed.kind)
        return f"{typed.name}: " + ("no stock is kept." if left is None else mass_words(left))
    if typed.way not in ("in", "out", "is") or typed.mass is None:
        raise ReadableError("stock", "It is not told what happened.", 'Write: in "25 kg".')
    mass = read(typed.mass, "mass")
    with pantry.database.write():
        if typed.way == "out":
            mass = -mass
        elif typed.way == "is":
            mass -= pantry.stock(typed.name, typed.kind) or 0.0
        reason = typed.reason or {"in": "came", "out": "went", "is": "counted"}[typed.way]
        left = pantry.move_stock(typed.name, mass, reason, typed.lot, typed.day, typed.kind)
    return f"{typed.name}: {mass_words(left)} left."


def _remove(pantry: "Pantry", typed: Namespace) -> str:
    own = pantry.remove(typed.name, typed.kind)
    return (
        f'"{own.name}" is taken away. Recipes that use it open with a stand-in and say so; bring '
        f'it back with: bar-dough pantry restore "{own.name}"'
    )


def _restore(pantry: "Pantry", typed: Namespace) -> str:
    return f'"{pantry.restore(typed.name).name}" is back.'


_ACTIONS = {
    "add": _add,
    "copy": _copy,
    "set": _set,
    "measure": _measure,
    "lot": _lot,
    "price": _price,
    "stock": _stock,
    "remove": _remove,
    "restore": _restore,
}
