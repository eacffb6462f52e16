"""All that is said of a result, worked out once: the worker can do it before a view asks."""

from dataclasses import dataclass
from weakref import WeakKeyDictionary

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.forecast import Forecast
from designer.recipe import Recipe
from designer.wording.headline import Headline, headline
from designer.wording.lines import Line, lines

__all__ = ["Told", "prepare", "told"]


@dataclass(frozen=True)
class Told:
    """What is said of a variant: first of all, and reading by reading."""

    headline: Headline
    lines: tuple[Line, ...]


_TOLD: WeakKeyDictionary[Forecast, dict[tuple[object, ...], Told]] = WeakKeyDictionary()


def told(result: Evaluation, variant: int) -> Told:
    """Return what is said of a variant.

    It is remembered as long as the variant's forecast lives, which an edit of another variant
    leaves as it was: what is said is the same then, too.
    """
    known = _TOLD.setdefault(result.forecasts[variant], {})
    key = _said_from(result.recipe, result.recipe.numbers[variant])
    if key not in known:
        known[key] = Told(headline(result, variant), lines(result, variant))
    return known[key]


def _said_from(recipe: Recipe, number: str) -> tuple[object, ...]:
    """Return all of a recipe that words about a variant are made from, beside its forecast."""
    rows = (
        (row.phase, row.name, row.inci, row.given_class, row.percents.get(number), *row.percents)
        for row in recipe.rows
    )
    return (recipe.bench, recipe.unknown, number, *rows)


def prepare(result: Evaluation, most: int = 3) -> None:
    """Work out what is said of the active variant and the first others, `most` in all."""
    active = result.recipe.numbers.index(result.recipe.active.number)
    others = [v for v in range(len(result.recipe.variants)) if v != active]
    for variant in [active, *others][:most]:
        told(result, variant)
