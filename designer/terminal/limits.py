"""`bar-dough limits`: what is in the bar against the rules of a market, and what else to watch."""

import json
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import layout, sources

if TYPE_CHECKING:
    from collections.abc import Sequence

    from designer.evaluation.verdicts import Check
    from designer.handbook.law import Law

HELP = "hold the bar against the limits of a market, and say what was not checked"
EXAMPLES = """examples:
  bar-dough limits oat_bar.toml --market eu
  bar-dough limits oat_bar.toml --market uk --json
  bar-dough limits herb_bar.toml --market eu --not-to-preserve "Salicylic Acid"

Exit code 1 where a limit of the market is broken. Nothing here says that a bar may be sold.
"""


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)
    add_market(parser)
    parser.add_argument(
        "--not-to-preserve",
        metavar="INCI",
        action="append",
        default=[],
        help="an ingredient put in for another purpose; limits on preservatives pass it over",
    )


def add_market(parser: ArgumentParser, usual: str = "eu") -> None:
    """Add the choice of a market; without a usual one it is the market that the recipe keeps."""
    parser.add_argument(
        "--market",
        metavar="M",
        default=usual,
        help="where it is sold: eu, uk (Great Britain), us, ca "
        f"({f'default {usual}' if usual else 'else as the recipe says'})",
    )
    parser.add_argument(
        "--own-tables",
        metavar="FOLDER",
        help="own use_limits.csv or fragrance_allergens.csv, columns as shipped in resources/law, "
        "in place of those edited in the window",
    )


def tables_of(folder: str | None) -> "Law":
    """Return the tables of law with own rows: of the folder named, else as kept by the window."""
    from pathlib import Path

    from designer.exchange import own_tables
    from designer.handbook.law import load, with_own

    return own_tables.law() if folder is None else with_own(load(), Path(sources.named(folder)))


def market_of(typed: str) -> str:
    """Return the market that was typed."""
    from designer.handbook.law import MARKETS

    market = typed.strip().upper()
    if market not in MARKETS:
        raise ReadableError("--market", f'"{typed}" is not known.', "Choose eu, uk, us or ca.")
    return market


def run(arguments: Namespace) -> int:
    """Print the checks; return 1 where a limit of the market is broken."""
    market, law = market_of(arguments.market), tables_of(arguments.own_tables)
    recipe = sources.opened(arguments)
    variant = sources.variant_index(recipe, arguments.variant)
    result = sources.evaluated(recipe, arguments)
    others = frozenset(arguments.not_to_preserve)
    if arguments.json:
        from designer.exchange.limits import as_json

        made = as_json(result, variant, market, law, others)
        layout.say(json.dumps(made, ensure_ascii=True, indent=1))
        return int(made["broken"])
    from designer.evaluation.assessed import assessed_difference
    from designer.evaluation.checks import checks, is_broken
    from designer.wording.assessed import standing_words
    from designer.wording.checks import DISCLAIMER, summary

    found = checks(result, variant, market, law, others)
    assessed = assessed_difference(result.recipe, result.recipe.numbers[variant])
    if assessed is not None:
        layout.say(layout.paragraph(standing_words(assessed)))
    layout.say(layout.paragraph(summary(found, market, law)))
    layout.say(f"\n{_table(found)}\n")
    layout.say(layout.paragraph(DISCLAIMER))
    return int(is_broken(found))


def _table(found: "Sequence[Check]") -> str:
    """Return the checks under their verdicts, those that break a limit first."""
    from designer.wording.checks import check_lines

    parts: list[str] = []
    head = ""
    for line in check_lines(found):
        said = "over a limit of the market" if line.is_broken else line.verdict
        if line.code == "unchecked":
            said = "not looked at by this program"
        if said != head:
            parts.append(f"{'' if not parts else chr(10)}{said[:1].upper()}{said[1:]}")
            head = said
        figure = f"{line.figure} ({line.interval})" if line.interval else line.figure
        told = ", ".join(filter(None, (figure, line.limit)))
        first = ". ".join(
            filter(None, (f"{line.title}: {told}" if told else line.title, line.note))
        )
        parts.append(layout.paragraph(first, "  ", "! " if line.is_broken else "- "))
        if line.source and line.limit:
            parts.append(layout.paragraph(f"[{line.source}]", "    ", "    "))
    return "\n".join(parts)
