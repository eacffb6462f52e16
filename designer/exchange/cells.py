"""Values as rows of a spreadsheet and back, exactly, and without a text that acts as a formula."""

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import fields
from decimal import Decimal, InvalidOperation
from math import isfinite
from typing import Any, TypeVar

from designer.errors import ReadableError

__all__ = ["cells_of", "read", "value_of", "written"]

Record = TypeVar("Record")

_ACTS = ("=", "+", "-", "@", "\t", "\r", "'")
"""First letters that make a spreadsheet take a text for a formula, or the mark against that."""

_MOST = 100_000


def cells_of(record: object, left_out: Iterable[str] = ()) -> dict[str, str]:
    """Return the fields of a value as texts; those left out aside."""
    skipped = {"id", *left_out}
    return {
        one.name: _cell(getattr(record, one.name))
        for one in fields(record)  # type: ignore[arg-type]
        if one.name not in skipped
    }


def safe(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula; `_plain` undoes it."""
    return f"'{text}" if text.startswith(_ACTS) else text


def _plain(cell: str) -> str:
    return cell[1:] if cell.startswith("'") else cell


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, Decimal):
        return format(value, "f")
    return safe(value) if isinstance(value, str) else str(value)


def value_of(kind: type[Record], cells: Mapping[str, str], where: str, **given: Any) -> Record:
    """Return a value made of texts; `given` fields are taken as they are.

    Raises
    ------
    ReadableError
        A cell is none of what its column holds: which one.
    """
    made = dict(given)
    for one in fields(kind):  # type: ignore[arg-type]
        if one.name not in made and one.name in cells:
            made[one.name] = _value(cells[one.name], one.type, f"{where}, column {one.name}")
    try:
        return kind(**made)
    except TypeError:
        raise ReadableError(
            where, "A column that is needed is missing.", "Export a table to see its header."
        ) from None


def _value(cell: str, kind: Any, where: str) -> object:
    told = str(kind)
    if kind is str:
        return _plain(cell)
    if not cell.strip() and "None" in told:
        return None
    if kind is bool:
        if cell.strip().lower() not in ("yes", "no"):
            raise ReadableError(where, f'"{cell[:40]}" is neither yes nor no.', "Write yes or no.")
        return cell.strip().lower() == "yes"
    try:
        number = _number(cell.strip(), kind, told)
    except (ValueError, InvalidOperation):
        raise ReadableError(
            where, f'"{cell[:40]}" is not a number.', "Write it with a decimal point."
        ) from None
    return number


def _number(cell: str, kind: Any, told: str) -> object:
    if kind is Decimal:
        return Decimal(cell)
    if "int" in told:
        return int(cell)
    number = float(cell)
    if not isfinite(number):
        raise ValueError(cell)
    return number


def written(rows: Iterable[Mapping[str, str]], columns: Iterable[str]) -> str:
    """Return a table as CSV with a header."""
    stream = io.StringIO(newline="")
    writer = csv.DictWriter(stream, list(columns), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return stream.getvalue()


def read(text: str, where: str) -> list[tuple[str, dict[str, str]]]:
    """Return the rows of a CSV table, each with its place for an error.

    Raises
    ------
    ReadableError
        The table breaks, or a row is longer or shorter than its header.
    """
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    rows: list[tuple[str, dict[str, str]]] = []
    header: list[str] | None = None
    begins = 1
    try:
        for cells in reader:
            place, begins = f"{where}, line {begins}", reader.line_num + 1
            if not any(cell.strip() for cell in cells):
                continue
            if header is None:
                header = [cell.strip() for cell in cells]
                continue
            if len(cells) != len(header):
                raise ReadableError(
                    place,
                    f"The row has {len(cells)} cells, the header {len(header)}.",
                    "A comma inside a cell needs quotation marks around the cell.",
                )
            rows.append((place, dict(zip(header, cells, strict=True))))
    except csv.Error as error:
        raise ReadableError(
            f"{where}, line {begins}", f"The table breaks here: {error}.", "Export it again as CSV."
        ) from None
    if header is None or len(rows) > _MOST:
        problem = "The table is empty." if header is None else "The table has too many rows."
        raise ReadableError(where, problem, "Export it again as CSV.")
    return rows
