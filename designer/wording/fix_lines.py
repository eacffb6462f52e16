"""Fixes as the lines of a list, and the wishes a list may be asked for."""

from dataclasses import dataclass

from designer.advice.fix import Fix, Fixes
from designer.advice.wishes import CLEAN, Wish
from designer.recipe import Bench
from designer.wording.fixes import (
    course_words,
    effect_words,
    moved,
    reached_words,
    title,
    verdict,
    wish_words,
)
from designer.wording.words import window_words

__all__ = ["FixWords", "Told", "told_of", "wishes_of"]

_MINUTES = (5, 10, 15)
_BARS = (8, 24, 48)
_MELT = (0.02, 0.04)
"""What is offered to choose from; the command line takes any."""


@dataclass(frozen=True)
class FixWords:
    """One fix in words.

    Attributes
    ----------
    parts : tuple of (name, figure), of each row that moves: ("cocoa butter", "−1.7 %")
    course : how the dough goes: "sticky at 5, pliable at 10 min"
    reached : what the wish gets: "14 of 20"
    state : of the dough at the knead
    effect : what else it does, to the active surfactant and the water
    """

    parts: tuple[tuple[str, str], ...]
    course: str
    reached: str
    state: str
    effect: str

    @property
    def moves(self) -> str:
        """What moves, in percent of the dough: "cocoa butter −1.7 %, oat flour +1.7 %"."""
        return ", ".join(f"{name} {figure}" for name, figure in self.parts)


@dataclass(frozen=True)
class Told:
    """A list of fixes in words.

    Attributes
    ----------
    lines : tuple of FixWords
    note : what the list is, beside its title
    verdict : whether a fix is needed and found, and if not, what stops it
    is_needed : whether the wish is missed
    """

    lines: tuple[FixWords, ...] = ()
    note: str = ""
    verdict: str = ""
    is_needed: bool = False


def told_of(answer: Fixes) -> Told:
    """Return a list of fixes in words."""
    lines = tuple(_line(fix, answer.wish) for fix in answer.fixes)
    note = title(answer).replace("smallest change that reaches", "to reach") if lines else ""
    if note and answer.wish != CLEAN:
        note = f"{wish_words(answer.wish)}, {note}"
    return Told(lines, note, verdict(answer), answer.status != "met")


def _line(fix: Fix, wish: Wish) -> FixWords:
    # In a list the unit is said once: "sticky at 5, pliable at 10 min".
    course = course_words(fix).replace(" min,", ",")
    # With the unit, for names may end in a figure: "CAPB 30 % −2.1 %".
    parts = tuple((name, f"{figure}\N{NO-BREAK SPACE}%") for name, figure in moved(fix))
    return FixWords(parts, course, reached_words(fix, wish), fix.state, effect_words(fix))


def wishes_of(bench: Bench) -> tuple[tuple[str, Wish], ...]:
    """Return what may be wished of a dough under conditions, each with its words; usual first."""
    bars = sorted({*_BARS, *([bench.bars] if bench.bars else [])})
    wishes = [
        *(Wish("clean-by", by=60.0 * minutes) for minutes in _MINUTES),
        *(Wish("bars", bars=count) for count in bars if count <= 1000),
        Wish("firmer"),
        *(Wish("less-melt", melt=melt) for melt in _MELT),
    ]
    usual = (f"{wish_words(CLEAN)} within {window_words(bench.knead)}", CLEAN)
    return usual, *((wish_words(wish), wish) for wish in wishes)
