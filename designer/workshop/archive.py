"""All that is kept as one file, to take away and to bring back; and what to do with a damaged one.

The file is a zip archive: `workshop.json`, the rows of every table, and the photographs.
"""

from __future__ import annotations

import io
import json
import os
import secrets
import sqlite3
import zipfile
from datetime import date, datetime
from pathlib import Path
from typing import Any

from designer.errors import ReadableError
from designer.handbook import Handbook
from designer.handbook.joins import check
from designer.workshop import migrations, places
from designer.workshop.batch_checks import checked
from designer.workshop.database import Database, opened
from designer.workshop.logbook import Logbook
from designer.workshop.pantry import Pantry
from designer.workshop.pantry_checks import check_kept

__all__ = ["content", "mend", "packed", "restore", "unpacked"]

_INSIDE = "workshop.json"
_PHOTOGRAPHS = "photographs/"
_NAME = "bar dough workshop"
_DERIVED = ("batch_words", "batch_found")
"""Tables that are made anew from the others."""

_MOST = 4_000_000_000
_MOST_JSON = 500_000_000
_DAY_ONE = (1980, 1, 1, 0, 0, 0)

_ADVICE = "Take an export file of this program; nothing was changed."


def content(stores: Database) -> dict[str, Any]:
    """Return every row of every table as plain values."""
    tables = {}
    for name in _tables(stores):
        columns = _columns(stores, name)
        rows = stores.rows(f"SELECT {', '.join(columns)} FROM {name} ORDER BY 1")
        tables[name] = {"columns": columns, "rows": [list(row) for row in rows]}
    return {"file": _NAME, "format": migrations.NEWEST, "tables": tables}


def packed(stores: Database, folder: Path | None = None) -> bytes:
    """Return the export file; equal content gives equal bytes.

    Raises
    ------
    ReadableError
        A photograph that is kept cannot be read.
    """
    with stores.steady():
        made = content(stores)
        names = sorted({str(row[0]) for row in stores.rows("SELECT file FROM photograph")})
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        text = json.dumps(made, ensure_ascii=False, indent=1, allow_nan=False)
        _put(archive, _INSIDE, text.encode())
        for name in names:
            path = places.inside(places.photographs(folder), name)
            # One that is gone is told when it is looked at; the rest is worth taking away.
            if path.is_file():
                _put(archive, _PHOTOGRAPHS + name, path.read_bytes())
    return stream.getvalue()


def _put(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    one = zipfile.ZipInfo(name, _DAY_ONE)
    one.compress_type = zipfile.ZIP_DEFLATED
    archive.writestr(one, data)


def unpacked(
    data: bytes, where: str, book: Handbook, today: date
) -> tuple[Database, dict[str, bytes]]:
    """Return what an export file holds, checked: stores in memory, and photographs by name.

    Raises
    ------
    ReadableError
        It is no export file, of a newer program, or says something that cannot be.
    """
    made, pictures = _opened(data, where)
    version = _version(made, where)
    connection = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    try:
        for step in migrations.STEPS[:version]:
            for statement in step:
                connection.execute(statement)
        connection.execute(f"PRAGMA application_id = {migrations.APPLICATION}")
        connection.execute(f"PRAGMA user_version = {version}")
        _fill(connection, made["tables"], where)
        migrations.migrate(connection, Path(where), None)
        stores = Database.holding(connection)
        _check_content(stores, where, book, today)
    except (sqlite3.Error, ArithmeticError, ValueError) as error:
        connection.close()
        told = f"Its content does not fit together: {' '.join(str(error).split())[:100]}."
        raise ReadableError(where, told, _ADVICE) from None
    except BaseException:
        connection.close()
        raise
    return stores, pictures


def _opened(data: bytes, where: str) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return the JSON and the photographs of an archive, by plain names only."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            if sum(one.file_size for one in entries) > _MOST:
                raise ReadableError(where, "It is too large.", _ADVICE)
            made, pictures = None, {}
            for one in entries:
                if one.filename == _INSIDE and one.file_size <= _MOST_JSON:
                    made = json.loads(archive.read(one), parse_constant=_refuse_constant)
                elif one.filename.startswith(_PHOTOGRAPHS):
                    name = one.filename.removeprefix(_PHOTOGRAPHS)
                    places.inside(places.photographs(), name)
                    pictures[name] = archive.read(one)
                else:
                    raise ReadableError(
                        where, f'It holds "{one.filename[:60]}", which does not belong.', _ADVICE
                    )
    except (zipfile.BadZipFile, ValueError, RecursionError, NotImplementedError, EOFError) as error:
        raise ReadableError(where, f"It is no export file ({error}).", _ADVICE) from None
    except (RuntimeError, OSError, zipfile.LargeZipFile):
        raise ReadableError(where, "It cannot be unpacked.", _ADVICE) from None
    if not isinstance(made, dict):
        raise ReadableError(where, f"It is no export file: {_INSIDE} is missing.", _ADVICE)
    return made, pictures


def _refuse_constant(word: str) -> None:
    raise ValueError(f"{word} is not a number")


def _version(made: dict[str, Any], where: str) -> int:
    version = made.get("format")
    if made.get("file") != _NAME or type(version) is not int or version < 1:
        raise ReadableError(where, "It is no export file of this program.", _ADVICE)
    if version > migrations.NEWEST:
        raise ReadableError(
            where,
            f"It was written by a newer version of this program (format {version}).",
            "Use the newer program; nothing was changed.",
        )
    return version


def _fill(connection: sqlite3.Connection, tables: Any, where: str) -> None:
    """Put rows into fresh tables; names of tables and columns must be known ones."""
    if not isinstance(tables, dict):
        raise ReadableError(where, "Its tables are missing.", _ADVICE)
    known = [row[0] for row in connection.execute(_LISTED).fetchall()]
    connection.execute("BEGIN")
    for name, table in tables.items():
        columns = (
            [row[1] for row in connection.execute(f"PRAGMA table_info({name})")]
            if (name in known and name not in _DERIVED)
            else []
        )
        stated = table.get("columns") if isinstance(table, dict) else None
        if not columns or not isinstance(stated, list) or sorted(stated) != sorted(columns):
            raise ReadableError(where, f'Its table "{str(name)[:40]}" is not known.', _ADVICE)
        marks = ", ".join("?" * len(stated))
        sql = f"INSERT INTO {name} ({', '.join(stated)}) VALUES ({marks})"
        for row in table.get("rows", ()):
            _check_row(row, len(stated), name, where)
            connection.execute(sql, row)
    connection.execute("COMMIT")
    strange = connection.execute("PRAGMA foreign_key_check").fetchall()
    if strange:
        raise ReadableError(where, f'Its table "{strange[0][0]}" points to nothing.', _ADVICE)


def _check_row(row: Any, size: int, name: str, where: str) -> None:
    plain = isinstance(row, list) and len(row) == size
    if not plain or not all(cell is None or type(cell) in (str, int, float) for cell in row):
        raise ReadableError(where, f'A row of its table "{name}" is not of plain values.', _ADVICE)


def _check_content(stores: Database, where: str, book: Handbook, today: date) -> None:
    """Raise unless what is kept could have been typed in here."""
    check_kept(stores, book, today)
    check(Pantry(stores, book, lambda: today).handbook())
    logbook = Logbook(stores, None, lambda: today)
    for batch in logbook.batches():
        checked(logbook.batch(batch.number), today)
    with stores.write():
        logbook.reindex()
    if problems := stores.verify():
        raise ReadableError(where, f"Its content does not fit together: {problems[0]}.", _ADVICE)


def restore(
    stores: Database,
    taken: tuple[Database, dict[str, bytes]],
    folder: Path | None = None,
    replace: bool = False,
) -> Path | None:
    """Put what an export file holds in the place of what is kept.

    Parameters
    ----------
    taken
        As `unpacked` returns it.
    replace : bool
        Whether what is there may go; a copy of it is kept.

    Returns
    -------
    Path or None, the copy of what was there

    Raises
    ------
    ReadableError
        Something is there and may not go, or it cannot be written. Nothing has changed then.
    """
    source, pictures = taken
    is_empty = not any(stores.rows(f"SELECT 1 FROM {name} LIMIT 1") for name in _tables(stores))
    if not is_empty and not replace:
        raise ReadableError(
            str(stores.path),
            "There is a pantry or logbook here already.",
            "Add --replace to put the file in its place; a copy of what is here is kept.",
        )
    kept = None if is_empty else _kept(stores)
    _put_pictures(pictures, folder)
    made = content(source)["tables"]
    with stores.write():
        stores.run("PRAGMA defer_foreign_keys = ON")
        stores.run("DELETE FROM batch_words")
        for name in made:
            stores.run(f"DELETE FROM {name}")
        for name, table in made.items():
            marks = ", ".join("?" * len(table["columns"]))
            sql = f"INSERT INTO {name} ({', '.join(table['columns'])}) VALUES ({marks})"
            for row in table["rows"]:
                stores.run(sql, row)
        for row in source.rows("SELECT batch, words FROM batch_words"):
            stores.run("INSERT INTO batch_words (batch, words) VALUES (?, ?)", row)
    return kept


def _kept(stores: Database) -> Path:
    """Copy the stores aside, and return where."""
    stamp = f"{datetime.now():%Y%m%d-%H%M%S}-{secrets.token_hex(2)}"
    target = places.backups(stores.path.parent) / f"workshop-before-import-{stamp}.sqlite"
    stores.copy_to(target)
    return target


def _put_pictures(pictures: dict[str, bytes], folder: Path | None) -> None:
    """Write photographs that are not there; their names tell their content."""
    from designer.recipe.saving import save

    where = places.photographs(folder)
    for name, data in pictures.items():
        path = places.inside(where, name)
        if not path.exists():
            try:
                where.mkdir(mode=0o700, parents=True, exist_ok=True)
            except OSError as error:
                raise ReadableError(
                    str(where), f"The folder cannot be made: {error.strerror}.", _ADVICE
                ) from None
            save(path, data)


def mend(folder: Path | None = None) -> tuple[Path, Path | None]:
    """Keep a damaged file aside, and bring the newest good copy; without one begin anew.

    Returns
    -------
    (where the damaged file is now, the copy brought back or None)

    Raises
    ------
    ReadableError
        The file is sound, or cannot be moved.
    """
    path = places.store(folder)
    _refuse_sound(path, folder)
    stamp = f"{datetime.now():%Y%m%d-%H%M%S}-{secrets.token_hex(2)}"
    aside = path.with_name(f"workshop-damaged-{stamp}.sqlite")
    try:
        for end in ("", "-wal", "-shm"):
            if path.with_name(path.name + end).exists():
                os.rename(path.with_name(path.name + end), aside.with_name(aside.name + end))
        for copy in sorted(places.backups(folder).glob("*.sqlite"), key=_age, reverse=True):
            if _is_sound(copy):
                from designer.recipe.saving import save

                save(path, copy.read_bytes())
                opened(folder)
                return aside, copy
    except OSError as error:
        raise ReadableError(
            str(path), f"It cannot be moved: {error.strerror}.", "Look whether the folder is yours."
        ) from None
    opened(folder)
    return aside, None


def _refuse_sound(path: Path, folder: Path | None) -> None:
    from designer.workshop.faults import Damaged

    try:
        stores = opened(folder)
    except Damaged:
        return
    if not stores.verify():
        raise ReadableError(str(path), "The file is sound.", "There is nothing to mend.")
    stores.close()


def _age(path: Path) -> float:
    return path.stat().st_mtime


def _is_sound(path: Path) -> bool:
    try:
        one = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro&immutable=1", uri=True)
        try:
            return bool(one.execute("PRAGMA integrity_check").fetchone() == ("ok",))
        finally:
            one.close()
    except sqlite3.Error:
        return False


_LISTED = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY rowid"


def _tables(stores: Database) -> list[str]:
    """Return the tables of ours in the order they were made: what is pointed to comes first."""
    names = [row[0] for row in stores.rows(_LISTED)]
    return [name for name in names if not name.startswith((*_DERIVED, "sqlite_"))]


def _columns(stores: Database, name: str) -> list[str]:
    return [row[1] for row in stores.rows(f"PRAGMA table_info({name})")]
