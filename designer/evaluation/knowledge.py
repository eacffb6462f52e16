"""What is known and how surely: draws of every uncertain parameter, and their weights.

One frozen value holds all uncertainty of the program. A draw is a row of normal scores, one per
parameter name; each name has a fixed random stream of its own, so that a new material changes no
other stream and every recipe meets the same draws. Learning moves the weights, and draws only where
hardly any is left (`designer.advice.redrawn`).
"""

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from designer.handbook import places
from designer.vocabulary import Floats

PRIOR_DRAWS = 8192
"""Draws of the prior, the length of a fine stream."""

MELT_DRAWS = 32
"""Draws of the melt and heat parameters, whose equilibria cost most; draw k uses k mod 32."""

SHOWN_DRAWS = 512
"""Draws that a reading uses unless asked otherwise."""

BASES = ("tables only", "usual practice", "own batches")
"""What a state of knowledge rests on."""


@lru_cache(maxsize=4)
def _normal_scores(count: int) -> Floats:
    inverse = NormalDist().inv_cdf
    half = np.array([inverse((k + 0.5) / count) for k in range(count // 2)])
    return np.concatenate([half, -half[::-1]])


@lru_cache(maxsize=4096)
def stream(name: str, count: int) -> Floats:
    """Return the fixed normal scores of one parameter name.

    Parameters
    ----------
    name : str
    count : int
        Even.

    Returns
    -------
    array (count,) [1], read-only: a permutation of the normal scores of (rank + 0.5)/count

    Notes
    -----
    Ranks of `count` raw words of the Philox generator keyed by the first 16 bytes of the SHA-256
    of the name. The words are part of numpy's stability promise for bit generators.
    """
    key = int.from_bytes(hashlib.sha256(name.encode()).digest()[:16], "little")
    words = np.random.Philox(key=key).random_raw(count)
    scores = np.empty(count)
    scores[np.argsort(words)] = _normal_scores(count)
    scores.flags.writeable = False
    return scores


@dataclass(frozen=True, eq=False)
class Knowledge:
    """Draws of every uncertain parameter, their weights, and what they rest on.

    Attributes
    ----------
    rows : int array (draws,), or None
        Rows of the prior's streams; None is the one central draw, every score 0.
    weights : array (draws,)
        Sum 1.
    basis : str
        One of `BASES`.
    """

    rows: np.ndarray | None
    weights: Floats
    basis: str

    def __post_init__(self) -> None:
        for array in (self.rows, self.weights):
            if array is not None:
                array.flags.writeable = False

    @property
    def draws(self) -> int:
        """How many draws there are."""
        return self.weights.size

    def scores(self, name: str) -> Floats:
        """Return the normal scores (draws,) of a parameter with a fine stream."""
        if self.rows is None:
            return np.zeros(1)
        scores: Floats = stream(name, PRIOR_DRAWS)[self.rows]
        return scores

    @property
    def melt_draws(self) -> int:
        """How many different draws of the melt there are."""
        return 1 if self.rows is None else MELT_DRAWS

    def melt_scores(self, name: str) -> Floats:
        """Return the normal scores (melt draws,) of a melt or heat parameter."""
        return np.zeros(1) if self.rows is None else stream(name, MELT_DRAWS)

    @property
    def melt_row(self) -> np.ndarray:
        """Which melt draw each draw uses: int array (draws,)."""
        return np.zeros(1, dtype=np.intp) if self.rows is None else self.rows % MELT_DRAWS


def central() -> Knowledge:
    """Return the one draw in which every parameter has its tabled value: for tests, gradients."""
    return Knowledge(None, np.ones(1), BASES[0])


def prior(draws: int = PRIOR_DRAWS) -> Knowledge:
    """Return the first `draws` of the prior, evenly weighted: tables only, no practice."""
    return Knowledge(np.arange(draws), np.full(draws, 1 / draws), BASES[0])


def _practice_file() -> Floats:
    weights_and_firmness: Floats = np.load(places.resources() / "knowledge" / "usual_practice.npy")
    return weights_and_firmness


@lru_cache(maxsize=1)
def practice() -> Knowledge:
    """Return all draws of the prior, weighted by usual practice counted as one batch.

    The weights are made by `designer.evaluation.practice` and stored, as they take seconds.
    """
    weights = _practice_file()[0]
    return Knowledge(np.arange(PRIOR_DRAWS), weights / weights.sum(), BASES[1])


@lru_cache(maxsize=4)
def shipped(draws: int = SHOWN_DRAWS) -> Knowledge:
    """Return the state of knowledge the program ships with: tables and usual practice.

    `draws` rows of `practice`, evenly weighted: with the draws sorted by how firm they make the
    usual recipes, the middle of each 1/draws of the weight.
    """
    weights, firmness = _practice_file()
    return Knowledge(resampled(weights, firmness, draws), np.full(draws, 1 / draws), BASES[1])


def resampled(weights: Floats, key: Floats, draws: int) -> np.ndarray:
    """Return rows (draws,) that stand for the weighted prior, stratified along `key`."""
    order = np.argsort(key, kind="stable")
    reached = np.cumsum(weights[order]) / weights.sum()
    middles = (np.arange(draws) + 0.5) / draws
    return order[np.minimum(np.searchsorted(reached, middles), order.size - 1)]
