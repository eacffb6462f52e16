"""A window on the page Checks, and what its tests do with it."""

import pytest
from PySide6.QtCore import Qt

from designer.window.main_window import MainWindow
from tests.window.conftest import in_use

CTRL = Qt.KeyboardModifier.ControlModifier
WEAK = "weak_preservative_bar"


@pytest.fixture
def opened(qtbot, open_recipe):
    """Return a function that opens a recipe's window on the page Checks, its checks told."""
    made = []

    def opening(source=WEAK):
        window = MainWindow(open_recipe(source))
        qtbot.addWidget(window)
        window.resize(1280, 800)
        window.complete()
        made.append(in_use(qtbot, window))
        qtbot.keyClick(window, Qt.Key.Key_5, CTRL)
        page = window.pages.current
        qtbot.waitUntil(lambda: is_told(page), timeout=20_000)
        return window, page

    yield opening
    for window in made:
        window.filing.discard()


def is_told(page):
    """Return whether all is told, the acid too, which comes last."""
    return page.told is not None and page.told.keeping is not None


def told_anew(qtbot, page, do):
    """Do something, and wait for the checks that follow it."""
    before = page.told
    do()
    qtbot.waitUntil(lambda: page.told is not before and is_told(page), timeout=20_000)


def typed(qtbot, field, text):
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, Qt.Key.Key_Return)
