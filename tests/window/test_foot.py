"""The foot: keys of the part in use, the last step, what was not taken, when it was saved."""

from datetime import datetime

import pytest
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from designer.errors import ReadableError
from designer.window.foot import GENERAL, Foot


class Part(QWidget):
    """A part with keys and an editor inside."""

    def __init__(self):
        super().__init__()
        self.editor = QLineEdit(self)

    def keys(self):
        return [("Q", "fill up"), ("H", "hold")]


@pytest.fixture
def window(qtbot, document):
    window = QWidget()
    layout = QVBoxLayout(window)
    window.part, window.other, window.foot = Part(), QLineEdit(), Foot(document)
    for widget in (window.part, window.other, window.foot):
        layout.addWidget(widget)
    window.resize(900, 200)
    qtbot.addWidget(window)
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    return window


def test_the_keys_of_the_part_in_focus_are_told_also_from_inside_it(window):
    window.part.editor.setFocus()
    assert window.foot.keys_text == "Q fill up   H hold"
    window.other.setFocus()
    assert window.foot.keys_text == "   ".join(f"{key} {words}" for key, words in GENERAL)


def test_the_last_step_is_told_and_gone_when_it_was_taken_back(document, window):
    assert window.foot.step_text == ""
    document.edit("Room 21 °C → 24 °C", document.recipe.with_bench(room=297.15))
    assert window.foot.step_text == "Ctrl Z takes back: Room 21 °C → 24 °C"
    document.undo_stack.undo()
    assert window.foot.step_text == ""


def test_what_was_refused_stands_there_until_it_is_mended(document, window):
    document.edit("Room", document.recipe.with_bench(room=297.15))
    document.refuse(ReadableError("Betaine", "14..5 is not a number.", "Type 14.5."))
    assert window.foot.step_text == "Not taken: 14..5 is not a number."
    assert "14..5" in window.foot.accessibleDescription()
    document.refuse(None)
    assert window.foot.step_text == "Ctrl Z takes back: Room"


def test_it_says_whether_and_when_the_recipe_was_saved(qtbot, document, window, tmp_path):
    assert window.foot.saved_text == "not saved yet"
    with qtbot.waitSignal(document.saved):
        document.save_as(tmp_path / "oat.toml")
    assert isinstance(document.saved_at, datetime)
    time = f"{document.saved_at:%H:%M}"
    assert window.foot.saved_text == f"saved {time}"
    document.edit("Room", document.recipe.with_bench(room=297.15))
    assert window.foot.saved_text == f"changed since {time}"


def test_a_tip_takes_the_place_of_the_keys_and_gives_it_back(window):
    before = window.foot.grab().toImage()
    window.foot.show_tip("Adds a row")
    assert window.foot.grab().toImage() != before
    window.foot.show_tip("")
    assert window.foot.grab().toImage() == before


def test_a_long_step_never_reaches_the_other_end(document, window):
    document.edit("x" * 500, document.recipe.with_bench(room=297.15))
    window.resize(400, 200)
    window.foot.grab()
    assert window.foot.width() <= 400
