"""Where a document lives: its file, saved by a thread, never over what somebody else put there."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from designer.document.disk import DiskChange, DiskWatch, Fingerprint, Kind, fingerprint, of_text
from designer.document.saver import Saved, Saver
from designer.errors import ReadableError
from designer.recipe import Recipe

__all__ = ["Place"]


class Place(QObject):
    """The file of a document.

    Parameters
    ----------
    recipe : Recipe
        As read from `path`, or not saved anywhere.
    path : Path or None
    to_save : callable
        Returns the recipe as it is now, when it is about to be written.

    Attributes
    ----------
    path : Path or None
    saved_at : datetime or None
        When this program last saved the recipe.
    disk_change : DiskChange or None
        What somebody else did to the file and the maker has not answered.

    Signals
    -------
    altered()
        Path, saved state or time of saving may have changed.
    saved(Path), save_failed(ReadableError), disk_changed(DiskChange)
        As those of the document.
    taken(Recipe)
        The maker takes the recipe on the disk.
    """

    altered = Signal()
    saved = Signal(object)
    save_failed = Signal(object)
    disk_changed = Signal(object)
    taken = Signal(object)

    def __init__(self, recipe: Recipe, path: Path | None, to_save: Callable[[], Recipe]) -> None:
        super().__init__()
        self.path = path
        self.saved_at: datetime | None = None
        self.disk_change: DiskChange | None = None
        self._to_save = to_save
        # A recipe that no file holds has nothing to lose before its first change.
        self._written: Recipe | None = recipe
        self._known = of_text(recipe.source) if path is not None and recipe.source else None
        self._told: str | None = None
        self._again: Path | None = None
        self._writing: Recipe | None = None
        self._is_closed = False
        self._saver = Saver()
        self._saver.saved.connect(self._take_saved)
        self._saver.failed.connect(self._tell_failed)
        self._saver.changed_meanwhile.connect(self._meet_change)
        self._watch = DiskWatch()
        self._watch.stirred.connect(self.check)
        self._watch.watch(path)
        if path is not None:
            # It may have changed since it was read.
            QTimer.singleShot(0, self, self.check)

    @property
    def is_saving(self) -> bool:
        """Whether a recipe is being written."""
        return self._saver.is_busy

    @property
    def digest(self) -> str:
        """The digest of the file as last read or written; "" if there is none."""
        return self._known.digest if self._known is not None else ""

    def holds(self, recipe: Recipe) -> bool:
        """Return whether the file says what a recipe says, and will once nothing is written."""
        if self._writing is not None and self._writing != recipe:
            return False  # as when it was saved and undone: the file is about to say another
        return self.disk_change is None and self._written == recipe

    def lose(self, digest: str) -> None:
        """Take nothing as saved; the file was one of this digest when it was last known."""
        self._written, self._known = None, Fingerprint(digest) if digest else None
        self.altered.emit()

    def save(self, path: Path) -> None:
        """Begin to write the recipe to a file, the document's own from then on.

        What it holds is replaced, unless it is the file the recipe has already and somebody else
        changed it.
        """
        if self._saver.is_busy:
            self._again = path  # one at a time; the newest recipe goes last
            return
        recipe = self._to_save()
        self._writing = recipe
        self._saver.save(recipe, path, self._known, asked=not self._is_own(path))
        self.altered.emit()

    def check(self) -> None:
        """Look whether somebody else changed the file, and tell."""
        if self.path is None or self._saver.is_busy:
            return  # what is being written is looked at once it is
        now = fingerprint(self.path, self._known)
        self._watch.watch(self.path)
        if now is None and self._known is None:
            return
        if now is None:
            self._tell_change(Kind.GONE, None)
        elif now.is_same(self._known):
            self._known = now
            self._tell_change(Kind.BACK, now.digest)
        else:
            self._tell_change(Kind.CHANGED, now.digest)

    def close(self) -> bool:
        """Wait for what is being saved; return whether it is on the disk."""
        self._is_closed = True
        self._watch.close()
        return self._saver.close()

    def _is_own(self, path: Path) -> bool:
        return self.path is not None and os.path.realpath(path) == os.path.realpath(self.path)

    def _take_saved(self, done: Saved) -> None:
        self._writing = None
        self.path, self._known, self._written = done.path, done.fingerprint, done.recipe
        self.disk_change = None
        self.saved_at = datetime.now().astimezone()
        self._watch.watch(done.path)
        again, self._again = self._again, None
        if again is not None:
            self.save(again)  # before anybody hears of the first, and closes
        else:
            self.altered.emit()
        self.saved.emit(done.path)
        if not self._is_closed:
            self.check()

    def _tell_failed(self, error: ReadableError) -> None:
        self._again = self._writing = None
        self.altered.emit()
        self.save_failed.emit(error)

    def _meet_change(self) -> None:
        """Tell why nothing was written, also if it was told before."""
        again, self._again, self._writing = self._again, None, None
        self.disk_change = None
        self.check()
        if self.disk_change is None and self.path is not None:
            self.save(again or self.path)  # it was put right in the very moment

    def _tell_change(self, kind: Kind, digest: str | None) -> None:
        """Tell what happened to the file, unless nothing did or it was told."""
        last = self.disk_change
        if last is None and kind is Kind.BACK:
            return
        if last is not None and last.kind is kind and digest == self._told:
            return
        assert self.path is not None
        change = DiskChange(kind, self.path, self._keep_mine, self._take_theirs)
        self._told = digest
        self.disk_change = None if kind is Kind.BACK else change
        self.altered.emit()
        self.disk_changed.emit(change)

    def _keep_mine(self) -> None:
        self._written, self.disk_change = None, None
        self._known = fingerprint(self.path) if self.path is not None else None
        self.altered.emit()

    def _take_theirs(self, theirs: Recipe) -> None:
        self._written, self.disk_change = theirs, None
        self._known = of_text(theirs.source)
        self.taken.emit(theirs)
        self.altered.emit()
