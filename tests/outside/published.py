"""Reads the published values the tests are held against, each row with its source.

The column `evidence` says how sure it is that the source prints the value: `read` (seen there when
the check was written), `recorded` (noted as seen by whoever compiled the material tables, not seen
again), `memory`. Tolerance and reason stand in the row; a deviation the model is known to have is
part of the claim, not hidden in the tolerance.
"""

import csv
from pathlib import Path

import pytest

FOLDER = Path(__file__).parent
EVIDENCE = ("read", "recorded", "memory")
WORDS = ("reason", "source", "evidence")


def rows(table):
    """Return the rows of a table as dictionaries, numbers as floats."""
    with (FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return [{name: number(text) for name, text in row.items()} for row in csv.DictReader(file)]


def number(text):
    try:
        return float(text)
    except ValueError:
        return text


def each(table, *name, **where):
    """Return a decorator that runs a test over the rows of a table, named by columns `name`."""
    chosen = [row for row in rows(table) if all(row[key] == value for key, value in where.items())]
    label = ["-".join(str(row[column]) for column in name) for row in chosen]
    return pytest.mark.parametrize("row", chosen, ids=label)
