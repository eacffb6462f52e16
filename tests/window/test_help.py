"""Help: words, keys, about, the numbers of the plots."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence

from designer import __version__
from designer.vocabulary import BAR_WORDS, PHASES, STATES
from designer.window.actions import COMMANDS
from designer.window.main_window import MainWindow


@pytest.fixture
def window(document, qtbot):
    made = MainWindow(document)
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.complete()
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    yield made
    made.filing.discard()


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
