"""Batches as they were made, what was felt and weighed, and how the bars were in use."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from designer.errors import ReadableError
from designer.recipe import Recipe, file, resolve
from designer.workshop import checks, database, places
from designer.workshop.batch_checks import checked, checked_seen, checked_washed
from designer.workshop.batches import Batch, Photograph, Seen, Used, Washed
from designer.workshop.records import insert, key_of, select

if TYPE_CHECKING:
    from designer.workshop.pantry import Pantry

__all__ = ["Logbook", "used_by", "words_of"]

_SHORTEST = 3
"""Letters of a word that the index of words can find; a shorter one is looked for in all."""

_LARGEST_PHOTOGRAPH = 60_000_000
_PICTURES = (".jpg", ".jpeg", ".png", ".webp", ".heic", ".tif", ".tiff")

_FIELDS = (
    "number",
    "name",
    "variant",
    "made",
    "mass",
    "bars",
    "room",
    "humidity",
    "bath",
    "liquids",
    "kneaded",
    "trial",
    "notes",
    "initials",
)


def used_by(recipe: Recipe, variant: str, mass: float) -> tuple[Used, ...]:
    """Return what a batch of a variant weighs in, without what it has none of."""
    alone = recipe.only(variant)
    shares = resolve(alone).shares[0].tolist()
    kinds = {"powder": "powder", "melt": "melt", "liquid": "liquid", "last": "liquid"}
    return tuple(
        Used(row.name, kinds[row.phase], "", share * mass)
        for row, share in zip(alone.rows, shares, strict=True)
        if share > 0
    )


class Logbook:
    """Batches in the stores.

    Parameters
    ----------
    stores : Database
    folder : Path, optional
        Of the maker's data, where photographs lie.
    today : callable
        Tells the day.
    """

    def __init__(
        self,
        stores: database.Database,
        folder: Path | None = None,
        today: Callable[[], date] = date.today,
    ) -> None:
        self.database, self._folder, self._today = stores, folder, today

    @classmethod
    def opened(cls, folder: Path | None = None) -> Logbook:
        """Return the logbook in the maker's folder, made if it is not there."""
        return cls(database.opened(folder), folder)

    @classmethod
    def reading(cls, folder: Path | None = None) -> Logbook:
        """Return the logbook in the maker's folder, an empty one where nothing was kept."""
        there = database.is_there(folder)
        return cls(database.opened(folder) if there else database.Database(None), folder)

    # Writing.

    def add(self, batch: Batch, pantry: Pantry | None = None) -> Batch:
        """Keep a batch, and draw what it used from the stock of a pantry.

        Parameters
        ----------
        batch : Batch
            Without a number it gets the next of its day.
        pantry : Pantry, optional
            On the same stores. Only what it keeps a stock of is drawn.

        Raises
        ------
        ReadableError
            Something in it cannot be; nothing is kept then.
        """
        with self.database.write():
            if not batch.number.strip():
                batch = replace(batch, number=self._next_number(batch.made))
            batch = checked(batch, self._today())
            there = self.database.rows(
                "SELECT number FROM batch WHERE key = ?", (key_of(batch.number),)
            )
            if there:
                raise ReadableError(
                    f"Batch {batch.number}",
                    f'There is a batch "{there[0][0]}" already.',
                    "Give it another number.",
                )
            number = self._insert(batch)
            children: tuple[Any, ...] = (
                *batch.used,
                *batch.seen,
                *batch.photographs,
                *batch.washed,
            )
            for one in children:
                insert(self.database, replace(one, batch=number))
            self._index(number)
            if pantry is not None:
                _draw(pantry, number, batch)
        return self.batch(batch.number)

    def _insert(self, batch: Batch) -> int:
        """Add the row of a batch; equal recipes are kept once."""
        digest = hashlib.sha256(batch.recipe.encode()).hexdigest()
        self.database.run(
            "INSERT INTO recipe (digest, text) VALUES (?, ?) ON CONFLICT (digest) DO NOTHING",
            (digest, batch.recipe),
        )
        ((recipe,),) = self.database.rows("SELECT id FROM recipe WHERE digest = ?", (digest,))
        cells = [int(v) if isinstance(v := getattr(batch, f), bool) else v for f in _FIELDS]
        marks = ", ".join("?" * (len(_FIELDS) + 2))
        return self.database.run(
            f"INSERT INTO batch ({', '.join(_FIELDS)}, key, recipe) VALUES ({marks})",
            (*cells, key_of(batch.number), recipe),
        )

    def note(self, number: str, text: str) -> Batch:
        """Add a line to the notes of a batch."""
        with self.database.write():
            one = self.batch(number)
            notes = checks.check_text("Notes", f"{one.notes}\n{text}".strip())
            self.database.run("UPDATE batch SET notes = ? WHERE id = ?", (notes, one.id))
            self._index(one.id)
        return self.batch(number)

    def saw(self, number: str, seen: Seen) -> Batch:
        """Keep what was felt or weighed."""
        return self._child(number, checked_seen(seen))

    def washed(self, number: str, washed: Washed) -> Batch:
        """Keep how a bar was in use."""
        return self._child(number, checked_washed(washed, self._today()))

    def _child(self, number: str, one: Seen | Washed | Photograph) -> Batch:
        with self.database.write():
            batch = self.batch(number).id
            insert(self.database, replace(one, batch=batch))
            self._index(batch)
        return self.batch(number)

    def photograph(self, number: str, path: Path, caption: str = "") -> Batch:
        """Keep a picture: it is copied into the folder of photographs.

        Raises
        ------
        ReadableError
            There is no such file, it is no picture, or too large.
        """
        caption = checks.check_line("Caption", caption)
        batch, content = self.batch(number), _picture(path)
        digest = hashlib.sha256(content).hexdigest()[:12]
        name = f"batch-{batch.id}-{digest}{path.suffix.lower()}"
        target = places.inside(places.photographs(self._folder), name)
        if not target.exists():
            from designer.recipe.saving import save

            try:
                target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            except OSError as error:
                raise ReadableError(
                    str(target.parent),
                    f"The folder cannot be made: {error.strerror}.",
                    "Look whether the folder above is yours to write.",
                ) from None
            save(target, content)
        return self._child(number, Photograph(name, caption))

    def where(self, photograph: Photograph) -> Path:
        """Return where a picture lies, or say that it is missing."""
        path = places.inside(places.photographs(self._folder), photograph.file)
        if not path.is_file():
            raise ReadableError(
                photograph.file,
                f"The photograph is not in {path.parent}.",
                "Put it back there, or import the export file that holds it.",
            )
        return path

    def remove(self, number: str) -> Batch:
        """Take a batch out; what it drew from the stock goes back."""
        with self.database.write():
            one = self.batch(number)
            self.database.run("DELETE FROM stock WHERE batch = ?", (one.id,))
            self.database.run("DELETE FROM batch_words WHERE batch = ?", (one.id,))
            self.database.run("DELETE FROM batch WHERE id = ?", (one.id,))
            return one

    # Reading.

    def batch(self, number: str) -> Batch:
        """Return a batch with all that belongs to it."""
        found = self._batches("WHERE batch.key = ?", (key_of(number),))
        if not found:
            raise ReadableError(
                f"Batch {number[:60]}", "There is no such batch.", "Look at: bar-dough log list."
            )
        return self._whole(found[0])

    def batches(self, limit: int = 1_000_000) -> list[Batch]:
        """Return the batches, the newest first, without what was seen and used."""
        return self._batches("ORDER BY batch.made DESC, batch.id DESC LIMIT ?", (limit,))

    def __len__(self) -> int:
        return int(self.database.rows("SELECT count(*) FROM batch")[0][0])

    def search(self, words: str, limit: int = 1_000_000) -> list[Batch]:
        """Return the batches that hold every word, the newest first.

        Looked in are number, name, day, notes, initials, ingredients, lots, and what was felt.
        """
        wanted = key_of(words).split()
        long = [word for word in wanted if len(word) >= _SHORTEST and "\0" not in word]
        short = [word for word in wanted if word not in long]
        # A word in quotation marks is looked for as it stands, whatever signs are in it.
        match = " AND ".join('"' + word.replace('"', '""') + '"' for word in long)
        tests = ["instr(batch_words.words, ?) > 0"] * len(short)
        given: list[object] = list(short)
        source = "batch_words"
        if match:
            source = "batch_found JOIN batch_words ON batch_words.batch = batch_found.rowid"
            tests.insert(0, "batch_found MATCH ?")
            given.insert(0, match)
        where = f"WHERE {' AND '.join(tests)}" if tests else ""
        inner = f"SELECT batch_words.batch FROM {source} {where}"
        return self._batches(
            f"WHERE batch.id IN ({inner}) ORDER BY batch.made DESC, batch.id DESC LIMIT ?",
            (*given, limit),
        )

    def repeat(self, number: str) -> Recipe:
        """Return the exact recipe of a batch."""
        return file.parse(self.batch(number).recipe, f"Batch {number}")

    def _batches(self, rest: str, given: Sequence[object]) -> list[Batch]:
        names = ", ".join(f"batch.{name}" for name in _FIELDS)
        sql = f"""SELECT {names}, batch.id, recipe.text
            FROM batch JOIN recipe ON recipe.id = batch.recipe {rest}"""
        return [_batch(row) for row in self.database.rows(sql, given)]

    def _whole(self, batch: Batch) -> Batch:
        belongs, given = "batch = ?", (batch.id,)
        return replace(
            batch,
            used=tuple(select(self.database, Used, belongs, given)),
            seen=tuple(select(self.database, Seen, belongs, given)),
            photographs=tuple(select(self.database, Photograph, belongs, given)),
            washed=tuple(select(self.database, Washed, belongs, given)),
        )

    def _next_number(self, made: str) -> str:
        """Return a number that no batch has: the day, and how many there are of it."""
        day, count = made.partition(" ")[0], 1
        sql = "SELECT 1 FROM batch WHERE key = ?"
        while self.database.rows(sql, (key_of(f"{day} no. {count}"),)):
            count += 1
        return f"{day} no. {count}"

    def _index(self, number: int) -> None:
        """Keep the words by which a batch is found."""
        (batch,) = self._batches("WHERE batch.id = ?", (number,))
        words = words_of(self._whole(batch))
        self.database.run("DELETE FROM batch_words WHERE batch = ?", (number,))
        self.database.run("INSERT INTO batch_words (batch, words) VALUES (?, ?)", (number, words))

    def reindex(self) -> None:
        """Keep the words of every batch anew, inside a transaction."""
        for (number,) in self.database.rows("SELECT id FROM batch"):
            self._index(number)


def words_of(batch: Batch) -> str:
    """Return the words by which a batch is found."""
    texts: Iterable[str] = (
        batch.number,
        batch.name,
        batch.made,
        batch.notes,
        batch.initials,
        "trial" if batch.trial else "",
        _recipe_words(batch.recipe),
        *(f"{one.name} {one.lot}" for one in batch.used),
        *(f"{one.words} {one.bar}" for one in batch.seen),
        *(one.caption for one in batch.photographs),
        *(f"{one.note} {one.sting and f'sting {one.sting}'}" for one in batch.washed),
    )
    return key_of(" ".join(texts))


@lru_cache(maxsize=64)
def _recipe_words(text: str) -> str:
    """Return the name of a recipe and those of its ingredients."""
    recipe = file.parse(text)
    return " ".join((recipe.name, *(row.name for row in recipe.rows)))


def _batch(row: tuple[Any, ...]) -> Batch:
    *cells, number, recipe = row
    known = dict(zip(_FIELDS, cells, strict=True))
    return Batch(**(known | {"trial": bool(known["trial"])}), id=number, recipe=recipe)


def _draw(pantry: Pantry, number: int, batch: Batch) -> None:
    """Take what a batch used out of the stock, of materials whose stock is kept."""
    stocks = {(kind, key_of(name)): name for kind, name in pantry.stocks()}
    for one in batch.used:
        kinds = [one.kind, "powder", "liquid", "melt"]
        found = next(((k, n) for k in kinds if (n := stocks.get((k, key_of(one.name))))), None)
        if found is None or not one.mass:
            continue
        kind, name = found
        codes = {key_of(lot.code): lot.code for lot in pantry.lots(name, kind)}
        pantry.move_stock(
            name,
            -one.mass,
            f"batch {batch.number}",
            codes.get(key_of(one.lot), ""),
            batch.made.partition(" ")[0],
            kind,
            number,
        )


def _picture(path: Path) -> bytes:
    """Return the bytes of a picture, or raise a ReadableError."""
    where = str(path)
    try:
        if not path.is_file():
            raise ReadableError(
                where, "There is no such photograph.", "Check the name and the folder."
            )
        if path.suffix.lower() not in _PICTURES:
            raise ReadableError(
                where, "This is not a picture.", f"Name one of {', '.join(_PICTURES)}."
            )
        if path.stat().st_size > _LARGEST_PHOTOGRAPH:
            raise ReadableError(where, "The picture is too large.", "Keep to 60 MB.")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is wrong"
        raise ReadableError(where, f"It cannot be read: {reason}.", "Check the name.") from None
