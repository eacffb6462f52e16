"""Melting of fat blends: which part of each component is liquid at a temperature.

Every component freezes alone (eutectic) out of an ideal liquid; the members of one family freeze
together into one ideal solid solution. Arrays have the components on the first axis, so that a
sum over components runs along memory; all other axes (draws, temperatures) broadcast.

Symbols: n mole share of a component in the blend, s its ideal solubility, L moles of liquid per
mole of blend, S moles of a family's solid solution, l moles of a component in the liquid.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.constants import GAS_CONSTANT
from designer.vocabulary import Floats, checked

__all__ = ["heat_released", "ideal_solubility", "liquid_amounts", "liquid_mass_share"]

_TOLERANCE = 1e-11
_LAST_STEP = 1e-9
_ACTIVITY_PASSES = 8

Solids: TypeAlias = list[Floats] | None


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


def _column(amounts: Floats, like: Floats) -> Floats:
    return amounts.reshape(-1, *(1,) * (like.ndim - 1))


@dataclass(frozen=True)
class _Blend:
    """The components of a blend, those that freeze alike side by side.

    order : int array (components,)
        Where each stood in the blend: first those with a crystal of their own, then the families.
    amounts : array (components, 1), in that order
    singles : slice of components with a crystal of their own
    families : slices, one per solid solution
    acids, alcohols : int arrays, places in that order
    """

    order: np.ndarray
    amounts: Floats
    singles: slice
    families: tuple[slice, ...]
    acids: np.ndarray
    alcohols: np.ndarray


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
    blend = _blend(amount, families, head_groups)
    cells = solubility.shape[1:]
    ordered = solubility.reshape(amount.size, -1).take(blend.order, axis=0)
    has_both = amount[blend.order][blend.acids].any() and amount[blend.order][blend.alcohols].any()
    if attraction.any() and has_both:
        found = _attracted(blend, ordered, np.broadcast_to(attraction, cells).ravel())
    else:
        found, _, _ = _frozen_out(blend, ordered)
    liquid = np.empty_like(found)
    liquid[blend.order] = found
    return liquid.reshape(solubility.shape)


def _blend(amount: Floats, families: Sequence[str], head_groups: Sequence[str]) -> _Blend:
    names = np.asarray(families)
    groups = [np.flatnonzero(names == name) for name in sorted(set(families) - {""})]
    # One member alone is a crystal of its own, and cheaper as such.
    alone = [group for group in groups if group.size == 1]
    singles = np.sort(np.concatenate([np.flatnonzero(names == ""), *alone]))
    groups = [group for group in groups if group.size > 1]
    order = np.concatenate([singles, *groups])
    ends = singles.size + np.cumsum([0, *(group.size for group in groups)])
    heads = np.asarray(head_groups)[order]
    return _Blend(
        order,
        amount[order, None],
        slice(0, singles.size),
        tuple(slice(start, end) for start, end in itertools.pairwise(ends.tolist())),
        np.flatnonzero(heads == "acid"),
        np.flatnonzero(heads == "alcohol"),
    )


def _attracted(blend: _Blend, solubility: Floats, strength: Floats) -> Floats:
    """Return what is liquid (components, cells) where acids and alcohols attract each other."""
    found = np.empty_like(solubility)
    acids, alcohols = blend.acids, blend.alcohols
    live = np.arange(strength.size)
    acid_share = np.full(strength.size, blend.amounts[acids].sum())
    alcohol_share = np.full(strength.size, blend.amounts[alcohols].sum())
    total: Floats | None = None
    solids: Solids = None
    of_acid = of_alcohol = of_other = np.zeros(strength.size)
    for step in range(_ACTIVITY_PASSES):
        new = 1.0 if step == 0 else 0.7
        of_acid = new * strength * alcohol_share * (1 - acid_share) + (1 - new) * of_acid
        of_alcohol = new * strength * acid_share * (1 - alcohol_share) + (1 - new) * of_alcohol
        of_other = -new * strength * acid_share * alcohol_share + (1 - new) * of_other
        effective = solubility * np.exp(-of_other)
        effective[acids] = solubility[acids] * np.exp(-of_acid)
        effective[alcohols] = solubility[alcohols] * np.exp(-of_alcohol)
        liquid, total, solids = _frozen_out(blend, effective, total, solids)
        if step == 0:
            # With all of it liquid, or none, the shares in the liquid stay, and so does the rest.
            found[:] = liquid
            live = np.flatnonzero((total < 1) & (total >= 1e-9))
            liquid, solubility = (each.take(live, axis=1) for each in (liquid, solubility))
            total, strength, solids = total[live], strength[live], [one[live] for one in solids]
            of_acid, of_alcohol, of_other = of_acid[live], of_alcohol[live], of_other[live]
        melted = total >= 1e-9
        sum_liquid = np.where(melted, liquid.sum(axis=0), 1.0)
        acid_share, alcohol_share = (
            np.where(melted, liquid[heads].sum(axis=0) / sum_liquid, blend.amounts[heads].sum())
            for heads in (acids, alcohols)
        )
    found[:, live] = liquid
    return found


def _frozen_out(
    blend: _Blend, solubility: Floats, start: Floats | None = None, solids: Solids = None
) -> tuple[Floats, Floats, list[Floats]]:
    """Return what is liquid (components, cells), its sum L, and the solid of each family.

    `start` and `solids` are the last two of a solubility near by.
    """
    total, solids = _total_liquid(blend, solubility, start, solids)
    reach = solubility * total
    liquid = np.minimum(blend.amounts, reach)
    for place, family in enumerate(blend.families):
        amount, own = blend.amounts[family], reach[family]
        solids[place] = solid = _family_solid(amount, own, solids[place])
        share = own / np.maximum(own + solid, 1e-30)
        # With no liquid at all the quotient is 0/0 or 1: nothing of it is liquid.
        liquid[family] = np.where(total > 0, amount * share, 0.0)
    return liquid, total, solids


def _total_liquid(
    blend: _Blend, solubility: Floats, start: Floats | None, solids: Solids
) -> tuple[Floats, list[Floats]]:
    """Return L, the largest root of the balance, by Newton from the right, and the solids."""
    cells = solubility.shape[1]
    # A start left of the root is thrown past it by the first step, as the balance is convex.
    total = np.ones(cells) if start is None else np.where(start > 1e-3, start, 1.0)
    solids = [np.zeros(cells) for _ in blend.families] if solids is None else list(solids)
    here, guess, place = total, solids, np.arange(cells)
    active = np.ones(cells, dtype=bool)
    for step in range(80):
        balance, slope, guess = _balance(blend, solubility, here, guess)
        # Left of the minimum, or at it: from L = 1 that means no liquid; a warm start goes back
        # to the right end once.
        dead = slope <= 1e-12
        restart = 1.0 if start is not None and step == 0 else 0.0
        following = np.where(dead, restart, here - balance / np.where(dead, 1.0, slope))
        following = np.where(active, np.minimum(np.maximum(following, 0.0), 1.0), here)
        active &= (np.abs(following - here) > _TOLERANCE) & (following > 0.0)
        here = following
        left = np.count_nonzero(active)
        if left < 0.8 * active.size:
            total[place] = here
            for one, values in zip(solids, guess, strict=True):
                one[place] = values
            if not left:
                return total, solids
            # Unlike an index, this keeps a component's cells side by side in memory.
            solubility = solubility.compress(active, axis=1)
            here, place = here[active], place[active]
            guess, active = [one[active] for one in guess], active[active]
    total[place] = here
    return total, solids


def _balance(
    blend: _Blend, solubility: Floats, total: Floats, guess: list[Floats]
) -> tuple[Floats, Floats, list[Floats]]:
    """Return G(L), its slope, and the solid of each family."""
    own = solubility[blend.singles]
    excess = blend.amounts[blend.singles] - own * total
    slope = 1 - (own * (excess > 0)).sum(axis=0)
    balance = total - 1 + np.maximum(excess, 0.0, out=excess).sum(axis=0)
    solids = []
    for family, before in zip(blend.families, guess, strict=True):
        amount, s = blend.amounts[family], solubility[family]
        reach = s * total
        solid = _family_solid(amount, reach, before)
        weight = amount / np.maximum(reach + solid, 1e-30) ** 2
        balance = balance + solid
        share = (weight * s).sum(axis=0) / weight.sum(axis=0)
        slope = slope - np.where(solid > 0, share, 0.0)
        solids.append(solid)
    return balance, slope, solids


def _family_solid(amount: Floats, reach: Floats, guess: Floats) -> Floats:
    """Return S, the root of sum n/(reach + S) = 1, or 0 where all of it is liquid.

    The sum is convex and falling in S, so Newton climbs to the root monotonically from the left,
    and a guess to the right of it is thrown to the left by the first step.
    """
    least: Floats = np.maximum(0.0, (amount - reach).max(axis=0))
    solid = np.maximum(least, guess)
    held = np.empty_like(reach)
    for _ in range(60):
        np.add(reach, solid, out=held)
        np.maximum(held, 1e-30, out=held)
        term = amount / held
        miss = term.sum(axis=0) - 1
        np.divide(term, held, out=term)
        following = np.maximum(least, solid + miss / term.sum(axis=0))
        # The next step would be of the square of this one.
        done = np.abs(following - solid).max(initial=0.0) <= _LAST_STEP
        solid = following
        if done:
            break
    return solid
