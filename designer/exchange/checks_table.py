"""The checks as a table for a spreadsheet: text with tabs, or a CSV file."""

import csv
import io
from collections.abc import Iterable

from designer.wording.check_groups import CheckRow, table
from designer.wording.checks import DISCLAIMER

__all__ = ["as_csv", "as_tsv"]

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""First letters that make a spreadsheet take a text for a formula."""


def as_tsv(rows: Iterable[CheckRow], market: str) -> str:
    """Return rows under their head, cells parted by tabs."""
    return "\n".join("\t".join(map(_plain, row)) for row in table(rows, market))


def as_csv(rows: Iterable[CheckRow], market: str, as_of: str) -> bytes:
    """Return the checks as a file, with what they are not below them."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    for row in table(rows, market):
        writer.writerow([_plain(cell) for cell in row])
    writer.writerow([])
    for words in (as_of, DISCLAIMER):
        writer.writerow([_plain(words)])
    # The mark at its head tells spreadsheets that it is UTF-8.
    return stream.getvalue().encode("utf-8-sig")


def _plain(cell: str) -> str:
    """Return a cell on one line that no spreadsheet takes for a formula."""
    words = " ".join(cell.split())
    return f"'{words}" if words.startswith(_FORMULA) else words
