"""Weighted medians and intervals over draws: what is shown of an uncertain number."""

from dataclasses import dataclass

import numpy as np

from designer.vocabulary import Floats

LEVELS = (0.1, 0.5, 0.9)
"""Low, shown value, high."""


@dataclass(frozen=True, eq=False)
class Spread:
    """The shown value and its 80 % interval, elementwise.

    Attributes
    ----------
    low, value, high : arrays of one shape: 10 %, 50 % and 90 % weighted percentile of the draws
    """

    low: Floats
    value: Floats
    high: Floats


def first_at_most(grid: Floats, falling: Floats, limit: float) -> Floats:
    """Return where curves (curves, grid) first fall to `limit`, read linearly; NaN if nowhere."""
    under = falling <= limit
    first = under.argmax(axis=1)
    row = np.arange(falling.shape[0])
    before = np.maximum(first - 1, 0)
    high, low = falling[row, before], falling[row, first]
    part = np.where(high > low, (high - limit) / np.where(high > low, high - low, 1.0), 1.0)
    found = grid[before] + part * (grid[first] - grid[before])
    return np.where(under.any(axis=1), found, np.nan)


def spread(draws: Floats, weights: Floats) -> Spread:
    """Return the `Spread` of draws along the last axis.

    Parameters
    ----------
    draws : array (..., draws)
    weights : array (draws,)
        Sum 1.

    Notes
    -----
    The percentile is linear between the middles of the sorted draws' weights (for even weights
    the Hazen plotting position (k - 0.5)/n).
    """
    return Spread(*percentiles(draws, weights, LEVELS))


def repeated(few: Floats, row: np.ndarray, weights: Floats) -> Spread:
    """Return the `Spread` of draws that repeat a few along the last axis.

    Parameters
    ----------
    few : array (..., few)
    row : int array (draws,)
        Which of the few each draw is.
    weights : array (draws,)
        Sum 1.
    """
    if weights.size < 2 or not weights.all() or np.ptp(weights) >= 1e-15:
        return spread(few[..., row], weights)
    # Sorted, each of the few stands as often in a row as draws repeat it.
    order = np.argsort(few, axis=-1)
    values = np.take_along_axis(few, order, axis=-1)
    ends = np.cumsum(np.bincount(row, minlength=few.shape[-1])[order], axis=-1)
    low, part = _places(weights.size, LEVELS)

    def at(place: int) -> Floats:
        found = (ends <= place).sum(axis=-1, keepdims=True)
        return np.take_along_axis(values, found, axis=-1)[..., 0]

    return Spread(*(at(k) + f * (at(k + 1) - at(k)) for k, f in zip(low, part, strict=True)))


def percentiles(draws: Floats, weights: Floats, levels: tuple[float, ...]) -> Floats:
    """Return weighted percentiles along the last axis: array (levels, ...)."""
    if not weights.all():
        # A draw without weight is no draw: nothing may be read towards it.
        draws, weights = draws[..., weights > 0], weights[weights > 0]
    if draws.shape[-1] == 1:
        return np.stack([draws[..., 0]] * len(levels))
    if np.ptp(weights) < 1e-15:
        return _even(draws, levels)
    flat = draws.reshape(-1, draws.shape[-1])
    order = np.argsort(flat, axis=1, kind="stable")
    values = np.take_along_axis(flat, order, axis=1)
    reached = np.cumsum(weights[order], axis=1) - 0.5 * weights[order]
    out = np.stack([np.interp(levels, r, v) for r, v in zip(reached, values, strict=True)], axis=1)
    return out.reshape(len(levels), *draws.shape[:-1])


def _places(count: int, levels: tuple[float, ...]) -> tuple[list[int], list[float]]:
    """Return between which of `count` sorted draws of even weight levels lie, and how far."""
    position = np.clip(np.array(levels) * count - 0.5, 0, count - 1)
    low = np.minimum(position.astype(int), count - 2)
    return low.tolist(), (position - low).tolist()


def _even(draws: Floats, levels: tuple[float, ...]) -> Floats:
    low, part = _places(draws.shape[-1], levels)
    ordered = np.sort(draws, axis=-1)
    return np.stack(
        [
            ordered[..., k] + f * (ordered[..., k + 1] - ordered[..., k])
            for k, f in zip(low, part, strict=True)
        ]
    )
