"""Swaps as the lines of a list: what goes in, what becomes of the dough, in few words."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from designer.advice.offers import Figures, Move, Offer, Swaps
from designer.recipe import Swap
from designer.wording.lines import kpa
from designer.wording.swap_papers import papers_in_short
from designer.wording.swaps import (
    FELT,
    effect_words,
    offer_words,
    refused_words,
    remarks,
    verdict,
)
from designer.wording.words import of_twenty

__all__ = ["SwapWords", "ToldSwaps", "kept_as_words", "kept_line", "told_of"]

_MINUS = "\N{MINUS SIGN}"

_TO_COME = "Limits and label are being looked up …"


@dataclass(frozen=True)
class SwapWords:
    """One stand-in, or one that is none, in words.

    Attributes
    ----------
    parts : tuple of (name, figure)
        What goes in and what moves beside it: ("kokum butter", "3.40"), ("water", "−0.30").
    state : str
        Of the dough at the knead, "" where there is no forecast.
    reached : str
        "14 of 20", or "no forecast".
    was : str
        The chance before, "was 17", where it is told as another.
    rest : str
        What else moves, in few words, and wishes of which the tables cannot tell.
    why_not : str
        Why it is no stand-in, "" for one that is.
    details : str
        All of it in sentences.
    """

    parts: tuple[tuple[str, str], ...]
    state: str = ""
    reached: str = ""
    was: str = ""
    rest: str = ""
    why_not: str = ""
    details: str = ""

    @property
    def moves(self) -> str:
        """What goes in: "kokum butter 3.40, sunflower oil 0.62"."""
        return ", ".join(f"{name} {figure}".strip() for name, figure in self.parts)

    @property
    def spoken(self) -> str:
        """The whole line for a screen reader."""
        if self.why_not:
            return f"{self.moves}: no stand-in, {self.why_not}"
        told = ", ".join(part for part in (self.reached, self.was, self.rest) if part)
        return f"{self.moves}: {told}"


@dataclass(frozen=True)
class ToldSwaps:
    """A list of swaps in words.

    Attributes
    ----------
    lines : tuple of SwapWords
        In the order of the answer: stand-ins first.
    note : str
        What is swapped, beside the title.
    verdict : str
        How many stand in, or why none does.
    """

    lines: tuple[SwapWords, ...] = ()
    note: str = ""
    verdict: str = ""


def told_of(answer: Swaps, is_first: bool = False) -> ToldSwaps:
    """Return a list of swaps in words; `is_first` says that limits and label are still to come."""
    lines = tuple(_line(one, is_first) for one in answer.every)
    note = f"for {answer.name}"
    if answer.every:
        first = answer.every[0]
        note += f", {first.moves[0].before:.2f} %"
        if answer.request.half:
            note += f", {first.stays:.2f} stays"
    if answer.before.chance is not None:
        note += f"; {of_twenty(answer.before.chance)} of 20 now"
    return ToldSwaps(lines, note, verdict(answer))


def kept_as_words(swap: Swap) -> str:
    """Return when a swap was kept as allowed, and what was predicted then."""
    told = "kept"
    if swap.date:
        try:
            on = date.fromisoformat(swap.date)
            told += f" on {on.day} {on:%b %Y}"
        except ValueError:  # the maker wrote it in another way
            told += f" on {swap.date}"
    if swap.chance is not None:
        told += f", {of_twenty(swap.chance)} of 20 then"
    return told


def kept_line(swap: Swap) -> SwapWords:
    """Return a kept swap that is not among the stand-ins found now."""
    parts = [(swap.name, f"{swap.percent:.2f}")]
    parts += [(name, f"+{amount:.2f}") for name, amount in swap.alongside]
    parts += [(name, f"{_MINUS}{amount:.2f}") for name, amount in swap.less]
    told = kept_as_words(swap)
    return SwapWords(
        tuple(parts),
        rest=told,
        details=f"{told[:1].upper()}{told[1:]}; it is not among the stand-ins found now.",
    )


def _line(offer: Offer, is_first: bool) -> SwapWords:
    if offer.refused is not None:
        why_not = refused_words(offer)
        return SwapWords(
            ((offer.name, ""),),
            why_not=why_not,
            details=f"No stand-in: {why_not}",
        )
    before, after = offer.before, offer.after
    reached, was = "no forecast", ""
    if after.chance is not None:
        reached = f"{of_twenty(after.chance)} of 20"
        if before.chance is not None and of_twenty(before.chance) != of_twenty(after.chance):
            was = f"was {of_twenty(before.chance)}"
    unsure = [f"{one.wish}: cannot tell" for one in offer.broken if not one.is_sure]
    parts = [(offer.name, f"{offer.percent:.2f}"), *(_part(one) for one in offer.alongside)]
    said = [f"{offer_words(offer)}: {effect_words(offer)}.", *remarks(offer)]
    if is_first:
        said.append(_TO_COME)
    return SwapWords(
        tuple(parts),
        "" if after.chance is None else after.state,
        reached,
        was,
        ", ".join(
            [*papers_in_short(offer.papers), *dict.fromkeys(unsure), *_changes(before, after)]
        ),
        details=" ".join(said),
    )


def _part(move: Move) -> tuple[str, str]:
    if move.before == 0:
        return move.name, f"{move.after:.2f}"
    return move.name, _signed(move.change, 2)


def _changes(before: Figures, after: Figures) -> Iterator[str]:
    """Yield by how much figures change, those that a hand or a scale would notice."""
    if after.state != before.state:
        yield f"{after.state}, was {before.state}"
    for name, first, last, unit in (
        ("dough", before.temperature, after.temperature, "°C"),
        ("melt", 100 * before.melt, 100 * after.melt, "%"),
        ("water", 100 * before.water, 100 * after.water, "%"),
    ):
        if abs(last - first) >= FELT:
            yield f"{name} {_signed(last - first, 1)} {unit}"
    if abs(math.log(after.firmness / before.firmness)) >= math.log(1.1):
        yield f"bar {kpa(after.firmness)} kPa"
    charges, changed = dict(before.by_charge), dict(after.by_charge)
    for charge in dict.fromkeys((*charges, *changed)):
        change = 100 * (changed.get(charge, 0.0) - charges.get(charge, 0.0))
        if abs(change) >= FELT:
            yield f"{charge} {_signed(change, 1)} %"


def _signed(value: float, digits: int) -> str:
    return f"{value:+.{digits}f}".replace("-", _MINUS)
