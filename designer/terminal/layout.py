"""Text tables for a terminal: columns, wrapped paragraphs, the known-good strip."""

import re
import shutil
import sys
import textwrap
from collections.abc import Iterable, Sequence
from typing import TextIO

WIDEST = 100

_PLAIN = str.maketrans(
    {"°": "", "–": "-", "─": "-", "█": "#", "·": ".", "●": "o", "│": "|", "µ": "u", "…": "~"}
    # "?5.8" for "-5.8" would take the sign from a figure.
    | {"\N{MINUS SIGN}": "-", "±": "+-"}
)


def width() -> int:
    """Return the columns to write in: the terminal's, at most `WIDEST`."""
    return max(60, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))


def say(text: str = "") -> None:
    """Print a text, in plain letters where the terminal has no others."""
    print("\n".join(_printable(line, sys.stdout) for line in text.split("\n")))


def _printable(line: str, stream: TextIO) -> str:
    """Return a line as its reader can show it; what would steer a terminal becomes a "?"."""
    line = "".join(c if c.isprintable() else " " if c.isspace() else "?" for c in line)
    encoding = getattr(stream, "encoding", None) or "ascii"
    try:
        line.encode(encoding)
    except UnicodeEncodeError:
        return line.translate(_PLAIN).encode(encoding, "replace").decode(encoding)
    return line


_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|°C|K|kPa|g|kg|min|h|d)(?!\w))")


def paragraph(text: str, indent: str = "", first: str | None = None) -> str:
    """Return a text wrapped to the width; a number keeps its unit beside it."""
    return textwrap.fill(
        _BEFORE_UNIT.sub("\xa0", text),
        width(),
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_on_hyphens=False,
    ).replace("\xa0", " ")


def facts(told: Iterable[str]) -> str:
    """Return short facts in a row, wrapped between them where they must be."""
    lines = [""]
    for one in told:
        joined = f"{lines[-1]} · {one}" if lines[-1] else one
        if len(joined) > width() and lines[-1]:
            lines.append(f"  {one}")
        else:
            lines[-1] = joined
    return "\n".join(lines)


def table(rows: Sequence[Sequence[str]], align: str, notes: Sequence[str] = ()) -> str:
    """Return rows as aligned columns; `align` has "l" or "r" for each column.

    `notes` has a text for each row, "" for none, that stands below it.
    """
    widths = [max(len(row[k]) for row in rows) for k in range(len(align))]
    lines = []
    for row, note in zip(rows, notes or [""] * len(rows), strict=True):
        cells = [
            cell.rjust(size) if side == "r" else cell.ljust(size)
            for cell, size, side in zip(row, widths, align, strict=True)
        ]
        lines.append("  ".join(cells).rstrip())
        if note:
            lines.append(paragraph(note, "    "))
    return "\n".join(lines)


def cut(text: str) -> str:
    """Return lines shortened to the width; an ellipsis shows where."""
    most = width()
    return "\n".join(
        line if len(line) <= most else line[: most - 1] + "…" for line in text.split("\n")
    )


def strip(value: float, low: float, high: float, cells: int = 21) -> str:
    """Return a value on its known-good range as text: the range in the middle, the value marked."""
    third = cells // 3
    line = ["─"] * third + ["█"] * (cells - 2 * third) + ["─"] * third
    place = third + (value - low) / (high - low) * (cells - 2 * third - 1)
    line[int(min(max(round(place), 0), cells - 1))] = "●"
    return "".join(line)


def complain(error: object) -> None:
    """Print what went wrong and what to do, as one line on standard error."""
    print(_printable(f"bar-dough: {error}", sys.stderr), file=sys.stderr)
