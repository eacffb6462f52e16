"""The connection: one per process and file, everything in transactions, faults as sentences."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from designer.errors import ReadableError
from designer.workshop import faults, migrations, places

__all__ = ["BUSY", "Database", "Watch", "borrowed", "close_all", "is_there", "opened"]

BUSY = 5.0
"""Time [s] to wait for another program that writes."""

_QUICK_LIMIT = 20
"""Faults of a damaged file that are told."""


class Database:
    """A connection in WAL with synchronous FULL: what a transaction returned from is on the disk.

    Safe to use from several threads, which wait for each other.

    Parameters
    ----------
    path : Path or None
        None for an empty one in memory.
    check : bool or tuple of str
        Whether to look through the file for damage first, or through these tables of it alone.

    Raises
    ------
    ReadableError
        The file is damaged, of a newer program, of another program, or cannot be opened.
    """

    def __init__(
        self, path: Path | None, check: bool | tuple[str, ...] = True, busy: float = BUSY
    ) -> None:
        self.path = path or Path("(memory)")
        self.is_read_only = self._is_writing = False
        self._lock = threading.RLock()
        self._process = os.getpid()
        self._connection = _in_memory() if path is None else self._open(path, check, busy)

    @classmethod
    def holding(cls, connection: sqlite3.Connection) -> Database:
        """Return a database in memory that was made already."""
        made = cls(None)
        made._connection.close()
        connection.execute("PRAGMA foreign_keys = ON")
        made._connection = connection
        return made

    def copy_to(self, target: Path) -> None:
        """Copy all that is kept into a new file.

        Raises
        ------
        ReadableError
            It cannot be written.
        """
        temporary = target.with_suffix(".tmp")
        try:
            target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            with self._lock:
                copy = sqlite3.connect(temporary)
                try:
                    self._connection.backup(copy)
                finally:
                    copy.close()
            os.replace(temporary, target)
        except (sqlite3.Error, OSError) as error:
            raise faults.told(error, target) from None
        finally:
            with suppress(OSError):
                temporary.unlink(missing_ok=True)

    def _open(self, path: Path, check: bool | tuple[str, ...], busy: float) -> sqlite3.Connection:
        try:
            _refuse_strange(path)
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.is_read_only = not _may_write(path)
            connection = _connected(path, self.is_read_only, busy)
        except (sqlite3.Error, OSError) as error:
            raise faults.told(error, path) from None
        try:
            self._prepare(connection, path, check)
        except BaseException as error:
            connection.close()
            if isinstance(error, sqlite3.Error | OSError):
                raise faults.told(error, path) from None
            raise
        return connection

    def _prepare(
        self, connection: sqlite3.Connection, path: Path, check: bool | tuple[str, ...]
    ) -> None:
        """Check the file, set the connection up, and bring the file to the newest version."""
        version = migrations.check(connection, path)
        if check and version:
            _check(connection, path, check if isinstance(check, tuple) else ())
        connection.execute("PRAGMA foreign_keys = ON")
        if self.is_read_only:
            if version != migrations.NEWEST:
                raise ReadableError(
                    str(path),
                    "It is of an older version of this program, and may not be written.",
                    "Ask who owns the folder for the right to write.",
                )
            return
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        migrations.migrate(connection, path, places.backups(path.parent))

    @contextmanager
    def write(self) -> Iterator[None]:
        """Hold a transaction that writes: all of it is kept, or nothing.

        Raises
        ------
        ReadableError
            It cannot be written; nothing has changed then.
        """
        if self.is_read_only:
            raise ReadableError(
                str(self.path),
                "You may not write here.",
                "Ask who owns the folder for the right to write; nothing was changed.",
            )
        with self._lock:
            if self._is_writing:
                yield  # a part of a larger change
                return
            self._is_writing = True
            try:
                self._connection.execute("BEGIN IMMEDIATE")
                try:
                    yield
                    self._connection.execute("COMMIT")
                except BaseException:
                    with suppress(sqlite3.Error):
                        if self._connection.in_transaction:
                            self._connection.execute("ROLLBACK")
                    raise
            except sqlite3.Error as error:
                raise faults.told(error, self.path) from None
            finally:
                self._is_writing = False

    @contextmanager
    def steady(self) -> Iterator[None]:
        """Hold what is read to one moment, whatever others write meanwhile."""
        with self._lock:
            if self._is_writing:
                yield
                return
            self.rows("BEGIN")
            try:
                yield
            finally:
                self.rows("ROLLBACK")

    def run(self, sql: str, values: Sequence[object] = ()) -> int:
        """Carry out a statement inside `write`, and return the id of a new row."""
        with self._lock:
            return int(self._connection.execute(sql, values).lastrowid or 0)

    def rows(self, sql: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        """Return the rows of a question."""
        with self._lock:
            try:
                return self._connection.execute(sql, values).fetchall()
            except sqlite3.Error as error:
                if self._is_writing:
                    raise  # `write` rolls back and tells
                raise faults.told(error, self.path) from None

    def stamp(self) -> tuple[int, int]:
        """Return what changes whenever the content may have: by another, or by this process."""
        (version,) = self.rows("PRAGMA data_version")[0]
        with self._lock:
            return int(version), self._connection.total_changes

    def verify(self) -> list[str]:
        """Return what a thorough look finds wrong, nothing where all is well."""
        try:
            found = [str(row[0]) for row in self.rows("PRAGMA integrity_check(20)")]
            strange = self.rows("PRAGMA foreign_key_check")
        except faults.Damaged as error:
            return [error.problem]
        told = [] if found == ["ok"] else found
        return told + [f"table {row[0]}, row {row[1]} points to nothing" for row in strange[:20]]

    def close(self) -> None:
        """End the connection; the log of changes is taken into the file."""
        with self._lock:
            for key, one in list(_OPEN.items()):
                if one is self:
                    del _OPEN[key]
            if self._process == os.getpid():
                self._connection.close()

    def __del__(self) -> None:
        # One that nobody closed, as what only read from an empty pantry.
        with suppress(Exception):
            if self._process == os.getpid():
                self._connection.close()


class Watch:
    """Tells whether another window, or another program, changed the content.

    A window asks every second or so; the first question of a watch is answered no.
    """

    def __init__(self, database: Database, told: Callable[[], None] | None = None) -> None:
        self._database, self._told = database, told
        self._last = database.stamp()

    def poll(self) -> bool:
        """Return whether anything changed since the last question, and tell."""
        now = self._database.stamp()
        changed, self._last = now != self._last, now
        if changed and self._told is not None:
            self._told()
        return changed


_OPEN: dict[tuple[int, str], Database] = {}
_OPENING = threading.Lock()


def opened(folder: Path | None = None) -> Database:
    """Return this process's one connection to the stores in a folder, made if need be."""
    path = places.store(folder)
    # A connection must not be carried into a forked process.
    key = (os.getpid(), os.path.realpath(path))
    with _OPENING:
        if key not in _OPEN:
            _OPEN[key] = Database(path)
        return _OPEN[key]


_PANTRY = ("material", "value", "lot", "part", "blend")


@contextmanager
def borrowed(folder: Path | None = None) -> Iterator[Database]:
    """Lend a connection to read the materials in a folder; one that was not open is closed again.

    Only their tables are looked through for damage: every command starts with them, and must not
    wait for years of batches.
    """
    path = places.store(folder)
    there = _OPEN.get((os.getpid(), os.path.realpath(path)))
    if there is not None:
        yield there
        return
    stores = Database(path, _PANTRY)
    try:
        yield stores
    finally:
        stores.close()


def close_all() -> None:
    """Close what this process opened, as a command does when it ends."""
    for (process, _), stores in list(_OPEN.items()):
        if process == os.getpid():
            stores.close()


def is_there(folder: Path | None = None) -> bool:
    """Return whether anything was ever kept in a folder."""
    try:
        return places.store(folder).stat().st_size > 0
    except OSError:
        return False


def _in_memory() -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA foreign_keys = ON")
    migrations.migrate(connection, Path("(memory)"), None)
    return connection


def _connected(path: Path, read_only: bool, busy: float) -> sqlite3.Connection:
    if not read_only:
        connection = sqlite3.connect(
            path, timeout=busy, isolation_level=None, check_same_thread=False
        )
        os.chmod(path, 0o600)
        return connection
    # Without a log of changes the file alone is the truth, and no file need be made beside it.
    log = path.with_name(path.name + "-wal")
    whole = "" if log.exists() and log.stat().st_size else "&immutable=1"
    return sqlite3.connect(
        f"{path.absolute().as_uri()}?mode=ro{whole}",
        uri=True,
        timeout=busy,
        isolation_level=None,
        check_same_thread=False,
    )


def _may_write(path: Path) -> bool:
    """Return whether the file can be changed, or made."""
    effective = os.access in os.supports_effective_ids
    if path.exists() and not os.access(path, os.W_OK, effective_ids=effective):
        return False
    may = os.access(path.parent, os.W_OK | os.X_OK, effective_ids=effective)
    if not may and not path.exists():
        raise ReadableError(
            str(path.parent),
            "You may not write here.",
            "Ask who owns the folder for the right to write, or set BAR_DOUGH_DATA to another.",
        )
    return may


def _refuse_strange(path: Path) -> None:
    """Raise for a file of a newer program before SQLite touches it."""
    try:
        with open(path, "rb") as stream:
            head = stream.read(100)
    except FileNotFoundError:
        return
    if not head:
        return
    if len(head) < 100 or not head.startswith(b"SQLite format 3\0"):
        raise faults.damaged(path, "it is no database any more")
    version, mark = (int.from_bytes(head[at : at + 4], "big") for at in (60, 68))
    if mark == migrations.APPLICATION:
        migrations.checked(version, mark, path, None)


def _check(connection: sqlite3.Connection, path: Path, tables: tuple[str, ...]) -> None:
    """Raise where some tables are damaged, all of them if none is named."""
    there = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
    for name in [one for one in tables if one in there] or [str(_QUICK_LIMIT)]:
        found = connection.execute(f"PRAGMA quick_check({name})").fetchall()
        if found != [("ok",)]:
            raise faults.damaged(path, " ".join(str(found[0][0]).split())[:80])
