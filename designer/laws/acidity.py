"""Acids: which share of a weak acid is not split into ions, the form that preserves."""

import numpy as np
from numpy.typing import ArrayLike

from designer.vocabulary import Floats, checked

__all__ = ["undissociated_share"]


def undissociated_share(ph: ArrayLike, pka: ArrayLike) -> Floats:
    """Return the share of a weak acid that is not dissociated.

    Parameters
    ----------
    ph : array [1]
    pka : array [1]

    Returns
    -------
    array [1], broadcast of the two

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    1/(1 + 10^(pH - pKa)), activity coefficients left out.
    Source: L. J. Henderson 1908, K. A. Hasselbalch 1916.

    Examples
    --------
    Benzoic acid (pKa 4.20) at pH 5:

    >>> round(100 * float(undissociated_share(5.0, 4.20)), 1)
    13.7
    """
    ph, pka = checked(ph=ph, pka=pka)
    return 1 / (1 + np.power(10.0, ph - pka))
