"""Help: words, keys, about, the numbers of the plots."""

from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import QApplication

from designer import __version__
from designer.vocabulary import BAR_WORDS, PHASES, STATES
from designer.window.actions import COMMANDS


@pytest.fixture
def window(demo_window):
    return demo_window


def shown(window, name):
    return window.help._open[name]


def test_the_words_of_the_window_are_explained(window, qtbot):
    qtbot.keyClick(window, Qt.Key.Key_F1)
    text = shown(window, "words").text.toPlainText()
    for word in (
        *STATES,
        *PHASES,
        *BAR_WORDS,
        "q.s.",
        "held",
        "wetness",
        "known good",
        "wrap from",
    ):
        assert word in text


def test_every_key_of_the_table_is_listed(window, qtbot):
    qtbot.keyClick(window, Qt.Key.Key_F1, Qt.KeyboardModifier.ControlModifier)
    text = shown(window, "keys").text.toPlainText()
    for one in COMMANDS:
        for key in one.keys:
            assert QKeySequence(key).toString() in text
            assert one.tip in text


def test_the_keys_of_each_part_are_listed(window):
    window.help.show_keys()
    text = " ".join(shown(window, "keys").text.toPlainText().split())
    for part in window.page.parts().values():
        for key, words in part.keys() if hasattr(part, "keys") else ():
            assert " ".join(key.split()) in text
            assert " ".join(words.split()) in text


def test_about_tells_version_licences_limits_and_cautions(window):
    window.commands["about"].trigger()
    text = shown(window, "about").text.toPlainText()
    for word in (__version__, "MIT", "SIL OPEN FONT LICENSE", "LGPL", "cannot know", "FFP2"):
        assert word.lower() in text.lower()
    assert "is safe." in text
    assert "never says that a product is safe" in text


def test_help_leaves_the_window_in_use_and_its_text_can_be_copied(window, qtbot):
    window.help.show_words()
    dialog = shown(window, "words")
    assert not dialog.isModal()
    assert dialog.text.textInteractionFlags() & Qt.TextInteractionFlag.TextSelectableByKeyboard
    dialog.text.selectAll()
    dialog.text.copy()
    assert "sticky" in QGuiApplication.clipboard().text()


def test_the_same_help_opens_once_and_escape_closes_it(window, qtbot):
    window.help.show_words()
    window.help.show_words()
    assert list(window.help._open) == ["words"]
    qtbot.keyClick(shown(window, "words"), Qt.Key.Key_Escape)
    assert window.help._open == {}


def test_the_window_takes_its_help_with_it(window):
    window.help.show_words()
    dialog = shown(window, "words")
    window.filing.discard()
    assert not dialog.isVisible()


@pytest.mark.parametrize("part", ["map", "clock"])
def test_the_numbers_of_a_plot_are_a_table_that_can_be_copied(window, qtbot, document, part):
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    window.page.go_to(part)
    qtbot.keyClick(window, Qt.Key.Key_F7)
    dialog = shown(window, "numbers")
    head, rows = getattr(window.page, part).numbers()
    assert dialog.table.rowCount() == len(rows) > 10
    assert dialog.table.columnCount() == len(head)
    assert part in dialog.windowTitle()
    qtbot.mouseClick(dialog.copy, Qt.MouseButton.LeftButton)
    lines = QGuiApplication.clipboard().text().split("\n")
    assert lines[0].split("\t") == list(head)
    assert lines[-1].split("\t") == list(rows[-1])


def shown_rows(table):
    return [
        tuple(table.item(row, column).text() for column in range(table.columnCount()))
        for row in range(table.rowCount())
    ]


@pytest.mark.parametrize("part", ["map", "clock"])
def test_the_numbers_follow_the_recipe_while_they_are_open(window, qtbot, document, part):
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    window.page.go_to(part)
    qtbot.keyClick(window, Qt.Key.Key_F7)
    dialog, plot = shown(window, "numbers"), getattr(window.page, part)
    before = shown_rows(dialog.table)
    dialog.table.setCurrentCell(9, 2)
    dialog.table.verticalScrollBar().setValue(3)
    with qtbot.waitSignal(document.mapped, timeout=20_000):
        document.edit("Room", document.recipe.with_bench(room=299.15, bath=350.0))
    qtbot.waitUntil(lambda: shown_rows(dialog.table) == list(plot.numbers()[1]))
    assert shown_rows(dialog.table) != before
    assert (dialog.table.currentRow(), dialog.table.currentColumn()) == (9, 2)
    assert dialog.table.verticalScrollBar().value() == 3


def test_the_numbers_are_gone_with_the_ingredients_and_back_with_undo(window, qtbot, document):
    window.page.go_to("clock")
    qtbot.keyClick(window, Qt.Key.Key_F7)
    table = shown(window, "numbers").table
    rows = shown_rows(table)
    document.edit("Clear", replace(document.recipe, rows=()))
    qtbot.waitUntil(lambda: table.rowCount() == 0, timeout=20_000)
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: shown_rows(table) == rows, timeout=20_000)


def test_numbers_that_are_late_say_so(window, qtbot, document):
    qtbot.keyClick(window, Qt.Key.Key_F7)
    dialog = shown(window, "numbers")
    assert dialog.note.text() == ""
    document.changed.emit(document.recipe)
    dialog._working.timeout.emit()
    assert "working" in dialog.note.text()
    document.evaluated.emit(document.evaluation)
    assert dialog.note.text() == ""


def test_closed_numbers_leave_the_window_at_work(window, qtbot, document):
    qtbot.keyClick(window, Qt.Key.Key_F7)
    dialog = shown(window, "numbers")
    gone = []
    dialog.destroyed.connect(lambda: gone.append(True))
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: gone == [True])
    with qtbot.waitSignal(document.mapped, timeout=20_000):
        document.edit("Room", document.recipe.with_bench(room=299.15))


def copied(qtbot, widget):
    QGuiApplication.clipboard().clear()
    qtbot.keyClick(widget, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    return QGuiApplication.clipboard().text()


def test_copy_takes_the_numbers_chosen_and_all_of_them_where_none_are(window, qtbot):
    window.page.go_to("clock")
    qtbot.keyClick(window, Qt.Key.Key_F7)
    table = shown(window, "numbers").table
    head, rows = window.page.clock.numbers()
    table.setFocus()
    whole = [tuple(line.split("\t")) for line in copied(qtbot, table).split("\n")]
    assert whole == [tuple(head), *rows]
    table.setCurrentCell(2, 1)
    assert copied(qtbot, table) == rows[2][1]
    for _ in range(2):
        qtbot.keyClick(table, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(table, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    block = ["\t".join(row[1:3]) for row in rows[2:5]]
    assert copied(qtbot, table) == "\n".join(block)


def test_the_sentence_is_copied_from_wherever_the_focus_is(window, qtbot):
    shift = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    for part in ("facts", "table", "notes", "clock"):
        window.page.go_to(part)
        QGuiApplication.clipboard().clear()
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_C, shift)
        assert QGuiApplication.clipboard().text() == window.page.headline.text
