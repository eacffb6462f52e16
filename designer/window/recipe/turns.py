"""Who is painted first after a key: the numbers, and then the plots, one at a time."""

from collections.abc import Sequence

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["Turns"]

_LONGEST = 100
"""How long [ms] a plot waits for a result at most: what slides on it must not stand still."""


class Turns(QObject):
    """Lets plots wait from a change of the recipe until its result is there.

    What slides or is painted late on a plot would come between a key and its numbers. With the
    result the plots take their turns, and the next key may come between two of them.

    Parameters
    ----------
    document : Document
    plots : sequence of QWidget
        What takes long to paint, in the order of the turns.
    """

    def __init__(self, document: Document, plots: Sequence[QWidget], parent: QObject) -> None:
        super().__init__(parent)
        self._plots = plots
        self._waiting: list[QWidget] = []
        self._patience = QTimer(self, singleShot=True, interval=_LONGEST)
        self._patience.timeout.connect(self._begin)
        self._turn = QTimer(self, singleShot=True, interval=0)
        self._turn.timeout.connect(self._next)
        document.changed.connect(self._hold)
        document.evaluated.connect(self._begin)
        document.failed.connect(self._begin)

    def _hold(self, _recipe: object) -> None:
        self._turn.stop()
        # A plot that was about to be painted waits no longer than from the first of many keys.
        if not self._patience.isActive():
            self._patience.start()
        self._waiting = list(self._plots)
        for plot in self._plots:
            plot.setUpdatesEnabled(False)

    def _begin(self, _result: object = None) -> None:
        self._patience.stop()
        self._turn.start()

    def _next(self) -> None:
        if self._waiting:
            plot = self._waiting.pop(0)
            plot.setUpdatesEnabled(True)
            # At once: what is only marked to be painted would be, before the numbers of a next key.
            plot.repaint()
        if self._waiting:
            self._turn.start()
