"""How a difference is split exactly over the changes that make it up.

What a split is of does not matter here: any figure, or several beside each other, that follow from
which of the changes are made, or from how far each is made.
"""

from collections.abc import Callable
from math import factorial

import numpy as np

from designer.vocabulary import Floats

__all__ = ["MOST_EXACT", "along_path", "shapley"]

MOST_EXACT = 8
"""Changes up to which every order of making them counts: 2^8 doughs."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(5)

_STEP = 0.02
"""How far one change is moved to and fro for a slope along the path, of its whole."""

Made = Callable[[Floats], Floats]
"""From how far each change is made (points, changes) [1] to the figures (points, figures)."""


def shapley(figures: Made, changes: int) -> tuple[Floats, Floats]:
    """Return each change's part of the difference, over all orders in which they can be made.

    Parameters
    ----------
    figures : callable
        Asked once, for all 2^changes ways of making some changes whole and others not.
    changes : int

    Returns
    -------
    parts : array (changes, figures)
    whole : array (figures,)
        With all changes less with none; the parts sum to it.

    Notes
    -----
    phi_k = sum over the sets S without k of |S|! (n - |S| - 1)!/n! [f(S + k) - f(S)].
    Source: L. S. Shapley, A value for n-person games, Contributions to the Theory of Games II
    (1953), p. 307.

    Examples
    --------
    A product of two changes shares what only both together bring:

    >>> def product(made): return ((1 + made[:, 0]) * (1 + made[:, 1]))[:, None]
    >>> parts, whole = shapley(product, 2)
    >>> parts[:, 0].tolist(), whole.tolist()
    ([1.5, 1.5], [3.0])
    """
    sets = np.arange(2**changes)
    made = (sets[:, None] >> np.arange(changes)) & 1
    found = figures(made.astype(float))
    size = made.sum(axis=1)
    share = np.array(
        [factorial(s) * factorial(changes - s - 1) / factorial(changes) for s in range(changes)]
    )
    parts = np.empty((changes, found.shape[1]))
    for k in range(changes):
        without = sets[made[:, k] == 0]
        gain = found[without | (1 << k)] - found[without]
        parts[k] = share[size[without]] @ gain
    return parts, found[-1] - found[0]


def along_path(smooth: Made, ends: Made, changes: int) -> tuple[Floats, Floats]:
    """Return each change's part of the difference when all are made together, little by little.

    Parameters
    ----------
    smooth : callable
        As `figures` of `shapley`, without steps in them: their slopes are taken.
    ends : callable
        The true figures; asked for no change and for all of them.
    changes : int

    Returns
    -------
    parts, whole : as of `shapley`

    Notes
    -----
    phi_j = dm_j times the integral of df/dm_j along the straight path, by five Gauss-Legendre
    points and central differences. What these and the smoothing miss of the whole is spread over
    the parts in proportion to their size. Source: R. J. Aumann, L. S. Shapley, Values of Non-Atomic
    Games (1974).
    """
    at = (1 + _NODES) / 2
    moved = at[:, None, None, None] + _STEP * np.array([1.0, -1.0])[:, None, None] * np.eye(changes)
    found = smooth(moved.reshape(-1, changes)).reshape(at.size, 2, changes, -1)
    slopes = (found[:, 0] - found[:, 1]) / (2 * _STEP)
    parts = np.tensordot(_WEIGHTS / 2, slopes, 1)
    first, last = ends(np.stack([np.zeros(changes), np.ones(changes)]))
    return _summing_to(parts, last - first), last - first


def _summing_to(parts: Floats, whole: Floats) -> Floats:
    size = np.abs(parts)
    total = size.sum(axis=0)
    even = np.full_like(parts, 1 / len(parts))
    share = np.divide(size, total, out=even, where=total > 0)
    summed: Floats = parts + share * (whole - parts.sum(axis=0))
    return summed
