"""Nothing that is being typed is lost by saving, closing, undo, or a key of another meaning."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from designer.recipe import file

from .conftest import answer, change, question

# --- what is being typed


def test_typed_notes_are_saved_and_asked_about(application, window, bar, qtbot):
    field = window.page.notes.field
    field.setFocus()
    qtbot.keyClicks(field, "Sieve the oat flour.")
    with qtbot.waitSignal(window.document.saved):
        qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert "Sieve the oat flour." in file.read(bar).notes
    field.setFocus()
    qtbot.keyClicks(field, " Twice.")
    window.close()
    answer(qtbot, window, "Keep open")
    assert window.document.recipe.notes.startswith("Sieve the oat flour. Twice.")


def test_typed_notes_reach_the_recipe_after_a_pause_as_one_step(window, qtbot):
    field, document = window.page.notes.field, window.document
    before = document.recipe.notes
    field.setFocus()
    qtbot.keyClicks(field, "one")
    qtbot.waitUntil(lambda: document.recipe.notes.startswith("one"))
    qtbot.keyClicks(field, " two")
    qtbot.waitUntil(lambda: document.recipe.notes.startswith("one two"))
    assert document.undo_stack.count() == 1
    qtbot.keyClick(field, Qt.Key.Key_Escape)
    assert document.recipe.notes == before
    assert document.undo_stack.count() == 0


def test_a_fact_and_a_cell_that_are_open_are_saved_as_typed(application, window, bar, qtbot):
    room = window.page.facts.fields["Room"]
    qtbot.mouseClick(room, Qt.MouseButton.LeftButton)
    qtbot.keyClicks(room, "31")
    with qtbot.waitSignal(window.document.saved):
        qtbot.keyClick(room, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert file.read(bar).bench.room == pytest.approx(304.15)
    window.page.go_to("table")
    for letter in "7.7":  # the first opens the editor, which gets the rest
        qtbot.keyClicks(QApplication.focusWidget(), letter)
    with qtbot.waitSignal(window.document.saved):
        qtbot.keyClick(
            QApplication.focusWidget(), Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier
        )
    assert 7.7 in [row.percents.get("1") for row in file.read(bar).rows]


def test_closing_tells_of_a_text_that_was_refused(application, window, qtbot):
    room = window.page.facts.fields["Room"]
    qtbot.mouseClick(room, Qt.MouseButton.LeftButton)
    qtbot.keyClicks(room, "warm")
    window.close()
    qtbot.waitUntil(lambda: question(window) is not None and question(window).isVisible())
    assert "dashed frame" in question(window).informativeText()
    answer(qtbot, window, "Discard")
    qtbot.waitUntil(lambda: application.windows == [])


def test_giving_up_a_fact_keeps_what_was_undone_meanwhile(window, qtbot):
    document, room = window.document, window.page.facts.fields["Room"]
    change(window)
    qtbot.mouseClick(room, Qt.MouseButton.LeftButton)
    qtbot.keyClick(room, Qt.Key.Key_Up)
    for _ in range(2):
        document.undo_stack.undo()
    undone = document.recipe
    qtbot.keyClick(room, Qt.Key.Key_Escape)
    assert document.recipe == undone
    assert document.undo_stack.canRedo()


def test_ctrl_delete_in_an_editor_takes_a_word_not_a_row(window, qtbot):
    rows = len(window.document.recipe.rows)
    window.page.table.variants.rename()
    editor = window.page.table.header.editor
    qtbot.keyClicks(editor, "two words")
    qtbot.keyClick(editor, Qt.Key.Key_Home)
    qtbot.keyClick(editor, Qt.Key.Key_Delete, Qt.KeyboardModifier.ControlModifier)
    assert len(window.document.recipe.rows) == rows
    assert editor.text() == "words"
    qtbot.keyClick(editor, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert window.document.undo_stack.count() == 0


def test_the_focus_goes_back_to_the_table_when_a_message_is_answered(window, qtbot):
    window.strip.show_message("disk", "Something is so.", [("Close", lambda: None)])
    key = window.strip.messages["disk"].keys[0]
    key.setFocus()
    qtbot.mouseClick(key, Qt.MouseButton.LeftButton)
    assert window.page.part_in_focus() == "table"
