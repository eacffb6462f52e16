"""`bar-dough fix`: the smallest changes that mend a dough, on paper or in the bowl."""

import json
from argparse import ArgumentParser, Namespace
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import fix_in_bowl, layout, sources

if TYPE_CHECKING:
    from designer.advice.fix import Fix, Fixes
    from designer.advice.wishes import Wish
    from designer.recipe import Recipe

HELP = "find the smallest changes that mend a dough"
EXAMPLES = """examples:
  bar-dough fix oat_bar.toml
  bar-dough fix oat_bar.toml --variant 2 --wanted 16/20
  bar-dough fix oat_bar.toml --wish clean-by=10min
  bar-dough fix oat_bar.toml --wish bars=24 --per-bar 40s
  bar-dough fix oat_bar.toml --wish less-melt=2% --json
  bar-dough fix oat_bar.toml --write mended.toml 1
  bar-dough fix oat_bar.toml --in-bowl --felt sticky --batch 500g --age 8min

Held rows stay, and so do scent and preservative. "bars" counts from when the dough is clean, one
bar after the other. Exit code 1: no change reaches what is wished.
"""

_WISHES = "clean, clean-by=10min, bars=24, firmer, firmer=150kPa, less-melt, less-melt=2%"


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)
    parser.add_argument("--wanted", metavar="C", help='the chance wanted, as "14/20"')
    parser.add_argument(
        "--wish", metavar="W", default="clean", help=f"one of: {_WISHES.replace('%', '%%')}"
    )
    parser.add_argument(
        "--per-bar", metavar="T", help='pressing one bar takes, as "40s" (with --wish bars=N)'
    )
    parser.add_argument(
        "--write",
        nargs=2,
        metavar=("OUT", "N"),
        help="write the recipe with fix N of the list into a new file",
    )
    fix_in_bowl.add_arguments(parser)


def run(arguments: Namespace) -> int:
    """Print the fixes; return the exit code."""
    if arguments.in_bowl:
        return fix_in_bowl.run(arguments)
    wish = _wish(arguments.wish, arguments.per_bar)
    target = _target(arguments.write)
    recipe = sources.opened(arguments)
    if arguments.wanted is not None:
        from designer.quantities import read_chance

        recipe = recipe.with_bench(wanted=read_chance(arguments.wanted, "wanted"))
    variant = sources.variant_index(recipe, arguments.variant)
    found = _searched(recipe, variant, wish, arguments)
    if target is not None:
        _write(found, *target)
    if arguments.json:
        from designer.exchange.fixes import as_json

        layout.say(json.dumps(as_json(found), ensure_ascii=True, indent=1))
    else:
        _print(found, target)
    return 0 if found.status in ("met", "found") else 1


def _searched(recipe: "Recipe", variant: int, wish: "Wish", arguments: Namespace) -> "Fixes":
    from designer.advice.fix import priced
    from designer.advice.fixes import fixes
    from designer.advice.stocked import Stocked
    from designer.workshop import shelf

    known = sources.known(arguments)
    book = shelf.handbook()
    found = fixes(recipe, book, known, variant, wish)
    if found is None:
        raise KeyboardInterrupt
    return priced(found, Stocked.read(book))


def _wish(typed: str, per_bar: str | None) -> "Wish":
    """Return a typed wish."""
    from designer.advice.wishes import SECONDS_PER_BAR, WISHES, Wish
    from designer.quantities import read

    name, _, figure = typed.partition("=")
    kind = next((one for one in WISHES if one == name.strip().lower()), None)
    if kind is None:
        raise ReadableError("--wish", f'"{typed[:40]}" is no wish.', f"Wish for one of {_WISHES}.")
    if per_bar is not None and kind != "bars":
        raise ReadableError("--per-bar", "It belongs to a number of bars.", "Add --wish bars=24.")
    if kind == "clean":
        if figure:
            raise ReadableError(
                "--wish", "clean takes no figure.", "Use clean-by=10min for a time."
            )
        return Wish()
    if kind == "clean-by":
        return Wish(kind, by=read(figure or "10 min", "knead"))
    if kind == "bars":
        pace = SECONDS_PER_BAR if per_bar is None else _seconds(per_bar)
        return Wish(kind, bars=_count(figure), seconds_per_bar=pace)
    if kind == "firmer":
        return Wish(kind, firmness=read(figure, "firmness") if figure else None)
    return Wish(kind, melt=read(figure, "melt_fraction")) if figure else Wish(kind)


def _seconds(typed: str) -> float:
    from designer.quantities import read

    # A bare number is meant in seconds here, though times are shown in minutes elsewhere.
    return read(f"{typed}s" if typed.strip().replace(".", "").isdecimal() else typed, "time")


def _count(typed: str) -> int:
    if not typed.strip().isdecimal() or len(typed) > 6:
        raise ReadableError(
            "--wish", f'"{typed[:40]}" is no number of bars.', "Write it as bars=24."
        )
    return int(typed)


def _target(typed: list[str] | None) -> tuple[str, int] | None:
    """Return the file to write and the number of the fix, or None."""
    if typed is None:
        return None
    path, number = typed
    if not number.isdecimal() or not 1 <= int(number) <= 99:
        raise ReadableError(
            "--write", f'"{number[:40]}" is no number of a fix.', "Write it as --write OUT.toml 1."
        )
    if Path(sources.named(path)).exists():
        raise ReadableError(path, "There is already such a file.", "Name another one.")
    return path, int(number)


def _write(found: "Fixes", path: str, number: int) -> None:
    from designer.recipe import file

    if number > len(found.fixes):
        raise ReadableError(
            "--write",
            f"There is no fix {number}: the list has {len(found.fixes)}.",
            "Choose one of the list, or run it without --write to see it.",
        )
    file.write(found.fixes[number - 1].recipe, path)


def _print(found: "Fixes", target: tuple[str, int] | None) -> None:
    from designer.wording.fixes import FORMULA, verdict

    layout.say(layout.paragraph(verdict(found)))
    if not found.fixes:
        return
    layout.say()
    for number, one in enumerate(found.fixes, 1):
        _print_fix(found, number, one)
    layout.say("\n" + layout.paragraph(FORMULA))
    if target is not None:
        layout.say(layout.paragraph(f"Fix {target[1]} is written to {target[0]}."))


def _print_fix(found: "Fixes", number: int, one: "Fix") -> None:
    from designer.wording.fixes import change_words, course_words, effect_words, reached_words
    from designer.wording.words import of_twenty

    reached = reached_words(one, found.wish)
    layout.say(layout.paragraph(f"{change_words(one)}: {reached}", "   ", f"{number:>2} "))
    clean = "" if found.wish.kind == "clean" else f"; kneads clean {of_twenty(one.chance)} of 20"
    layout.say(layout.paragraph(f"{course_words(one)}{clean}; {effect_words(one)}", "   "))
