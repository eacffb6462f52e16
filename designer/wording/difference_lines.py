"""Why variants differ, as a table: what each ingredient does to a figure, in a column for each."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from designer.advice.differences import COST, SPLIT, Difference
from designer.wording.differences import change_words

__all__ = ["SPLIT_WORDS", "Cell", "PartRow", "details", "figure", "part_rows", "table"]

SPLIT_WORDS = {
    "wetness": "wetness",
    "log_firmness": "firmness",
    "clean_knead_chance": "clean knead",
    "dough_temperature": "temperature",
    COST: "cost",
}
"""What a maker calls each figure of `SPLIT`."""

UNITS = {
    "wetness": "",
    "log_firmness": "times",
    "clean_knead_chance": "of 20",
    "dough_temperature": "°C",
    COST: "for a kilogram",
}
"""What the parts are given in: those of firmness multiply."""

_MINUS, _TIMES = "\N{MINUS SIGN}", "\N{MULTIPLICATION SIGN}"
_DIGITS = {
    "wetness": 2,
    "log_firmness": 2,
    "clean_knead_chance": 1,
    "dough_temperature": 1,
    COST: 2,
}


@dataclass(frozen=True)
class Cell:
    """An ingredient's part of one difference, in the unit shown; 0 and "" where it is the same."""

    value: float = 0.0
    words: str = ""


@dataclass(frozen=True)
class PartRow:
    """An ingredient, or all together, and its part in the column of each difference."""

    name: str
    cells: tuple[Cell, ...]


def figure(quantity: str, part: float) -> str:
    """Return a part of a difference as a figure: "+0.12", of firmness "×1.94"."""
    if quantity == "log_firmness":
        return f"{_TIMES}{math.exp(part):.{_DIGITS[quantity]}f}"
    value = round(_shown(quantity, part), _DIGITS[quantity])
    # Adding 0 makes of a rounded -0 a plain 0.
    return f"{value + 0:+.{_DIGITS[quantity]}f}".replace("-", _MINUS) if value else "0"


def part_rows(found: Sequence[Difference], quantity: str) -> tuple[PartRow, ...]:
    """Return the parts of one figure of `SPLIT`: largest first, and at last all together.

    An ingredient stands where its largest part does; where nothing differs there are no rows.
    """
    parts = [
        {
            (change.name, change.kind): part
            for change, part in (one.of(quantity) if quantity in one.quantities else ())
        }
        for one in found
    ]
    names = sorted(
        dict.fromkeys(name for one in parts for name in one),
        key=lambda name: -max(abs(one.get(name, 0.0)) for one in parts),
    )
    if not names:
        return ()
    rows = [
        PartRow(name[0], tuple(_cell(quantity, one.get(name)) for one in parts)) for name in names
    ]
    wholes = (None if one.missing else one.whole.get(quantity) for one in found)
    return (*rows, PartRow("Together", tuple(_cell(quantity, whole) for whole in wholes)))


def details(found: Sequence[Difference], name: str, batch: float) -> str:
    """Return all that an ingredient does, a line for each difference; `batch` in kg."""
    told = []
    for one in found:
        for change in one.changes:
            if change.name == name:
                parts = (
                    f"{SPLIT_WORDS[quantity]} {figure(quantity, change.parts[quantity])} "
                    f"{_unit(quantity, one)}".rstrip()
                    for quantity in one.quantities
                )
                head = f"{one.one} against {one.other}: {change_words(change, batch)}"
                told.append(f"{head}: {', '.join(parts)}")
    return "\n".join(told)


def table(
    found: Sequence[Difference], batch: float
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Return all splits as texts: a head, and a row for each variant and ingredient.

    `batch` is the mass of the dough [kg]. Numbers are such as a spreadsheet reads.
    """
    currency = next((one.currency for one in found if one.currency), "")
    split = (*SPLIT, COST) if currency else SPLIT
    words = [f"{SPLIT_WORDS[q]}, {UNITS[q]}".rstrip(", ") for q in SPLIT]
    words += [f"{SPLIT_WORDS[COST]}, {currency} {UNITS[COST]}"] if currency else []
    head = ("variant", "against", "ingredient", "g more", *words)
    rows = []
    for one in found:
        for change, _ in one.of("wetness"):
            grams = f"{1000 * batch * change.more:.1f}"
            figures = (_exactly(name, change.parts.get(name)) for name in split)
            rows.append((one.one, one.other, change.name, grams, *figures))
        if one.changes:
            figures = (_exactly(name, one.whole.get(name)) for name in split)
            rows.append((one.one, one.other, "together", "", *figures))
    return head, rows


def _unit(quantity: str, one: Difference) -> str:
    if quantity == COST:
        return f"{one.currency} {UNITS[COST]}"
    return UNITS[quantity] if quantity != "log_firmness" else ""


def _cell(quantity: str, part: float | None) -> Cell:
    if part is None:
        return Cell()
    # Bars of firmness stand on a scale of factors: half and twice are as long.
    return Cell(_shown(quantity, part), figure(quantity, part))


def _shown(quantity: str, part: float) -> float:
    return 20 * part if quantity == "clean_knead_chance" else part


def _exactly(quantity: str, part: float | None) -> str:
    """Return a part as a plain number for a spreadsheet, one digit further than it is shown."""
    if part is None:
        return ""
    value = math.exp(part) if quantity == "log_firmness" else _shown(quantity, part)
    digits = _DIGITS[quantity] + 1
    return f"{round(value, digits) + 0:.{digits}f}"
