"""Whether a result is on its way for so long that the old numbers must be told apart."""

from PySide6.QtCore import QObject, QTimer, Signal

from designer.document import Document

__all__ = ["Working"]

_PATIENCE = 300


class Working(QObject):
    """Tells when a result has been awaited for more than 300 ms, and when it is there.

    Signals
    -------
    changed(bool)
    """

    changed = Signal(bool)

    def __init__(self, document: Document, parent: QObject) -> None:
        super().__init__(parent)
        self.now = False
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_PATIENCE)
        self._timer.timeout.connect(lambda: self._set(True))
        document.changed.connect(self._start)
        document.evaluated.connect(self._stop)
        document.failed.connect(self._stop)
        if document.evaluation is None:
            self._timer.start()

    def _start(self, _recipe: object) -> None:
        # A burst of edits is one wait: it counts from its first edit.
        if not self._timer.isActive() and not self.now:
            self._timer.start()

    def _stop(self, _result: object) -> None:
        self._timer.stop()
        self._set(False)

    def _set(self, working: bool) -> None:
        if working != self.now:
            self.now = working
            self.changed.emit(working)
