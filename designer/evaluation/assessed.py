"""Whether a variant is still the formula that was assessed, and in what it differs."""

from collections.abc import Iterable
from dataclasses import dataclass

from designer.handbook.tables import plain
from designer.recipe import Assessed, Part, Recipe, resolve

__all__ = ["AssessedDifference", "Change", "assessed_difference", "formula_of", "frozen", "release"]

SAME = 1e-5
"""Percents nearer than this are one figure: what is left of a total of 100.000001."""

_DIGITS = 6


@dataclass(frozen=True)
class Change:
    """One ingredient that differs.

    Attributes
    ----------
    name : str
    kind : "new" | "left out" | "more" | "less" | "moved" | "inci"
    was, now : float [percent]
        0 where it was not, or is no more.
    was_words, now_words : str
        Phases of one that was moved, INCI names of one that has another.
    """

    name: str
    kind: str
    was: float
    now: float
    was_words: str = ""
    now_words: str = ""


@dataclass(frozen=True)
class AssessedDifference:
    """How a variant stands to what was assessed.

    Attributes
    ----------
    number : str
        Of the variant.
    assessed : Assessed
        The formula it equals; else the last one assessed of this variant, or of any.
    changes : tuple of Change
        In the order of the formula; empty where it is as assessed.
    release : Assessed or None
        By whom this very formula was released all the same.
    """

    number: str
    assessed: Assessed
    changes: tuple[Change, ...]
    release: Assessed | None

    @property
    def is_outside(self) -> bool:
        """Whether it is another formula than the assessed one."""
        return bool(self.changes)

    @property
    def is_held(self) -> bool:
        """Whether batch and label are to be held until a named person releases them."""
        return self.is_outside and self.release is None


def formula_of(recipe: Recipe, number: str) -> tuple[Part, ...]:
    """Return a variant as a formula: q.s. as a figure, percents of the whole.

    Raises
    ------
    ReadableError
        There is no such variant, or nothing is in it.
    """
    one = recipe.only(number)
    shares = resolve(one).shares[0]
    return tuple(
        Part(row.phase, row.name, row.inci or "", round(100 * float(share), _DIGITS))
        for row, share in zip(one.rows, shares, strict=True)
        if share > 0
    )


def frozen(recipe: Recipe, number: str, report: str, name: str, date: str) -> Recipe:
    """Return the recipe with a variant noted as assessed.

    Raises
    ------
    ReadableError
        Report, name or day is missing, or nothing is in the variant.
    """
    one = Assessed(report.strip(), name.strip(), date.strip(), number, formula_of(recipe, number))
    return recipe.with_assessed(*recipe.assessed, one)


def release(recipe: Recipe, number: str, name: str, date: str) -> Recipe:
    """Return the recipe with a variant noted as released although it differs.

    It holds for the formula as it is now: a later change is held again.

    Raises
    ------
    ReadableError
        Nothing was assessed, the name or the day is missing, or nothing is in the variant.
    """
    found = assessed_difference(recipe, number)
    report = found.assessed.report if found else ""
    one = Assessed(report, name.strip(), date.strip(), number, formula_of(recipe, number))
    return recipe.with_released(*recipe.released, one)


def assessed_difference(recipe: Recipe, number: str) -> AssessedDifference | None:
    """Return how a variant stands to what was assessed.

    Parameters
    ----------
    recipe : Recipe
    number : str
        Of a variant.

    Returns
    -------
    AssessedDifference, or None where nothing was assessed or nothing is in the variant
    """
    if not recipe.assessed or number in recipe.empty:
        return None
    now = formula_of(recipe, number)
    for one in reversed(recipe.assessed):
        if not _changes(one.formula, now):
            return AssessedDifference(number, one, (), None)
    own = [one for one in recipe.assessed if one.variant == number]
    nearest = (own or recipe.assessed)[-1]
    released = next(
        (one for one in reversed(recipe.released) if not _changes(one.formula, now)), None
    )
    return AssessedDifference(number, nearest, _changes(nearest.formula, now), released)


@dataclass
class _Sum:
    """What a formula has of one ingredient, in whatever rows."""

    name: str
    percent: float
    phases: list[str]
    incis: list[str]


def _changes(was: Iterable[Part], now: Iterable[Part]) -> tuple[Change, ...]:
    before, after = _summed(was), _summed(now)
    found = (_change(before.get(key), after.get(key)) for key in dict.fromkeys([*before, *after]))
    return tuple(one for one in found if one is not None)


def _change(was: _Sum | None, now: _Sum | None) -> Change | None:
    if was is None:
        return None if now is None else Change(now.name, "new", 0.0, now.percent)
    if now is None:
        return Change(was.name, "left out", was.percent, 0.0)
    if abs(now.percent - was.percent) > SAME:
        kind = "more" if now.percent > was.percent else "less"
        return Change(now.name, kind, was.percent, now.percent)
    for kind, old, new in (("inci", was.incis, now.incis), ("moved", was.phases, now.phases)):
        if sorted(map(plain, old)) != sorted(map(plain, new)):
            words = ", ".join(old), ", ".join(new)
            return Change(now.name, kind, was.percent, now.percent, *words)
    return None


def _summed(formula: Iterable[Part]) -> dict[str, _Sum]:
    found: dict[str, _Sum] = {}
    for part in formula:
        one = found.setdefault(plain(part.name), _Sum(part.name, 0.0, [], []))
        one.percent += part.percent
        if part.phase not in one.phases:
            one.phases.append(part.phase)
        if part.inci and part.inci not in one.incis:
            one.incis.append(part.inci)
    return found
