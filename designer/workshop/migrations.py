"""History of the database's format: one step a version, each a list of statements.

A step that stands here is never changed: files of every version exist. A new one is appended.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError

if TYPE_CHECKING:
    import sqlite3

__all__ = ["APPLICATION", "NEWEST", "STEPS", "migrate"]

APPLICATION = 0x42444457
"""Marks the file as ours in its header."""

_PANTRY = (
    """CREATE TABLE material (
        id INTEGER PRIMARY KEY,
        kind TEXT NOT NULL CHECK (kind IN ('powder', 'liquid', 'melt')),
        name TEXT NOT NULL,
        key TEXT NOT NULL,
        own INTEGER NOT NULL CHECK (own IN (0, 1)),
        base TEXT NOT NULL DEFAULT '',
        inci TEXT NOT NULL DEFAULT '',
        material_class TEXT NOT NULL DEFAULT '',
        roles TEXT NOT NULL DEFAULT '',
        vegan TEXT NOT NULL DEFAULT '',
        palm TEXT NOT NULL DEFAULT '',
        sulfate_free TEXT NOT NULL DEFAULT '',
        allergen TEXT NOT NULL DEFAULT '',
        dust_hazard TEXT NOT NULL DEFAULT '',
        surfactant_charge TEXT NOT NULL DEFAULT '',
        supplier TEXT NOT NULL DEFAULT '',
        remark TEXT NOT NULL DEFAULT '',
        made TEXT NOT NULL DEFAULT '',
        removed TEXT NOT NULL DEFAULT '')""",
    "CREATE UNIQUE INDEX material_key ON material (kind, key) WHERE removed = ''",
    """CREATE TABLE lot (
        id INTEGER PRIMARY KEY,
        material INTEGER NOT NULL REFERENCES material (id) ON DELETE CASCADE,
        code TEXT NOT NULL,
        key TEXT NOT NULL,
        received TEXT NOT NULL DEFAULT '',
        supplier TEXT NOT NULL DEFAULT '',
        form TEXT NOT NULL DEFAULT '',
        active REAL, dry REAL, ph REAL,
        certificate TEXT NOT NULL DEFAULT '',
        microbiology TEXT NOT NULL DEFAULT '',
        best_before TEXT NOT NULL DEFAULT '',
        finished TEXT NOT NULL DEFAULT '',
        remark TEXT NOT NULL DEFAULT '',
        UNIQUE (material, key))""",
    """CREATE TABLE value (
        id INTEGER PRIMARY KEY,
        material INTEGER NOT NULL REFERENCES material (id) ON DELETE CASCADE,
        property TEXT NOT NULL,
        si REAL NOT NULL,
        sd REAL,
        origin TEXT NOT NULL CHECK (origin IN ('stated', 'measured', 'learned')),
        lot INTEGER REFERENCES lot (id) ON DELETE SET NULL,
        day TEXT NOT NULL,
        remark TEXT NOT NULL DEFAULT '')""",
    "CREATE INDEX value_material ON value (material)",
    """CREATE TABLE part (
        id INTEGER PRIMARY KEY,
        material INTEGER NOT NULL REFERENCES material (id) ON DELETE CASCADE,
        component TEXT NOT NULL,
        low REAL NOT NULL, typical REAL NOT NULL, high REAL NOT NULL)""",
    "CREATE INDEX part_material ON part (material)",
    """CREATE TABLE blend (
        id INTEGER PRIMARY KEY,
        material INTEGER NOT NULL REFERENCES material (id) ON DELETE CASCADE,
        name TEXT NOT NULL,
        share REAL NOT NULL CHECK (share > 0))""",
    "CREATE INDEX blend_material ON blend (material)",
    """CREATE TABLE price (
        id INTEGER PRIMARY KEY,
        material INTEGER NOT NULL REFERENCES material (id) ON DELETE CASCADE,
        supplier TEXT NOT NULL DEFAULT '',
        pack REAL NOT NULL CHECK (pack > 0),
        amount TEXT NOT NULL,
        currency TEXT NOT NULL,
        day TEXT NOT NULL)""",
    "CREATE INDEX price_material ON price (material)",
    """CREATE TABLE stock (
        id INTEGER PRIMARY KEY,
        material INTEGER NOT NULL REFERENCES material (id) ON DELETE CASCADE,
        lot INTEGER REFERENCES lot (id) ON DELETE SET NULL,
        mass REAL NOT NULL,
        day TEXT NOT NULL,
        reason TEXT NOT NULL DEFAULT '')""",
    "CREATE INDEX stock_material ON stock (material)",
)

_LOGBOOK = (
    """CREATE TABLE recipe (
        id INTEGER PRIMARY KEY, digest TEXT NOT NULL UNIQUE, text TEXT NOT NULL)""",
    """CREATE TABLE batch (
        id INTEGER PRIMARY KEY,
        number TEXT NOT NULL,
        key TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        variant TEXT NOT NULL,
        recipe INTEGER NOT NULL REFERENCES recipe (id),
        made TEXT NOT NULL,
        mass REAL NOT NULL,
        bars INTEGER,
        room REAL, humidity REAL, bath REAL, liquids REAL, kneaded REAL,
        trial INTEGER NOT NULL DEFAULT 0 CHECK (trial IN (0, 1)),
        notes TEXT NOT NULL DEFAULT '',
        initials TEXT NOT NULL DEFAULT '')""",
    "CREATE INDEX batch_made ON batch (made)",
    """CREATE TABLE used (
        id INTEGER PRIMARY KEY,
        batch INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
        kind TEXT NOT NULL DEFAULT '',
        name TEXT NOT NULL,
        lot TEXT NOT NULL DEFAULT '',
        mass REAL)""",
    "CREATE INDEX used_batch ON used (batch)",
    """CREATE TABLE seen (
        id INTEGER PRIMARY KEY,
        batch INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
        what TEXT NOT NULL CHECK (what IN ('state', 'rod', 'bar weight', 'thumb')),
        age REAL NOT NULL,
        bar TEXT NOT NULL DEFAULT '',
        value REAL,
        words TEXT NOT NULL DEFAULT '')""",
    "CREATE INDEX seen_batch ON seen (batch)",
    """CREATE TABLE photograph (
        id INTEGER PRIMARY KEY,
        batch INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
        file TEXT NOT NULL,
        caption TEXT NOT NULL DEFAULT '')""",
    "CREATE INDEX photograph_batch ON photograph (batch)",
    """CREATE TABLE washed (
        id INTEGER PRIMARY KEY,
        batch INTEGER NOT NULL REFERENCES batch (id) ON DELETE CASCADE,
        day TEXT NOT NULL,
        soak_loss REAL, per_wash REAL,
        lather INTEGER, wet_combing INTEGER, dry_combing INTEGER,
        sting TEXT NOT NULL DEFAULT '',
        note TEXT NOT NULL DEFAULT '')""",
    "CREATE INDEX washed_batch ON washed (batch)",
    "ALTER TABLE stock ADD COLUMN batch INTEGER REFERENCES batch (id) ON DELETE SET NULL",
    "CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
)

_WORDS = (
    """CREATE TABLE batch_words (
        batch INTEGER PRIMARY KEY REFERENCES batch (id) ON DELETE CASCADE,
        words TEXT NOT NULL)""",
    # Until a batch is written anew it is found by its own fields; the recipe's text has the rest.
    """INSERT INTO batch_words (batch, words)
        SELECT batch.id, lower(number || ' ' || name || ' ' || notes || ' ' || initials || ' '
            || made || ' ' || recipe.text)
        FROM batch JOIN recipe ON recipe.id = batch.recipe""",
    """CREATE VIRTUAL TABLE batch_found USING fts5
        (words, content = 'batch_words', content_rowid = 'batch', tokenize = 'trigram')""",
    "INSERT INTO batch_found (batch_found) VALUES ('rebuild')",
    """CREATE TRIGGER batch_words_new AFTER INSERT ON batch_words BEGIN
        INSERT INTO batch_found (rowid, words) VALUES (new.batch, new.words); END""",
    """CREATE TRIGGER batch_words_gone AFTER DELETE ON batch_words BEGIN
        INSERT INTO batch_found (batch_found, rowid, words)
        VALUES ('delete', old.batch, old.words); END""",
)

STEPS: tuple[tuple[str, ...], ...] = (_PANTRY, _LOGBOOK, _WORDS)
"""Step n - 1 leads to version n."""

NEWEST = len(STEPS)


def migrate(connection: sqlite3.Connection, path: Path, backups: Path | None) -> None:
    """Bring a database to the newest version, each step with a copy of the file before it.

    Parameters
    ----------
    connection : in autocommit
    path : Path
        Of the database, for what is said.
    backups : Path or None
        Where the copies go; None keeps none.

    Raises
    ------
    ReadableError
        The file is of a newer program or no file of ours: nothing is touched then.
    sqlite3.Error
        A step failed: the file is of the version before it.
    """
    is_new = check(connection, path) == 0
    while (version := check(connection, path)) < NEWEST:
        connection.execute("BEGIN IMMEDIATE")
        try:
            # Another program may have been faster.
            if check(connection, path) == version:
                if not is_new and backups is not None:
                    _copy(path, backups, version)
                for statement in STEPS[version]:
                    connection.execute(statement)
                connection.execute(f"PRAGMA application_id = {APPLICATION}")
                connection.execute(f"PRAGMA user_version = {version + 1}")
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


def check(connection: sqlite3.Connection, path: Path) -> int:
    """Return the version of a file, 0 for an empty one, or raise a ReadableError."""
    (version,) = connection.execute("PRAGMA user_version").fetchone()
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    return checked(version, mark, path, lambda: _is_empty(connection))


def checked(version: int, mark: int, path: Path, is_empty: Callable[[], bool] | None) -> int:
    """Return a version that this program knows, or raise a ReadableError."""
    if mark == APPLICATION and version > NEWEST:
        raise ReadableError(
            str(path),
            f"It was written by a newer version of this program (format {version}; this one "
            f"knows {NEWEST}).",
            "Use the newer program; nothing was changed.",
        )
    if mark == APPLICATION and version > 0:
        return version
    if is_empty is not None and not is_empty():
        raise ReadableError(
            str(path),
            "It is a database of another program.",
            "Move it elsewhere; nothing was changed.",
        )
    return 0


def _is_empty(connection: sqlite3.Connection) -> bool:
    (tables,) = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    return int(tables) == 0


def _copy(path: Path, backups: Path, version: int) -> None:
    """Put a copy of the committed content of a database into the folder of copies."""
    import sqlite3

    backups.mkdir(mode=0o700, parents=True, exist_ok=True)
    stamp = f"{datetime.now():%Y%m%d-%H%M%S}-{secrets.token_hex(2)}"
    target = backups / f"workshop-format-{version}-{stamp}.sqlite"
    temporary = target.with_suffix(".tmp")
    source = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    try:
        copy = sqlite3.connect(temporary)
        try:
            source.backup(copy)
        finally:
            copy.close()
        os.replace(temporary, target)
    finally:
        source.close()
        temporary.unlink(missing_ok=True)
