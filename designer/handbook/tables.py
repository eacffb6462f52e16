"""Reading a table: one header, one row per thing, every cell checked against its column."""

import csv
import io
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from designer.errors import ReadableError
from designer.handbook import validation
from designer.vocabulary import UNITS

REPAIR = "Correct it, or install the program again for the tables as shipped."


@dataclass(frozen=True)
class Column:
    """What a column may hold; a column without a unit holds texts.

    Attributes
    ----------
    unit : str or None
    low, high : float [unit]
        Plausible range: a number outside is refused.
    sd, spread, source, evidence
        Default uncertainty and origin of its numbers, see `Parameter`.
    optional : bool
        Whether a cell may be empty.
    choices : tuple of str
        What a text may be; empty for any.
    """

    unit: str | None = None
    low: float = 0.0
    high: float = 0.0
    sd: float = 0.0
    spread: str = ""
    source: str = ""
    evidence: str = ""
    optional: bool = False
    choices: tuple[str, ...] = ()


Columns = dict[str, dict[str, Column]]
"""By table, then by column."""


def toml(path: Path) -> dict[str, Any]:
    """Return the content of a TOML file of the handbook.

    Raises
    ------
    ReadableError
        It is missing, no text, or no TOML.
    """
    try:
        return tomllib.loads(_text(path))
    except tomllib.TOMLDecodeError as error:
        raise ReadableError(path.name, f"This is not valid TOML: {error}.", REPAIR) from None


def columns(path: Path) -> Columns:
    """Return what columns.toml says of every column."""
    found: Columns = {}
    for table, entries in toml(path).items():
        found[table] = {}
        for name, entry in entries.items():
            try:
                found[table][name] = _column(entry)
            except ValueError as error:
                raise ReadableError(f"{path.name}, [{table}.{name}]", str(error), REPAIR) from None
    return found


def _column(entry: Any) -> Column:
    """Return one column, or raise ValueError with a sentence."""
    stated = {**entry, "choices": tuple(entry.get("choices", ()))}
    column = validation.made(Column, stated)
    if column.unit is not None and column.unit not in UNITS:
        raise ValueError(f'The unit "{column.unit}" is not known.')
    return column


@dataclass(frozen=True)
class Table:
    """A table as read, cells still texts.

    Attributes
    ----------
    file : str
    cells : mapping of column to texts
    lines : line of the file on which each row ends
    columns : what each column may hold
    """

    file: str
    cells: Mapping[str, Sequence[str]]
    lines: list[int]
    columns: Mapping[str, Column]
    key: str = "name"

    def texts(self, name: str) -> Sequence[str]:
        """Return a column of texts, checked."""
        column, cells = self.columns.get(name, Column()), self._cells(name)
        if not column.optional and not all(cells):
            self._fail(list(map(bool, cells)).index(False), name, "The cell is empty.")
        if column.choices:
            allowed = (*column.choices, "") if column.optional else column.choices
            from pydantic import ValidationError

            try:
                validation.check_choices(cells, allowed)
            except ValidationError as error:
                row, _ = validation.place(error)
                told = ", ".join(column.choices)
                self._fail(row, name, f'"{cells[row]}" is not one of {told}.')
        return cells

    def numbers(self, name: str) -> list[float]:
        """Return a column of numbers in SI, checked; every cell is filled."""
        values = self.optional_numbers(name)
        if None in values:
            self._fail(values.index(None), name, "The cell is empty; it needs a number.")
        return [value for value in values if value is not None]

    def optional_numbers(self, name: str) -> list[float | None]:
        """Return a column of numbers in SI, checked, None for an empty cell."""
        column = self.columns.get(name, Column())
        if column.unit is None:
            raise ReadableError(
                f"columns.toml, column {name} of {self.file}", "Its unit is missing.", REPAIR
            )
        cells = self._cells(name)
        _, factor, offset = UNITS[column.unit]
        filled = [row for row, cell in enumerate(cells) if cell]
        if len(filled) < len(cells) and not column.optional:
            empty = next(row for row, cell in enumerate(cells) if not cell)
            self._fail(empty, name, "The cell is empty; it needs a number.")
        from pydantic import ValidationError

        try:
            found = validation.numbers([cells[row] for row in filled], column.low, column.high)
        except ValidationError as error:
            place, kind = validation.place(error)
            self._fail(filled[place], name, _number_fault(cells[filled[place]], kind, column))
        values: list[float | None] = [None] * len(cells)
        for row, number in zip(filled, found, strict=True):
            values[row] = number * factor + offset
        return values

    def check_unique(self, *names: str) -> None:
        """Raise when two rows agree in these columns, case and spaces apart."""
        seen: dict[tuple[str, ...], int] = {}
        for row, cells in enumerate(zip(*(self._cells(name) for name in names), strict=True)):
            key = tuple(plain(cell) for cell in cells)
            if key in seen:
                first = self.lines[seen[key]]
                self._fail(row, names[-1], f"The same stands in line {first} already.")
            seen[key] = row

    def _cells(self, name: str) -> Sequence[str]:
        if name not in self.cells:
            raise ReadableError(
                self.file, f'The column "{name}" is missing.', f"Add it to the header. {REPAIR}"
            )
        return self.cells[name]

    def _fail(self, row: int, column: str, problem: str) -> NoReturn:
        raise ReadableError(self.where(row, column), problem, REPAIR)

    def where(self, row: int, column: str) -> str:
        """Return table, line, name and column of a cell, for an error."""
        cells = self.cells.get(self.key)
        named = f' ("{cells[row]}")' if cells else ""
        return f'{self.file}, line {self.lines[row]}{named}, column "{column}"'


def _number_fault(cell: str, kind: str, column: Column) -> str:
    """Return what is wrong with a cell that should hold a number."""
    if kind == "float_parsing":
        return f'"{cell}" is not a number.'
    return f"{cell} is not plausible: {column.low:g} to {column.high:g} {column.unit} is."


def plain(text: str) -> str:
    """Return a name without case and superfluous spaces, as names are compared."""
    return " ".join(text.casefold().split())


def read(path: Path, columns: dict[str, Column], key: str = "name") -> Table:
    """Return the table in a CSV file.

    Raises
    ------
    ReadableError
        The file is missing, no text, empty, or a row is longer or shorter than the header.
    """
    reader = csv.reader(io.StringIO(_text(path), newline=""), strict=True)
    rows, ends = [], []
    try:
        for row in reader:
            if row:
                rows.append([cell.strip() for cell in row])
                ends.append(reader.line_num)
    except csv.Error as error:
        raise ReadableError(f"{path.name}, line {reader.line_num}", f"{error}.", REPAIR) from None
    if len(rows) < 2:
        raise ReadableError(path.name, "The table has no rows.", REPAIR)
    header = rows[0]
    for row, line in zip(rows, ends, strict=True):
        if len(row) != len(header):
            raise ReadableError(
                f"{path.name}, line {line}",
                f"The row has {len(row)} cells, the header {len(header)}.",
                "A comma inside a cell needs quotation marks around the cell.",
            )
    cells = dict(zip(header, map(list, zip(*rows[1:], strict=True)), strict=True))
    return Table(path.name, cells, ends[1:], columns, key)


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise ReadableError(
            path.name,
            f"The table cannot be read from {path.parent}: {error.strerror}.",
            "Install the program again.",
        ) from None
    except UnicodeDecodeError:
        raise ReadableError(
            path.name, "The file is not UTF-8 text.", "Save it as CSV in UTF-8."
        ) from None
