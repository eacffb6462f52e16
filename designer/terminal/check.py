"""`bar-dough check`: one variant: the sentence, the readings, the clock, what to watch."""

import json
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING

import numpy as np

from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation
    from designer.evaluation.readings import Reading

HELP = "say what a dough will do: chance, readings, clock, cautions"
EXAMPLES = """examples:
  bar-dough check oat_bar.toml
  bar-dough check oat_bar.toml --room 28C --humidity 65%
  bar-dough check oat_bar.toml --variant 2 --why
  bar-dough check oat_bar.toml --batch 100g --json
"""

_MOMENTS = (60.0, 300.0, 600.0, 1200.0, 3600.0, 86400.0, 14 * 86400.0)


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    sources.add_conditions(parser)
    parser.add_argument("--why", action="store_true", help="what each ingredient does to it")


def run(arguments: Namespace) -> int:
    """Print the check; return the exit code."""
    recipe = sources.opened(arguments)
    variant = sources.variant_index(recipe, arguments.variant)
    result = sources.evaluated(recipe, arguments)
    if arguments.json:
        from designer.exchange.readings import as_json

        layout.say(json.dumps(as_json(result, variant), ensure_ascii=True, indent=1))
        return 0
    _print(result, variant, arguments.why)
    return 0


def _print(result: "Evaluation", variant: int, wants_why: bool) -> None:
    from designer.wording.sentence import chance_sentence, mark_words, sentence

    layout.say(layout.paragraph(sentence(result, variant)))
    if chance := chance_sentence(result, variant):
        layout.say(layout.paragraph(chance))
    layout.say()
    layout.say(_title(result, variant))
    layout.say()
    layout.say(readings_table(result, variant))
    layout.say()
    layout.say(clock_table(result, variant))
    layout.say()
    layout.say(layout.table([list(pair) for pair in mark_words(result, variant)], "ll"))
    if wants_why:
        layout.say()
        layout.say(why_table(result, variant))
    _print_cautions(result, variant)


def _print_cautions(result: "Evaluation", variant: int) -> None:
    from designer.evaluation.cautions import cautions

    layout.say()
    for one in cautions(result, variant):
        mark = "! " if one.serious else "- "
        layout.say(layout.paragraph(one.text, "  ", mark))


def _title(result: "Evaluation", variant: int) -> str:
    from designer.quantities import written
    from designer.wording.words import window_words

    known, c = result.recipe.variants[variant], result.conditions
    name = result.recipe.name or "Recipe without a name"
    title = f" · {known.number} {known.title}".rstrip() if len(result.recipe.variants) > 1 else ""
    facts = [
        f"room {written(c.room, 'room')} {written(c.humidity, 'humidity')}",
        f"bath {written(c.bath, 'bath')}",
        f"batch {written(float(c.batch_mass[variant]), 'batch')}",
        f"knead {window_words(c.window)}",
    ]
    return layout.paragraph(f"{name}{title} · {' · '.join(facts)}", "  ", "")


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
    from designer.wording.words import hand_words

    rows = [["at the knead", "", "", "80 % interval", "known-good range", ""]]
    for name, digits in DIGITS.items():
        one = readings(result, variant)[name]
        quantity = QUANTITIES[name]
        if one.value is None:
            rows.append([quantity.words, "-", "", "", "", one.missing or ""])
            continue
        note = ""
        if one.known_good is not None:
            note = _where(one)
        elif one.parts:
            note = ", ".join(f"{k} {100 * v:.0f}" for k, v in one.parts.items())
        if name == "firmness":
            note = f"{hand_words(one.value)}; {note}"
        rows.append([quantity.words, *figures(one, digits), note])
    return layout.table(rows, "lrllll")


def figures(one: "Reading", digits: int) -> list[str]:
    """Return value, unit, interval and known-good strip of a reading as texts."""
    from designer.vocabulary import QUANTITIES, from_si

    unit = QUANTITIES[one.name].shown
    value, low, high = (float(from_si(x or 0.0, unit)) for x in (one.value, one.low, one.high))
    is_exact = one.low == one.high
    interval = "" if is_exact else f"{low:.{digits}f} to {high:.{digits}f}"
    strip = ""
    if one.known_good is not None:
        start, end = (float(from_si(x, unit)) for x in one.known_good)
        ends = [f"{x:.{digits}f}" for x in (start, end)]
        strip = f"{ends[0]:>5} {layout.strip(value, start, end, 15)} {ends[1]:<5}"
    return [f"{value:.{digits}f}", "" if unit == "1" else unit, interval, strip]


def _where(one: "Reading") -> str:
    if one.known_good is None or one.value is None:
        return ""
    low, high = one.known_good
    return "below" if one.value < low else "above" if one.value > high else "within"


def moments(result: "Evaluation") -> list[int]:
    """Return indices of the moments of the clock that a table shows."""
    return [int(np.argmin(abs(np.log(result.times / moment)))) for moment in _MOMENTS]


def clock_table(result: "Evaluation", variant: int) -> str:
    """Return the dough clock: state, firmness, temperature and weight at a few moments."""
    from designer.evaluation.readings import outside_model, state
    from designer.wording.sentence import state_words
    from designer.wording.words import bar_words, time_words

    spread = result.spread_over_time(variant)
    rows = [["from the pour", "state", "firmness, kPa", "temperature", "bar weight"]]
    said: set[str] = set()
    is_outside = bool(outside_model(result, variant))
    for at in moments(result):
        is_dough = result.times[at] <= result.conditions.window[1] + 1e-6
        name = state(result, variant, at)
        firmness = spread["firmness"]
        kpa = f"{_kpa(firmness.value[at])} ({_kpa(firmness.low[at])} to {_kpa(firmness.high[at])})"
        if is_outside or (is_dough and name == "crumbly"):
            kpa = "-"
        word = state_words(name, said) if is_dough else bar_words(float(firmness.value[at]))
        weight = "" if is_dough else f"{100 * spread['bar_weight_share'].value[at]:.1f} %"
        rows.append(
            [
                time_words(float(result.times[at])),
                "-" if is_outside else word,
                kpa,
                f"{spread['temperature'].value[at] - 273.15:.0f} °C",
                weight,
            ]
        )
    return layout.table(rows, "rllrr")


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
        change = [100 * float(np.expm1(0.1 * x)) for x in (value, low, high)]
        # Adding 0 makes of a rounded -0 a plain 0.
        value, low, high = (round(x) + 0 for x in change)
        rows.append([name, f"{value:+d} %", f"{low:+d} to {high:+d} %"])
    return layout.table(rows, "lrl")
