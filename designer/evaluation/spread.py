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


def _even(draws: Floats, levels: tuple[float, ...]) -> Floats:
    count = draws.shape[-1]
    position = np.clip(np.array(levels) * count - 0.5, 0, count - 1)
    low = np.minimum(position.astype(int), count - 2)
    part = position - low
    ordered = np.sort(draws, axis=-1)
    return np.stack(
        [
            ordered[..., k] + f * (ordered[..., k + 1] - ordered[..., k])
            for k, f in zip(low, part, strict=True)
        ]
    )
