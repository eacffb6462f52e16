"""`bar-dough check`: one variant: the sentence, the readings, the clock, what to watch."""

import json
import math
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation
    from designer.evaluation.readings import Reading

HELP = "say what a dough will do: chance, readings, clock, cautions"
EXAMPLES = """examples:
  bar-dough check oat_bar.toml
  bar-dough check oat_bar.toml --room 28C --humidity 65%
  bar-dough check oat_bar.toml --variant 2 --why
  bar-dough check oat_bar.toml --forgiveness
  bar-dough check oat_bar.toml --batch 100g --json
"""

_MOMENTS = (60.0, 300.0, 600.0, 1200.0, 3600.0, 86400.0, 14 * 86400.0, 28 * 86400.0)


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)
    parser.add_argument("--why", action="store_true", help="what each ingredient does to it")
    parser.add_argument(
        "--forgiveness",
        action="store_true",
        help="how far each ingredient and condition may drift, and what makes the forecast unsure",
    )


def run(arguments: Namespace) -> int:
    """Print the check; return the exit code."""
    recipe = sources.opened(arguments)
    number = recipe.numbers[sources.variant_index(recipe, arguments.variant)]
    result = sources.evaluated(sources.filled(recipe, number), arguments)
    variant = result.recipe.numbers.index(number)
    if arguments.json:
        from designer.exchange.readings import as_json

        made = as_json(result, variant)
        if arguments.forgiveness:
            from designer.terminal.forgiven import forgiven_json

            made |= forgiven_json(result, variant)
        layout.say(json.dumps(made, ensure_ascii=True, indent=1))
        return 0
    _print(result, variant, arguments.why)
    if arguments.forgiveness:
        from designer.terminal.forgiven import forgiven_text

        layout.say("\n" + forgiven_text(result, variant))
    return 0


def _print(result: "Evaluation", variant: int, wants_why: bool) -> None:
    from designer.evaluation.readings import outside_model
    from designer.wording.sentence import chance_sentence, mark_words, sentence

    layout.say(layout.paragraph(sentence(result, variant)))
    if chance := chance_sentence(result, variant):
        layout.say(layout.paragraph(chance))
    parts = [_title(result, variant), readings_table(result, variant)]
    if not outside_model(result, variant):
        parts.append(clock_table(result, variant))
        parts.append(layout.table([list(pair) for pair in mark_words(result, variant)], "ll"))
        if wants_why:
            parts.append(why_table(result, variant))
    parts.append(_cautions(result, variant))
    layout.say("\n" + "\n\n".join(parts))


def _cautions(result: "Evaluation", variant: int) -> str:
    from designer.evaluation.cautions import cautions

    return "\n".join(
        layout.paragraph(one.text, "  ", "! " if one.serious else "- ")
        for one in cautions(result, variant)
    )


def _title(result: "Evaluation", variant: int) -> str:
    from designer.quantities import written

    known = result.recipe.variants[variant]
    name = result.recipe.name or "Recipe without a name"
    number = f"{known.number} {known.title}".rstrip() if len(result.recipe.variants) > 1 else ""
    batch = f"batch {written(float(result.conditions.batch_mass[variant]), 'batch')}"
    return layout.facts(filter(None, [name, number, *bench_words(result), batch]))


def bench_words(result: "Evaluation") -> list[str]:
    """Return the conditions that all variants share."""
    from designer.quantities import written
    from designer.wording.words import window_words

    c = result.conditions
    liquids = [] if c.liquids == c.room else [f"liquids {written(c.liquids, 'liquids')}"]
    return [
        f"room {written(c.room, 'room')} {written(c.humidity, 'humidity')}",
        f"bath {written(c.bath, 'bath')}",
        *liquids,
        f"knead {window_words(c.window)}",
    ]


DIGITS = {
    "liquid_to_powder": 2,
    "wetness": 2,
    "melt_fraction": 1,
    "melt_liquid_share": 0,
    "dough_temperature": 0,
    "firmness": 0,
    "active_surfactant": 0,
    "water": 1,
}
"""Readings in the order they are shown, with the decimals that knowledge bears."""


def readings_table(result: "Evaluation", variant: int) -> str:
    """Return the readings as a table with interval and known-good range."""
    from designer.evaluation.readings import readings
    from designer.vocabulary import QUANTITIES

    rows = [["at the knead", "", "", "80 % interval", "known-good range", ""]]
    notes = [""]
    for name, digits in DIGITS.items():
        one = readings(result, variant)[name]
        filled = ["-", "", "", ""] if one.value is None else figures(one, digits)
        rows.append([QUANTITIES[name].words, *filled, _where(one)])
        notes.append(_note(one))
    return layout.table(rows, "lrllll", notes)


def _note(one: "Reading") -> str:
    """Return what is said below a reading: the hand's word, its parts, or why it is absent."""
    from designer.wording.words import hand_words

    if one.value is None:
        return one.missing or ""
    if one.name == "firmness":
        return hand_words(one.value)
    return ", ".join(f"{name} {100 * share:.0f}" for name, share in one.parts.items())


def figures(one: "Reading", digits: int) -> list[str]:
    """Return value, unit, interval and known-good strip of a reading as texts."""
    from designer.vocabulary import QUANTITIES, from_si

    unit = QUANTITIES[one.name].shown

    def told(si: float | None) -> str:
        # Firmness spans decades: two digits of it are known, wherever the point is.
        return _kpa(si or 0.0) if unit == "kPa" else f"{from_si(si or 0.0, unit):.{digits}f}"

    interval = "" if one.low == one.high else f"{told(one.low)} to {told(one.high)}"
    strip = ""
    if one.known_good is not None:
        low, high = one.known_good
        cells = 15 if layout.width() >= layout.WIDEST else 9
        drawn = layout.strip(one.value or 0.0, low, high, cells)
        strip = f"{told(low):>4} {drawn} {told(high):<4}"
    return [told(one.value), "" if unit == "1" else unit, interval, strip]


def _where(one: "Reading") -> str:
    if one.known_good is None or one.value is None:
        return ""
    low, high = one.known_good
    return "below" if one.value < low else "above" if one.value > high else "within"


def moments(result: "Evaluation") -> list[int]:
    """Return indices of the moments of the clock that a table shows."""
    times = result.times.tolist()
    return [
        min(range(len(times)), key=lambda at: abs(math.log(times[at] / moment)))
        for moment in _MOMENTS
    ]


def clock_table(result: "Evaluation", variant: int) -> str:
    """Return the dough clock: state, firmness, temperature and weight at a few moments."""
    from designer.wording.sentence import meanings
    from designer.wording.words import time_words

    spread = result.spread_over_time(variant)
    rows = [["from the pour", "state", "firmness, kPa", "temperature", "bar weight"]]
    for at in moments(result):
        state, firmness, weight = _moment(result, variant, at)
        temperature = f"{spread['temperature'].value[at] - 273.15:.0f} °C"
        rows.append([time_words(float(result.times[at])), state, firmness, temperature, weight])
    told = layout.paragraph(meanings(row[1] for row in rows), "  ")
    return f"{layout.table(rows, 'rllrr')}\n{told}"


def _moment(result: "Evaluation", variant: int, at: int) -> tuple[str, str, str]:
    """Return state, firmness and bar weight at a moment of the clock."""
    from designer.evaluation.readings import state
    from designer.wording.sentence import crumbles, is_dough
    from designer.wording.words import bar_words

    spread = result.spread_over_time(variant)
    kpa = spread["firmness"]
    value = float(kpa.value[at])
    firmness = f"{_kpa(value)} ({_kpa(kpa.low[at])} to {_kpa(kpa.high[at])})"
    loose = crumbles(result, variant, at)
    if is_dough(result, at):
        return state(result, variant, at), "-" if loose else firmness, ""
    weight = f"{100 * spread['bar_weight_share'].value[at]:.1f} %"
    return ("crumbly", "-", weight) if loose else (bar_words(value), firmness, weight)


def _kpa(firmness: float) -> str:
    value = firmness / 1000
    return f"{value:.1f}" if value < 9.95 else f"{float(f'{value:.2g}'):.0f}"


def why_table(result: "Evaluation", variant: int) -> str:
    """Return what one tenth more of each ingredient does to firmness, largest first."""
    from designer.evaluation.why import why

    parts = []
    for one in why(result, variant):
        spread = result.spread(one.log_firmness[None])
        parts.append(
            (float(spread.value[0]), float(spread.low[0]), float(spread.high[0]), one.name)
        )
    parts.sort(key=lambda part: -abs(part[0]))
    rows = [["one tenth more of", "firmness", "80 % interval"]]
    for value, low, high, name in parts:
        change = [100 * math.expm1(0.1 * x) for x in (value, low, high)]
        # Adding 0 makes of a rounded -0 a plain 0.
        value, low, high = (round(x) + 0 for x in change)
        rows.append([name, f"{value:+d} %", f"{low:+d} to {high:+d} %"])
    return layout.table(rows, "lrl")
