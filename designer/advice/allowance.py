"""How far one thing may drift: its interval, and what the dough becomes beyond."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from designer.advice.edge import Edge

__all__ = ["CONDITIONS", "Allowance", "End", "end_of"]

CONDITIONS = ("room", "humidity", "bath", "batch", "knead")
"""Conditions that may drift; "knead" is the end of the kneading window."""


@dataclass(frozen=True)
class End:
    """How far something may drift one way.

    Attributes
    ----------
    value : float or None [SI]
        The last that still holds; None where all of it holds, as far as was looked.
    looked : float [SI]
        How far was looked.
    state : str
        What the dough becomes beyond: "sticky" or "stiff"; "" where nothing was met.
    chance : float [1]
        At the value, or where the looking ended.
    """

    value: float | None
    looked: float
    state: str
    chance: float


@dataclass(frozen=True)
class Allowance:
    """The interval of one ingredient, lot or condition within which the chance holds.

    Attributes
    ----------
    name : str
        An ingredient, or one of `CONDITIONS`.
    kind : str
        "ingredient" as weighed, "lot" of a powder, or "condition".
    at : float [SI]
        Where it is now: mass in the batch [kg]; what the lot drinks over what is known of it, 1;
        or the condition.
    low, high : End
        In the unit of `at`. Of an ingredient it is the mass weighed while all others keep their
        grams, so that their percentages all shift a little.
    slip : float
        What is easily missed of it, in the unit of `at`; of the batch its logarithm.
    dosed : bool
        Whether what it does decides its amount, and not the knead: preservatives and acids.
    """

    name: str
    kind: str
    at: float
    low: End
    high: End
    slip: float
    dosed: bool = False

    @property
    def is_ingredient(self) -> bool:
        """Whether it is the weight of an ingredient."""
        return self.kind == "ingredient"

    @property
    def weaker(self) -> End | None:
        """The end that is met first, or None where neither was met."""
        met = [end for end in (self.low, self.high) if end.value is not None]
        return min(met, key=self.slips_to, default=None)

    @property
    def slack(self) -> float:
        """How many times what is easily missed of it the nearer end is away; infinite if none."""
        return math.inf if self.weaker is None else self.slips_to(self.weaker)

    def slips_to(self, end: End) -> float:
        """Return how many times what is easily missed of it an end is away, or was looked."""
        value = end.looked if end.value is None else end.value
        if (self.kind, self.name) == ("condition", "batch"):
            return abs(math.log(value / self.at)) / self.slip
        return abs(value - self.at) / self.slip


def end_of(edge: Edge, value: Callable[[float], float]) -> End:
    """Return what a search has found; `value` gives the SI value at a place along its way."""
    if edge.at is None:
        furthest = edge.nodes[-1]
        return End(None, value(furthest), "", edge.chance(furthest))
    return End(value(edge.at), value(edge.nodes[-1]), _lost_to(edge), edge.chance(edge.at))


def _lost_to(edge: Edge) -> str:
    """Return what draws become that are clean at the start and no longer beyond the end."""
    beyond = edge.margins_at((edge.at or 0.0) * 1.05)
    clean = np.any((edge.base >= 0).all(axis=0), axis=0)
    lost = clean & ~np.any((beyond >= 0).all(axis=0), axis=0)
    wet = lost & ~np.any(beyond[0] >= 0, axis=0)
    wet_share = float(np.vecdot(wet.astype(float), edge.weights))
    return (
        "sticky" if wet_share > float(np.vecdot(lost.astype(float), edge.weights)) / 2 else "stiff"
    )
