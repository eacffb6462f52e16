"""Loading the tables into one handbook, with every check that a single table allows."""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from functools import lru_cache
from math import nan
from pathlib import Path
from typing import Any, TypeVar

from designer.errors import ReadableError
from designer.handbook import places, tables
from designer.handbook.book import Handbook, Material, PracticeRecipe
from designer.handbook.frozen import Frozen
from designer.handbook.joins import check
from designer.handbook.materials import (
    Component,
    Holder,
    HoldingRule,
    KnownGoodRange,
    Liquid,
    Melt,
    Part,
    Powder,
    Role,
    UptakeClass,
)
from designer.handbook.parameter import Parameter, parameter_from
from designer.handbook.tables import REPAIR, Column, Columns, Table

Record = TypeVar("Record")

_SFC = {f"sfc_{degree}": degree + 273.15 for degree in (10, 15, 20, 25, 30, 35, 40)}


def load(folder: Path | None = None) -> Handbook:
    """Return the handbook of the shipped tables, or of the tables in another folder.

    Parameters
    ----------
    folder : Path, optional
        Holds `materials` and `parameters`, as the shipped resources do.

    Raises
    ------
    ReadableError
        A table is missing or broken: which one, in which row and column, and what to do.
    """
    return _shipped() if folder is None else _load(folder)


@lru_cache(maxsize=1)
def _shipped() -> Handbook:
    return _load(places.resources())


def _load(folder: Path) -> Handbook:
    materials = folder / "materials"
    columns = tables.columns(materials / "columns.toml")

    def table(name: str, key: str = "name") -> Table:
        return tables.read(materials / f"{name}.csv", columns.get(name, {}), key)

    powders = _keyed(table("powders"), Powder)
    handbook = Handbook(
        powders=powders,
        liquids=_keyed(table("liquids"), Liquid),
        melts=_melts(table("melts")),
        components=_keyed(table("melt_components"), Component),
        holders=_holders(table("holders")),
        uptake_classes=_keyed(table("uptake_classes"), UptakeClass),
        ranges=_ranges(table("known_good_ranges", "quantity")),
        parameters=_parameters(folder / "parameters"),
        roles=_roles(table("roles"), powders),
        compositions=_compositions(table("composition")),
        practice=_practice(table("practice_recipes")),
        holding_rules=_rules(table("holding_rules", "material_class")),
        unknowns=_unknowns(materials / "unknown.toml", columns),
        columns=columns,
    )
    check(handbook)
    return handbook


def _columns_of(table: Table, record: type[Any]) -> list[Sequence[Any]]:
    """Return the checked columns of a table in the order of a record's fields."""
    found: list[Sequence[Any]] = []
    for one in fields(record):
        column = table.columns.get(one.name, Column())
        if column.unit is None:
            found.append(table.texts(one.name))
        elif one.type is float:
            found.append(table.numbers(one.name))
        else:
            found.append(table.optional_numbers(one.name))
    return found


def _keyed(table: Table, record: type[Record]) -> Frozen[str, Record]:
    """Return the rows of a table as records by name."""
    table.check_unique("name")
    rows = zip(*_columns_of(table, record), strict=True)
    return Frozen(dict(zip(table.texts("name"), (record(*row) for row in rows), strict=True)))


def _melts(table: Table) -> Frozen[str, Melt]:
    table.check_unique("name")
    solids = [table.optional_numbers(name) for name in _SFC]
    found = {}
    for row, name in enumerate(table.texts("name")):
        sfc = {
            degree: share
            for degree, share in zip(_SFC.values(), (one[row] for one in solids), strict=True)
            if share is not None
        }
        found[name] = {"components": _components(table, row), "sfc": Frozen(sfc)}
    plain = [one.name for one in fields(Melt) if one.name not in ("components", "sfc")]
    for key in plain:
        is_text = table.columns.get(key, Column()).unit is None
        cells = table.texts(key) if is_text else table.numbers(key)
        for name, cell in zip(table.texts("name"), cells, strict=True):
            found[name][key] = cell
    return Frozen({name: Melt(**values) for name, values in found.items()})


def _components(table: Table, row: int) -> tuple[tuple[str, float], ...]:
    """Return the components of one melt material, written "NAME:share;NAME:share"."""
    text = table.texts("components")[row]
    try:
        pairs = [piece.split(":") for piece in text.split(";")]
        return tuple((name.strip(), float(share)) for name, share in pairs)
    except ValueError:
        raise ReadableError(
            table.where(row, "components"),
            f'"{text}" is not a list of components.',
            "Write NAME:share;NAME:share, the shares summing to 1.",
        ) from None


def _holders(table: Table) -> Frozen[str, Holder]:
    """Return the holders; a constant that does not belong to a model is NaN."""
    table.check_unique("name")
    found: list[Sequence[Any]] = []
    for one in fields(Holder):
        if table.columns.get(one.name, Column()).unit is None:
            found.append(table.texts(one.name))
        else:
            numbers = table.optional_numbers(one.name)
            found.append([nan if number is None else number for number in numbers])
    rows = (Holder(*row) for row in zip(*found, strict=True))
    return Frozen({holder.name: holder for holder in rows})


def _ranges(table: Table) -> Frozen[str, KnownGoodRange]:
    table.check_unique("quantity")
    rows = zip(*_columns_of(table, KnownGoodRange), strict=True)
    return Frozen({row[0]: KnownGoodRange(*row) for row in rows})


def _roles(table: Table, powders: Mapping[str, Powder]) -> Frozen[tuple[str, str], Role]:
    """Return the roles; how a powder's dust hurts stands with the powder."""
    table.check_unique("kind", "name")
    plain = [one.name for one in fields(Role) if one.name not in ("roles", "dust_hazard")]
    columns = {
        name: table.numbers(name) if name.startswith("use_") else table.texts(name)
        for name in plain
    }
    found = {}
    for row, roles in enumerate(table.texts("roles")):
        values = {name: column[row] for name, column in columns.items()}
        kind, name = str(values["kind"]), str(values["name"])
        dusty = powders.get(name) if kind == "powder" else None
        found[kind, name] = Role(
            **values,
            roles=tuple(role.strip() for role in roles.split(";")),
            dust_hazard=dusty.dust_hazard if dusty else "none",
        )
    return Frozen(found)


def _compositions(table: Table) -> Frozen[tuple[str, str], tuple[Part, ...]]:
    columns = _columns_of(table, Part)
    level = [one.name for one in fields(Part)].index("level")
    columns[level] = [int(cell) for cell in columns[level]]
    found: dict[tuple[str, str], list[Part]] = {}
    keys = zip(table.texts("kind"), table.texts("name"), strict=True)
    for key, row in zip(keys, zip(*columns, strict=True), strict=True):
        found.setdefault(key, []).append(Part(*row))
    return Frozen({key: tuple(parts) for key, parts in found.items()})


def _practice(table: Table) -> tuple[PracticeRecipe, ...]:
    """Return the usual recipes in the order of their numbers."""
    found: dict[str, list[tuple[str, str, float]]] = {}
    columns = (table.texts("phase"), table.texts("name"), table.numbers("percent"))
    for number, *cells in zip(table.texts("recipe"), *columns, strict=True):
        phase, name, percent = cells
        found.setdefault(number, []).append((phase, name, percent))
    return tuple(tuple(rows) for rows in found.values())


def _rules(table: Table) -> tuple[HoldingRule, ...]:
    columns = _columns_of(table, HoldingRule)
    inci = [one.name for one in fields(HoldingRule)].index("inci")
    columns[inci] = [tuple(filter(None, cell.split("|"))) for cell in columns[inci]]
    return tuple(HoldingRule(*row) for row in zip(*columns, strict=True))


def _unknowns(path: Path, columns: Columns) -> Frozen[str, Material]:
    """Return what stands in for unknown materials, read as tables of one row."""
    found: dict[str, Material] = {}
    for kind, entry in tables.toml(path).items():
        record: type[Any] = {"powder": Powder, "liquid": Liquid, "melt": Melt}[kind]
        spec = columns[f"{kind}s"]
        names = {*(one.name for one in fields(record)), *(_SFC if kind == "melt" else ())}
        cells = {name: (str(entry.get(name, "")),) for name in names}
        cells["name"] = cells["inci"] = (f"unknown {kind}",)
        table = Table(f"{path.name}, [{kind}]", cells, [1], spec)
        built: Frozen[str, Any] = _melts(table) if kind == "melt" else _keyed(table, record)
        found[kind] = built[f"unknown {kind}"]
    return Frozen(found)


def _parameters(folder: Path) -> Frozen[str, Parameter]:
    """Return the parameters of all files of a folder; no name stands in two."""
    found: dict[str, Parameter] = {}
    paths = sorted(folder.glob("*.toml"))
    if not paths:
        raise ReadableError("Parameters", f"There are none in {folder}.", REPAIR)
    for path in paths:
        for name, entry in tables.toml(path).items():
            where = f"{path.name}, [{name}]"
            if name in found:
                raise ReadableError(where, "This name stands in another file already.", REPAIR)
            if not isinstance(entry, dict):
                raise ReadableError(where, "This is not a table of value, unit and so on.", REPAIR)
            try:
                found[name] = parameter_from(entry)
            except ValueError as error:
                raise ReadableError(where, str(error), REPAIR) from None
    return Frozen(found)
