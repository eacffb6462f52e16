"""Typed text to SI and back: the one room that reads units.

Temperatures, masses, lengths, times and shares are read from two closed lists of the vocabulary,
`UNITS` of our own tables and `FOREIGN_UNITS` (°F, oz, lb, in): they are typed in the window, which
cannot wait until pint is imported. Any other kind of quantity in a unit foreign to our tables calls
for pint. Numbers are read as decimals, so that "21 °C" is exactly 294.15 K and a value written
exactly reads back as the same float.
"""

import re
import unicodedata
from decimal import Context, Decimal, Inexact
from enum import Enum
from functools import lru_cache
from typing import Any, Final

import numpy as np
from numpy.typing import ArrayLike

from designer.errors import ReadableError
from designer.vocabulary import FOREIGN_UNITS, QUANTITIES, UNITS, Floats, Quantity, from_si

__all__ = [
    "QS",
    "Fill",
    "allowed",
    "read",
    "read_chance",
    "read_percent",
    "read_span",
    "shown",
    "written",
    "written_chance",
    "written_exactly",
    "written_span",
]


class Fill(Enum):
    """An amount that is not a number: q.s. fills the dough up to 100 %."""

    QS = "q.s."

    def __repr__(self) -> str:
        return "QS"


QS: Final = Fill.QS
"""Quantum satis: as much as is wanting to 100 %."""

SPELLINGS: dict[str, str] = {
    "c": "°C",
    "°c": "°C",
    "degc": "°C",
    "deg c": "°C",
    "celsius": "°C",
    "kelvin": "K",
    "f": "degF",
    "°f": "degF",
    "degf": "degF",
    "deg f": "degF",
    "fahrenheit": "degF",
    "percent": "%",
    "cm2": "cm^2",
    "grams": "g",
    "gram": "g",
    "kilograms": "kg",
    "kilogram": "kg",
    "sec": "s",
    "second": "s",
    "seconds": "s",
    "mins": "min",
    "minute": "min",
    "minutes": "min",
    "hr": "h",
    "hour": "h",
    "hours": "h",
    "day": "d",
    "days": "d",
    "ml": "mL",
    "l": "L",
    "‰": "permille",
    **dict.fromkeys(("ounce", "ounces"), "oz"),
    **dict.fromkeys(("lbs", "pound", "pounds"), "lb"),
    **dict.fromkeys(("milligram", "milligrams"), "mg"),
    **dict.fromkeys(("µg", "μg", "microgram", "micrograms"), "ug"),
    **dict.fromkeys(("tonne", "tonnes"), "t"),
    **dict.fromkeys(('"', "inch", "inches"), "in"),
    **dict.fromkeys(("foot", "feet"), "ft"),
    **dict.fromkeys(("yard", "yards"), "yd"),
    **dict.fromkeys(("µm", "μm", "micrometre", "micrometer", "micron"), "um"),
    **dict.fromkeys(("millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    "weeks": "week",
}
"""Other spellings of a unit, in lower case; a bare C or F is a temperature at this bench."""

KINDS: dict[str, tuple[str, str]] = {
    "K": ("a temperature", "°C, °F or K"),
    "kg": ("a mass", "g, kg, oz or lb"),
    "m": ("a length", "mm, cm or in"),
    "s": ("a time", "s, min, h or d"),
    "1": ("a share", "%"),
}
"""By SI unit: what such a quantity is called, and the units worth typing. All that people type are
in our lists."""

_NUMBER = re.compile(r"([+-]?(?:\d+(?: \d{3})+(?!\d)|\d)?[\d.,]*(?:[eE][+-]?\d{1,4})?)\s*(.*)")
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:[.,]\d{3})*[.,]\d+")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_UNIT = re.compile(r"[^\W\d]+(?:\^-?\d)?(?: ?[/*] ?[^\W\d]+(?:\^-?\d)?){0,3}")
_OF = re.compile(r"(\d{1,3})\s*(?:of|/)\s*(\d{1,3})", re.IGNORECASE)
_SPAN = re.compile(r"\s+to\s+|\s*[–—]\s*|(?<=[^\s\-eE(/^*])\s*-\s*(?=-?[\d.,])", re.IGNORECASE)
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity|∞)\b", re.IGNORECASE)
_LONGEST = 60

TWENTY = 20
"""Batches out of which a chance is told."""

_DIGITS = Context(prec=60, traps=[])


def read(text: str, name: str) -> float:
    """Return the typed `text` as a value of the quantity `name`.

    Parameters
    ----------
    text : str
        "4,5 cm", "21 °C", "70 F", "45 %"; a bare number is in the shown unit of the quantity.
    name : str
        A key of `designer.vocabulary.QUANTITIES`.

    Returns
    -------
    float [SI unit of the quantity]

    Raises
    ------
    ReadableError
        The text is empty, no number, ambiguous ("1,250"), of another kind, or out of the domain.

    Examples
    --------
    >>> read("4,5 cm", "length")
    0.045
    >>> read("21C", "room")
    294.15
    """
    quantity = QUANTITIES[name]
    number, unit = _split(text, quantity)
    value = _in_si(number, unit, quantity, text)
    if not quantity.low <= value <= quantity.high:
        raise _refused(
            quantity,
            f"{_quoted(text)} is outside what is possible here.",
            f"Type a value from {_allowed(quantity)}.",
        )
    return value


def read_span(text: str, name: str) -> tuple[float, float]:
    """Return the two ends of a typed span, "5 min to 20 min", "5-20 min" or "5–20 min".

    Returns
    -------
    (low, high) [SI unit of the quantity]; a lower end without a unit takes that of the upper

    Raises
    ------
    ReadableError
        As `read`; also when there are not two ends, or the first is the larger.

    Examples
    --------
    >>> read_span("5 to 20 min", "knead")
    (300.0, 1200.0)
    """
    quantity = QUANTITIES[name]
    example = f"Type two values, as {written_span(quantity.low, quantity.high, name)}."
    ends = [end for end in _SPAN.split(_plain_text(text)) if end]
    if len(ends) != 2:
        raise _refused(
            quantity, f"{_quoted(text)} is not a span from one value to another.", example
        )
    if not _split(ends[0], quantity)[1]:
        ends[0] = f"{ends[0]} {_split(ends[1], quantity)[1]}"
    low, high = read(ends[0], name), read(ends[1], name)
    if low > high:
        raise _refused(quantity, f"{_quoted(text)} ends below where it starts.", example)
    return low, high


def read_percent(text: str, batch: float | None) -> float | Fill:
    """Return a typed cell of the recipe in percent of the dough, or `QS`.

    Parameters
    ----------
    text : str
        "12.5", "12,5 %", "q.s.", or a mass such as "12 g" or "0.4 oz".
    batch : float or None [kg]
        What a mass is a share of; without it a mass is refused.

    Returns
    -------
    float [percent], 0 to 100, or `QS`

    Raises
    ------
    ReadableError
        As `read`; a mass without a batch, or more than the batch.

    Examples
    --------
    >>> read_percent("12 g", 0.48)
    2.5
    """
    if _plain_text(text).lower().replace(" ", "") in ("q.s.", "qs", "q.s"):
        return QS
    quantity = QUANTITIES["percent"]
    number, unit = _split(text, quantity)
    if unit in ("", "%"):
        read(text, "percent")
        return float(number)
    mass = _in_si(number, unit, QUANTITIES["mass"], text)
    if batch is None:
        raise _refused(
            quantity,
            f"{_quoted(text)} is a mass, and the batch it belongs to is not known.",
            "State the batch, or type the share in %.",
        )
    if not 0 <= mass <= batch:
        raise _refused(
            quantity,
            f"{_quoted(text)} does not fit into the batch of {written(batch, 'batch')}.",
            f"Type a mass from 0 g to {written(batch, 'mass')}, or a share in %.",
        )
    return float(Decimal(repr(mass)) / Decimal(repr(batch)) * 100)


def read_chance(text: str, name: str) -> float:
    """Return a typed chance: "14 of 20", "14/20", "70 %", or 14 alone, which is of 20.

    Returns
    -------
    float [1]

    Raises
    ------
    ReadableError
        As `read`.

    Examples
    --------
    >>> read_chance("14 of 20", "wanted"), read_chance("70 %", "wanted")
    (0.7, 0.7)
    """
    quantity = QUANTITIES[name]
    plain = _plain_text(text)
    if re.fullmatch(r"\d{1,2}", plain):
        plain = f"{plain} of {TWENTY}"
    match = _OF.fullmatch(plain)
    if match is None and plain.endswith("%"):
        return read(text, name)
    least, most = (f"{round(TWENTY * end)} of {TWENTY}" for end in (quantity.low, quantity.high))
    if match is None:
        raise _refused(
            quantity, f"{_quoted(text) or 'Nothing'} is not a chance.", "Type it as 14 of 20."
        )
    part, whole = int(match[1]), int(match[2])
    if not whole or not quantity.low <= part / whole <= quantity.high:
        raise _refused(
            quantity,
            f"{_quoted(text)} is outside what is possible here.",
            f"Type a chance from {least} to {most}.",
        )
    return part / whole


def shown(value: ArrayLike, name: str) -> Floats:
    """Return SI values of the quantity `name` in the unit shown to people, not rounded."""
    quantity = QUANTITIES[name]
    return np.asarray(from_si(np.asarray(value, dtype=np.float64), quantity.shown))


def written(value: float, name: str) -> str:
    """Return an SI value as people read it, rounded to the decimals of its quantity.

    Examples
    --------
    >>> written(294.15, "room")
    '21 °C'
    """
    quantity = QUANTITIES[name]
    figure = f"{from_si(value, quantity.shown):.{quantity.decimals}f}"
    if float(figure) == 0:
        figure = figure.lstrip("-")
    return _with_unit(figure, quantity.shown)


def written_exactly(value: float, name: str) -> str:
    """Return an SI value as text that `read` turns back into the same float.

    Examples
    --------
    >>> written_exactly(294.15, "room"), written_exactly(0.1234567, "batch")
    ('21 °C', '0.1234567 kg')
    """
    quantity = QUANTITIES[name]
    _, factor, offset = UNITS[quantity.shown]
    context = _DIGITS.copy()
    figure = context.divide(
        context.subtract(Decimal(repr(value)), Decimal(repr(offset))), Decimal(repr(factor))
    )
    unit = quantity.shown
    if context.flags[Inexact]:
        # A third of a minute has no end in decimals; seconds do.
        figure, unit = Decimal(repr(value)), quantity.unit
    plain = _figure(figure)
    return _with_unit(plain if len(plain) < _LONGEST // 2 else f"{figure:e}", unit)


def written_chance(value: float, name: str) -> str:
    """Return a chance as text that `read_chance` turns back into the same float: "14 of 20"."""
    part = round(TWENTY * value)
    return f"{part} of {TWENTY}" if part / TWENTY == value else written_exactly(value, name)


def written_span(low: float, high: float, name: str) -> str:
    """Return a span as exact text, "5 min to 20 min", that `read_span` reads back."""
    return f"{written_exactly(low, name)} to {written_exactly(high, name)}"


def allowed(name: str) -> str:
    """Return the domain of a quantity as people read it: "-5 °C to 50 °C"."""
    return _allowed(QUANTITIES[name])


def _split(text: str, quantity: Quantity) -> tuple[Decimal, str]:
    """Return the number and the unit, in our spelling, of a typed text."""
    plain = _plain_text(text)
    if not plain:
        raise _refused(quantity, "Nothing is typed here.", _advice(quantity))
    if _NOT_FINITE.match(plain):
        raise _refused(quantity, f"{_quoted(text)} is not a finite number.", _advice(quantity))
    match = _NUMBER.fullmatch(plain[:_LONGEST])
    if len(plain) > _LONGEST or match is None or not re.search(r"\d", _mantissa(match[1])[0]):
        raise _refused(quantity, f"{_quoted(text)} is not a number.", _advice(quantity))
    plain_unit = match[2].lower()
    unit = SPELLINGS.get(plain_unit, plain_unit if plain_unit in FOREIGN_UNITS else match[2])
    return _number(match[1], unit, quantity), unit


def _number(figure: str, unit: str, quantity: Quantity) -> Decimal:
    """Return a typed figure, with a decimal point or comma; ask when it may mean two numbers."""
    mantissa, exponent = _mantissa(figure)
    marks = re.sub(r"[^.,]", "", mantissa)
    if len(marks) > 1:
        if not _GROUPED.fullmatch(mantissa):
            raise _refused(quantity, f"{figure} is not a number.", _advice(quantity))
        raise _asked(figure, unit, _two_readings(mantissa, marks), quantity)
    if marks == "," and _THOUSANDS.fullmatch(mantissa):
        raise _asked(
            figure, unit, [mantissa.replace(",", "."), mantissa.replace(",", "")], quantity
        )
    return Decimal(mantissa.replace(",", ".") + exponent)


def _mantissa(figure: str) -> tuple[str, str]:
    """Return a figure without spaces, parted before its exponent."""
    figure = figure.replace(" ", "")
    start = figure.lower().find("e")
    return (figure, "") if start < 0 else (figure[:start], figure[start:])


def _two_readings(mantissa: str, marks: str) -> list[str]:
    """Return what a figure with several separators may mean: "1.234,5" is 1234.5 or 1.2345."""
    whole = re.sub(r"[.,]", "", mantissa)
    head, tail = mantissa.rsplit(marks[-1], 1)
    first, rest = re.split(r"[.,]", mantissa, maxsplit=1)
    last = whole if marks[0] == marks[-1] else re.sub(r"[.,]", "", head) + "." + tail
    return [last, first + "." + re.sub(r"[.,]", "", rest)]


def _asked(figure: str, unit: str, readings: list[str], quantity: Quantity) -> ReadableError:
    """Return the question which of two readings is meant."""
    first, second = (f"{_figure(Decimal(reading))} {unit}".strip() for reading in readings)
    typed = f"{figure} {unit}".strip()
    return _refused(
        quantity,
        f"{_quoted(typed)} may mean {first} or {second}.",
        f"Type {first} or {second}: one decimal point, no thousands separator.",
    )


def _in_si(number: Decimal, unit: str, quantity: Quantity, text: str) -> float:
    """Return a number in a unit, in the SI unit of the quantity."""
    unit = unit or quantity.shown
    known = UNITS.get(unit) or FOREIGN_UNITS.get(unit)
    if known is None and quantity.unit in KINDS:
        raise _unknown_unit(text, quantity)
    if known is None:
        return _in_si_by_pint(number, unit, quantity, text)
    kind, factor, offset = known
    if kind != quantity.unit:
        raise _wrong_kind(text, quantity)
    si = _DIGITS.multiply(number, Decimal(repr(factor)))
    return float(_DIGITS.add(si, Decimal(repr(offset))))


def _in_si_by_pint(number: Decimal, unit: str, quantity: Quantity, text: str) -> float:
    """Return the same for a unit of a kind that our lists do not exhaust."""
    # The pattern keeps arithmetic, and with it endless powers, away from the parser.
    if not _UNIT.fullmatch(unit):
        raise _unknown_unit(text, quantity)
    registry = _registry()
    import pint

    try:
        measured = registry.Quantity(float(number), unit)
        return float(measured.to(quantity.unit if quantity.unit != "1" else "").magnitude)
    except pint.DimensionalityError:
        raise _wrong_kind(text, quantity) from None
    except Exception:
        # A unit parser meets words here; whatever it stumbles over is no unit.
        raise _unknown_unit(text, quantity) from None


@lru_cache(maxsize=1)
def _registry() -> Any:
    """Return the one unit registry."""
    import pint

    return pint.UnitRegistry()


def _plain_text(text: str) -> str:
    """Return text with one kind of space, minus, degree sign and digit."""
    text = text.replace("²", "^2").replace("³", "^3")
    text = re.sub("[º˚∘]", "°", text).replace("\N{MINUS SIGN}", "-")
    text = unicodedata.normalize("NFKC", text)
    return re.sub(r"° ", "°", " ".join(text.split()))


def _quoted(text: str) -> str:
    """Return typed text for a message, on one line and not too long."""
    line = " ".join(text.split())
    return line if len(line) <= _LONGEST else line[: _LONGEST - 1] + "…"


def _figure(number: Decimal) -> str:
    """Return a number in plain digits without trailing zeros."""
    figure = format(number, "f")
    if "." in figure:
        figure = figure.rstrip("0").rstrip(".")
    return figure


def _with_unit(figure: str, unit: str) -> str:
    return figure if unit == "1" else f"{figure} {unit}"


def _allowed(quantity: Quantity) -> str:
    """Return the domain as people read it."""
    low, high = (
        format(Decimal(f"{from_si(end, quantity.shown):.6g}"), "f")
        for end in (quantity.low, quantity.high)
    )
    return f"{_with_unit(low, quantity.shown)} to {_with_unit(high, quantity.shown)}"


def _advice(quantity: Quantity) -> str:
    return f"Type a number from {_allowed(quantity)}."


def _refused(quantity: Quantity, problem: str, advice: str) -> ReadableError:
    return ReadableError(quantity.words[:1].upper() + quantity.words[1:], problem, advice)


def _wrong_kind(text: str, quantity: Quantity) -> ReadableError:
    kind, units = KINDS.get(quantity.unit, (f"a value in {quantity.shown}", quantity.shown))
    return _refused(
        quantity,
        f"{_quoted(text)} is not {kind}.",
        f"Type it in {units}, from {_allowed(quantity)}.",
    )


def _unknown_unit(text: str, quantity: Quantity) -> ReadableError:
    _, units = KINDS.get(quantity.unit, ("", quantity.shown))
    return _refused(
        quantity,
        f"{_quoted(text)} has a unit that is not known.",
        f"Type it in {units}, from {_allowed(quantity)}.",
    )
