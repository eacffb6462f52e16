"""Everything the page of checks tells of a variant, worked out at once."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from designer.evaluation.acidity import Acidity, acidity, acidity_with, protection, usual_doses
from designer.evaluation.checks import bench_of, check_all
from designer.evaluation.composition import composition
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.keeping import keeping_of
from designer.evaluation.water_activity import water_activity
from designer.handbook.law import OWN, Law
from designer.wording.check_groups import CheckRow, check_rows
from designer.wording.checks import day_words, summary
from designer.wording.checks_asked import Asked
from designer.wording.keeping_lines import (
    KeepingWords,
    dose_lines,
    missing_lines,
    reading_lines,
    source_lines,
)

__all__ = ["ChecksTold", "told_of"]


@dataclass(frozen=True)
class ChecksTold:
    """What is told.

    Attributes
    ----------
    market, variant : str
    rows : tuple of CheckRow
    summary : str
    keeping : KeepingWords or None
        None in a first answer, which has the checks alone.
    as_of : str
        Of which day the tables are, and how many rows are the maker's own.
    """

    market: str
    variant: str
    rows: tuple[CheckRow, ...]
    summary: str
    keeping: KeepingWords | None
    as_of: str


def told_of(
    result: Evaluation,
    variant: int,
    law: Law,
    asked: Asked,
    stop: Callable[[], bool] = lambda: False,
    found: Callable[[ChecksTold], object] = lambda _: None,
) -> ChecksTold | None:
    """Return what is told of a variant, None where it was stopped.

    Parameters
    ----------
    result : Evaluation
        Up to the cured bar.
    variant : int
    law : Law
    asked : Asked
    stop : callable
        Asked now and then whether the answer is still wanted.
    found : callable
        Told the checks before the acid is worked out, which takes as long again.

    Raises
    ------
    ReadableError
        The parts of a material make more than the whole.
    """
    made, declared = composition(result, variant), asked.declared
    slurries = acidity_with(result, variant, declared) if declared else acidity(result, variant)
    if asked.measured is not None:
        slurries = slurries.measured(asked.measured)
    keeping = keeping_of(result, variant, slurries, asked.measured is not None)
    if stop():
        return None
    checked = check_all(made, law, asked.market, bench_of(result, variant), keeping)
    first = ChecksTold(
        asked.market,
        result.recipe.numbers[variant],
        check_rows(checked),
        summary(checked, asked.market, law),
        None,
        _as_of(law),
    )
    found(first)
    words = _keeping(result, variant, slurries, asked, stop)
    return None if words is None else replace(first, keeping=words)


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
