"""Texts laid out in a column of lines, and columns cut into pages; all in millimetres."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from designer.window.paper.ink import Box, Item, Text, advance, moved

__all__ = ["A4", "LETTER", "Block", "Flow", "Paper", "pages", "wrapped"]

LEADING = 1.35
"""Distance of lines over the size of the type."""

Piece = tuple[str, str]
"""Words and the tag of what they belong to."""


@dataclass(frozen=True)
class Paper:
    """A size of paper and its edge that stays free [mm]."""

    name: str
    width: float
    height: float
    edge: float = 15.0

    @property
    def inner(self) -> float:
        """Width between the edges."""
        return self.width - 2 * self.edge


A4 = Paper("A4", 210.0, 297.0)
LETTER = Paper("Letter", 215.9, 279.4)


@dataclass(frozen=True)
class Block:
    """Items that stay together, with their height; `stays` with the next block on one page."""

    items: tuple[Item, ...]
    height: float
    stays: bool = False


def wrapped(
    pieces: Iterable[Piece], em: float, width: float, bold: bool = False
) -> list[list[Piece]]:
    """Return pieces broken into lines that are not wider than `width`.

    Broken at spaces; a word that is wider than the line alone is broken inside. Words of one tag
    that stand together in a line are one piece.
    """
    lines: list[list[Piece]] = [[]]
    used = 0.0
    for word in _words(pieces, em, width, bold):
        wide = sum(advance(part, em, bold) for part, _ in _without_space(word))
        if lines[-1] and used + wide > width + 1e-6:
            lines.append([])
        line = lines[-1]
        for part, tag in word:
            if line and line[-1][1] == tag:
                line[-1] = (line[-1][0] + part, tag)
            else:
                line.append((part, tag))
        used = sum(advance(part, em, bold) for part, _ in line)
    return [_without_space(line) for line in lines if line]


def _without_space(line: list[Piece]) -> list[Piece]:
    """Return pieces without the space at their end."""
    *before, (last, tag) = line
    return [*before, (last.rstrip(" "), tag)]


def _words(pieces: Iterable[Piece], em: float, width: float, bold: bool) -> Iterator[list[Piece]]:
    """Yield what may not be parted, each with the space after it; a comma stays with its word."""
    word: list[Piece] = []
    for text, tag in pieces:
        for part in re.findall(r"[^ ]* |[^ ]+", text):
            for number, bit in enumerate(_parted(part, em, width, bold)):
                if number and word:
                    yield word
                    word = []
                word.append((bit, tag))
            if part.endswith(" "):
                yield word
                word = []
    if word:
        yield word


def _parted(word: str, em: float, width: float, bold: bool) -> Iterator[str]:
    """Yield a word, or parts of it where it is wider than a line."""
    while advance(word.rstrip(), em, bold) > width and len(word.rstrip()) > 1:
        fits = next(
            (n for n in range(len(word) - 1, 1, -1) if advance(word[:n], em, bold) <= width), 1
        )
        at = max(word.rfind(mark, 0, fits) for mark in "-/") + 1
        fits = at if at > 0 else fits
        yield word[:fits]
        word = word[fits:]
    yield word


@dataclass
class Flow:
    """A column that grows downwards.

    Attributes
    ----------
    width : float [mm]
    blocks : list of Block
    """

    width: float
    blocks: list[Block] = field(default_factory=list)

    @property
    def height(self) -> float:
        """Height [mm] of all blocks."""
        return sum(one.height for one in self.blocks)

    @property
    def items(self) -> list[Item]:
        """All items of a column that is not cut."""
        found: list[Item] = []
        y = 0.0
        for one in self.blocks:
            found += moved(one.items, 0, y)
            y += one.height
        return found

    def text(
        self,
        words: str | Sequence[Piece],
        em: float,
        *,
        bold: bool = False,
        token: str = "ink",
        indent: float = 0.0,
        mark: str = "",
        stays: bool = False,
    ) -> None:
        """Put in a text, broken into lines; `mark` stands before the first one, in the indent."""
        pieces = [(words, "")] if isinstance(words, str) else words
        lines = wrapped(pieces, em, self.width - indent, bold)
        for number, line in enumerate(lines):
            items: list[Item] = []
            if mark and not number:
                items.append(Text(0, em, mark, em, bold, token))
            x = indent
            for text, tag in line:
                items.append(Text(x, em, text, em, bold, token, tag))
                x += advance(text, em, bold)
            self.blocks.append(Block(tuple(items), LEADING * em, stays))

    def space(self, height: float) -> None:
        """Leave so much free."""
        self.blocks.append(Block((), height))

    def rule(self, thick: float = 0.25, token: str = "line") -> None:
        """Put in a rule over the whole width."""
        self.blocks.append(Block((Box(0, 0, self.width, thick, token),), 1.5 + thick, True))

    def put(self, items: Iterable[Item], height: float, stays: bool = False) -> None:
        """Put in items that stay together."""
        self.blocks.append(Block(tuple(items), height, stays))


def pages(flow: Flow, paper: Paper, foot: str = "", em: float = 2.6) -> list[list[Item]]:
    """Return the items of each page of a column; a foot with the number of the page on each.

    What stays with the next goes to the next page with it; what is taller than a page is not cut
    and begins a page of its own.
    """
    room = paper.height - 2 * paper.edge - 3 * em
    found: list[list[Item]] = [[]]
    y = 0.0
    for group in _groups(flow.blocks):
        tall = sum(one.height for one in group)
        if y and y + tall > room + 1e-6:
            found.append([])
            y = 0.0
        for one in group:
            if not (y == 0.0 and not one.items):
                found[-1] += moved(one.items, paper.edge, paper.edge + y)
                y += one.height
    base = paper.height - paper.edge
    for number, page in enumerate(found, 1):
        told = f"{number} of {len(found)}"
        right = paper.width - paper.edge - advance(told, em)
        page.append(Text(right, base, told, em, token="ink2"))
        if foot:
            line = wrapped([(foot, "")], em, paper.inner - 20)[0]
            page.append(Text(paper.edge, base, line[0][0], em, token="ink2"))
    return found


def _groups(blocks: Iterable[Block]) -> Iterator[list[Block]]:
    """Yield blocks that stay together."""
    group: list[Block] = []
    for one in blocks:
        group.append(one)
        if not one.stays:
            yield group
            group = []
    if group:
        yield group
