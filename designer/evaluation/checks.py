"""All checks of a variant for a market, worst first, and what was not checked at all."""

from collections.abc import Iterable
from decimal import Decimal

from designer.evaluation.composition import Amount, Composition, composition
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.keeping import Keeping, keeping_checks, keeping_of
from designer.evaluation.limits import limit_checks
from designer.evaluation.spread import Spread
from designer.evaluation.verdicts import NOT_CHECKED, VERDICTS, Check
from designer.evaluation.watch import watch_checks
from designer.evaluation.watched import Bench
from designer.handbook.law import Law, load
from designer.vocabulary import from_si

__all__ = ["UNCHECKED", "bench_of", "check_all", "checks", "is_broken"]

UNCHECKED = {
    "assessment": "The assessment by a qualified person, notification and the product file.",
    "challenge": "Whether the preservative is enough: challenge test (ISO 11930).",
    "germs": "Germs in the materials and in the bar.",
    "stability": "How the bar stands warmth, cold, light and time in its wrapper.",
    "impurities": "Metals, solvents, pesticides and other traces: certificates of the lots.",
    "perfume": "The most of a perfume for its category: certificate of its supplier.",
    "colours": "Whether each colour is listed for this use where you sell.",
    "patch": "How skin and eyes take it: patch test.",
    "claims": "What the label claims; a claim to treat makes a drug of it in some markets.",
    "packaging": "Wrapper, waste marks and what local rules ask beside.",
}
"""What no check here looks at, by code."""


def bench_of(result: Evaluation, variant: int) -> Bench:
    """Return what the checks need of the work: heat of the bath, and of the dough at the pour."""
    bath = Decimal(repr(round(float(from_si(result.conditions.bath, "°C")), 2)))
    start = result.spread(result.forecasts[variant].temperature[0])
    return Bench(Amount(bath, bath, bath), _celsius(start))


def _celsius(one: Spread) -> Amount:
    low, typical, high = (
        Decimal(repr(round(float(from_si(float(end), "°C")), 1)))
        for end in (one.low, one.value, one.high)
    )
    return Amount(low, typical, high)


def checks(
    result: Evaluation,
    variant: int,
    market: str,
    law: Law | None = None,
    other_purpose: frozenset[str] = frozenset(),
) -> tuple[Check, ...]:
    """Return the checks of a variant for a market, in the order of `VERDICTS`.

    Parameters
    ----------
    result : Evaluation
        Up to the cured bar.
    variant : int
    market : str
    law : Law, optional
        The shipped tables unless given.
    other_purpose : frozenset of str
        INCI names that are not put in to preserve.

    Raises
    ------
    ReadableError
        The parts of a material make more than the whole, or a table is broken.
    """
    tables = load() if law is None else law
    made = composition(result, variant)
    bench, keeping = bench_of(result, variant), keeping_of(result, variant)
    return check_all(made, tables, market, bench, keeping, other_purpose)


def check_all(
    made: Composition,
    law: Law,
    market: str,
    bench: Bench,
    keeping: Keeping,
    other_purpose: frozenset[str] = frozenset(),
) -> tuple[Check, ...]:
    """Return the checks of a composition; parameters as of `checks`."""
    found = [
        *limit_checks(made, law, market, other_purpose),
        *keeping_checks(made, law, market, keeping),
        *watch_checks(made, law, market, bench),
    ]
    ordered = sorted(found, key=lambda one: (not one.is_broken, VERDICTS.index(one.verdict)))
    unchecked = [
        Check("unchecked", code, NOT_CHECKED, note=text, as_of=law.as_of)
        for code, text in UNCHECKED.items()
    ]
    return (*ordered, *unchecked)


def is_broken(found: Iterable[Check]) -> bool:
    """Return whether any of the checks breaks a limit of the market."""
    return any(one.is_broken for one in found)
