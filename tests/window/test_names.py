"""What a screen reader meets, and the order in which keys reach it."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication, QWidget


@pytest.fixture
def window(demo_window):
    return demo_window


def focusable(window):
    """Return all widgets that the focus can reach by key or click."""
    return [
        widget
        for widget in window.findChildren(QWidget)
        if widget.focusPolicy() != Qt.FocusPolicy.NoFocus and widget.focusProxy() is None
    ]


def name(widget):
    return QAccessible.queryAccessibleInterface(widget).text(QAccessible.Text.Name)


def test_every_widget_that_takes_the_focus_has_a_name(window):
    window.strip.show_message("save", "Not saved.", [("Save as…", lambda: None)])
    found = focusable(window)
    assert len(found) > 10
    assert [type(widget).__name__ for widget in found if not name(widget).strip()] == []


def test_so_has_every_widget_of_the_help(window, qtbot):
    for show in (window.help.show_words, window.help.show_keys, window.help.show_about):
        show()
    window.help.show_numbers()
    for dialog in window.help._open.values():
        for widget in focusable(dialog):
            assert name(widget).strip(), widget


def test_every_part_has_a_name_of_its_own(window):
    names = [part.accessibleName() for part in window.page.parts().values()]
    assert all(names)
    assert len(set(names)) == len(names)


def test_tab_goes_through_the_parts_in_the_order_of_work(window, qtbot):
    page = window.page
    page.go_to("facts")
    met = []
    for _ in range(200):
        part = page.part_in_focus()
        if part and (not met or met[-1] != part):
            met.append(part)
        if len(met) > 1 and met[-1] == met[0]:
            break
        QApplication.focusWidget().focusNextPrevChild(True)
    met = list(dict.fromkeys(met))
    assert met == [part for part in page.parts() if part in met]
    assert {"facts", "table", "map", "readings", "clock"} <= set(met)


def test_the_sentence_is_the_description_of_the_window(window):
    interface = QAccessible.queryAccessibleInterface(window)
    told = interface.text(QAccessible.Text.Description)
    assert told == window.page.headline.text
    assert "of 20" in told
