"""What SQLite or the disk says went wrong, as a sentence for a person."""

import sqlite3
from pathlib import Path

from designer.errors import ReadableError

__all__ = ["Damaged", "damaged", "told"]

_UNCHANGED = "nothing was changed"

_REASONS: dict[str, tuple[str, str]] = {
    "SQLITE_BUSY": (
        "Another program is writing to it and does not finish.",
        f"Close the other one or wait, then try again; {_UNCHANGED}.",
    ),
    "SQLITE_LOCKED": (
        "Another program is writing to it and does not finish.",
        f"Close the other one or wait, then try again; {_UNCHANGED}.",
    ),
    "SQLITE_FULL": ("The disk is full.", f"Make room and try again; {_UNCHANGED}."),
    "SQLITE_READONLY": (
        "You may not write here.",
        f"Ask who owns the folder for the right to write; {_UNCHANGED}.",
    ),
    "SQLITE_PERM": (
        "You may not write here.",
        f"Ask who owns the folder for the right to write; {_UNCHANGED}.",
    ),
    "SQLITE_CANTOPEN": (
        "It cannot be opened.",
        "Look whether the folder is there and yours to read and write.",
    ),
    "SQLITE_IOERR": (
        "The disk refuses to read or write it.",
        f"Make room or look after the disk, then try again; {_UNCHANGED}.",
    ),
    "SQLITE_TOOBIG": ("A text in it would be too long.", f"Shorten it; {_UNCHANGED}."),
}

MEND = 'Run "bar-dough pantry verify --mend": it keeps this file aside and brings the last copy.'


class Damaged(ReadableError):  # noqa: N818 - a state of the file
    """The file is no longer one that SQLite can trust; it is left as it is."""


def damaged(path: Path, what: str) -> Damaged:
    """Return what is said of a damaged file."""
    return Damaged(str(path), f"The file is damaged ({what}); it was left as it is.", MEND)


def told(error: sqlite3.Error | OSError, path: Path) -> ReadableError:
    """Return the sentence for an error of the database or the disk."""
    if isinstance(error, OSError):
        reason = error.strerror or "the name is wrong"
        return ReadableError(
            str(path), f"It cannot be used: {reason}.", f"Mend that and try again; {_UNCHANGED}."
        )
    name = getattr(error, "sqlite_errorname", "") or ""
    if name.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
        return damaged(path, "it is no database any more" if "NOTADB" in name else "a page is bad")
    for known, (problem, advice) in _REASONS.items():
        if name.startswith(known):
            return ReadableError(str(path), problem, advice)
    return ReadableError(
        str(path), f"The database refuses: {error}.", f"Look at what you gave; {_UNCHANGED}."
    )
