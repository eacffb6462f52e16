"""What to do with the dough in the bowl: only additions are possible, and time and temperature.

The maker says what the hands feel. That moves the knowledge about this batch, and under it every
move is followed from the present on: kneading on, resting, the bowl in cold or warm water, and each
powder or liquid in several amounts. What is added drinks by a clock of its own.

    question = in_bowl(recipe, 0, batch=0.5, age=480.0, finding="sticky")
    answer = advise(question, handbook, knowledge)
    later = answer.followed(answer.advice[0], Felt("pliable"))      # what came of it
"""

from collections.abc import Callable, Iterator

import numpy as np

from designer.advice.as_made import Addition, Made, as_made
from designer.advice.bowl_answer import MOVES, Advice, Answer
from designer.advice.bowl_choices import (
    Choice,
    Refused,
    choices,
    doses,
    is_never,
    room,
    weighable,
)
from designer.advice.bowl_past import InBowl, Noted, Past, in_bowl, past
from designer.advice.evidence import (
    Felt,
    Learned,
    Rod,
    effective_draws,
    learned,
    looked,
    state_chances,
)
from designer.evaluation.dough import Dough
from designer.evaluation.draws import dough_draws
from designer.evaluation.forecast import clean_at
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.spread import percentiles, spread
from designer.evaluation.worked import Bowl, Hands, Stretch, Track, added, carried_on
from designer.handbook import Handbook, Powder
from designer.quantities import written
from designer.recipe.values import MOST_VARIANTS
from designer.vocabulary import STATES, Floats

__all__ = [
    "MOVES",
    "Addition",
    "Advice",
    "Answer",
    "Felt",
    "InBowl",
    "Made",
    "Noted",
    "Refused",
    "Rod",
    "advise",
    "in_bowl",
    "past",
]

MINUTE = 60.0
_LATEST = 15 * MINUTE
"""How long after now a dough may still come clean, where the kneading window ends before."""

_AGAIN = 5 * MINUTE
"""When to feel again after an addition; common practice, no source."""

_LEFT = (5 * MINUTE, 10 * MINUTE)
"""How long a dough is left, at rest or in water."""

_WORTH_SAYING = 0.05
"""Least rise of the chance that an advice is given for: one of twenty, as chances are told."""

_MOST = 0.75
"""Share of the draws that come clean by when one feels again after kneading on."""

_WORTH_A_NEW_FORMULA = 0.15
"""Least rise of the chance for so much powder that it makes a new formula; own choice."""

_PART = 0.2
"""Of the first amount: a rest below that is not worth weighing; own choice."""

_NEARLY_ALL = 0.8
"""Part of the rise of the chance that the first, smaller amount must bring."""

_BEYOND = 1 / 3
"""What chance beyond the wanted one counts for in the order of advice; own choice."""

_OFFERED = 8
"""Pieces of advice given at most."""


def advise(
    question: InBowl,
    handbook: Handbook,
    knowledge: Knowledge,
    stop: Callable[[], bool] = lambda: False,
) -> Answer:
    """Return what to do with a dough in the bowl, the best first.

    Parameters
    ----------
    knowledge : Knowledge
        Before anything was found of this batch.
    stop : callable
        Asked now and then whether to give up.

    Raises
    ------
    InterruptedError
        `stop` said so.
    ReadableError
        Something is not in the handbook.
    """
    had = past(question, handbook, knowledge)
    if question.noted:
        known = learned(knowledge, had.findings, handbook)
    else:
        known = Learned(knowledge, effective_draws(knowledge))
    _give_up(stop)
    allowed, refused = choices(question, had)
    ahead = _Ahead(had, known.knowledge, stop)
    states = _mean(state_chances(looked(ahead.plain, 0), handbook), known.knowledge)
    if _is_clean(question, states):
        # Before a knead counts the powder has hardly drunk: what is pliable then is not done.
        told = [ahead.press() if question.age >= had.conditions.window[0] - 1.0 else ahead.knead()]
    else:
        additions, wrong = ahead.additions(allowed)
        wanted = {name.casefold() for name in question.at_hand}
        refused = (*refused, *(one for one in wrong if one.name.casefold() in wanted))
        told = [*ahead.moves(), *additions]
    told = sorted(told, key=ahead.order)
    return Answer(
        question,
        known.knowledge,
        known.effective,
        ahead.until,
        ahead.until > had.conditions.window[1] + 1e-6,
        states,
        ahead.chance_without,
        tuple(told[:_OFFERED]),
        refused,
    )


def _is_clean(question: InBowl, states: Floats) -> bool:
    """Return whether the dough kneads clean now: the hands say so, or the rod nearly surely."""
    found = question.felt
    if isinstance(found, Felt):
        return found.state == "pliable"
    return found is not None and bool(
        states[STATES.index("pliable")] >= question.recipe.bench.wanted
    )


def _give_up(stop: Callable[[], bool]) -> None:
    if stop():
        raise InterruptedError


def _mean(values: Floats, knowledge: Knowledge) -> Floats:
    """Return the mean over draws, the last axis."""
    mean: Floats = np.vecdot(values, knowledge.weights)
    return mean


class _Ahead:
    """The future of a dough in the bowl under what is known, by move."""

    def __init__(self, had: Past, knowledge: Knowledge, stop: Callable[[], bool]) -> None:
        self.had, self.question, self.handbook = had, had.question, had.handbook
        self.knowledge, self.stop = knowledge, stop
        self.now = had.question.age
        window = had.conditions.window
        self.until = max(window[1], self.now + _LATEST)
        minutes = np.arange(0.0, (self.until - self.now) / MINUTE + 1e-9)
        # Each minute at first, later each other one, as the window of a recipe is felt.
        minutes = minutes[(minutes <= 12) | (minutes % 2 == 0)]
        self.times = np.unique(np.append(self.now + MINUTE * minutes, self.until))
        self.counts = (self.times > self.now + 1.0) & (self.times >= window[0] - 1e-6)
        self.rating = dough_draws(self.handbook, knowledge).rating
        self.kneading = self._hands((Stretch("knead", self.now, self.until),))
        (track,), _ = self._carried([had.now], self.kneading)
        self.plain = self.kneading.dough(had.now, track)
        self.chance_without, self._without = self._chance(self.plain)

    def _hands(self, future: tuple[Stretch, ...]) -> Hands:
        stretches = (*self.question.stretches, *future)
        return Hands(stretches, self.times, self.handbook, self.knowledge)

    def _carried(self, bowls: list[Bowl], hands: Hands) -> tuple[tuple[Track, ...], object]:
        return carried_on(
            bowls,
            hands.stretches,
            self.times,
            self.had.conditions,
            self.handbook,
            self.knowledge,
        )

    def _chance(self, dough: Dough, after: float = 0.0) -> tuple[float, np.ndarray]:
        """Return the chance of coming clean after a moment, and where it is felt clean."""
        counts = self.counts & (self.times > after + 1.0)
        clean = clean_at(dough, self.rating, self.handbook) & counts[:, None]
        return float(_mean(clean.any(axis=0).astype(float), self.knowledge)), clean

    def _states(self, dough: Dough, at: float) -> Floats:
        """Return the chance of each state at a moment."""
        place = int(np.abs(self.times - at).argmin())
        return _mean(state_chances(looked(dough, place), self.handbook), self.knowledge)

    def _feel_at(self, clean: np.ndarray, earliest: float) -> float:
        """Return when most of the draws that come clean have: the moment to feel again."""
        comes = clean.any(axis=0)
        weights = self.knowledge.weights[comes]
        if not weights.sum() > 0:
            return float(min(earliest + _AGAIN, self.until))
        first = self.times[clean.argmax(axis=0)][comes]
        (most,) = percentiles(first, weights / weights.sum(), (_MOST,)).tolist()
        later = self.times[self.times >= max(most, earliest + MINUTE) - 1.0]
        return float(later[0]) if later.size else self.until

    def order(self, one: Advice) -> float:
        """Return by what advice is ranked: lost chance, and what the advice itself costs.

        What is added cannot be taken out again. So kneading on comes first where it reaches the
        chance the maker wants, and else a tie is for the move, then for the less. Chance beyond the
        wanted one is worth less than powder that can stay in the sack.
        """
        wanted = self.question.recipe.bench.wanted
        chance = min(one.chance, wanted) + max(one.chance - wanted, 0.0) * _BEYOND
        if one.move in ("press", "knead"):
            return -1.0 if one.chance >= wanted else -chance
        if one.move != "add":
            return -chance
        return 0.01 + 0.5 * one.mass / self.had.now.mass + 0.05 * one.new_formula - chance

    # --- moves

    def press(self) -> Advice:
        """Return the advice to shape a dough that is clean."""
        return self._move("press", 0.0, self.plain, self.chance_without, self.now, None)

    def knead(self) -> Advice:
        """Return the advice to knead on."""
        _, clean = self._chance(self.plain)
        feel_at = self._feel_at(clean, self.now)
        return self._move("knead", 0.0, self.plain, self.chance_without, feel_at, None)

    def moves(self) -> list[Advice]:
        """Return the moves that add nothing: kneading on, and what does better than that."""
        found = [self.knead()]
        for way in ("rest", "cold", "warm"):
            _give_up(self.stop)
            best = max((self._left(way, leave) for leave in _LEFT), key=lambda one: one.chance)
            if best.chance > self.chance_without + _WORTH_SAYING:
                found.append(best)
        return found

    def _left(self, way: str, leave: float) -> Advice:
        """Return the advice to leave the dough for a time and then to knead on."""
        end = self.now + leave
        hands = self._hands((Stretch(way, self.now, end), Stretch("knead", end, self.until)))
        (track,), _ = self._carried([self.had.now], hands)
        dough = hands.dough(self.had.now, track)
        chance, clean = self._chance(dough, end)
        warm = track.temperature[int(np.abs(self.times - end).argmin())]
        middle = float(spread(warm[self.knowledge.melt_row], self.knowledge.weights).value)
        reached = None if way == "rest" else 273.15 + round(middle - 273.15)
        return self._move(way, leave, dough, chance, self._feel_at(clean, end), reached)

    def _move(
        self,
        move: str,
        leave: float,
        dough: Dough,
        chance: float,
        feel_at: float,
        temperature: float | None,
    ) -> Advice:
        return Advice(
            move=move,
            name="",
            material_class="",
            is_powder=False,
            first=0.0,
            rest=0.0,
            leave=leave,
            temperature=temperature,
            feel_at=feel_at,
            chance=chance,
            chance_first=chance,
            states=self._states(dough, feel_at),
            powder_share=self._powder(()),
            preparation=(),
            new_formula=False,
            made=None,
            made_first=None,
        )

    # --- additions

    def additions(self, allowed: tuple[Choice, ...]) -> tuple[list[Advice], list[Refused]]:
        """Return the additions that help, and those that lead the wrong way."""
        found, wrong = [], []
        for choice in allowed:
            _give_up(self.stop)
            if is_never(choice, self.question.felt):
                wrong.append(Refused(choice.name, choice.leads))
                continue
            amounts = doses(choice, self.plain, self.had, self.knowledge)
            one = self._best(choice, amounts) if amounts else None
            if one is not None:
                found.append(one)
            elif not amounts:
                full = weighable(room(choice, self.handbook) * self.had.now.mass) <= 0
                wrong.append(Refused(choice.name, "full" if full else choice.leads))
        return found, wrong

    def _best(self, choice: Choice, amounts: tuple[float, ...]) -> Advice | None:
        """Return the advice to add the amount that serves best, or None where none does."""
        tried = list(self._tried(choice, amounts))
        chances = np.array([chance for chance, _ in tried])
        worth = chances - self.chance_without - self._least_rises(choice, amounts)
        best = int(np.flatnonzero(worth >= worth.max() - 0.01)[0])
        if worth[best] <= 0:
            return None
        rise = chances[best] - self.chance_without
        enough = chances >= self.chance_without + _NEARLY_ALL * rise
        first = min(int(np.flatnonzero(enough)[0]), best)
        if amounts[best] - amounts[first] < _PART * amounts[first]:
            best = first
        feel_at = min(self.now + _AGAIN, self.until)
        is_powder = isinstance(choice.material, Powder)
        share = self._powder((self._addition(choice, amounts[best]),))
        limit = self.handbook.parameters["new_formula_powder"].si
        return Advice(
            move="add",
            name=choice.name,
            material_class=choice.material.material_class,
            is_powder=is_powder,
            first=amounts[first],
            rest=round(amounts[best] - amounts[first], 9),
            leave=0.0,
            temperature=None,
            feel_at=feel_at,
            chance=float(chances[best]),
            chance_first=float(chances[first]),
            states=self._states(tried[best][1], feel_at),
            powder_share=share,
            preparation=choice.preparation,
            new_formula=share > limit + 1e-9,
            made=self._made(choice, amounts[best]),
            made_first=self._made(choice, amounts[first]),
        )

    def _least_rises(self, choice: Choice, amounts: tuple[float, ...]) -> Floats:
        """Return by how much each amount must raise the chance to be advised (amounts,)."""
        limit = self.handbook.parameters["new_formula_powder"].si + 1e-9
        if self._powder(()) > limit:  # it is one already
            return np.full(len(amounts), _WORTH_SAYING)
        shares = np.array([self._powder((self._addition(choice, one),)) for one in amounts])
        return np.where(shares > limit, _WORTH_A_NEW_FORMULA, _WORTH_SAYING)

    def _tried(self, choice: Choice, amounts: tuple[float, ...]) -> Iterator[tuple[float, Dough]]:
        """Yield chance and dough of each amount, added now and kneaded in."""
        bowls = added(
            self.had.now,
            [(choice.material, mass) for mass in amounts],
            self.had.conditions,
            self.handbook,
            self.knowledge,
        )
        tracks, _ = self._carried(list(bowls), self.kneading)
        for bowl, track in zip(bowls, tracks, strict=True):
            dough = self.kneading.dough(bowl, track)
            yield self._chance(dough)[0], dough

    def _addition(self, choice: Choice, mass: float) -> Addition:
        return Addition(choice.name, choice.phase, mass, self.now)

    def _made(self, choice: Choice, mass: float) -> Made:
        additions = (*self.question.additions, self._addition(choice, mass))
        told = ", ".join(
            f"{written(one.mass, 'mass')} {one.name} at {one.age / MINUTE:.0f} min"
            for one in additions
        )
        title = f"as made: {told}"
        if len(title) > 120:
            title = f"as made, {len(additions)} additions"
        recipe, variant = self.question.recipe, self.question.variant
        if len(recipe.variants) == MOST_VARIANTS:
            # There is no room for one more beside them all.
            recipe, variant = recipe.only(recipe.numbers[variant]), 0
        return as_made(recipe, variant, self.question.batch, additions, title)

    def _powder(self, more: tuple[Addition, ...]) -> float:
        """Return the powder added so far and now, per mass of the dough as poured."""
        every = (*self.question.additions, *more)
        powder = sum(one.mass for one in every if one.phase == "powder")
        return powder / self.question.batch
