"""From the text of a recipe file to a `Recipe`, with an error that names line, row and key."""

import re
import tomllib
from collections.abc import Callable, Iterable
from datetime import date
from typing import Any, TypeVar

from designer.errors import ReadableError
from designer.quantities import Fill, read, read_chance, read_percent, read_span
from designer.recipe.assessed import MOST_ASSESSED, MOST_PARTS, Assessed, Part
from designer.recipe.checks import CellError, check_count
from designer.recipe.label_reader import label
from designer.recipe.layout import line_of, without_strings
from designer.recipe.values import (
    MOST_ROWS,
    MOST_SWAPS,
    MOST_VARIANTS,
    Bench,
    Recipe,
    Row,
    Swap,
    Variant,
)
from designer.recipe.versions import check_version

__all__ = ["KNOWN", "cell", "parse"]

T = TypeVar("T")

KNOWN: dict[str, tuple[str, ...]] = {
    "": ("format", "name", "notes", "bench", "label", "variants", "row", "assessed", "released"),
    "bench": (
        "room",
        "humidity",
        "bath",
        "liquids",
        "batch",
        "makes",
        "net",
        "loss",
        "knead",
        "wanted",
    ),
    "label": (
        *("market", "basis", "languages", "width", "declared", "panel", "small_order"),
        *("product", "function", "batch_number", "made", "best_before", "months_open"),
        *("responsible", "address", "contact", "origin", "own_lines"),
    ),
    "variants": ("title", "active"),
    "row": ("phase", "name", "inci", "class", "percent", "held", "swaps", "note"),
    "swaps": ("name", "percent", "with", "variant", "less", "stays", "chance", "date"),
    "assessed": ("report", "name", "date", "variant", "formula"),
    "formula": ("phase", "name", "inci", "percent"),
}
"""Keys of format 1, by table."""

_DEEPEST = 12
# A dotted key of n parts costs the parser n squared, in time and in memory. (No possessive
# quantifiers here or in `layout`: Python before 3.11.5 matches them wrongly.)
_LONG_KEY = re.compile(r"(?<![\w\-])(?:[\w\-]+[ \t]*\.[ \t]*){12}")


def parse(text: str, where: str = "Recipe") -> Recipe:
    """Return the recipe a text holds.

    Parameters
    ----------
    text : str
        TOML of format 1; a byte order mark is accepted.
    where : str
        What the errors call it, usually the file's name.

    Returns
    -------
    Recipe, which keeps the text as its `source`

    Raises
    ------
    ReadableError
        The text is no TOML, of another version, or says something a recipe cannot be.
    """
    document = _document(text.removeprefix("\ufeff"), where)
    try:
        check_version(document)
        return _recipe(document, text)
    except CellError as error:
        raise _placed(error, text, where) from None


def _document(text: str, where: str) -> dict[str, Any]:
    """Return the TOML document, or say where it breaks."""
    if not text.strip():
        raise ReadableError(where, "The file is empty.", "Start from a recipe that opens.")
    deep = ReadableError(
        where, "The file is nested too deeply to be a recipe.", "Start from a recipe that opens."
    )
    if _LONG_KEY.search(without_strings(text)):
        raise deep
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _broken(str(error), text, where) from None
    except RecursionError:
        raise deep from None
    except ValueError:
        # Python refuses to read whole numbers of more than some thousand digits.
        raise ReadableError(
            where, "The file holds a number of thousands of digits.", "Correct that number."
        ) from None
    if _is_deep(document):
        raise deep
    return document


def _broken(message: str, text: str, where: str) -> ReadableError:
    """Return a sentence for a fault of the TOML itself."""
    place = re.search(r"\(at line (\d+), column (\d+)\)", message)
    # A truncated file has no line to name; its last one is where to look.
    line = int(place[1]) if place else text.rstrip("\n").count("\n") + 1
    ends = "" if place else " The file ends too early."
    reason = re.sub(r"\s*\(at .*?\)$", "", message)
    return ReadableError(
        f"{where}, line {line}",
        f"This is not TOML: {reason[:1].lower() + reason[1:120]}.{ends}",
        "Correct that line, or go back to the last copy that opened.",
    )


def _is_deep(document: dict[str, Any]) -> bool:
    """Return whether tables or lists lie deeper than any recipe's."""
    level: list[Any] = [document]
    for _ in range(_DEEPEST):
        level = [inner for outer in level for inner in _inside(outer)]
    return bool(level)


def _inside(outer: Any) -> Iterable[Any]:
    if isinstance(outer, dict):
        return outer.values()
    return outer if isinstance(outer, list) else ()


def _placed(error: CellError, text: str, where: str) -> ReadableError:
    """Return the error with the file and, where it can be found, the line before its place."""
    line = line_of(text.removeprefix("\ufeff"), error.key, error.row)
    place = f"{where}, line {line}" if line else where
    inside = error.key if error.row is None else error.title[:1].lower() + error.title[1:]
    return ReadableError(f"{place}, {inside}", error.problem, error.advice)


def _recipe(document: dict[str, Any], text: str) -> Recipe:
    bench = _bench(_table(document, "bench"))
    variants = _variants(document.get("variants"))
    entries = document.get("row", [])
    if not isinstance(entries, list):
        raise CellError("row", "A row is written the wrong way.", "Begin each row with [[row]].")
    if len(entries) > MOST_ROWS:
        raise CellError("row", f"{len(entries)} rows are too many.", f"Keep to {MOST_ROWS} rows.")
    numbers = [variant.number for variant in variants]
    rows = [_row(entry, i, numbers, bench.stated_batch) for i, entry in enumerate(entries)]
    return Recipe(
        name=_text(document, "name"),
        notes=_text(document, "notes"),
        bench=bench,
        label=label(_table(document, "label")),
        variants=tuple(variants),
        rows=tuple(rows),
        assessed=_formulas(document, "assessed"),
        released=_formulas(document, "released"),
        unknown=tuple(_unknown(document)),
        source=text,
    )


def _bench(table: dict[str, Any]) -> Bench:
    """Return the conditions; what the file leaves out keeps its default."""
    stated: dict[str, Any] = {
        key: _quantity(table[key], key)
        for key in ("room", "humidity", "bath", "liquids", "batch", "net", "loss")
        if key in table
    }
    if "knead" in table:
        stated["knead"] = _reading("knead", lambda: read_span(_typed(table["knead"]), "knead"))
    if "wanted" in table:
        stated["wanted"] = _reading(
            "wanted", lambda: read_chance(_typed(table["wanted"]), "wanted")
        )
    if "makes" in table:
        stated["bars"] = _count(table["makes"])
    return Bench(**stated)


def _quantity(value: Any, key: str) -> float:
    return _reading(key, lambda: read(_typed(value), key))


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
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, int) and not isinstance(value, bool):
        # Digits without end cannot be printed; no quantity has so many.
        return str(value) if abs(value) < 10**20 else "1e20"
    return type(value).__name__ if not isinstance(value, bool) else str(value).lower()


def _count(value: Any) -> int:
    """Return the number of bars: 24 or "24 bars"."""
    match = re.fullmatch(r"\s*(\d{1,6})(?:\s*bars?)?\s*", _typed(value), re.IGNORECASE)
    if match is None:
        raise CellError(
            "makes", f"{_typed(value)[:40]} is not a number of bars.", 'Write makes = "24 bars".'
        )
    return int(match[1])


def _variants(table: Any) -> list[Variant]:
    """Return the variants; a file without any has the one variant 1."""
    if table is None:
        return [Variant("1", active=True)]
    if not isinstance(table, dict) or not all(isinstance(v, dict) for v in table.values()):
        raise CellError(
            "variants", "The variants are written the wrong way.", "Write [variants.1]."
        )
    if len(table) > MOST_VARIANTS:
        raise CellError(
            "variants", f"{len(table)} variants are too many.", f"Keep to {MOST_VARIANTS}."
        )
    return [
        Variant(number, _text(entry, "title"), _flag(entry, "active"))
        for number, entry in table.items()
    ] or [Variant("1", active=True)]


def _row(entry: Any, index: int, numbers: list[str], batch: float | None) -> Row:
    """Return one row, its errors marked with its index and name."""
    name = ""
    try:
        if not isinstance(entry, dict):
            raise CellError("row", "A row is written the wrong way.", "Begin it with [[row]].")
        name = _text(entry, "name")
        return Row(
            phase=_needed(entry, "phase"),
            name=_needed(entry, "name"),
            percents=_percents(entry.get("percent"), numbers, batch),
            inci=_text(entry, "inci") or None,
            given_class=_text(entry, "class") or None,
            held=_held(entry.get("held", []), numbers),
            swaps=tuple(_swap(swap) for swap in _list(entry, "swaps")),
            note=_text(entry, "note"),
            origin=index,
        )
    except CellError as error:
        raise CellError(error.key, error.problem, error.advice, index, name[:60]) from None


def _percents(value: Any, numbers: list[str], batch: float | None) -> dict[str, float | Fill]:
    """Return the figures of a row by variant; a single figure is that of every variant."""
    if value is None:
        raise CellError(
            "percent", "The row has no percent.", "Write percent = 5.0, or one for each variant."
        )
    if not isinstance(value, dict):
        return dict.fromkeys(numbers, cell(value, batch))
    check_count("percent", value, MOST_VARIANTS)
    return {number: cell(figure, batch) for number, figure in value.items()}


def cell(value: Any, batch: float | None) -> float | Fill:
    """Return one figure: a number, "q.s.", "1,5" or "12 g"."""
    if isinstance(value, float) and 0 <= value <= 100:
        return value
    return _reading("percent", lambda: read_percent(_typed(value), batch))


def _held(value: Any, numbers: list[str]) -> frozenset[str]:
    """Return the variants in which a row is held: a list of numbers, or true for all."""
    if isinstance(value, bool):
        return frozenset(numbers if value else ())
    if not isinstance(value, list) or not all(isinstance(n, str | int) for n in value):
        raise CellError("held", "It is not a list of variants.", 'Write held = ["1", "2"].')
    return frozenset(_typed(number) for number in value)


def _swap(entry: Any) -> Swap:
    name, percent = _part(entry)
    alongside = tuple(_part(part) for part in _list(entry, "with"))
    variant = _typed(entry.get("variant", ""))
    less = tuple(_part(part) for part in _list(entry, "less"))
    stays = cell(entry.get("stays", 0.0), None)
    if isinstance(stays, Fill):
        raise CellError("swaps", "What stays cannot be q.s.", "Write stays = 2.0.")
    return Swap(name, percent, alongside, variant, less, stays, _chance(entry), _day(entry))


def _formulas(document: dict[str, Any], key: str) -> tuple[Assessed, ...]:
    """Return the formulas that were assessed or released."""
    shape = f"Begin each with [[{key}]]."
    entries = document.get(key, [])
    if not isinstance(entries, list) or not all(isinstance(entry, dict) for entry in entries):
        raise CellError(key, "It is written the wrong way.", shape)
    check_count(key, entries, MOST_ASSESSED)
    try:
        return tuple(_formula(entry) for entry in entries)
    except CellError as error:
        raise CellError(key, error.problem, error.advice) from None


def _formula(entry: dict[str, Any]) -> Assessed:
    parts = entry.get("formula", [])
    shape = 'Write { phase = "melt", name = "cocoa butter", percent = 5.4 }.'
    if not isinstance(parts, list) or not all(isinstance(part, dict) for part in parts):
        raise CellError("formula", "The formula is not a list of ingredients.", shape)
    check_count("formula", parts, MOST_PARTS)
    found = []
    for part in parts:
        if "percent" not in part:
            raise CellError("formula", "An ingredient of the formula has no percent.", shape)
        percent = cell(part["percent"], None)
        if isinstance(percent, Fill):
            raise CellError("formula", "An ingredient of a formula cannot be q.s.", shape)
        found.append(Part(_text(part, "phase"), _text(part, "name"), _text(part, "inci"), percent))
    texts = (_text(entry, "report"), _text(entry, "name"), _day(entry))
    return Assessed(*texts, _typed(entry.get("variant", "")), tuple(found))


def _chance(entry: dict[str, Any]) -> float | None:
    """Return the chance predicted of a swap, 0.84 or "17 of 20"; None where none is stated."""
    value = entry.get("chance")
    if value is None or (isinstance(value, float) and 0 <= value <= 1):
        return value
    return _reading("swaps", lambda: read_chance(_typed(value), "clean_knead_chance"))


def _day(entry: dict[str, Any]) -> str:
    """Return the day a swap was kept: a date of TOML, or text."""
    value = entry.get("date", "")
    return value.isoformat() if isinstance(value, date) else _typed(value)


def _part(entry: Any) -> tuple[str, float]:
    """Return the name and percent of a stand-in or of what goes in with it."""
    shape = 'Write { name = "shea butter", percent = 5.4 }.'
    if not isinstance(entry, dict) or "percent" not in entry:
        raise CellError("swaps", "A swap needs a name and a percent.", shape)
    typed = _typed(entry["percent"])
    if typed.strip()[-1:].isalpha():
        raise CellError("swaps", "A swap is stated in percent, whatever the batch.", shape)
    percent = cell(entry["percent"], None)
    if isinstance(percent, Fill):
        raise CellError("swaps", "A swap cannot be q.s.", shape)
    return _text(entry, "name"), percent


def _table(document: dict[str, Any], key: str) -> dict[str, Any]:
    table = document.get(key, {})
    if not isinstance(table, dict):
        raise CellError(key, "It is not a table.", f"Write [{key}] on a line of its own.")
    return table


def _list(entry: dict[str, Any], key: str) -> list[Any]:
    value = entry.get(key, [])
    if not isinstance(value, list):
        raise CellError(key, "It is not a list.", "Put it in square brackets.")
    check_count(key, value, MOST_SWAPS)
    return value


def _needed(entry: dict[str, Any], key: str) -> str:
    if key not in entry:
        raise CellError(key, f"The row has no {key}.", f'Write {key} = "..." below [[row]].')
    return _text(entry, key)


def _text(entry: dict[str, Any], key: str) -> str:
    value = entry.get(key, "")
    if not isinstance(value, str):
        raise CellError(key, "It is not text.", "Put it in quotation marks.")
    return value


def _flag(entry: dict[str, Any], key: str) -> bool:
    value = entry.get(key, False)
    if not isinstance(value, bool):
        raise CellError(key, "It is neither true nor false.", f"Write {key} = true.")
    return value


def _unknown(document: dict[str, Any]) -> Iterable[str]:
    """Yield the keys that format 1 does not have, as a person finds them in the file."""
    tables = [("", "", document)]
    tables += [(f"{name}.", name, document.get(name, {})) for name in ("bench", "label")]
    tables += [
        (f"variants.{number}.", "variants", entry)
        for number, entry in document.get("variants", {}).items()
    ]
    for index, entry in enumerate(document.get("row", [])):
        tables.append((f"row {index + 1}, ", "row", entry))
        tables += [(f"row {index + 1}, swaps, ", "swaps", swap) for swap in entry.get("swaps", [])]
    for key in ("assessed", "released"):
        for index, entry in enumerate(document.get(key, [])):
            tables.append((f"{key} {index + 1}, ", "assessed", entry))
            parts = entry.get("formula", [])
            tables += [(f"{key} {index + 1}, formula, ", "formula", part) for part in parts]
    for prefix, kind, table in tables:
        yield from (prefix + key[:40] for key in table if key not in KNOWN[kind])
