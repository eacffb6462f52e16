"""Lines of equal value through a raster."""

from collections import defaultdict

import numpy as np
from numpy.typing import NDArray

from designer.vocabulary import Floats

__all__ = ["lines"]


def lines(values: Floats, level: float) -> list[Floats]:
    """Return the lines on which values (rows, columns) are `level`.

    Returns
    -------
    list of arrays (points, 2) of column and row, read linearly between nodes; a closed line ends
    where it starts

    Notes
    -----
    Marching squares, all cells at once: the plotting library's own walks through them one by one
    and takes twenty times as long. Where a saddle lies in a cell, its mean tells which corners
    hang together.
    """
    above = values >= level
    columns = values.shape[1]
    # An edge that the line crosses is known by twice its first node, plus one if it goes up.
    node = np.arange(values.size).reshape(values.shape)
    across, up = above[:, :-1] != above[:, 1:], above[:-1] != above[1:]
    foot = np.where(across[:-1], 2 * node[:-1, :-1], -1)
    head = np.where(across[1:], 2 * node[1:, :-1], -1)
    left = np.where(up[:, :-1], 2 * node[:-1, :-1] + 1, -1)
    right = np.where(up[:, 1:], 2 * node[:-1, 1:] + 1, -1)
    edges = np.stack([foot, right, head, left], axis=-1).reshape(-1, 4)
    crossed = (edges >= 0).sum(axis=1)
    simple = edges[crossed == 2]
    pairs = simple[simple >= 0].reshape(-1, 2)
    saddles = edges[crossed == 4]
    if saddles.size:
        mean = (values[:-1, :-1] + values[1:, :-1] + values[:-1, 1:] + values[1:, 1:]) / 4
        high = (mean >= level).ravel()[crossed == 4]
        joined = high == above[:-1, :-1].ravel()[crossed == 4]
        # Foot, right, head, left: a low left corner that hangs together is cut off nowhere.
        parted = np.where(joined[:, None], saddles, np.roll(saddles, 1, axis=1))
        pairs = np.concatenate([pairs, parted.reshape(-1, 2)])
    return [_points(chain, values, level, columns) for chain in _chains(pairs)]


def _chains(pairs: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    """Return pairs of edges as chains, open ones first."""
    beside: dict[int, list[int]] = defaultdict(list)
    for first, second in pairs.tolist():
        beside[first].append(second)
        beside[second].append(first)
    ends = [edge for edge, others in beside.items() if len(others) == 1]
    found = []
    for start in (*ends, *beside):
        if not beside[start]:
            continue
        chain, here = [start], start
        while beside[here]:
            following = beside[here].pop()
            beside[following].remove(here)
            here = following
            chain.append(here)
        found.append(np.array(chain))
    return found


def _points(chain: NDArray[np.intp], values: Floats, level: float, columns: int) -> Floats:
    """Return where a chain of edges is crossed."""
    node, is_up = chain // 2, chain % 2
    low = values.ravel()[node]
    high = values.ravel()[node + np.where(is_up, columns, 1)]
    part = (level - low) / (high - low)
    row, column = node // columns, node % columns
    return np.column_stack([column + np.where(is_up, 0, part), row + np.where(is_up, part, 0)])
