"""Comparisons as plain values: what pairs and splits say, and a table for a spreadsheet."""

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any

from designer.advice.differences import COST, Difference
from designer.advice.paired import Paired, paired_with
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import readings, state
from designer.exchange.readings import UNITS, rounded
from designer.vocabulary import from_si

__all__ = ["cell", "differences_json", "pairs_json", "table_csv"]

_SPLIT_UNITS = {
    "wetness": "1",
    "log_firmness": "1",
    "clean_knead_chance": "1",
    "dough_temperature": "K",
}
"""Units of differences: a chance as a fraction, a temperature in steps of a degree."""

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""What a spreadsheet takes for the start of a formula, or hides one behind."""


def pairs_json(result: Evaluation) -> list[dict[str, Any]]:
    """Return how surely each variant differs from the active one, as plain values."""
    active = result.recipe.numbers.index(result.recipe.active.number)
    return [_pair_json(pair) for pair in paired_with(result, active)]


def _pair_json(pair: Paired) -> dict[str, Any]:
    found: dict[str, Any] = {"variant": pair.one, "against": pair.other}
    if pair.missing:
        return found | {"missing": pair.missing}
    return found | {
        "drier": pair.drier,
        "wetter": pair.wetter,
        "firmer_next_day": pair.firmer_next_day,
        "softer_next_day": pair.softer_next_day,
        "clean_alone": pair.clean_only_one,
        "other_clean_alone": pair.clean_only_other,
    }


def differences_json(found: Sequence[Difference], batch: float) -> list[dict[str, Any]]:
    """Return splits as plain values; `batch` is the mass of the dough [kg]."""
    return [_difference_json(one, batch) for one in found]


def _difference_json(one: Difference, batch: float) -> dict[str, Any]:
    found: dict[str, Any] = {"variant": one.one, "against": one.other}
    if one.missing:
        return found | {"missing": one.missing}
    return found | {
        "method": "Shapley value" if one.every_order else "path integral",
        "units": _units(one),
        "together": dict(one.whole),
        "changes": [
            {
                "name": change.name,
                "kind": change.kind,
                "percent": rounded(100 * change.more),
                "grams": rounded(1000 * batch * change.more),
                **{name: change.parts[name] for name in one.quantities},
            }
            for change in one.changes
        ],
    }


def _units(one: Difference) -> dict[str, str]:
    cost = {COST: f"{one.currency}/kg"} if one.currency else {}
    return _SPLIT_UNITS | cost


def table_csv(result: Evaluation, found: Sequence[Difference] = ()) -> str:
    """Return a comparison as a table for a spreadsheet: a column for each variant.

    Percentages, readings with their 80 % intervals, and, of each split in `found`, the part of each
    ingredient in the column of its variant. No text in it can be taken for a formula.
    """
    numbers = result.recipe.numbers
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\r\n")
    table.writerow(["what", "name", "unit", *numbers])
    for row in (*_make_up(result), *_readings(result), *_parts(found, numbers)):
        table.writerow([cell(one) for one in row])
    return text.getvalue()


def cell(value: str | float | None) -> str:
    """Return a cell that a spreadsheet shows as it is: a text behind an apostrophe if need be."""
    if value is None:
        return ""
    if isinstance(value, str):
        return f"'{value}" if value.startswith(_FORMULA) else value
    return f"{value:.10g}"


Cells = list[str | float | None]


def _make_up(result: Evaluation) -> Iterator[Cells]:
    recipe, amounts = result.recipe, result.amounts
    yield ["title", "", "", *(variant.title for variant in recipe.variants)]
    for index, row in enumerate(recipe.rows):
        yield [row.phase, row.name, "%", *(float(one) for one in amounts.percents[:, index])]
    yield ["total", "", "%", *(float(one) for one in amounts.totals)]


def _readings(result: Evaluation) -> Iterator[Cells]:
    variants = range(len(result.recipe.variants))
    every = [readings(result, variant) for variant in variants]
    yield [
        "state",
        "at the knead",
        "",
        *(
            state(result, v) if one["clean_knead_chance"].value is not None else None
            for v, one in zip(variants, every, strict=True)
        ),
    ]
    for name in every[0]:
        unit = UNITS[name][0]
        for what, field in (("reading", "value"), ("10 %", "low"), ("90 %", "high")):
            values = [getattr(one[name], field) for one in every]
            if what == "reading" or any(one is not None for one in values):
                yield [
                    what,
                    name,
                    unit,
                    *(None if one is None else float(from_si(one, unit)) for one in values),
                ]


def _parts(found: Sequence[Difference], numbers: tuple[str, ...]) -> Iterator[Cells]:
    """Yield the parts of splits: a row for each ingredient, quantity and variant split against."""
    for against in dict.fromkeys(one.other for one in found):
        splits = {one.one: one for one in found if one.other == against and not one.missing}
        names = dict.fromkeys(change.name for one in splits.values() for change in one.changes)
        for quantity in dict.fromkeys(q for one in splits.values() for q in one.quantities):
            there = {n: one for n, one in splits.items() if quantity in one.quantities}
            what = f"part of the difference to {against}, {quantity}"
            unit = _units(next(iter(there.values())))[quantity]
            for name in names:
                parts = [there[n].part(name, quantity) if n in there else None for n in numbers]
                yield [what, name, unit, *parts]
            whole = [there[n].whole[quantity] if n in there else None for n in numbers]
            yield [what, "together", unit, *whole]
