"""Rows as text: what copy gives, and what paste takes, also from a spreadsheet. No widgets."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from designer.errors import ReadableError
from designer.quantities import Fill, read_percent
from designer.recipe import Percents, Recipe, Row, file
from designer.recipe.checks import CellError
from designer.recipe.reader import parse
from designer.recipe.values import MOST_ROWS
from designer.vocabulary import PHASES
from designer.window.recipe.table.edits import CLASS_IN_PHASE
from designer.window.recipe.table.ingredients import any_phase, is_known, usual_phase

if TYPE_CHECKING:
    from designer.handbook import Handbook

__all__ = ["FORMAT", "file_of", "is_figure", "rows_in", "rows_of", "text_of", "with_rows"]

FORMAT = "application/x-bar-dough-rows"
"""Beside the text, rows are copied as a recipe file with what text has no column for."""

_LONGEST = 200_000
_TITLE = "Pasted rows"
_AMOUNT = r"[+-]?\.?\d[\d.,]*(?:\s*(?:%|g|kg|oz|lb))?|q\.?\s?s\.?"
_LOOSE = re.compile(rf"(.*?\S)[\s,:]+({_AMOUNT})", re.IGNORECASE)
# Whatever begins like a figure: what is wrong with it is told when it is read.
_FIGURE = re.compile(
    r"\s*(?:[+-]?[\d.,]+\s*(?:%|[^\W\d_]*)|q\.?\s?s\.?|[+-]?(?:nan|inf)\w*)\s*", re.IGNORECASE
)
_HEADS = {
    "phase": "phase",
    "name": "name",
    "common name": "name",
    "common_name": "name",
    "ingredient": "name",
    "inci": "inci",
    "inci name": "inci",
    "inci_name": "inci",
    "percent": "figure",
    "%": "figure",
    "amount": "figure",
    "g": "g",
    "grams": "g",
    "kg": "kg",
    "oz": "oz",
}
"""Words of a header, and what the column holds."""


class _Line(NamedTuple):
    """One line: its number, its phase if stated, its names, its figures by variant."""

    number: int
    phase: str
    name: str
    inci: str
    figures: dict[str, str]


def text_of(recipe: Recipe, indices: Sequence[int]) -> str:
    """Return rows as text with tabs: phase, name, INCI name, a figure for each variant."""
    lines = ["\t".join(("phase", "name", "INCI", *recipe.numbers))]
    for index in indices:
        row = recipe.rows[index]
        cells = [_written(row.percents.get(number)) for number in recipe.numbers]
        lines.append("\t".join((row.phase, row.name, row.inci or "", *cells)))
    return "\n".join(lines) + "\n"


def file_of(recipe: Recipe, indices: Sequence[int]) -> str:
    """Return rows as a recipe file that holds them alone: with holds, stand-ins and notes."""
    rows = tuple(replace(recipe.rows[index], origin=None) for index in indices)
    alone = Recipe(variants=recipe.variants, rows=rows)
    return file.text(alone)


def rows_in(content: str, recipe: Recipe) -> list[Row]:
    """Return the rows of a text from `file_of`, as they can stand in a recipe.

    Raises
    ------
    ReadableError
        They have figures for a variant that the recipe does not have, or the text is damaged.
    """
    known, found = set(recipe.numbers), []
    for row in parse(content, _TITLE).rows:
        if strange := sorted(set(row.percents) - known):
            raise _no_variant(strange[0])
        swaps = tuple(one for one in row.swaps if not one.variant or one.variant in known)
        found.append(replace(row, held=row.held & known, swaps=swaps, origin=None))
    return found


def is_figure(text: str) -> bool:
    """Return whether a text is meant for one cell."""
    return len(text) < _LONGEST and _FIGURE.fullmatch(text) is not None


def rows_of(
    text: str, recipe: Recipe, handbook: Handbook, number: str, phase: str | None
) -> list[Row]:
    """Return the rows a text holds.

    Parameters
    ----------
    text : str
        As `text_of` gives them, or a name and a figure on each line, parted by a tab, a semicolon
        or spaces; with or without a header; lines that name a phase alone begin it.
    recipe : Recipe
        Its variants and its batch, which typed masses are a share of.
    number : str
        The variant that a single figure on a line is meant for.
    phase : str or None
        Where ingredients unknown to the handbook go that state no phase.

    Raises
    ------
    ReadableError
        A line cannot be used; it names the line.
    """
    if not text.strip():
        raise ReadableError(_TITLE, "Nothing is copied.", "Copy rows first.")
    if len(text) > _LONGEST or len(text.splitlines()) > 2 * MOST_ROWS:
        raise ReadableError(_TITLE, "This is too much text.", f"Keep to {MOST_ROWS} rows.")
    lines = _lines(text, recipe, number)
    if not lines:
        raise ReadableError(
            _TITLE, "There is no ingredient in it.", "Copy lines of a name and a figure."
        )
    return [_row(line, recipe, handbook, phase) for line in lines]


def with_rows(recipe: Recipe, rows: Sequence[Row], index: int | None) -> tuple[Recipe, int]:
    """Return the recipe with rows put in below row `index`, and where the first one stands.

    A row goes to the end of its phase where that is another one than that of row `index`.

    Raises
    ------
    ReadableError
        There are too many rows, or two of one variant are q.s.
    """
    made = list(recipe.rows)
    anchor = index
    here = made[index].phase if index is not None else ""
    for phase in PHASES:
        group = [replace(row, origin=None) for row in rows if row.phase == phase]
        if rows[0].phase == phase:
            first = group[0]
        if phase == here and anchor is not None:
            at = anchor + 1
        else:
            order = PHASES.index(phase)
            at = max(
                (n + 1 for n, row in enumerate(made) if row.phase == phase),
                default=max(
                    (n + 1 for n, row in enumerate(made) if PHASES.index(row.phase) < order),
                    default=0,
                ),
            )
        made[at:at] = group
        if anchor is not None and at <= anchor:
            anchor += len(group)
    after = replace(recipe, rows=tuple(made))
    return after, next(n for n, row in enumerate(made) if row is first)


def _written(cell: float | Fill | None) -> str:
    if cell is None:
        return ""
    return cell.value if isinstance(cell, Fill) else f"{cell:.12g}"


def _lines(text: str, recipe: Recipe, number: str) -> list[_Line]:
    """Return the lines that hold an ingredient."""
    text = text.removeprefix("\ufeff")
    mark = "\t" if "\t" in text else ";" if ";" in text else ""
    columns: list[str] | None = None
    phase = ""
    found: list[_Line] = []
    for at, raw in enumerate(text.splitlines(), start=1):
        cells = [" ".join(cell.split()).strip('"') for cell in _cells(raw, mark)]
        if not any(cells):
            continue
        if columns is None and not found and _is_header(cells):
            columns = _columns(cells, recipe, number)
            continue
        words = [cell for cell in cells if cell]
        if (
            words[0].casefold() in PHASES
            and (len(words) == 1 or columns is None)
            and not any(not _FIGURE.fullmatch(word) for word in words[1:])
        ):
            phase = words[0].casefold()  # a group head, perhaps with its subtotal
            continue
        if words[0].casefold() in ("total", "sum"):
            continue
        line = (
            _by_columns(at, cells, columns)
            if columns is not None
            else _by_looks(at, cells, recipe, number)
        )
        found.append(line._replace(phase=line.phase or phase))
        if len(found) > MOST_ROWS:
            raise ReadableError(_TITLE, "These are too many rows.", f"Keep to {MOST_ROWS} rows.")
    return found


def _cells(raw: str, mark: str) -> list[str]:
    """Return the cells of a line; without tabs and semicolons a figure ends it."""
    if mark:
        return raw.split(mark)
    loose = _LOOSE.fullmatch(raw.strip()[:400])
    return [loose[1].rstrip(",:"), loose[2]] if loose else [raw]


def _is_header(cells: Sequence[str]) -> bool:
    known = [cell.casefold() in _HEADS for cell in cells if cell]
    numbers = [cell.isdigit() for cell in cells if cell]
    names = any(_HEADS.get(cell.casefold()) in ("name", "inci", "phase") for cell in cells)
    return names and all(a or b for a, b in zip(known, numbers, strict=True))


def _columns(cells: Sequence[str], recipe: Recipe, number: str) -> list[str]:
    """Return what each column holds: "name", ..., the number of a variant, "g" with its unit."""
    columns = [_HEADS.get(cell.casefold(), cell) for cell in cells]
    for column in columns:
        if column.isdigit() and column not in recipe.numbers:
            raise _no_variant(column)
    if "name" not in columns and "inci" not in columns:
        raise ReadableError(_TITLE, "No column holds the names.", "Call one of them name.")
    return [number if column == "figure" else column for column in columns]


def _by_columns(at: int, cells: Sequence[str], columns: Sequence[str]) -> _Line:
    """Return a line under a header."""
    if any(cells[len(columns) :]):
        raise ReadableError(
            _place(at), "It has more cells than the header.", "Give each column a head."
        )
    text = {"phase": "", "name": "", "inci": ""}
    figures: dict[str, str] = {}
    for column, cell in zip(columns, cells, strict=False):
        if column in text:
            text[column] = cell
        elif cell and column in ("g", "kg", "oz"):
            figures[""] = f"{cell} {column}"
        elif cell:
            figures[column] = cell
    return _Line(at, text["phase"].casefold(), text["name"], text["inci"], figures)


def _by_looks(at: int, cells: Sequence[str], recipe: Recipe, number: str) -> _Line:
    """Return a line without a header: a phase if it begins with one, names, then figures."""
    words = list(cells)
    phase = words.pop(0).casefold() if words[0].casefold() in PHASES else ""
    names: list[str] = []
    while words and len(names) < 2 and (not names or not _FIGURE.fullmatch(words[0])):
        names.append(words.pop(0))
    while words and not words[-1]:
        words.pop()
    if len(words) <= 1:
        figures = {number: words[0]} if words and words[0] else {}
    elif len(words) == len(recipe.numbers):
        figures = {one: cell for one, cell in zip(recipe.numbers, words, strict=True) if cell}
    else:
        raise ReadableError(
            _place(at),
            f"It has {len(words)} figures, the recipe has {len(recipe.numbers)} variants.",
            "Copy one figure for each line, or one for each variant.",
        )
    return _Line(at, phase, names[0], names[1] if len(names) > 1 else "", figures)


def _row(line: _Line, recipe: Recipe, handbook: Handbook, phase: str | None) -> Row:
    """Return the row of a line."""
    place = _place(line.number)
    for cell in (line.name, line.inci, *line.figures.values()):
        if cell.startswith(("=", "@")):
            raise ReadableError(
                place, f"{cell[:40]} is a formula, not a value.", "Copy the cells as values."
            )
    found = next(
        (one for name in (line.name, line.inci) if name and (one := any_phase(handbook, name))),
        None,
    )
    used = line.phase or (usual_phase(found) if found else phase or "powder")
    name = line.name or (found.name if found else line.inci)
    inci = line.inci or (found.inci if found else "") or None
    try:
        figures = {
            number or recipe.active.number: _figure(text, recipe, place)
            for number, text in line.figures.items()
        }
        row = Row(used, name, Percents(figures), inci)
    except CellError as error:
        raise ReadableError(f"{place}, {error.key}", error.problem, error.advice) from None
    if not is_known(handbook, row.name, row.phase, row.inci):
        row = Row(used, name, Percents(figures), inci, given_class=CLASS_IN_PHASE[used])
    return row


def _figure(text: str, recipe: Recipe, place: str) -> float | Fill:
    try:
        return read_percent(text, recipe.bench.batch_mass)
    except ReadableError as error:
        raise ReadableError(place, error.problem, error.advice) from None


def _no_variant(number: str) -> ReadableError:
    return ReadableError(
        _TITLE,
        f"They have figures for variant {number[:20]}, which this recipe does not have.",
        "Copy a variant first, so that there are as many.",
    )


def _place(line: int) -> str:
    return f"{_TITLE}, line {line}"
