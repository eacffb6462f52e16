"""Recovery copies: what was not saved, kept aside, and what a killed program left behind."""

from __future__ import annotations

import json
import os
import secrets
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import platformdirs
from PySide6.QtCore import QObject, QTimer, Signal

from designer.document.saver import mistake
from designer.errors import ReadableError
from designer.recipe import Recipe, file

__all__ = ["DELAY", "Copy", "Recovery", "folder", "left_behind"]

DELAY = 1.0
"""Time [s] from the first change that is not in the copy to the next copy; with the writing, no
more than the last two seconds are lost."""

_MARK = "# Recovery copy: "
_LONGEST_HEADER = 40_000


def folder() -> Path:
    """Return the folder of the copies."""
    return Path(platformdirs.user_data_dir("bar-dough-designer")) / "recovery"


@dataclass(frozen=True)
class Copy:
    """A copy that a program left behind.

    Attributes
    ----------
    file : Path
        Of the copy.
    original : Path or None
        The file of the recipe; None if it was never saved.
    digest : str
        Of the original as the program knew it; "" if it knew none.
    name : str
        Of the recipe.
    when : datetime
        Of the last change it holds.
    """

    file: Path
    original: Path | None
    digest: str
    name: str
    when: datetime

    def recipe(self) -> Recipe:
        """Return the recipe in the copy.

        Raises
        ------
        ReadableError
            The copy is damaged.
        """
        header, text = _parted(file.read_text(self.file))
        return file.parse(text if header else header + text, "Recovery copy")

    @property
    def original_is_newer(self) -> bool:
        """Whether the original was written after the copy: by a last save, or somebody else."""
        try:
            return self.original is not None and (
                self.original.stat().st_mtime_ns > self.file.stat().st_mtime_ns
            )
        except OSError:
            return False

    def discard(self) -> None:
        """Remove the copy."""
        with suppress(OSError):
            self.file.unlink()


def left_behind() -> list[Copy]:
    """Return the copies of programs that run no more, the newest first.

    A copy that says nothing but its original is removed: the program ended right after saving.
    """
    found = []
    for path in folder().glob("*.toml"):
        copy = _copy(path)
        if copy is None:
            continue
        if copy.original is not None and _same_text(copy):
            copy.discard()
        else:
            found.append(copy)
    return sorted(found, key=lambda copy: copy.when, reverse=True)


def _copy(path: Path) -> Copy | None:
    """Return the copy in a file; None if its program still runs, or it is gone by now."""
    try:
        changed = datetime.fromtimestamp(path.stat().st_mtime).astimezone()
        with open(path, "rb") as stream:
            line = stream.readline(_LONGEST_HEADER).decode("utf-8", "replace")
    except OSError:
        return None
    stated = _stated(line)
    if _is_running(stated.get("process")):
        return None
    original, digest, name = (stated.get(key) for key in ("original", "digest", "name"))
    return Copy(
        path,
        Path(original) if isinstance(original, str) and original else None,
        digest if isinstance(digest, str) else "",
        name if isinstance(name, str) else "",
        changed,
    )


def _stated(line: str) -> dict[str, Any]:
    """Return what the first line states; nothing where it is damaged."""
    if not line.startswith(_MARK):
        return {}
    try:
        stated = json.loads(line.removeprefix(_MARK))
    except (ValueError, RecursionError):
        return {}
    return stated if isinstance(stated, dict) else {}


def _parted(text: str) -> tuple[str, str]:
    """Return the first line of a copy, if it is ours, and the text of the recipe."""
    if not text.startswith(_MARK):
        return "", text
    line, _, rest = text.partition("\n")
    return f"{line}\n", rest


def _same_text(copy: Copy) -> bool:
    try:
        _, text = _parted(file.read_text(copy.file))
        return copy.original is not None and file.read_text(copy.original) == text
    except ReadableError:
        return False


def _process(number: int) -> str:
    """Return what names a process for ever: boot, number and start; "" if it is gone."""
    try:
        boot = Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
        status = Path(f"/proc/{number}/stat").read_bytes()
    except OSError:
        return ""
    # The name in brackets may hold anything; a process that ended but is not waited for is "Z".
    state, *fields = status.rpartition(b")")[2].split()
    return "" if state in (b"Z", b"X") else f"{boot} {number} {int(fields[18])}"


def _is_running(process: object) -> bool:
    if not isinstance(process, str) or len(parts := process.split()) != 3 or not parts[1].isdigit():
        return False
    return _process(int(parts[1])) == process


class Recovery(QObject):
    """Keeps the recovery copy of one document, written by a thread.

    Parameters
    ----------
    adopted : Copy, optional
        A copy left behind that becomes this document's own.

    Signals
    -------
    failed(ReadableError)
        No copy can be written; told once, until one is written again.
    """

    failed = Signal(object)
    _done = Signal(object)

    def __init__(self, adopted: Copy | None = None) -> None:
        super().__init__()
        self._file = adopted.file if adopted else folder() / f"{secrets.token_hex(8)}.toml"
        self._exists = adopted is not None
        self._wanted: _Content | None = None
        self._is_writing = self._is_late = self._is_told = self._is_closing = False
        self._pool = ThreadPoolExecutor(1, "recovery")
        self._timer = QTimer(self, singleShot=True, interval=round(1000 * DELAY))
        self._timer.timeout.connect(self._write)
        self._done.connect(self._take)

    def want(self, recipe: Recipe, original: Path | None, digest: str) -> None:
        """Let the copy hold a recipe before long."""
        content = _Content(recipe, original, digest)
        if content.is_same(self._wanted):
            return
        self._wanted = content
        # Not started anew, or a long burst of edits would never be kept.
        if not self._timer.isActive():
            self._timer.start()

    def want_now(self) -> None:
        """Write what is wanted at once."""
        self._timer.stop()
        self._write()

    def drop(self) -> None:
        """Remove the copy: nothing would be lost without it."""
        self._timer.stop()
        self._wanted, self._is_late = None, False
        if self._exists:
            self._exists = False
            # In turn, so that a copy being written does not come after.
            self._pool.submit(_remove, self._file)

    def close(self, keep: bool = False) -> None:
        """End, and remove the copy unless it is to be kept."""
        if keep and self._wanted is not None:
            self._pool.submit(self._put, self._wanted)
        elif not keep:
            self.drop()
        self._timer.stop()
        self._is_closing = True
        self._pool.shutdown(wait=True)

    def _write(self) -> None:
        if self._wanted is None:
            return
        if self._is_writing:
            self._is_late = True
            return
        self._is_writing = self._exists = True
        self._pool.submit(self._put, self._wanted)

    def _put(self, content: _Content) -> None:
        problem: ReadableError | None = None
        try:
            _save(self._file, content.text().encode())
        except ReadableError as error:
            problem = error
        except Exception as error:
            problem = mistake("Recovery copy", error)
        self._done.emit(problem)

    def _take(self, problem: ReadableError | None) -> None:
        if self._is_closing:
            return
        self._is_writing = False
        if self._is_late:
            self._is_late = False
            self._write()
        was_told, self._is_told = self._is_told, problem is not None
        if problem is not None and not was_told:
            self.failed.emit(problem)


@dataclass(frozen=True)
class _Content:
    """What a copy holds."""

    recipe: Recipe
    original: Path | None
    digest: str

    def is_same(self, other: _Content | None) -> bool:
        """Return whether another is of this very recipe and file."""
        return (
            other is not None
            and self.recipe is other.recipe
            and (self.original, self.digest) == (other.original, other.digest)
        )

    def text(self) -> str:
        """Return the text of the copy: a line of ours, and the recipe's file."""
        stated = {
            "original": str(self.original or ""),
            "digest": self.digest,
            "name": self.recipe.name,
            "process": _process(os.getpid()),
        }
        return f"{_MARK}{json.dumps(stated)}\n{file.text(self.recipe)}"


def _save(path: Path, content: bytes) -> None:
    """Write a copy, or raise a ReadableError that says why none is kept."""
    from designer.recipe.saving import save

    if len(content) > file.LARGEST:
        raise ReadableError(
            "Recovery copy",
            "The recipe is too large for a copy of what is not saved.",
            "Shorten its notes.",
        )
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        save(path, content)
    except ReadableError as error:
        problem = error.problem
    except OSError as error:
        problem = f"{error.strerror or 'The folder cannot be made'}."
    else:
        return
    raise ReadableError(
        "Recovery copy",
        f"No copy of what is not saved can be kept in {path.parent}: {problem}",
        "Save often until that is mended.",
    )


def _remove(path: Path) -> None:
    with suppress(OSError):
        path.unlink()
