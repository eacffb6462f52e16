"""Text that is only painted, copied by the other button of the mouse."""

from collections.abc import Callable

from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QMenu, QWidget

__all__ = ["offer_copy"]


def offer_copy(widget: QWidget, text: Callable[[], str]) -> None:
    """Let a click with the other button offer to copy what a widget says at that moment."""

    def copy() -> None:
        if words := text():
            QGuiApplication.clipboard().setText(words)

    def show(at: QPoint) -> None:
        menu = QMenu(widget)
        menu.aboutToHide.connect(menu.deleteLater)
        menu.addAction("&Copy").triggered.connect(copy)
        menu.popup(widget.mapToGlobal(at))  # a menu of actions would block the window

    widget.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
    widget.customContextMenuRequested.connect(show)
