"""How far the weight of each ingredient may drift before a chance is lost."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from designer.advice.allowance import Allowance, end_of
from designer.advice.edge import Edge
from designer.advice.weighed import Weighed
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.heat import Course
from designer.evaluation.why import why
from designer.vocabulary import Floats

__all__ = ["DOSED", "Ingredients"]

DOSED = ("preservative", "acid", "acid_salt")
"""Classes whose amount the dough does not decide: that it would knead without a preservative must
not read as leave to omit it."""

_MOST_ADDED = 0.25
"""How much more of an ingredient is looked at, of the batch [1]."""

_NEAR_HEAT = 0.4
"""How near a dough must be for its heat to tell of another's, relative to how far both are."""

_ROUNDS = 6

_SURE_HEAT = 0.09
"""The same for an edge that is to be told."""


@dataclass(eq=False)
class _Way:
    """One ingredient, more or less of it."""

    place: int
    sign: int
    edge: Edge
    course: Course | None = None
    course_at: float = 0.0
    other: "_Way | None" = None

    @property
    def knows_heat(self) -> bool:
        """Whether the heat is known near the next dough: it goes smoothly, and costs most."""
        return abs((self.edge.next or 0.0) - self.course_at) <= _NEAR_HEAT * self.course_at

    @property
    def is_sure(self) -> bool:
        """Whether the heat is known so near to the edge that reading it there is exact enough."""
        return abs(self.edge.place - self.course_at) <= _SURE_HEAT * self.course_at


@dataclass(eq=False)
class Ingredients:
    """The search over all ingredients, dough by dough beside each other."""

    weighed: Weighed
    masses: Floats
    base: Floats
    base_course: Course
    ways: list[_Way]

    @classmethod
    def of(
        cls, result: Evaluation, variant: int, needed: float, stop: Callable[[], bool]
    ) -> "Ingredients":
        """Return the search near a variant, its index, for a chance that it has."""
        weighed = Weighed.like(result, variant, stop)
        masses = weighed.masses(variant)
        course = weighed.courses(masses[None])
        base = weighed.felt(masses[None], course)[0].margins
        ways = []
        places = dict.fromkeys(weighed.places())
        for place, contribution in zip(places, why(result, variant), strict=True):
            if masses[place] <= 0:
                continue
            slope = contribution.log_firmness / masses[place] * np.array([[[1.0]], [[-1.0]]])
            most = _most_added(result, variant, contribution.kind)
            pair = [
                _Way(place, sign, Edge(base, result.weights, needed, bound, bound, sign * slope))
                for sign, bound in ((-1, float(masses[place])), (1, most))
            ]
            pair[0].other, pair[1].other = pair[1], pair[0]
            ways += pair
        return cls(weighed, masses, base, course, ways)

    def allowances(self) -> Iterator[Allowance]:
        """Yield how far each ingredient may drift."""
        self._search()
        batch = float(self.weighed.result.conditions.batch_mass[self.weighed.variant])
        p = self.weighed.result.handbook.parameters
        mixture = self.weighed.result.mixture
        classes = [
            *(one.material_class for one in mixture.powders),
            *(one.material_class for one in mixture.liquids),
            *(one.material_class for one in mixture.melts),
        ]
        for low, high in zip(self.ways[::2], self.ways[1::2], strict=True):
            at = batch * float(self.masses[low.place])

            def weighed(x: float, at: float = at) -> float:
                return max(0.0, at + batch * x)

            def less(x: float, at: float = at) -> float:
                return weighed(-x, at)

            yield Allowance(
                self.weighed.named(low.place)[0],
                "ingredient",
                at,
                end_of(low.edge, less),
                end_of(high.edge, weighed),
                max(p["slip_row"].si * at, p["slip_scale"].si),
                classes[low.place] in DOSED,
            )

    def _search(self) -> None:
        """Find all edges, and find those again whose heat was read from too far."""
        for _ in range(_ROUNDS):
            while waiting := [way for way in self.ways if way.edge.next is not None]:
                self._evaluate(waiting)
            unsure = [way for way in self.ways if not way.is_sure]
            if not unsure:
                return
            for way in unsure:
                way.edge.doubt()
            self._evaluate_whole(unsure)

    def _evaluate(self, ways: list[_Way]) -> None:
        """Evaluate the next dough of each way, where it may with heat that is read."""
        new = [way for way in ways if not way.knows_heat]
        if new:
            self._evaluate_whole(new)
        for way in (way for way in ways if way not in new):
            at = way.edge.next or 0.0
            felt = self.weighed.felt(self._weighed(way)[None], self._between(way, at))[0]
            way.edge.record(at, felt.margins, exact=False)

    def _evaluate_whole(self, ways: list[_Way]) -> None:
        """Evaluate the next dough of each way with its own heat."""
        masses = np.stack([self._weighed(way) for way in ways])
        course = self.weighed.courses(masses)
        for k, (way, felt) in enumerate(zip(ways, self.weighed.felt(masses, course), strict=True)):
            at = way.edge.next or 0.0
            way.course, way.course_at = _one(course, k), at
            way.edge.record(at, felt.margins)

    def _weighed(self, way: _Way) -> Floats:
        masses = self.masses.copy()
        masses[way.place] = max(0.0, masses[way.place] + way.sign * (way.edge.next or 0.0))
        return masses

    def _between(self, way: _Way, at: float) -> Course:
        """Return the heat of a dough from that of one near it, of the recipe, and the other way."""
        known = [(0.0, self.base_course)]
        for one, sign in ((way, 1), (way.other, -1)):
            if one is not None and one.course is not None:
                known.append((sign * one.course_at, one.course))
        places = [place for place, _ in known]
        temperature, set_share, ageing = (
            sum(_weight(at, place, places) * getattr(course, name) for place, course in known)
            for name in ("temperature", "set_share", "ageing")
        )
        return Course(temperature, np.clip(set_share, 0.0, 1.0), ageing)


def _weight(at: float, place: float, places: list[float]) -> float:
    """Return what a curve through some places takes of its height at one of them (Lagrange)."""
    others = [one for one in places if one != place]
    return math.prod((at - one) / (place - one) for one in others)


def _one(course: Course, dough: int) -> Course:
    at = slice(dough, dough + 1)
    return Course(course.temperature[at], course.set_share[at], course.ageing[at])


def _most_added(result: Evaluation, variant: int, kind: str) -> float:
    """Return how much more is looked at: of fats no more than the model may speak of [1]."""
    if kind != "melt":
        return _MOST_ADDED
    most = result.handbook.parameters["domain_melt"].si
    melt = float(result.mixture.melt_fraction[variant])
    return min(_MOST_ADDED, max(0.0, (most - melt) / (1 - most)))
