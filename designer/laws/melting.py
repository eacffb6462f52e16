"""Melting of fat blends: which part of each component is liquid at a temperature.

Every component freezes alone (eutectic) out of an ideal liquid; the members of one family freeze
together into one ideal solid solution. Arrays have the components on the first axis, so that a
sum over components runs along memory; all other axes (draws, temperatures) broadcast.

Symbols: n mole share of a component in the blend, s its ideal solubility, L moles of liquid per
mole of blend, S moles of a family's solid solution, l moles of a component in the liquid.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.constants import GAS_CONSTANT
from designer.vocabulary import Floats, checked

__all__ = ["heat_released", "ideal_solubility", "liquid_amounts", "liquid_mass_share"]

_TOLERANCE = 1e-11
_ACTIVITY_PASSES = 8


def ideal_solubility(
    temperature: ArrayLike, melting_point: ArrayLike, heat_of_fusion: ArrayLike
) -> Floats:
    """Return the ideal solubility of a crystal in any liquid it does not react with.

    Parameters
    ----------
    temperature : array [K]
    melting_point : array [K]
    heat_of_fusion : array [J/mol]

    Returns
    -------
    array [1], broadcast of the three: mole share; above 1 the crystal melts of itself

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    ln s = -(H/R)(1/T - 1/Tm), the exponent held at 50 at most (s e21, all liquid long before).
    Source: Schroeder 1893, van Laar 1903; Prausnitz et al., Molecular Thermodynamics of
    Fluid-Phase Equilibria, 3rd ed. 1999, ch. 11, with equal heat capacities.

    Examples
    --------
    Stearic acid (69.3 °C, 61.2 kJ/mol) at 60 °C:

    >>> round(float(ideal_solubility(333.15, 342.45, 61200.0)), 5)
    0.5488
    """
    temperature, melting_point, heat_of_fusion = checked(
        temperature=temperature, melting_point=melting_point, heat_of_fusion=heat_of_fusion
    )
    exponent = -heat_of_fusion / GAS_CONSTANT * (1 / temperature - 1 / melting_point)
    return np.exp(np.minimum(exponent, 50.0))


def liquid_mass_share(liquid: Floats, amount: Floats, molar_mass: Floats) -> Floats:
    """Return the mass share of the blend that is liquid.

    Parameters
    ----------
    liquid : array (components, ...) [1]
        From `liquid_amounts`.
    amount : array (components,) [1]
    molar_mass : array (components,) [kg/mol]

    Returns
    -------
    array (...) [1]: 1 where all is liquid

    Notes
    -----
    sum l M / sum n M; 100 (1 - this) is the solid fat content in per cent.
    Source: definition, as in ISO 8292-1 for fats.
    """
    amount, molar_mass = checked(amount=amount, molar_mass=molar_mass)
    return np.tensordot(molar_mass, liquid, axes=(0, 0)) / (amount @ molar_mass)


def heat_released(
    liquid: Floats, amount: Floats, molar_mass: Floats, heat_of_fusion: Floats
) -> Floats:
    """Return the heat a blend gives off from all liquid to where `liquid` of it is left.

    Parameters
    ----------
    liquid : array (components, ...) [1]
    amount : array (components,) [1]
    molar_mass : array (components,) [kg/mol]
    heat_of_fusion : array (components,) or (components, ...) [J/mol]

    Returns
    -------
    array (...) [J/kg]

    Notes
    -----
    sum (n - l) H / sum n M; heat of mixing is left out. Source: energy balance.
    """
    amount, molar_mass, heat_of_fusion = checked(
        amount=amount, molar_mass=molar_mass, heat_of_fusion=heat_of_fusion
    )
    solid = _column(amount, liquid) - liquid
    heat = heat_of_fusion if heat_of_fusion.ndim > 1 else _column(heat_of_fusion, liquid)
    released: Floats = (solid * heat).sum(axis=0) / (amount @ molar_mass)
    return released


@dataclass(frozen=True)
class _Blend:
    """The mole shares of a blend, split by how a component freezes.

    singles : index array of components with a crystal of their own
    families : index arrays, one per solid solution
    """

    amounts: Floats
    singles: np.ndarray
    families: tuple[np.ndarray, ...]


def liquid_amounts(
    amount: ArrayLike,
    solubility: Floats,
    families: Sequence[str],
    head_groups: Sequence[str],
    attraction: ArrayLike,
) -> Floats:
    """Return the moles of each component that are liquid at equilibrium, per mole of blend.

    Parameters
    ----------
    amount : array (components,) [1]
        Mole shares of the blend; their sum is 1.
    solubility : array (components, ...) [1]
        `ideal_solubility` of each component; further axes are free. Not limited to 1.
    families : sequence of str
        Components with the same non-empty name freeze into one solid solution.
    head_groups : sequence of str
        "acid", "alcohol" or "" of each component; only acids and alcohols attract each other.
    attraction : array, broadcast against the free axes [1]
        A of ln gamma = A x_o (1 - x_a) for acids, A x_a (1 - x_o) for alcohols, -A x_a x_o for
        the others, with x_a, x_o their shares in the liquid. 0 is the ideal liquid.

    Returns
    -------
    array (components, ...) [1]: 0 to the amount

    Raises
    ------
    ValueError
        An amount or the attraction lies outside its domain.

    Notes
    -----
    single: l = min(n, s L). family: l = n L s/(L s + S), S the root of sum n/(L s + S) = 1, or 0.
    Balance L = 1 - sum max(0, n - s L) - sum S. It is convex in L, its largest root is wanted, and
    Newton from L = 1 comes down to that monotonically. Below the eutectic L = 0.
    The acid-alcohol term goes around the balance eight times, each time with 0.7 of the new
    activity; a later pass starts from the L before wherever Newton still comes from the right.
    Source: ideal liquid and eutectic as in `ideal_solubility`; the attraction is fitted to the
    stearic acid + stearyl alcohol and hexadecanol + palmitic + lauric acid eutectics
    (J. Chem. 2020, 6750605; J. Building Mater. 2013), own form.
    """
    amount, attraction = checked(amount=amount, attraction=attraction)
    blend = _blend(amount, families)
    heads = np.asarray(head_groups)
    acids, alcohols = np.flatnonzero(heads == "acid"), np.flatnonzero(heads == "alcohol")
    if not attraction.any() or not amount[acids].any() or not amount[alcohols].any():
        return _liquid(blend, solubility, _total_liquid(blend, solubility))
    return _attracted(blend, solubility, acids, alcohols, attraction)


def _blend(amount: Floats, families: Sequence[str]) -> _Blend:
    names = np.asarray(families)
    groups = [np.flatnonzero(names == name) for name in sorted(set(families) - {""})]
    # One member alone is a crystal of its own, and cheaper as such.
    alone = [group for group in groups if group.size == 1]
    singles = np.sort(np.concatenate([np.flatnonzero(names == ""), *alone]))
    return _Blend(amount, singles, tuple(group for group in groups if group.size > 1))


def _attracted(
    blend: _Blend, solubility: Floats, acids: np.ndarray, alcohols: np.ndarray, attraction: Floats
) -> Floats:
    cells = solubility.shape[1:]
    strength = np.broadcast_to(attraction, cells)
    acid_share = np.full(cells, blend.amounts[acids].sum())
    alcohol_share = np.full(cells, blend.amounts[alcohols].sum())
    of_acid = of_alcohol = of_other = np.zeros(cells)
    total: Floats | None = None
    for step in range(_ACTIVITY_PASSES):
        new = 1.0 if step == 0 else 0.7
        of_acid = new * strength * alcohol_share * (1 - acid_share) + (1 - new) * of_acid
        of_alcohol = new * strength * acid_share * (1 - alcohol_share) + (1 - new) * of_alcohol
        of_other = -new * strength * acid_share * alcohol_share + (1 - new) * of_other
        effective = solubility * np.exp(-of_other)
        effective[acids] = solubility[acids] * np.exp(-of_acid)
        effective[alcohols] = solubility[alcohols] * np.exp(-of_alcohol)
        total = _total_liquid(blend, effective, total)
        liquid = _liquid(blend, effective, total)
        melted = total >= 1e-9
        sum_liquid = np.where(melted, liquid.sum(axis=0), 1.0)
        acid_share = np.where(
            melted, liquid[acids].sum(axis=0) / sum_liquid, blend.amounts[acids].sum()
        )
        alcohol_share = np.where(
            melted, liquid[alcohols].sum(axis=0) / sum_liquid, blend.amounts[alcohols].sum()
        )
    return liquid


def _column(amounts: Floats, like: Floats) -> Floats:
    return amounts.reshape(-1, *(1,) * (like.ndim - 1))


def _total_liquid(blend: _Blend, solubility: Floats, start: Floats | None = None) -> Floats:
    """Return L, the largest root of the balance, by Newton from the right."""
    cells = solubility.shape[1:]
    flat = solubility.reshape(solubility.shape[0], -1)
    total = np.ones(flat.shape[1])
    if start is not None:
        # A start left of the root is thrown past it by the first step, as the balance is convex.
        total = np.where(start.ravel() > 1e-3, start.ravel(), 1.0)
    active = np.arange(total.size)
    solid = [np.zeros(total.size) for _ in blend.families]
    for step in range(80):
        here = total[active]
        balance, slope, solid_here = _balance(
            blend, flat[:, active], here, [one[active] for one in solid]
        )
        for one, values in zip(solid, solid_here, strict=True):
            one[active] = values
        # Left of the minimum, or at it: from L = 1 that means no liquid; a warm start goes back
        # to the right end once.
        dead = slope <= 1e-12
        restart = 1.0 if start is not None and step == 0 else 0.0
        following = np.where(dead, restart, here - balance / np.where(dead, 1.0, slope))
        following = np.clip(following, 0.0, 1.0)
        total[active] = following
        moving = (np.abs(following - here) > _TOLERANCE) & (following > 0.0)
        active = active[moving]
        if not active.size:
            break
    return total.reshape(cells)


def _balance(
    blend: _Blend, solubility: Floats, total: Floats, guess: list[Floats]
) -> tuple[Floats, Floats, list[Floats]]:
    """Return G(L), its slope, and the solid of each family."""
    singles = blend.singles
    excess = blend.amounts[singles, None] - solubility[singles] * total
    frozen = excess > 0
    balance = total - 1 + np.where(frozen, excess, 0.0).sum(axis=0)
    slope = 1 - np.where(frozen, solubility[singles], 0.0).sum(axis=0)
    solids = []
    for family, before in zip(blend.families, guess, strict=True):
        amount, s = blend.amounts[family, None], solubility[family]
        solid = _family_solid(amount, s * total, before)
        weight = amount / np.maximum(s * total + solid, 1e-30) ** 2
        balance = balance + solid
        share = (weight * s).sum(axis=0) / weight.sum(axis=0)
        slope = slope - np.where(solid > 0, share, 0.0)
        solids.append(solid)
    return balance, slope, solids


def _family_solid(amount: Floats, reach: Floats, guess: Floats) -> Floats:
    """Return S, the root of sum n/(reach + S) = 1, or 0 where all of it is liquid.

    The sum is convex and falling in S, so Newton from the left climbs to the root monotonically;
    the solid of a larger L (the guess) is to the left of it.
    """
    least: Floats = np.maximum(0.0, (amount - reach).max(axis=0))
    left_of_root = (amount / np.maximum(reach + guess, 1e-30)).sum(axis=0) >= 1
    solid = np.where(left_of_root, np.maximum(least, guess), least)
    for _ in range(60):
        inverse = 1 / np.maximum(reach + solid, 1e-30)
        term = amount * inverse
        miss = term.sum(axis=0) - 1
        step = np.where((miss > 0) | (solid > 0), miss / (term * inverse).sum(axis=0), 0.0)
        following = np.maximum(0.0, solid + step)
        done = np.abs(following - solid).max(initial=0.0) <= 1e-13
        solid = following
        if done:
            break
    return solid


def _liquid(blend: _Blend, solubility: Floats, total: Floats) -> Floats:
    liquid = np.minimum(_column(blend.amounts, solubility), solubility * total)
    for family in blend.families:
        amount, reach = _column(blend.amounts[family], solubility), solubility[family] * total
        solid = _family_solid(
            amount.reshape(len(family), -1), reach.reshape(len(family), -1), np.zeros(total.size)
        ).reshape(total.shape)
        share = reach / np.maximum(reach + solid, 1e-30)
        # With no liquid at all the quotient is 0/0 or 1: nothing of it is liquid.
        liquid[family] = np.where(total > 0, amount * share, 0.0)
    return liquid
