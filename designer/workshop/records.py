"""Frozen values to rows and back. Names of tables and columns are ours; values are bound."""

from collections.abc import Sequence
from dataclasses import fields
from decimal import Decimal
from functools import lru_cache
from typing import Any, TypeVar

from designer.workshop import batches, making, values
from designer.workshop.database import Database

__all__ = ["TABLES", "columns", "insert", "key_of", "select", "update"]

Record = TypeVar("Record")

TABLES: dict[type[Any], str] = {
    values.Own: "material",
    values.Value: "value",
    values.Ingredient: "part",
    values.Share: "blend",
    values.Lot: "lot",
    values.Price: "price",
    values.Stock: "stock",
    batches.Used: "used",
    batches.Seen: "seen",
    batches.Photograph: "photograph",
    batches.Washed: "washed",
}


def key_of(name: str) -> str:
    """Return a name as names are compared: without case and superfluous spaces."""
    return " ".join(name.casefold().split())


_KEYED = {"material": "name", "lot": "code"}
"""Tables with a column `key`, and of what it is the key."""


@lru_cache(maxsize=32)
def columns(kind: Any) -> tuple[str, ...]:
    """Return the columns of a class of values, its id last."""
    return tuple(one.name for one in fields(kind))


@lru_cache(maxsize=32)
def _special(kind: Any) -> tuple[tuple[int, Any], ...]:
    """Return which cells are not kept as they are, and what makes the field of them."""
    made = {Decimal: Decimal, bool: bool}
    return tuple(
        (place, made[one.type]) for place, one in enumerate(fields(kind)) if one.type in made
    )


def _any(kind: Any) -> Any:
    """Return a class as a key of a cache: not every class is hashable to a checker of types."""
    return kind


def insert(database: Database, record: object) -> int:
    """Add a row, inside `Database.write`, and return its id."""
    names, cells = _row(record)
    marks = ", ".join("?" * len(names))
    sql = f"INSERT INTO {TABLES[type(record)]} ({', '.join(names)}) VALUES ({marks})"
    return database.run(sql, cells)


def update(database: Database, record: Any) -> None:
    """Put a value in the place of the row with its id, inside `Database.write`."""
    names, cells = _row(record)
    sets = ", ".join(f"{name} = ?" for name in names)
    sql = f"UPDATE {TABLES[type(record)]} SET {sets} WHERE id = ?"
    database.run(sql, (*cells, record.id))


def select(
    database: Database, kind: type[Record], where: str = "", given: Sequence[object] = ()
) -> list[Record]:
    """Return values in the order they were made; `where` is a condition of ours."""
    sql = f"SELECT {', '.join(columns(_any(kind)))} FROM {TABLES[kind]}"
    rows = database.rows(f"{sql} {f'WHERE {where} ' if where else ''}ORDER BY id", given)
    special, names = _special(_any(kind)), columns(_any(kind))
    if not special:
        return [making.made(kind, zip(names, row, strict=True)) for row in rows]
    found = []
    for row in rows:
        cells = list(row)
        for place, turned in special:
            cells[place] = turned(cells[place])
        found.append(making.made(kind, zip(names, cells, strict=True)))
    return found


def _row(record: object) -> tuple[list[str], list[object]]:
    """Return columns and cells of a value without its id."""
    table = TABLES[type(record)]
    names = [name for name in columns(_any(type(record))) if name != "id"]
    cells = [_cell(getattr(record, name)) for name in names]
    if table in _KEYED:
        names.append("key")
        cells.append(key_of(str(getattr(record, _KEYED[table]))))
    return names, cells


def _cell(value: object) -> object:
    if isinstance(value, Decimal):
        return format(value, "f")
    return int(value) if isinstance(value, bool) else value
