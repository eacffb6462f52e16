"""Draws made anew around what a finding says, where those of the prior hardly allow it.

A dough far from what its recipe foretells leaves a handful of draws, and a chance out of a handful
sounds far surer than anybody can be. So all draws are moved towards the finding, the parameters
that make a dough firm or soft each by as much as they go with its firmness.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from designer.evaluation.knowledge import BASES, PRIOR_DRAWS, Knowledge, resampled, stream
from designer.vocabulary import Floats

__all__ = ["FEWEST", "Redrawn", "redrawn", "tempered"]

FEWEST = 100.0
"""Effective draws below which weights alone serve no more; own choice."""

_STEPS = 12
"""Of the way from the prior to the finding, at most."""

_KEPT = 0.5
"""Part of the effective draws that one step leaves."""

_HALVINGS = 14
"""Of the power that a likelihood is raised to."""

_NO_GAIN = 0.05
"""Correlation below which a parameter is taken to have nothing to do with the firmness: four
standard errors of that of all draws."""


@dataclass(frozen=True, eq=False)
class Redrawn(Knowledge):
    """Draws of the prior, each moved along one direction.

    Attributes
    ----------
    lever : array (PRIOR_DRAWS,)
        Its product with the scores of a name is by how many sd that parameter moves.
    by : array (draws,)
        How far each draw is moved, in sd of ln strength.
    """

    lever: Floats
    by: Floats

    def scores(self, name: str) -> Floats:
        """Return the normal scores (draws,) of a parameter, moved."""
        gain = float(self.lever @ stream(name, PRIOR_DRAWS))
        plain = super().scores(name)
        return plain if abs(gain) < _NO_GAIN else plain + gain * self.by


def tempered(weights: Floats, log_likelihood: Floats, fewest: float, most: float = 1.0) -> float:
    """Return the largest power of a likelihood (draws,) that leaves so many effective draws.

    Notes
    -----
    Weights w L^b; b by bisection, `most` at most (power prior: Ibrahim, Chen 2000, from memory).
    """
    low, high = 0.0, most
    if _effective(_moved(weights, log_likelihood, most)) >= fewest:
        return most
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        enough = _effective(_moved(weights, log_likelihood, middle)) >= fewest
        low, high = (middle, high) if enough else (low, middle)
    return low


def redrawn(
    whole: Knowledge,
    findings: Callable[[Knowledge], tuple[Floats, Floats]],
    floor: float,
    draws: int,
) -> tuple[Knowledge, float]:
    """Return draws around what findings say, and the power to which they are believed.

    Parameters
    ----------
    whole : Knowledge
        All draws there are, with their rows.
    findings : callable
        Given any knowledge, the log likelihood of all findings and the ln strength at the last.
    floor : float [1]
        Part of the draws that stays as it was.
    draws : int

    Notes
    -----
    The likelihood is taken up in powers, each of which leaves half of the draws effective; after
    each, ln strength is mapped onto the mean and sd it then has, and every score z goes along by
    its regression on it: exact where both are normal. What is left at the end are weights, tempered
    so that `FEWEST` remain. The melt's few draws stay.
    """
    rows = np.arange(PRIOR_DRAWS) if whole.rows is None else whole.rows
    logs, key = findings(whole)
    middle, sd = _middle(key, whole.weights)
    lever = np.zeros(PRIOR_DRAWS)
    np.add.at(lever, rows, whole.weights * (key - middle) / sd)
    by, believed, known = np.zeros(whole.draws), 0.0, whole
    for _ in range(_STEPS):
        least = max(FEWEST, _KEPT * _effective(whole.weights))
        power = tempered(whole.weights, logs, least, 1.0 - believed)
        if power >= 1.0 - believed:
            break
        had, spread = _middle(key, whole.weights)
        has, narrow = _middle(key, _moved(whole.weights, logs, power))
        by = by + (has + narrow / spread * (key - had) - key) / sd
        believed += power
        known = Redrawn(rows, whole.weights, BASES[2], lever, by)
        logs, key = findings(known)
    power = tempered(whole.weights, logs, FEWEST, 1.0 - believed)
    chosen = resampled(_moved(whole.weights, logs, power), key, draws)
    kept = resampled(whole.weights, key - sd * by, draws)[:: max(round(1 / floor), 1)]
    near = chosen[np.round(np.linspace(0, draws - 1, draws - kept.size)).astype(int)]
    every = np.concatenate([near, kept])
    moved = np.concatenate([by[near], np.zeros(kept.size)])
    even = np.full(draws, 1 / draws)
    return Redrawn(rows[every], even, BASES[2], lever, moved), believed + power


def _moved(weights: Floats, logs: Floats, power: float) -> Floats:
    product = weights * np.exp(power * (logs - logs.max()))
    moved: Floats = product / product.sum()
    return moved


def _effective(weights: Floats) -> float:
    return float(1 / (weights**2).sum())


def _middle(key: Floats, weights: Floats) -> tuple[float, float]:
    """Return mean and sd of values (draws,)."""
    mean = float(weights @ key)
    return mean, max(float(np.sqrt(weights @ (key - mean) ** 2)), 1e-9)
