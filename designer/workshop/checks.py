"""What may stand in the stores: names, days, money, figures; each fault is one sentence."""

import re
from collections.abc import Collection
from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from math import isfinite

from designer.errors import ReadableError

__all__ = [
    "LONGEST_LINE",
    "LONGEST_TEXT",
    "check_currency",
    "check_day",
    "check_line",
    "check_mass",
    "check_moment",
    "check_number",
    "check_one_of",
    "check_text",
    "money",
]

LONGEST_LINE = 200
LONGEST_TEXT = 20_000

_LARGEST_PRICE = Decimal(10) ** 9


def check_line(title: str, text: str, required: bool = False) -> str:
    """Return a text of one line without superfluous spaces, or raise a ReadableError."""
    line = " ".join(text.split())
    if required and not line:
        raise ReadableError(title, "It is empty.", "Type something here.")
    if len(line) > LONGEST_LINE:
        raise ReadableError(
            title, f"It is {len(line)} characters long.", f"Keep to {LONGEST_LINE} characters."
        )
    return _shown(title, line)


def check_text(title: str, text: str) -> str:
    """Return a text of several lines, or raise a ReadableError."""
    if len(text) > LONGEST_TEXT:
        raise ReadableError(
            title, f"It is {len(text)} characters long.", f"Keep to {LONGEST_TEXT} characters."
        )
    return _shown(title, text)


def _shown(title: str, text: str) -> str:
    plain = text.replace("\n", "").replace("\t", "")
    if any(ord(c) < 32 or 127 <= ord(c) < 160 or 0xD800 <= ord(c) < 0xE000 for c in plain):
        raise ReadableError(
            title, "It holds characters that cannot be shown.", "Type it again as text."
        )
    return text


def check_one_of(title: str, word: str, words: Collection[str]) -> str:
    """Return a word of a closed list, or raise a ReadableError."""
    if word not in words:
        told = ", ".join(one for one in words if one)
        raise ReadableError(title, f'"{word[:40]}" is not known here.', f"Use one of: {told}.")
    return word


def check_day(title: str, text: str, today: date, ahead: bool = False) -> str:
    """Return a day as "2026-11-28"; one that is still to come only where `ahead` says so.

    Raises
    ------
    ReadableError
        It is no day of the calendar, or a future one.
    """
    day = None
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        try:
            day = date.fromisoformat(text)
        except ValueError:
            day = None
    if day is None:
        raise ReadableError(title, f'"{text[:40]}" is not a day.', "Write it as 2026-11-28.")
    if day > today and not ahead:
        raise ReadableError(
            title, f"{text} is still to come.", f"Give today, {today.isoformat()}, or before."
        )
    return text


def check_moment(title: str, text: str, today: date) -> str:
    """Return a day, or a day and time as "2026-11-28 14:30", that is not to come."""
    day, _, time = text.partition(" ")
    check_day(title, day, today)
    if time:
        try:
            datetime.strptime(time, "%H:%M")
        except ValueError:
            raise ReadableError(
                title, f'"{text[:40]}" is not a time.', "Write it as 2026-11-28 14:30."
            ) from None
    return text


def check_number(title: str, value: float, low: float, high: float, unit: str = "") -> float:
    """Return a finite number within a range, or raise a ReadableError."""
    if not (isfinite(value) and low <= value <= high):
        told = f" {unit}" if unit else ""
        raise ReadableError(
            title,
            f"{value:g}{told} is outside what is possible here.",
            f"Keep to {low:g} to {high:g}{told}.",
        )
    return value


def check_mass(title: str, mass: float, least: float = 1e-6, most: float = 1e4) -> float:
    """Return a mass [kg] that can be weighed, or raise a ReadableError."""
    return check_number(title, mass, least, most, "kg")


def money(text: str) -> Decimal:
    """Return a typed price, with a decimal point or comma; never below 0.

    Raises
    ------
    ReadableError
        It is no number, may mean two ("1,250"), or is negative.

    Examples
    --------
    >>> money("12,50")
    Decimal('12.50')
    """
    plain = text.strip().replace("\N{MINUS SIGN}", "-")
    if re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", plain):
        whole, part = plain.replace(",", "."), re.sub(r"[.,]", "", plain)
        raise ReadableError(
            "Price", f"{plain} may mean {whole} or {part}.", f"Type {whole}0 or {part}."
        )
    if not re.fullmatch(r"-?\d{1,12}(?:[.,]\d{1,6})?", plain):
        raise ReadableError("Price", f'"{plain[:40]}" is not a price.', "Type it as 12.50.")
    try:
        amount = Decimal(plain.replace(",", "."))
    except InvalidOperation:
        raise ReadableError(
            "Price", f'"{plain[:40]}" is not a price.', "Type it as 12.50."
        ) from None
    return check_price(amount)


def check_price(amount: Decimal) -> Decimal:
    """Return a price that somebody may have paid."""
    if not amount.is_finite() or amount < 0:
        raise ReadableError(
            "Price", f"{amount} is negative.", "Give what the pack cost, 0 or more."
        )
    if amount > _LARGEST_PRICE:
        raise ReadableError("Price", f"{amount} is too much.", "Give what one pack cost.")
    return amount


def check_currency(code: str) -> str:
    """Return the three letters of a currency in capitals."""
    plain = code.strip().upper()
    if not re.fullmatch(r"[A-Z]{3}", plain):
        raise ReadableError(
            "Currency",
            f'"{code[:40]}" is not a currency.',
            "Write its three letters, as EUR or USD.",
        )
    return plain
