"""Where things stand in the text of a recipe file: table headers, their blocks, lines of keys.

This knows only the usual layout, headers on lines of their own; of a file laid out otherwise it
finds nothing, and callers do without.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

__all__ = ["Header", "headers", "line_of"]

_HEADER = re.compile(r"\s*\[(\[)?\s*([\w\-.\"' ]{1,80}?)\s*\]\]?\s*(?:#.*)?")
_TRIPLE = re.compile(r'"""|\'\'\'')


@dataclass(frozen=True)
class Header:
    """A table header: its line, counted from 0, the table's path, and if it is one of many."""

    line: int
    path: tuple[str, ...]
    repeated: bool


def headers(text: str) -> list[Header]:
    """Return the table headers of a TOML text in order."""
    return [
        Header(number, _path(match[2]), bool(match[1]))
        for number, line in _lines_outside_strings(text)
        if (match := _HEADER.fullmatch(line))
    ]


def line_of(text: str, key: str, row: int | None = None) -> int | None:
    """Return the line, counted from 1, on which `key` of the document or of a row stands.

    For a row without that key it is the line of its header.
    """
    found = headers(text)
    first, last = 0, len(text)
    if row is not None:
        rows = [header for header in found if header.repeated and header.path == ("row",)]
        if row >= len(rows):
            return None
        first = rows[row].line
        last = rows[row + 1].line if row + 1 < len(rows) else last
    # "percent = ", "percent.2 = ", "[row.percent]", "[variants.2]": wherever the key begins.
    begins = re.compile(rf"\s*(?:\[\[?\s*(?:\w+\.)?)?[\"']?{re.escape(key)}\b")
    for number, line in _lines_outside_strings(text):
        if first <= number < last and begins.match(line):
            return number + 1
    return None if row is None else first + 1


def _lines_outside_strings(text: str) -> Iterator[tuple[int, str]]:
    """Yield the lines that do not lie inside a string of several lines."""
    closing = ""
    for number, line in enumerate(text.split("\n")):
        opened = closing
        for mark in _TRIPLE.findall(line):
            closing = mark if not closing else "" if mark == closing else closing
        if not opened:
            yield number, line


def _path(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))
