"""`bar-dough compare`: all variants of a recipe side by side."""

import json
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import check, layout, sources

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation

HELP = "put all variants of a recipe side by side"
EXAMPLES = """examples:
  bar-dough compare three_oat_bars.toml
  bar-dough compare three_oat_bars.toml --room 30C --json
"""


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)


def run(arguments: Namespace) -> int:
    """Print the comparison; return the exit code."""
    if arguments.variant is not None:
        raise ReadableError(
            "--variant", "compare shows all variants.", "Use check to look at one of them."
        )
    recipe = sources.opened(arguments)
    result = sources.evaluated(sources.filled(recipe), arguments)
    left_out = tuple(n for n in recipe.numbers if n not in result.recipe.numbers)
    if arguments.json:
        from designer.exchange.readings import compare

        layout.say(json.dumps(compare(result, left_out), ensure_ascii=True, indent=1))
        return 0
    _print(result, left_out)
    return 0


def _print(result: "Evaluation", left_out: tuple[str, ...]) -> None:
    from designer.wording.sentence import chance_sentence, sentence

    for variant, one in enumerate(result.recipe.variants):
        head = f"{one.number} {one.title}".rstrip()
        told = f"{sentence(result, variant)} {chance_sentence(result, variant)}".rstrip()
        layout.say(layout.paragraph(f"{head}: {told}", "  ", ""))
    for number in left_out:
        layout.say(f"{number}: left out, nothing is in it.")
    name = result.recipe.name or "Recipe without a name"
    parts = [
        layout.paragraph(order_words(result)),
        layout.facts([name, *check.bench_words(result)]),
        percent_table(result),
        readings_table(result),
    ]
    layout.say("\n" + "\n\n".join(filter(None, parts)))


def order_words(result: "Evaluation") -> str:
    """Return which of the two likeliest variants comes clean more often, and how sure that is.

    All variants meet the same draws, so their order is surer than either chance. "" where there
    is nothing to order.
    """
    from designer.evaluation.readings import outside_model

    told = [v for v in range(len(result.recipe.variants)) if not outside_model(result, v)]
    if len(told) < 2:
        return ""
    best, second = sorted(told, key=lambda v: -float(result.clean_knead_chance[v]))[:2]
    one, other = result.recipe.numbers[best], result.recipe.numbers[second]
    clean, weights = result.clean, result.weights
    only_best = round(20 * float((clean[best] > clean[second]) @ weights))
    only_second = round(20 * float((clean[second] > clean[best]) @ weights))
    if only_best == only_second == 0:
        return (
            f"{one} and {other} come clean about equally often: over the draws common to both, "
            "nearly always both do or neither."
        )
    if only_best == only_second:
        return (
            f"{one} and {other} come clean about equally often: over the draws common to both "
            f"each does without the other in {only_best} of 20."
        )
    return (
        f"{one} is likelier to come clean than {other}: over the draws common to both it does "
        f"where {other} does not in {only_best} of 20, the other way round in {only_second}."
    )


def percent_table(result: "Evaluation") -> str:
    """Return the percentages by phase; a row that differs among the variants has a mark."""
    recipe, percents = result.recipe, result.amounts.percents
    rows = [["", "percent", *(f"{number}" for number in recipe.numbers)]]
    phase = ""
    for index, row in enumerate(recipe.rows):
        cells = [f"{float(value):.2f}" for value in percents[:, index]]
        mark = "*" if len(set(cells)) > 1 else ""
        rows.append(
            [row.phase if row.phase != phase else "", f"{row.name} {mark}".rstrip(), *cells]
        )
        phase = row.phase
    rows.append(["", "total", *(f"{float(total):.2f}" for total in result.amounts.totals)])
    return layout.table(rows, "ll" + "r" * len(recipe.numbers))


def readings_table(result: "Evaluation") -> str:
    """Return the readings of all variants side by side."""
    from designer.evaluation.readings import readings, state
    from designer.vocabulary import QUANTITIES

    every = [readings(result, variant) for variant in range(len(result.recipe.variants))]
    rows = [["at the knead", "", *result.recipe.numbers]]
    chances = [one["clean_knead_chance"].value for one in every]
    told = ["-" if chance is None else f"{round(20 * chance)} of 20" for chance in chances]
    rows.append(["clean knead", "", *told])
    states = (state(result, variant) for variant in range(len(every)))
    rows.append(
        ["state", "", *("-" if c is None else s for c, s in zip(chances, states, strict=True))]
    )
    for name, digits in check.DIGITS.items():
        quantity = QUANTITIES[name]
        cells = [
            "-" if one[name].value is None else check.figures(one[name], digits)[0] for one in every
        ]
        rows.append([quantity.words, "" if quantity.shown == "1" else quantity.shown, *cells])
    return layout.table(rows, "ll" + "r" * len(every))
