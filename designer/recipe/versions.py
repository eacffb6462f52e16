"""History of the file format, and what to say about a file of another version.

A new version adds a line here and a function that turns the older document into the newer.
"""

from typing import Any

from designer.recipe.checks import CellError

__all__ = ["CURRENT", "HISTORY", "check_version"]

HISTORY: dict[int, str] = {
    1: "First format: bench, variants, rows with a percent per variant, held rows, swaps.",
}

CURRENT = max(HISTORY)


def check_version(document: dict[str, Any]) -> None:
    """Raise unless a read `document` is of a version this program reads.

    Raises
    ------
    CellError
        `format` is missing, no whole number, newer than this program, or never existed.
    """
    version = document.get("format")
    if version is None:
        raise CellError(
            "format",
            "It is not said which format this file has.",
            f"Begin it with format = {CURRENT}.",
        )
    if not isinstance(version, int) or isinstance(version, bool) or version < min(HISTORY):
        raise CellError(
            "format",
            "The format is not a version this program knows.",
            f"Write format = {CURRENT}.",
        )
    if version > CURRENT:
        raise CellError(
            "format",
            f"The file is of a newer format than this program reads, which is {CURRENT}.",
            "Open it with a newer version of the program; it was not changed.",
        )
