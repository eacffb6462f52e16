"""A recipe put into its file by a thread, for laying out a large one takes a tenth of a second."""

from __future__ import annotations

import logging
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from designer.document.disk import Fingerprint, fingerprint, of_text
from designer.errors import ReadableError
from designer.recipe import Recipe, file

__all__ = ["Saved", "Saver", "mistake"]


@dataclass(frozen=True)
class Saved:
    """What was written, where, and how the file can be known again."""

    recipe: Recipe
    path: Path
    fingerprint: Fingerprint


class Saver(QObject):
    """Writes one recipe at a time.

    Signals
    -------
    saved(Saved)
    failed(ReadableError)
        Nothing was written.
    changed_meanwhile()
        Nothing was written, for the file is not what it was.
    """

    saved = Signal(object)
    failed = Signal(object)
    changed_meanwhile = Signal()
    _done = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._pool = ThreadPoolExecutor(1, "saving")
        self._is_busy = self._is_closing = False
        self._has_failed = False
        self._done.connect(self._announce)

    @property
    def is_busy(self) -> bool:
        """Whether a recipe is being written; another must wait."""
        return self._is_busy

    def save(self, recipe: Recipe, path: Path, over: Fingerprint | None, asked: bool) -> None:
        """Write a recipe.

        Parameters
        ----------
        recipe : Recipe
        path : Path
        over : Fingerprint or None
            What the file may hold; with anything else it is left alone.
        asked : bool
            It may hold anything: the maker chose to replace it.
        """
        self._is_busy = True
        self._pool.submit(self._write, recipe, path, over, asked)

    def close(self) -> bool:
        """Wait for what is being written; return whether it is on the disk.

        Nothing is announced any more.
        """
        self._is_closing = True
        self._pool.shutdown(wait=True)
        return not (self._is_busy and self._has_failed)

    def _write(self, recipe: Recipe, path: Path, over: Fingerprint | None, asked: bool) -> None:
        outcome: Saved | ReadableError | None = None
        try:
            now = fingerprint(path)
            if now is None or asked or now.is_same(over):
                outcome = Saved(recipe, path, _written(recipe, path))
        except ReadableError as error:
            outcome = error
        except Exception as error:
            outcome = mistake(str(path), error)
        self._has_failed = not isinstance(outcome, Saved)
        self._done.emit(outcome)

    def _announce(self, outcome: Saved | ReadableError | None) -> None:
        if self._is_closing:
            return
        self._is_busy = False
        if isinstance(outcome, Saved):
            self.saved.emit(outcome)
        elif outcome is not None:
            self.failed.emit(outcome)
        else:
            self.changed_meanwhile.emit()


def mistake(title: str, error: Exception) -> ReadableError:
    """Return what to tell of a mistake of the program while it wrote a file."""
    logging.getLogger(__name__).error("%s", title, exc_info=error)
    return ReadableError(
        title,
        f"The program made a mistake while saving ({type(error).__name__}).",
        "Copy the rows into another program to keep them, and tell its makers what you did.",
    )


def _written(recipe: Recipe, path: Path) -> Fingerprint:
    """Write a recipe; return the fingerprint of its file."""
    wrote = of_text(file.write(recipe, path))
    there = fingerprint(path)
    # If somebody wrote in the very moment after, the next look finds that it is not ours.
    return replace(there, digest=wrote.digest) if wrote.is_same(there) and there else wrote
