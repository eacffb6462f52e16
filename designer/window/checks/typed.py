"""What is typed on the page: a pH, and the pH of materials."""

import re

from PySide6.QtCore import QSize

from designer.errors import ReadableError
from designer.quantities import read
from designer.recipe import Recipe
from designer.window import fonts
from designer.window.bench.typed import Typed

__all__ = ["Field", "read_declared", "read_ph", "written_declared"]

_HEIGHT = 26
_LOWEST, _HIGHEST = 1.0, 13.0
"""What an electrode of a workshop reads."""


class Field(Typed):
    """A field in the size of this page."""

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return its fixed size."""
        self.setFont(fonts.font())
        return QSize(self._width, _HEIGHT)


def read_ph(text: str) -> float:
    """Return a typed pH.

    Raises
    ------
    ReadableError
        It is no number, or none that an electrode reads.
    """
    value = read(re.sub(r"(?i)^\s*ph\s*", "", text), "ph")
    if not _LOWEST <= value <= _HIGHEST:
        raise ReadableError(
            "pH",
            f"pH {text.strip()[:20]} is outside what is measured here.",
            f"Type a value from {_LOWEST:g} to {_HIGHEST:g}.",
        )
    return value


def read_declared(text: str, recipe: Recipe) -> dict[str, float]:
    """Return the pH of materials, as "CAPB 30 % 5.0; oat flour 6.2".

    Raises
    ------
    ReadableError
        A part has no pH at its end, or its name is no row of the recipe.
    """
    names = {" ".join(row.name.split()).casefold(): row.name for row in recipe.rows}
    found: dict[str, float] = {}
    for part in filter(None, map(str.strip, text.split(";"))):
        match = re.fullmatch(r"(.*\S)[\s:=]+([0-9]+(?:[.,][0-9]+)?)", part)
        if match is None:
            raise ReadableError(
                "pH of materials",
                f'"{part[:40]}" does not end in a pH.',
                "Type it as CAPB 30 % 5.0; part several by a semicolon.",
            )
        name = " ".join(re.sub(r"(?i)\s+ph$", "", match[1].rstrip(" :=")).split())
        if name.casefold() not in names:
            raise ReadableError(
                "pH of materials",
                f'"{name[:40]}" is no ingredient of this recipe.',
                "Type the name as it stands in the table, then the pH of its 10 % solution.",
            )
        found[names[name.casefold()]] = read_ph(match[2])
    return found


def written_declared(declared: dict[str, float]) -> str:
    """Return the pH of materials as they are typed."""
    return "; ".join(f"{name} {value:g}" for name, value in declared.items())
