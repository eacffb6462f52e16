"""A dough in the bowl as it came to be: what was done and felt until now, and where it stands."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from designer.advice.as_made import Addition
from designer.advice.evidence import Felt, Finding, batch_evidence, log_likelihood, looked
from designer.errors import ReadableError
from designer.evaluation.dough import Dough
from designer.evaluation.evaluate import conditions_of
from designer.evaluation.heat import Conditions
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.mixture import mix
from designer.evaluation.worked import Bowl, Hands, Stretch, Track, added, carried_on, poured
from designer.handbook import Handbook, Liquid, Powder
from designer.quantities import written
from designer.recipe import Recipe, resolve
from designer.vocabulary import QUANTITIES, Floats

__all__ = ["InBowl", "Noted", "Past", "check_temperature", "in_bowl", "past"]

OLDEST = 3 * 3600.0
"""Age [s] beyond which a dough is no dough any more; own choice."""

_FURTHEST = 20.0
"""By how much the pour may have been warmer or colder than its heat balance says [K]."""


@dataclass(frozen=True)
class Noted:
    """What was found of the dough at an age [s]."""

    age: float
    finding: Finding


@dataclass(frozen=True)
class InBowl:
    """The dough in the bowl, and what the maker has done and felt so far.

    `in_bowl` makes one from what a maker says.

    Attributes
    ----------
    recipe : Recipe
        Its conditions are those of the bench.
    variant : int
        Index of the one that was made.
    batch : float [kg]
        As it was really made, before any addition.
    age : float [s]
        Since melt and powder met.
    stretches : tuple of Stretch
        What was done from the pour until now, without a gap.
    noted : tuple of Noted
        In the order of time.
    additions : tuple of Addition
        In the order of time.
    temperature : float or None [K]
        Of the dough now, if it was measured.
    at_hand : tuple of str
        Common names of powders and liquids that could be added beside those of the recipe.
    """

    recipe: Recipe
    variant: int
    batch: float
    age: float
    stretches: tuple[Stretch, ...]
    noted: tuple[Noted, ...] = ()
    additions: tuple[Addition, ...] = ()
    temperature: float | None = None
    at_hand: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        _check("batch", self.batch)
        if self.age < 0 or any(one.age < 0 for one in self.noted):
            raise ReadableError(
                "Age",
                "Before melt and powder meet there is no dough to feel.",
                "Count the minutes from the pour.",
            )
        if self.age > OLDEST:
            raise ReadableError(
                "Age",
                f"After {OLDEST / 3600:.0f} h a dough has set; additions no longer mend it.",
                "Press it, or grate it and begin anew.",
            )
        ages = [one.age for one in self.noted] + [one.age for one in self.additions]
        if any(age > self.age for age in ages):
            raise ReadableError(
                "Age", "Something was felt or added later than now.", "Mend one of the two times."
            )
        for one in self.additions:
            _check("mass", one.mass)
        if self.temperature is not None:
            check_temperature(self.temperature)

    @property
    def felt(self) -> Finding | None:
        """What was found last, or None."""
        return self.noted[-1].finding if self.noted else None

    def then(
        self,
        stretches: Sequence[Stretch],
        additions: Sequence[Addition] = (),
        finding: Finding | None = None,
    ) -> "InBowl":
        """Return the bowl later: what was added now, what was done then, what is found at its end.

        A temperature that was measured belongs to its moment: the later bowl has none.
        """
        end = stretches[-1].end
        found = (Noted(end, finding),) if finding is not None else ()
        return replace(
            self,
            age=end,
            stretches=(*self.stretches, *stretches),
            noted=(*self.noted, *found),
            additions=(*self.additions, *additions),
            temperature=None,
        )


def check_temperature(temperature: float) -> None:
    """Refuse a temperature [K] that no dough has.

    Raises
    ------
    ReadableError
        It is below 0 °C or above 80 °C.
    """
    if not 273.15 <= temperature <= 353.15:
        raise ReadableError(
            "Dough temperature",
            f"A dough of {written(temperature, 'temperature')} is not possible.",
            "Measure in the middle of the dough, 0 °C to 80 °C.",
        )


def _check(name: str, value: float) -> None:
    quantity = QUANTITIES[name]
    if not quantity.low <= value <= quantity.high or not value > 0:
        raise ReadableError(
            quantity.words[:1].upper() + quantity.words[1:],
            "This much dough cannot be in a bowl." if name == "batch" else "Nothing was added.",
            f"Type a mass from {written(quantity.low, name)} to {written(quantity.high, name)}.",
        )


def in_bowl(
    recipe: Recipe,
    variant: int,
    batch: float,
    age: float,
    finding: Finding | str | None = None,
    kneaded: float | None = None,
    temperature: float | None = None,
    at_hand: Sequence[str] = (),
) -> InBowl:
    """Return the dough in the bowl from what a maker says now.

    Parameters
    ----------
    batch : float [kg]
    age : float [s]
    finding : Felt, Rod, one of `STATES`, or None
        What is found now.
    kneaded : float or None [s]
        How long it was kneaded, before it rested; all the time if None.
    temperature : float or None [K]
    at_hand : sequence of str

    Raises
    ------
    ReadableError
        Any of it is not possible.
    """
    worked = age if kneaded is None else kneaded
    if age >= 0 and not 0 <= worked <= age:
        raise ReadableError(
            "Kneaded",
            "A dough cannot have been kneaded longer than it is old.",
            "Count age and kneading in minutes from the pour.",
        )
    stretches = [Stretch("knead", 0.0, worked)] if worked > 0 else []
    if age > worked:
        stretches.append(Stretch("rest", worked, age))
    found = Felt(finding) if isinstance(finding, str) else finding
    noted = (Noted(age, found),) if found is not None else ()
    return InBowl(
        recipe,
        variant,
        batch,
        age,
        tuple(stretches),
        noted,
        temperature=temperature,
        at_hand=tuple(at_hand),
    )


@dataclass(frozen=True, eq=False)
class _Leg:
    """From one addition to the next: the bowl, moments at which something was found, heat there."""

    bowl: Bowl
    times: Floats
    track: Track
    noted: tuple[tuple[int, Finding], ...]


@dataclass(frozen=True, eq=False)
class Past:
    """What has happened in a bowl, for every draw of the melt.

    Attributes
    ----------
    question : InBowl
    conditions : Conditions
    now : Bowl
    legs : tuple
        The way from the pour, from addition to addition.
    """

    question: InBowl
    conditions: Conditions
    handbook: Handbook
    now: Bowl
    legs: tuple[_Leg, ...]

    def findings(self, knowledge: Knowledge) -> tuple[Floats, Floats]:
        """Return the log likelihood of all that was found, and the strength at the last of it."""
        logs, last = [], np.zeros(knowledge.draws)
        for leg in self.legs:
            if leg.noted:
                made = self._dough(leg, knowledge)
                for at, finding in leg.noted:
                    one = looked(made, at)
                    logs.append(log_likelihood(finding, one, self.handbook))
                    last = one.log_strength
        return batch_evidence(logs, self.handbook), last

    def since_addition(self, times: Floats, knowledge: Knowledge) -> Dough:
        """Return the dough at moments [s] after the last addition, or after the pour."""
        leg = self.legs[-1]
        (track,), _ = carried_on(
            [leg.bowl],
            self.question.stretches,
            times,
            self.conditions,
            self.handbook,
            knowledge,
        )
        return self._dough(replace(leg, times=times, track=track), knowledge)

    def _dough(self, leg: _Leg, knowledge: Knowledge) -> Dough:
        hands = Hands(self.question.stretches, leg.times, self.handbook, knowledge)
        return hands.dough(leg.bowl, leg.track)


def past(question: InBowl, handbook: Handbook, knowledge: Knowledge) -> Past:
    """Return what has happened in a bowl; a measured temperature moves that of the pour.

    Parameters
    ----------
    knowledge : Knowledge
        Any of the kind that will be asked about: the heat has draws of its own.

    Raises
    ------
    ReadableError
        A row or an addition is not in the handbook.
    """
    amounts = resolve(question.recipe)
    conditions = replace(
        conditions_of(question.recipe, amounts), batch_mass=np.array([question.batch])
    )
    mixture = mix(question.recipe, amounts, handbook)
    if not question.stretches:
        # Nothing has happened: the dough is that of the pour.
        question = replace(question, stretches=(Stretch("knead", 0.0, 0.0),))
    materials = [material_of(one.name, one.phase, handbook) for one in question.additions]

    def told(warmer: Floats | float) -> tuple[Bowl, tuple[_Leg, ...]]:
        bowl = poured(mixture, question.variant, conditions, handbook, knowledge, warmer)
        return _told(question, bowl, materials, conditions, handbook, knowledge)

    now, legs = told(0.0)
    if question.temperature is not None:
        now, legs = _as_measured(question.temperature, told, now, legs)
    return Past(question, conditions, handbook, now, legs)


def material_of(name: str, phase: str, handbook: Handbook) -> Powder | Liquid:
    """Return a material that can be worked into a dough.

    Raises
    ------
    ReadableError
        The handbook has no such powder or liquid.
    """
    found = handbook.find(name, phase)
    if isinstance(found, Powder | Liquid):
        return found
    close = [near for near in handbook.suggest(name) if near not in handbook.melts]
    hint = (
        f"Did you mean {' or '.join(close[:3])}?" if close else "Name a powder or a liquid of it."
    )
    what = "is melted; it cannot be worked in" if found else "is not in the handbook"
    raise ReadableError("At hand", f'"{name[:60]}" {what}.', hint)


def _told(
    question: InBowl,
    bowl: Bowl,
    materials: list[Powder | Liquid],
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
) -> tuple[Bowl, tuple[_Leg, ...]]:
    """Return the bowl now and the legs of its way from the pour."""
    additions = question.additions
    ends = [*(one.age for one in additions), question.age]
    before, legs = -1.0, []
    for place, end in enumerate(ends):
        own = [one for one in question.noted if before < one.age <= end]
        times = np.unique([*(one.age for one in own), end])
        (track,), (later,) = carried_on(
            [bowl], question.stretches, times, conditions, handbook, knowledge
        )
        noted = tuple((int(np.searchsorted(times, one.age)), one.finding) for one in own)
        legs.append(_Leg(bowl, times, track, noted))
        bowl, before = later, end
        if place < len(additions):
            choice = [(materials[place], additions[place].mass)]
            (bowl,) = added(bowl, choice, conditions, handbook, knowledge)
    return bowl, tuple(legs)


def _as_measured(
    measured: float,
    told: Callable[[Floats | float], tuple[Bowl, tuple[_Leg, ...]]],
    now: Bowl,
    legs: tuple[_Leg, ...],
) -> tuple[Bowl, tuple[_Leg, ...]]:
    """Return bowl and legs whose temperature now is the measured one, under every melt draw.

    A dough colder than expected was colder all the way, so more of its melt has set: the pour is
    moved until the way ends where it was measured, by the secant rule.
    """
    first, off = np.zeros_like(now.temperature), now.temperature - measured
    second = np.clip(first - off, -_FURTHEST, _FURTHEST)
    for _ in range(3):
        now, legs = told(second)
        left = now.temperature - measured
        change = left - off
        slope = np.where(np.abs(change) > 1e-9, (second - first) / np.where(change, change, 1), 1)
        first, off = second, left
        second = np.clip(second - left * slope, -_FURTHEST, _FURTHEST)
    at_measure = np.full_like(now.temperature, measured)
    return replace(now, temperature=at_measure), legs
