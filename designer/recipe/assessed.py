"""A formula as it was on a day: as a person assessed it, or released a change of it."""

import re
from dataclasses import dataclass
from datetime import date

from designer.recipe.checks import (
    CellError,
    check_count,
    check_one_of,
    check_percent,
    check_text,
)
from designer.vocabulary import PHASES

__all__ = ["MOST_ASSESSED", "MOST_PARTS", "Assessed", "Part"]

MOST_PARTS = 500
MOST_ASSESSED = 200
"""Formulas that a recipe keeps, of each kind."""


@dataclass(frozen=True)
class Part:
    """An ingredient of a formula: a number in place of q.s., percent of the whole.

    Attributes
    ----------
    phase, name, inci : str
        INCI name "" where the row had none.
    percent : float
    """

    phase: str
    name: str
    inci: str
    percent: float

    def __post_init__(self) -> None:
        check_one_of("phase", self.phase, PHASES)
        check_text("name", self.name, required=True)
        check_text("inci", self.inci)
        check_percent("percent", self.percent)


@dataclass(frozen=True)
class Assessed:
    """A formula, and who stands for it.

    Attributes
    ----------
    report : str
        Number of the report of the assessment.
    name : str
        Who assessed it, or who released it.
    date : str
        The day, as "2026-11-28".
    variant : str
        Number of the variant it was taken from, which may be gone.
    formula : tuple of Part
    """

    report: str
    name: str
    date: str
    variant: str
    formula: tuple[Part, ...]

    def __post_init__(self) -> None:
        for words, what in ((self.report, "number of the report"), (self.name, "name of a person")):
            check_text("assessed", words)
            if not words.strip():
                raise CellError("assessed", f"There is no {what}.", f"Give the {what}.")
        _check_day(self.date)
        check_text("assessed", self.variant)
        if not self.formula:
            raise CellError(
                "assessed", "The formula has no ingredient.", "Freeze a variant that has some."
            )
        check_count("assessed", self.formula, MOST_PARTS)


def _check_day(text: str) -> None:
    """Raise unless a text is a day of the calendar."""
    try:
        if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            date.fromisoformat(text)
            return
    except ValueError:
        pass
    raise CellError("assessed", f'"{text[:40]}" is not a day.', "Write it as 2026-11-28.")
