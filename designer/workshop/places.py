"""Where the maker's own data lies, and that no name leads out of there."""

import os
from pathlib import Path

import platformdirs

from designer.errors import ReadableError

__all__ = ["FILE", "backups", "folder", "inside", "photographs", "store"]

FILE = "workshop.sqlite"
"""Name of the file with pantry, logbook and settings."""


def folder() -> Path:
    """Return the folder of the maker's data; BAR_DOUGH_DATA names another one."""
    named = os.environ.get("BAR_DOUGH_DATA", "").strip()
    return Path(named) if named else Path(platformdirs.user_data_dir("bar-dough-designer"))


def store(where: Path | None = None) -> Path:
    """Return the file of the stores."""
    return (where or folder()) / FILE


def backups(where: Path | None = None) -> Path:
    """Return the folder of the copies kept before a change of the format."""
    return (where or folder()) / "backups"


def photographs(where: Path | None = None) -> Path:
    """Return the folder of the photographs of batches."""
    return (where or folder()) / "photographs"


def inside(where: Path, name: str) -> Path:
    """Return the path of a file directly in a folder.

    Raises
    ------
    ReadableError
        The name would lead elsewhere, or is no name.
    """
    bare = name and name == os.path.basename(name) and name not in (".", "..")
    if not bare or "\0" in name or "\\" in name or len(name.encode("utf-8", "replace")) > 255:
        raise ReadableError(
            "File name", f"{name[:60]!r} does not name a file of that folder.", "Name a plain file."
        )
    path = where / name
    if path.is_symlink():
        raise ReadableError(
            "File name", f"{name[:60]!r} is a link to elsewhere.", "Put the file itself there."
        )
    return path
