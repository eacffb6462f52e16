"""Notes are edited in place, one step a session; what was refused stands above them."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from designer.errors import ReadableError
from designer.recipe import Recipe, Row
from designer.window.recipe.notes import Notes

KEY, CONTROL = Qt.Key, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def document(open_recipe):
    return open_recipe(Recipe("Oat bar", rows=(Row("powder", "oat flour", {"1": 100.0}),)))


@pytest.fixture
def notes(qtbot, document):
    window = QWidget()
    layout = QVBoxLayout(window)
    part, other = Notes(document), QLineEdit()
    layout.addWidget(part)
    layout.addWidget(other)
    window.resize(500, 300)
    qtbot.addWidget(window)
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    part.other, part.outer = other, window
    return part


def test_a_session_of_typing_is_one_step_taken_over_when_the_focus_leaves(qtbot, document, notes):
    notes.field.setFocus()
    qtbot.keyClicks(notes.field, "3 Nov. New sack of oat flour.")
    qtbot.keyClick(notes.field, KEY.Key_Return)
    qtbot.keyClicks(notes.field, "Sieve first.")
    assert document.undo_stack.count() == 0
    qtbot.keyClick(notes.field, KEY.Key_Tab)
    assert notes.other.hasFocus()
    assert document.recipe.notes == "3 Nov. New sack of oat flour.\nSieve first."
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == "Notes"
    document.undo_stack.undo()
    assert notes.field.toPlainText() == ""


def test_ctrl_enter_takes_over_and_esc_brings_the_old_ones_back(qtbot, document, notes):
    notes.field.setFocus()
    qtbot.keyClicks(notes.field, "Stir.")
    qtbot.keyClick(notes.field, KEY.Key_Return, CONTROL)
    assert document.recipe.notes == "Stir."
    qtbot.keyClicks(notes.field, "Or not.")
    qtbot.keyClick(notes.field, KEY.Key_Escape)
    assert notes.field.toPlainText() == "Stir."
    notes.other.setFocus()
    assert document.undo_stack.count() == 1


def test_notes_that_were_only_looked_at_are_no_edit(qtbot, document, notes):
    document.edit("Notes", document.recipe.with_notes("a\tb\n\nc  "))
    notes.field.setFocus()
    notes.other.setFocus()
    assert document.undo_stack.count() == 1
    assert document.recipe.notes == "a\tb\n\nc  "


def test_the_notes_of_the_file_are_there(qtbot, open_recipe):
    notes = Notes(open_recipe("butter_bar"))
    qtbot.addWidget(notes)
    assert notes.field.toPlainText() == "Meant to be rich. Stays slack however long it is worked."
    assert not notes.field.document().isModified()


def test_an_edit_elsewhere_leaves_what_is_being_typed(qtbot, document, notes):
    notes.field.setFocus()
    qtbot.keyClicks(notes.field, "half a th")
    document.edit("Room", document.recipe.with_bench(room=300.15))
    assert notes.field.toPlainText() == "half a th"


def test_what_was_refused_is_said_with_what_to_type_until_it_is_mended(document, notes):
    assert not notes.problem.isVisible()
    height = notes.heightForWidth(480)
    document.refuse(ReadableError("Betaine", "14..5 is not a number.", "Type from -5 to 50."))
    assert notes.problem.isVisible()
    assert notes.problem.text == "14..5 is not a number. Type from −5 to 50."
    assert notes.problem.accessibleName() == notes.problem.text
    assert notes.heightForWidth(480) == height + 52
    document.refuse(None)
    assert not notes.problem.isVisible()
    assert notes.heightForWidth(480) == height


def test_a_recipe_that_cannot_be_evaluated_is_told_there_until_it_can(qtbot, document, notes):
    strange = Row("powder", "moon dust", dict.fromkeys(document.recipe.numbers, 2.0))
    with qtbot.waitSignal(document.failed):
        document.edit("Add moon dust", document.recipe.add_row(strange))
    assert "moon dust" in notes.problem.text
    assert "class" in notes.problem.text
    with qtbot.waitSignal(document.evaluated):
        document.undo_stack.undo()
    assert notes.problem.text == ""


def test_a_long_message_takes_the_lines_it_needs_and_stays_inside(document, notes):
    document.refuse(ReadableError("Name", "x" * 400 + ".", "word " * 80))
    assert len(notes.problem.lines(480)) > 5
    assert notes.minimumSizeHint().height() > notes.problem.geometry().bottom() > 100
    assert all(len(row) < 80 for row, _ in notes.problem.lines(480))


def test_ctrl_z_takes_back_typing_first_and_is_left_to_the_window_then(qtbot, document, notes):
    action = QAction("Undo", notes.outer)
    action.setShortcut(QKeySequence("Ctrl+Z"))
    action.triggered.connect(document.undo_stack.undo)
    notes.outer.addAction(action)
    document.edit("Bath", document.recipe.with_bench(bath=350.15))
    notes.field.setFocus()
    qtbot.keyClicks(notes.field, "x")
    qtbot.keyClick(notes.field, KEY.Key_Z, CONTROL)
    assert notes.field.toPlainText() == ""
    assert document.recipe.bench.bath == 350.15
    qtbot.keyClick(notes.field, KEY.Key_Z, CONTROL)
    assert document.recipe.bench.bath == 343.15
