"""Where things stand in the text of a recipe file: headers, blocks of lines, lines of keys.

This knows only the usual layout, headers on lines of their own; of a file laid out otherwise it
finds nothing, and callers do without.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

__all__ = ["Block", "blocks", "joined", "line_of", "with_line", "without_strings"]

_HEADER = re.compile(r"\s*\[(\[)?\s*([\w\-.\"' ]{1,80}?)\s*\]\]?\s*(?:#.*)?")
_INDENT = re.compile(r"(\s*)[\w\"'\-.]+\s*=")
# Whichever begins first: a string of several lines, one of a single line, or a comment. A string
# that is not closed ends with its line.
_STRING = re.compile(
    r"\"{3}(?:[^\"\\]|\\[\s\S]|\"(?!\"\"))*\"{3,5}|'{3}(?:[^']|'(?!''))*'{3,5}"
    r"|\"(?:[^\"\\\n]|\\.)*\"?|'[^'\n]*'?|#[^\n]*"
)

Key = tuple[str | int, ...]

GAP: Key = ("#",)
"""Key of the comment above the first row, which speaks of all rows and stays there."""


@dataclass(frozen=True)
class _Header:
    """A table header: its line, counted from 0, the table's path, and if it is one of many."""

    line: int
    path: tuple[str, ...]
    repeated: bool

    @property
    def is_row(self) -> bool:
        return self.repeated and self.path == ("row",)


@dataclass(frozen=True)
class Block:
    """The lines of one table, those of its sub-tables and the comment above it included.

    Attributes
    ----------
    key : tuple
        () for what stands above all tables, ("row", 3) for the fourth row, ("variants", "2"),
        ("bench",), `GAP`, or the path of another table.
    text : str
        Its own lines.
    rest : str
        The lines of its sub-tables.
    """

    key: Key
    text: str
    rest: str = ""


def blocks(text: str) -> list[Block]:
    """Return a TOML text cut into blocks, which put together again are the text."""
    lines = text.split("\n")
    found: list[Block] = []
    start, row = 0, -1
    key: Key = ()
    for header in _headers(text):
        top = _top(lines, header.line, start)
        _put(found, key, lines, start, top)
        start = top
        row += header.is_row
        if header.is_row and row == 0:
            _put(found, GAP, lines, top, header.line)
            start = header.line
        key = ("row", row, *header.path[1:]) if header.path[0] == "row" else header.path
    _put(found, key, lines, start, len(lines))
    return found


def _put(found: list[Block], key: Key, lines: list[str], start: int, end: int) -> None:
    """Append the lines as a block, or to the block whose sub-table they are."""
    if start == end:
        return
    text = "\n".join(lines[start:end]) + ("\n" if end < len(lines) else "")
    owner = found[-1] if found else None
    if owner is not None and len(owner.key) == 2 and key[:2] == owner.key:
        found[-1] = Block(owner.key, owner.text, owner.rest + text)
    else:
        found.append(Block(key, text))


def _top(lines: list[str], line: int, start: int) -> int:
    """Return the first line of the comment that stands directly above a header."""
    while line > start + 1 and lines[line - 1].lstrip().startswith("#"):
        line -= 1
    return line


def joined(parts: list[Block], before: list[Block]) -> str:
    """Return blocks as text, an empty line between those that did not stand together before."""
    together = {(one.key, next.key) for one, next in pairwise(before)}
    text = ""
    for number, part in enumerate(parts):
        one = parts[number - 1].key
        if number and (one, part.key) not in together:
            close = one == GAP or one[:1] == part.key[:1] == ("variants",)
            text = text.rstrip("\n") + ("\n" if close else "\n\n")
        text += part.text + part.rest
    # What closed the file before may now stand inside, and the other way round.
    return text if parts[-1].key == before[-1].key else text.rstrip("\n") + "\n"


def with_line(part: Block, line: str, in_rest: bool = False) -> Block:
    """Return a block with a line put in below the last that is neither comment nor empty.

    The line goes among the block's own, or among those of its sub-tables, indented as there.
    """
    lines = (part.rest if in_rest else part.text).split("\n")
    last = max(i for i, each in enumerate(lines) if each.strip() and each.lstrip()[0] != "#")
    indent = _INDENT.match(lines[last])
    lines.insert(last + 1, (indent[1] if indent else "") + line)
    text = "\n".join(lines)
    return replace(part, rest=text) if in_rest else replace(part, text=text)


def line_of(text: str, key: str, row: int | None = None) -> int | None:
    """Return the line, counted from 1, on which `key` of the document or of a row stands.

    For a row without that key it is the line of its header.
    """
    first, last = 0, len(text)
    if row is not None:
        rows = [header.line for header in _headers(text) if header.is_row]
        if row >= len(rows):
            return None
        first, last = [*rows, last][row : row + 2]
    # "percent = ", "percent.2 = ", "[row.percent]", "[variants.2]": wherever the key begins.
    begins = re.compile(rf"\s*(?:\[\[?\s*(?:\w+\.)?)?[\"']?{re.escape(key)}\b")
    for number, line in _lines_outside_strings(text):
        if first <= number < last and begins.match(line):
            return number + 1
    return None if row is None else first + 1


def _headers(text: str) -> list[_Header]:
    """Return the table headers of a TOML text in order."""
    return [
        _Header(number, _path(match[2]), bool(match[1]))
        for number, line in _lines_outside_strings(text)
        if (match := _HEADER.fullmatch(line))
    ]


def without_strings(text: str) -> str:
    """Return a TOML text with each string and comment made one letter."""
    return _STRING.sub("s", text)


def _lines_outside_strings(text: str) -> Iterator[tuple[int, str]]:
    """Yield the lines that do not begin inside a string of several lines."""
    marked = _STRING.sub(lambda string: string[0].replace("\n", "\n\0"), text)
    for number, line in enumerate(marked.split("\n")):
        if not line.startswith("\0"):
            yield number, line


def _path(dotted: str) -> tuple[str, ...]:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))
