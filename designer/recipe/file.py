"""Recipe files: read and parsed here, written whole or not at all.

What only writing or tables need is imported when they are asked for: most runs just read.
"""

import os
import stat
from collections.abc import Callable
from pathlib import Path

from designer.errors import ReadableError
from designer.recipe.reader import parse
from designer.recipe.values import Recipe

__all__ = ["LARGEST", "PhaseOf", "from_csv", "parse", "read", "read_text", "text", "write"]

PhaseOf = Callable[[str], str | None]
"""Returns the phase in which a common or INCI name is usually added, None if it knows none."""

LARGEST = 500_000
"""Bytes of the largest file taken for a recipe: one of 500 rows and 50 variants fits."""


def read(path: str | os.PathLike[str]) -> Recipe:
    """Return the recipe in a file.

    Parameters
    ----------
    path : str or path
        A file of format 1.

    Raises
    ------
    ReadableError
        The file is missing, unreadable, no recipe, or says something a recipe cannot be.
    """
    return parse(read_text(path), Path(path).name)


def from_csv(path: str | os.PathLike[str], phase_of: PhaseOf | None = None) -> Recipe:
    """Return the recipe in a table of comma-separated values; see `parse_csv` for its columns.

    Parameters
    ----------
    path : str or path
        A file in UTF-8.
    phase_of : callable, optional
        Asked for the phase of a common or INCI name where the table has none.

    Raises
    ------
    ReadableError
        The file cannot be read, a column is missing, or a cell says nothing usable.
    """
    from designer.recipe.table import parse_csv

    return parse_csv(read_text(path), Path(path).name, phase_of)


def write(recipe: Recipe, path: str | os.PathLike[str]) -> str:
    """Write a recipe to a file, whole or not at all; see `text` for what is kept.

    Parameters
    ----------
    recipe : Recipe
        As read and changed, or made anew.
    path : str or path
        A link is followed; the mode of a file that is there is kept.

    Returns
    -------
    str, the text written

    Raises
    ------
    ReadableError
        The recipe is larger than what is read again, the disk is full, or the file may not be
        written. The old file is whole then.
    """
    from designer.recipe.saving import save

    whole = text(recipe)
    content = whole.encode()
    if len(content) > LARGEST:
        # It could never be opened again.
        raise _too_large(os.fspath(path), len(content), "Shorten its notes; nothing was written.")
    save(path, content)
    return whole


def text(recipe: Recipe) -> str:
    """Return what `write` puts into the file of a recipe.

    A recipe made anew is laid out in full. One that was read keeps its comments, layout and
    unknown keys: one edit changes one line, and an unchanged recipe is the same to the byte.
    """
    from designer.recipe.patch import text

    return text(recipe)


def read_text(path: str | os.PathLike[str]) -> str:
    """Return the text of a file a person named.

    Raises
    ------
    ReadableError
        There is no such file, it is no plain file, too large, or not UTF-8 text.
    """
    where = os.fspath(path)
    try:
        status = os.stat(path)
        if stat.S_ISDIR(status.st_mode):
            raise ReadableError(where, "This is a folder.", "Name a file in it.")
        if not stat.S_ISREG(status.st_mode):
            raise ReadableError(where, "This is not a file on a disk.", "Name a file.")
        if status.st_size > LARGEST:
            raise _too_large(where, status.st_size)
        with open(path, "rb") as stream:
            content = stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise _unreadable(where, error) from None
    if len(content) > LARGEST:
        raise _too_large(where, len(content))
    return _decoded(content, where)


def _decoded(content: bytes, where: str) -> str:
    """Return UTF-8 text, line ends as they are."""
    advice = "Save it as plain text in UTF-8, or name the file that was meant."
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise ReadableError(where, "The file is text in UTF-16, not UTF-8.", advice)
    if b"\0" in content:
        raise ReadableError(where, "The file is not text.", advice)
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise ReadableError(f"{where}, line {line}", "This is not text in UTF-8.", advice) from None


def _too_large(
    where: str, size: int, advice: str = "Name the file that was meant."
) -> ReadableError:
    return ReadableError(
        where,
        f"The file has {size / 1e6:.1f} MB; a recipe has at most {LARGEST / 1e6:.1f} MB.",
        advice,
    )


def _unreadable(where: str, error: OSError | ValueError) -> ReadableError:
    """Return a sentence for a file that cannot be opened."""
    if isinstance(error, FileNotFoundError):
        return ReadableError(where, "There is no such file.", "Check the name and the folder.")
    if isinstance(error, PermissionError):
        return ReadableError(
            where, "You may not read this file.", "Ask its owner, or copy it where you may."
        )
    reason = (
        error.strerror if isinstance(error, OSError) and error.strerror else "the name is wrong"
    )
    return ReadableError(where, f"The file cannot be read: {reason}.", "Check the name.")
