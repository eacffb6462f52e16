"""Firmness of a pressed bar: from the dough it was, by setting fat, lost water and age."""

import numpy as np
from numpy.typing import ArrayLike

from designer.vocabulary import Floats, checked

__all__ = ["aged_set_share", "bar_strength", "rested_strength", "setting_gain"]


def setting_gain(
    time: ArrayLike,
    set_share: ArrayLike,
    melt_fraction: ArrayLike,
    reference: ArrayLike,
    gain: ArrayLike,
    time_constant: ArrayLike,
) -> Floats:
    """Return the factor by which set fat ties an undisturbed bar together.

    Parameters
    ----------
    time : array [s]
        Since shaping.
    set_share : array [1]
        Of the melt.
    melt_fraction : array [1]
        Melt per dough.
    reference : array [1]
        Melt fraction from which more fat ties no better.
    gain : array [1]
        Of a bar with all of that melt set.
    time_constant : array [s]

    Returns
    -------
    array [1]: 1 at shaping

    Notes
    -----
    1 + gain xi min(1, melt/reference)(1 - e^(-t/tau)). Source: own form and estimates.

    Examples
    --------
    >>> round(float(setting_gain(1e9, 0.5, 0.15, 0.15, 2.3, 7200.0)), 3)
    2.15
    """
    time, set_share, melt_fraction, reference, gain, time_constant = checked(
        time=time,
        set_share=set_share,
        melt_fraction=melt_fraction,
        reference=reference,
        gain=gain,
        time_constant=time_constant,
    )
    fat = gain * set_share * np.minimum(1.0, melt_fraction / reference)
    return 1 - fat * np.expm1(-time / time_constant)


def bar_strength(firmness: ArrayLike, gain: ArrayLike, limit: ArrayLike) -> Floats:
    """Return the strength of a bar.

    Parameters
    ----------
    firmness : array [Pa]
        Of the dough at its present wetness.
    gain : array [1]
        `setting_gain`.
    limit : array [Pa]
        Strength no bar passes.

    Returns
    -------
    array [Pa]

    Notes
    -----
    [(s B)^-2 + limit^-2]^(-1/2). Source: own form; the limit is an estimate.

    Examples
    --------
    >>> round(float(bar_strength(20000.0, 3.0, 600000.0)))
    59702
    """
    firmness, gain, limit = checked(firmness=firmness, gain=gain, limit=limit)
    strong = firmness * gain
    return strong / np.sqrt(1 + (strong / limit) ** 2)


def aged_set_share(
    time: ArrayLike,
    set_share: ArrayLike,
    fresh: ArrayLike,
    aged: ArrayLike,
    time_constant: ArrayLike,
) -> Floats:
    """Return the set share of the melt in a bar whose crystals go over to their stable form.

    Parameters
    ----------
    time : array [s]
        Since shaping.
    set_share : array [1]
        From cooling with fresh crystals.
    fresh, aged : array [1]
        Set shares at equilibrium of fresh and of aged crystals, at the present temperature.
    time_constant : array [s]

    Returns
    -------
    array [1]

    Notes
    -----
    xi + max(0, aged - fresh)(1 - e^(-t/tau)). Source: forms IV to V of cocoa butter within weeks
    (R. L. Wille, E. S. Lutton, JAOCS 43 (1966) 491); time constant estimated.

    Examples
    --------
    >>> round(float(aged_set_share(604800.0, 0.3, 0.4, 0.6, 604800.0)), 4)
    0.4264
    """
    time, set_share, time_constant = checked(
        time=time, set_share=set_share, time_constant=time_constant
    )
    fresh, aged = checked(fresh=fresh, aged=aged)
    ripened: Floats = set_share - np.maximum(0.0, aged - fresh) * np.expm1(-time / time_constant)
    return ripened


def rested_strength(
    time: ArrayLike, firmness: ArrayLike, gain: ArrayLike, time_constant: ArrayLike
) -> Floats:
    """Return the strength at the first touch after a rest; working undoes the gain.

    Parameters
    ----------
    time : array [s]
        Of rest.
    firmness : array [Pa]
    gain : array [1]
    time_constant : array [s]

    Returns
    -------
    array [Pa]

    Notes
    -----
    s (1 + gain (1 - e^(-t/tau))). Source: thixotropy, common practice, no source for the numbers.

    Examples
    --------
    >>> round(float(rested_strength(600.0, 10000.0, 0.35, 600.0)))
    12212
    """
    time, firmness, gain, time_constant = checked(
        time=time, firmness=firmness, gain=gain, time_constant=time_constant
    )
    return firmness * (1 - gain * np.expm1(-time / time_constant))
