"""Text tables for a terminal: columns, wrapped paragraphs, the known-good strip."""

import shutil
import sys
import textwrap
from collections.abc import Sequence

from designer.errors import ReadableError

WIDEST = 100

_PLAIN = str.maketrans(
    {"°": "", "–": "-", "─": "-", "█": "#", "·": ".", "●": "o", "│": "|", "µ": "u", "…": "..."}
)


def width() -> int:
    """Return the columns to write in: the terminal's, at most `WIDEST`."""
    return max(60, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))


def say(text: str = "") -> None:
    """Print a text, in plain letters where the terminal has no others."""
    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        text = text.translate(_PLAIN).encode(encoding, "replace").decode(encoding)
    print(text)


def paragraph(text: str, indent: str = "", first: str | None = None) -> str:
    """Return a text wrapped to the width."""
    return textwrap.fill(
        text,
        width(),
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_on_hyphens=False,
    )


def table(rows: Sequence[Sequence[str]], align: str) -> str:
    """Return rows as aligned columns; `align` has "l" or "r" for each column."""
    widths = [max(len(row[k]) for row in rows) for k in range(len(align))]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(size) if side == "r" else cell.ljust(size)
            for cell, size, side in zip(row, widths, align, strict=True)
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)


def strip(value: float, low: float, high: float, cells: int = 21) -> str:
    """Return a value on its known-good range as text: the range in the middle, the value marked."""
    third = cells // 3
    line = ["─"] * third + ["█"] * (cells - 2 * third) + ["─"] * third
    place = third + (value - low) / (high - low) * (cells - 2 * third - 1)
    line[int(min(max(round(place), 0), cells - 1))] = "●"
    return "".join(line)


def complain(error: ReadableError) -> None:
    """Print what went wrong and what to do on standard error."""
    print(f"bar-dough: {error}", file=sys.stderr)
