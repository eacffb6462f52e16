"""How far the conditions at the bench, and the lots of the powders, may drift."""

import math
from collections.abc import Iterator

import numpy as np

from designer.advice.allowance import CONDITIONS, Allowance, end_of
from designer.advice.drift_weighed import Ingredients
from designer.advice.edge import Edge
from designer.advice.weighed import Weighed
from designer.evaluation.dough import demand_volumes
from designer.evaluation.evaluate import conditions_of, evaluate_knead
from designer.evaluation.map_nodes import Moments
from designer.recipe import Recipe, resolve
from designer.vocabulary import QUANTITIES, Floats, si

__all__ = ["LEAST_BATH", "conditions", "lots"]

LEAST_BATH = float(si(65.0, "°C"))
"""A bath is never said to do with less: waxes would not melt, and warm water breeds [K]."""

MOST_BATH = float(si(95.0, "°C"))
"""A water bath becomes no hotter [K]."""

_FIRST = {"room": 6.0, "humidity": 1.0, "bath": 12.0, "batch": 1.0, "knead": 480.0}
"""Where it is looked first, from where the condition is."""

_MAIN = 0.05
"""Part of what all powders drink from which a lot of one is told of [1]."""

_FIRST_LOT, _LESS, _MORE = 0.1, 0.6, 1.0
"""Where it is looked first, and how far down and up, of what is known of a powder [1]."""


def conditions(weighed: Weighed, needed: float, base: Floats) -> Iterator[Allowance]:
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
            ends.append(end_of(edge, value))
        yield Allowance(name, "condition", at, ends[0], ends[1], slip)


def lots(ingredients: Ingredients, needed: float) -> Iterator[Allowance]:
    """Yield how much more or less a lot of each main powder may drink.

    The whole uptake of the powder, of polar liquid and of oil alike, is more or less than the draws
    have it; the heat is as it was.
    """
    weighed, base = ingredients.weighed, ingredients.base
    result, masses = weighed.result, ingredients.masses[None]
    powders = result.mixture.powders
    slip = result.handbook.parameters["slip_lot"].si
    each = np.array([demand_volumes(one, result.handbook)[0] for one in powders])
    demand = each * ingredients.masses[: len(powders)]
    for place in np.flatnonzero(demand >= _MAIN * demand.sum()).tolist():
        ends = []
        for sign, bound in ((-1, _LESS), (1, _MORE)):

            def value(x: float, sign: int = sign) -> float:
                return 1 + sign * x

            edge = Edge(base, result.weights, needed, bound, _FIRST_LOT)
            while edge.next is not None:
                at = edge.next
                lot = weighed.with_uptake(place, value(at))
                edge.record(at, lot.felt(masses, ingredients.base_course)[0].margins)
            ends.append(end_of(edge, value))
        yield Allowance(powders[place].name, "lot", 1.0, ends[0], ends[1], slip)


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
