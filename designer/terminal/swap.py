"""`bar-dough swap`: what can stand in for an ingredient, at which percentage."""

import json
from argparse import ArgumentParser, Namespace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.advice.offers import Offer, Swaps
    from designer.recipe import Recipe

HELP = "find what can stand in for an ingredient, and at which percentage"
EXAMPLES = """examples:
  bar-dough swap oat_bar.toml "cocoa butter"
  bar-dough swap oat_bar.toml "SCI fine powder" --half
  bar-dough swap oat_bar.toml "cocoa butter" --for "sal butter" --variant 2
  bar-dough swap oat_bar.toml "CAPB 30 %" --vegan --no-palm --sulfate-free --json
  bar-dough swap oat_bar.toml "cocoa butter" --in-stock
  bar-dough swap oat_bar.toml "lavender oil" --no-new-allergens
  bar-dough swap oat_bar.toml "cocoa butter" --write other_bar.toml 3
  bar-dough swap oat_bar.toml "cocoa butter" --keep oat_bar_with_swaps.toml 3

Each stand-in stands at the percentage that keeps the wetness and the liquid fat of the dough, the
firmness of the bar after a day and the active surfactant nearest. Exit code 1: nothing stands in.
"""

_WISHES = {
    "vegan": "only what is vegan",
    "no palm": "nothing from palm",
    "sulfate-free": "nothing that holds a sulfate",
    "no new allergens": "nothing with an allergen that the recipe has not already",
    "in stock": "only what the pantry has enough of for the batch",
}


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)
    parser.add_argument(
        "ingredient", metavar="INGREDIENT", help="the row to swap, by its name or a part of it"
    )
    parser.add_argument("--for", dest="only", metavar="NAME", help="ask about this stand-in alone")
    parser.add_argument("--half", action="store_true", help="let half of the ingredient stay")
    for wish, told in _WISHES.items():
        parser.add_argument(f"--{wish.replace(' ', '-')}", action="store_true", help=told)
    for name, told in (
        ("--write", "write the recipe with swap N of the list into a new file"),
        ("--keep", "write the recipe with swap N kept as an allowed one into a new file"),
    ):
        parser.add_argument(name, nargs=2, metavar=("OUT", "N"), help=told)


def run(arguments: Namespace) -> int:
    """Print the swaps; return the exit code."""
    targets = {name: _target(name, getattr(arguments, name)) for name in ("write", "keep")}
    recipe = sources.opened(arguments)
    answer = _asked(recipe, arguments)
    for name, target in targets.items():
        if target is not None:
            _write(answer, name, *target)
    if arguments.json:
        from designer.exchange.swaps import as_json

        layout.say(json.dumps(as_json(answer), ensure_ascii=True, indent=1))
    else:
        _print(answer)
        for name, target in targets.items():
            if target is not None:
                done = "written" if name == "write" else "kept as allowed"
                layout.say(layout.paragraph(f"Swap {target[1]} is {done} in {target[0]}."))
    return 0 if answer.offers else 1


def _asked(recipe: "Recipe", arguments: Namespace) -> "Swaps":
    from designer.advice.offers import Request
    from designer.advice.peers import row_named
    from designer.advice.stocked import Stocked
    from designer.advice.swaps import swaps, with_papers
    from designer.exchange import own_tables
    from designer.workshop import shelf

    number = recipe.numbers[sources.variant_index(recipe, arguments.variant)]
    book = shelf.handbook()
    wished = [
        wish for wish in _WISHES if getattr(arguments, wish.replace(" ", "_").replace("-", "_"))
    ]
    request = Request(
        half=arguments.half,
        only=arguments.only,
        wishes=frozenset(wished),
        stocked=Stocked.read(book),
    )
    row = row_named(recipe, number, arguments.ingredient, book)
    known = sources.known(arguments)
    answer = swaps(recipe, number, row, book, known, request)
    return with_papers(answer, book, known, own_tables.law())


def _target(name: str, typed: list[str] | None) -> tuple[str, int] | None:
    """Return the file to write and the number of the swap, or None."""
    if typed is None:
        return None
    path, number = typed
    if not number.isdecimal() or not 1 <= int(number) <= 99:
        raise ReadableError(
            f"--{name}",
            f'"{number[:40]}" is no number of a swap.',
            f"Write it as --{name} OUT.toml 1.",
        )
    if Path(sources.named(path)).exists():
        raise ReadableError(path, "There is already such a file.", "Name another one.")
    return path, int(number)


def _write(answer: "Swaps", name: str, path: str, number: int) -> None:
    from designer.advice.swaps import keep
    from designer.recipe import file

    if number > len(answer.offers):
        raise ReadableError(
            f"--{name}",
            f"There is no swap {number}: {len(answer.offers)} stand in.",
            f"Choose one of the list, or run it without --{name} to see it.",
        )
    offer = answer.offers[number - 1]
    made = offer.recipe
    if name == "keep":
        made = keep(answer.recipe, answer.row, offer, answer.number, date.today())
    file.write(made, path)


def _print(answer: "Swaps") -> None:
    from designer.wording.swaps import FORMULA, refused_words, verdict

    layout.say(layout.paragraph(verdict(answer)))
    if answer.offers:
        layout.say("\n" + _table(answer) + "\n")
        for number, offer in enumerate(answer.offers, 1):
            _print_offer(number, offer)
    if answer.refused and (answer.offers or len(answer.refused) > 1):
        layout.say("\nNo stand-in:")
        for offer in answer.refused:
            layout.say(layout.paragraph(f"{offer.name}: {refused_words(offer)}", "    ", "  - "))
    layout.say("\n" + layout.paragraph(FORMULA))


def _print_offer(number: int, offer: "Offer") -> None:
    from designer.wording.swaps import effect_words, offer_words, remarks

    layout.say(
        layout.paragraph(f"{offer_words(offer)}: {effect_words(offer)}.", "   ", f"{number:>2} ")
    )
    layout.say(layout.paragraph(" ".join(remarks(offer)), "   "))


def _table(answer: "Swaps") -> str:
    """Return the figures of each stand-in below those of the recipe as it is."""
    from designer.wording.lines import kpa
    from designer.wording.words import of_twenty

    rows = [["", "", "%", "of 20", "state", "°C", "melt", "water", "active", "kPa, 1 d"]]
    named = [(0, answer.name, answer.every[0].moves[0].before, answer.before)]
    named += [
        (number, one.name, one.percent, one.after) for number, one in enumerate(answer.offers, 1)
    ]
    for number, name, percent, one in named:
        chance = "-" if one.chance is None else f"{of_twenty(one.chance)}"
        rows.append(
            [
                f"{number}" if number else "now",
                name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…",
                f"{percent:.2f}",
                chance,
                one.state,
                f"{one.temperature - 273.15:.0f}",
                f"{100 * one.melt:.1f}",
                f"{100 * one.water:.1f}",
                f"{100 * one.active:.0f}",
                kpa(one.firmness),
            ]
        )
    return layout.table(rows, "rlrrlrrrrr")


_LONGEST = 34
"""Letters of a name in the table; in full it stands below."""
