"""A logbook as CSV tables and back, and as JSON; values as kept, in SI."""

from collections.abc import Mapping
from dataclasses import asdict, fields, replace
from datetime import date
from typing import Any

from designer.errors import ReadableError
from designer.exchange.cells import cells_of, read, safe, value_of, written
from designer.workshop import Logbook
from designer.workshop.batches import Batch, Photograph, Seen, Used, Washed
from designer.workshop.records import key_of

__all__ = ["FILES", "as_json", "read_tables", "tables"]

FILES: dict[str, type[Any]] = {
    "batches.csv": Batch,
    "batches_used.csv": Used,
    "batches_seen.csv": Seen,
    "batches_photographs.csv": Photograph,
    "batches_in_use.csv": Washed,
}

_CHILDREN = {"used": Used, "seen": Seen, "photographs": Photograph, "washed": Washed}
_MADE_OF = tuple(_CHILDREN)


def tables(logbook: Logbook) -> dict[str, str]:
    """Return the CSV text of each table, the oldest batch first."""
    batches = [logbook.batch(one.number) for one in reversed(logbook.batches())]
    found = {
        "batches.csv": written((cells_of(one, _MADE_OF) for one in batches), _columns(Batch)),
    }
    for file, kind in list(FILES.items())[1:]:
        field = next(name for name, child in _CHILDREN.items() if child is kind)
        rows = [
            cells_of(child) | {"batch": safe(one.number)}
            for one in batches
            for child in getattr(one, field)
        ]
        found[file] = written(rows, _columns(kind))
    return found


def _columns(kind: type[Any]) -> list[str]:
    names = [one.name for one in fields(kind) if one.name not in ("id", "batch", *_MADE_OF)]
    return names if kind is Batch else ["batch", *names]


def read_tables(logbook: Logbook, texts: Mapping[str, str], today: date) -> int:
    """Add the batches of CSV tables to a logbook, all or none, and return how many were new.

    Raises
    ------
    ReadableError
        A row cannot be, or there is another batch of its number. Nothing has changed then.
    """
    children: dict[str, dict[str, list[Any]]] = {}
    for file, kind in list(FILES.items())[1:]:
        for place, cells in read(texts[file], file) if file in texts else ():
            number = key_of(cells.get("batch", "").removeprefix("'"))
            field = next(name for name, child in _CHILDREN.items() if child is kind)
            row = value_of(kind, cells, place, batch=0)
            children.setdefault(number, {}).setdefault(field, []).append(row)
    count = 0
    with logbook.database.write():
        there = {key_of(one.number) for one in logbook.batches()}
        for place, cells in (
            read(texts["batches.csv"], "batches.csv") if "batches.csv" in texts else ()
        ):
            key = key_of(cells.get("number", "").removeprefix("'"))
            parts: dict[str, Any] = {n: tuple(some) for n, some in children.pop(key, {}).items()}
            batch = replace(value_of(Batch, cells, place), **parts)
            if key not in there:
                logbook.add(batch)
                count += 1
            elif _bare(logbook.batch(batch.number)) != batch:
                raise ReadableError(
                    place,
                    f'There is another batch "{batch.number[:40]}" already.',
                    "Give this one another number.",
                )
        if children:
            raise ReadableError(
                "batches.csv",
                f'There is no batch "{next(iter(children))[:40]}".',
                "Add its row there.",
            )
    return count


def _bare(batch: Batch) -> Batch:
    """Return a batch without the numbers of its rows."""
    parts: dict[str, Any] = {
        name: tuple(replace(one, id=0, batch=0) for one in getattr(batch, name))
        for name in _MADE_OF
    }
    return replace(batch, id=0, **parts)


def as_json(batch: Batch, with_recipe: bool = True) -> dict[str, Any]:
    """Return a batch as plain values."""
    made = asdict(batch)
    made.pop("id")
    if not with_recipe:
        made.pop("recipe")
    for name in _MADE_OF:
        for one in made[name]:
            one.pop("id")
            one.pop("batch")
    return made
