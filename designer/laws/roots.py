"""One vectorised root of an increasing function, for the laws that have no closed inverse."""

from collections.abc import Callable

import numpy as np

from designer.vocabulary import Floats

Increasing = Callable[[Floats], tuple[Floats, Floats]]
"""Value and slope of an increasing function, elementwise."""


def bracketed_root(function: Increasing, low: Floats, high: Floats) -> Floats:
    """Return the root of an increasing function between `low` and `high`, elementwise.

    Parameters
    ----------
    function : callable
        Returns value and slope of an array; value(low) <= 0 <= value(high).
    low, high : arrays of one shape

    Returns
    -------
    array of that shape, to about 1e-14 of itself

    Notes
    -----
    Newton's step where it stays in the bracket, else a halving. Source: as `rtsafe` in W. H. Press
    et al., Numerical Recipes, 3rd ed. 2007, section 9.4.
    """
    root = (low + high) / 2
    for _ in range(200):
        value, slope = function(root)
        low = np.where(value < 0, root, low)
        high = np.where(value > 0, root, high)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = root - value / slope
        inside = (newton >= low) & (newton <= high)
        following = np.where(inside, newton, (low + high) / 2)
        moved = np.abs(following - root) > 1e-14 * np.abs(following)
        root = following
        if not moved.any():
            break
    return root
