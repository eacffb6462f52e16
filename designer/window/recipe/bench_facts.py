"""The facts of the head line: what each shows, how typed text changes it, what a step of it is."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from designer.errors import ReadableError
from designer.quantities import (
    read,
    read_chance,
    read_span,
    written,
    written_chance,
    written_exactly,
)
from designer.recipe import Recipe
from designer.vocabulary import QUANTITIES, from_si
from designer.window.figures import EN_DASH, MINUS, spaced
from designer.wording.words import window_words

__all__ = ["FACTS", "Fact", "step_name"]

_TIMES = "×"
_BARS = re.compile(r"(\d{1,6})\s*(?:bars?)?\s*(?:[×x*]\s*(.+))?", re.IGNORECASE)
_SHORT = 2
"""Digits more than usual that a stated value may show."""


@dataclass(frozen=True)
class Fact:
    """One editable fact.

    Attributes
    ----------
    name : str
        What a screen reader and an undo step call it.
    before, after : str
        The words around its value.
    shown : callable
        The value of a recipe as text; None where the fact does not apply.
    taken : callable
        A recipe changed by a typed text; raises `ReadableError`.
    stepped : callable
        A recipe changed by a number of steps; raises `ReadableError`.
    step : str
        What one step is.
    example : str
        What may be typed, for the foot.
    bold, optional : bool
        Optional ones are shown where they are stated, else only where there is room.
    stated : callable
        Whether the recipe states it.
    """

    name: str
    before: str
    shown: Callable[[Recipe], str | None]
    taken: Callable[[Recipe, str], Recipe]
    stepped: Callable[[Recipe, int], Recipe] | None = None
    step: str = ""
    after: str = ""
    example: str = ""
    bold: bool = False
    optional: bool = False
    stated: Callable[[Recipe], bool] = lambda _recipe: True

    def words_after(self, recipe: Recipe) -> str:
        """Return the words after its value; none after one that is not stated."""
        return self.after if self.stated(recipe) else ""


_EXAMPLES = {"°C": "70 F  294 K", "%": "45  45 %"}
"""By shown unit: what may be typed."""


def step_name(fact: Fact, before: str, after: str) -> str:
    """Return the text of an undo step: "Room 21 °C → 24 °C"."""
    return f"{fact.name} {_cut(before) or 'none'} → {_cut(after) or 'none'}"


def _cut(text: str) -> str:
    return text if len(text) <= 32 else f"{text[:31]}…"


def _figure(value: float, name: str) -> str:
    """Return a value as stated where that is short, else as rounded."""
    usual, exact = written(value, name), written_exactly(value, name)
    unit = QUANTITIES[name].shown
    short = exact.endswith(unit) and len(exact) <= len(usual) + _SHORT
    return spaced(exact if short else usual).replace("-", MINUS)


def _with_unit(text: str, unit: str) -> str:
    """Return a typed text with the unit that stood there, where none was typed."""
    return f"{text} {unit}" if re.fullmatch(r"\s*[+\-−]?[\d.,\s]+", text) else text


def _quantity(
    key: str, name: str, before: str, step: str, optional: bool = False, after: str = ""
) -> Fact:
    """Return the fact of one condition of the bench; `step` is in its shown unit."""

    def value(recipe: Recipe) -> float | None:
        stated: float | None = getattr(recipe.bench, key)
        return stated

    def shown(recipe: Recipe) -> str | None:
        number = value(recipe)
        if number is None:
            return "as the room" if optional else None
        return _figure(number, key)

    def taken(recipe: Recipe, text: str) -> Recipe:
        if optional and not text.strip():
            return recipe.with_bench(**{key: None})
        return recipe.with_bench(**{key: read(text, key)})

    def stepped(recipe: Recipe, steps: int) -> Recipe:
        number = value(recipe)
        start: float = recipe.bench.room if number is None else number
        return recipe.with_bench(**{key: _moved(start, key, steps * Decimal(step))})

    unit = QUANTITIES[key].shown
    return Fact(
        name,
        before,
        shown,
        taken,
        stepped,
        f"{step} {unit}",
        after,
        _EXAMPLES.get(unit, ""),
        optional=optional,
        stated=lambda recipe: value(recipe) is not None,
    )


def _moved(value: float, key: str, step: Decimal, unit: str = "") -> float:
    """Return a value moved by a step in a unit, the shown one unless said, read as if typed."""
    unit = unit or QUANTITIES[key].shown
    moved = Decimal(f"{from_si(value, unit):.9g}") + step
    return read(f"{moved:f} {unit}", key)


def _taken_name(recipe: Recipe, text: str) -> Recipe:
    return recipe.with_name(" ".join(text.split()))


def _bars(recipe: Recipe) -> str | None:
    bench = recipe.bench
    if bench.bars is None or bench.net is None:
        return "no bars stated"
    words = "bar" if bench.bars == 1 else "bars"
    return spaced(f"{bench.bars} {words} {_TIMES} {_figure(bench.net, 'net')}")


def _taken_bars(recipe: Recipe, text: str) -> Recipe:
    """Return a recipe for typed bars: "24", "24 bars", "24 x 100 g", or a weight alone."""
    plain = " ".join(text.split())
    match = _BARS.fullmatch(plain)
    if match is None:
        bars = recipe.bench.bars
        try:
            weight = read(plain, "net")
        except ReadableError as error:
            advice = "Type it as 24 bars x 100 g, or the number of bars alone."
            raise ReadableError("Bars", error.problem, advice) from None
        if bars is None:
            raise _wanting(f"{plain} is the weight of a bar; how many bars?")
        return recipe.with_bench(net=weight)
    net_text = match[2]
    net = recipe.bench.net if net_text is None else read(_with_unit(net_text, "g"), "net")
    if net is None:
        raise _wanting(f"{plain} is a number of bars; how heavy is one?")
    return recipe.with_bench(bars=int(match[1]), net=net)


def _wanting(problem: str) -> ReadableError:
    return ReadableError("Bars", problem, "Type both, as 24 bars x 100 g.")


def _stepped_bars(recipe: Recipe, steps: int) -> Recipe:
    bars = recipe.bench.bars
    if bars is None:
        raise _wanting("No number of bars is stated.")
    return recipe.with_bench(bars=bars + steps)


def _batch(recipe: Recipe) -> str:
    mass = recipe.bench.batch_mass
    if mass < 1:
        exact = written_exactly(1000 * mass, "batch").split()[0]
        figure = exact if len(exact) <= 5 else f"{1000 * mass:.0f}"
        return spaced(f"{figure} g")
    return _figure(mass, "batch")


def _taken_batch(recipe: Recipe, text: str) -> Recipe:
    unit = _batch(recipe).split()[-1]
    return recipe.with_bench(batch=read(_with_unit(text, unit), "batch"))


def _stepped_batch(recipe: Recipe, steps: int) -> Recipe:
    mass = recipe.bench.batch_mass
    return recipe.with_bench(batch=_moved(round(mass, 3), "batch", 10 * Decimal(steps), "g"))


def _window(recipe: Recipe) -> str:
    return spaced(window_words(recipe.bench.knead)).replace("-", EN_DASH)


def _taken_window(recipe: Recipe, text: str) -> Recipe:
    return recipe.with_bench(knead=read_span(text, "knead"))


def _stepped_window(recipe: Recipe, steps: int) -> Recipe:
    start, end = recipe.bench.knead
    return recipe.with_bench(knead=(start, max(start, _moved(end, "knead", Decimal(steps)))))


def _wanted(recipe: Recipe) -> str:
    return spaced(written_chance(recipe.bench.wanted, "wanted"))


def _taken_wanted(recipe: Recipe, text: str) -> Recipe:
    return recipe.with_bench(wanted=read_chance(text, "wanted"))


def _stepped_wanted(recipe: Recipe, steps: int) -> Recipe:
    part = round(20 * recipe.bench.wanted) + steps
    return recipe.with_bench(wanted=read_chance(f"{part} of 20", "wanted"))


FACTS: tuple[Fact, ...] = (
    Fact("Name", "", lambda recipe: recipe.name, _taken_name, bold=True),
    Fact(
        "Bars",
        "",
        _bars,
        _taken_bars,
        _stepped_bars,
        "1 bar",
        "portioned",
        f"24 {_TIMES} 100 g",
        stated=lambda recipe: recipe.bench.bars is not None,
    ),
    Fact(
        "Bowl loss",
        "bowl loss",
        lambda recipe: None if recipe.bench.bars is None else _figure(recipe.bench.loss, "loss"),
        lambda recipe, text: recipe.with_bench(loss=read(text, "loss")),
        lambda recipe, steps: recipe.with_bench(
            loss=_moved(recipe.bench.loss, "loss", steps * Decimal("0.5"))
        ),
        "0.5 %",
        example="2 %",
    ),
    Fact("Batch", "batch", _batch, _taken_batch, _stepped_batch, "10 g", example="1.5 kg  2 lb"),
    _quantity("room", "Room", "room", "1"),
    _quantity("humidity", "Humidity", "humidity", "1"),
    _quantity("bath", "Bath", "bath", "1"),
    _quantity("liquids", "Liquids", "liquids", "1", optional=True),
    Fact(
        *("Kneading window", "window", _window, _taken_window, _stepped_window, "1 min"),
        example=f"5{EN_DASH}20 min",
    ),
    Fact(
        *("Wanted chance", "wanted", _wanted, _taken_wanted, _stepped_wanted, "1 of 20"),
        example="14 of 20  70 %",
    ),
)
"""In the order of the head line."""
