"""What a felt state or a rod reading teaches: it moves the weights of the draws.

Each draw says how firm the dough would be under it; how likely the finding is then is its
likelihood. Likelihoods of findings multiply, so they are kept as sums of logarithms. A finding of
another batch counts fully, a later one of the same batch less, and a part of the weight always
stays where it was, so that one false rating locks nothing.

    log likelihood of each finding -> batch_evidence -> weighed (same rows, other weights)
                                                     -> learned (more rows where too few are left,
                                                        made anew where still too few are)
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from designer.advice.redrawn import FEWEST, Redrawn, redrawn, tempered
from designer.errors import ReadableError
from designer.evaluation.dough import Dough
from designer.evaluation.knowledge import (
    BASES,
    SHOWN_DRAWS,
    Knowledge,
    practice,
    prior,
    resampled,
)
from designer.handbook import Handbook
from designer.laws import flow
from designer.vocabulary import QUANTITIES, STATES, Floats

__all__ = [
    "FEWEST",
    "LEAST_EFFECTIVE",
    "Felt",
    "Finding",
    "Learned",
    "Looked",
    "Rod",
    "batch_evidence",
    "effective_draws",
    "learned",
    "log_likelihood",
    "looked",
    "weighed",
]

LEAST_EFFECTIVE = 256.0
"""Effective draws below which all rows behind a state of knowledge are asked; half of those shown:
a chance then has a standard error of 0.03 at most."""

_LEAST = 1e-300
"""Least likelihood, so that its logarithm is finite."""


@dataclass(frozen=True)
class Felt:
    """What the hands feel: one of `STATES`."""

    state: str

    def __post_init__(self) -> None:
        if self.state not in STATES:
            raise ReadableError(
                "What is felt",
                f'"{self.state[:30]}" is not a state of a dough.',
                f"Say {', '.join(STATES[:-1])} or {STATES[-1]}.",
            )


@dataclass(frozen=True)
class Rod:
    """What a flat rod reads on the scale as it is pushed into the dough.

    Attributes
    ----------
    mass : float [kg]
    diameter : float or None [m]
        None for the usual rod of the handbook.
    """

    mass: float
    diameter: float | None = None

    def __post_init__(self) -> None:
        quantity = QUANTITIES["rod"]
        if not quantity.low <= self.mass <= quantity.high:
            raise ReadableError(
                "Rod",
                "This reading of the scale is not possible.",
                "Tare the dough on the scale, push the rod down to 30 mm and type what it reads.",
            )

    def strength(self, handbook: Handbook) -> float:
        """Return the strength of the dough [Pa]."""
        p = handbook.parameters
        diameter = p["rod_diameter"].si if self.diameter is None else self.diameter
        return float(flow.rod_strength(self.mass, diameter, p["rod_bearing_factor"].si))


Finding = Felt | Rod


@dataclass(frozen=True, eq=False)
class Looked:
    """A dough at one moment as every draw has it, each (draws,) [ln Pa]."""

    log_strength: Floats
    tack_cut: Floats
    crumble_cut: Floats


def looked(dough: Dough, at: int) -> Looked:
    """Return a dough at one of its moments."""
    return Looked(dough.log_strength[at], dough.tack_cut[at], dough.crumble_cut[at])


def state_chances(one: Looked, handbook: Handbook) -> Floats:
    """Return the chance of each of `STATES` under each draw (5, draws), with one hand's noise."""
    p = handbook.parameters
    cuts = (
        np.log(p["slack_strength"].si),
        one.tack_cut,
        np.log(p["firm_strength"].si),
        one.crumble_cut,
    )
    return flow.state_chances(one.log_strength, cuts, p["rating_sd"].si)


def log_likelihood(finding: Finding, one: Looked, handbook: Handbook) -> Floats:
    """Return the logarithm of how likely a finding is under each draw (draws,).

    Parameters
    ----------
    finding : Felt or Rod
    one : Looked
        The dough at the moment of the finding, under the conditions of it.

    Notes
    -----
    A state: its chance with the spread of one hand (ordinal probit, McCullagh 1980). A rod: normal
    in ln strength, up to a constant.
    """
    if isinstance(finding, Felt):
        chances = state_chances(one, handbook)[STATES.index(finding.state)]
        logs: Floats = np.log(np.maximum(chances, _LEAST))
        return logs
    off = one.log_strength - np.log(finding.strength(handbook))
    normal: Floats = np.maximum(
        -0.5 * (off / handbook.parameters["rod_sd"].si) ** 2, np.log(_LEAST)
    )
    return normal


def batch_evidence(each: Sequence[Floats], handbook: Handbook) -> Floats:
    """Return the log likelihood (draws,) of all findings of one batch, in the order of time.

    The first counts fully, later ones less: hand, scale and lots are those of the first.
    """
    first, *later = each
    worth = handbook.parameters["later_rating_worth"].si
    total: Floats = first + worth * np.sum(later, axis=0) if later else first.copy()
    return total


def weighed(knowledge: Knowledge, log_likelihood: Floats, handbook: Handbook) -> Knowledge:
    """Return knowledge with its weights moved by a log likelihood (draws,); the rows stay.

    Notes
    -----
    w' = (1 - f) w L / sum w L + f w, with the floor f of the handbook. Give all findings at once,
    summed: then they share one floor.
    """
    floor = handbook.parameters["rating_floor"].si
    # Only ratios count, and the largest is taken as 1 so that nothing underflows to nothing.
    product = knowledge.weights * np.exp(log_likelihood - log_likelihood.max())
    moved = (1 - floor) * product / product.sum() + floor * knowledge.weights
    return replace(knowledge, weights=moved / moved.sum(), basis=BASES[2])


def effective_draws(knowledge: Knowledge) -> float:
    """Return how many even draws the weights are worth: 1/sum w^2, repeated rows taken as one."""
    if knowledge.rows is None:
        return 1.0
    joined = np.bincount(knowledge.rows, weights=knowledge.weights)
    return float(1 / (joined**2).sum())


@dataclass(frozen=True, eq=False)
class Learned:
    """A state of knowledge moved by findings.

    Attributes
    ----------
    knowledge : Knowledge
    effective : float
        Effective draws that the findings, fully believed, would leave of those they weighed.
    belief : float
        The power that their likelihood was raised to; 1 where they are believed fully.
    """

    knowledge: Knowledge
    effective: float
    belief: float = 1.0


def learned(
    knowledge: Knowledge,
    findings: Callable[[Knowledge], tuple[Floats, Floats]],
    handbook: Handbook,
    draws: int = SHOWN_DRAWS,
) -> Learned:
    """Return what findings teach, on more rows of the prior where too few draws are left.

    Where even of those too few are left, draws are made around what the findings say.

    Parameters
    ----------
    findings : callable
        Given any knowledge, the log likelihood of all findings and a key, both (draws,): what is
        asked about, as the strength at the last finding. Draws are chosen stratified along it.
    draws : int
        How many draws the result has at most where rows are chosen anew; they then have even
        weights.
    """
    likelihood, _ = findings(knowledge)
    moved = weighed(knowledge, likelihood, handbook)
    left = effective_draws(moved)
    whole = _whole(knowledge)
    if left >= min(LEAST_EFFECTIVE, 0.5 * knowledge.draws):
        return Learned(moved, left)
    if whole.rows is None:
        return Learned(moved, left)
    key = None
    if whole.draws > knowledge.draws:
        likelihood, key = findings(whole)
        moved = weighed(whole, likelihood, handbook)
        left = effective_draws(moved)
    fewest = min(FEWEST, effective_draws(whole) / 5)
    if left < fewest and isinstance(whole, Redrawn):  # they were made for another finding
        belief = tempered(whole.weights, likelihood, fewest)
        return Learned(weighed(whole, belief * likelihood, handbook), left, belief)
    if left < fewest:
        floor = handbook.parameters["rating_floor"].si
        even, belief = redrawn(whole, findings, floor, draws)
        return Learned(even, left, belief)
    if key is None:
        return Learned(moved, left)
    chosen = whole.rows[resampled(moved.weights, key, draws)]
    return Learned(Knowledge(chosen, np.full(draws, 1 / draws), BASES[2]), left)


def _whole(knowledge: Knowledge) -> Knowledge:
    """Return all draws behind a state of knowledge, where it rests on no own batches."""
    if knowledge.rows is None or knowledge.basis == BASES[2]:
        return knowledge
    return prior() if knowledge.basis == BASES[0] else practice()
