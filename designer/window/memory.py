"""Memory: no search for garbage among what stays, and what results used is given back."""

import ctypes
import gc

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

__all__ = ["Returning", "release", "settle"]

_IDLE = 1500
"""Time [ms] without a new result after which memory is given back."""


def settle() -> None:
    """Look for garbage from now on, but not among what the start has made: it all stays."""
    gc.collect()
    gc.freeze()
    gc.enable()


def release(window: QWidget) -> None:
    """Let go of what the scroll areas of a window hold, once the window is destroyed.

    PySide never frees a scroll area of ours, and each one leads to the recipe and its results:
    ten megabytes for every window that was closed.
    """
    areas = window.findChildren(QAbstractScrollArea)

    def let_go() -> None:
        for area in areas:
            vars(area).clear()

    window.destroyed.connect(let_go)


class Returning(QObject):
    """Gives memory back to the system in a quiet moment.

    Evaluating takes some ten megabytes for a moment; the C library keeps them though nobody needs
    them, up to a twentieth of all.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_IDLE)
        self._timer.timeout.connect(self._give_back)
        # Other C libraries than the GNU one have no such function, and need none.
        self._trim = getattr(ctypes.CDLL(None), "malloc_trim", None)

    def expect(self) -> None:
        """Give back before long, counted from now."""
        self._timer.start()

    def _give_back(self) -> None:
        if self._trim is not None:
            self._trim(0)
