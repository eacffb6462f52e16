"""Typing into cells: opening an editor, taking what was typed, keeping what was refused."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, Qt
from PySide6.QtGui import QKeyEvent

from designer.errors import Notice, ReadableError
from designer.quantities import QS, read_percent, written
from designer.window import figures
from designer.window.recipe.table import edits
from designer.window.recipe.table.completions import Completions
from designer.window.recipe.table.editor import CellEditor
from designer.window.recipe.table.ingredients import material_named, row_named, usual_phase
from designer.window.recipe.table.lines import NEW, NewRow, Place
from designer.window.recipe.table.model import NAME, TAG

if TYPE_CHECKING:
    from designer.handbook import Material
    from designer.recipe import Row
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["Editing"]


class Editing(QObject):
    """The one editor of the cells. At most one is open; refused texts stay in their cells."""

    def __init__(self, table: RecipeTable) -> None:
        super().__init__(table)
        self._table = table
        self._place: Place | None = None
        self._errors: dict[Place, ReadableError] = {}
        self.editor: CellEditor | None = None
        self.choices: Completions | None = None

    @property
    def is_open(self) -> bool:
        """Whether something is being typed."""
        return self.editor is not None

    # --- opening

    def open_figure(self, text: str | None = None) -> None:
        """Let the figure in focus be typed: anew with a text, or as it is now."""
        table = self._table
        place = table.place()
        if place is None or not place[1]:
            return
        self.finish()
        row = table.lines.row_of(place)
        assert row is not None  # a place in focus is there
        name = edits.short(table.document.recipe.rows[row].name)
        refused = table.lines.refused.get(place)
        editor = CellEditor(table.viewport(), f"{name}, variant {place[1]}, percent")
        if text is not None:
            editor.setText(text)
            editor.setModified(True)
        elif refused is not None:
            editor.setText(refused)
            editor.setModified(True)
            editor.refuse()
        else:
            cell = table.document.recipe.rows[row].percents.get(place[1])
            editor.setText("" if cell is None else edits.text_of(cell))
            editor.selectAll()
        self._start(editor, place)

    def open_name(self) -> None:
        """Let another ingredient be put into the row in focus."""
        table = self._table
        place = table.place()
        if place is None:
            return
        self.finish()
        row = table.lines.row_of(place)
        assert row is not None  # a place in focus is there
        entry = table.document.recipe.rows[row]
        editor = CellEditor(table.viewport(), f"Ingredient in place of {entry.name[:60]}", True)
        editor.setText(entry.name)
        editor.selectAll()
        self._offer(editor, entry.phase)
        self._start(editor, (place[0], ""))

    def open_new(self, new: NewRow) -> None:
        """Let a new ingredient be named; there is no row until it has a name."""
        table = self._table
        self.finish()
        table.begin_new(new)
        editor = CellEditor(table.viewport(), "New ingredient", True)
        editor.setPlaceholderText("Name or INCI name")
        self._offer(editor, new.phase)
        self._start(editor, None)

    def _offer(self, editor: CellEditor, phase: str) -> None:
        table = self._table
        choices = Completions(table.window(), editor, table.document.handbook, phase)
        choices.itemClicked.connect(lambda _: self._leave("down"))
        self.choices = choices

        def offer(text: str) -> None:
            choices.offer(text)
            self._follow_choices()

        editor.textEdited.connect(offer)
        editor.installEventFilter(self)

    def _start(self, editor: CellEditor, place: Place | None) -> None:
        self.editor, self._place = editor, place
        editor.left_by.connect(self._leave)
        editor.textChanged.connect(lambda _: self.follow())
        self.follow()
        editor.show()
        editor.setFocus(Qt.FocusReason.OtherFocusReason)
        self._table.keys_changed.emit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Let arrows choose among the ingredients below the editor."""
        if self.choices is not None and watched is self.editor and isinstance(event, QKeyEvent):
            steps = {
                Qt.Key.Key_Up: -1,
                Qt.Key.Key_Down: 1,
                Qt.Key.Key_PageUp: -8,
                Qt.Key.Key_PageDown: 8,
            }
            if event.type() == QEvent.Type.KeyPress and event.key() in steps:
                if self.choices.isHidden() and self.editor is not None:
                    self.choices.offer(self.editor.text())
                    self._follow_choices()
                else:
                    self.choices.step(steps[Qt.Key(event.key())])
                return True
        return super().eventFilter(watched, event)

    # --- where it stands

    def follow(self) -> None:
        """Keep the editor over its cell; close it when the cell is gone."""
        if self.editor is None:
            return
        rect = self._cell()
        if rect is None:
            self._close()
            return
        self.editor.setGeometry(rect)
        self._follow_choices()

    def _cell(self) -> QRect | None:
        """Return the rectangle of the editor, None if its cell is gone."""
        table, editor = self._table, self.editor
        assert editor is not None  # asked only while one is open
        if self._place is None:
            lines = [n for n, line in enumerate(table.lines.lines) if line.kind == NEW]
            if not lines:
                return None
            index = table.lines.index(lines[0], NAME)
        else:
            index = table.lines.index_of(self._place)
            if not index.isValid():
                return None
        rect = table.visualRect(index)
        if index.column() == NAME:
            return rect.adjusted(8, -1, table.columnWidth(TAG), 1)
        rect = rect.adjusted(-1, -1, 1, 1)
        # A long text may reach over the names, which are not needed while it is typed.
        text = editor.text()[:200]
        wanted = round(editor.fontMetrics().horizontalAdvance(text)) + 18
        if wanted > rect.width():
            rect.setLeft(max(0, rect.right() - wanted))
        return rect

    def _follow_choices(self) -> None:
        if self.choices is not None and self.editor is not None and not self.choices.isHidden():
            at = self.editor.mapTo(self._table.window(), QPoint(0, 0))
            self.choices.place_below(QRect(at, self.editor.size()))

    # --- leaving

    def finish(self) -> None:
        """Take what is being typed and close the editor; a refused text stays in its cell."""
        self._leave("away")

    def take(self) -> None:
        """Take what is being typed; the editor stays open where it is refused."""
        self._leave("here")

    def _leave(self, how: str) -> None:
        """Take or give up what is typed, then go where the maker wants."""
        if self.editor is None:
            return
        if how == "escape":
            self._give_up()
        elif self._place is not None and self._place[1]:
            self._leave_figure(how, self._place)
        else:
            self._leave_name(how)

    def _leave_figure(self, how: str, place: Place) -> None:
        editor, table = self.editor, self._table
        assert editor is not None  # asked only while one is open
        taken = not editor.isModified() or self._take_figure(editor, place)
        if not taken:
            editor.refuse()
            if how in ("down", "up", "step", "here"):
                return
        self._close(back=how != "away")
        if how == "step":
            table.keyboard.step(editor.upwards, editor.modifiers)
        elif how != "away":
            table.go(how)

    def _take_figure(self, editor: CellEditor, place: Place) -> bool:
        """Put a typed figure into the recipe, or keep it as refused."""
        table, text = self._table, editor.text()
        row = table.lines.row_of(place)
        assert row is not None  # the editor closes with its row
        try:
            self.type_figure(row, place[1], text)
        except ReadableError as error:
            self.keep_refused(place, text, error)
            return False
        self.forget(place)
        return True

    def type_figure(self, row: int, number: str, text: str) -> None:
        """Take a typed figure.

        Raises
        ------
        ReadableError
            It is refused; nothing has changed.
        """
        recipe = self._table.document.recipe
        cell = read_percent(text, recipe.bench.batch_mass)
        before = recipe.rows[row].percents.get(number)
        after = edits.with_cell(recipe, row, number, cell)
        self._table.change(edits.stepped(recipe, row, number, before, cell), after)

    def _leave_name(self, how: str) -> None:
        editor, table = self.editor, self._table
        assert editor is not None  # asked only while one is open
        chosen = self.choices.chosen() if self.choices is not None and how != "away" else None
        name = " ".join((chosen.name if chosen else editor.text()).split())
        material = chosen.material if chosen else self._meant(name)
        changed = editor.isModified() or chosen is not None
        place = self._place
        if how == "away" and material is None:
            # Half a name is no ingredient: only Enter takes what the tables do not hold.
            self._close()
            if changed and name:
                self._tell_left(place, name)
            return
        if place is None:
            done = not name or self._add(name, material)
        else:
            done = not changed or self._rename(place, name, material)
        if not done:
            editor.refuse()
            if self.choices is not None:
                self.choices.hide()
            if how != "away":
                return
        self._close(back=how != "away")
        if place is not None and how in ("next", "previous"):
            table.go(how)

    def _meant(self, name: str) -> Material | None:
        """Return the one material that a name as typed means."""
        phase = self.choices.phase if self.choices is not None else "powder"
        return material_named(self._table.document.handbook, name, phase)

    def _add(self, name: str, material: Material | None) -> bool:
        """Add the new row; return whether its name was taken.

        What the handbook knows goes to its usual phase, another one stays where it was typed.
        """
        table = self._table
        new, recipe = table.lines.new, table.document.recipe
        assert new is not None  # it is open while a new row is named
        phase = usual_phase(material) if material is not None else new.phase
        try:
            row = row_named(table.document.handbook, name, phase)
            at = new.after + 1 if phase == new.phase else edits.end_of(recipe, phase)
            after = recipe.add_row(row, at)
        except ReadableError as error:
            table.telling.tell(error)
            return False
        table.begin_new(None)
        table.change(f"Add {edits.short(row.name)}", after)
        table.telling.tell(None)
        table.focus_row(at, table.document.recipe.active.number)
        self._tell_unknown(row)
        return True

    def _rename(self, place: Place, name: str, material: Material | None) -> bool:
        """Put another ingredient into a row; return whether its name was taken."""
        table = self._table
        index, recipe = table.lines.row_of(place), table.document.recipe
        assert index is not None  # the editor closes with its row
        row = recipe.rows[index]
        try:
            if name == row.name:
                return True
            phase = self._phase_of(material, row)
            named = row_named(table.document.handbook, name, phase)
            other = replace(
                row, phase=phase, name=named.name, inci=named.inci, given_class=named.given_class
            )
            after, at = edits.replaced(recipe, index, other)
        except ReadableError as error:
            table.telling.tell(error)
            return False
        moved = f", moved to {phase}" if phase != row.phase else ""
        text = f"{edits.short(row.name)} {edits.ARROW} {edits.short(other.name)}{moved}"
        table.change(text, after)
        table.telling.tell(None)
        if moved:
            table.focus_row(at, table.current_number())
        self._tell_unknown(other)
        return True

    def _phase_of(self, material: Material | None, before: Row) -> str:
        """Return the phase of what takes the place of a row: its usual one, as of a new row.

        A row put elsewhere by hand stays there for an ingredient of the same usual phase.
        """
        if material is None:
            return before.phase
        handbook, usual = self._table.document.handbook, usual_phase(material)
        was = handbook.find(before.name, before.phase)
        if was is not None and usual_phase(was) == usual:
            return before.phase
        return usual

    def _tell_left(self, place: Place | None, name: str) -> None:
        """Tell that a name that was left half typed was not taken."""
        table = self._table
        row = table.lines.row_of(place) if place is not None else None
        problem = f"“{edits.short(name)}” was not added."
        if row is not None:
            old = edits.short(table.document.recipe.rows[row].name)
            if name == old:
                return
            problem = f"“{edits.short(name)}” was not put in place of {old}."
        advice = "Press Enter to take a name that the tables do not hold."
        table.telling.tell(Notice("Ingredients", problem, advice), stays=True)

    def _tell_unknown(self, row: Row) -> None:
        """Tell once what the mark behind an ingredient means that the tables do not hold."""
        if row.given_class is None or self._table.lines.is_known(row):
            return
        self._table.telling.tell(
            Notice(
                "Ingredients",
                f"“{edits.short(row.name)}” is not in the tables.",
                f"It is taken as a middling {row.given_class}; "
                "move it to another phase to change that.",
            )
        )

    def _give_up(self) -> None:
        """Bring back what was there."""
        if self._place is not None:
            self.forget(self._place)
        self._table.telling.tell(None)
        self._close(back=True)

    def _close(self, back: bool = False) -> None:
        editor, self.editor = self.editor, None
        choices, self.choices = self.choices, None
        self._place = None
        if choices is not None:
            choices.hide()
            choices.deleteLater()
        if editor is None:
            return
        # Hiding what has the focus would send it on to the next widget.
        if back or editor.hasFocus():
            self._table.setFocus(Qt.FocusReason.OtherFocusReason)
        editor.put_away()
        self._table.begin_new(None)
        self._table.keys_changed.emit()

    # --- refused texts

    def keep_refused(self, place: Place, text: str, error: ReadableError) -> None:
        """Keep a refused text in its cell and tell why it was refused."""
        self._errors[place] = told = self._with_way_back(place, error)
        self._table.lines.refused[place] = text
        self._table.repaint_place(place)
        self._table.document.refuse(told)

    def forget(self, place: Place) -> None:
        """Forget the refused text of a cell, and tell what is refused still."""
        if self._table.lines.refused.pop(place, None) is not None:
            self._table.repaint_place(place)
        self._errors.pop(place, None)
        self.tell_rest()

    def tell_rest(self) -> None:
        """Tell the newest text that is refused still, or that none is."""
        refused = self._table.lines.refused
        for place in [one for one in self._errors if one not in refused]:
            del self._errors[place]
        self._table.document.refuse(next(reversed(self._errors.values()), None))

    def _with_way_back(self, place: Place, error: ReadableError) -> ReadableError:
        """Return the reason with what Esc brings back, and a figure as it may be typed."""
        recipe = self._table.document.recipe
        row = self._table.lines.row_of(place)
        assert row is not None  # the text was typed there
        cell = recipe.rows[row].percents.get(place[1])
        shown = f"{cell:.2f}" if isinstance(cell, int | float) else edits.text_of(cell)
        # "q.s." ends with the dot that ends the sentence.
        back = "Esc leaves it empty." if cell is None else f"Esc brings back {shown.rstrip('.')}."
        advice = error.advice
        if "is not a number" in error.problem and cell is not None and cell is not QS:
            grams = written(float(cell) / 100 * recipe.bench.batch_mass, "mass")
            advice = f"Type {shown} or {figures.spaced(grams)}, for example."
        name = edits.short(recipe.rows[row].name)
        return ReadableError(f"{name}, variant {place[1]}", error.problem, f"{advice} {back}")
