"""The maker's own rows of limits and allergens, kept apart from the shipped ones.

They lie in the user's data folder, so that a new version of the program leaves them alone, as CSV
with the columns of the shipped tables, so that any spreadsheet reads them.
"""

import csv
import io
import tempfile
from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from pathlib import Path

import platformdirs

from designer.errors import ReadableError
from designer.handbook import places, tables
from designer.handbook.law import Law, load, with_own
from designer.recipe.saving import save

__all__ = [
    "ALLERGENS",
    "COLUMNS",
    "LIMITS",
    "TABLES",
    "Row",
    "choices",
    "folder",
    "law",
    "new_row",
    "rows",
    "save_rows",
]

Row = Mapping[str, str]
"""A row by column, as text."""

LIMITS, ALLERGENS = "use_limits", "fragrance_allergens"
TABLES = (LIMITS, ALLERGENS)

COLUMNS: dict[str, tuple[str, ...]] = {
    LIMITS: (
        *("name", "cas", "authority", "markets", "scope", "kind", "purpose", "max_percent"),
        *("strict", "basis", "factor", "groups", "condition", "source", "standing", "evidence"),
        "as_of",
    ),
    ALLERGENS: (
        *("name", "cas", "list", "rinse_off_percent", "leave_on_percent", "kind", "status"),
        *("note", "source", "standing", "evidence", "as_of"),
    ),
}
"""As the shipped tables have them."""

_USUAL: dict[str, dict[str, str]] = {
    LIMITS: {
        "authority": "own",
        "markets": "EU;UK",
        "scope": "rinse-off",
        "kind": "legal_max",
        "strict": "no",
        "basis": "as such",
        "factor": "1",
    },
    ALLERGENS: {
        "list": "2023",
        "rinse_off_percent": "0.01",
        "leave_on_percent": "0.001",
        "kind": "substance",
        "status": "declare",
    },
}

_ADVICE = "Correct it here; nothing was saved."


def folder() -> Path:
    """Return the folder of the own tables."""
    return Path(platformdirs.user_data_dir("bar-dough-designer")) / "own_tables"


def law(where: Path | None = None) -> Law:
    """Return the shipped tables with the own rows in place of theirs.

    Raises
    ------
    ReadableError
        An own table is broken: which one, in which row and column.
    """
    own = where or folder()
    state = tuple(_state(own / f"{name}.csv") for name in TABLES)
    return _law(own, state) if any(state) else load()


def _state(path: Path) -> tuple[int, int] | None:
    """Return what changes with a file, None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size


@lru_cache(maxsize=2)
def _law(own: Path, _state: object) -> Law:
    """Return the joined tables, one object as long as no file changes: checks remember by it."""
    try:
        return with_own(load(), own)
    except ReadableError as error:
        advice = f"Correct the own table in {own}, or take it away."
        raise ReadableError(f"Own table {error.title}", error.problem, advice) from None


def new_row(table: str) -> dict[str, str]:
    """Return a row with what is usual; name, figure and source are the maker's."""
    row = dict.fromkeys(COLUMNS[table], "")
    return (
        row
        | _USUAL[table]
        | {
            "standing": "memory",
            "evidence": "memory",
            "as_of": date.today().isoformat(),
        }
    )


def choices(table: str, column: str) -> tuple[str, ...]:
    """Return what may stand in a column, () where any text may."""
    known = tables.columns(places.resources() / "law" / "columns.toml")
    found = known.get(table, {}).get(column)
    if column == "authority":
        return ("own",)
    if found is None or not found.choices:
        return ()
    return ("", *found.choices) if found.optional else found.choices


def rows(table: str, where: Path | None = None) -> list[dict[str, str]]:
    """Return the own rows of a table, [] where there are none.

    Raises
    ------
    ReadableError
        The table cannot be read.
    """
    path = (where or folder()) / f"{table}.csv"
    if not path.is_file():
        return []
    found = tables.read(path, {})
    names = list(found.cells)
    columns = (found.cells[name] for name in names)
    made = [dict(zip(names, cells, strict=True)) for cells in zip(*columns, strict=True)]
    return [{name: row.get(name, "") for name in COLUMNS[table]} for row in made]


def save_rows(table: str, changed: Sequence[Row], where: Path | None = None) -> None:
    """Put the own rows of a table in place of those that are there, all or none.

    Raises
    ------
    ReadableError
        A row cannot be used, which names its column, or the file cannot be written.
    """
    own = where or folder()
    path = own / f"{table}.csv"
    if not changed:
        path.unlink(missing_ok=True)
        return
    for number, row in enumerate(changed, start=1):
        _check_filled(table, number, row)
    content = _text(table, changed).encode()
    with tempfile.TemporaryDirectory(prefix="bar-dough-") as trial:
        (Path(trial) / path.name).write_bytes(content)
        try:
            with_own(load(), Path(trial))
        except ReadableError as error:
            problem = error.problem.replace(" 1 is.", " is.")  # percents have no unit to tell
            raise ReadableError(error.title, problem, _ADVICE) from None
    try:
        own.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ReadableError(
            "Own tables", f"The folder {own} cannot be made: {error.strerror}.", "Make it by hand."
        ) from None
    save(path, content)


def _check_filled(table: str, number: int, row: Row) -> None:
    """Raise where a row lacks what a person must state."""
    named = f' ("{row["name"][:40]}")' if row.get("name", "").strip() else ""
    for column, what in (("name", "INCI name"), ("source", "source"), ("as_of", "day")):
        if not row.get(column, "").strip():
            raise ReadableError(
                f'Own row {number}{named}, column "{column}"',
                f"There is no {what}.",
                "Say where the rule is from and of which day: without it nobody can look it up."
                if column != "name"
                else "Type the INCI name it is about.",
            )
    try:
        date.fromisoformat(row["as_of"].strip())
    except ValueError:
        raise ReadableError(
            f'Own row {number}{named}, column "as_of"',
            f'"{row["as_of"][:40]}" is not a day.',
            "Write it as 2026-11-28.",
        ) from None


def _text(table: str, changed: Sequence[Row]) -> str:
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(COLUMNS[table])
    for row in changed:
        cells = (" ".join(row.get(name, "").split()) for name in COLUMNS[table])
        writer.writerow([cell.replace(",", ".") if _is_figure(cell) else cell for cell in cells])
    return stream.getvalue()


def _is_figure(cell: str) -> bool:
    """Return whether a cell is a figure with a decimal comma."""
    return cell.count(",") == 1 and cell.replace(",", "").isdigit()
