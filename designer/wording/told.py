"""All that is said of a result, worked out once: the worker can do it before a view asks."""

from dataclasses import dataclass
from weakref import WeakKeyDictionary

from designer.evaluation.evaluate import Evaluation
from designer.wording.headline import Headline, headline
from designer.wording.lines import Line, lines

__all__ = ["Told", "prepare", "told"]


@dataclass(frozen=True)
class Told:
    """What is said of a variant: first of all, and reading by reading."""

    headline: Headline
    lines: tuple[Line, ...]


_TOLD: WeakKeyDictionary[Evaluation, dict[int, Told]] = WeakKeyDictionary()


def told(result: Evaluation, variant: int) -> Told:
    """Return what is said of a variant, remembered as long as the result lives."""
    known = _TOLD.setdefault(result, {})
    if variant not in known:
        known[variant] = Told(headline(result, variant), lines(result, variant))
    return known[variant]


def prepare(result: Evaluation, most: int = 3) -> None:
    """Work out what is said of the active variant and the first others, `most` in all."""
    active = result.recipe.numbers.index(result.recipe.active.number)
    others = [v for v in range(len(result.recipe.variants)) if v != active]
    for variant in [active, *others][:most]:
        told(result, variant)
