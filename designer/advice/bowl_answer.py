"""What may be advised on a dough in the bowl, and the answer as a whole."""

from dataclasses import dataclass

from designer.advice.as_made import Addition, Made
from designer.advice.bowl_choices import Refused
from designer.advice.bowl_past import InBowl
from designer.advice.evidence import Finding
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.worked import Stretch
from designer.vocabulary import STATES, Floats

__all__ = ["MOVES", "Advice", "Answer"]

MOVES = ("press", "knead", "rest", "cold", "warm", "add")
"""What may be advised: shape it as it is, knead on, leave it, leave it with the bowl in cold or
warm water, add something."""


@dataclass(frozen=True, eq=False)
class Advice:
    """One thing to do with the dough in the bowl.

    Attributes
    ----------
    move : str
        One of `MOVES`.
    name : str
        What to add; "" unless the move is "add".
    material_class : str
        Of what is added, as "starch"; "" otherwise.
    is_powder : bool
    first, rest : float [kg]
        Add the first amount, feel, then the rest if it still sticks or crumbles; both 0 unless the
        move is "add", the rest also 0 where one amount is enough.
    leave : float [s]
        How long to leave the dough before kneading on; 0 for "knead" and "add".
    temperature : float or None [K]
        Of the dough at the end of that, for "cold" and "warm".
    feel_at : float [s]
        Age at which to feel again; knead from the end of `leave` until then.
    chance : float [1]
        Of coming clean by `Answer.until` with all of it; it is never less than without.
    chance_first : float [1]
        The same with the first amount alone.
    states : array (5,) [1]
        Chance of each of `STATES` at `feel_at`, all of it added.
    powder_share : float [1]
        Powder added by then, earlier additions with it, per mass of the dough as poured.
    preparation : tuple of str
        Codes, in the order of work: "mask", "sieve", "sprinkle", "drizzle".
    new_formula : bool
        So much powder that it is a new formula: to be assessed, filed and labelled anew.
    made, made_first : Made or None
        The recipe as made, after all of it and after the first amount; None where nothing is added.
    """

    move: str
    name: str
    material_class: str
    is_powder: bool
    first: float
    rest: float
    leave: float
    temperature: float | None
    feel_at: float
    chance: float
    chance_first: float
    states: Floats
    powder_share: float
    preparation: tuple[str, ...]
    new_formula: bool
    made: Made | None
    made_first: Made | None

    @property
    def mass(self) -> float:
        """All that is to be added [kg]."""
        return round(self.first + self.rest, 9)

    @property
    def state(self) -> str:
        """The state expected when the dough is felt again."""
        return STATES[int(self.states.argmax())]


@dataclass(frozen=True, eq=False)
class Answer:
    """What can be done with a dough in the bowl.

    Attributes
    ----------
    question : InBowl
    knowledge : Knowledge
        What is known of this batch after what was found of it.
    effective : float
        Effective draws that the findings left: how much of what was known fits them.
    until : float [s]
        Age until which a clean knead counts: the end of the window, or later for an older dough.
    extended : bool
        Whether that is later than the window.
    states : array (5,) [1]
        Chance of each of `STATES` now, as it would be felt again.
    chance_without : float [1]
        Of coming clean by then, kneaded on and nothing else.
    advice : tuple of Advice
        The best first; empty where nothing is of use.
    refused : tuple of Refused
        What was said to be at hand and would not help.
    """

    question: InBowl
    knowledge: Knowledge
    effective: float
    until: float
    extended: bool
    states: Floats
    chance_without: float
    advice: tuple[Advice, ...]
    refused: tuple[Refused, ...]

    def followed(self, advice: Advice, finding: Finding | None = None) -> InBowl:
        """Return the bowl after an advice was followed: the first amount, until it is felt again.

        Parameters
        ----------
        finding : Felt, Rod or None
            What is found then.
        """
        now, leave = self.question.age, self.question.age + advice.leave
        stretches = [Stretch(advice.move, now, leave)] if advice.leave else []
        stretches.append(Stretch("knead", leave, advice.feel_at))
        phase = "powder" if advice.is_powder else "liquid"
        additions = (
            [Addition(advice.name, phase, advice.first, now)] if advice.move == "add" else []
        )
        return self.question.then(stretches, additions, finding)
