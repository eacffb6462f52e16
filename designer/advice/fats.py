"""Fats against each other: how alike two are, and how much of one takes the place of another.

All at the tabled values, without spread: what is compared is fat with fat, and the figures shown
of a swap come from the full evaluation.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from designer.evaluation.knowledge import central
from designer.evaluation.melt_table import MeltTable, melt_table
from designer.handbook import Handbook, Melt
from designer.laws import melting
from designer.vocabulary import Floats

__all__ = ["STORE", "FatBalance", "FatModel", "Kept", "fat_model"]

Components = tuple[tuple[str, float], ...]
"""Names of melt components with their mass fractions."""

STORE = 298.15
"""Where the solid fat of a bar in store is looked at [K]; common practice, no source."""

_COMPARED = np.arange(20.0, 45.1, 2.5) + 273.15
"""Temperatures at which two fats are compared [K]."""

_HEAT_SPAN = np.array([20.0, 60.0]) + 273.15
"""Between these the heat of setting is compared [K]."""

_LIQUID_SCALE, _DENSITY_SCALE, _HEAT_SCALE = 0.10, 20.0, 20e3
"""Differences that count 1 each: liquid share [1], density [kg/m^3], heat [J/kg]; own estimate."""

_PIECE = 0.05
"""Step that slopes are found by [g per kg of dough]."""

_FURTHEST = 3.0
"""Most of a stand-in, per mass of what goes out."""

_STARTS = ((1.0, 0.0), (0.6, 0.4), (0.3, 0.7))
"""Stand-in and companion to begin from, per mass of what goes out."""

_CLOSE = 0.02
"""A balance this near needs no other start [g per kg of dough]."""

_MOST_STEPS, _LAST_STEPS = 12, 6
"""Steps of a search, and of one that begins where the plain model ended."""

_HOPELESS = 5.0
"""With so much left over in the plain model no attraction mends it [g per kg of dough]."""


@dataclass(frozen=True, eq=False)
class Profile:
    """What one fat does alone.

    Attributes
    ----------
    liquid : array (2, temperatures) [1]
        Liquid share fresh and aged at the temperatures compared.
    heat : float [J/kg]
        Of setting between 60 and 20 °C, fresh.
    density : float [kg/m^3]
    """

    liquid: Floats
    heat: float
    density: float


@dataclass(frozen=True, eq=False)
class Kept:
    """What a swap of fats keeps: liquid fat at the knead, solid fat in the aged bar in store.

    Attributes
    ----------
    others : array (components,) [g/kg]
        The melt without what goes out; half of that where half of it stays.
    out : float [g/kg]
        What goes out.
    knead, store : float [K]
        The temperatures they are taken at.
    goals : mapping of attraction to array (2,) [g/kg]
        Liquid and solid before the swap, as each model sees them.
    """

    others: Floats
    out: float
    knead: float
    store: float
    goals: Mapping[float, Floats]


@dataclass(frozen=True)
class FatBalance:
    """How much of a stand-in and its companion keep both.

    Attributes
    ----------
    amount, extra : float [g/kg]
        Of the stand-in and of the companion.
    companion : Melt or None
        None where the stand-in does alone.
    residual : float [g/kg]
        What is left of the two differences, root of the sum of squares.
    is_given : bool
        Whether the amount was not sought, so that one of the two differences may stay.
    """

    amount: float
    extra: float
    companion: Melt | None
    residual: float
    is_given: bool = False


@dataclass(frozen=True, eq=False)
class FatModel:
    """All melt components of a handbook at their tabled values.

    Attributes
    ----------
    handbook : Handbook
    names : tuple of str
        The components, in the order of every array here.
    table : MeltTable
        Holds their crystals; it is of no blend in particular.
    attraction : float [1]
        Of acids and alcohols.
    """

    handbook: Handbook
    names: tuple[str, ...]
    table: MeltTable
    attraction: float

    @cached_property
    def ideal(self) -> "FatModel":
        """The same without the attraction: the plain model."""
        return FatModel(self.handbook, self.names, self.table, 0.0)

    @cached_property
    def _place(self) -> dict[str, int]:
        return {name: k for k, name in enumerate(self.names)}

    def parts(self, components: Components) -> Floats:
        """Return a material's components as mass fractions of every one (components,) [1]."""
        found = np.zeros(len(self.names))
        for name, fraction in components:
            found[self._place[name]] += fraction
        return found

    def liquid_shares(self, masses: Floats, fresh: Floats, aged: Floats) -> tuple[Floats, Floats]:
        """Return the liquid share of a blend by mass [1], fresh and aged, at temperatures [K].

        `masses` (components,) in any unit; without any the share is 1.
        """
        if masses.sum() <= 0:
            return np.ones(fresh.size), np.ones(aged.size)
        there, amount, liquid = self._solved(masses, fresh, aged)
        share = melting.liquid_mass_share(liquid, amount, self.table.molar_mass[there])
        return share[: fresh.size], share[fresh.size :]

    def _solved(
        self, masses: Floats, fresh: Floats, aged: Floats
    ) -> tuple[NDArray[np.intp], Floats, Floats]:
        """Return which components there are, their mole shares, and what of them is liquid."""
        there = np.flatnonzero(masses > 0)
        moles = masses[there] / self.table.molar_mass[there]
        amount = moles / moles.sum()
        crystals = ((self.table.fresh, fresh), (self.table.aged, aged))
        solubility = np.hstack(
            [
                melting.ideal_solubility(at, one.point[there, :1], one.heat[there, :1])
                for one, at in crystals
            ]
        )
        families = [self.table.families[k] for k in there]
        groups = [self.table.head_groups[k] for k in there]
        attraction = np.full(solubility.shape[1], self.attraction)
        liquid = melting.liquid_amounts(amount, solubility, families, groups, attraction)
        return there, amount, liquid

    def profile(self, components: Components, density: float) -> Profile:
        """Return what a fat of these components and density [kg/m^3] does alone."""
        fresh = np.concatenate([_COMPARED, _HEAT_SPAN])
        masses = self.parts(components)
        there, amount, liquid = self._solved(masses, fresh, _COMPARED)
        molar_mass = self.table.molar_mass[there]
        share = melting.liquid_mass_share(liquid, amount, molar_mass)
        count = _COMPARED.size
        heat = melting.heat_released(
            liquid[:, count : fresh.size],
            amount,
            molar_mass,
            self.table.fresh.heat[there, :1],
        )
        return Profile(
            np.stack([share[:count], share[fresh.size :]]),
            float(heat[0] - heat[1]),
            density,
        )

    def distance(self, one: Melt, other: Melt) -> float:
        """Return how unlike two fats are: below 1.5 near twins, above 3 hardly a swap.

        Notes
        -----
        D = sqrt((dl/0.10)^2 + (d density/0.02 g/mL)^2 + (dE/20 J/g)^2), dl the root mean square
        difference of the liquid share fresh and aged over 20 to 45 °C, E the heat of setting
        from 60 to 20 °C. Own form; the scales are own estimates.
        """
        first, second = (_profile(self, melt.components, melt.density) for melt in (one, other))
        liquid = float(np.sqrt(np.mean((first.liquid - second.liquid) ** 2)))
        return float(
            np.sqrt(
                (liquid / _LIQUID_SCALE) ** 2
                + ((first.density - second.density) / _DENSITY_SCALE) ** 2
                + ((first.heat - second.heat) / _HEAT_SCALE) ** 2
            )
        )

    def kept(
        self, others: Floats, melt: Melt, out: float, knead: float, store: float = STORE
    ) -> Kept:
        """Return what a swap keeps, where `out` [g/kg] of `melt` goes out of a melt.

        `others` (components,) [g/kg] is all that stays of the melt.
        """
        whole = others + out * self.parts(melt.components)
        models = {model.attraction: model for model in (self.ideal, self)}
        goals = {
            attraction: model._amounts(whole, knead, store) for attraction, model in models.items()
        }
        return Kept(others, out, knead, store, goals)

    def _amounts(self, masses: Floats, knead: float, store: float) -> Floats:
        """Return liquid fat at the knead and solid fat in the aged bar (2,) [g/kg]."""
        fresh, aged = self.liquid_shares(masses, np.array([knead]), np.array([store]))
        amounts: Floats = masses.sum() * np.array([fresh[0], 1 - aged[0]])
        return amounts

    def balance(
        self,
        kept: Kept,
        stand_in: Melt,
        softer: Melt | None,
        harder: Melt | None,
        amount: float | None = None,
    ) -> FatBalance:
        """Return how much of a stand-in keeps what a swap keeps.

        Where it leaves the bar too hard, the companion `softer` goes in with it, an oil; where
        it leaves it too soft, `harder`, a fatty alcohol. With an `amount` [g/kg] given, that of the
        companion alone is sought.

        Notes
        -----
        Least squares over both amounts, from 0 to three times what goes out. Of two companions
        that both balance the one wins by which the melt changes least.
        """
        alone = self.ideal._misses(kept, np.array([self.parts(stand_in.components)]))
        first = kept.out if amount is None else amount
        order = (harder, softer) if alone(np.array([first]))[1] < 0 else (softer, harder)
        found: list[FatBalance] = []
        for companion in order:
            if companion is not None and companion.name == stand_in.name:
                continue
            found.append(self._balanced(kept, stand_in, companion, amount))
            one = found[-1]
            if one.residual < _CLOSE and one.extra > 0 and one.amount > one.extra / 3:
                break
        return min(found, key=lambda one: _cost(one, kept))

    def _balanced(
        self, kept: Kept, stand_in: Melt, companion: Melt | None, amount: float | None
    ) -> FatBalance:
        """Return the balance with one companion or none.

        What is solved first is the plain model, for its equilibrium costs a fifth; from there
        the attraction of acids and alcohols asks for small steps only.
        """
        fats = [stand_in] if companion is None else [stand_in, companion]
        blends = np.array([self.parts(one.components) for one in fats])
        low, high = np.zeros(len(fats)), np.full(len(fats), _FURTHEST * kept.out)
        if amount is not None:
            low[0] = high[0] = amount
        starts = [np.clip(np.array(one[: len(fats)]) * kept.out, low, high) for one in _STARTS]
        models = (self.ideal, self) if self.attraction else (self,)
        slopes: Floats | None = None
        left: Floats = np.zeros(2)
        for model in models:
            miss = model._misses(kept, blends)
            found, steps = [], _MOST_STEPS
            if slopes is not None:
                steps = _LAST_STEPS if _size(left) < _HOPELESS else 0
            for start in starts:
                found.append(_least(miss, start, (low, high), slopes, steps))
                if _size(found[-1].left) < _CLOSE:
                    break
            amounts, left, slopes = min(found, key=lambda one: _size(one.left))
            starts = [amounts]
        extra = float(amounts[1]) if len(fats) > 1 else 0.0
        beside = companion if extra > 0 else None
        return FatBalance(float(amounts[0]), extra, beside, _size(left), amount is not None)

    def _misses(self, kept: Kept, blends: Floats) -> Callable[[Floats], Floats]:
        goal = kept.goals[self.attraction]

        def miss(amounts: Floats) -> Floats:
            return self._amounts(kept.others + amounts @ blends, kept.knead, kept.store) - goal

        return miss


def _cost(one: FatBalance, kept: Kept) -> float:
    """Return what decides between two companions.

    What is left, and by how much the melt changes; a companion must not stand in by itself.
    """
    alone = 1e3 if one.extra > 3 * one.amount else 0.0
    return one.residual**2 + 1e-3 * (one.amount + one.extra - kept.out) ** 2 + alone


class _Found(NamedTuple):
    """Amounts, what is left at them, and the slopes used last, if any."""

    amounts: Floats
    left: Floats
    slopes: Floats | None


def _least(
    miss: Callable[[Floats], Floats],
    start: Floats,
    bounds: tuple[Floats, Floats],
    slopes: Floats | None,
    steps: int,
) -> _Found:
    """Return the amounts within bounds with the least squares of `miss`, in so many `steps`.

    Gauss and Newton with halved steps; slopes are found anew where a step gains little, and
    mended by each step's own result (Broyden) elsewhere.
    """
    here, left, known = start, miss(start), slopes
    for _ in range(steps):
        if _size(left) < _CLOSE / 10:
            break
        is_new = slopes is None
        if slopes is None:
            slopes = known = _slopes(miss, here, left)
        step = _step(slopes, left, here, bounds)
        found = _shortened(miss, here, step, left, bounds)
        if found is None:
            if is_new:
                break
            slopes = None
            continue
        there, after = found
        moved = there - here
        if is_new and _size(after) > 0.9 * _size(left):
            # With slopes of here a step gains much, or there is nothing to gain.
            here, left = there, after
            break
        gained = _size(after) < 0.5 * _size(left)
        slopes = (
            slopes + np.outer(after - left - slopes @ moved, moved) / (moved @ moved)
            if gained
            else None
        )
        here, left = there, after
    return _Found(here, left, slopes if slopes is not None else known)


def _slopes(miss: Callable[[Floats], Floats], here: Floats, left: Floats) -> Floats:
    """Return d miss/d amount (misses, amounts)."""
    ahead = here + _PIECE * np.eye(here.size)
    return np.stack([(miss(one) - left) / _PIECE for one in ahead], axis=1)


def _step(slopes: Floats, left: Floats, here: Floats, bounds: tuple[Floats, Floats]) -> Floats:
    """Return the step of Gauss and Newton; amounts at a bound that point outward stay."""
    low, high = bounds
    downhill = -slopes.T @ left
    free = ~(((here <= low) & (downhill < 0)) | ((here >= high) & (downhill > 0)))
    free &= high > low
    step = np.zeros(here.size)
    if free.any():
        step[free] = np.linalg.lstsq(slopes[:, free], -left, rcond=1e-6)[0]
    return step


def _shortened(
    miss: Callable[[Floats], Floats],
    here: Floats,
    step: Floats,
    left: Floats,
    bounds: tuple[Floats, Floats],
) -> tuple[Floats, Floats] | None:
    """Return the first shortened step that gains, and what is left there; None if none does."""
    for part in (1.0, 0.5, 0.25, 0.1, 0.03):
        there = np.clip(here + part * step, *bounds)
        if np.abs(there - here).max() < 1e-9:
            return None
        after = miss(there)
        if _size(after) < _size(left):
            return there, after
    return None


@lru_cache(maxsize=512)
def _profile(model: FatModel, components: Components, density: float) -> Profile:
    return model.profile(components, density)


@lru_cache(maxsize=2)
def fat_model(handbook: Handbook) -> FatModel:
    """Return the fats of a handbook at their tabled values."""
    names = tuple(sorted(handbook.components))
    share = round(1 / len(names), 12)
    table = melt_table(handbook, tuple((name, share) for name in names), central())
    return FatModel(handbook, names, table, float(table.attraction[0]))


def _size(left: Floats) -> float:
    return float(np.sqrt(left @ left))
