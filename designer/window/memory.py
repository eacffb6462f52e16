"""Memory: garbage is found in the window's thread alone, and what results used is given back."""

import ctypes
import gc

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QAbstractScrollArea, QWidget

__all__ = ["Collector", "Returning", "release"]

_IDLE = 1500
"""Time [ms] without a new result after which memory is given back."""


_PACE = 1000
"""Time [ms] between two looks for garbage; young garbage is most of it."""

_WHOLE = 5
"""Each so many looks go over all that was made since the start."""


class Collector(QObject):
    """Looks for garbage, always in the thread of the window.

    Left to itself the interpreter looks in whichever thread happens to ask for memory. What the
    worker finds then may be a widget, and a widget taken down outside its thread ends the program.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._looks = 0
        self._timer = QTimer(self)
        self._timer.setInterval(_PACE)
        self._timer.timeout.connect(self.look)

    def settle(self) -> None:
        """Look for garbage from now on, but not among what the start has made: it all stays."""
        if self._timer.isActive():
            return
        gc.disable()
        gc.collect()
        gc.freeze()
        self._timer.start()

    def look(self) -> None:
        """Look among what is young; each fifth time among all."""
        self._looks += 1
        gc.collect(1 if self._looks % _WHOLE else 2)


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
