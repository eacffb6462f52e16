"""A recipe to publish, in words: what goes in, how it is made, what it should feel like when."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.label_sheet import LabelSheet
from designer.evaluation.net_content import OUNCE, plain_figure, wet_target
from designer.evaluation.readings import outside_model, state
from designer.quantities import written
from designer.recipe import Recipe, Row, Swap, resolve
from designer.vocabulary import PHASES
from designer.wording.assessed import standing_words
from designer.wording.checks import DISCLAIMER, MARKET_NAMES, figure
from designer.wording.label import cautions_to_print
from designer.wording.label_text import as_of
from designer.wording.sentence import chance_sentence, crumbles, is_dough, mark_words, sentence
from designer.wording.swaps import FORMULA
from designer.wording.words import MEANING, bar_words, hand_words, time_words, window_words

__all__ = ["RecipeSheet", "SheetRow", "recipe_sheet"]

_FELT = (60.0, 300.0, 600.0, 1200.0, 3600.0, 86400.0, 7 * 86400.0, 28 * 86400.0)
"""Moments [s] from the pour at which the feel is told."""

PHASE_WORDS = {
    "melt": "Melt, in the bath",
    "powder": "Powder, sieved and dry-blended",
    "liquid": "Liquid, unheated",
    "last": "Last: scent and preservative",
}

_WORK_CAUTIONS = (
    "Surfactant, starch, flour and protein dust harms lungs and eyes: mask (FFP2 or better), no "
    "fan, wipe wet.",
    "Hot melt and water bath burn; so does steam.",
    "Concentrated acids, alkalis, amines and cationics: gloves and glasses.",
    "Press: fingers. Keep children and pets out.",
    "Clay, herb and flour lots may bring spores and metals: a certificate for each lot.",
    "Measure the pH of a 10 % slurry. Preservation is shown by a laboratory, not by a recipe.",
)


@dataclass(frozen=True)
class SheetRow:
    """An ingredient.

    Attributes
    ----------
    percent, grams, ounces : str
        "" in the form without amounts.
    """

    phase: str
    name: str
    inci: str
    percent: str = ""
    grams: str = ""
    ounces: str = ""


@dataclass(frozen=True)
class RecipeSheet:
    """A recipe to publish.

    Attributes
    ----------
    title, summary, basis : str
        Name; what the dough does; what the chance rests on.
    rows : tuple of SheetRow
        In the order of work.
    total : SheetRow or None
        None in the form without amounts.
    batch : str
        What is weighed in, and how many bars that makes; "" without amounts.
    steps : tuple of str
    feel : tuple of (when, what)
    swaps, cautions, notes : tuple of str
    weight, cure : str
    """

    title: str
    summary: str
    basis: str
    rows: tuple[SheetRow, ...]
    total: SheetRow | None
    batch: str
    steps: tuple[str, ...]
    feel: tuple[tuple[str, str], ...]
    swaps: tuple[str, ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    weight: str
    cure: str


def recipe_sheet(
    result: Evaluation, variant: int, label: LabelSheet, amounts: bool = True
) -> RecipeSheet:
    """Return a recipe to publish.

    Parameters
    ----------
    result : Evaluation
        Up to the cured bar.
    variant : int
    label : LabelSheet
        Of the same variant: its net weight and cautions.
    amounts : bool
        Whether percentages and masses are told; without them nothing of them stands in the text.
    """
    recipe = result.recipe
    held = recipe.variants[variant]
    several = f", variant {held.number} {held.title}".rstrip() if len(recipe.variants) > 1 else ""
    rows, total = _rows(recipe, variant, amounts)
    return RecipeSheet(
        title=f"{recipe.name or 'Recipe'}{several}",
        summary=sentence(result, variant),
        basis=chance_sentence(result, variant),
        rows=rows,
        total=total,
        batch=_batch(recipe, total),
        steps=tuple(_steps(result, variant, rows, label)),
        feel=tuple(_feel(result, variant)),
        swaps=tuple(_swaps(recipe, held.number, amounts)),
        cautions=(
            *_WORK_CAUTIONS,
            *(one.english for one in cautions_to_print(label.made, label.law)),
        ),
        notes=tuple(_notes(recipe, label, amounts)),
        weight=_weight(label),
        cure=_cure(result, variant, label),
    )


def _rows(
    recipe: Recipe, variant: int, amounts: bool
) -> tuple[tuple[SheetRow, ...], SheetRow | None]:
    found = resolve(recipe)
    percents, masses = found.percents[variant], found.masses[variant]
    batch = 1e3 * float(masses.sum())
    digits = 2 if batch < 100 else 1 if batch < 10_000 else 0
    grams = _adding_up(1e3 * masses, digits)
    rows = []
    for number in sorted(range(len(recipe.rows)), key=lambda n: PHASES.index(recipe.rows[n].phase)):
        row = recipe.rows[number]
        if percents[number] > 0:
            told = _amounts(float(percents[number]), grams[number], digits) if amounts else ()
            rows.append(SheetRow(row.phase, row.name, row.inci or "", *told))
    if not amounts:
        return tuple(rows), None
    told = _amounts(float(percents.sum()), sum(grams), digits)
    return tuple(rows), SheetRow("", "all of it", "", *told)


def _batch(recipe: Recipe, total: SheetRow | None) -> str:
    """Return the batch that the grams are for."""
    if total is None:
        return ""
    bench = recipe.bench
    told = f"for {total.grams} g of dough ({total.ounces} oz)"
    if bench.bars is not None and bench.net is not None:
        told += f": {bench.bars} bars of {written(bench.net, 'net')}"
        told += f", {written(bench.loss, 'loss')} stays on bowl and hands" if bench.loss else ""
    return told if bench.stated_batch is not None else f"{told}, as no batch is stated"


def _amounts(percent: float, grams: float, digits: int) -> tuple[str, str, str]:
    shown = figure(Decimal(repr(round(percent, 4))))
    return shown, f"{grams:.{digits}f}", f"{grams / float(OUNCE):.2f}"


def _adding_up(values: np.ndarray, digits: int) -> list[float]:
    """Return values rounded so that they still sum to their rounded sum."""
    steps = values * 10**digits
    whole = np.floor(steps + 1e-9)
    missing = round(float(steps.sum())) - int(whole.sum())
    whole[np.argsort(-(steps - whole), kind="stable")[: max(missing, 0)]] += 1
    return [float(one) / 10**digits for one in whole]


def _names(rows: tuple[SheetRow, ...], phase: str) -> str:
    return ", ".join(one.name for one in rows if one.phase == phase)


def _steps(
    result: Evaluation, variant: int, rows: tuple[SheetRow, ...], label: LabelSheet
) -> Iterator[str]:
    c = result.conditions
    room, bath = written(c.room, "room"), written(c.bath, "bath")
    melt, powder, liquid, last = (_names(rows, phase) for phase in PHASES)
    yield f"Weigh everything; the room is at {room} and {written(c.humidity, 'humidity')} humidity."
    if powder:
        yield f"Mask on, no fan. Sieve and dry-blend the powders: {powder}."
    if melt:
        yield f"Melt in a bath of {bath} until it is clear: {melt}."
    if liquid:
        yield (
            f"Have the liquids at {written(c.liquids, 'liquids')}, and stir in what must dissolve: "
            f"{liquid}."
        )
    if last:
        into = "into the liquids" if liquid else "into the powders"
        yield f"Stir {into} just before mixing: {last}."
    wet = " and ".join(filter(None, ("the melt" if melt else "", "the liquids" if liquid else "")))
    if wet:
        yield f"Pour {wet} over the powders and mix at once. The clock starts now."
    yield _knead(result, variant)
    yield _press(result, variant, label)


def _knead(result: Evaluation, variant: int) -> str:
    told = f"Knead for {window_words(result.conditions.window)}."
    if outside_model(result, variant):
        return told
    warm = result.spread_over_time(variant)["temperature"].value[result.knead] - 273.15
    when = time_words(float(result.times[result.knead]))
    told += f" After {when} the dough is near {warm:.0f} °C."
    if crumbles(result, variant, -1):
        return f"{told} It crumbles rather than sticks: too little liquid for its powder."
    mark = result.marks["clean_from"]
    share = float(mark.share[variant])
    if share >= 0.5:
        return f"{told} It comes clean from {_span(result, variant, 'clean_from')}."
    if share < 0.05:
        return f"{told} It hardly ever comes clean."
    return f"{told} Only {round(20 * share)} of 20 such batches come clean."


def _span(result: Evaluation, variant: int, name: str) -> str:
    """Return when a mark comes, with its interval."""
    mark = result.marks[name]
    low, value, high = (
        time_words(float(one[variant])) for one in (mark.low, mark.value, mark.high)
    )
    return value if low == high else f"{value} ({low} to {high})"


def _press(result: Evaluation, variant: int, label: LabelSheet) -> str:
    told = "Portion and press"
    mark = result.marks["press_before"]
    if float(mark.share[variant]) >= 0.5 and not outside_model(result, variant):
        at_once = float(mark.value[variant]) <= 1.001 * float(result.times[0])
        told += " at once" if at_once else f" before {_span(result, variant, 'press_before')}"
    loss = label.made.loss
    if label.declaration is not None and loss is not None and loss.typical > 0:
        wet = wet_target(float(label.declaration.grams), float(loss.typical) / 100, Decimal("0.1"))
        told += (
            f": at least {plain_figure(wet)} g of dough for each bar, as about "
            f"{figure(loss.typical)} % of it dries away; weigh again before packing"
        )
    return f"{told}."


def _feel(result: Evaluation, variant: int) -> Iterator[tuple[str, str]]:
    if outside_model(result, variant):
        return
    times = result.times.tolist()
    firmness = result.spread_over_time(variant)["firmness"].value
    met: set[int] = set()
    for moment in _FELT:
        at = min(range(len(times)), key=lambda n: abs(math.log(times[n] / moment)))
        if at in met:
            continue
        met.add(at)
        yield time_words(times[at]), _felt(result, variant, at, float(firmness[at]))


def _felt(result: Evaluation, variant: int, at: int, firmness: float) -> str:
    if is_dough(result, at):
        word = state(result, variant, at)
        if word == "crumbly" or crumbles(result, variant, at):
            return f"crumbly: {MEANING['crumbly']}"
        return f"{word}: {MEANING[word]}; {hand_words(firmness)}"
    return "crumbly" if crumbles(result, variant, at) else f"a {bar_words(firmness)} bar"


def _swaps(recipe: Recipe, number: str, amounts: bool) -> Iterator[str]:
    kept = [
        (row, swap) for row in recipe.rows for swap in row.swaps if swap.variant in ("", number)
    ]
    for row, swap in kept:
        yield _swap(row, swap, amounts)
    if kept:
        # What was predicted is not predicted anew: the recipe may have changed since.
        yield f"Each was worked out for the recipe of its day. {FORMULA}"


def _swap(row: Row, swap: Swap, amounts: bool) -> str:
    def told(name: str, percent: float) -> str:
        return f"{name} {percent:g} %" if amounts else name

    if swap.stays:
        text = f"Part of the {row.name} may be {told(swap.name, swap.percent)}"
        text += f" ({row.name} {swap.stays:g} % stays)" if amounts else ""
    else:
        text = f"{row.name} may be {told(swap.name, swap.percent)} instead"
    if swap.alongside:
        text += f", with {', '.join(told(*part) for part in swap.alongside)}"
    if swap.less:
        text += f", less of {', '.join(told(*part) for part in swap.less)}"
    if swap.chance is not None:
        day = f" as predicted on {swap.date}" if swap.date else " as predicted when it was kept"
        text += f": {round(20 * swap.chance)} of 20 such batches come clean{day}"
    else:
        text += ": its effect was not worked out"
    return f"{text}."


def _notes(recipe: Recipe, label: LabelSheet, amounts: bool) -> Iterator[str]:
    if amounts:
        # The maker's own notes may tell amounts.
        yield from (line for line in recipe.notes.split("\n") if line.strip())
    if label.standing is not None and label.standing.is_outside:
        yield standing_words(label.standing)
    yield as_of(label)
    yield DISCLAIMER.replace("This page", "This sheet")


def _weight(label: LabelSheet) -> str:
    if label.declaration is None:
        return "Net weight: not stated."
    where = MARKET_NAMES[label.market]
    return f"Net weight when packed: {label.declaration.text} ({where})."


def _cure(result: Evaluation, variant: int, label: LabelSheet) -> str:
    marks = dict(mark_words(result, variant))
    dent, wrap = marks.get("no thumb dent from"), marks.get("wrap from")
    told = [f"no thumb dent from {dent}" if dent else "", f"wrap from {wrap}" if wrap else ""]
    loss = label.made.loss
    if loss is not None and loss.typical > 0:
        told.append(f"about {figure(loss.typical)} % of the weight dries away ({loss.source})")
    found = "; ".join(filter(None, told))
    return f"Cure: {found}." if found else "Cure: not known."
