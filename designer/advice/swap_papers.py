"""What a swap does to limits and label: the recipe with it against the recipe before.

Both are evaluated up to the cured bar and held against the same market, the label's.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from designer.errors import ReadableError
from designer.evaluation.checks import checks
from designer.evaluation.composition import composition
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.label import allergens, ingredient_list, scents_untold
from designer.evaluation.verdicts import CLOSE, MEASURE, OVER, Check
from designer.handbook.law import Law

__all__ = ["LimitChange", "OnPaper", "Papers", "papers"]

_ALWAYS = frozenset({"efficacy", "slurry_ph", "water_activity", "acid_form"})
"""Checks that say "measure" of every bar, so that it is no news."""

_ON_LABEL = frozenset({"allergen_may", "allergen_data"})
"""Checks that say of the label what is told of it here in any case."""


@dataclass(frozen=True)
class LimitChange:
    """A check whose verdict gets worse or better.

    Attributes
    ----------
    check : Check
        As it is with the swap; without a counterpart there, as it was.
    before : Check or None
        As it was; None where nothing fell under it.
    is_mended : bool
        Whether it was over or close, and is so no more, or less.
    is_gone : bool
        Whether nothing falls under it any more.
    """

    check: Check
    before: Check | None
    is_mended: bool = False
    is_gone: bool = False

    @property
    def is_broken(self) -> bool:
        """Whether the swap breaks a limit of the market that was kept before."""
        return not self.is_mended and self.check.is_broken


@dataclass(frozen=True)
class Papers:
    """What changes in limits and label, worst first.

    Attributes
    ----------
    market : str
    limits : tuple of LimitChange
        Worse ones first, then mended ones.
    allergens : tuple of str
        Fragrance allergens that must be named now.
    may_allergens : tuple of str
        Those that may have to be: their range reaches above the threshold.
    allergens_off : tuple of str
        Those that need not be named any more.
    names, names_off : tuple of str
        New on the ingredient list, and no longer on it; fragrance allergens apart.
    untold : tuple of str
        Materials of which fragrance allergens are not known, new in the recipe.
    problem : str
        Why nothing could be looked up, or "".
    """

    market: str
    limits: tuple[LimitChange, ...] = ()
    allergens: tuple[str, ...] = ()
    may_allergens: tuple[str, ...] = ()
    allergens_off: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    names_off: tuple[str, ...] = ()
    untold: tuple[str, ...] = ()
    problem: str = ""


@dataclass(frozen=True, eq=False)
class OnPaper:
    """Limits and label of one dough.

    Attributes
    ----------
    checks : tuple of Check
    declared, may : tuple of str
        Fragrance allergens to be named, and those that may have to be.
    names : tuple of str
        On the ingredient list, without the allergens that other ingredients bring.
    listed : frozenset of str
        All names on it.
    untold : tuple of str
    """

    checks: tuple[Check, ...]
    declared: tuple[str, ...]
    may: tuple[str, ...]
    names: tuple[str, ...]
    listed: frozenset[str]
    untold: tuple[str, ...]

    @classmethod
    def of(cls, result: Evaluation, law: Law) -> "OnPaper":
        """Return limits and label of an evaluation of one variant, as its label is kept.

        Raises
        ------
        ReadableError
            The parts of a material make more than the whole.
        """
        label, made = result.recipe.label, composition(result, 0)
        basis = "added" if made.loss is None else label.basis
        entries = ingredient_list(made, law, label.market, basis).entries
        decided = allergens(made, law, label.market, basis)
        by_decision = {
            word: tuple(one.allergen.name for one in decided if one.decision in words)
            for word, words in (("yes", ("declare", "prohibited")), ("may", ("may",)))
        }
        return cls(
            tuple(one for one in checks(result, 0, label.market, law) if one.code not in _ON_LABEL),
            by_decision["yes"],
            by_decision["may"],
            tuple(one.name for one in entries if not one.brought),
            frozenset(one.name for one in entries),
            scents_untold(made, law),
        )


def papers(market: str, before: OnPaper | ReadableError, after: OnPaper | ReadableError) -> Papers:
    """Return what changes from one dough to another; of what failed, why."""
    if isinstance(before, ReadableError):
        return Papers(market, problem=str(before))
    if isinstance(after, ReadableError):
        return Papers(market, problem=str(after))
    worse = sorted(_worse(before.checks, after.checks), key=lambda one: -_rank(one.check))
    named = (*before.declared, *before.may)
    return Papers(
        market,
        (*worse, *_mended(before.checks, after.checks)),
        _beyond(after.declared, before.declared),
        _beyond(after.may, named),
        _beyond(before.declared, (*after.declared, *after.may)),
        _beyond(after.names, before.listed),
        _beyond(before.names, after.listed),
        _beyond(after.untold, before.untold),
    )


def _beyond(names: tuple[str, ...], known: frozenset[str] | tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(one for one in names if one not in known))


def _rank(one: Check | None) -> int:
    """Return how bad a verdict is: 0 for what needs no hand."""
    if one is None:
        return 0
    if one.verdict == OVER:
        return 4 if one.is_broken else 3
    if one.verdict == CLOSE:
        return 2
    return 1 if one.verdict == MEASURE and one.code not in _ALWAYS else 0


def _worse(before: tuple[Check, ...], after: tuple[Check, ...]) -> Iterator[LimitChange]:
    for check in after:
        had = _counterpart(check, before)
        if _rank(check) > _rank(had):
            yield LimitChange(check, had)


def _mended(before: tuple[Check, ...], after: tuple[Check, ...]) -> Iterator[LimitChange]:
    for had in before:
        check = _counterpart(had, after)
        # What was to be measured or asked for and is not there any more is no news.
        if _rank(had) >= 2 and _rank(check) < _rank(had):
            yield LimitChange(check or had, had, is_mended=True, is_gone=check is None)


def _counterpart(check: Check, others: tuple[Check, ...]) -> Check | None:
    """Return the same check of another dough; one on several materials shares some of them."""
    same = [one for one in others if one.code == check.code]
    exact = next((one for one in same if one.subject == check.subject), None)
    if exact is not None:
        return exact
    names = set(check.subject.split(", "))
    return next((one for one in same if names & set(one.subject.split(", "))), None)
