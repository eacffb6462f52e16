"""The recipe table: rows by phase, a column of percentages per variant, grams."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPoint,
    QRect,
    QSize,
    Qt,
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
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHeaderView, QTableView

from designer.document import Document
from designer.document.edit import NO_GESTURE
from designer.recipe import Recipe
from designer.window.actions import actions
from designer.window.recipe.table import columns, frames
from designer.window.recipe.table.choice import Choice
from designer.window.recipe.table.commands import RowCommands, handlers
from designer.window.recipe.table.drawing import Drawing
from designer.window.recipe.table.editing import Editing
from designer.window.recipe.table.header import HEIGHT, VariantHeader
from designer.window.recipe.table.keys import Keys
from designer.window.recipe.table.layout import HIGHEST, LOWEST, SCROLL_BAR, Layout
from designer.window.recipe.table.lines import ROW, Line, NewRow, Place
from designer.window.recipe.table.model import NAME, TableModel
from designer.window.recipe.table.pointer import Pointer
from designer.window.recipe.table.telling import Telling
from designer.window.recipe.table.total import TotalLine
from designer.window.recipe.table.variants import VariantCommands

__all__ = ["RecipeTable"]


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
    swaps_wanted(int, str)
        What can stand in for a row of the recipe is wanted, in the variant of that number.
    """

    keys_changed = Signal()
    swaps_wanted = Signal(int, str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document = document
        self.lines = TableModel(document)
        self.total = TotalLine(self)
        self._own = False
        self._inci: bool | None = None
        self._widest: tuple[Recipe | None, float] = (None, 0.0)
        self._look_plain()
        self.header = VariantHeader(self)
        self.setHorizontalHeader(self.header)
        self.setModel(self.lines)
        self._drawing = Drawing(self)
        self.places = Layout(self)
        self.keyboard = Keys(self)
        self.choice = Choice(self)
        self.editing = Editing(self)
        self.telling = Telling(self)
        self.pointer = Pointer(self)
        self.rows = RowCommands(self)
        self.variants = VariantCommands(self)
        self.lines.modelReset.connect(self.pointer.forget)
        self.commands = actions(
            self, {name: partial(self._carry_out, do) for name, do in handlers(self).items()}
        )
        document.changed.connect(self._take)
        document.pinned_changed.connect(self.show_pinned)
        document.equipped.connect(self.viewport().update)
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
        self.verticalScrollBar().setStyleSheet(SCROLL_BAR)
        self.viewport().setMouseTracking(True)
        self.viewport().setBackgroundRole(QPalette.ColorRole.Window)
        side = self.verticalHeader()
        side.hide()
        side.setMinimumSectionSize(LOWEST)
        side.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)

    # --- what others ask

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys worth knowing where the focus is, and what they do."""
        return self.keyboard.worth_knowing()

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

    @property
    def inci_wanted(self) -> bool:
        """Whether the maker asked for INCI names, however little room there is."""
        return bool(self._inci)

    def tagged_variant(self, line: Line) -> str:
        """Return the variant whose tags a row shows: in focus there, else the active one."""
        index = self.currentIndex()
        here = index.isValid() and self.lines.lines[index.row()] == line
        return self.number() if here else self.document.recipe.active.number

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
            self.keyboard.end_burst()
        self._own = True
        try:
            self.document.edit(text, recipe, gesture)
        finally:
            self._own = False

    def mend_here(self) -> None:
        """Forget a refused text in focus: another figure takes its place."""
        place = self.place()
        if place is not None and place in self.lines.refused:
            self.editing.forget(place)

    def _carry_out(self, do: Callable[[], object]) -> None:
        """Carry out a command, after what is being typed was taken."""
        if self.pointer.busy:
            return
        self.keyboard.end_burst()
        self.telling.be_quiet()
        self.editing.finish()
        do()

    def toggle_inci(self) -> None:
        """Show INCI names or not, as the menu says."""
        self.show_inci(self.commands["show_inci"].isChecked())

    def show_pinned(self) -> None:
        """Show in the menu whether the variant in focus stands beside the active one."""
        self.commands["pin_variant"].setChecked(self.number() in self.document.pinned)

    # --- following the document

    def _take(self, recipe: Recipe) -> None:
        """Show the recipe as it is now, the focus where it was."""
        if not self._own:
            self.keyboard.end_burst()
            self.pointer.stop()
            self.telling.be_quiet()
        place, line = self.place(), self.currentIndex().row()
        refused = len(self.lines.refused)
        heads = self.lines.recipe.variants
        anew = self.lines.take(recipe)
        self.choice.forget_gone()
        self.pointer.follow()
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
        self.viewport().update(self.total.pinned())
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
        """Give columns and rows their sizes."""
        self.places.fit()
        if self._inci is None:
            # Unasked, the mark in the menu follows the room, and is not remembered.
            action = self.commands["show_inci"]
            action.blockSignals(True)
            action.setChecked(self.inci_shown)
            action.blockSignals(False)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the size in which all rows are comfortably seen."""
        return QSize(480, HEIGHT + max(len(self.lines.lines) * HIGHEST, 140))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return the smallest useful size."""
        return QSize(320, HEIGHT + 4 * LOWEST)

    # --- focus

    def focus_cell(self, line: int, column: int) -> None:
        """Put the focus on a cell, and bring it into view with the head above it."""
        number = self.lines.number_at(column)
        if number:
            self.places.bring_into_view(number)
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

    def scrollTo(  # noqa: N802
        self,
        index: QModelIndex | QPersistentModelIndex,
        hint: QAbstractItemView.ScrollHint = QAbstractItemView.ScrollHint.EnsureVisible,
    ) -> None:
        """Bring a cell into view, and out from under the line of totals."""
        super().scrollTo(index, hint)
        if index.row() != self.total.line:
            self.total.uncover(self.visualRect(index).bottom())

    def indexAt(self, at: QPoint) -> QModelIndex:  # noqa: N802
        """Return the cell at a point."""
        if self.total.pinned().contains(at):
            return self.lines.index(self.total.line, self.columnAt(at.x()))
        return super().indexAt(at)

    def currentChanged(  # noqa: N802
        self,
        current: QModelIndex | QPersistentModelIndex,
        previous: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Show the focus elsewhere; a burst of keys ends."""
        super().currentChanged(current, previous)
        if not hasattr(self, "commands"):
            return
        self.keyboard.end_burst()
        for index in (previous, current):
            if index.isValid():
                self.repaint_cell(index.row(), index.column())
                self.repaint_cell(index.row(), NAME)
        self.telling.walked()
        self.repaint_cell(self.total.line, NAME)
        self.show_pinned()
        self.keys_changed.emit()

    def repaint_cell(self, line: int, column: int) -> None:
        """Draw a cell again, with the frame around it and the tag behind a name."""
        rect = self.visualRect(self.lines.index(line, column))
        if column == NAME:
            rect.setRight(rect.right() + self.columnWidth(NAME + 1))
        self.viewport().update(rect.adjusted(-3, -3, 3, 3))
        if line == self.total.line:
            self.viewport().update(self.total.pinned())

    def repaint_place(self, place: Place) -> None:
        """Draw the cell of a place again."""
        index = self.lines.index_of(place)
        if index.isValid():
            self.repaint_cell(index.row(), index.column())

    # --- keys

    def go(self, how: str) -> None:
        """Walk "down", "up", "next" or "previous", or out of the table at its ends."""
        if not self.keyboard.go(how):
            super().focusNextPrevChild(how == "next")

    def focusNextPrevChild(self, forth: bool) -> bool:  # noqa: N802
        """Walk through the cells by Tab, and out of the table at its ends."""
        if (
            self.hasFocus()
            and not self.pointer.busy
            and self.keyboard.go("next" if forth else "previous")
        ):
            return True
        return super().focusNextPrevChild(forth)

    def event(self, event: QEvent) -> bool:
        """Claim the letters of a q.s. that is being typed: S alone is a command."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and self.keyboard.is_typing_qs(event)
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Change figures, walk, open the editor."""
        event.setAccepted(self.keyboard.press(event))

    # --- pointer and the rest of what Qt tells

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose a cell, and be ready to drag it."""
        self.keyboard.end_burst()
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
        menu = self.rows.menu_at(event.pos())
        if menu is not None:
            menu.popup(event.globalPos())

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show where the focus is."""
        self._focus_first()
        super().focusInEvent(event)
        self.viewport().update()
        self.keys_changed.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """A burst of keys ends with the focus."""
        self.keyboard.end_burst()
        super().focusOutEvent(event)
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Fit columns and rows into the new size."""
        super().resizeEvent(event)
        self.lay_out()
        self.editing.follow()
        self.header.place_editor()

    def scrollContentsBy(self, dx: int, dy: int) -> None:  # noqa: N802
        """Take the editor along, but not the line of totals."""
        super().scrollContentsBy(dx, dy)
        self.pointer.forget()
        if not self.total.pinned().isEmpty():
            self.viewport().update()
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
        painter = QPainter(self.viewport())
        if self.lines.lines:
            self._drawing.draw(painter, event.region())
            frames.draw(painter, self)
        else:
            frames.draw_empty(painter, self)

    def rect_of(self, line: int, column: int) -> QRect:
        """Return where a cell stands; a name has its tag with it."""
        rect = self.visualRect(self.lines.index(line, column))
        if column == NAME:
            rect.setRight(rect.right() + self.columnWidth(NAME + 1))
            rect.setLeft(rect.left() + 8)
        return rect
