"""`bar-dough new`: a recipe file from a table of ingredients and percentages."""

from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import layout

if TYPE_CHECKING:
    from designer.handbook import Handbook
    from designer.recipe import Recipe

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
    from designer import handbook
    from designer.recipe import file

    path = Path(arguments.file)
    if path.exists() and not arguments.force:
        raise ReadableError(
            arguments.file, "The file is there already.", "Give another name, or add --force."
        )
    book = handbook.load()

    def phase_of(name: str) -> str | None:
        return _phase_of(book, name)

    recipe = file.from_csv(arguments.from_csv, phase_of)
    recipe = recipe.with_name(arguments.name or recipe.name or path.stem.replace("_", " "))
    _refuse_unknown(recipe, book)
    file.write(recipe, path)
    layout.say(f"{len(recipe.rows)} ingredients written to {arguments.file}.")
    layout.say(f"Now look at it: bar-dough check {arguments.file}")
    return 0


def _phase_of(book: "Handbook", name: str) -> str | None:
    """Return the phase an ingredient usually stands in, or None for an unknown one."""
    from designer.handbook import Liquid, Powder

    found = book.find(name, "liquid") or book.find(name, "melt")
    if found is None:
        return None
    if isinstance(found, Powder):
        return "powder"
    if isinstance(found, Liquid):
        return "last" if found.material_class in ("preservative", "scent") else "liquid"
    return "melt"


def _refuse_unknown(recipe: "Recipe", book: "Handbook") -> None:
    """Raise, naming all of them, where rows are unknown and have no class."""
    strange = [
        (number, row.name)
        for number, row in enumerate(recipe.rows, 1)
        if row.given_class is None
        and book.find(row.name, row.phase) is None
        and not (row.inci and book.find(row.inci, row.phase))
    ]
    if not strange:
        return
    told = []
    for number, name in strange:
        close = book.suggest(name)
        hint = f" (did you mean {' or '.join(close[:2])}?)" if close else ""
        told.append(f'row {number} "{name}"{hint}')
    raise ReadableError(
        "Table",
        f"Not in the handbook: {'; '.join(told)}.",
        'Mend the name, or add a column "class" with powder, liquid or melt for that row.',
    )
