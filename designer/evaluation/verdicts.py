"""One row of the checks: what was looked at, figure, limit, where it is from, verdict."""

from dataclasses import dataclass
from decimal import Decimal

from designer.evaluation.composition import Amount

__all__ = ["CLOSE", "CLOSE_FROM", "MEASURE", "NOT_CHECKED", "OVER", "VERDICTS", "WITHIN", "Check"]

WITHIN, CLOSE, OVER = "within", "close", "over"
MEASURE, NOT_CHECKED = "cannot tell: measure", "not checked"
VERDICTS = (OVER, MEASURE, CLOSE, NOT_CHECKED, WITHIN)
"""In the order they are shown: what needs a hand first."""

CLOSE_FROM = Decimal("0.9")
"""Share of a limit from which an amount is close to it; own choice."""


@dataclass(frozen=True)
class Check:
    """One check.

    Attributes
    ----------
    code : str
        What kind of check, lower case with underscores.
    subject : str
        What it is about: an INCI name, a group, a material, or "" for the whole bar.
    verdict : str
        One of `VERDICTS`.
    amount : Amount or None
        The figure with its range, in `unit`.
    unit : str
        "%" of the bar in the terms of `basis`, "1", "°C" or "".
    basis : str
        What the figure counts, as "as acid".
    limit : Decimal or None
        In `unit`.
    is_law : bool
        Whether a limit of the market is broken where the verdict is "over".
    note : str
        What the source adds, or what was found.
    materials : tuple of str
        Names of the materials it comes from.
    source, standing, evidence, as_of : str
        Where the limit is from, what was read of it, its mark, the day it was written down.
    """

    code: str
    subject: str
    verdict: str
    amount: Amount | None = None
    unit: str = ""
    basis: str = ""
    limit: Decimal | None = None
    is_law: bool = False
    note: str = ""
    materials: tuple[str, ...] = ()
    source: str = ""
    standing: str = ""
    evidence: str = ""
    as_of: str = ""

    @property
    def is_broken(self) -> bool:
        """Whether it breaks a limit of the market."""
        return self.is_law and self.verdict == OVER
