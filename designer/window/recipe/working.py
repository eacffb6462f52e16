"""Whether a result is on its way for so long that the old numbers must be told apart."""

from PySide6.QtCore import QObject, QTimer, Signal

from designer.document import Document

__all__ = ["Late", "Working"]

_PATIENCE = 300
"""How long [ms] old numbers pass for new ones: shorter, every key press would flicker."""


class Late(QTimer):
    """A wait that is told of once it has lasted for more than 300 ms.

    Signals
    -------
    changed(bool)
    """

    changed = Signal(bool)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent, singleShot=True, interval=_PATIENCE)
        self.now = False
        self.timeout.connect(self._grow_late)

    def begin(self, _recipe: object = None) -> None:
        """Begin to wait; a burst of edits is one wait, which counts from its first edit."""
        if not self.isActive() and not self.now:
            self.start()

    def end(self, _result: object = None) -> None:
        """What was awaited is there, or is not wanted any more."""
        self.stop()
        self._set(False)

    def _grow_late(self) -> None:
        self._set(True)

    def _set(self, working: bool) -> None:
        if working != self.now:
            self.now = working
            self.changed.emit(working)


class Working(Late):
    """Tells when the result of a document has been awaited for long, and when it is there."""

    def __init__(self, document: Document, parent: QObject) -> None:
        super().__init__(parent)
        # Methods, for Qt forgets those of an object that is gone: a dialog closes earlier.
        document.changed.connect(self.begin)
        document.evaluated.connect(self.end)
        document.failed.connect(self.end)
        if document.is_working:
            self.begin()
