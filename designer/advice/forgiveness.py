"""How far each ingredient and each condition may drift before the dough is no longer clean."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from designer.advice.edge import Edge
from designer.advice.weighed import Weighed
from designer.evaluation.evaluate import Evaluation, conditions_of, evaluate_knead
from designer.evaluation.heat import Course
from designer.evaluation.map_nodes import Moments
from designer.evaluation.readings import outside_model
from designer.evaluation.why import why
from designer.recipe import Recipe, resolve
from designer.vocabulary import QUANTITIES, Floats, si

__all__ = ["CONDITIONS", "GIVEN_UP", "Allowance", "End", "Forgiveness", "forgiveness"]

CONDITIONS = ("room", "humidity", "bath", "batch", "knead")
"""Conditions that may drift; "knead" is the end of the kneading window."""

GIVEN_UP = 0.05
"""What may be lost of a chance that is below the wanted one: one batch in twenty [1]."""

LEAST_BATH = float(si(65.0, "°C"))
"""A bath is never said to do with less: waxes would not melt, and warm water breeds [K]."""

MOST_BATH = float(si(95.0, "°C"))
"""A water bath becomes no hotter [K]."""

_MOST_ADDED = 0.25
"""How much more of an ingredient is looked at, of the batch [1]."""

_NEAR_HEAT = 0.4
"""How near a dough must be for its heat to tell of another's, relative to how far both are."""

_ROUNDS = 6
_SURE_HEAT = 0.06
"""The same for an edge that is to be told."""

_FIRST = {"room": 6.0, "humidity": 1.0, "bath": 12.0, "batch": 1.0, "knead": 480.0}
"""Where it is looked first, from where the condition is."""


@dataclass(frozen=True)
class End:
    """How far something may drift one way.

    Attributes
    ----------
    value : float or None [SI]
        The last that still holds; None where all of it holds, as far as was looked.
    looked : float [SI]
        How far was looked.
    state : str
        What the dough becomes beyond: "sticky" or "stiff"; "" where nothing was met.
    chance : float [1]
        At the value, or where the looking ended.
    """

    value: float | None
    looked: float
    state: str
    chance: float


@dataclass(frozen=True)
class Allowance:
    """The interval of one ingredient or condition within which the chance holds.

    Attributes
    ----------
    name : str
        An ingredient, or one of `CONDITIONS`.
    is_ingredient : bool
    at : float [SI]
        Where it is now: mass in the batch [kg], or the condition.
    low, high : End
        In the unit of `at`. Of an ingredient it is the mass weighed while all others keep their
        grams, so that their percentages all shift a little.
    slip : float
        What is easily missed of it, in the unit of `at`; of the batch its logarithm.
    """

    name: str
    is_ingredient: bool
    at: float
    low: End
    high: End
    slip: float

    @property
    def weaker(self) -> End | None:
        """The end that is met first, or None where neither was met."""
        met = [end for end in (self.low, self.high) if end.value is not None]
        return min(met, key=self._slips_to, default=None)

    @property
    def slack(self) -> float:
        """How many times what is easily missed of it the nearer end is away; infinite if none."""
        return math.inf if self.weaker is None else self._slips_to(self.weaker)

    def _slips_to(self, end: End) -> float:
        value = self.at if end.value is None else end.value
        if self.name == "batch" and not self.is_ingredient:
            return abs(math.log(value / self.at)) / self.slip
        return abs(value - self.at) / self.slip


@dataclass(frozen=True)
class Forgiveness:
    """What a variant forgives.

    Attributes
    ----------
    number : str
        Of the variant.
    batch : float [kg]
    chance, wanted : float [1]
    needed : float [1]
        What the intervals hold: the wanted chance; where the recipe itself has less, its own
        chance less `GIVEN_UP`.
    allowances : tuple of Allowance
        Ingredients in the order of the recipe, then `CONDITIONS`.
    missing : str
        Why there are none, "" where there are.
    """

    number: str
    batch: float
    chance: float
    wanted: float
    needed: float
    allowances: tuple[Allowance, ...] = ()
    missing: str = ""

    @property
    def meets(self) -> bool:
        """Whether the recipe itself has the wanted chance."""
        return self.chance >= self.wanted

    def weakest(self, most: int = 3) -> tuple[Allowance, ...]:
        """Return what forgives least, measured by what is easily missed, weakest first."""
        met = [one for one in self.allowances if one.weaker is not None]
        return tuple(sorted(met, key=lambda one: one.slack)[:most])


def forgiveness(
    result: Evaluation, variant: int, stop: Callable[[], bool] = lambda: False
) -> Forgiveness:
    """Return what a variant forgives.

    Parameters
    ----------
    result : Evaluation
        Of the whole clock, or up to the end of the kneading window.
    variant : int
        Its index.
    stop : callable
        Asked between doughs whether to give up.

    Raises
    ------
    InterruptedError
        `stop` said so.

    Notes
    -----
    Each end is where the chance (all draws, common to all doughs) is first lost. Doughs on the way
    there are evaluated in full; only where the heat of one near is known, it is read from a curve
    through that one, the recipe itself and one on the other way.
    """
    recipe = result.recipe
    number, chance = recipe.numbers[variant], float(result.clean_knead_chance[variant])
    wanted, batch = recipe.bench.wanted, float(result.conditions.batch_mass[variant])
    needed = wanted if chance >= wanted else chance - GIVEN_UP
    found = Forgiveness(number, batch, chance, wanted, needed)
    if why_not := outside_model(result, variant):
        return replace(found, missing=f"no forecast: {why_not}")
    if needed <= 0:
        return replace(found, missing="it hardly ever comes clean, so there is nothing to lose")
    ingredients = _Ingredients.of(result, variant, needed, stop)
    allowances = (
        *ingredients.allowances(),
        *_conditions(ingredients.weighed, needed, ingredients.base),
    )
    return replace(found, allowances=allowances)


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
class _Ingredients:
    """The search over all ingredients, dough by dough beside each other."""

    weighed: Weighed
    masses: Floats
    base: Floats
    base_course: Course
    ways: list[_Way]

    @classmethod
    def of(
        cls, result: Evaluation, variant: int, needed: float, stop: Callable[[], bool]
    ) -> "_Ingredients":
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
        for low, high in zip(self.ways[::2], self.ways[1::2], strict=True):
            at = batch * float(self.masses[low.place])

            def weighed(x: float, at: float = at) -> float:
                return max(0.0, at + batch * x)

            def less(x: float, at: float = at) -> float:
                return weighed(-x, at)

            yield Allowance(
                self.weighed.named(low.place)[0],
                True,
                at,
                _end(low.edge, less),
                _end(high.edge, weighed),
                max(p["slip_row"].si * at, p["slip_scale"].si),
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


def _end(edge: Edge, value: Callable[[float], float]) -> End:
    """Return what a search has found; `value` gives the SI value at a place along its way."""
    if edge.at is None:
        furthest = edge.nodes[-1]
        return End(None, value(furthest), "", edge.chance(furthest))
    return End(value(edge.at), value(edge.nodes[-1]), _lost_to(edge), edge.chance(edge.at))


def _lost_to(edge: Edge) -> str:
    """Return what draws become that are clean at the start and no longer beyond the end."""
    beyond = edge.margins_at((edge.at or 0.0) * 1.05)
    clean = np.any((edge.base >= 0).all(axis=0), axis=0)
    lost = clean & ~np.any((beyond >= 0).all(axis=0), axis=0)
    wet = lost & ~np.any(beyond[0] >= 0, axis=0)
    wet_share = float(np.vecdot(wet.astype(float), edge.weights))
    return (
        "sticky" if wet_share > float(np.vecdot(lost.astype(float), edge.weights)) / 2 else "stiff"
    )


def _conditions(weighed: Weighed, needed: float, base: Floats) -> Iterator[Allowance]:
    """Yield how far each condition may drift, with every dough evaluated in full."""
    result = weighed.result
    recipe = result.recipe.only(result.recipe.numbers[weighed.variant])
    for name in CONDITIONS:
        at, slip = _now(recipe, name), result.handbook.parameters[f"slip_{name}"].si
        ends = []
        for bound in _span(name, at):
            sign = -1 if bound < at else 1
            distance = abs(math.log(bound / at)) if name == "batch" else abs(bound - at)

            def value(x: float, sign: int = sign, at: float = at, name: str = name) -> float:
                return at * math.exp(sign * x) if name == "batch" else at + sign * x

            edge = Edge(base, result.weights, needed, distance, _FIRST[name])
            while edge.next is not None:
                place = edge.next
                edge.record(place, _margins(weighed, recipe, name, value(place)))
            ends.append(_end(edge, value))
        yield Allowance(name, False, at, ends[0], ends[1], slip)


def _now(recipe: Recipe, name: str) -> float:
    bench = recipe.bench
    if name == "knead":
        return bench.knead[1]
    return bench.batch_mass if name == "batch" else float(getattr(bench, name))


def _span(name: str, at: float) -> tuple[float, float]:
    """Return between which ends it is looked."""
    quantity = QUANTITIES[name]
    low, high = quantity.low, quantity.high
    if name == "bath":
        low, high = LEAST_BATH, MOST_BATH
    elif name == "batch":
        low, high = max(low, at / 10), min(high, at * 10)
    elif name == "knead":
        high = min(high, 2 * at)
    return min(low, at), max(high, at)


def _with(recipe: Recipe, name: str, value: float) -> Recipe:
    """Return the recipe with a condition changed; a window that ends sooner may start sooner."""
    quantity = QUANTITIES[name]
    value = min(max(value, quantity.low), quantity.high)
    if name == "knead":
        return recipe.with_bench(knead=(min(recipe.bench.knead[0], value), value))
    return recipe.with_bench(**{name: value})


def _margins(weighed: Weighed, recipe: Recipe, name: str, value: float) -> Floats:
    """Return the margins of a recipe of one variant with a condition changed."""
    changed, result = _with(recipe, name, value), weighed.result
    if name != "knead":
        return weighed.under(conditions_of(changed, resolve(changed))).margins
    # Another window has other moments, and the dough rests after it.
    if weighed.stop():
        raise InterruptedError
    made = evaluate_knead(changed, result.handbook, result.knowledge)
    one, moments = made.forecasts[0], Moments.of(made)
    strength, tack, crumble = one.log_strength, one.tack_cut, one.crumble_cut
    return moments.margins(strength[moments.at], tack[moments.at], crumble[moments.at])
