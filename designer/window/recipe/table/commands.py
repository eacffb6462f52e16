"""What can be done with rows and figures: one method for each command of the table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QPoint
from PySide6.QtWidgets import QApplication, QMenu

from designer.errors import ReadableError
from designer.quantities import QS
from designer.vocabulary import PHASES
from designer.window.recipe.table import clipboard, edits
from designer.window.recipe.table.lines import HEAD, ROW, NewRow
from designer.window.recipe.table.model import NAME

if TYPE_CHECKING:
    from designer.recipe import Row
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["RowCommands", "handlers"]

_ROW_MENU = (
    ("add_row", "rename_row", "remove_row", "swaps"),
    ("cut", "copy", "paste"),
    ("move_up", "move_down", "to_melt", "to_powder", "to_liquid", "to_last"),
)
_FIGURE_MENU = ("edit_figure", "clear_figure", "fill_up", "hold")


class RowCommands:
    """Commands on the rows chosen, or on the row and the figure in focus."""

    def __init__(self, table: RecipeTable) -> None:
        self._table = table

    # --- figures

    def edit_figure(self) -> None:
        """Open the editor of the cell in focus."""
        if self._table.current_number():
            self._table.editing.open_figure()
        else:
            self.rename_row()

    def clear_figure(self) -> None:
        """Take the figure in focus away: the row has none in that variant."""
        table = self._table
        row, number = table.current_row(), table.current_number()
        if row is None:
            return
        if not number:
            table.telling.tell(
                ReadableError(
                    "Ingredients",
                    "Delete takes a figure away, not an ingredient.",
                    "Press Ctrl+Delete to remove the ingredient.",
                )
            )
            return
        recipe = table.document.recipe
        before = recipe.rows[row].percents.get(number)
        after = recipe.with_percent(row, number, None)
        table.mend_here()
        table.change(edits.stepped(recipe, row, number, before, None), after)

    def fill_up(self) -> None:
        """Make the figure in focus q.s., or a number again."""
        table = self._table
        row, number = table.current_row(), table.number()
        if row is None:
            return
        recipe = table.document.recipe
        was = recipe.rows[row].percents.get(number)
        after = edits.fill_up(recipe, row, number)
        cell = after.rows[row].percents.get(number)
        table.mend_here()
        text = edits.stepped(recipe, row, number, was, cell)
        gesture = table.document.new_gesture()
        text = text if was is QS else f"Fill up with {edits.named(recipe, [row])}"
        table.change(text, after, gesture)
        table.keyboard.begin_qs(recipe, gesture)

    def hold(self) -> None:
        """Hold the figure in focus, or let it go."""
        table = self._table
        row, number = table.current_row(), table.number()
        if row is None:
            return
        recipe = table.document.recipe
        let_go = number in recipe.rows[row].held
        verb = "Let go of" if let_go else "Hold"
        table.change(f"{verb} {edits.named(recipe, [row])}", edits.held(recipe, row, number))

    def make_hundred(self) -> None:
        """Bring the variant in focus to a total of 100."""
        table = self._table
        recipe = table.document.recipe
        number = table.total.off() or table.number()
        if not recipe.rows:
            return
        try:
            after = edits.make_hundred(recipe, number)
        except ReadableError as error:
            table.telling.tell(error)
            return
        where = "" if number == recipe.active.number else f" of variant {number}"
        table.change(f"Make the total{where} 100", after)

    # --- rows

    def add_row(self) -> None:
        """Let a new ingredient be named, below the row in focus."""
        table = self._table
        table.editing.finish()
        row = table.current_row()
        if row is None:
            table.editing.open_new(NewRow("powder", -1))
            return
        table.editing.open_new(NewRow(table.document.recipe.rows[row].phase, row))

    def rename_row(self) -> None:
        """Let another ingredient be put into the row in focus."""
        table = self._table
        place = table.place()
        if place is not None:
            table.setCurrentIndex(table.lines.index_of((place[0], "")))
            table.editing.open_name()

    def remove_row(self) -> None:
        """Remove the rows chosen."""
        self._remove("Remove")

    def look_for_swaps(self) -> None:
        """Ask what can stand in for the row in focus, in the variant in focus."""
        table = self._table
        row = table.current_row()
        if row is not None:
            table.swaps_wanted.emit(row, table.number())

    def move_up(self) -> None:
        """Move the rows chosen up by one, into the phase above where they stand first."""
        self._move_by(-1)

    def move_down(self) -> None:
        """Move the rows chosen down by one, into the phase below where they stand last."""
        self._move_by(1)

    def to_phase(self, phase: str) -> None:
        """Move the rows chosen to the end of a phase."""
        table = self._table
        rows = table.choice.rows()
        recipe = table.document.recipe
        others = [n for n, row in enumerate(recipe.rows) if row.phase == phase and n not in rows]
        if not rows or all(recipe.rows[row].phase == phase for row in rows):
            return
        self.move(rows, phase, others[-1] if others else None)

    def move(self, rows: Sequence[int], phase: str, after: int | None) -> None:
        """Move rows into a phase behind a row, or to its top."""
        table = self._table
        recipe = table.document.recipe
        moved = edits.moved(recipe, rows, phase, after)
        name = edits.named(recipe, rows)
        if all(recipe.rows[row].phase == phase for row in rows):
            text = f"Move {name}"
        else:
            text = f"Move {name} to {phase}"
        table.change(text, moved)

    def _move_by(self, by: int) -> None:
        table = self._table
        table.editing.finish()
        rows = table.choice.rows()
        if not rows:
            return
        lines = table.lines.lines
        at = [n for n, line in enumerate(lines) if line.kind == ROW and line.row in rows]
        beyond = at[0] - 1 if by < 0 else at[-1] + 1
        line = lines[beyond]
        if line.kind == ROW:
            # Up: behind what stands above the line passed; down: behind the line passed.
            behind = lines[beyond - 1] if by < 0 else line
            self.move(rows, line.phase, behind.row if behind.kind == ROW else None)
        elif line.kind == HEAD and by > 0:
            self.move(rows, line.phase, None)
        elif line.kind == HEAD and line.phase != PHASES[0]:
            phase = PHASES[PHASES.index(line.phase) - 1]
            there = [one.row for one in lines if one.kind == ROW and one.phase == phase]
            self.move(rows, phase, there[-1] if there else None)

    # --- as text

    def copy(self) -> None:
        """Copy the rows chosen as text, and whole for tables of this program."""
        rows = self._table.choice.rows()
        if rows:
            recipe, copied = self._table.document.recipe, QMimeData()
            copied.setText(clipboard.text_of(recipe, rows))
            copied.setData(clipboard.FORMAT, clipboard.file_of(recipe, rows).encode())
            QApplication.clipboard().setMimeData(copied)

    def cut(self) -> None:
        """Copy the rows chosen as text and remove them."""
        self.copy()
        self._remove("Cut")

    def paste(self) -> None:
        """Put in rows from text below the row in focus; a single figure goes into its cell."""
        table = self._table
        text = QApplication.clipboard().text()
        place = table.place()
        if place is not None and place[1] and clipboard.is_figure(text):
            table.editing.open_figure(text.strip())
            table.editing.take()
            return
        recipe = table.document.recipe
        row = table.current_row()
        try:
            rows = self._copied() or clipboard.rows_of(
                text,
                recipe,
                table.document.handbook,
                table.number(),
                recipe.rows[row].phase if row is not None else None,
            )
            after, first = clipboard.with_rows(recipe, rows, row)
        except ReadableError as error:
            table.telling.tell(error)
            return
        what = edits.short(rows[0].name) if len(rows) == 1 else f"{len(rows)} rows"
        table.change(f"Paste {what}", after)
        table.focus_row(first, table.current_number())

    def _copied(self) -> list[Row]:
        """Return the rows that a table of this program copied; none where another did."""
        content = QApplication.clipboard().mimeData().data(clipboard.FORMAT).data()
        if not content:
            return []
        text = bytes(content).decode(errors="replace")
        return clipboard.rows_in(text, self._table.document.recipe)

    def _remove(self, verb: str) -> None:
        table = self._table
        table.editing.finish()
        rows = table.choice.rows()
        if rows:
            recipe = table.document.recipe
            table.change(f"{verb} {edits.named(recipe, rows)}", edits.removed(recipe, rows))

    def menu_at(self, at: QPoint) -> QMenu | None:
        """Return what a click with the other button offers there, None where there is no row."""
        table = self._table
        index = table.indexAt(at)
        if not index.isValid() or table.lines.lines[index.row()].kind != ROW:
            return None
        table.editing.finish()
        column = index.column() if table.lines.number_at(index.column()) else NAME
        table.focus_cell(index.row(), column)
        menu = QMenu(table)
        menu.aboutToHide.connect(menu.deleteLater)
        groups = _ROW_MENU if column == NAME else (_FIGURE_MENU, *_ROW_MENU[:2])
        for group in groups:
            if not menu.isEmpty():
                menu.addSeparator()
            menu.addActions([table.commands[name] for name in group])
        return menu


def handlers(table: RecipeTable) -> dict[str, Callable[[], object]]:
    """Return what carries out each command, by its name."""
    rows, variants = table.rows, table.variants
    found: dict[str, Callable[[], object]] = {
        "cut": rows.cut,
        "copy": rows.copy,
        "paste": rows.paste,
        "add_row": rows.add_row,
        "rename_row": rows.rename_row,
        "remove_row": rows.remove_row,
        "swaps": rows.look_for_swaps,
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
        "show_inci": table.toggle_inci,
    }
    found |= {f"to_{phase}": partial(rows.to_phase, phase) for phase in PHASES}
    return found
