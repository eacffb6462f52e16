"""Why: the ingredients that move a reading, as the engine says, largest first."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication

from designer.window.recipe.readings import Readings
from designer.window.recipe.why import Why


@pytest.fixture
def view(qtbot, document):
    why = Why(document)
    qtbot.addWidget(why)
    why.resize(388, 140)
    why.show()
    why.activateWindow()
    qtbot.waitUntil(why.isActiveWindow)
    return why


def test_firmness_is_explained_until_another_reading_is_chosen(qtbot, document, view):
    assert view.causes.title.startswith("firmness")
    readings = Readings(document)
    qtbot.addWidget(readings)
    readings.chosen.connect(view.show_reading)
    readings.show()
    readings.view.setFocus()
    qtbot.keyClick(readings.view, Qt.Key.Key_Down)
    assert view.causes.title.startswith("surfactant powder")


def test_the_largest_come_first_and_more_can_be_walked_to(qtbot, view):
    sizes = [abs(cause.value) for cause in view.causes.causes]
    assert sizes == sorted(sizes, reverse=True)
    assert view.shown == view.causes.causes[: len(view.shown)]
    assert len(view.shown) == 6
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Down)
    assert view.shown[0] == view.causes.causes[1]
    qtbot.keyClick(view, Qt.Key.Key_End)
    assert view.shown[-1] == view.causes.causes[-1]
    qtbot.keyClick(view, Qt.Key.Key_Down)
    assert view.shown[-1] == view.causes.causes[-1]
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert view.shown[0] == view.causes.causes[0]


def test_an_edit_is_followed(qtbot, document, view):
    before = view.causes
    with qtbot.waitSignal(document.evaluated):
        document.edit("Room", document.recipe.with_bench(room=308.15))
    assert view.causes != before


def test_what_has_no_part_of_an_ingredient_says_so(view):
    view.show_reading("dough_temperature")
    assert view.causes.causes == ()
    assert "no part of an ingredient is known" in view.accessibleDescription()


def test_the_causes_are_told_in_words(view):
    first = view.causes.causes[0]
    assert f"{first.name} {first.words}" in view.accessibleDescription()


def test_copy_takes_all_causes_also_those_out_of_view(qtbot, view):
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    head, *lines = QGuiApplication.clipboard().text().split("\n")
    assert head == view.causes.title
    assert [tuple(line.split("\t")) for line in lines] == [
        (cause.name, cause.words) for cause in view.causes.causes
    ]
    assert len(lines) > len(view.shown)
