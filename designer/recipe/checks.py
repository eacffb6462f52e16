"""What may stand in a recipe: checks of single values, and the error that names their place."""

from collections.abc import Iterable, Sized
from math import isfinite

from designer.errors import ReadableError
from designer.quantities import allowed, written
from designer.vocabulary import QUANTITIES

__all__ = [
    "LONGEST_NAME",
    "CellError",
    "check_count",
    "check_domain",
    "check_one_of",
    "check_percent",
    "check_text",
    "listed",
]

LONGEST_NAME = 200
"""Characters of a name."""


class CellError(ReadableError):
    """A value that cannot stand in a recipe, with the place it was meant for.

    Attributes
    ----------
    key : str
        "name", "percent", ... as the file calls it.
    row : int or None
        Index of the row, where there is one.
    """

    def __init__(
        self, key: str, problem: str, advice: str, row: int | None = None, name: str = ""
    ) -> None:
        place = "Recipe" if row is None else f"Row {row + 1}"
        super().__init__(f"{place}{f' ({name})' if name else ''}, {key}", problem, advice)
        self.args = (key, problem, advice, row, name)
        self.key = key
        self.row = row


def listed(words: Iterable[str]) -> str:
    """Return words as a list for reading: "1, 2 or 3"."""
    *head, last = words
    return f"{', '.join(head)} or {last}" if head else last


def check_text(key: str, text: str, required: bool = False, lines: bool = False) -> None:
    """Raise unless `text` can stand in a file and on one line of a table (or several)."""
    # Only names that a person reads as such: no control characters, no halves of characters.
    printable = text.replace("\n", "").replace("\t", "") if lines else text
    if any(ord(c) < 32 or 127 <= ord(c) < 160 or 0xD800 <= ord(c) < 0xE000 for c in printable):
        raise CellError(key, "It holds characters that cannot be shown.", "Type it again as text.")
    if required and not text.strip():
        raise CellError(key, "It is empty.", "Type the name of the ingredient.")
    if not lines and len(text) > LONGEST_NAME:
        raise CellError(
            key, f"It is {len(text)} characters long.", f"Keep to {LONGEST_NAME} characters."
        )


def check_count(key: str, entries: Sized, most: int) -> None:
    """Raise when there are more entries than anyone means."""
    if len(entries) > most:
        raise CellError(key, f"It has {len(entries)} entries, too many.", f"Keep to {most}.")


def check_one_of(key: str, word: str, words: tuple[str, ...]) -> None:
    """Raise unless `word` is one of `words`."""
    if word not in words:
        raise CellError(key, f"{word[:40]!r} is not a {key} of the dough.", f"Use {listed(words)}.")


def check_percent(key: str, percent: object) -> None:
    """Raise unless `percent` is a number from 0 to 100."""
    number = isinstance(percent, int | float) and not isinstance(percent, bool)
    if not (number and 0 <= percent <= 100):  # type: ignore[operator]
        figure = f"{percent:g}" if isinstance(percent, float) and isfinite(percent) else "That"
        raise CellError(key, f"{figure} is not a percentage.", "Type a number from 0 to 100.")


def check_domain(name: str, value: float | None) -> None:
    """Raise unless an SI value is None or inside the domain of its quantity."""
    quantity = QUANTITIES[name]
    if value is not None and not quantity.low <= value <= quantity.high:
        raise CellError(
            name,
            f"{written(value, name)} is outside what is possible here.",
            f"Keep to {allowed(name)}.",
        )
