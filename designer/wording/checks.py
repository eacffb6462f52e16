"""Checks as people read them: what, figure, limit, verdict, where from, and what was left out."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from designer.evaluation.composition import Amount
from designer.evaluation.net_content import plain_figure
from designer.evaluation.verdicts import CLOSE, MEASURE, NOT_CHECKED, OVER, VERDICTS, Check
from designer.handbook.law import Law

__all__ = [
    "DISCLAIMER",
    "MARKET_NAMES",
    "STANDING_WORDS",
    "CheckLine",
    "check_line",
    "check_lines",
    "day_words",
    "figure",
    "summary",
]

DISCLAIMER = (
    "This page works out numbers from tables that can be wrong or out of date. It is not legal, "
    "medical or safety advice and does not replace a safety assessment, laboratory tests, or the "
    "rules where you make and sell. Where they differ, follow your local law and the advice of a "
    "qualified assessor. A value marked as from memory has not been checked against the law in "
    "force."
)

MARKET_NAMES = {
    "EU": "European Union",
    "UK": "Great Britain",
    "US": "United States",
    "CA": "Canada",
}

STANDING_WORDS = {
    "current": "text in force read",
    "secondary": "a page about it read, not the text itself",
    "predecessor": "older text read; the number is believed to hold on: verify",
    "memory": "from memory: verify",
    "": "",
}

_TITLES = {
    "group_limit": "All {subject} together",
    "prohibited": "{subject}, prohibited",
    "opinion": "{subject}, opinion of a committee",
    "information": "{subject}, survey figure and no limit",
    "drug": "{subject}, a drug where a claim is made",
    "certificate": "{subject}: ask for its certificate",
    "no_number": "{subject}, a rule without a number",
    "exclusive": "{subject} beside the mixture that holds it",
    "no_table": "Rules of this market",
    "no_inci": "{subject}, without an INCI name",
    "unlisted": "{subject}, not in the handbook",
    "charge": "Charge: {subject}",
    "cationic_polymer": "Cationic polymer: {subject}",
    "heat": "Heat on {subject}",
    "acid_carbonate": "Gas: {subject}",
    "acid_clay": "Gas from clay: {subject}",
    "benzoate_ascorbic": "Benzene: {subject}",
    "nitrosamine": "Nitrosamines: {subject}",
    "releaser": "Formaldehyde from {subject}",
    "allergen_data": "Fragrance allergens of {subject}",
    "allergen_may": "Fragrance allergens near their threshold: {subject}",
    "essential_oil": "Essential oil: {subject}",
    "peroxide": "Oil that ages: {subject}",
    "stain": "Colour: {subject}",
    "lot": "Certificate per lot: {subject}",
    "dioxane": "1,4-dioxane: {subject}",
    "origin": "Origin {subject}",
    "origin_ask": "Origin of {subject}",
    "children": "Children: {subject}",
    "eyes": "Eyes: {subject}",
    "efficacy": "Whether it keeps with {subject}",
    "no_preservative": "No preservative recognised",
    "acid_form": "{subject} in the form that preserves",
    "slurry_ph": "pH of the 10 % slurry",
    "water_activity": "Water activity",
    "dust": "Irritant dust: {subject}",
    "dust_fire": "Dust that can burn: {subject}",
    "hot_melt": "Hot melt",
    "press": "Press",
    "unchecked": "{subject}",
}
"""By code, what a check is called."""

_GROUPS = {
    "benzoates": "benzoates",
    "propionates": "propionates",
    "salicylates": "salicylates",
    "sorbates": "sorbates",
    "dehydroacetates": "dehydroacetates",
    "parabens_total": "parabens",
    "parabens_propyl_butyl": "propyl- and butylparaben",
    "trimonium_16_18": "Cetrimonium and Steartrimonium Chloride",
    "trimonium_16_18_22": "Cetrimonium, Steartrimonium and Behentrimonium Chloride",
    "soluble_zinc": "water-soluble zinc salts",
}
"""What the sums of the tables are called."""

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


@dataclass(frozen=True)
class CheckLine:
    """One check as people read it.

    Attributes
    ----------
    code, title, verdict : str
    figure, interval, limit : str
        With unit; "" where there is none.
    note : str
        What was found, and what to do.
    source : str
        Where the limit is from, what was read of it, the day of the row.
    is_broken : bool
    """

    code: str
    title: str
    verdict: str
    figure: str
    interval: str
    limit: str
    note: str
    source: str
    is_broken: bool

    @property
    def spoken(self) -> str:
        """The line read aloud."""
        told = f"{self.title}: {self.verdict}"
        return f"{told}, {self.figure}" if self.figure else told


def check_lines(found: Iterable[Check]) -> tuple[CheckLine, ...]:
    """Return checks as lines, in their order."""
    return tuple(check_line(one) for one in found)


def check_line(one: Check) -> CheckLine:
    """Return a check as a line."""
    figure = interval = ""
    if one.amount is not None:
        figure = " ".join(filter(None, (_with_unit(one.amount.typical, one), one.basis)))
        interval = _interval(one.amount, one)
    subject = _GROUPS.get(one.subject, one.subject)
    title = _TITLES.get(one.code, "{subject}").format(subject=subject)
    return CheckLine(
        one.code,
        title if title.startswith("pH") else title[:1].upper() + title[1:],
        one.verdict,
        figure,
        interval,
        "" if one.limit is None else _limit(one),
        _sentence(one.note),
        _source(one),
        one.is_broken,
    )


def _limit(one: Check) -> str:
    # What forbids nothing is a line: a survey's figure may be passed, and the verdict says close.
    is_line = one.code in ("acid_form", "water_activity", "information")
    words = "line at" if is_line else "no more than"
    if one.code == "prohibited":
        return "none"
    return f"{words} {_with_unit(one.limit or Decimal(0), one)}"


def _sentence(note: str) -> str:
    """Return a note as a sentence."""
    if not note:
        return ""
    told = note[:1].upper() + note[1:]
    return told if told.endswith((".", '"')) else f"{told}."


def _source(one: Check) -> str:
    standing = STANDING_WORDS[one.standing]
    if not standing and one.evidence in ("memory", "estimate") and "memory" not in one.source:
        standing = "own estimate" if one.evidence == "estimate" else "from memory: verify"
    told = "; ".join(filter(None, (one.source, standing)))
    return f"{told}; table of {day_words(one.as_of)}" if told else ""


def day_words(day: str) -> str:
    """Return a day "2026-11-28" as people write it: "28 November 2026"."""
    year, month, number = day.split("-")
    return f"{int(number)} {_MONTHS[int(month) - 1]} {year}"


def figure(value: Decimal) -> str:
    """Return a figure to the three digits that a composition bears."""
    size = abs(value)
    if 0 < size < Decimal("0.01"):
        return f"{value:.2g}" if size >= Decimal("1e-4") else f"{value:.1e}"
    places = 0 if size >= 100 else 1 if size >= 10 else 2 if size >= 1 else 3
    return plain_figure(value.quantize(Decimal(1).scaleb(-places)))


_PLACES = {"slurry_ph": 1, "water_activity": 2, "acid_form": 0, "charge": 2, "heat": 0, "eyes": 0}
"""Decimals of what is known to fewer digits, by code."""


def _told(value: Decimal, one: Check) -> str:
    places = _PLACES.get(one.code)
    return figure(value) if places is None else f"{value:.{places}f}"


def _with_unit(value: Decimal, one: Check) -> str:
    told = _told(value, one)
    return told if one.unit in ("", "1") else f"{told} {one.unit}"


def _interval(amount: Amount, one: Check) -> str:
    low, high = _told(amount.low, one), _told(amount.high, one)
    return "" if low == high else f"{low} to {high}"


def summary(found: Iterable[Check], market: str, law: Law) -> str:
    """Return what the checks come to, in a few sentences that promise nothing."""
    every = [one for one in found if one.code != "unchecked"]
    broken = [one for one in every if one.is_broken]
    counts = {word: sum(one.verdict == word for one in every) for word in VERDICTS}
    counts[OVER] -= len(broken)
    name, day = MARKET_NAMES[market], day_words(law.as_of)
    if broken:
        names = ", ".join(dict.fromkeys(_GROUPS.get(one.subject, one.subject) for one in broken))
        start = f"Over a limit of the {name}: {names}."
        if market == "UK":
            start = f"Over a limit of {name}: {names}."
    elif any(one.is_law for one in every):
        start = f"Of the limits in the tables of {day} for this market none is broken."
    else:
        start = f"No limit in the tables of {day} for this market was met by what is in the bar."
    told = [
        f"{counts[word]} {said}"
        for word, said in (
            (OVER, "over another line"),
            (MEASURE, "to measure or ask for"),
            (CLOSE, "close"),
            (NOT_CHECKED, "not checked"),
        )
        if counts[word]
    ]
    rest = f" Further: {', '.join(told)}." if told else ""
    end = " That says nothing of what was not checked: see the end of the list."
    return f"{start}{_keeping_words(every)}{rest}{end}"


def _keeping_words(found: list[Check]) -> str:
    """Return what must stand beside any sum of checks: that nothing, or little, preserves."""
    codes = {(one.code, one.verdict) for one in found}
    if any(code == "no_preservative" for code, _ in codes):
        return " No preservative was recognised."
    helped = any(one.code == "acid_form" and "not the only" in one.note for one in found)
    if ("acid_form", OVER) in codes and not helped:
        return " Its preservative is weak as it stands."
    if ("acid_form", CLOSE) in codes and not helped:
        return " Its preservative may be weak: measure the pH of the slurry."
    return ""
