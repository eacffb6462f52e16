"""The dough in the bowl: when it was poured, what was felt, done and added, each a step to undo."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand

from designer.errors import ReadableError
from designer.recipe import Recipe

if TYPE_CHECKING:
    from designer.advice.bowl import Addition, Advice, Answer, Felt, InBowl, Noted, Rod
    from designer.document.document import Document
    from designer.evaluation.worked import Stretch

__all__ = ["Bowl", "Done", "InHand"]

_STILL_NOW = 120.0
"""Time [s] within which a temperature still is that of the dough as it was felt; own choice."""

_SAME_TOUCH = 30.0
"""Time [s] within which another word for what is felt replaces the first: a slip of the finger."""


@dataclass(frozen=True)
class Done:
    """Something that was done with the dough, at an age [s], in words."""

    age: float
    words: str


@dataclass(frozen=True)
class InHand:
    """All that is known of the dough in the bowl.

    Attributes
    ----------
    poured : float or None [s]
        When melt and powder met, by the clock of the machine; None before.
    recipe : Recipe or None
        As it was at the pour.
    variant : int
    batch : float [kg]
    marks : tuple of (str, float)
        What is done with the dough from an age [s] on: "knead", "rest", "cold" or "warm".
    noted, additions : as in `advice.bowl.InBowl`
    temperature : float or None [K]
        Measured when the dough was last felt.
    at_hand : tuple of str
    following : Advice or None
        What is being done, until the dough is felt again.
    made : Recipe or None
        The recipe with what was added, as a variant of its own.
    log : tuple of Done
    """

    poured: float | None = None
    recipe: Recipe | None = None
    variant: int = 0
    batch: float = 0.0
    marks: tuple[tuple[str, float], ...] = (("knead", 0.0),)
    noted: tuple[Noted, ...] = ()
    additions: tuple[Addition, ...] = ()
    temperature: float | None = None
    at_hand: tuple[str, ...] = ()
    following: Advice | None = None
    made: Recipe | None = field(default=None, repr=False)
    log: tuple[Done, ...] = ()

    @property
    def mass(self) -> float:
        """What is in the bowl [kg]."""
        return self.batch + sum(one.mass for one in self.additions)


class _Step(QUndoCommand):
    """One step of work with the dough."""

    def __init__(self, bowl: Bowl, text: str, after: InHand) -> None:
        super().__init__(text)
        self._bowl, self._before, self._after = bowl, bowl.now, after

    def redo(self) -> None:
        self._bowl.show(self._after)

    def undo(self) -> None:
        self._bowl.show(self._before)


class Bowl(QObject):
    """The dough in the bowl of a document.

    Parameters
    ----------
    document : Document
    clock : callable
        The time now [s]; the machine's if not given.

    Signals
    -------
    changed()
    """

    changed = Signal()

    def __init__(self, document: Document, clock: Callable[[], float] = time.time) -> None:
        super().__init__(document)
        self._document = document
        self.clock = clock
        self._now = InHand()

    @property
    def now(self) -> InHand:
        """What is known of it."""
        return self._now

    @property
    def age(self) -> float:
        """Time since the pour [s]; 0 before."""
        poured = self._now.poured
        return 0.0 if poured is None else max(0.0, self.clock() - poured)

    def show(self, state: InHand) -> None:
        """Show a state; for undo steps alone."""
        self._now = state
        self.changed.emit()

    # --- what is done

    def pour(self, ago: float = 0.0) -> None:
        """Melt and powder met, so long ago [s]: the active variant is in the bowl.

        Raises
        ------
        ReadableError
            A dough is in the bowl, or the variant holds nothing.
        """
        recipe = self._document.recipe
        if self._now.poured is not None:
            # A slip of a gloved finger must not forget what was felt and added.
            raise ReadableError(
                "Pour", "There is a dough in the bowl.", "Press Another batch before the next pour."
            )
        if recipe.active.number in recipe.empty:
            raise ReadableError(
                "Pour", "The variant in use holds nothing.", "Type its percentages first."
            )
        state = InHand(
            poured=self.clock() - ago,
            recipe=recipe,
            variant=recipe.numbers.index(recipe.active.number),
            batch=self._now.batch or recipe.bench.batch_mass,
            at_hand=self._now.at_hand,
            log=(Done(0.0, "Poured"),),
        )
        self._push("Poured", state)

    def correct(self, ago: float) -> None:
        """The pour was so long ago [s]; what was felt keeps its place on the clock.

        Raises
        ------
        ReadableError
            Something was felt or added before that.
        """
        state = self._now
        if state.poured is None:
            self.pour(ago)
            return
        later = self.clock() - ago - state.poured
        ages = [one.age for one in state.noted] + [one.age for one in state.additions]
        if any(age < later for age in ages):
            raise ReadableError(
                "Pour", "Something was felt or added before that.", "Type more minutes."
            )
        following = state.following
        if following is not None:
            following = replace(following, feel_at=following.feel_at - later)
        moved = replace(
            state,
            following=following,
            poured=state.poured + later,
            noted=tuple(replace(one, age=one.age - later) for one in state.noted),
            additions=tuple(replace(one, age=one.age - later) for one in state.additions),
            marks=tuple((move, _moved(age, later)) for move, age in state.marks),
            log=tuple(replace(one, age=_moved(one.age, later)) for one in state.log),
        )
        self._push("Time of the pour", moved)

    def empty(self) -> None:
        """The bowl is empty again: another batch may be poured, of the recipe as it was meant."""
        state, document = self._now, self._document
        if state.poured is None:
            return
        number = "" if state.recipe is None else state.recipe.numbers[state.variant]
        stack = document.undo_stack
        stack.beginMacro("Another batch")
        self._push("Another batch", InHand(at_hand=state.at_hand))
        if state.made is not None and document.recipe == state.made:
            # What was added was for that dough; it stays as a variant beside.
            document.edit("Another batch", document.recipe.use_variant(number))
        stack.endMacro()

    def weigh(self, batch: float) -> None:
        """So much dough was made [kg], before any addition."""
        if batch != self._now.batch:
            self._push("Batch in the bowl", replace(self._now, batch=batch))

    def have_at_hand(self, names: tuple[str, ...]) -> None:
        """These powders and liquids could be added too, by their common names."""
        if names != self._now.at_hand:
            self._push("At hand", replace(self._now, at_hand=names))

    def find(self, finding: Felt | Rod, words: str, temperature: float | None = None) -> None:
        """The dough was felt, or read by the rod, just now.

        Raises
        ------
        ReadableError
            Nothing was poured yet.
        """
        from designer.advice.bowl import Noted

        state = self._now
        if state.poured is None:
            raise ReadableError(
                "What you feel",
                "There is no dough before melt and powder have met.",
                "Press Poured first.",
            )
        age, noted, log = self.age, state.noted, state.log
        if noted and age - noted[-1].age < _SAME_TOUCH and not self._acted_since(noted[-1].age):
            age, noted, log = noted[-1].age, noted[:-1], log[:-1]
        self._push(
            f"Felt: {words}",
            replace(
                state,
                noted=(*noted, Noted(age, finding)),
                marks=_until(state.marks, age),
                temperature=temperature,
                following=None,
                log=(*log, Done(age, f"Felt: {words}")),
            ),
        )

    @property
    def can_measure(self) -> bool:
        """Whether a temperature taken now belongs to what was felt last: little time has passed."""
        state = self._now
        felt = bool(state.noted) and state.following is None
        return felt and self.age - state.noted[-1].age <= _STILL_NOW

    def measure(self, temperature: float) -> None:
        """The dough was so warm [K] when it was felt last."""
        if temperature != self._now.temperature:
            self._push("Dough temperature", replace(self._now, temperature=temperature))

    def follow(self, answer: Answer, advice: Advice, words: str) -> None:
        """What was advised is done now: the first amount is added, or the dough is left.

        The recipe gets what is in the bowl as a variant, unless it was changed since the pour or
        has no room for one more. Weighing takes its time: what is to be kneaded from now on is felt
        so much later.
        """
        from designer.advice.bowl import Addition

        state, age = self._now, self.age
        if advice.leave or advice.move == "add":
            advice = replace(advice, feel_at=advice.feel_at + age - answer.question.age)
        marks, additions = state.marks, state.additions
        if advice.leave:
            marks = (*_until(marks, age), (advice.move, age), ("knead", age + advice.leave))
        if advice.move == "add":
            phase = "powder" if advice.is_powder else "liquid"
            additions = (*additions, Addition(advice.name, phase, advice.first, age))
        made = state.made if advice.made_first is None else advice.made_first.recipe
        after = replace(
            state,
            marks=marks,
            additions=additions,
            temperature=None,
            following=advice,
            made=made,
            log=(*state.log, Done(age, words)),
        )
        now = self._document.recipe
        is_as_poured = now == (state.made or state.recipe)
        if made is not None and made is not state.made and is_as_poured and _holds(made, now):
            stack = self._document.undo_stack
            stack.beginMacro(words)
            self._push(words, after)
            self._document.edit(words, made)
            stack.endMacro()
        else:
            self._push(words, after)

    @property
    def is_kept(self) -> bool:
        """Whether what was made is in the recipe, or nothing was added."""
        made = self._now.made
        return made is None or self._document.recipe == made

    def question(self) -> InBowl | None:
        """Return what to ask advice about: the dough when it was last felt; None before."""
        from designer.advice.bowl import InBowl

        state = self._now
        if state.recipe is None or not state.noted or state.following is not None:
            return None
        age = state.noted[-1].age
        return InBowl(
            state.recipe,
            state.variant,
            state.batch,
            age,
            _stretches(state.marks, age),
            state.noted,
            state.additions,
            state.temperature,
            state.at_hand,
        )

    def _acted_since(self, age: float) -> bool:
        state = self._now
        return state.following is not None or any(one.age > age for one in state.additions)

    def _push(self, text: str, after: InHand) -> None:
        self._document.undo_stack.push(_Step(self, text, after))


def _holds(made: Recipe, recipe: Recipe) -> bool:
    """Return whether a recipe as made has all variants of another: none may be lost for it."""
    return set(recipe.numbers) <= set(made.numbers)


def _moved(age: float, later: float) -> float:
    """Return an age [s] when the pour was so much later [s]; what began with it still does."""
    return max(0.0, age - later) if age > 0 else 0.0


def _until(marks: tuple[tuple[str, float], ...], age: float) -> tuple[tuple[str, float], ...]:
    """Return what was done until an age; what was meant to follow is left out, kneading goes on."""
    kept = tuple((move, start) for move, start in marks if start <= age)
    return kept if kept and kept[-1][0] == "knead" else (*kept, ("knead", age))


def _stretches(marks: tuple[tuple[str, float], ...], age: float) -> tuple[Stretch, ...]:
    """Return what was done from the pour to an age, without a gap."""
    from designer.evaluation.worked import Stretch

    ends = [*(start for _, start in marks[1:]), age]
    return tuple(
        Stretch(move, start, min(end, age))
        for (move, start), end in zip(marks, ends, strict=True)
        if min(end, age) > start
    )
