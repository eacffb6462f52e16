"""The file of a document: what it held when last read or written, and who changed it since."""

from __future__ import annotations

import enum
import hashlib
import os
import stat
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from designer.recipe import Recipe, file

__all__ = ["DiskChange", "DiskWatch", "Fingerprint", "Kind", "fingerprint", "of_text"]

_SETTLED = 2.0
"""Age [s] from which a file whose size, time and number stayed is taken as unchanged unread."""

_PAUSE = 60
"""Time [ms] after a sign of change until the file is looked at: programs write in several steps."""


@dataclass(frozen=True)
class Fingerprint:
    """What a file holds, and what the system says of it.

    Attributes
    ----------
    digest : str
        Of the content; "" for what is no recipe file: a folder, too large, or not to be read.
    size, modified, inode : int
        As the system tells, modified in ns; 0 where the file itself was not looked at.
    """

    digest: str
    size: int = 0
    modified: int = 0
    inode: int = 0

    def is_same(self, other: Fingerprint | None) -> bool:
        """Return whether both are of one content; the same written anew is no change."""
        return (
            other is not None and self.digest == other.digest and bool(self.digest or self == other)
        )


def of_text(text: str) -> Fingerprint:
    """Return the fingerprint of a file that holds a text."""
    return Fingerprint(hashlib.sha256(text.encode()).hexdigest())


def fingerprint(path: Path, known: Fingerprint | None = None) -> Fingerprint | None:
    """Return the fingerprint of a file, or None if there is none.

    It is not read again if all the system says of it is as in `known`.
    """
    try:
        status = os.stat(path)
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, ValueError):
        return Fingerprint("")
    told = status.st_size, status.st_mtime_ns, status.st_ino
    settled = abs(time.time() - status.st_mtime) > _SETTLED
    if known is not None and settled and told == (known.size, known.modified, known.inode):
        return known
    return Fingerprint(_digest(path, status), *told)


def _digest(path: Path, status: os.stat_result) -> str:
    # A pipe would be waited for, and no recipe is larger.
    if not stat.S_ISREG(status.st_mode) or status.st_size > file.LARGEST:
        return ""
    try:
        with open(path, "rb") as stream:
            return hashlib.sha256(stream.read(file.LARGEST + 1)).hexdigest()
    except OSError:
        return ""


class Kind(enum.Enum):
    """What happened to the file."""

    CHANGED = "changed"
    GONE = "gone"
    BACK = "came back"
    """It holds again what the program last read or wrote; nothing is left to decide."""


@dataclass(frozen=True)
class DiskChange:
    """Somebody else changed the file of a document, which is not saved over theirs unasked.

    Attributes
    ----------
    kind : Kind
    path : Path
    """

    kind: Kind
    path: Path
    _keep: Callable[[], None]
    _take: Callable[[Recipe], None]

    def theirs(self) -> Recipe:
        """Return the recipe on the disk, to be opened beside.

        Raises
        ------
        ReadableError
            There is none that can be read.
        """
        return file.read(self.path)

    def keep_mine(self) -> None:
        """Let the next save write over what is on the disk now."""
        self._keep()

    def take_theirs(self) -> None:
        """Make the recipe on the disk the document's, as one undo step.

        Raises
        ------
        ReadableError
            There is none that can be read; nothing has changed then.
        """
        self._take(self.theirs())


class DiskWatch(QObject):
    """Looks after one file and tells that something may have happened to it.

    Signals
    -------
    stirred()
        The file or its folder changed some moments ago.
    """

    stirred = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._watcher = QFileSystemWatcher(self)
        self._timer = QTimer(self, singleShot=True, interval=_PAUSE)
        self._timer.timeout.connect(self.stirred)
        for signal in (self._watcher.fileChanged, self._watcher.directoryChanged):
            signal.connect(lambda _: self._timer.start())

    def watch(self, path: Path | None) -> None:
        """Watch this file alone, or none.

        To be called after each look too: a file put in the place of another is watched anew.
        """
        wanted: set[str] = set()
        if path is not None:
            real = os.path.realpath(path)
            # The folder tells of a file that comes back or is put in place of another.
            wanted = {name for name in (real, os.path.dirname(real)) if os.path.exists(name)}
        watched = {*self._watcher.files(), *self._watcher.directories()}
        if watched - wanted:
            self._watcher.removePaths(sorted(watched - wanted))
        if wanted - watched:
            self._watcher.addPaths(sorted(wanted - watched))

    def close(self) -> None:
        """Watch nothing any more."""
        self.watch(None)
        self._timer.stop()
