"""Acids and bases one by one: the share not dissociated, the charge of a group, activity, warmth.

`charge_balance` puts them together to the pH of a solution.
"""

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.constants import GAS_CONSTANT, REFERENCE_TEMPERATURE
from designer.vocabulary import Floats, checked

__all__ = ["davies_exponent", "group_charge", "pka_at_temperature", "undissociated_share"]

LARGEST_DAVIES = 0.6
"""mol/kg: above it the Davies equation turns round, so its value there is kept."""

_DEBYE_HUCKEL = 0.509
"""(kg/mol)^(1/2), of the decadic logarithm, water at 25 °C."""

LN10 = float(np.log(10.0))


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


def davies_exponent(ionic_strength: ArrayLike) -> Floats:
    """Return the decadic logarithm of the activity coefficient of an ion of charge one.

    Parameters
    ----------
    ionic_strength : array [mol/kg]

    Returns
    -------
    array [1]; of an ion of charge z it is z^2 times that

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    -0.509 (sqrt(I)/(1 + sqrt(I)) - 0.3 I) at 25 °C, I held to 0.6. Error about 0.02 at 0.1 mol/kg
    and 0.1 at 0.5. Source: C. W. Davies, Ion Association, 1962; the first form had 0.2 for 0.3.

    Examples
    --------
    An ion of charge one at 0.1 mol/kg is 0.78 as active as it is many:

    >>> round(float(10 ** davies_exponent(0.1)), 2)
    0.78
    """
    (strength,) = checked(ionic_strength=ionic_strength)
    return exponent(strength)


def exponent(strength: Floats) -> Floats:
    held = np.minimum(strength, LARGEST_DAVIES)
    root = np.sqrt(held)
    found: Floats = -_DEBYE_HUCKEL * (root / (1 + root) - 0.3 * held)
    return found


def pka_at_temperature(
    pka: ArrayLike, dissociation_heat: ArrayLike, temperature: ArrayLike
) -> Floats:
    """Return a pKa at a temperature, of a group known at 25 °C.

    Parameters
    ----------
    pka : array [1]
        At 25 °C.
    dissociation_heat : array [J/mol]
        Heat taken up when the proton leaves.
    temperature : array [K]

    Returns
    -------
    array [1], broadcast of the three

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    pKa - q/(R ln 10) (1/298.15 - 1/T), q taken as constant. Source: J. H. van 't Hoff 1884.

    Examples
    --------
    Water, 55.8 kJ/mol; tables print 13.53 to 13.54 at 40 °C (from memory):

    >>> round(float(pka_at_temperature(13.995, 55800.0, 313.15)), 2)
    13.53
    """
    pka, dissociation_heat, temperature = checked(
        pka=pka, dissociation_heat=dissociation_heat, temperature=temperature
    )
    per_degree = 1 / REFERENCE_TEMPERATURE - 1 / temperature
    return pka - dissociation_heat / (GAS_CONSTANT * LN10) * per_degree


def group_charge(
    ph: ArrayLike, ionic_strength: ArrayLike, charge_protonated: ArrayLike, pka: ArrayLike
) -> Floats:
    """Return the mean charge of a group.

    Parameters
    ----------
    ph : array (...) [1]
    ionic_strength : array (...) [mol/kg]
    charge_protonated : array (...) [1]
        With all protons on: 0 for most acids, 1 for an amine.
    pka : array (steps, ...) [1]
        Of the first, second, ... proton; 40 for a proton that never leaves.

    Returns
    -------
    array (...) [1]

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    Mean over the species, each weighted with b_j = b_(j-1) 10^(pH - pKa'_j), b_0 = 1;
    pKa' = pKa + (z_b^2 - z_a^2) lg gamma, z_a and z_b the charges with and without the proton.
    Source: any textbook of solution chemistry, as J. N. Butler, Ionic Equilibrium, 1998.

    Examples
    --------
    Half of acetic acid (pKa 4.756) is dissociated at its pKa, where no other ions are:

    >>> float(group_charge(4.756, 0.0, 0.0, [4.756]))
    -0.5
    """
    ph, strength, charge, pka = checked(
        ph=ph, ionic_strength=ionic_strength, charge_protonated=charge_protonated, pka=pka
    )
    return moments(ph, exponent(strength), charge, pka)[0]


def moments(ph: Floats, exponent: Floats, charge: Floats, pka: Floats) -> tuple[Floats, ...]:
    """Return the mean charge of groups, its square's mean, and the slope of the mean over pH."""
    log_share = np.zeros(np.broadcast_shapes(ph.shape, exponent.shape, charge.shape, pka.shape[1:]))
    logs = [log_share]
    for step, one in enumerate(pka):
        # (z - 1)^2 - z^2, z the charge before this proton leaves.
        squares = 1 - 2 * (charge - step)
        log_share = log_share + (ph - one - squares * exponent)
        logs.append(log_share)
    highest = np.maximum.reduce(logs)
    total = mean = square = np.zeros_like(highest)
    for left, log in enumerate(logs):
        share = np.exp(LN10 * (log - highest))
        total = total + share
        mean = mean + share * left
        square = square + share * left**2
    mean, square = mean / total, square / total
    spread = square - mean**2
    # Of the charge z0 - j, j protons having left.
    return charge - mean, charge**2 - 2 * charge * mean + square, -LN10 * spread
