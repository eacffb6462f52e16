"""`bar-dough label`: the ingredient list, net weight and cautions for a market."""

import json
from argparse import ArgumentParser, Namespace
from dataclasses import replace
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import layout, sources
from designer.terminal.limits import add_market, market_of, tables_of

if TYPE_CHECKING:
    from datetime import date

    from designer.evaluation.composition import Loss
    from designer.evaluation.evaluate import Evaluation
    from designer.evaluation.label import LabelFacts
    from designer.evaluation.label_sheet import LabelSheet
    from designer.handbook.law import Law

HELP = "write the ingredient list, net weight and cautions of a label"
EXAMPLES = """examples:
  bar-dough label oat_bar.toml --market eu
  bar-dough label oat_bar.toml --market us --net "3.5 oz" --panel 40
  bar-dough label oat_bar.toml --market ca --basis cured --water-lost 6.5% --json

Nothing here says that a bar may be sold: see limits, your local law and an assessor.
"""

_FACTS = {
    "product": "name of the product",
    "function": 'what it is for, as "solid shampoo"',
    "batch-number": "batch number",
    "responsible": "responsible person or business",
    "address": "postal address",
    "contact": "contact: mail, telephone or page",
    "origin": "country of origin, if imported",
}


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)
    add_market(parser, usual="")
    parser.add_argument("--basis", metavar="B", help="percents as added or as cured")
    parser.add_argument("--net", metavar="W", help='declared net weight, as "100 g" or "3.5 oz"')
    parser.add_argument("--panel", metavar="CM2", help="area of the label's main panel in cm2")
    parser.add_argument(
        "--water-lost", metavar="P", help='water lost on curing as weighed, as "6.5%%"'
    )
    parser.add_argument(
        "--small-order",
        metavar="NAMES",
        help='order of the names below 1 %%, parted by ";"; else by weight',
    )
    for name, words in _FACTS.items():
        parser.add_argument(f"--{name}", metavar="TEXT", default="", help=words)
    parser.add_argument("--made", metavar="DAY", help="day of making, as 2026-11-28")
    parser.add_argument("--best-before", metavar="DAY", help="best-before day, as 2028-11-28")
    parser.add_argument("--months-open", metavar="N", help="months it may be used after opening")


def run(arguments: Namespace) -> int:
    """Print the label; return the exit code."""
    from designer.evaluation.label_sheet import label_sheet

    law, recipe = tables_of(arguments.own_tables), sources.opened(arguments)
    market = market_of(arguments.market or recipe.label.market)
    variant = sources.variant_index(recipe, arguments.variant)
    facts, loss = _facts(arguments, recipe.label.facts), _loss(arguments.water_lost)
    order = [name.strip() for name in (arguments.small_order or "").split(";") if name.strip()]
    result = sources.evaluated(recipe, arguments)
    basis = (arguments.basis or recipe.label.basis).lower()
    order = order or _kept_order(result, variant, market, basis, loss, law)
    sheet = label_sheet(result, variant, market, basis, facts, order, loss, law)
    if arguments.json:
        from designer.exchange.label import as_json

        made = as_json(sheet, recipe.name, recipe.numbers[variant])
        layout.say(json.dumps(made, ensure_ascii=True, indent=1))
        return 0
    _print(sheet)
    return 0


def _facts(arguments: Namespace, kept: "LabelFacts") -> "LabelFacts":
    """Return the facts that the recipe keeps, with those named in their place."""
    from designer.recipe.label import read_net

    grams, ounces = read_net(arguments.net) if arguments.net else (kept.grams, kept.ounces)
    given = {
        "product": arguments.product,
        "function": arguments.function,
        "batch": arguments.batch_number,
        "made": _day("--made", arguments.made),
        "best_before": _day("--best-before", arguments.best_before),
        "months_open": _months(arguments.months_open),
        "responsible": arguments.responsible,
        "address": arguments.address,
        "contact": arguments.contact,
        "origin": arguments.origin,
        "panel": _panel(arguments.panel),
    }
    stated = {name: value for name, value in given.items() if value}
    return replace(kept, **stated, grams=grams, ounces=ounces)


def _kept_order(
    result: "Evaluation", variant: int, market: str, basis: str, loss: "Loss | None", law: "Law"
) -> list[str]:
    """Return the small group in the order that the recipe keeps."""
    from designer.evaluation.composition import composition
    from designer.evaluation.label_sheet import small_names
    from designer.recipe.label import BASES

    kept = result.recipe.label.small_order
    made = composition(result, variant)
    made = made if loss is None else made.with_loss(loss)
    if not kept or basis not in BASES or (basis == "cured" and made.loss is None):
        return []  # what cannot be is told where the label is made
    return list(small_names(made, law, market, basis, kept))


def _decimal(name: str, typed: str) -> Decimal:
    try:
        return Decimal(typed.replace(",", "."))
    except InvalidOperation:
        raise ReadableError(name, f'"{typed}" is no number.', "Type it as a number.") from None


def _panel(typed: str | None) -> Decimal | None:
    return None if typed is None else _decimal("--panel", typed.strip().lower().removesuffix("cm2"))


def _months(typed: str | None) -> int | None:
    if typed is None:
        return None
    if not typed.strip().isdecimal():
        raise ReadableError("--months-open", f'"{typed}" is no number.', "Give whole months.")
    return int(typed)


def _day(name: str, typed: str | None) -> "date | None":
    if typed is None:
        return None
    import datetime

    try:
        return datetime.date.fromisoformat(typed.strip())
    except ValueError:
        raise ReadableError(name, f'"{typed}" is no day.', "Write it as 2026-11-28.") from None


def _loss(typed: str | None) -> "Loss | None":
    if typed is None:
        return None
    from designer.evaluation.composition import Loss
    from designer.quantities import read

    return Loss.weighed(100 * read(typed, "lost_share"))


def _print(sheet: "LabelSheet") -> None:
    from designer.wording.checks import DISCLAIMER, MARKET_NAMES
    from designer.wording.label import (
        cautions_to_print,
        fact_lines,
        label_notes,
        missing_words,
        weight_lines,
    )

    layout.say(layout.paragraph(f"Ingredients: {sheet.ingredients.text}"))
    told = f"Label for {MARKET_NAMES[sheet.market]}, percents as {sheet.basis}"
    pairs = (*weight_lines(sheet), *fact_lines(sheet.facts))
    parts = [
        told,
        _percents(sheet),
        "\n".join(layout.paragraph(f"{name}: {text}", "  ", "") for name, text in pairs),
        "\n".join(layout.paragraph(note, "  ", "- ") for note in label_notes(sheet)),
        layout.paragraph(missing_words(sheet)),
        "To print, in English and French\n"
        + "\n".join(
            layout.paragraph(f"{one.english} / {one.french}", "  ", "- ")
            for one in cautions_to_print(sheet.made, sheet.law)
        ),
        layout.paragraph(DISCLAIMER),
    ]
    layout.say("\n" + "\n\n".join(filter(None, parts)))


def _percents(sheet: "LabelSheet") -> str:
    from designer.wording.checks import figure

    words = {"ordered": "", "small": "any order", "colour": "colour", "scent": "last"}
    rows = [["name", "percent", ""]]
    for one in sheet.ingredients.entries:
        note = "allergen brought" if one.brought else ""
        rows.append(
            [one.name, figure(one.percent), ", ".join(filter(None, (words[one.group], note)))]
        )
    return layout.cut(layout.table(rows, "lrl"))
