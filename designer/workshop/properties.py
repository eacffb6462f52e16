"""Which numbers of a material a maker can state or measure, and how they are typed."""

from dataclasses import dataclass

from designer.errors import ReadableError
from designer.handbook import Handbook
from designer.handbook.tables import Column
from designer.quantities import read, written_exactly
from designer.vocabulary import UNITS, from_si

__all__ = ["PROPERTIES", "Property", "check_value", "named", "read_value", "told_value"]


@dataclass(frozen=True)
class Property:
    """A number of a material.

    Attributes
    ----------
    column : str
        Of the handbook's table.
    words : str
        What a maker calls it.
    quantity : str
        As which it is typed, a key of `QUANTITIES`.
    kinds : tuple of str
        Materials that have it.
    moves : bool
        Whether the forecast follows it.
    """

    column: str
    words: str
    quantity: str
    kinds: tuple[str, ...]
    moves: bool = True


_P, _L, _M = ("powder",), ("liquid",), ("melt",)

PROPERTIES = (
    Property("uptake_polar", "uptake polar", "liquid_to_powder", _P),
    Property("uptake_oil", "uptake oil", "liquid_to_powder", _P),
    Property("bulk_density", "bulk density", "density", _P),
    Property("true_density", "true density", "density", _P),
    Property("density", "density", "density", (*_L, *_M)),
    Property("active_fraction", "strength", "percent", (*_P, *_L)),
    Property("moisture_fraction", "moisture", "percent", _P),
    Property("water_fraction", "water", "percent", _L),
    Property("glycol_fraction", "glycol", "percent", _L),
    Property("salt_fraction", "salt", "percent", _L),
    Property("oil_fraction", "oil", "percent", _L),
    Property("solubility", "solubility", "solubility", _P),
    Property("ph", "pH", "ph", _L),
    Property("melting_low", "melting from", "melting_point", _M, moves=False),
    Property("melting_high", "melt point", "melting_point", _M, moves=False),
    Property("heat_capacity", "heat capacity", "heat_capacity", _M),
)
"""The melt of a fat follows its composition; its melting point is kept and shown."""


def named(words: str, kind: str) -> Property:
    """Return the property that a maker names, of a kind of material."""
    plain = " ".join(words.casefold().replace("_", " ").split())
    for one in PROPERTIES:
        if kind in one.kinds and plain in (one.words.casefold(), one.column.replace("_", " ")):
            return one
    known = ", ".join(one.words for one in PROPERTIES if kind in one.kinds)
    raise ReadableError(
        "Property", f'A {kind} has no "{words[:40]}" here.', f"Name one of: {known}."
    )


def column_of(book: Handbook, kind: str, name: str) -> Column:
    """Return what the handbook's table says of a column."""
    return book.columns[f"{kind}s"][name]


def read_value(text: str, prop: Property, kind: str, book: Handbook) -> float:
    """Return a typed value in SI that is plausible for its column.

    Raises
    ------
    ReadableError
        It is no such number, or lies outside the column's range: which is told.
    """
    title = prop.words[:1].upper() + prop.words[1:]
    try:
        value = read(text, prop.quantity)
    except ReadableError as error:
        raise ReadableError(title, error.problem, f"Type {_range(prop, kind, book)}.") from None
    return check_value(value, prop, kind, book)


def check_value(value: float, prop: Property, kind: str, book: Handbook) -> float:
    """Return an SI value that is plausible for its column, or raise a ReadableError."""
    column = column_of(book, kind, prop.column)
    typed = from_si(value, column.unit or "1")
    slack = 1e-9 * max(1.0, abs(column.high))
    if not column.low - slack <= typed <= column.high + slack:
        title = prop.words[:1].upper() + prop.words[1:]
        raise ReadableError(
            title,
            f"{written_exactly(value, prop.quantity)} is not possible for a {kind}.",
            f"Keep to {_range(prop, kind, book)}.",
        )
    return value


def told_value(value: float, prop: Property) -> str:
    """Return a value as people read it, to four digits."""
    from designer.vocabulary import QUANTITIES

    unit = QUANTITIES[prop.quantity].shown
    figure = f"{from_si(value, unit):.4g}"
    return figure if unit == "1" else f"{figure} {unit}"


def _range(prop: Property, kind: str, book: Handbook) -> str:
    from designer.vocabulary import QUANTITIES

    column = column_of(book, kind, prop.column)
    unit = QUANTITIES[prop.quantity].shown
    _, factor, offset = UNITS[column.unit or "1"]
    ends = (from_si(end * factor + offset, unit) for end in (column.low, column.high))
    low, high = (f"{end:g}" if unit == "1" else f"{end:g} {unit}" for end in ends)
    return f"{low} to {high}"
