"""pH of a solution of weak acids, bases and salts, from the balance of its charges.

Amounts are in mol per kg of water. A group is an acid or base that takes part: its charge with all
protons on, and up to a few pKa, one per proton it can give off; 40 stands for a proton that never
leaves. A strong ion keeps its charge at any pH: only the sum of cations less anions matters.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from designer.laws.acidity import LN10, exponent, moments
from designer.laws.roots import bracketed_root
from designer.vocabulary import Floats, checked

__all__ = ["added_acid", "charge_excess", "solution_ph", "strong_charge_at"]

_LOWEST, _HIGHEST = -2.0, 16.0
_PASSES = 60
_CLOSE = 1e-12
_CHARGELESS = 1e-12
"""mol/kg: less charge than this moves no pH; a proton that never leaves still has a trace of it."""


class _Groups(NamedTuple):
    """Acids and bases, groups on the first axis of the molality."""

    molality: Floats
    charge: Floats
    pka: Floats

    @property
    def shape(self) -> tuple[int, ...]:
        return np.broadcast_shapes(
            self.molality.shape[1:], self.charge.shape[1:], self.pka.shape[2:]
        )

    def totals(self, ph: Floats, lg_gamma: Floats) -> tuple[Floats, Floats, Floats]:
        """Return the charge of all, their part of the ionic strength, the charge's slope in pH."""
        mean, square, slope = moments(ph, lg_gamma, self.charge, self.pka)
        return (
            (self.molality * mean).sum(axis=0),
            (self.molality * square).sum(axis=0) / 2,
            (self.molality * slope).sum(axis=0),
        )


class _Solution(NamedTuple):
    """What charges there are besides those of water."""

    groups: _Groups
    strong: Floats
    inert: Floats
    water_pka: Floats

    @property
    def shape(self) -> tuple[int, ...]:
        return np.broadcast_shapes(
            self.groups.shape, self.strong.shape, self.inert.shape, self.water_pka.shape
        )

    def ions(self, ph: Floats, lg_gamma: Floats) -> tuple[Floats, Floats]:
        """Return the molalities of hydrogen and hydroxide ions."""
        return (
            np.exp(LN10 * (-ph - lg_gamma)),
            np.exp(LN10 * (ph - self.water_pka - lg_gamma)),
        )

    def excess(self, ph: Floats, lg_gamma: Floats) -> Floats:
        """Return positive less negative charge."""
        hydrogen, hydroxide = self.ions(ph, lg_gamma)
        return hydrogen - hydroxide + self.groups.totals(ph, lg_gamma)[0] + self.strong

    def next_activity(self, ph: Floats, lg_gamma: Floats) -> Floats:
        """Return lg gamma of charge one by the ions that there are under another lg gamma."""
        hydrogen, hydroxide = self.ions(ph, lg_gamma)
        strength = self.inert + self.groups.totals(ph, lg_gamma)[1]
        return exponent(strength + (np.abs(self.strong) + hydrogen + hydroxide) / 2)

    def activity(self, ph: Floats) -> Floats:
        """Return lg gamma of charge one, ions and their activity agreeing with each other."""
        shape = np.broadcast_shapes(np.shape(ph), self.shape)
        found = np.broadcast_to(exponent(self.inert), shape)
        for _ in range(_PASSES):
            following = np.broadcast_to(self.next_activity(ph, found), shape)
            done = _agree(following, found)
            found = following
            if done:
                break
        return found


def _agree(one: Floats, other: Floats) -> bool:
    return bool(np.abs(one - other).max(initial=0.0) < _CLOSE)


def charge_excess(
    ph: ArrayLike,
    molality: ArrayLike,
    charge_protonated: ArrayLike,
    pka: ArrayLike,
    strong_charge: ArrayLike,
    inert_strength: ArrayLike,
    water_pka: ArrayLike,
) -> Floats:
    """Return by how much the positive charges of a solution exceed the negative ones.

    Parameters
    ----------
    ph : array (...) [1]
    molality : array (groups, ...) [mol/kg]
    charge_protonated : array (groups, ...) [1]
    pka : array (steps, groups, ...) [1]
    strong_charge : array (...) [mol/kg]
        Charge of strong cations less that of strong anions.
    inert_strength : array (...) [mol/kg]
        Ionic strength of salts that balance themselves.
    water_pka : array (...) [1]

    Returns
    -------
    array (...) [mol/kg]: 0 at the pH of the solution, falling with pH

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    [H] - [OH] + sum C z + strong, the ionic strength being that of all ions at this pH.
    Source: electroneutrality; activity coefficients as `acidity.davies_exponent`.

    Examples
    --------
    Pure water at its neutral point:

    >>> float(charge_excess(7.0, [0.0], [0.0], [[40.0]], 0.0, 0.0, 14.0))
    0.0
    """
    (ph,) = checked(ph=ph)
    solution = _solution(molality, charge_protonated, pka, strong_charge, inert_strength, water_pka)
    return solution.excess(ph, solution.activity(ph))


def _solution(
    molality: ArrayLike,
    charge_protonated: ArrayLike,
    pka: ArrayLike,
    strong_charge: ArrayLike,
    inert_strength: ArrayLike,
    water_pka: ArrayLike,
) -> _Solution:
    molality, charge, pka, strong, inert, water_pka = checked(
        molality=molality,
        charge_protonated=charge_protonated,
        pka=pka,
        strong_charge=strong_charge,
        inert_strength=inert_strength,
        water_pka=water_pka,
    )
    return _Solution(_Groups(molality, charge, pka), strong, inert, water_pka)


def solution_ph(
    molality: ArrayLike,
    charge_protonated: ArrayLike,
    pka: ArrayLike,
    strong_charge: ArrayLike,
    inert_strength: ArrayLike,
    water_pka: ArrayLike,
) -> Floats:
    """Return the pH at which the charges of a solution balance.

    Parameters
    ----------
    molality : array (groups, ...) [mol/kg]
    charge_protonated : array (groups, ...) [1]
    pka : array (steps, groups, ...) [1]
    strong_charge : array (...) [mol/kg]
        Charge of strong cations less that of strong anions: sodium counts, chloride against it.
    inert_strength : array (...) [mol/kg]
        Ionic strength of salts that balance themselves.
    water_pka : array (...) [1]

    Returns
    -------
    array (...) [1]: negative logarithm of the activity of the hydrogen ion, within -2 to 16

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    The root of `charge_excess`, ionic strength and pH found in turn until they agree. Against
    certified buffers it errs by 0.01 (rms) up to an ionic strength of 0.1 mol/kg; against buffers
    of 0.5 mol/kg by 0.1 to 0.2.
    Source: electroneutrality; activity coefficients as `acidity.davies_exponent`.

    Examples
    --------
    Potassium dihydrogen citrate, 0.05 mol/kg, certified 3.776 (Staples and Bates 1969):

    >>> citric = ([0.05], [0.0], [[3.128], [4.761], [6.396]])
    >>> round(float(solution_ph(*citric, 0.05, 0.0, 13.995)), 2)
    3.77
    """
    solution = _solution(molality, charge_protonated, pka, strong_charge, inert_strength, water_pka)
    ph = np.full(solution.shape, 7.0)
    lg_gamma = np.broadcast_to(exponent(solution.inert), solution.shape)
    for _ in range(_PASSES):
        ph = _balanced(solution, lg_gamma, ph)
        following = np.broadcast_to(solution.next_activity(ph, lg_gamma), solution.shape)
        done = _agree(following, lg_gamma)
        lg_gamma = following
        if done:
            break
    return ph


def _balanced(solution: _Solution, lg_gamma: Floats, near: Floats) -> Floats:
    """Return the pH at which the charges balance under given activity coefficients."""

    def lack(ph: Floats) -> tuple[Floats, Floats]:
        hydrogen, hydroxide = solution.ions(ph, lg_gamma)
        mean, _, slope = solution.groups.totals(ph, lg_gamma)
        value = hydroxide - hydrogen - mean - solution.strong
        return value, LN10 * (hydroxide + hydrogen) - slope

    # From the second pass on the root is near: a wide bracket would cost the most of the time.
    low, high = near - 0.1, near + 0.1
    low = np.where(lack(low)[0] <= 0, low, _LOWEST)
    high = np.where(lack(high)[0] >= 0, high, _HIGHEST)
    return bracketed_root(lack, low, high)


def strong_charge_at(
    ph: ArrayLike,
    molality: ArrayLike,
    charge_protonated: ArrayLike,
    pka: ArrayLike,
    inert_strength: ArrayLike,
    water_pka: ArrayLike,
) -> Floats:
    """Return the strong charge that a solution must hold to have a known pH.

    Parameters
    ----------
    ph : array (...) [1]
    molality : array (groups, ...) [mol/kg]
    charge_protonated : array (groups, ...) [1]
    pka : array (steps, groups, ...) [1]
    inert_strength : array (...) [mol/kg]
    water_pka : array (...) [1]

    Returns
    -------
    array (...) [mol/kg]: strong cations less strong anions

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    The inverse of `solution_ph`: how a raw material of declared pH enters a mixture.
    Source: as `solution_ph`.

    Examples
    --------
    The potassium of potassium hydrogen phthalate, certified 4.005 at 0.05 mol/kg:

    >>> phthalic = ([0.05], [0.0], [[2.950], [5.408]])
    >>> round(float(strong_charge_at(4.005, *phthalic, 0.0, 13.995)), 2)
    0.05
    """
    (ph,) = checked(ph=ph)
    bare = _solution(molality, charge_protonated, pka, 0.0, inert_strength, water_pka)
    strong = np.zeros(np.broadcast_shapes(ph.shape, bare.shape))
    lg_gamma = np.broadcast_to(exponent(bare.inert), strong.shape)
    for _ in range(_PASSES):
        lg_gamma = bare._replace(strong=strong).next_activity(ph, lg_gamma)
        following = -bare.excess(ph, lg_gamma)
        done = _agree(following, strong)
        strong = following
        if done:
            break
    return strong


def added_acid(
    ph: ArrayLike,
    molality: ArrayLike,
    charge_protonated: ArrayLike,
    pka: ArrayLike,
    strong_charge: ArrayLike,
    inert_strength: ArrayLike,
    water_pka: ArrayLike,
    acid_content: ArrayLike,
    acid_charge: ArrayLike,
    acid_pka: ArrayLike,
    acid_strong: ArrayLike,
) -> Floats:
    """Return how much of one more acid, base or salt brings a solution to a pH.

    Parameters
    ----------
    ph : array (...) [1]
        Wanted.
    molality : array (groups, ...) [mol/kg]
    charge_protonated : array (groups, ...) [1]
    pka : array (steps, groups, ...) [1]
    strong_charge : array (...) [mol/kg]
    inert_strength : array (...) [mol/kg]
    water_pka : array (...) [1]
    acid_content : array (acid groups, ...) [mol/kg]
        Of what is added, per kg of it.
    acid_charge : array (acid groups, ...) [1]
        With all protons on.
    acid_pka : array (steps, acid groups, ...) [1]
    acid_strong : array (...) [mol/kg]
        Strong cations less anions that come with it, per kg of it.

    Returns
    -------
    array (...) [1]: kg of it per kg of water; negative where the solution is past that pH already,
    infinite where what is added cannot move it there

    Raises
    ------
    ValueError
        An argument lies outside its domain in the vocabulary; NaN always does.

    Notes
    -----
    `charge_excess` without it over the charge that each kg brings at that pH; the ionic strength
    it adds is found in turn. Source: as `solution_ph`.

    Examples
    --------
    Citric acid, 192.12 g/mol, for pH 5 in 0.1 mol/kg sodium acetate, in g per kg of water:

    >>> acetate = ([0.1], [0.0], [[4.756]], 0.1, 0.0, 13.995)
    >>> citric = ([1 / 0.19212], [0.0], [[3.128], [4.761], [6.396]], 0.0)
    >>> round(1000 * float(added_acid(5.0, *acetate, *citric)), 1)
    3.1
    """
    ph, content, acid_charge, acid_pka, acid_strong = checked(
        ph=ph,
        acid_content=acid_content,
        acid_charge=acid_charge,
        acid_pka=acid_pka,
        acid_strong=acid_strong,
    )
    bare = _solution(molality, charge_protonated, pka, strong_charge, inert_strength, water_pka)
    acid = _Groups(content, acid_charge, acid_pka)
    added = np.zeros(np.broadcast_shapes(ph.shape, bare.shape, acid.shape, acid_strong.shape))
    following, own = added, added
    lg_gamma = np.broadcast_to(exponent(bare.inert), added.shape)
    for _ in range(_PASSES):
        lg_gamma = bare._replace(inert=bare.inert + np.abs(added) * own).next_activity(ph, lg_gamma)
        mean, own, _ = acid.totals(ph, lg_gamma)
        each = mean + acid_strong
        own = own + np.abs(acid_strong) / 2
        with np.errstate(divide="ignore", invalid="ignore"):
            following = np.where(
                np.abs(each) < _CHARGELESS, np.inf, -bare.excess(ph, lg_gamma) / each
            )
        # An endless amount has no ionic strength to go on with.
        finite = np.where(np.isfinite(following), following, 0.0)
        done = _agree(finite, added)
        added = finite
        if done:
            break
    return following
