"""Advice on the dough in the bowl as what a page shows: one advice large, the others below."""

from dataclasses import dataclass

from designer.advice.bowl import Advice, Answer
from designer.handbook import Handbook
from designer.wording.bowl import (
    cautions,
    chance_words,
    grams,
    made_words,
    minutes,
    refused_words,
    standing,
    steps,
    title,
)

__all__ = ["AdviceWords", "BowlWords", "bowl_words", "done_words", "next_words"]

_KEYS = {
    "press": "Shaped",
    "knead": "Knead on",
    "rest": "It rests",
    "cold": "It stands in cold water",
    "warm": "It stands in warm water",
    "add": "Added",
}


@dataclass(frozen=True)
class AdviceWords:
    """One advice: what, how, what comes of it, the recipe as made, and what its key says."""

    title: str
    steps: str
    chance: str
    made: str
    key: str


@dataclass(frozen=True)
class BowlWords:
    """All that is said of the dough: where it stands, the advice, what to mind, what not to add."""

    standing: str
    lines: tuple[AdviceWords, ...]
    cautions: tuple[str, ...]
    refused: tuple[str, ...]


def bowl_words(answer: Answer, handbook: Handbook) -> BowlWords:
    """Return what is said of a dough in the bowl."""
    told = standing(answer, handbook)
    if not answer.advice:
        told += " Nothing that could be done now is of use."
    return BowlWords(
        told,
        tuple(_line(one, answer) for one in answer.advice),
        cautions(answer, handbook),
        tuple(refused_words(one) for one in answer.refused),
    )


def _line(one: Advice, answer: Answer) -> AdviceWords:
    # What comes later does not belong into the line that is read first.
    first, _, later = title(one).partition(", then ")
    return AdviceWords(
        first,
        f"{steps(one, answer)}{f' Then {later}.' if later else ''}",
        chance_words(one, answer),
        made_words(one),
        f"{_KEYS[one.move]} {grams(one.first)}" if one.move == "add" else _KEYS[one.move],
    )


def next_words(one: Advice) -> str:
    """Return what follows once an advice is carried out, until the dough is felt again."""
    if one.move == "press":
        return "Another batch empties the bowl for the next pour."
    feel = f"feel again at {minutes(one.feel_at)}"
    if one.leave:
        return f"Leave it {minutes(one.leave)}, then knead and {feel}."
    kept = f" Keep the other {grams(one.rest)} back until then." if one.rest else ""
    return f"Knead and {feel}.{kept}"


def done_words(one: Advice) -> str:
    """Return what was done, as a step: "Added 16.5 g oat flour"."""
    if one.move == "add":
        return f"Added {grams(one.first)} {one.name}"
    return {
        "press": "Shaped",
        "knead": "Kneading on",
        "rest": "Resting",
        "cold": "Into cold water",
        "warm": "Into warm water",
    }[one.move]
