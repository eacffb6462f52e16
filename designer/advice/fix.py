"""What a fix is, and a list of them with why it is not longer."""

from dataclasses import dataclass, replace
from typing import Literal

from designer.advice.moves import Move, materials_of
from designer.advice.stocked import CostChange, Stocked
from designer.advice.wishes import Goal, Reached, Wish
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import state
from designer.recipe import Recipe, resolve

__all__ = ["Fix", "Fixes", "Obstacle", "Status", "priced"]

Status = Literal["met", "found", "nearest", "none"]


@dataclass(frozen=True, eq=False)
class Fix:
    """One change of a recipe that helps.

    Attributes
    ----------
    moves : tuple of Move
        All rows that move, in the order of the recipe; a q.s. row among them.
    recipe : Recipe
        The whole recipe with the variant changed, to be shown as one edit.
    result : Evaluation
        Of the changed variant alone, up to the end of the maker's kneading window.
    asked : Evaluation
        The same under the conditions of the wish, whose window may end sooner.
    reached : Reached
        What the wish asks about.
    meets : bool
        Whether the wish is met.
    size : float [percent]
        Half of all that moves.
    active, water : float [1]
        Of the changed dough, as the readings have them.
    active_change, water_change : float [1]
    cost_change : CostChange or None
        None as long as no prices are known.
    """

    moves: tuple[Move, ...]
    recipe: Recipe
    result: Evaluation
    asked: Evaluation
    reached: Reached
    meets: bool
    size: float
    active: float
    water: float
    active_change: float
    water_change: float
    cost_change: CostChange | None = None

    @property
    def chance(self) -> float:
        """Chance of a clean knead within the maker's window [1]."""
        return float(self.result.clean_knead_chance[0])

    @property
    def state(self) -> str:
        """The likeliest state at the knead."""
        return state(self.result, 0)

    @property
    def course(self) -> tuple[tuple[float, str], ...]:
        """Moments [s] of the wish's window, its begin, knead and end, and likeliest states."""
        result = self.asked
        places = dict.fromkeys((int(result.window[0]), result.knead, int(result.window[-1])))
        return tuple((float(result.times[at]), state(result, 0, at)) for at in places)


@dataclass(frozen=True)
class Obstacle:
    """What stops a wish from being met.

    Attributes
    ----------
    kind : str
        "held": all rows of a phase are held; "range": a known-good range; "use": the usual share
        of a material; "amount": a row is used up; "rows": there is nothing to move; "model":
        nothing that could be moved does more.
    name : str
        The phase, range or material.
    low, high : float
        Ends of a range or use [1]; of a ratio its own. NaN where there is none.
    """

    kind: Literal["held", "range", "use", "amount", "rows", "model"]
    name: str = ""
    low: float = float("nan")
    high: float = float("nan")


@dataclass(frozen=True, eq=False)
class Fixes:
    """The fixes of one variant for one wish.

    Attributes
    ----------
    recipe : Recipe
    number : str
        Of the variant.
    wish : Wish
    now : Reached
        Where the dough stands.
    goal : Goal
        What is asked for.
    status : "met", "found", "nearest" or "none"
        No fix is needed; some reach the goal; none does, the nearest are listed; nothing helps.
    fixes : tuple of Fix
        Smallest first; of the nearest, the best first.
    obstacle : Obstacle or None
        Why the goal is not reached.
    is_final : bool
        Whether the search has ended; an earlier list may yet be bettered.
    evaluations : int
        Doughs that were computed for it.
    outside : str
        Why the model must not speak of the dough as it is, or ""; then `now` is not to be told.
    """

    recipe: Recipe
    number: str
    wish: Wish
    now: Reached
    goal: Goal
    status: Status
    fixes: tuple[Fix, ...] = ()
    obstacle: Obstacle | None = None
    is_final: bool = True
    evaluations: int = 0
    outside: str = ""


def priced(answer: Fixes, stocked: Stocked) -> Fixes:
    """Return a list with what each fix does to the cost, where the prices it takes are kept."""
    if not answer.fixes or not stocked.prices:
        return answer
    before = resolve(answer.recipe.only(answer.number)).shares[0]
    found = []
    for fix in answer.fixes:
        change = 100 * (fix.result.amounts.shares[0] - before)
        changes = zip(materials_of(fix.result), change.tolist(), strict=True)
        found.append(replace(fix, cost_change=stocked.cost(changes)))
    return replace(answer, fixes=tuple(found))
