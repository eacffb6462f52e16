"""The table as a model: what stands in each cell, in words too. It keeps no figures of its own."""

from typing import Any, NamedTuple

import numpy as np
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt

from designer.document import Document
from designer.quantities import QS, Fill
from designer.recipe import Recipe, Row
from designer.vocabulary import PHASES
from designer.window import figures
from designer.window.recipe.table.amounts import Shown, shown_amounts
from designer.window.recipe.table.ingredients import is_known
from designer.window.recipe.table.lines import (
    HEAD,
    NEW,
    ROW,
    TOTAL,
    Line,
    NewRow,
    Place,
    lines_of,
    same_rows,
)

__all__ = ["FIRST", "NAME", "TAG", "UNKNOWN", "Figure", "TableModel"]

NAME, TAG, FIRST = 0, 1, 2
"""Columns; variants begin at `FIRST`, grams stand last."""

UNKNOWN = "?"
NO_FIGURE = figures.EN_DASH

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
_SAME = 1e-6
"""Percentages nearer than this are one: the noise of a sum."""


class Figure(NamedTuple):
    """How a percentage is shown.

    Attributes
    ----------
    text : str
        "" is a dot: the same as in the active variant.
    wedge : int
        1 or -1: more or less than in the active variant, or than 100.
    """

    text: str
    bold: bool = False
    weak: bool = False
    wedge: int = 0
    fills: bool = False


class TableModel(QAbstractTableModel):
    """The lines of the document's recipe.

    Attributes
    ----------
    lines : tuple of Line
    identities : list of int
        Of the rows of the recipe; a row keeps its own through every change.
    amounts : Shown
    refused : dict of Place to text
        Typed texts that were not taken, to be mended.
    """

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.recipe = document.recipe
        self.identities = list(range(len(self.recipe.rows)))
        self._fresh = len(self.identities)
        self.new: NewRow | None = None
        self.lines = lines_of(self.recipe)
        self.amounts = shown_amounts(self.recipe)
        self.refused: dict[Place, str] = {}

    # --- following the document

    def take(self, recipe: Recipe) -> bool:
        """Show another recipe; return whether lines or columns are no longer the same."""
        before, old = self.amounts, self.recipe
        alike = len(old.rows) == len(recipe.rows) and all(
            a is b or (a.phase == b.phase and a.name == b.name)
            for a, b in zip(old.rows, recipe.rows, strict=True)
        )
        identities, lines = self.identities, self.lines
        if not alike:
            identities = same_rows(old.rows, self.identities, recipe.rows, self._fresh)
            self._fresh = max((self._fresh, *(one + 1 for one in identities)))
            if self.new is not None and self.new.after >= len(recipe.rows):
                self.new = NewRow(self.new.phase, -1)
            lines = lines_of(recipe, self.new)
        amounts = shown_amounts(recipe)
        anew = lines != self.lines or old.numbers != recipe.numbers
        if anew:
            self.beginResetModel()
        self._forget_mended(old, recipe, identities)
        self.recipe, self.identities = recipe, identities
        self.lines, self.amounts = lines, amounts
        if anew:
            self.endResetModel()
        else:
            self._tell_changes(old, before)
        return anew

    def start_new(self, new: NewRow | None) -> None:
        """Make room for a row whose name is being typed, or close it again."""
        if new == self.new:
            return
        self.beginResetModel()
        self.new = new
        self.lines = lines_of(self.recipe, new)
        self.endResetModel()

    def _forget_mended(self, old: Recipe, recipe: Recipe, identities: list[int]) -> None:
        """Forget refused texts of cells that are gone or have another figure now."""
        if not self.refused:
            return
        was = dict(zip(self.identities, old.rows, strict=True))
        now = dict(zip(identities, recipe.rows, strict=True))
        for place in list(self.refused):
            identity, number = place
            gone = identity not in now or number not in recipe.numbers
            if gone or was[identity].percents.get(number) != now[identity].percents.get(number):
                del self.refused[place]

    def _tell_changes(self, old: Recipe, before: Shown) -> None:
        """Announce the cells that show something else than before."""
        recipe, amounts = self.recipe, self.amounts
        last, bottom = self.grams_column, len(self.lines) - 1
        if old.variants != recipe.variants or before.decimals != amounts.decimals:
            self.dataChanged.emit(self.index(0, NAME), self.index(bottom, last))
            return
        active = recipe.numbers.index(recipe.active.number)
        other = before.percents != amounts.percents
        rows = other.any(axis=0)
        subtotals = (before.subtotals != amounts.subtotals).any(axis=0)
        for number, line in enumerate(self.lines):
            if line.kind == ROW:
                same = recipe.rows[line.row] is old.rows[line.row]
                if not same or other[active, line.row]:
                    self._changed(number, NAME, last - 1)
                elif rows[line.row]:
                    found = np.flatnonzero(other[:, line.row])
                    self._changed(number, FIRST + int(found[0]), FIRST + int(found[-1]))
            elif line.kind == HEAD:
                if subtotals[PHASES.index(line.phase)]:
                    self._changed(number, FIRST, last - 1)
                if line.phase == "melt" and old.bench.bath != recipe.bench.bath:
                    self._changed(number, NAME, NAME)
            elif (before.totals != amounts.totals).any():
                self._changed(number, NAME, last - 1)
        grams = self._other_grams(before)
        if len(grams) > 8:
            self.dataChanged.emit(self.index(0, last), self.index(bottom, last))
            return
        for number in grams:
            self._changed(number, last, last)

    def _other_grams(self, before: Shown) -> list[int]:
        """Return the lines whose grams are others than before."""
        amounts = self.amounts
        rows = (before.grams != amounts.grams).tolist()
        heads = (before.subtotal_grams != amounts.subtotal_grams).tolist()
        total = before.total_grams != amounts.total_grams
        return [
            number
            for number, line in enumerate(self.lines)
            if (line.kind == ROW and rows[line.row])
            or (line.kind == HEAD and heads[PHASES.index(line.phase)])
            or (line.kind == TOTAL and total)
        ]

    def _changed(self, line: int, first: int, last: int) -> None:
        self.dataChanged.emit(self.index(line, first), self.index(line, last))

    # --- places

    @property
    def grams_column(self) -> int:
        """The column of grams."""
        return FIRST + len(self.recipe.variants)

    def number_at(self, column: int) -> str:
        """Return the number of the variant in a column, "" for the others."""
        at = column - FIRST
        return self.recipe.numbers[at] if 0 <= at < len(self.recipe.variants) else ""

    def column_of(self, number: str) -> int:
        """Return the column of a variant; that of names for ""."""
        return FIRST + self.recipe.numbers.index(number) if number else NAME

    def place_of(self, index: _Index) -> Place | None:
        """Return the place of a cell, None where no figure or name stands."""
        if not index.isValid() or self.lines[index.row()].kind != ROW:
            return None
        return self.identities[self.lines[index.row()].row], self.number_at(index.column())

    def row_of(self, place: Place) -> int | None:
        """Return the index of the row of a place in the recipe, None if it is gone."""
        return self.identities.index(place[0]) if place[0] in self.identities else None

    def index_of(self, place: Place) -> QModelIndex:
        """Return the cell of a place, an invalid one if it is gone."""
        row = self.row_of(place)
        if row is None or (place[1] and place[1] not in self.recipe.numbers):
            return QModelIndex()
        line = next(n for n, line in enumerate(self.lines) if line.row == row)
        return self.index(line, self.column_of(place[1]))

    def row_lines(self) -> list[int]:
        """Return the lines that hold an ingredient."""
        return [number for number, line in enumerate(self.lines) if line.kind == ROW]

    # --- what stands there

    def tags(self, row: int, number: str) -> str:
        """Return the tags of a row for a variant: "?", "q.s.", "held", "swap" for allowed ones."""
        entry = self.recipe.rows[row]
        found = [] if self.is_known(entry) else [UNKNOWN]
        if entry.percents.get(number) is QS:
            found.append(QS.value)
        if number in entry.held:
            found.append("held")
        if any(one.variant in ("", number) for one in entry.swaps):
            found.append("swap")
        return " ".join(found)

    def is_known(self, row: Row) -> bool:
        """Return whether the handbook has a row."""
        if not self._document.is_equipped:
            return True  # nothing is said of it before it can be looked up
        return is_known(self._document.handbook, row.name, row.phase, row.inci)

    def figure(self, line: Line, variant: int) -> Figure:
        """Return how the percentage of a line is shown in the column of a variant."""
        active = self.recipe.variants[variant].active
        if line.kind == ROW:
            return self._row_figure(line.row, variant, active)
        if line.kind == HEAD:
            subtotal = self.amounts.subtotals[variant, PHASES.index(line.phase)]
            return Figure(f"{subtotal:.2f}", bold=True, weak=not active)
        if line.kind == TOTAL:
            total = self.amounts.totals[variant]
            off = 0 if self.amounts.is_whole(variant) else (1 if total > 100 else -1)
            return Figure(f"{total:.2f}", bold=True, wedge=off)
        return Figure(NO_FIGURE, weak=True)

    def _row_figure(self, row: int, variant: int, active: bool) -> Figure:
        percents, recipe = self.recipe.rows[row].percents, self.recipe
        cell = percents.get(recipe.numbers[variant])
        here = self.amounts.percents[variant, row]
        text = NO_FIGURE if cell is None else f"{here:.2f}"
        fills = cell is QS
        if active:
            return Figure(text, weak=cell is None)
        used = recipe.active.number
        in_use = self.amounts.percents[recipe.numbers.index(used), row]
        both = (cell is None) == (percents.get(used) is None)
        fills = fills and percents.get(used) is not QS
        if both and abs(here - in_use) < _SAME:
            return Figure("", weak=True, fills=fills)
        shown_alike = text == f"{in_use:.2f}" or abs(here - in_use) < _SAME
        if shown_alike:
            return Figure(text, weak=cell is None, fills=fills)
        return Figure(text, bold=True, wedge=1 if here > in_use else -1, fills=fills)

    def grams_text(self, line: Line) -> str:
        """Return the grams of a line in the active variant."""
        amounts = self.amounts
        if line.kind == NEW or not amounts.total_grams:
            return ""
        if line.kind == ROW:
            used = self.recipe.active.number
            if self.recipe.rows[line.row].percents.get(used) is None:
                return ""
            return amounts.grams_text(amounts.grams[line.row])
        if line.kind == HEAD:
            return amounts.grams_text(amounts.subtotal_grams[PHASES.index(line.phase)])
        return amounts.grams_text(amounts.total_grams)

    def note(self, phase: str) -> str:
        """Return the short note of a phase."""
        if phase != "melt":
            return {
                "powder": "sieved and dry-blended",
                "liquid": "at room temperature",
                "last": "scent and preservative",
            }[phase]
        pour = figures.joined(self.recipe.bench.bath, "bath").split(figures.NARROW)[0]
        if not self._document.is_equipped:
            return f"pour at {pour}"
        least = self._document.handbook.parameters["bath_least"].si
        return f"bath at least {figures.joined(least, 'bath')}, pour at {pour}"

    def off_hundred(self, variant: int) -> str:
        """Return in words what a total has too much or too little, "" for none."""
        amounts = self.amounts
        if not self.recipe.rows or amounts.is_whole(variant):
            return ""
        if amounts.is_empty(variant):
            return "no figures yet"
        off = amounts.totals[variant] - 100
        return f"{abs(off):.2f} {'too much' if off > 0 else 'missing'}"

    def spoken(self, line: Line, column: int) -> str:
        """Return a cell in words, for a screen reader."""
        row = self.recipe.rows[line.row] if line.kind == ROW else None
        what = row.name if row else {NEW: "new ingredient", TOTAL: "total"}.get(line.kind, "")
        what = what or line.phase
        number = self.number_at(column)
        if number:
            return ", ".join((what, f"variant {number}", *self._spoken_figure(line, number)))
        if column == self.grams_column:
            grams = self.grams_text(line)
            return f"{what}, {grams} grams" if grams else f"{what}, no grams"
        if row is None:
            return f"{what}, {self.note(line.phase)}" if line.kind == HEAD else what
        told = [row.phase, *([row.inci] if row.inci else [])]
        told += [] if self.is_known(row) else [self.unknown_words(row)]
        return ", ".join((what, *told))

    def _spoken_figure(self, line: Line, number: str) -> list[str]:
        variant = self.recipe.numbers.index(number)
        if line.kind == HEAD:
            return [f"{self.amounts.subtotals[variant, PHASES.index(line.phase)]:.2f} percent"]
        if line.kind == TOTAL:
            off = self.off_hundred(variant)
            return [f"{self.amounts.totals[variant]:.2f} percent", *([off] if off else [])]
        if line.kind == NEW:
            return ["no figure"]
        place = self.identities[line.row], number
        if place in self.refused:
            return [f"not taken: {self.refused[place][:60]}"]
        row = self.recipe.rows[line.row]
        cell = row.percents.get(number)
        if cell is None:
            return ["no figure"]
        told = [f"{self.amounts.percents[variant, line.row]:.2f} percent"]
        told += ["fills up"] if isinstance(cell, Fill) else []
        return [*told, *(["held"] if number in row.held else [])]

    def unknown_words(self, row: Row) -> str:
        """Return what it means that the tables do not have a row."""
        if row.given_class is None:
            return "not in the tables, and its class is not stated"
        return f"not in the tables: taken as a middling {row.given_class}"

    def tip(self, line: Line, column: int) -> str:
        """Return what a pointer at rest is told, as plain text."""
        if line.kind != ROW:
            number = self.number_at(column)
            off = number and line.kind == TOTAL
            return self.off_hundred(self.recipe.numbers.index(number)) if off else ""
        row = self.recipe.rows[line.row]
        if column in (NAME, TAG):
            told = [row.name, row.inci or "", row.note]
            told += [] if self.is_known(row) else [self.unknown_words(row)]
            told += _swap_words(row)
            return "\n".join(one for one in told if one)
        return self.spoken(line, column)

    # --- as Qt asks

    def rowCount(self, parent: _Index = _NOWHERE) -> int:  # noqa: N802
        """Return the number of lines."""
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:  # noqa: N802
        """Return the number of columns."""
        return 0 if parent.isValid() else FIRST + len(self.recipe.variants) + 1

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Return the text of a cell, as shown or in words."""
        if not index.isValid():
            return None
        line, column = self.lines[index.row()], index.column()
        if role == Qt.ItemDataRole.DisplayRole:
            return self._text(line, column)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return self.spoken(line, column)
        if role == Qt.ItemDataRole.ToolTipRole:
            # Plain text: a name is not to be taken for markup.
            return _plain_tip(self.tip(line, column))
        return None

    def _text(self, line: Line, column: int) -> str:
        number = self.number_at(column)
        if number:
            if line.kind == ROW and (self.identities[line.row], number) in self.refused:
                return self.refused[self.identities[line.row], number]
            return self.figure(line, self.recipe.numbers.index(number)).text or "·"
        if column == self.grams_column:
            return self.grams_text(line)
        if column == TAG:
            return self.tags(line.row, self.recipe.active.number) if line.kind == ROW else ""
        if line.kind == ROW:
            return self.recipe.rows[line.row].name
        return {NEW: "", TOTAL: "Total"}.get(line.kind) or line.phase.capitalize()

    def headerData(  # noqa: N802
        self,
        section: int,
        orientation: Qt.Orientation,
        role: int = Qt.ItemDataRole.DisplayRole,
    ) -> Any:
        """Return the head of a column."""
        if orientation != Qt.Orientation.Horizontal:
            return None
        number = self.number_at(section)
        spoken = role == Qt.ItemDataRole.AccessibleTextRole
        if number:
            variant = self.recipe.variant(number)
            if role == Qt.ItemDataRole.ToolTipRole:
                return _plain_tip(f"{number} {variant.title}".strip())
            told = f"variant {number}{f', {variant.title}' if variant.title else ''}"
            shown = f"{told}, in use" if variant.active else told
            return shown if spoken else number if role == Qt.ItemDataRole.DisplayRole else None
        if role not in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return None
        heads = {NAME: "Recipe", TAG: "percent" if spoken else "%"}
        return heads.get(section, "grams" if spoken else "g")

    def flags(self, index: _Index) -> Qt.ItemFlag:
        """Return what can be done with a cell: lines that are no rows can only be read."""
        if index.isValid() and self.lines[index.row()].kind == ROW:
            return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return Qt.ItemFlag.ItemIsEnabled


def _plain_tip(text: str) -> str:
    """Return a tooltip that Qt does not take for markup and breaks into lines."""
    from html import escape

    return f"<p>{escape(text).replace(chr(10), '<br>')}</p>" if text else ""


def _swap_words(row: Row) -> list[str]:
    """Return the swaps that the maker allows for a row, one a line."""
    if not row.swaps:
        return []
    # Only a pointer at rest asks for it, and it needs the handbook.
    from designer.wording.swap_lines import kept_as_words

    return [f"or {one.name} {one.percent:.2f} %: {kept_as_words(one)}" for one in row.swaps]
