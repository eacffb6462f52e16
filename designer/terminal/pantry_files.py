"""Export, import and a look for damage, of pantry and logbook together."""

from argparse import Namespace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.workshop import Pantry

__all__ = ["ACTIONS"]

_LARGEST = 4_000_000_000


def _export(arguments: Namespace) -> int:
    from designer import handbook
    from designer.recipe.saving import save
    from designer.workshop import Logbook, Pantry

    out = Path(sources.named(arguments.out))
    if out.exists():
        raise ReadableError(str(out), "It is there already.", "Name another one.")
    pantry = Pantry.reading(handbook.load())
    if arguments.csv:
        from designer.exchange import logbook as batches
        from designer.exchange import pantry as materials

        with pantry.database.steady():
            texts = materials.tables(pantry) | batches.tables(Logbook(pantry.database))
        try:
            out.mkdir()
        except OSError as error:
            raise ReadableError(
                str(out), f"The folder cannot be made: {error.strerror}.", "Name another one."
            ) from None
        for name, text in texts.items():
            save(out / name, text.encode())
        layout.say(f"{len(texts)} tables written to {out}.")
        return 0
    from designer.workshop.archive import packed

    save(out, packed(pantry.database))
    layout.say(layout.paragraph(f"Pantry, logbook and photographs written to {out}."))
    return 0


def _import(arguments: Namespace) -> int:
    from designer import handbook
    from designer.workshop import Pantry

    source = Path(sources.named(arguments.source))
    book = handbook.load()
    if source.is_dir():
        pantry = Pantry.opened(book)
        count = _import_tables(pantry, source)
        layout.say(f"{count} new rows taken from {source}.")
        return 0
    from designer.workshop.archive import restore, unpacked

    taken = unpacked(_read(source), source.name, book, date.today())
    pantry = Pantry.opened(book)
    aside = restore(pantry.database, taken, replace=arguments.replace)
    told = f" What was here is kept in {aside}." if aside else ""
    layout.say(layout.paragraph(f"Pantry and logbook taken from {source}.{told}"))
    return 0


def _import_tables(pantry: "Pantry", folder: Path) -> int:
    """Add the tables of a folder: batches first, as stock points to them."""
    from designer.exchange import logbook as batches
    from designer.exchange import pantry as materials
    from designer.workshop import Logbook

    texts = {}
    for name in (*materials.FILES, *batches.FILES):
        if (folder / name).is_file():
            try:
                texts[name] = _read(folder / name).decode("utf-8-sig")
            except UnicodeDecodeError:
                raise ReadableError(
                    name, "It is not UTF-8 text.", "Save it as CSV UTF-8."
                ) from None
    if not texts:
        raise ReadableError(
            str(folder), "There is no table in it.", f"Name them {', '.join(materials.FILES)}."
        )
    with pantry.database.write():
        count = batches.read_tables(Logbook(pantry.database), texts, date.today())
        return count + materials.read_tables(pantry, texts, date.today)


def _read(path: Path) -> bytes:
    try:
        if path.stat().st_size > _LARGEST:
            raise ReadableError(str(path), "It is too large.", "Name an export file.")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is wrong"
        raise ReadableError(str(path), f"It cannot be read: {reason}.", "Check the name.") from None


def _verify(arguments: Namespace) -> int:
    from designer.workshop import archive, database, places

    if not database.is_there():
        layout.say("Nothing is kept yet.")
        return 0
    if arguments.mend:
        aside, copy = archive.mend()
        told = f"brought back from {copy}" if copy else "begun anew, as there is no copy"
        layout.say(layout.paragraph(f"The damaged file is now {aside}; the pantry is {told}."))
        return 0
    problems = database.opened().verify()
    for line in problems:
        layout.say(layout.paragraph(line, "  ", "! "))
    if not problems:
        size = places.store().stat().st_size / 1e6
        layout.say(layout.paragraph(f"{places.store()}: sound, {size:.1f} MB."))
    return 1 if problems else 0


ACTIONS = {"export": _export, "import": _import, "verify": _verify}
