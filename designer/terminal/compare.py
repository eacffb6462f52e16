"""`bar-dough compare`: all variants of a recipe side by side."""

import json
import math
from argparse import ArgumentParser, Namespace
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.terminal import check, layout, sources

if TYPE_CHECKING:
    from designer.advice.differences import Difference
    from designer.evaluation.evaluate import Evaluation
    from designer.recipe import Recipe

HELP = "put all variants of a recipe side by side"
EXAMPLES = """examples:
  bar-dough compare three_oat_bars.toml
  bar-dough compare three_oat_bars.toml --why
  bar-dough compare three_oat_bars.toml --why 3 1 --csv oat_bars.csv
  bar-dough compare three_oat_bars.toml --room 30C --json
"""


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)
    parser.add_argument(
        "--why",
        nargs="*",
        metavar="N",
        help="which ingredients make the difference: of two variants, the first against the "
        "second; without numbers of each against the active one",
    )
    parser.add_argument("--csv", metavar="OUT.csv", help="write a table for a spreadsheet")
    parser.add_argument("--force", action="store_true", help="overwrite a table that is there")


def run(arguments: Namespace) -> int:
    """Print the comparison; return the exit code."""
    if arguments.variant is not None:
        raise ReadableError(
            "--variant", "compare shows all variants.", "Use check to look at one of them."
        )
    table = _new_file(arguments)
    recipe = sources.opened(arguments)
    pairs = _asked(recipe, arguments.why)
    result = sources.evaluated(sources.filled(recipe), arguments)
    left_out = tuple(n for n in recipe.numbers if n not in result.recipe.numbers)
    splits = _splits(result, pairs)
    if table is not None:
        from designer.exchange.comparison import table_csv
        from designer.recipe.saving import save

        # A spreadsheet knows by the mark that the letters are Unicode.
        save(table, table_csv(result, splits).encode("utf-8-sig"))
    if arguments.json:
        from designer.exchange.comparison import differences_json, pairs_json
        from designer.exchange.readings import compare

        made = compare(result, left_out) | {"paired": pairs_json(result)}
        if pairs is not None:
            made["differences"] = differences_json(splits, result.recipe.bench.batch_mass)
        layout.say(json.dumps(made, ensure_ascii=True, indent=1))
        return 0
    _print(result, left_out, splits)
    if table is not None:
        layout.say(f"\nThe table is written to {arguments.csv}.")
    return 0


def _new_file(arguments: Namespace) -> Path | None:
    """Return where a table is to be written, or None; it must not be there already."""
    if arguments.csv is None:
        return None
    path = Path(sources.named(arguments.csv))
    if path.exists() and not arguments.force:
        raise ReadableError(
            arguments.csv, "The file is there already.", "Give another name, or add --force."
        )
    return path


def _asked(recipe: "Recipe", why: list[str] | None) -> tuple[str, str] | tuple[()] | None:
    """Return the two numbers to split between, () for all against the active one, None for none."""
    if why is None:
        return None
    if not why:
        return ()
    if len(why) != 2:
        raise ReadableError(
            "--why",
            f"It takes two variants, not {len(why)}.",
            "Give two numbers, or none for each against the active one.",
        )
    one, other = why
    for number in why:
        if number not in recipe.numbers:
            raise ReadableError(
                "--why",
                f'There is no variant "{number}".',
                f"Choose of {' and '.join(recipe.numbers)}.",
            )
        if number in recipe.empty:
            raise ReadableError(
                "--why", f"Nothing is in variant {number}.", "Give at least one row a percentage."
            )
    if one == other:
        raise ReadableError(
            "--why", f"Variant {one} is compared with itself.", "Choose two variants."
        )
    return one, other


def _splits(result: "Evaluation", pairs: tuple[str, str] | tuple[()] | None) -> "list[Difference]":
    """Return the splits asked for."""
    from designer.advice.differences import differences, priced
    from designer.advice.paired import MOST_PAIRED
    from designer.advice.stocked import Stocked

    numbers = result.recipe.numbers
    if pairs is None:
        return []
    if pairs:
        places = [(numbers.index(pairs[0]), numbers.index(pairs[1]))]
    else:
        active = numbers.index(result.recipe.active.number)
        others = [v for v in range(len(numbers)) if v != active][: MOST_PAIRED - 1]
        places = [(other, active) for other in others]
    stocked = Stocked.read(result.handbook)
    return [priced(differences(result, *place), result, stocked) for place in places]


def _print(result: "Evaluation", left_out: tuple[str, ...], splits: "Sequence[Difference]") -> None:
    from designer.advice.paired import two_likeliest
    from designer.wording.differences import differ_sentence, order_sentence
    from designer.wording.sentence import chance_sentence, sentence

    for variant, one in enumerate(result.recipe.variants):
        head = f"{one.number} {one.title}".rstrip()
        told = f"{sentence(result, variant)} {chance_sentence(result, variant)}".rstrip()
        layout.say(layout.paragraph(f"{head}: {told}", "  ", ""))
    for number in left_out:
        layout.say(f"{number}: left out, nothing is in it.")
    name = result.recipe.name or "Recipe without a name"
    parts = [
        layout.paragraph(order_sentence(two_likeliest(result))),
        _paired(result),
        layout.paragraph(differ_sentence(splits)),
        layout.facts([name, *check.bench_words(result)]),
        percent_table(result),
        readings_table(result),
        *(why_table(one, result.recipe.bench.batch_mass) for one in splits),
    ]
    layout.say("\n" + "\n\n".join(filter(None, parts)))


def _paired(result: "Evaluation") -> str:
    """Return how surely each variant differs from the active one."""
    from designer.advice.paired import paired_with
    from designer.wording.differences import paired_sentence

    active = result.recipe.numbers.index(result.recipe.active.number)
    return "\n".join(
        layout.paragraph(paired_sentence(pair), "  ", "")
        for pair in paired_with(result, active)
        if not pair.missing
    )


def why_table(difference: "Difference", batch: float) -> str:
    """Return what each ingredient that differs does, largest first; `batch` in kg."""
    from designer.wording.differences import difference_sentence

    told = layout.paragraph(difference_sentence(difference, batch))
    if not difference.changes:
        return told
    head = f"{difference.one} against {difference.other}"
    rows = [[head, "g", "wetness", "firmness", "clean, of 20", "dough, K"]]
    for change, _ in difference.of("wetness"):
        rows.append([change.name, f"{1000 * batch * change.more:+.1f}", *_parts(change.parts)])
    rows.append(["together", "", *_parts(difference.whole)])
    return f"{told}\n{layout.table(rows, 'lrrrrr')}"


def _parts(parts: "Mapping[str, float]") -> list[str]:
    """Return parts of a difference as figures; those of firmness are factors."""
    # Adding 0 makes of a rounded -0 a plain 0.
    chance, warmth = (
        round(value, 1) + 0
        for value in (20 * parts["clean_knead_chance"], parts["dough_temperature"])
    )
    return [
        f"{round(parts['wetness'], 3) + 0:+.3f}",
        f"x {math.exp(parts['log_firmness']):.2f}",
        f"{chance:+.1f}",
        f"{warmth:+.1f}",
    ]


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
