"""How surely one variant is drier, firmer or cleaner than another: surer than either alone.

All variants meet the same draws, so what is not known of powder and bench cancels in a comparison.
"""

from dataclasses import dataclass

import numpy as np

from designer.errors import ReadableError
from designer.evaluation.evaluate import DAY, Evaluation
from designer.evaluation.readings import outside_model
from designer.vocabulary import Floats

__all__ = ["MOST_PAIRED", "Paired", "paired", "paired_with", "two_likeliest"]

MOST_PAIRED = 8
"""Variants that are told against each other; more are a wall of words."""


@dataclass(frozen=True)
class Paired:
    """The variant `one` beside the variant `other`, over the draws common to both.

    Attributes
    ----------
    one, other : str
        Their numbers.
    drier, wetter : float [1]
        Share of the draws in which the one is drier, or wetter, than the other at the knead.
    firmer_next_day, softer_next_day : float or None [1]
        The same of the pressed bar one day after the pour; None where the clock ends before.
    clean_only_one, clean_only_other : float [1]
        Share of the draws in which one of the two comes clean within the window alone.
    missing : str
        Why the two cannot be told apart, "" where they can.
    """

    one: str
    other: str
    drier: float = 0.0
    wetter: float = 0.0
    firmer_next_day: float | None = None
    softer_next_day: float | None = None
    clean_only_one: float = 0.0
    clean_only_other: float = 0.0
    missing: str = ""


def paired(result: Evaluation, one: int, other: int) -> Paired:
    """Return how surely two variants, by their indices, differ.

    Raises
    ------
    ReadableError
        It is one variant twice.
    """
    numbers = result.recipe.numbers
    if one == other:
        raise ReadableError(
            f"Variant {numbers[one]}", "It is compared with itself.", "Choose two variants."
        )
    for variant in (one, other):
        if why := outside_model(result, variant):
            missing = f"no forecast of {numbers[variant]}: {why}"
            return Paired(numbers[one], numbers[other], missing=missing)
    a, b = result.forecasts[one], result.forecasts[other]
    wetness = a.wetness[result.knead], b.wetness[result.knead]
    next_day = _next_day(result)
    firmness = None if next_day is None else (a.firmness[next_day], b.firmness[next_day])
    return Paired(
        numbers[one],
        numbers[other],
        _less(result, *wetness),
        _less(result, *wetness[::-1]),
        None if firmness is None else _less(result, *firmness[::-1]),
        None if firmness is None else _less(result, *firmness),
        _less(result, b.clean, a.clean),
        _less(result, a.clean, b.clean),
    )


def paired_with(result: Evaluation, active: int) -> tuple[Paired, ...]:
    """Return the first others beside the variant `active`, its index, `MOST_PAIRED` in all."""
    others = [v for v in range(len(result.forecasts)) if v != active][: MOST_PAIRED - 1]
    return tuple(paired(result, other, active) for other in others)


def two_likeliest(result: Evaluation) -> Paired | None:
    """Return the two variants likeliest to come clean, the likelier first; None without two."""
    told = [v for v in range(len(result.forecasts)) if not outside_model(result, v)]
    if len(told) < 2:
        return None
    best, second = sorted(told, key=lambda v: -float(result.clean_knead_chance[v]))[:2]
    return paired(result, best, second)


def _less(result: Evaluation, a: Floats, b: Floats) -> float:
    """Return the share of draws in which `a` is less than `b`, at most 1."""
    return min(1.0, float(np.vecdot((a < b).astype(float), result.weights)))


def _next_day(result: Evaluation) -> int | None:
    """Return the moment one day after the pour, where the clock has it."""
    at = int(np.searchsorted(result.times, DAY - 1.0))
    return at if at < result.times.size and abs(result.times[at] - DAY) < 1.0 else None
