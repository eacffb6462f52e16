"""What a recipe forgives, and what makes it unsure, as the lines of a list."""

from dataclasses import dataclass

from designer.advice.forgiveness import Allowance, End, Forgiveness
from designer.advice.variance import Input, Uncertainty
from designer.wording.forgiveness import (
    GRAMS_NOTE,
    allowance_name,
    allowance_sentence,
    forgiveness_sentence,
    interval_words,
    weakest_sentences,
)
from designer.wording.uncertainty import (
    RUB_OUT_CAUTION,
    SHARES_NOTE,
    input_words,
    measurement_sentences,
    share_words,
    uncertainty_sentence,
)
from designer.wording.words import of_twenty

__all__ = ["Drift", "Share", "ToldForgiveness", "told_of"]

_MINUS = "\N{MINUS SIGN}"
_SHARES = 8
"""Shares that are told; the others hardly matter."""

_NONE = "\N{EN DASH}"
"""Said of a share that is lost among the errors of the estimate."""


@dataclass(frozen=True)
class Drift:
    """How far one thing may drift.

    Attributes
    ----------
    name, now, first, last : str
        What it is, where it stands, where its interval begins and ends.
    less, more : str
        The same ends in few words, of an ingredient as what may be missing or too much:
        "−6.0 g", "+8.0 g".
    low, high : float
        How far the ends are away, in times of what is easily missed of it; as far as was looked
        where none was met.
    ends_low, ends_high : bool
        Whether an end was met there.
    details : str
    """

    name: str
    now: str
    first: str
    last: str
    less: str
    more: str
    low: float
    high: float
    ends_low: bool
    ends_high: bool
    details: str

    @property
    def spoken(self) -> str:
        """The line for a screen reader."""
        return f"{self.name}, {self.now} now, from {self.first} to {self.last}"


@dataclass(frozen=True)
class Share:
    """One thing that is not known, and how much of the spread is its.

    Attributes
    ----------
    name : str
    share : float [1], of the firmness
    words, clean : str
        The share of the firmness, and that of whether it comes clean.
    """

    name: str
    share: float
    words: str
    clean: str

    @property
    def spoken(self) -> str:
        """The line for a screen reader."""
        parts = zip((self.words, self.clean), ("of the firmness", "of clean or not"), strict=True)
        told = (f"{'hardly any' if share == _NONE else share} {of}" for share, of in parts)
        return f"{self.name}: {', '.join(told)}"

    @property
    def details(self) -> str:
        """The same as a sentence."""
        return f"{self.spoken[:1].upper()}{self.spoken[1:]}."


@dataclass(frozen=True)
class ToldForgiveness:
    """What a variant forgives, in words.

    Attributes
    ----------
    note : str
        Beside the title.
    sentence : str
        What the intervals hold, or why there are none.
    weakest : tuple of str
        What forgives least, in sentences.
    drifts : tuple of Drift
        Weakest first; those that met no end last.
    grams_note : str
    unsure : str
        What makes the firmness most unsure; "" while that is not yet known.
    shares : tuple of Share
    worth : tuple of str
        What to measure, the most useful first.
    caution : str
        Of that work.
    shares_note : str
    """

    note: str = ""
    sentence: str = ""
    weakest: tuple[str, ...] = ()
    drifts: tuple[Drift, ...] = ()
    grams_note: str = ""
    unsure: str = ""
    shares: tuple[Share, ...] = ()
    worth: tuple[str, ...] = ()
    caution: str = ""
    shares_note: str = ""

    @property
    def rows(self) -> list[list[str]]:
        """All of it as a table, for a spreadsheet."""
        rows = [["", "now", "from", "to"]]
        rows += [[one.name, one.now, one.first, one.last] for one in self.drifts]
        if self.shares:
            rows += [[], ["share of what is not known", "of the firmness", "of clean or not"]]
            rows += [[one.name, one.words, one.clean] for one in self.shares]
        return rows


def told_of(found: Forgiveness, unsure: Uncertainty | None = None) -> ToldForgiveness:
    """Return what a variant forgives in words; what makes it unsure may come later."""
    note = "how far each may drift alone"
    sentence = forgiveness_sentence(found)
    if found.missing:
        return ToldForgiveness(note, sentence)
    ordered = sorted(found.allowances, key=lambda one: one.slack)
    shares: tuple[Share, ...] = ()
    worth: tuple[str, ...] = ()
    told = ""
    if unsure is not None:
        told = uncertainty_sentence(unsure)
        shares = tuple(_share(one) for one in unsure.inputs[:_SHARES])
        worth = measurement_sentences(unsure)
    return ToldForgiveness(
        note,
        sentence,
        weakest_sentences(found),
        tuple(_drift(one, found) for one in ordered),
        GRAMS_NOTE,
        told,
        shares,
        worth,
        RUB_OUT_CAUTION if any(one.startswith("Rub out") for one in worth) else "",
        SHARES_NOTE if shares else "",
    )


def _drift(one: Allowance, found: Forgiveness) -> Drift:
    now, first, last = (words.replace("-", _MINUS) for words in interval_words(one))
    name = allowance_name(one)
    if one.kind == "lot":
        name = f"lot of {one.name}"
    met = one.weaker is not None
    what = f"What a {name} drinks" if one.kind == "lot" else f"{name[:1].upper()}{name[1:]}"
    details = f"{what}, {now} now: from {first} to {last}."
    if met:
        needed = of_twenty(found.needed)
        details = f"{allowance_sentence(one, found.batch)} {details} Beyond it fewer than {needed} "
        details += "of 20 come clean."
    return Drift(
        name,
        now,
        first,
        last,
        _short(one, one.low, first),
        _short(one, one.high, last),
        one.slips_to(one.low),
        one.slips_to(one.high),
        one.low.value is not None,
        one.high.value is not None,
        details,
    )


def _short(one: Allowance, end: End, words: str) -> str:
    """Return an end in few words."""
    low = end is one.low
    if one.dosed and low:
        return "as dosed"
    if one.kind == "condition":
        if end.value is None and words.endswith((" and less", " and more")):
            return "any less" if low else "any more"
        return words
    if end.value is None:
        return "any less" if low else "any more"
    change = end.value - one.at
    if one.kind == "lot":
        return f"{100 * change:+.0f} %".replace("-", _MINUS)
    grams = 1000 * change
    digits = 0 if abs(grams) >= 99.5 else 1
    return f"{grams:+.{digits}f} g".replace("-", _MINUS)


def _share(one: Input) -> Share:
    firmness, clean = (share_words(share) for share in (one.total, one.clean_total))
    return Share(
        input_words(one), one.total, firmness.replace("-", _NONE), clean.replace("-", _NONE)
    )
