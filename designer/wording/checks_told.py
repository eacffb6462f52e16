"""Everything the page of checks tells of a variant, worked out at once."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from designer.evaluation.acidity import Acidity, acidity_with, protection, usual_doses
from designer.evaluation.checks import bench_of, check_all
from designer.evaluation.composition import composition
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.keeping import keeping_of
from designer.evaluation.water_activity import water_activity
from designer.handbook.law import OWN, Law
from designer.wording.check_groups import CheckRow, check_rows
from designer.wording.checks import day_words, summary
from designer.wording.keeping_lines import (
    KeepingWords,
    dose_lines,
    missing_lines,
    reading_lines,
    source_lines,
)

__all__ = ["USUAL_TARGET", "Asked", "ChecksTold", "told_of"]

USUAL_TARGET = 5.0
"""pH of the slurry that the page starts from: where the usual acid preservatives still work and
skin is not stung; common practice, no source."""


@dataclass(frozen=True)
class Asked:
    """What the maker says beside the recipe.

    Attributes
    ----------
    market : str
    target : float
        pH of the 10 % slurry that is wanted.
    declared : mapping of material to pH of its 10 % solution
    measured : float or None
        pH of the slurry of the cured bar.
    """

    market: str = "EU"
    target: float = USUAL_TARGET
    declared: Mapping[str, float] = field(default_factory=dict)
    measured: float | None = None


@dataclass(frozen=True)
class ChecksTold:
    """What is told.

    Attributes
    ----------
    market, variant : str
    rows : tuple of CheckRow
    summary : str
    keeping : KeepingWords
    as_of : str
        Of which day the tables are, and how many rows are the maker's own.
    """

    market: str
    variant: str
    rows: tuple[CheckRow, ...]
    summary: str
    keeping: KeepingWords
    as_of: str


def told_of(
    result: Evaluation,
    variant: int,
    law: Law,
    asked: Asked,
    stop: Callable[[], bool] = lambda: False,
) -> ChecksTold | None:
    """Return what is told of a variant, None where it was stopped.

    Raises
    ------
    ReadableError
        The parts of a material make more than the whole.
    """
    made = composition(result, variant)
    slurries = acidity_with(result, variant, asked.declared)
    if asked.measured is not None:
        slurries = slurries.measured(asked.measured)
    keeping = keeping_of(result, variant, slurries, asked.measured is not None)
    if stop():
        return None
    found = check_all(made, law, asked.market, bench_of(result, variant), keeping)
    words = _keeping(result, variant, slurries, asked, stop)
    if words is None:
        return None
    return ChecksTold(
        asked.market,
        result.recipe.numbers[variant],
        check_rows(found),
        summary(found, asked.market, law),
        words,
        _as_of(law),
    )


def _keeping(
    result: Evaluation,
    variant: int,
    slurries: Acidity,
    asked: Asked,
    stop: Callable[[], bool],
) -> KeepingWords | None:
    activity, why_not = water_activity(result, variant), slurries.why_not
    doses = () if why_not else usual_doses(slurries.added, asked.target)
    if stop():
        return None
    return KeepingWords(
        reading_lines(activity, slurries, asked.measured, protection(slurries.cured)),
        missing_lines(activity, slurries),
        asked.target,
        dose_lines(doses, float(result.recipe.bench.batch_mass)),
        "Without it nobody can say how much acid it takes." if why_not else "",
        source_lines(slurries.added.sources),
    )


def _as_of(law: Law) -> str:
    own = sum(one.authority == OWN for one in law.use_limits)
    told = f"Tables of {day_words(law.as_of)}: what came later is not in them."
    if own:
        told += f" {own} of their limits {'are' if own > 1 else 'is'} your own."
    return told
