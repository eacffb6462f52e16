"""The ground of a swap: one variant, a row for all that may go in, and what such doughs are like.

A swap is a point: percentages over these rows. Points are looked at with few draws, many at once;
what is shown of a swap is evaluated in full.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from designer.advice.nearby import thinned
from designer.advice.peers import Peer
from designer.evaluation.evaluate import DAY, Evaluation, evaluate_mixture
from designer.evaluation.mixture import Mixture, mix
from designer.handbook import Handbook, Liquid, Material, Powder, kind_of
from designer.quantities import QS
from designer.recipe import Recipe, Row, resolve
from designer.recipe.values import MOST_ROWS
from designer.vocabulary import Floats

__all__ = ["DRAWS", "HARDER", "SOFTER", "Ground", "Look", "active_share"]

DRAWS = 64
"""Draws that points on the way are looked at with."""

_MOVABLE = ("water", "humectant", "liquid_surfactant")
_MOST_LIQUIDS = 4

SOFTER = ("sunflower oil",)
HARDER = ("cetostearyl alcohol 50/50", "stearyl alcohol (95 %+)")
"""What goes in beside a fat that is too hard or too soft, unless the melt has its like; the first
that is not itself what goes out."""


@dataclass(frozen=True, eq=False)
class Ground:
    """One variant, and the rows of all that may go in.

    Attributes
    ----------
    recipe : Recipe
        The variant alone, then a row at 0 % for all that may go in.
    own : int
        How many rows are the recipe's.
    row : int
        What goes out.
    peers : tuple of Peer
    places : tuple of int
        The row of each peer.
    result : Evaluation
        Of the variant alone.
    is_half : bool
    stop : callable
        Asked before each slow step whether to give up.
    """

    recipe: Recipe
    own: int
    row: int
    peers: tuple[Peer, ...]
    places: tuple[int, ...]
    result: Evaluation
    is_half: bool
    stop: Callable[[], bool]

    @classmethod
    def of(
        cls,
        result: Evaluation,
        row: int,
        found: Sequence[Peer],
        is_half: bool,
        stop: Callable[[], bool],
    ) -> "Ground":
        """Return the ground of a variant evaluated alone, and of the peers that have room."""
        recipe, handbook = result.recipe, result.handbook
        own = len(recipe.rows)
        rows, places, kept = list(recipe.rows), [], []
        # A row of its own for every stand-in, unless the recipe has one of it already.
        for one in found:
            there = [index for index in range(own) if _same(result, index, one)]
            is_room = len(rows) < MOST_ROWS - len(_EXTRA)
            if row in there or handbook.find(one.material.name, one.phase) is None:
                continue
            if not there and not is_room:
                break
            if not there:
                rows.append(Row(one.phase, one.material.name, inci=one.material.inci))
            kept.append(one)
            places.append(there[0] if there else len(rows) - 1)
        names = {each.name for each in rows}
        is_melt = result.mixture.place[row][0] == "melt"
        rows += [
            Row(phase, name)
            for phase, name in _EXTRA
            if name not in names and (is_melt or phase != "melt")
        ]
        wide = replace(recipe, rows=tuple(rows))
        return cls(wide, own, row, tuple(kept), tuple(places), result, is_half, stop)

    @property
    def handbook(self) -> Handbook:
        """The tables."""
        return self.result.handbook

    @property
    def number(self) -> str:
        """Number of the variant."""
        return self.recipe.numbers[0]

    @cached_property
    def mixture(self) -> Mixture:
        """Of all rows."""
        return mix(self.recipe, resolve(self.recipe), self.handbook)

    def material(self, index: int) -> Material:
        """Return what a row is to the model."""
        kind, place = self.mixture.place[index]
        found: Material = getattr(self.mixture, f"{kind}s")[place]
        return found

    @cached_property
    def percents(self) -> Floats:
        """What the recipe says (rows,) [percent], q.s. filled in."""
        found = np.zeros(len(self.recipe.rows))
        found[: self.own] = self.result.amounts.percents[0]
        return found

    @cached_property
    def fill(self) -> int | None:
        """The row that fills up; None where the others exceed 100 already."""
        cells = [row.percents.get(self.number) for row in self.recipe.rows]
        found = cells.index(QS) if QS in cells else None
        return found if found is not None and self.result.amounts.excess[0] < 1e-6 else None

    def is_loose(self, index: int) -> bool:
        """Whether a row may move."""
        return self.number not in self.recipe.rows[index].held

    @property
    def stays(self) -> float:
        """How much of the old ingredient stays [percent]."""
        return round(self.percents[self.row] / 2, 2) if self.is_half else 0.0

    @property
    def out(self) -> float:
        """How much goes out [percent]."""
        return float(self.percents[self.row]) - self.stays

    @cached_property
    def liquids(self) -> tuple[int, ...]:
        """Rows of liquids that may move to keep the wetness, those that do least else first."""
        found = []
        for index, row in enumerate(self.recipe.rows):
            one = self.material(index)
            if not isinstance(one, Liquid) or one.material_class not in _MOVABLE:
                continue
            is_there = index < self.own and self.percents[index] > 0 and self.is_loose(index)
            is_spare = index >= self.own and row.name == "water" and index not in self.places
            if index != self.row and row.phase == "liquid" and (is_there or is_spare):
                order = _MOVABLE.index(one.material_class), -self.percents[index]
                found.append((order, index))
        waters = [index for _, index in found if self.material(index).name == "water"]
        kept = [i for _, i in sorted(found) if i < self.own or waters == [i]]
        return tuple(kept[:_MOST_LIQUIDS])

    @cached_property
    def before(self) -> "Look":
        """What the variant is like as it is."""
        return self._first_looks[0]

    @cached_property
    def slopes(self) -> dict[int, Floats]:
        """What one per cent more of each of `liquids` does to `Look.found`."""
        looks = self._first_looks[1:]
        return {
            index: look.found - self.before.found
            for index, look in zip(self.liquids, looks, strict=True)
        }

    @cached_property
    def _first_looks(self) -> list["Look"]:
        points = [self.percents]
        for index in self.liquids:
            if self.fill is not None:
                giving = np.arange(self.percents.size) == self.fill
                more = self.percents - giving
            else:
                others = self.percents * (np.arange(self.percents.size) != index)
                more = self.percents - others / others.sum()
            more[index] += 1.0
            points.append(more)
        return self.looked_at(np.array(points))

    def givers(self, place: int) -> Floats | None:
        """Return which rows give way to a stand-in (rows,), sum 1; None where itself fills up."""
        weights = np.zeros(len(self.recipe.rows))
        if self.fill is not None:
            if self.fill in (self.row, place):
                return None
            weights[self.fill] = 1.0
            return weights
        powders = [
            index
            for index, row in enumerate(self.recipe.rows[: self.own])
            if row.phase == "powder"
            and isinstance(self.material(index), Powder)
            and self.is_loose(index)
            and index not in (self.row, place)
        ]
        weights[powders] = self.percents[powders]
        total = weights.sum()
        return weights / total if total > 0 else None

    def point(
        self, place: int, givers: Floats | None, moves: Iterable[tuple[int, float]]
    ) -> Floats:
        """Return percentages (rows,) with moves made [percent], the total kept.

        `givers` is from `givers`; a percentage below 0 says that there is no room.
        """
        found = self.percents.copy()
        found[self.row] = self.stays
        for index, amount in moves:
            found[index] += amount
        rest = self.percents.sum() - found.sum()
        if givers is None:
            found[place] += rest
        else:
            found += rest * givers
        return found

    def looked_at(self, points: Floats, draws: int = DRAWS) -> list["Look"]:
        """Return what points (points, rows) [percent] are like, with few draws."""
        if self.stop():
            raise InterruptedError
        shares = np.maximum(points, 0.0)
        shares = shares / shares.sum(axis=1, keepdims=True)
        base = self.result.forecasts[0]
        knowledge = thinned(self.result.knowledge, base.log_strength[self.result.knead], draws)
        scene = base.scene
        moments = self.result.times[self.result.window]
        times = np.union1d(moments, [self.result.times[self.result.knead], DAY])
        mixture = self.mixture.with_shares(shares)
        mass = np.full(len(shares), self.result.conditions.batch_mass[0])
        found = evaluate_mixture(
            self.recipe,
            self.result.amounts,
            mixture,
            replace(scene.conditions, batch_mass=mass),
            self.handbook,
            knowledge,
            times,
        )
        return [_look(found, v) for v in range(len(shares))]


_EXTRA = (("liquid", "water"), *(("melt", name) for name in (*SOFTER, *HARDER)))
"""What may go in beside a stand-in, where the recipe has none of it."""


def _same(result: Evaluation, index: int, peer: Peer) -> bool:
    """Return whether a row of a recipe holds what a peer is."""
    kind, place = result.mixture.place[index]
    own: Material = getattr(result.mixture, f"{kind}s")[place]
    return own.name == peer.material.name and kind == kind_of(peer.material)


@dataclass(frozen=True, eq=False)
class Look:
    """What a point is like with few draws.

    Attributes
    ----------
    chance : float [1], of a clean knead
    found : array (4,)
        ln wetness at the knead, ln firmness after a day, liquid fat and active surfactant
        [1 of the dough].
    """

    chance: float
    found: Floats


def _look(result: Evaluation, variant: int) -> Look:
    one, weights = result.forecasts[variant], result.weights
    day = int(np.searchsorted(result.times, DAY))
    liquid = float(one.heat(result.knead)[1] @ weights)
    found = [
        float(np.log(np.maximum(one.wetness[result.knead], 1e-3)) @ weights),
        float(np.log(np.maximum(one.firmness[day], 1.0)) @ weights),
        liquid * float(one.mixture.melt_fraction[0]),
        active_share(one.mixture, 0),
    ]
    return Look(one.clean_knead_chance, np.array(found))


def active_share(mixture: Mixture, variant: int) -> float:
    """Return active surfactant per dough [1], as tabled."""
    return float(
        sum(
            share * material.active_fraction
            for material, share in mixture.solids_and_liquids(variant)
            if material.material_class in ("surfactant_powder", "liquid_surfactant")
        )
    )
