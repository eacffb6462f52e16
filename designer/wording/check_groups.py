"""Checks in groups, by what they are about, as the page shows them."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from designer.evaluation.verdicts import NOT_CHECKED, OVER, VERDICTS, Check
from designer.wording.checks import CheckLine, check_line

__all__ = ["COLUMNS", "FILTERS", "GROUPS", "CheckRow", "arranged", "check_rows", "fits", "table"]

GROUPS: dict[str, tuple[str, ...]] = {
    "Limits of the market": (
        *("limit", "group_limit", "prohibited", "opinion", "information", "drug", "certificate"),
        *("no_number", "exclusive", "no_table", "no_inci", "unlisted"),
    ),
    "What keeps it": (
        *("no_preservative", "acid_form", "efficacy", "slurry_ph", "water_activity"),
        *("releaser", "benzoate_ascorbic"),
    ),
    "Charge": ("charge", "cationic_polymer"),
    "Materials": (
        *("allergen_data", "allergen_may", "essential_oil", "peroxide", "stain", "lot", "dioxane"),
        *("nitrosamine", "origin", "origin_ask", "children", "eyes", "acid_carbonate"),
        "acid_clay",
    ),
    "Work": ("heat", "dust", "dust_fire", "hot_melt", "press"),
    "Not looked at by this program": ("unchecked",),
}
"""By their head, the codes of the checks below it."""

_GROUP_OF = {code: group for group, codes in GROUPS.items() for code in codes}

FILTERS: dict[str, str] = {
    "all": "all",
    "needs": "over, close or to measure",
    "over": "over",
    "not": "not checked",
}
"""What may be shown, by its name, and the word for it."""

COLUMNS = ("What", "Value", "Limit", "Verdict", "Source")
"""Heads of the table."""


@dataclass(frozen=True)
class CheckRow:
    """One check as a row.

    Attributes
    ----------
    group : str
        Key of `GROUPS`.
    line : CheckLine
    verdict : str
        One of `VERDICTS`.
    basis : str
        What the figure counts.
    evidence : str
        How well the limit is known, in a word.
    materials : tuple of str
    """

    group: str
    line: CheckLine
    verdict: str
    basis: str
    evidence: str
    materials: tuple[str, ...]

    @property
    def value(self) -> str:
        """The figure with its interval, without what it counts."""
        figure = self.line.figure.removesuffix(self.basis).strip()
        ends = self.line.interval.replace(" to ", "\N{EN DASH}")
        return f"{figure} ({ends})" if ends else figure

    @property
    def verdict_words(self) -> str:
        """The verdict, told apart where it breaks a limit of the market."""
        return "over a limit" if self.line.is_broken else self.verdict

    @property
    def source(self) -> str:
        """Where the limit is from, with its mark and date."""
        return f"{self.evidence}: {self.line.source}" if self.line.source else ""

    @property
    def cells(self) -> tuple[str, ...]:
        """All columns as text."""
        limit = self.line.limit.removeprefix("no more than ")
        return self.line.title, self.value, limit, self.verdict_words, self.source

    @property
    def spoken(self) -> str:
        """The row read aloud."""
        return ", ".join(filter(None, (self.line.spoken, self.line.interval, self.line.limit)))


def check_rows(found: Iterable[Check]) -> tuple[CheckRow, ...]:
    """Return checks as rows, in their order."""
    checks = tuple(found)
    lines = [check_line(one) for one in checks]
    counted = Counter(line.title for line in lines)
    return tuple(
        CheckRow(
            _GROUP_OF.get(one.code, "Materials"),
            # Two rules on one substance count it otherwise, as acid or as such.
            replace(line, title=f"{line.title}, {one.basis}")
            if counted[line.title] > 1 and one.basis
            else line,
            one.verdict,
            one.basis,
            one.evidence,
            one.materials,
        )
        for one, line in zip(checks, lines, strict=True)
    )


def arranged(
    rows: Iterable[CheckRow], by_verdict: bool = False, shown: str = "all"
) -> tuple[tuple[str, tuple[CheckRow, ...]], ...]:
    """Return rows under their heads: groups, or verdicts; what is empty is left out.

    Parameters
    ----------
    rows : iterable of CheckRow
    by_verdict : bool
    shown : str
        Key of `FILTERS`.
    """
    kept = [row for row in rows if fits(row, shown)]
    if not by_verdict:
        heads = [(head, head) for head in GROUPS]
        key = [row.group for row in kept]
    else:
        words = ["over a limit", *VERDICTS, "unchecked"]
        heads = [(word, _head_of(word)) for word in words]
        key = ["unchecked" if r.line.code == "unchecked" else r.verdict_words for r in kept]
    made = (
        (head, tuple(row for row, one in zip(kept, key, strict=True) if one == word))
        for word, head in heads
    )
    return tuple((head, found) for head, found in made if found)


def _head_of(verdict: str) -> str:
    words = {"over a limit": "Over a limit of the market", OVER: "Over another line"}
    words["unchecked"] = "Not looked at by this program"
    return words.get(verdict, f"{verdict[:1].upper()}{verdict[1:]}")


def fits(row: CheckRow, shown: str) -> bool:
    """Return whether a row is shown under a filter."""
    if shown == "over":
        return row.verdict == OVER
    if shown == "not":
        return row.verdict == NOT_CHECKED
    return shown == "all" or row.verdict not in (NOT_CHECKED, "within")


def table(rows: Iterable[CheckRow], market: str) -> tuple[tuple[str, ...], ...]:
    """Return rows as a table with a head, in full: as it is copied and written."""
    head = ("Market", "Group", *COLUMNS, "Counts", "Note", "Materials")
    body = (
        (market, row.group, *row.cells, row.basis, row.line.note, "; ".join(row.materials))
        for row in rows
    )
    return (head, *body)
