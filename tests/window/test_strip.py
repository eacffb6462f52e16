"""Messages below the menus."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from designer.window.strip import Strip


@pytest.fixture
def strip(qapp, qtbot):
    holder = QWidget()
    made = Strip()
    made.setParent(holder)
    qtbot.addWidget(holder)
    holder.resize(900, 200)
    holder.show()
    yield made
    holder.close()


def test_it_takes_no_room_without_a_message(strip):
    assert not strip.isVisible()
    strip.show_message("save", "Not saved.")
    assert strip.isVisible()
    strip.drop("save")
    assert not strip.isVisible()


def test_a_key_does_what_it_says_and_puts_the_message_away(strip, qtbot):
    done = []
    strip.show_message("left", "Oat bar has changes.", [("Open them", lambda: done.append("open"))])
    key = strip.messages["left"].keys[0]
    assert key.accessibleName() == "Open them"
    qtbot.mouseClick(key, Qt.MouseButton.LeftButton)
    assert done == ["open"]
    assert strip.messages == {}


def test_a_key_works_by_the_keyboard(strip, qtbot):
    done = []
    strip.show_message("left", "Oat bar has changes.", [("Discard", lambda: done.append("gone"))])
    key = strip.messages["left"].keys[0]
    key.setFocus()
    qtbot.keyClick(key, Qt.Key.Key_Space)
    assert done == ["gone"]


def test_a_message_of_the_same_name_takes_the_place_of_the_first(strip):
    strip.show_message("save", "The disk is full.")
    strip.show_message("save", "The disk can only be read.")
    assert [message.label.text() for message in strip.messages.values()] == [
        "The disk can only be read."
    ]


def test_a_key_may_show_a_message_of_the_same_name(strip, qtbot):
    strip.show_message("save", "One.", [("Again", lambda: strip.show_message("save", "Two."))])
    qtbot.mouseClick(strip.messages["save"].keys[0], Qt.MouseButton.LeftButton)
    assert strip.messages["save"].label.text() == "Two."
    assert strip.isVisible()


def test_every_message_can_be_put_away(strip, qtbot):
    strip.show_message("missing", "It is gone.")
    (key,) = strip.messages["missing"].keys
    assert key.text() == "Close"
    qtbot.mouseClick(key, Qt.MouseButton.LeftButton)
    assert not strip.isVisible()


def test_a_long_text_is_shown_whole_and_as_it_stands(strip):
    text = "<b>bar</b> " * 60
    strip.show_message("error", text)
    label = strip.messages["error"].label
    assert label.text() == text
    assert label.textFormat() == Qt.TextFormat.PlainText
    assert label.hasHeightForWidth()
    assert strip.messages["error"].accessibleName() == text
