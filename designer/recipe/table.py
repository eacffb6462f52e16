"""A recipe from a table of comma-separated values, as a spreadsheet saves it."""

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from designer.errors import ReadableError
from designer.quantities import Fill, read, read_percent
from designer.recipe.checks import CellError
from designer.recipe.file import PhaseOf
from designer.recipe.values import MOST_ROWS, Bench, Recipe, Row

__all__ = ["parse_csv"]

COLUMNS = ("inci_name", "percent", "common_name", "phase", "held", "class")
REQUIRED = ("inci_name", "percent")

_OTHER_NAMES = {"inci": "inci_name", "name": "common_name", "%": "percent"}
_HELD = {"": False, "no": False, "false": False, "0": False}
_HELD |= {"yes": True, "true": True, "1": True, "x": True, "held": True}


class _Line(NamedTuple):
    """One ingredient: the line of the file and its cells by column."""

    number: int
    cells: dict[str, str]


def parse_csv(text: str, where: str, phase_of: PhaseOf | None = None) -> Recipe:
    """Return the recipe a table holds, one ingredient a line.

    Parameters
    ----------
    text : str
        Columns `inci_name` and `percent`, and optionally `common_name`, `phase`, `held` and
        `class`, in any order, under a header; others are left out. Parted by commas, semicolons
        (then a comma in a number is a decimal comma) or tabs.
    where : str
        What the errors call it, usually the file's name.
    phase_of : callable, optional
        Asked for the phase of a name where the table has none.

    Returns
    -------
    Recipe of one variant, named after the file. Where all amounts are masses, their sum is the
    batch.

    Raises
    ------
    ReadableError
        A column is missing or a cell cannot be read; it names line and column.
    """
    text = text.removeprefix("\ufeff")
    if not text.strip():
        raise ReadableError(where, "The file is empty.", _shape())
    delimiter = _delimiter(text)
    columns, lines = _table(text, where, delimiter)
    if delimiter == ";":
        lines = [_with_points(line) for line in lines]
    batch, amounts = _amounts(lines, where)
    rows: list[Row] = []
    for line, amount in zip(lines, amounts, strict=True):
        rows.append(_row(line, amount, where, phase_of))
    try:
        return Recipe(
            name=Path(where).stem[:100],
            bench=Bench(batch=batch),
            rows=tuple(rows),
            unknown=tuple(f"column {column[:40]}" for column in columns if column not in COLUMNS),
        )
    except CellError as error:
        place = f"{where}, {error.key}"
        if error.row is not None:
            place = _place(where, lines[error.row], error.key)
        raise ReadableError(place, error.problem, error.advice) from None


# A letter after a figure is a unit, but for the exponent of 1e6.
_WITH_UNIT = re.compile(r"\d\s*(?![eE][+-]?\d)[^\W\d_]")


def _delimiter(text: str) -> str:
    """Return what parts the cells: whichever of the three the header holds most of."""
    header = next(line for line in text.splitlines() if line.strip())
    return max(",;\t", key=header.count)


def _table(text: str, where: str, delimiter: str) -> tuple[list[str], list[_Line]]:
    """Return the columns and the lines that hold anything."""
    columns: list[str] | None = None
    lines: list[_Line] = []
    for number, cells in _records(text, where, delimiter):
        if columns is None:
            columns = _columns(cells, f"{where}, line {number}")
        elif len(cells) > len(columns) and any(cells[len(columns) :]):
            raise ReadableError(
                f"{where}, line {number}",
                f"The line has {len(cells)} cells, the header has {len(columns)}.",
                "Put a cell that holds the separator in quotation marks.",
            )
        else:
            lines.append(_Line(number, dict(zip(columns, cells, strict=False))))
    if not lines:
        raise ReadableError(where, "There is no ingredient below the header.", _shape())
    if len(lines) > MOST_ROWS:
        raise ReadableError(
            where, f"{len(lines)} ingredients are too many.", f"Keep to {MOST_ROWS}."
        )
    return columns or [], lines


def _records(text: str, where: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Yield the lines that are not empty, with the number each begins on."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    begins = 1
    try:
        for record in reader:
            cells = [" ".join(cell.split()) for cell in record]
            if any(cells):
                _refuse_formulas(cells, f"{where}, line {begins}")
                yield begins, cells
            begins = reader.line_num + 1
    except csv.Error as error:
        raise ReadableError(
            f"{where}, line {begins}",
            f"The table breaks here: {error}.",
            "Look for a quotation mark that is not closed.",
        ) from None


def _refuse_formulas(cells: list[str], place: str) -> None:
    for number, cell in enumerate(cells, start=1):
        if cell.startswith(("=", "@")):
            raise ReadableError(
                f"{place}, cell {number}",
                f"{cell[:40]} is a formula, not a value.",
                "Save the table from the spreadsheet as CSV with values.",
            )


def _columns(cells: list[str], place: str) -> list[str]:
    """Return the columns of the header by our names."""
    words = [re.sub(r"[\s\-]+", "_", cell.lower()) for cell in cells]
    columns = [_OTHER_NAMES.get(word, word) for word in words]
    for column in REQUIRED:
        if column not in columns:
            raise ReadableError(place, f"There is no column {column}.", _shape())
    for column in COLUMNS:
        if columns.count(column) > 1:
            raise ReadableError(place, f"There are two columns {column}.", "Keep one of them.")
    return columns


def _shape() -> str:
    return (
        f"Begin with a header that has {' and '.join(REQUIRED)}, then a line for each ingredient."
    )


def _with_points(line: _Line) -> _Line:
    """Return a line whose figure has a decimal point; beside semicolons a comma is decimal."""
    figure = line.cells.get("percent", "")
    if figure.count(",") == 1 and "." not in figure:
        figure = figure.replace(",", ".")
    return _Line(line.number, {**line.cells, "percent": figure})


def _amounts(lines: list[_Line], where: str) -> tuple[float | None, list[float | Fill]]:
    """Return the batch [kg], None if the figures are percentages, and the percent of each line."""
    weighed = [bool(_WITH_UNIT.search(line.cells.get("percent", ""))) for line in lines]
    if not any(weighed):
        return None, [_read_percent(line, where) for line in lines]
    if not all(weighed):
        odd = lines[weighed.index(False)]
        raise ReadableError(
            _place(where, odd, "percent"),
            "Some amounts are masses and this one is not.",
            "State all of them as masses, or all in percent.",
        )
    masses = [_read_mass(line, where) for line in lines]
    batch = sum(masses)
    if not batch > 0:
        raise ReadableError(where, "All masses are zero.", "Give at least one ingredient a mass.")
    # Four decimals of a percent: below what any scale shows, and pleasant to read in a file.
    return batch, [round(mass / batch * 100, 4) for mass in masses]


def _read_percent(line: _Line, where: str) -> float | Fill:
    try:
        return read_percent(line.cells.get("percent", ""), None)
    except ReadableError as error:
        place = _place(where, line, "percent")
        raise ReadableError(place, error.problem, error.advice) from None


def _read_mass(line: _Line, where: str) -> float:
    try:
        return read(line.cells["percent"], "mass")
    except ReadableError as error:
        place = _place(where, line, "percent")
        raise ReadableError(place, error.problem, error.advice) from None


def _row(line: _Line, amount: float | Fill, where: str, phase_of: PhaseOf | None) -> Row:
    """Return the row of one line."""
    inci, common = line.cells["inci_name"], line.cells.get("common_name", "")
    try:
        return Row(
            phase=_phase(line, where, phase_of),
            name=common or inci,
            percents={"1": amount},
            inci=inci or None,
            given_class=line.cells.get("class", "").lower() or None,
            held=frozenset("1" if _held(line, where) else ""),
        )
    except CellError as error:
        column = "inci_name" if error.key in ("name", "inci") else error.key
        raise ReadableError(_place(where, line, column), error.problem, error.advice) from None


def _phase(line: _Line, where: str, phase_of: PhaseOf | None) -> str:
    """Return the phase stated, or the one in which such an ingredient is usually added."""
    if stated := line.cells.get("phase", "").lower():
        return stated
    names = [name for c in ("common_name", "inci_name") if (name := line.cells.get(c))]
    usual = next((phase for n in names if phase_of and (phase := phase_of(n))), None)
    if names and usual is None:
        raise ReadableError(
            _place(where, line, "phase"),
            f"It is not known in which phase {names[0][:60]} is added.",
            "Add a column phase and write melt, powder, liquid or last there.",
        )
    return usual or "powder"


def _held(line: _Line, where: str) -> bool:
    word = line.cells.get("held", "").lower()
    if word not in _HELD:
        raise ReadableError(
            _place(where, line, "held"), f"{word[:40]} is neither yes nor no.", "Write yes or no."
        )
    return _HELD[word]


def _place(where: str, line: _Line, column: str) -> str:
    return f"{where}, line {line.number}, column {column}"
