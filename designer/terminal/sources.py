"""What the commands on a file share: reading it, its conditions and variant, and evaluating it."""

from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from designer.errors import ReadableError

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation
    from designer.evaluation.knowledge import Knowledge
    from designer.recipe import Recipe

MOST_DRAWS = 8192


def add_conditions(parser: ArgumentParser) -> None:
    """Add what every command on a recipe file takes."""
    parser.add_argument("file", metavar="FILE", help="a recipe file (TOML)")
    parser.add_argument("--variant", metavar="N", help="number of the variant; else the active one")
    parser.add_argument("--room", metavar="T", help='room temperature, as "24C" or "75 °F"')
    parser.add_argument("--humidity", metavar="RH", help='room humidity, as "60%%"')
    parser.add_argument("--bath", metavar="T", help='bath temperature, as "70C"')
    parser.add_argument(
        "--liquids", metavar="T", help="temperature of the liquids; else the room's"
    )
    parser.add_argument("--batch", metavar="M", help='batch, as "2.5 kg"')
    parser.add_argument("--knead", metavar="SPAN", help='when a knead counts, as "5 min to 20 min"')
    parser.add_argument(
        "--draws", metavar="N", default="512", help="draws of the uncertain numbers (default 512)"
    )
    parser.add_argument(
        "--tables-only", action="store_true", help="forget usual practice: what tables alone say"
    )
    parser.add_argument("--json", action="store_true", help="every reading as JSON")


def opened(arguments: Namespace) -> "Recipe":
    """Return the recipe of the file under the conditions asked for."""
    from designer.quantities import read, read_span
    from designer.recipe import file

    recipe = file.read(named(arguments.file))
    if arguments.batch is not None:
        _ask_unit(arguments.batch)
    changes: dict[str, object] = {
        name: read(typed, name)
        for name in ("room", "humidity", "bath", "liquids", "batch")
        if (typed := getattr(arguments, name)) is not None
    }
    if arguments.knead is not None:
        changes["knead"] = read_span(arguments.knead, "knead")
    return recipe.with_bench(**changes) if changes else recipe


def _ask_unit(batch: str) -> None:
    """Raise where a batch has no unit: half of all makers mean grams, and half kilograms."""
    plain = batch.strip()
    if plain and all(one in "+-0123456789.,  " for one in plain):
        raise ReadableError(
            "--batch", f'"{plain[:20]}" has no unit.', f"Say {plain[:20]}g or {plain[:20]}kg."
        )


def named(path: str) -> str:
    """Return the name of a file, or ask for one."""
    if not path.strip():
        raise ReadableError("FILE", "The name is empty.", "Name a file.")
    return path


def evaluated(recipe: "Recipe", arguments: Namespace) -> "Evaluation":
    """Return the evaluation of a recipe on the knowledge asked for."""
    from designer.evaluation.evaluate import evaluate
    from designer.workshop import shelf

    return evaluate(recipe, shelf.handbook(), known(arguments))


def known(arguments: Namespace) -> "Knowledge":
    """Return the knowledge asked for."""
    from designer.evaluation import knowledge

    draws = _draws(arguments.draws)
    return knowledge.prior(draws) if arguments.tables_only else knowledge.shipped(draws)


def filled(recipe: "Recipe", wanted: str = "") -> "Recipe":
    """Return the recipe without its empty variants, which have no dough to tell of.

    The variant asked for stays: that it is empty is told then. So do all where all are empty.
    """
    kept = [n for n in recipe.numbers if n not in recipe.empty or n == wanted]
    return recipe.only(*kept) if kept else recipe


def _draws(typed: str) -> int:
    try:
        draws = int(typed)
    except ValueError:
        draws = 0
    if not 32 <= draws <= MOST_DRAWS:
        raise ReadableError(
            "--draws", f'"{typed}" cannot be used.', f"Give a whole number from 32 to {MOST_DRAWS}."
        )
    return draws


def variant_index(recipe: "Recipe", number: str | None) -> int:
    """Return the index of a variant by its number; of the active one without a number."""
    if number is None:
        return recipe.numbers.index(recipe.active.number)
    if number not in recipe.numbers:
        raise ReadableError(
            "--variant",
            f'There is no variant "{number}".',
            f"Choose {' or '.join(recipe.numbers)}.",
        )
    return recipe.numbers.index(number)
