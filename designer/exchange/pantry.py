"""A pantry as CSV tables and back, and as JSON.

Masses are in kg, shares of 1, temperatures in K: as kept, so that a table comes back the same.
"""

from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from datetime import date
from typing import Any

from designer.errors import ReadableError
from designer.exchange.cells import cells_of, read, safe, value_of, written
from designer.handbook import kind_of
from designer.handbook.joins import check
from designer.workshop import Pantry
from designer.workshop.pantry_checks import check_kept
from designer.workshop.records import insert, key_of, select, update
from designer.workshop.values import Ingredient, Lot, Own, Price, Share, Stock, Value

__all__ = ["FILES", "as_json", "read_tables", "tables"]

FILES: dict[str, type[Any]] = {
    "materials.csv": Own,
    "lots.csv": Lot,
    "values.csv": Value,
    "composition.csv": Ingredient,
    "blends.csv": Share,
    "prices.csv": Price,
    "stock.csv": Stock,
}
"""By name of the file what it holds; what others point to comes first."""

_WHOLE = (Ingredient, Share)
"""A material's rows of these belong together: a table puts all of them in place."""


def tables(pantry: Pantry) -> dict[str, str]:
    """Return the CSV text of each table, of all materials that are there."""
    owns = {own.id: own for own in pantry.materials()}
    lots = {lot.id: lot.code for lot in select(pantry.database, Lot)}
    batches = dict(pantry.database.rows("SELECT id, number FROM batch"))
    found = {}
    for file, kind in FILES.items():
        rows = []
        for record in select(pantry.database, kind):
            own = record if kind is Own else owns.get(record.material)
            if own is None or own.removed:
                continue
            rows.append(_row(record, own, lots, batches))
        found[file] = written(rows, _columns(kind))
    return found


def _columns(kind: type[Any]) -> list[str]:
    names = [one.name for one in fields(kind) if one.name not in ("id", "material", "removed")]
    return names if kind is Own else ["kind", "material", *names]


def _row(record: Any, own: Own, lots: Mapping[int, str], batches: Mapping[int, str]) -> Any:
    if isinstance(record, Own):
        return cells_of(record, ("removed",))
    row = {"kind": own.kind, "material": safe(own.name)} | cells_of(record, ("material",))
    for column, names in (("lot", lots), ("batch", batches)):
        if column in row:
            number = getattr(record, column)
            row[column] = safe(names.get(number, "")) if number is not None else ""
    return row


def read_tables(pantry: Pantry, texts: Mapping[str, str], today: Callable[[], date]) -> int:
    """Add the rows of CSV tables to a pantry, all or none, and return how many were new.

    A row that is there already is left; a material or lot of the same name takes the new facts.

    Raises
    ------
    ReadableError
        A row cannot be: which one, in which table. Nothing has changed then.
    """
    count = 0
    with pantry.database.write():
        for file, kind in FILES.items():
            if file in texts:
                rows = read(texts[file], file)
                reader = _take_materials if kind is Own else _take_rows
                count += reader(pantry, kind, rows)
        check_kept(pantry.database, pantry.book, today())
        check(pantry.handbook())
    return count


def _take_materials(pantry: Pantry, kind: type[Any], rows: list[Any]) -> int:
    there = {(own.kind, key_of(own.name)): own for own in pantry.materials()}
    count = 0
    for place, cells in rows:
        own = value_of(kind, cells, place)
        before = there.get((own.kind, key_of(own.name)))
        if before is None:
            number = insert(pantry.database, own)
            there[own.kind, key_of(own.name)] = replace(own, id=number)
            count += 1
        elif replace(own, id=before.id) != before:
            update(pantry.database, replace(own, id=before.id))
            count += 1
    return count


def _take_rows(pantry: Pantry, kind: type[Any], rows: list[Any]) -> int:
    owns = {(own.kind, key_of(own.name)): own.id for own in pantry.materials()}
    codes: dict[int, dict[str, int]] = {}
    for lot in select(pantry.database, Lot):
        codes.setdefault(lot.material, {})[key_of(lot.code)] = lot.id
    batches = {key_of(str(n)): i for i, n in pantry.database.rows("SELECT id, number FROM batch")}
    made = []
    for place, cells in rows:
        name = cells.get("material", "").removeprefix("'")
        number = owns.get((cells.get("kind", ""), key_of(name)))
        if number is None:
            raise ReadableError(
                place, f'There is no "{name[:60]}" in materials.csv.', "Add its row there."
            )
        given: dict[str, Any] = {"material": number}
        if kind in (Value, Stock):
            given["lot"] = _pointed(cells, "lot", codes.get(number, {}).get, place)
        if kind is Stock:
            given["batch"] = _pointed(cells, "batch", batches.get, place, needed=False)
        made.append(value_of(kind, cells, place, **given))
    return _put(pantry, kind, made)


def _pointed(
    cells: Mapping[str, str],
    column: str,
    find: Callable[[str], int | None],
    place: str,
    needed: bool = True,
) -> int | None:
    """Return the id of what a cell names; None for an empty one."""
    name = cells.get(column, "").removeprefix("'")
    if not name:
        return None
    found = find(key_of(name))
    if found is None and needed:
        raise ReadableError(place, f'There is no {column} "{name[:40]}".', "Add it first.")
    return found


def _put(pantry: Pantry, kind: type[Any], made: list[Any]) -> int:
    """Add rows that are not there; return how many."""
    there = select(pantry.database, kind)
    if kind in _WHOLE:
        materials = {one.material for one in made}
        before = [replace(one, id=0) for one in there if one.material in materials]
        if before == made:
            return 0
        for one in there:
            if one.material in materials:
                pantry.database.run(
                    "DELETE FROM part WHERE id = ?"
                    if kind is Ingredient
                    else "DELETE FROM blend WHERE id = ?",
                    (one.id,),
                )
        there = []
    by_code = {(o.material, key_of(o.code)): o for o in there} if kind is Lot else {}
    left = [replace(one, id=0) for one in there]
    count = 0
    for one in made:
        if one in left:
            left.remove(one)  # the same may stand twice, as two equal deliveries
            continue
        count += 1
        if kind is Lot and (before_lot := by_code.get((one.material, key_of(one.code)))):
            update(pantry.database, replace(one, id=before_lot.id))
        else:
            insert(pantry.database, one)
    return count


def as_json(pantry: Pantry, name: str, kind: str = "") -> dict[str, Any]:
    """Return all that is kept of a material as plain values."""
    material = pantry.material(name, kind)
    kept = pantry.own(material.name, kind_of(material))
    laid = pantry.handbook()
    key = (kind_of(material), material.name)
    role = laid.roles.get(key)
    stock = pantry.stock(material.name, kind_of(material))
    return {
        "name": material.name,
        "kind": kind_of(material),
        "inci": material.inci,
        "class": material.material_class,
        "own": bool(kept and kept.own.own),
        "base": kept.own.base if kept else "",
        "roles": list(role.roles) if role else [],
        "vegan": role.vegan if role else "",
        "palm": role.palm if role else "",
        "sulfate_free": role.sulfate_free if role else "",
        "allergen": role.allergen if role else "",
        "supplier": kept.own.supplier if kept else "",
        "remark": kept.own.remark if kept else "",
        "values": [_plain(one) for one in kept.values] if kept else [],
        "composition": [
            {"component": p.component, "low": p.low, "typical": p.typical, "high": p.high}
            for p in laid.compositions.get(key, ())
        ],
        "blend": {one.name: one.share for one in kept.shares} if kept else {},
        "lots": [_plain(one) for one in kept.lots] if kept else [],
        "prices": [
            _plain(one) | {"amount": str(one.amount)} for one in pantry.prices(*reversed(key))
        ],
        "stock_kg": stock,
        "origins": {column: origin.words for column, origin in laid.origins.get(key, {}).items()},
    }


def _plain(record: Any) -> dict[str, Any]:
    return {
        one.name: getattr(record, one.name)
        for one in fields(record)
        if one.name not in ("id", "material")
    }
