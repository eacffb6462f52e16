"""Modules imported by a thread while the window is in use already."""

import threading
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module

from PySide6.QtCore import QObject, Signal

from designer.document.ending import leave

__all__ = ["Later"]


class Later(QObject):
    """Imports modules aside; whoever needs one at once can simply import it.

    Signals
    -------
    ready()
        All are imported. What went wrong shows when they are imported where they are used.
    """

    ready = Signal()

    def __init__(self, names: Sequence[str], parent: QObject) -> None:
        super().__init__(parent)
        self._names = names
        self._is_begun = False

    def start(self) -> None:
        """Begin, unless that was begun."""
        if self._is_begun:
            return
        self._is_begun = True
        thread = threading.Thread(target=self._import, name="imports", daemon=True)
        thread.start()
        leave(thread, self)

    def _import(self) -> None:
        with suppress(Exception):
            for name in self._names:
                import_module(name)
        with suppress(RuntimeError):  # the window was closed meanwhile
            self.ready.emit()
