"""Loading the tables into one handbook, with every check that a single table allows."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from functools import lru_cache
from math import nan
from pathlib import Path
from typing import Any, TypeVar, cast

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
from designer.handbook.tables import REPAIR, Columns, Table

Record = TypeVar("Record")

_KINDS: dict[str, type[Any]] = {"powder": Powder, "liquid": Liquid, "melt": Melt}

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
        ranges=_keyed(table("known_good_ranges", "quantity"), KnownGoodRange, "quantity"),
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


def _rows(table: Table, record: type[Record], **special: Sequence[Any]) -> Iterator[Record]:
    """Return the rows of a table as records; `special` columns are taken as given."""
    columns: list[Sequence[Any]] = []
    for one in fields(cast(Any, record)):
        if one.name in special:
            columns.append(special[one.name])
        elif one.type is str:
            columns.append(table.texts(one.name))
        elif one.type is float:
            columns.append(table.numbers(one.name))
        else:
            columns.append(table.optional_numbers(one.name))
    return (record(*row) for row in zip(*columns, strict=True))


def _keyed(
    table: Table, record: type[Record], key: str = "name", **special: Sequence[Any]
) -> Frozen[str, Record]:
    """Return the rows of a table as records by name."""
    table.check_unique(key)
    rows = _rows(table, record, **special)
    return Frozen(dict(zip(table.texts(key), rows, strict=True)))


def _melts(table: Table) -> Frozen[str, Melt]:
    solids = zip(*(table.optional_numbers(name) for name in _SFC), strict=True)
    sfc = [
        Frozen({degree: share for degree, share in pairs if share is not None})
        for pairs in (zip(_SFC.values(), shares, strict=True) for shares in solids)
    ]
    components = [_components(table, row) for row in range(len(sfc))]
    return _keyed(table, Melt, sfc=sfc, components=components)


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
    constants: dict[str, Any] = {
        name: [nan if number is None else number for number in table.optional_numbers(name)]
        for name, column in table.columns.items()
        if column.unit is not None
    }
    return _keyed(table, Holder, **constants)


def _roles(table: Table, powders: Mapping[str, Powder]) -> Frozen[tuple[str, str], Role]:
    """Return the roles; how a powder's dust hurts stands with the powder."""
    table.check_unique("kind", "name")
    keys = list(zip(table.texts("kind"), table.texts("name"), strict=True))
    roles = [tuple(map(str.strip, cell.split(";"))) for cell in table.texts("roles")]
    dust = [
        powders[name].dust_hazard if kind == "powder" and name in powders else "none"
        for kind, name in keys
    ]
    rows = _rows(table, Role, roles=roles, dust_hazard=dust)
    return Frozen(dict(zip(keys, rows, strict=True)))


def _compositions(table: Table) -> Frozen[tuple[str, str], tuple[Part, ...]]:
    rows = _rows(table, Part, level=[int(cell) for cell in table.texts("level")])
    keys = zip(table.texts("kind"), table.texts("name"), strict=True)
    found: dict[tuple[str, str], list[Part]] = {}
    for key, part in zip(keys, rows, strict=True):
        found.setdefault(key, []).append(part)
    return Frozen({key: tuple(parts) for key, parts in found.items()})


def _practice(table: Table) -> tuple[PracticeRecipe, ...]:
    """Return the usual recipes in the order of their numbers."""
    rows = zip(table.texts("phase"), table.texts("name"), table.numbers("percent"), strict=True)
    found: dict[str, list[tuple[str, str, float]]] = {}
    for number, row in zip(table.texts("recipe"), rows, strict=True):
        found.setdefault(number, []).append(row)
    return tuple(tuple(recipe) for recipe in found.values())


def _rules(table: Table) -> tuple[HoldingRule, ...]:
    inci = [tuple(filter(None, cell.split("|"))) for cell in table.texts("inci")]
    return tuple(_rows(table, HoldingRule, inci=inci))


def _unknowns(path: Path, columns: Columns) -> Frozen[str, Material]:
    """Return what stands in for unknown materials, read as tables of one row."""
    found: dict[str, Material] = {}
    for kind, entry in tables.toml(path).items():
        record = _KINDS.get(kind)
        if record is None or not isinstance(entry, dict):
            raise ReadableError(
                f"{path.name}, [{kind}]",
                f"It is none of {', '.join(_KINDS)}.",
                REPAIR,
            )
        spec = columns.get(f"{kind}s", {})
        names = {*(one.name for one in fields(record)), *(_SFC if kind == "melt" else ())}
        entry |= {"name": f"unknown {kind}", "inci": f"unknown {kind}"}
        cells = {name: [str(entry.get(name, ""))] for name in names}
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
