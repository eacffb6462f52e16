"""The recipe table: rows by phase, a column of percentages per variant, grams."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QSize,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPalette,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHeaderView, QMenu, QTableView

from designer.document import Document
from designer.document.edit import NO_GESTURE
from designer.errors import ReadableError
from designer.quantities import QS
from designer.recipe import Recipe
from designer.vocabulary import PHASES
from designer.window.actions import actions
from designer.window.recipe.table import columns, frames
from designer.window.recipe.table.commands import RowCommands
from designer.window.recipe.table.delegate import Delegate
from designer.window.recipe.table.editing import Editing
from designer.window.recipe.table.header import HEIGHT, WITH_TITLES, VariantHeader
from designer.window.recipe.table.lines import ROW, Line, NewRow, Place
from designer.window.recipe.table.live import LiveFigure
from designer.window.recipe.table.model import FIRST, NAME, TableModel
from designer.window.recipe.table.pointer import Pointer
from designer.window.recipe.table.variants import VariantCommands

__all__ = ["RecipeTable"]

EMPTY = "Add a powder and a liquid to see how it kneads."

_LOWEST, _HIGHEST = 24, 32
"""Height of a row [logical px]."""
_BURST = 1000
"""Arrow keys nearer than this are one step [ms]."""
_TYPED = "0123456789.,-\N{MINUS SIGN}+"
_MODIFIERS = (Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta)
_SHIFT = Qt.KeyboardModifier.ShiftModifier
_CTRL = Qt.KeyboardModifier.ControlModifier


class RecipeTable(QTableView):
    """The recipe table.

    Attributes
    ----------
    commands : dict of name to QAction
        All that can be done here, for menus.
    lines : TableModel

    Signals
    -------
    keys_changed()
        `keys()` tells other keys than before.
    """

    keys_changed = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document = document
        self.lines = TableModel(document)
        self._own = False
        self._told = False
        self._first = 0
        self._inci: bool | None = None
        self._widest: tuple[Recipe | None, float] = (None, 0.0)
        self._anchor: int | None = None
        self._chosen: set[int] = set()
        self._live: LiveFigure | None = None
        self._pause = QTimer(self, interval=_BURST, singleShot=True)
        self._pause.timeout.connect(self.end_burst)
        self._look_plain()
        self.header = VariantHeader(self)
        self.setHorizontalHeader(self.header)
        self.setModel(self.lines)
        self.setItemDelegate(Delegate(self))
        self.editing = Editing(self)
        self.pointer = Pointer(self)
        self.rows = RowCommands(self)
        self.variants = VariantCommands(self)
        self.commands = actions(self, self.handlers())
        document.changed.connect(self._take)
        document.pinned_changed.connect(self.show_pinned)
        self.lay_out()
        self._focus_first()
        self.show_pinned()

    def _look_plain(self) -> None:
        """Switch off what Qt would draw and do by itself."""
        self.setAccessibleName("Recipe table")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setCornerButtonEnabled(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWordWrap(False)
        self.viewport().setMouseTracking(True)
        self.viewport().setBackgroundRole(QPalette.ColorRole.Window)
        side = self.verticalHeader()
        side.hide()
        side.setMinimumSectionSize(_LOWEST)
        side.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)

    # --- what others ask

    def handlers(self) -> dict[str, Callable[[], object]]:
        """Return what carries out each command, by its name."""
        rows, variants = self.rows, self.variants
        found: dict[str, Callable[[], object]] = {
            "cut": rows.cut,
            "copy": rows.copy,
            "paste": rows.paste,
            "add_row": rows.add_row,
            "rename_row": rows.rename_row,
            "remove_row": rows.remove_row,
            "move_up": rows.move_up,
            "move_down": rows.move_down,
            "edit_figure": rows.edit_figure,
            "clear_figure": rows.clear_figure,
            "fill_up": rows.fill_up,
            "hold": rows.hold,
            "make_hundred": rows.make_hundred,
            "copy_variant": variants.copy,
            "rename_variant": variants.rename,
            "use_variant": variants.use,
            "next_variant": partial(variants.go_on, 1),
            "previous_variant": partial(variants.go_on, -1),
            "pin_variant": variants.pin,
            "delete_variant": variants.delete,
            "show_inci": self._toggle_inci,
        }
        found |= {f"to_{phase}": partial(rows.to_phase, phase) for phase in PHASES}
        return {name: partial(self._carry_out, do) for name, do in found.items()}

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys worth knowing where the focus is, and what they do."""
        if not self.lines.lines:
            return [("Insert", "add an ingredient"), ("Ctrl V", "paste rows")]
        if self.editing.choices is not None:
            return [("↑↓", "choose"), ("Enter", "take"), ("Esc", "leave it as it was")]
        if self.editing.is_open:
            return [("12 g  0.4 oz  q.s.", "typed units"), ("Enter", "take"), ("Esc", "restore")]
        if not self.current_number():
            return [
                ("Enter", "change"),
                ("Insert", "add"),
                ("Alt ↑↓", "move"),
                ("Ctrl Delete", "remove"),
                ("Tab", "next"),
            ]
        return [
            ("↑↓", "0.1"),
            ("Shift", "1"),
            ("Ctrl", "0.01"),
            ("12 g  0.4 oz", "typed units"),
            ("Q", "fill up"),
            ("H", "hold"),
            ("Tab", "next"),
        ]

    def current_row(self) -> int | None:
        """Return the index in the recipe of the row in focus, None for none."""
        place = self.place()
        return None if place is None else self.lines.row_of(place)

    def current_number(self) -> str:
        """Return the number of the variant whose figure is in focus, "" for none."""
        place = self.place()
        return place[1] if place is not None else ""

    def number(self) -> str:
        """Return the variant that commands are meant for: in focus, else the active one."""
        return self.current_number() or self.document.recipe.active.number

    def place(self) -> Place | None:
        """Return the cell in focus."""
        return self.lines.place_of(self.currentIndex())

    def show_inci(self, on: bool | None) -> None:
        """Show INCI names or not; None shows them where there is room."""
        self._inci = on
        self.lay_out()
        self.viewport().update()

    @property
    def inci_shown(self) -> bool:
        """Whether INCI names stand behind the names."""
        roomy = self.columnWidth(NAME) >= columns.ROOM_FOR_INCI
        return roomy if self._inci is None else self._inci

    def chosen_rows(self) -> list[int]:
        """Return the rows chosen, as indices in the recipe, else the one in focus."""
        identities = self.lines.identities
        order = [line.row for line in self.lines.lines if line.kind == ROW]
        chosen = [row for row in order if identities[row] in self._chosen]
        row = self.current_row()
        if row is not None and row not in chosen:
            return [row]
        return chosen

    def is_selected(self, line: Line) -> bool:
        """Return whether a line is one of several chosen."""
        return len(self._chosen) > 1 and self.lines.identities[line.row] in self._chosen

    def tagged_variant(self, line: Line) -> str:
        """Return the variant whose tags a row shows: in focus there, else the active one."""
        index = self.currentIndex()
        here = index.isValid() and self.lines.lines[index.row()] == line
        return self.number() if here else self.document.recipe.active.number

    def number_off(self) -> str:
        """Return the variant, in focus or active, whose total is not 100; "" for none."""
        recipe, amounts = self.document.recipe, self.lines.amounts
        if not recipe.rows:
            return ""
        for number in (self.number(), recipe.active.number):
            if not amounts.is_whole(recipe.numbers.index(number)):
                return number
        return ""

    def inci_from(self, room: int) -> float:
        """Return where INCI names begin behind the indent, if the name before is not longer."""
        if self._widest[0] is not self.lines.recipe:
            names = (row.name for row in self.lines.recipe.rows)
            self._widest = (self.lines.recipe, columns.widest(names))
        return min(self._widest[1] + 14, 0.5 * room)

    # --- changing

    def change(self, text: str, recipe: Recipe, gesture: int = NO_GESTURE) -> None:
        """Change the recipe as one undo step."""
        if gesture == NO_GESTURE:
            self.end_burst()
        self._own = True
        try:
            self.document.edit(text, recipe, gesture)
        finally:
            self._own = False

    def tell(self, error: ReadableError | None) -> None:
        """Tell why something is not done, until the next key; None tells what is refused still."""
        self._told = error is not None
        if error is None:
            self.editing.tell_rest()
        else:
            self.document.refuse(error)

    def tell_fills(self, row: int, number: str) -> None:
        """Tell that a q.s. figure cannot be moved."""
        self.tell(
            ReadableError(
                f"{self.document.recipe.rows[row].name[:40]}, variant {number}",
                "q.s. fills up to 100 %.",
                "Press Q to make it a number.",
            )
        )

    def mend_here(self) -> None:
        """Forget a refused text in focus: another figure takes its place."""
        place = self.place()
        if place is not None and place in self.lines.refused:
            self.editing.forget(place)

    def end_burst(self) -> None:
        """Let the next arrow key begin a new undo step."""
        self._live = None
        self._pause.stop()

    @staticmethod
    def step_of(modifiers: Qt.KeyboardModifier) -> float:
        """Return by how many percent a figure moves at once."""
        if modifiers & _SHIFT:
            return 1.0
        return 0.01 if modifiers & _CTRL else 0.1

    def step(self, up: bool, modifiers: Qt.KeyboardModifier) -> None:
        """Move the figure in focus by one step."""
        row, number = self.current_row(), self.current_number()
        if row is None or not number:
            return
        if self._live is None or (self._live.row, self._live.number) != (row, number):
            if self.document.recipe.rows[row].percents.get(number) is QS:
                self.tell_fills(row, number)
                return
            self.mend_here()
            self._live = LiveFigure(self, row, number)
        by = self.step_of(modifiers)
        self._live.move(by if up else -by)
        self._pause.start()

    def _carry_out(self, do: Callable[[], object]) -> None:
        """Carry out a command, after what is being typed was taken."""
        if self.pointer.busy:
            return
        self.end_burst()
        self.editing.finish()
        if self._told:
            self.tell(None)
        do()

    def _toggle_inci(self) -> None:
        self.show_inci(self.commands["show_inci"].isChecked())

    def show_pinned(self) -> None:
        """Show in the menu whether the variant in focus stands beside the active one."""
        self.commands["pin_variant"].setChecked(self.number() in self.document.pinned)

    # --- following the document

    def _take(self, recipe: Recipe) -> None:
        """Show the recipe as it is now, the focus where it was."""
        if not self._own:
            self.end_burst()
            self.pointer.stop()
        place, line = self.place(), self.currentIndex().row()
        refused = len(self.lines.refused)
        heads = self.lines.recipe.variants
        anew = self.lines.take(recipe)
        self._chosen &= set(self.lines.identities)
        if anew:
            self.lay_out()
            self.updateGeometry()
        self._restore_focus(place, line)
        self.editing.follow()
        if heads != recipe.variants:
            self.header.viewport().update()
            self.header.place_editor()
        if refused != len(self.lines.refused):
            self.editing.tell_rest()
        self.show_pinned()

    def _restore_focus(self, place: Place | None, line: int) -> None:
        """Put the focus on the same cell, or on one near where it was."""
        index = self.lines.index_of(place) if place is not None else QModelIndex()
        if not index.isValid():
            lines = self.lines.row_lines()
            if not lines:
                return
            nearest = min(lines, key=lambda one: (abs(one - line), -one))
            number = place[1] if place is not None else ""
            known = number in self.document.recipe.numbers
            used = number if known else self.document.recipe.active.number
            column = NAME if place is not None and not number else self.lines.column_of(used)
            index = self.lines.index(nearest, column)
        if index != self.currentIndex():
            self.focus_cell(index.row(), index.column())

    def begin_new(self, new: NewRow | None) -> None:
        """Make room for a row whose name is being typed, or close it."""
        if new == self.lines.new:
            return
        place, line = self.place(), self.currentIndex().row()
        self.lines.start_new(new)
        self.lay_out()
        self.updateGeometry()
        self._restore_focus(place, line)
        self.editing.follow()

    # --- layout

    def lay_out(self) -> None:
        """Give columns and rows their sizes; hide the columns there is no room for."""
        self._lay_out_rows()
        self._lay_out_columns()
        if self._inci is None:
            # Unasked, the mark in the menu follows the room, and is not remembered.
            action = self.commands["show_inci"]
            action.blockSignals(True)
            action.setChecked(self.inci_shown)
            action.blockSignals(False)
        self.header.viewport().update()

    def _lay_out_columns(self) -> None:
        variants = len(self.lines.recipe.variants)
        sizes = columns.sizes(self.viewport().width(), variants)
        self._first = max(0, min(self._first, variants - sizes.shown))
        for at in range(variants):
            column = FIRST + at
            hide = not self._first <= at < self._first + sizes.shown
            if self.isColumnHidden(column) != hide:
                self.setColumnHidden(column, hide)
            if not hide:
                self.setColumnWidth(column, sizes.variant)
        for column, wide in (
            (NAME, sizes.name),
            (NAME + 1, sizes.tag),
            (self.lines.grams_column, sizes.grams),
        ):
            if self.columnWidth(column) != wide:
                self.setColumnWidth(column, wide)

    def _lay_out_rows(self) -> None:
        count = max(len(self.lines.lines), 1)
        titled = any(variant.title for variant in self.lines.recipe.variants)
        self.header.show_titles(titled and (self.height() - WITH_TITLES) // count >= _LOWEST + 2)
        room = self.height() - (WITH_TITLES if self.header.titles else HEIGHT)
        high = max(_LOWEST, min(room // count, _HIGHEST))
        if self.verticalHeader().defaultSectionSize() != high:
            self.verticalHeader().setDefaultSectionSize(high)
        # The scroll bar comes or goes now, so that the columns meet the width they will have.
        self.updateGeometries()

    def shown_numbers(self) -> list[str]:
        """Return the variants whose columns are in view."""
        numbers = self.lines.recipe.numbers
        return [number for at, number in enumerate(numbers) if not self.isColumnHidden(FIRST + at)]

    def hidden_numbers(self) -> tuple[list[str], list[str]]:
        """Return the variants out of view on the left and on the right."""
        numbers, shown = list(self.lines.recipe.numbers), self.shown_numbers()
        if not shown:
            return [], []
        return numbers[: numbers.index(shown[0])], numbers[numbers.index(shown[-1]) + 1 :]

    def scroll_columns(self, by: int) -> None:
        """Bring the next columns into view."""
        self._first += by
        self.lay_out()
        self.viewport().update()
        self.editing.follow()

    def bring_into_view(self, number: str) -> None:
        """Scroll columns until that of a variant is in view."""
        before, after = self.hidden_numbers()
        if number in before:
            self.scroll_columns(-(len(before) - before.index(number)))
        elif number in after:
            self.scroll_columns(after.index(number) + 1)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the size in which all rows are comfortably seen."""
        return QSize(480, HEIGHT + max(len(self.lines.lines) * _HIGHEST, 140))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return the smallest useful size."""
        return QSize(320, HEIGHT + 4 * _LOWEST)

    # --- focus

    def focus_cell(self, line: int, column: int) -> None:
        """Put the focus on a cell, and bring it into view with the head above it."""
        number = self.lines.number_at(column)
        if number:
            self.bring_into_view(number)
        if line > 0 and self.lines.lines[line - 1].kind != ROW:
            self.scrollTo(self.lines.index(line - 1, NAME))
        index = self.lines.index(line, column)
        self.setCurrentIndex(index)
        self.scrollTo(index)

    def focus_row(self, row: int, number: str) -> None:
        """Put the focus on a row of the recipe, on a variant's figure or the name ("")."""
        if row < len(self.lines.identities):
            index = self.lines.index_of((self.lines.identities[row], number))
            self.focus_cell(index.row(), index.column())

    def focus_number(self, number: str) -> None:
        """Put the focus on the column of a variant, in the same row."""
        index = self.currentIndex()
        if index.isValid():
            self.focus_cell(index.row(), self.lines.column_of(number))

    def _focus_first(self) -> None:
        lines = self.lines.row_lines()
        if lines and self.place() is None:
            self.focus_cell(lines[0], self.lines.column_of(self.document.recipe.active.number))

    def choose(self, line: int, ranged: bool) -> None:
        """Choose the row of a line, or all rows from the last one chosen to it."""
        identities, lines = self.lines.identities, self.lines.lines
        anchor = self._line_of(self._anchor) if ranged else None
        if anchor is not None:
            low, high = sorted((anchor, line))
            rows = [one.row for one in lines[low : high + 1] if one.kind == ROW]
            self._chosen = {identities[row] for row in rows}
        elif identities[lines[line].row] not in self._chosen or len(self._chosen) < 2:
            self._anchor = identities[lines[line].row]
            self._chosen = {self._anchor}
        self.focus_cell(line, NAME)
        self.viewport().update()

    def clear_choice(self) -> None:
        """Choose no rows but the one in focus."""
        if len(self._chosen) > 1:
            self.viewport().update()
        self._chosen, self._anchor = set(), None

    def _line_of(self, identity: int | None) -> int | None:
        """Return the line of a row, the one in focus where that is gone."""
        place = self.place()
        if identity is None or identity not in self.lines.identities:
            identity = place[0] if place is not None else None
        if identity is None:
            return None
        return self.lines.index_of((identity, "")).row()

    def currentChanged(  # noqa: N802
        self,
        current: QModelIndex | QPersistentModelIndex,
        previous: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Show the focus elsewhere; a burst of keys ends."""
        super().currentChanged(current, previous)
        if not hasattr(self, "commands"):
            return
        self.end_burst()
        for index in (previous, current):
            if index.isValid():
                self.repaint_cell(index.row(), index.column())
                self.repaint_cell(index.row(), NAME)
        if self._told:
            self.tell(None)
        self.repaint_cell(len(self.lines.lines) - 1, NAME)
        self.show_pinned()
        self.keys_changed.emit()

    def repaint_cell(self, line: int, column: int) -> None:
        """Draw a cell again, with the frame around it and the tag behind a name."""
        rect = self.visualRect(self.lines.index(line, column))
        if column == NAME:
            rect.setRight(rect.right() + self.columnWidth(NAME + 1))
        self.viewport().update(rect.adjusted(-3, -3, 3, 3))

    def repaint_place(self, place: Place) -> None:
        """Draw the cell of a place again."""
        index = self.lines.index_of(place)
        if index.isValid():
            self.repaint_cell(index.row(), index.column())

    # --- walking

    def go(self, how: str) -> None:
        """Walk: "down", "up", "next", "previous"; anything else stays."""
        if how in ("down", "up"):
            self._walk_rows(1 if how == "down" else -1)
        elif how in ("next", "previous"):
            forth = how == "next"
            if not self._walk_on(1 if forth else -1):
                super().focusNextPrevChild(forth)

    def _walk_rows(self, by: int) -> None:
        lines, index = self.lines.row_lines(), self.currentIndex()
        if index.isValid() and index.row() in lines:
            at = max(0, min(lines.index(index.row()) + by, len(lines) - 1))
            self.focus_cell(lines[at], index.column())

    def _walk_columns(self, by: int) -> bool:
        """Walk to a cell of the same row; return whether there is one."""
        index = self.currentIndex()
        stops = [NAME, *range(FIRST, self.lines.grams_column)]
        if not index.isValid() or index.column() not in stops:
            return False
        at = stops.index(index.column()) + by
        if not 0 <= at < len(stops):
            return False
        self.focus_cell(index.row(), stops[at])
        return True

    def _walk_on(self, by: int) -> bool:
        """Walk to the next cell as one reads; return whether there is one."""
        if self._walk_columns(by):
            return True
        lines, index = self.lines.row_lines(), self.currentIndex()
        if not index.isValid() or index.row() not in lines:
            return False
        at = lines.index(index.row()) + by
        if not 0 <= at < len(lines):
            return False
        self.focus_cell(lines[at], NAME if by > 0 else self.lines.grams_column - 1)
        return True

    def focusNextPrevChild(self, forth: bool) -> bool:  # noqa: N802
        """Walk through the cells by Tab, and out of the table at its ends."""
        if self.hasFocus() and not self.pointer.busy and self._walk_on(1 if forth else -1):
            return True
        return super().focusNextPrevChild(forth)

    # --- keys

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Change figures, walk, open the editor."""
        key = Qt.Key(event.key())
        modifiers = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if key in _MODIFIERS:
            return
        if key == Qt.Key.Key_Escape:
            if not self.pointer.cancel() and not self._escape():
                event.ignore()
            return
        if self.pointer.busy:
            return
        if key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._arrow(key == Qt.Key.Key_Up, modifiers)
            return
        self.end_burst()
        if self._told:
            self.tell(None)
        if not self._walk_by(key, modifiers) and not self._type(event, modifiers):
            event.ignore()

    def _arrow(self, up: bool, modifiers: Qt.KeyboardModifier) -> None:
        if self.current_number():
            self.step(up, modifiers)
            return
        index = self.currentIndex()
        if modifiers & _SHIFT and index.isValid():
            lines = self.lines.row_lines()
            at = lines.index(index.row()) + (-1 if up else 1)
            if 0 <= at < len(lines):
                self.choose(lines[at], ranged=True)
            return
        self.clear_choice()
        self._walk_rows(-1 if up else 1)

    def _escape(self) -> bool:
        """Give up a refused text, or the choice of several rows."""
        place = self.place()
        if place is not None and place in self.lines.refused:
            self.editing.forget(place)
            return True
        if len(self._chosen) > 1:
            self.clear_choice()
            return True
        if self._told:
            self.tell(None)
            return True
        return False

    def _walk_by(self, key: Qt.Key, modifiers: Qt.KeyboardModifier) -> bool:
        """Walk by a key; return whether it was one to walk by."""
        lines, index = self.lines.row_lines(), self.currentIndex()
        if not lines or not index.isValid():
            return False
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if not self.current_number() and not modifiers:
                self.rows.rename_row()
            else:
                self._walk_rows(-1 if modifiers & _SHIFT else 1)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._walk_columns(-1 if key == Qt.Key.Key_Left else 1)
        elif key in (Qt.Key.Key_PageUp, Qt.Key.Key_PageDown) and not modifiers & _CTRL:
            page = max(1, self.viewport().height() // self.rowHeight(lines[0]) - 1)
            self._walk_rows(-page if key == Qt.Key.Key_PageUp else page)
        elif key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            first = key == Qt.Key.Key_Home
            if modifiers & _CTRL:
                self.focus_cell(lines[0 if first else -1], index.column())
            else:
                self.focus_cell(index.row(), NAME if first else self.lines.grams_column - 1)
        else:
            return False
        return True

    def _type(self, event: QKeyEvent, modifiers: Qt.KeyboardModifier) -> bool:
        """Open the editor by what begins a figure; return whether it did."""
        text = event.text()
        if not text or text[0] not in _TYPED or not self.current_number():
            return False
        if modifiers & ~_SHIFT:
            return False
        self.editing.open_figure(text)
        return True

    # --- pointer and the rest of what Qt tells

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose a cell, and be ready to drag it."""
        self.end_burst()
        self.pointer.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Scrub, drag, or show what is under the pointer."""
        self.pointer.move(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """End what was dragged."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.pointer.release()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Open the editor."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.pointer.double(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802
        """Show nothing under the pointer."""
        super().leaveEvent(event)
        self.pointer.leave()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer what can be done with a row or a figure."""
        index = self.indexAt(event.pos())
        if not index.isValid() or self.lines.lines[index.row()].kind != ROW:
            return
        self.editing.finish()
        column = index.column() if self.lines.number_at(index.column()) else NAME
        self.focus_cell(index.row(), column)
        menu = QMenu(self)
        menu.aboutToHide.connect(menu.deleteLater)
        for group in self.rows.menu_names(column):
            if not menu.isEmpty():
                menu.addSeparator()
            menu.addActions([self.commands[name] for name in group])
        menu.popup(event.globalPos())

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show where the focus is."""
        self._focus_first()
        super().focusInEvent(event)
        self.viewport().update()
        self.keys_changed.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """A burst of keys ends with the focus."""
        self.end_burst()
        super().focusOutEvent(event)
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Fit columns and rows into the new size."""
        super().resizeEvent(event)
        self.lay_out()
        self.editing.follow()
        self.header.place_editor()

    def scrollContentsBy(self, dx: int, dy: int) -> None:  # noqa: N802
        """Take the editor along."""
        super().scrollContentsBy(dx, dy)
        self.editing.follow()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Draw in other colours."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange:
            self.viewport().update()
            if hasattr(self, "header"):
                self.header.viewport().update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the cells, then what stands over them."""
        super().paintEvent(event)
        painter = QPainter(self.viewport())
        if self.lines.lines:
            frames.draw(painter, self)
        else:
            frames.draw_empty(painter, self, EMPTY)

    def rect_of(self, line: int, column: int) -> QRect:
        """Return where a cell stands; a name has its tag with it."""
        rect = self.visualRect(self.lines.index(line, column))
        if column == NAME:
            rect.setRight(rect.right() + self.columnWidth(NAME + 1))
            rect.setLeft(rect.left() + 8)
        return rect
