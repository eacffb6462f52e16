"""The keys of the table: arrows change figures, others walk, a digit opens the editor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeyEvent

from designer.quantities import QS
from designer.recipe import Recipe
from designer.window.recipe.table import edits
from designer.window.recipe.table.lines import Place
from designer.window.recipe.table.live import LiveFigure
from designer.window.recipe.table.model import FIRST, NAME

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["Keys", "step_of"]

_BURST = 1000
"""Arrow keys nearer than this are one step [ms]."""
_TYPED = "0123456789.,-\N{MINUS SIGN}+"
_AFTER_Q = (".s.", "s.")
_MODIFIERS = (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta)
_SHIFT = Qt.KeyboardModifier.ShiftModifier
_CTRL = Qt.KeyboardModifier.ControlModifier
_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


def step_of(modifiers: Qt.KeyboardModifier) -> float:
    """Return by how many percent a figure moves at once."""
    if modifiers & _SHIFT:
        return 1.0
    return 0.01 if modifiers & _CTRL else 0.1


@dataclass
class _Qs:
    """A Q that may be the beginning of a typed "q.s.".

    Attributes
    ----------
    place : where it was typed
    before, after : the recipe without and with what Q did
    gesture : of the step that Q made
    typed : what followed
    """

    place: Place
    before: Recipe
    after: Recipe
    gesture: int
    typed: str = ""


class Keys:
    """What keys do in the table, where no editor is open."""

    def __init__(self, table: RecipeTable) -> None:
        self._table = table
        self._live: LiveFigure | None = None
        self._qs: _Qs | None = None
        self.pause = QTimer(table, interval=_BURST, singleShot=True)
        self.pause.timeout.connect(self.end_burst)

    def press(self, event: QKeyEvent) -> bool:
        """Do what a key is for; return whether it was for the table."""
        table = self._table
        key = Qt.Key(event.key())
        modifiers = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if key in _MODIFIERS:
            return True
        if key == Qt.Key.Key_Escape:
            return table.pointer.cancel() or self._escape()
        if table.pointer.busy:
            return True
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._arrow(key == Qt.Key.Key_Up, modifiers)
            return True
        self.end_burst()
        table.telling.be_quiet()
        if self._goes_on_with_qs(event, modifiers):
            return True
        return self._walk_by(key, modifiers) or self._type(event, modifiers)

    def worth_knowing(self) -> list[tuple[str, str]]:
        """Return the keys worth knowing where the focus is, and what they do."""
        table = self._table
        if not table.lines.lines:
            return [("Insert", "add an ingredient"), ("Ctrl V", "paste rows")]
        if table.editing.choices is not None:
            return [("↑↓", "choose"), ("Enter", "take"), ("Esc", "leave it as it was")]
        if table.editing.is_open:
            return [("12 g  0.4 oz  q.s.", "typed units"), ("Enter", "take"), ("Esc", "restore")]
        if not table.current_number():
            return [
                ("Enter F3", "change"),
                ("Insert", "add"),
                ("Alt ↑↓", "move"),
                ("S", "swaps"),
                ("Ctrl Delete", "remove"),
                ("Tab", "next"),
            ]
        return [
            ("↑↓", "more or less by 0.1"),
            ("Shift", "1"),
            ("Ctrl", "0.01"),
            ("Enter", "next row"),
            ("12 g  0.4 oz", "typed units"),
            ("Q", "fill up"),
            ("H", "hold"),
            ("S", "swaps"),
            ("Insert", "add"),
            ("Tab", "next"),
        ]

    # --- figures

    def end_burst(self) -> None:
        """Let the next arrow key begin a new undo step."""
        self._live = None
        self.pause.stop()

    def step(self, up: bool, modifiers: Qt.KeyboardModifier) -> None:
        """Move the figure in focus by one step."""
        table = self._table
        row, number = table.current_row(), table.current_number()
        if row is None or not number:
            return
        if self._live is None or (self._live.row, self._live.number) != (row, number):
            if table.document.recipe.rows[row].percents.get(number) is QS:
                table.telling.tell_fills(row, number)
                return
            table.mend_here()
            self._live = LiveFigure(table, row, number)
        by = step_of(modifiers)
        self._live.move(by if up else -by)
        table.document.give_way()
        self.pause.start()

    def begin_qs(self, before: Recipe, gesture: int) -> None:
        """Be ready for the rest of a "q.s." whose Q has acted already, as a step of a gesture."""
        place, after = self._table.place(), self._table.document.recipe
        self._qs = _Qs(place, before, after, gesture) if place is not None and place[1] else None

    def is_typing_qs(self, event: QKeyEvent) -> bool:
        """Return whether a key goes on with a "q.s." whose Q has just been typed."""
        begun = self._qs
        if begun is None or not event.text() or begun.place != self._table.place():
            return False
        typed = begun.typed + event.text().lower()
        is_rest = any(rest.startswith(typed) for rest in _AFTER_Q)
        return is_rest and self._table.document.recipe is begun.after

    def _goes_on_with_qs(self, event: QKeyEvent, modifiers: Qt.KeyboardModifier) -> bool:
        """Take the rest of a typed "q.s." or "qs"; return whether a key was part of it."""
        table, begun, self._qs = self._table, self._qs, None
        if begun is None or begun.place != table.place() or modifiers & ~_SHIFT:
            return False
        if table.document.recipe is not begun.after:
            return False
        typed = begun.typed + event.text().lower()
        if event.text() and any(rest.startswith(typed) for rest in _AFTER_Q):
            begun.typed, self._qs = typed, begun
            self._stay_qs(begun)
            return True
        if begun.typed == "." and event.text().isdigit():
            table.editing.open_figure(typed)
            return True
        return False

    def _stay_qs(self, begun: _Qs) -> None:
        """Take back what Q did, once "qs" is typed over a figure that was q.s. already."""
        table, (_, number) = self._table, begun.place
        row = table.lines.row_of(begun.place)
        if row is None or not begun.typed.endswith("s"):
            return
        before = begun.before.rows[row].percents.get(number)
        if before is QS:
            now = begun.after.rows[row].percents.get(number)
            text = edits.stepped(begun.before, row, number, now, QS)
            table.change(text, begun.before, begun.gesture)
            begun.after = table.document.recipe

    def _arrow(self, up: bool, modifiers: Qt.KeyboardModifier) -> None:
        table, by = self._table, -1 if up else 1
        if table.current_number():
            self.step(up, modifiers)
            return
        lines, index = table.lines.row_lines(), table.currentIndex()
        if not modifiers & _SHIFT:
            table.choice.clear()
            self._walk_rows(by)
        elif index.isValid() and 0 <= lines.index(index.row()) + by < len(lines):
            table.choice.choose(lines[lines.index(index.row()) + by], ranged=True)

    def _type(self, event: QKeyEvent, modifiers: Qt.KeyboardModifier) -> bool:
        """Open the editor by what begins a figure; return whether it did."""
        text = event.text()
        if not text or text[0] not in _TYPED or not self._table.current_number():
            return False
        if modifiers & ~_SHIFT:
            return False
        self._table.editing.open_figure(text)
        return True

    def _escape(self) -> bool:
        """Give up a refused text, or the choice of several rows."""
        table = self._table
        place = table.place()
        if place is not None and place in table.lines.refused:
            table.editing.forget(place)
            return True
        return table.choice.clear() or table.telling.be_quiet()

    # --- walking

    def go(self, how: str) -> bool:
        """Walk "down", "up", "next" or "previous"; return whether there is a cell to go to."""
        if how in ("down", "up"):
            self._walk_rows(1 if how == "down" else -1)
            return True
        return how not in ("next", "previous") or self._walk_on(1 if how == "next" else -1)

    def _walk_by(self, key: Qt.Key, modifiers: Qt.KeyboardModifier) -> bool:
        """Walk by a key; return whether it was one to walk by."""
        table = self._table
        lines, index = table.lines.row_lines(), table.currentIndex()
        if not lines or not index.isValid():
            return False
        if key in _ENTER and not table.current_number() and not modifiers:
            table.rows.rename_row()
        elif key in _ENTER:
            self._walk_rows(-1 if modifiers & _SHIFT else 1)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._walk_columns(-1 if key == Qt.Key.Key_Left else 1)
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown) and not modifiers & _CTRL:
            page = max(1, table.viewport().height() // table.rowHeight(lines[0]) - 1)
            self._walk_rows(-page if key == Qt.Key.Key_PageUp else page)
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            first = key == Qt.Key.Key_Home
            if modifiers & _CTRL:
                table.focus_cell(lines[0 if first else -1], index.column())
            else:
                table.focus_cell(index.row(), NAME if first else table.lines.grams_column - 1)
        else:
            return False
        return True

    def _walk_rows(self, by: int) -> None:
        lines, index = self._table.lines.row_lines(), self._table.currentIndex()
        if index.isValid() and index.row() in lines:
            at = max(0, min(lines.index(index.row()) + by, len(lines) - 1))
            self._table.focus_cell(lines[at], index.column())

    def _walk_columns(self, by: int) -> bool:
        """Walk to a cell of the same row; return whether there is one."""
        index = self._table.currentIndex()
        stops = [NAME, *range(FIRST, self._table.lines.grams_column)]
        if not index.isValid() or index.column() not in stops:
            return False
        at = stops.index(index.column()) + by
        if not 0 <= at < len(stops):
            return False
        self._table.focus_cell(index.row(), stops[at])
        return True

    def _walk_on(self, by: int) -> bool:
        """Walk to the next cell as one reads; return whether there is one."""
        if self._walk_columns(by):
            return True
        table = self._table
        lines, index = table.lines.row_lines(), table.currentIndex()
        if not index.isValid() or index.row() not in lines:
            return False
        at = lines.index(index.row()) + by
        if not 0 <= at < len(lines):
            return False
        table.focus_cell(lines[at], NAME if by > 0 else table.lines.grams_column - 1)
        return True
