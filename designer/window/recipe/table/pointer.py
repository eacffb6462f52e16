"""The pointer on the table: choosing cells, scrubbing figures, dragging rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPoint, Qt, QTimer
from PySide6.QtGui import QMouseEvent

from designer.quantities import QS
from designer.window.recipe.table.keys import step_of
from designer.window.recipe.table.lines import HEAD, ROW, TOTAL
from designer.window.recipe.table.live import LiveFigure
from designer.window.recipe.table.model import NAME, TAG

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["PIXELS", "Pointer"]

PIXELS = 4
"""Of a scrub for one step of 0.1 % (1 with Shift, 0.01 with Ctrl)."""

_ROWS_FROM = 6
_EDGE, _SCROLL = 14, 8


class Pointer(QObject):
    """What a pressed button does.

    Attributes
    ----------
    hover : (line, column) or None
        The cell under the pointer; None as soon as another row stands there.
    drop : (phase, row or None, y) or None
        Where dragged rows would go: behind a row, or to the top of the phase.
    """

    def __init__(self, table: RecipeTable) -> None:
        super().__init__(table)
        self._table = table
        self.hover: tuple[int, int] | None = None
        self._hovered = -1
        self.drop: tuple[str, int | None, int] | None = None
        self._pressed: QPoint | None = None
        self._on_figure = False
        self._last = 0
        self._raw = 0.0
        self._scrub: LiveFigure | None = None
        self._dragged: list[int] = []
        self._scrolling = QTimer(self, interval=40)
        self._scrolling.timeout.connect(self._scroll)
        self._at = QPoint()

    @property
    def busy(self) -> bool:
        """Whether a figure is scrubbed or rows are dragged."""
        return self._scrub is not None or bool(self._dragged)

    # --- events of the table

    def press(self, event: QMouseEvent) -> None:
        """Choose a cell, and be ready to drag it."""
        table = self._table
        at = event.position().toPoint()
        self._pressed = None
        index = table.indexAt(at)
        table.editing.finish()
        if not table.lines.lines:
            table.rows.add_row()
            return
        if not index.isValid() or event.button() != Qt.MouseButton.LeftButton:
            return
        line, column = table.lines.lines[index.row()], index.column()
        if line.kind == TOTAL and column in (NAME, TAG) and table.total.off():
            table.rows.make_hundred()
        if line.kind != ROW:
            return
        number = table.lines.number_at(column)
        self._pressed, self._at = at, at
        self._on_figure = bool(number)
        if column in (NAME, TAG):
            ranged = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
            table.choice.choose(index.row(), ranged=bool(ranged))
        else:
            table.choice.clear()
            table.focus_cell(
                index.row(), column if number else table.lines.column_of(table.number())
            )

    def move(self, event: QMouseEvent) -> None:
        """Scrub, drag, or show what is under the pointer."""
        at = event.position().toPoint()
        self._at = at
        if not event.buttons() & Qt.MouseButton.LeftButton or self._pressed is None:
            self._look(at)
            return
        if self._scrub is not None:
            self._scrub_to(at, event.modifiers())
        elif self._dragged:
            self._drag_to(at)
        elif self._on_figure and abs(at.x() - self._pressed.x()) >= PIXELS:
            self._start_scrub(at, event.modifiers())
        elif not self._on_figure and abs(at.y() - self._pressed.y()) >= _ROWS_FROM:
            self._start_drag(at)

    def release(self) -> None:
        """End a scrub, or drop the rows."""
        drop, rows = self.drop, self._dragged
        self._scrub = None
        self._end_drag()
        if drop is not None and rows:
            phase, after, _ = drop
            order = [one.row for one in self._table.lines.lines if one.kind == ROW]
            while after in rows:
                # Behind a row that moves itself: behind what stands before it.
                before = order.index(after) - 1
                there = order[before] if before >= 0 else None
                same = there is not None and self._table.document.recipe.rows[there].phase == phase
                after = there if same else None
            self._table.rows.move(rows, phase, after)
        self._pressed = None
        self._look(self._at)

    def double(self, event: QMouseEvent) -> None:
        """Open the editor of a cell."""
        table = self._table
        index = table.indexAt(event.position().toPoint())
        if not index.isValid() or table.lines.lines[index.row()].kind != ROW:
            return
        self._pressed = None
        if table.lines.number_at(index.column()):
            table.editing.open_figure()
        elif index.column() in (NAME, TAG):
            table.rows.rename_row()

    def leave(self) -> None:
        """The pointer left the table."""
        self._hover(None)

    def cancel(self) -> bool:
        """Bring back what a scrub or a drag changed; return whether there was one."""
        was = self.busy
        if self._scrub is not None:
            self._scrub.restore()
            self._scrub = None
        self._end_drag()
        self._pressed = None if was else self._pressed
        return was

    def stop(self) -> None:
        """End a scrub where it is: somebody else changed the recipe."""
        if self._scrub is not None:
            self._scrub = None
            self._pressed = None
        if self._dragged:
            self._end_drag()
            self._pressed = None

    # --- scrubbing

    def _start_scrub(self, at: QPoint, modifiers: Qt.KeyboardModifier) -> None:
        table = self._table
        row, number = table.current_row(), table.current_number()
        if row is None or not number or self._pressed is None:
            return
        if table.document.recipe.rows[row].percents.get(number) is QS:
            table.telling.tell_fills(row, number)
            self._pressed = None
            return
        self._scrub = LiveFigure(table, row, number)
        self._last, self._raw = self._pressed.x(), 0.0
        self._scrub_to(at, modifiers)

    def _scrub_to(self, at: QPoint, modifiers: Qt.KeyboardModifier) -> None:
        scrub = self._scrub
        assert scrub is not None  # asked only while one goes on
        step = step_of(modifiers)
        self._raw += (at.x() - self._last) / PIXELS * step
        self._last = at.x()
        scrub.move_to(round(self._raw / step) * step)
        if abs(scrub.moved - self._raw) > step:
            self._raw = scrub.moved  # at 0 or 100: turning back takes effect at once

    # --- dragging rows

    def _start_drag(self, at: QPoint) -> None:
        self._dragged = self._table.choice.rows()
        self._table.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)
        self._scrolling.start()
        self._drag_to(at)

    def _drag_to(self, at: QPoint) -> None:
        table = self._table
        best: tuple[int, tuple[str, int | None, int]] | None = None
        for number, line in enumerate(table.lines.lines):
            if line.kind not in (HEAD, ROW):
                continue
            bottom = table.rowViewportPosition(number) + table.rowHeight(number)
            far = abs(at.y() - bottom)
            if best is None or far < best[0]:
                best = far, (line.phase, line.row if line.kind == ROW else None, bottom)
        self.drop = best[1] if best else None
        table.viewport().update()

    def _end_drag(self) -> None:
        self._dragged, self.drop = [], None
        self._scrolling.stop()
        self._table.viewport().update()

    def _scroll(self) -> None:
        """Scroll while rows are held at the upper or lower edge."""
        table = self._table
        bar = table.verticalScrollBar()
        if self._at.y() < _EDGE:
            bar.setValue(bar.value() - _SCROLL)
        elif self._at.y() > table.viewport().height() - _EDGE:
            bar.setValue(bar.value() + _SCROLL)
        else:
            return
        self._drag_to(self._at)

    # --- hovering

    def follow(self) -> None:
        """Forget what is under the pointer where another row stands there now."""
        if self.hover is not None and self._identity(self.hover[0]) != self._hovered:
            self.hover = None
            self._table.viewport().update()

    def forget(self) -> None:
        """Forget what is under the pointer: the lines are others, or elsewhere."""
        if self.hover is not None:
            self.hover = None
            self._table.viewport().update()

    def _identity(self, line: int) -> int:
        """Return which row stands on a line, -1 for none."""
        model = self._table.lines
        row = model.lines[line].row if line < len(model.lines) else -1
        return model.identities[row] if row >= 0 else -1

    def _look(self, at: QPoint) -> None:
        table = self._table
        index = table.indexAt(at)
        shape, cell = Qt.CursorShape.ArrowCursor, None
        if index.isValid():
            line, column = table.lines.lines[index.row()], index.column()
            number = table.lines.number_at(column)
            if line.kind == ROW and number:
                cell = index.row(), column
                fills = table.document.recipe.rows[line.row].percents.get(number) is QS
                shape = shape if fills else Qt.CursorShape.SizeHorCursor
            elif line.kind == ROW and column in (NAME, TAG):
                cell = index.row(), NAME
                shape = Qt.CursorShape.OpenHandCursor
            elif line.kind == TOTAL and column in (NAME, TAG) and table.total.off():
                shape = Qt.CursorShape.PointingHandCursor
        elif not table.lines.lines:
            shape = Qt.CursorShape.PointingHandCursor
        table.viewport().setCursor(shape)
        self._hover(cell)

    def _hover(self, cell: tuple[int, int] | None) -> None:
        if cell != self.hover:
            for one in (self.hover, cell):
                if one is not None:
                    self._table.repaint_cell(*one)
            self.hover = cell
            self._hovered = self._identity(cell[0]) if cell is not None else -1
