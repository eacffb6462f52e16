"""Text that is only painted can be copied too."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QContextMenuEvent, QGuiApplication
from PySide6.QtWidgets import QApplication

from designer.errors import ReadableError


def copied_from(qtbot, widget):
    """Click with the other button, choose what is offered, and return the clipboard."""
    QGuiApplication.clipboard().clear()
    at = QPoint(30, 12)
    qtbot.mouseClick(widget, Qt.MouseButton.RightButton, pos=at)
    # The platform asks for the menu on its own; offscreen there is none that would.
    asked = QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, widget.mapToGlobal(at))
    QApplication.sendEvent(widget, asked)
    qtbot.waitUntil(lambda: QApplication.activePopupWidget() is not None)
    qtbot.keyClick(QApplication.activePopupWidget(), Qt.Key.Key_C)
    return QGuiApplication.clipboard().text()


@pytest.mark.parametrize("part", ["headline", "problem", "foot"])
def test_the_other_button_copies_sentence_refusal_and_foot(demo_window, qtbot, document, part):
    document.refuse(ReadableError("Betaine", "14..5 is not a number.", "Type 14.5."))
    widget, text = {
        "headline": (demo_window.page.headline, demo_window.page.headline.text),
        "problem": (demo_window.page.notes.problem, "14..5 is not a number. Type 14.5."),
        "foot": (demo_window.foot, "Not taken: 14..5 is not a number."),
    }[part]
    assert copied_from(qtbot, widget) == text


def test_a_foot_with_nothing_to_say_leaves_the_clipboard(demo_window, qtbot):
    assert copied_from(qtbot, demo_window.foot) == ""
