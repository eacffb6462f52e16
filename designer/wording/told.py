"""All that is said of a result, worked out once: the worker can do it before a view asks."""

from collections.abc import Callable
from functools import wraps
from typing import TypeVar
from weakref import WeakKeyDictionary

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.forecast import Forecast
from designer.recipe import Recipe
from designer.wording.headline import headline
from designer.wording.lines import lines

__all__ = ["headline_of", "lines_of", "prepare", "prepare_lines"]


Said = TypeVar("Said")


def _remembered(
    say: Callable[[Evaluation, int], Said],
) -> Callable[[Evaluation, int], Said]:
    """Return words about a variant that are found once, as long as the variant's forecast lives.

    An edit of another variant leaves the forecast as it was: what is said is the same then, too.
    """
    known: WeakKeyDictionary[Forecast, dict[tuple[object, ...], Said]] = WeakKeyDictionary()

    @wraps(say)
    def said(result: Evaluation, variant: int) -> Said:
        words = known.setdefault(result.forecasts[variant], {})
        key = _said_from(result.recipe, result.recipe.numbers[variant])
        if key not in words:
            words[key] = say(result, variant)
        return words[key]

    return said


headline_of = _remembered(headline)
lines_of = _remembered(lines)


def _said_from(recipe: Recipe, number: str) -> tuple[object, ...]:
    """Return all of a recipe that words about a variant are made from, beside its forecast."""
    rows = (
        (row.phase, row.name, row.inci, row.given_class, row.percents.get(number), *row.percents)
        for row in recipe.rows
    )
    return (recipe.bench, recipe.unknown, number, *rows)


def prepare(result: Evaluation, most: int = 3) -> None:
    """Work out what is said of the active variant and the first others, `most` in all."""
    prepare_lines(result, most)
    for variant in _first(result.recipe, most):
        headline_of(result, variant)


def prepare_lines(result: Evaluation, most: int = 3) -> None:
    """Work out the readings alone; a result up to the end of the kneading window has them all."""
    for variant in _first(result.recipe, most):
        lines_of(result, variant)


def _first(recipe: Recipe, most: int) -> list[int]:
    active = recipe.numbers.index(recipe.active.number)
    return [active, *(v for v in range(len(recipe.variants)) if v != active)][:most]
