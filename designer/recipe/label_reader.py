"""The label's table of a recipe file, from TOML to a `Label`."""

import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Any, TypeVar

from designer.errors import ReadableError
from designer.quantities import read
from designer.recipe.checks import CellError
from designer.recipe.label import DEFAULT_WIDTH, Label, LabelFacts, read_net, read_panel

__all__ = ["label", "read_day", "read_months"]

T = TypeVar("T")


def label(table: dict[str, Any]) -> Label:
    """Return what the table says; what it leaves out keeps its default.

    Raises
    ------
    CellError
        A value cannot be, with its key.
    """
    # The table itself is at fault where two values that may stand alone do not go together.
    facts = _reading("label", lambda: _facts(table))
    width = DEFAULT_WIDTH
    if "width" in table:
        width = _reading("width", lambda: read(_typed(table["width"]), "label_width"))
    return Label(
        market=_text(table, "market", "EU"),
        basis=_text(table, "basis", "added"),
        languages=_text(table, "languages", "en fr"),
        width=width,
        small_order=_lines(table, "small_order"),
        facts=facts,
    )


def read_day(typed: str) -> date | None:
    """Return a typed day, as 2026-11-28; None for nothing.

    Raises
    ------
    ReadableError
        It is no day.
    """
    if not typed.strip():
        return None
    try:
        return date.fromisoformat(typed.strip())
    except ValueError:
        problem = f'"{typed.strip()[:40]}" is no day.'
        raise ReadableError("Day", problem, "Write it as 2026-11-28.") from None


def read_months(typed: str) -> int | None:
    """Return typed months, as "12" or "12 M"; None for nothing.

    Raises
    ------
    ReadableError
        It is no number of months.
    """
    if not typed.strip():
        return None
    match = re.fullmatch(r"\s*([0-9]{1,4})\s*(?:m|months?)?\s*", typed, re.IGNORECASE)
    if match is None:
        problem = f'"{typed.strip()[:40]}" is no number of months.'
        raise ReadableError("After opening", problem, 'Write it as "12 M".')
    return int(match[1])


def _facts(table: dict[str, Any]) -> LabelFacts:
    grams, ounces = _stated(table, "declared", read_net) or (None, None)
    return LabelFacts(
        product=_text(table, "product"),
        function=_text(table, "function"),
        batch=_text(table, "batch_number"),
        made=_stated(table, "made", read_day),
        best_before=_stated(table, "best_before", read_day),
        months_open=_stated(table, "months_open", read_months),
        responsible=_text(table, "responsible"),
        address=_text(table, "address"),
        contact=_text(table, "contact"),
        origin=_text(table, "origin"),
        grams=grams,
        ounces=ounces,
        panel=_stated(table, "panel", read_panel),
        own_lines=_lines(table, "own_lines"),
    )


def _stated(table: dict[str, Any], key: str, how: Callable[[str], T]) -> T | None:
    """Return what a key says, None where it is not there or empty."""
    typed = _typed(table.get(key, ""))
    return _reading(key, lambda: how(typed)) if typed.strip() else None


def _reading(key: str, how: Callable[[], T]) -> T:
    """Return what `how` reads, its error put under the key of the file."""
    try:
        return how()
    except CellError:
        raise
    except ReadableError as error:
        raise CellError(key, error.problem, error.advice) from None


def _typed(value: Any) -> str:
    """Return a value of the file as the text a person would type."""
    if isinstance(value, str):
        return value
    if isinstance(value, date) and not isinstance(value, datetime):
        return value.isoformat()
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return repr(value) if is_number and abs(value) < 10**20 else type(value).__name__


def _text(table: dict[str, Any], key: str, usual: str = "") -> str:
    value = table.get(key, usual)
    if not isinstance(value, str):
        raise CellError(key, "It is not text.", "Put it in quotation marks.")
    return value


def _lines(table: dict[str, Any], key: str) -> tuple[str, ...]:
    value = table.get(key, [])
    if not isinstance(value, list) or not all(isinstance(line, str) for line in value):
        raise CellError(key, "It is not a list of texts.", 'Write it as ["one", "two"].')
    return tuple(value)
