"""Handbook and knowledge, which a window can open without and gets a moment later."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import Future
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from designer.document.ending import leave

if TYPE_CHECKING:
    from designer.errors import ReadableError
    from designer.evaluation.knowledge import Knowledge
    from designer.handbook import Handbook

__all__ = ["Shelf"]


class Shelf(QObject):
    """The shipped handbook and knowledge, loaded once by a thread.

    Signals
    -------
    filled()
        They are there.
    """

    filled = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._future: Future[tuple[Handbook, Knowledge]] = Future()
        self._lock = threading.Lock()
        self._is_begun = False
        self.problem: ReadableError | None = None
        """Why the maker's own materials are not in the handbook, if they are not."""

    @classmethod
    def of(cls, handbook: Handbook, knowledge: Knowledge) -> Shelf:
        """Return a shelf that holds what is loaded already."""
        made = cls()
        made._is_begun = True
        made._future.set_result((handbook, knowledge))
        return made

    @property
    def is_filled(self) -> bool:
        """Whether nobody need wait for them."""
        # A load that failed is done as well, and asking for what it gave would end a paint.
        return self._future.done() and self._future.exception() is None

    @property
    def is_done(self) -> bool:
        """Whether `wait` returns, or fails, at once."""
        return self._future.done()

    def when_done(self, told: Callable[[], None]) -> None:
        """Tell when nobody need wait any more, in whichever thread; at once if so."""
        self._future.add_done_callback(lambda _: told())

    def fill(self) -> None:
        """Begin to load them, unless that was begun."""
        with self._lock:
            begun, self._is_begun = self._is_begun, True
        if not begun:
            thread = threading.Thread(target=self._load, name="handbook", daemon=True)
            thread.start()
            leave(thread, self)

    @property
    def handbook(self) -> Handbook:
        """The handbook; who asks before it is there waits."""
        self.fill()
        return self._future.result()[0]

    @property
    def knowledge(self) -> Knowledge:
        """The knowledge; who asks before it is there waits."""
        self.fill()
        return self._future.result()[1]

    def wait(self) -> tuple[Handbook, Knowledge]:
        """Wait until somebody has them loaded, and return both."""
        return self._future.result()

    def _load(self) -> None:
        try:
            from designer import handbook
            from designer.errors import ReadableError
            from designer.evaluation import knowledge
            from designer.workshop import shelf

            try:
                book = shelf.handbook()
            except ReadableError as error:
                # The window must open all the same: the shipped tables serve.
                self.problem, book = error, handbook.load()
            self._future.set_result((book, knowledge.shipped()))
        except BaseException as error:
            self._future.set_exception(error)  # for everybody who waits
        else:
            self.filled.emit()
