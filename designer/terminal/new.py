"""`bar-dough new`: a recipe file from a table of ingredients and percentages."""

from argparse import ArgumentParser, Namespace
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.handbook import Handbook, Material
    from designer.recipe import Recipe, Row

HELP = "make a recipe file from a CSV table"
EXAMPLES = """the table:
  needs the columns inci_name and percent; common_name, phase (melt, powder, liquid, last), class
  (powder, liquid, melt: for what is not in the handbook) and held are welcome. A percent may be
  "q.s.", which fills up to 100.

examples:
  bar-dough new my_bar.toml --from-csv my_bar.csv
  bar-dough new my_bar.toml --from-csv my_bar.csv --name "Oat bar" --force
"""


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("file", metavar="FILE", help="the recipe file to write (TOML)")
    parser.add_argument("--from-csv", metavar="F", required=True, help="the table to read")
    parser.add_argument("--name", metavar="NAME", help="name of the recipe; else that of the file")
    parser.add_argument("--force", action="store_true", help="write over a file that is there")


def run(arguments: Namespace) -> int:
    """Write the recipe; return the exit code."""
    from designer.recipe import file
    from designer.workshop import shelf

    path = Path(sources.named(arguments.file))
    if path.exists() and not arguments.force:
        raise ReadableError(
            arguments.file, "The file is there already.", "Give another name, or add --force."
        )
    recipe = _read(sources.named(arguments.from_csv), shelf.handbook())
    recipe = recipe.with_name(arguments.name or recipe.name or path.stem.replace("_", " "))
    file.write(recipe, path)
    layout.say(f"{len(recipe.rows)} ingredients written to {arguments.file}.")
    layout.say(f"Now look at it: bar-dough check {arguments.file}")
    return 0


def _read(path: str, book: "Handbook") -> "Recipe":
    """Return the recipe of a table, its missing phases taken from the handbook."""
    from designer.recipe import file

    phaseless: set[str] = set()

    def ask(name: str) -> str:
        # Any answer lets the reader go on, so that all that is unknown can be told at once.
        phaseless.add(name)
        return "powder"

    recipe = file.from_csv(path, ask)
    strange = []
    for index, row in enumerate(recipe.rows):
        # The same name may stand elsewhere with a phase of its own, which is kept.
        if row.name in phaseless and row.phase == "powder":
            phase = _usual_phase(book, row)
            recipe = recipe.with_row(index, replace(row, phase=phase or row.phase))
        else:
            phase = row.phase
        if phase is None or not _is_known(book, recipe.rows[index]):
            strange.append(f'row {index + 1} "{row.name}"{_hint(row.name, book)}')
    if strange:
        raise ReadableError(
            path,
            f"Not one material of the handbook: {'; '.join(strange)}.",
            'Write the common_name, or add a column "class" with powder, liquid or melt for that '
            "row.",
        )
    return recipe


def _is_known(book: "Handbook", row: "Row") -> bool:
    """Return whether there is a material for a row, or a class to take one from."""
    if row.given_class is not None or book.find(row.name, row.phase) is not None:
        return True
    return row.inci is not None and book.find(row.inci, row.phase) is not None


def _usual_phase(book: "Handbook", row: "Row") -> str | None:
    """Return the phase an ingredient usually stands in, or None for an unknown one."""
    from designer.handbook import Liquid, Powder

    names = (row.name, row.inci or row.name)
    found = next((f for name in names for p in _TABLES if (f := book.find(name, p))), None)
    if found is None:
        return row.given_class
    if isinstance(found, Powder):
        return "powder"
    if isinstance(found, Liquid):
        return "last" if found.material_class in ("preservative", "scent") else "liquid"
    return "melt"


_TABLES = ("liquid", "melt")
"""Phases to look in: all but the melt share their tables."""


def _hint(name: str, book: "Handbook") -> str:
    """Return which materials may be meant: the grades of an INCI name, or the closest names."""
    close = book.suggest(name)
    shelves = (book.powders, book.liquids, book.melts)
    every: list[Material] = [one for shelf in shelves for one in shelf.values()]
    same = {one.name for one in every if one.inci.casefold() == name.casefold()}
    grades = [one for one in close if one in same]
    if grades:
        return f" (which grade: {' or '.join(grades[:4])}?)"
    return f" (did you mean {' or '.join(close[:2])}?)" if close else ""
