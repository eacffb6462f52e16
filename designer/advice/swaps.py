"""Swaps: what can stand in for an ingredient, at what percentage, and what becomes of the dough.

Peers by role, the closest first, each at the percentage that keeps wetness and liquid fat at the
knead, firmness of the next day and active surfactant nearest. A swap makes another formula.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np

from designer.advice import swap_edit
from designer.advice.ground import Ground
from designer.advice.offers import NEAR_CHANCE, Broken, Figures, Offer, Reason, Request, Swaps
from designer.advice.origins import NO_ALLERGENS, origins_of_all
from designer.advice.peers import Peer, check_row, named, peers
from designer.advice.stand_in import Plan, plans, steadied
from designer.advice.stocked import IN_STOCK
from designer.advice.swap_notes import (
    allergens_brought,
    broken_wishes,
    moved,
    new_allergens,
    not_in_stock,
    notes,
    refused,
    residual,
)
from designer.advice.swap_papers import OnPaper, Papers, papers
from designer.errors import ReadableError
from designer.evaluation.evaluate import DAY, Evaluation, clock_times, evaluate, evaluate_mixture
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.readings import CHARGES, active_surfactant
from designer.handbook import Handbook
from designer.handbook.law import Law
from designer.recipe import Recipe, Swap
from designer.recipe.checks import LONGEST_NAME
from designer.vocabulary import STATES, Floats

__all__ = ["as_new_variant", "keep", "swaps", "with_papers", "without_papers"]

_ALL = 10_000
"""More peers than any table has."""


def swaps(
    recipe: Recipe,
    number: str,
    row: int,
    handbook: Handbook,
    knowledge: Knowledge,
    request: Request | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> Swaps:
    """Return what can stand in for a row of a variant.

    Parameters
    ----------
    recipe : Recipe
    number : str
        Of the variant.
    row : int
        Index of the row, see `peers.row_named`.
    handbook, knowledge
        The figures shown of each swap come from all draws of `knowledge`.
    request : Request, optional
    stop : callable
        Asked before each slow step whether to give up.

    Raises
    ------
    ReadableError
        The row is held, at 0 %, unknown to the tables, or the only one; or the stand-in named is
        none.
    InterruptedError
        `stop` said so.
    """
    request = request or Request()
    only = recipe.only(number)
    times = clock_times(only.bench.knead)
    result = evaluate(only, handbook, knowledge, times[times <= DAY + 1e-6])
    check_row(only, number, row, float(result.amounts.percents[0, row]))
    if np.count_nonzero(result.amounts.percents[0]) < 2:
        raise ReadableError(
            only.rows[row].name,
            f"Variant {number} holds nothing else: a swap has nothing to be balanced with.",
            "Give another row a percent first.",
        )
    kind, place = result.mixture.place[row]
    old, phase = getattr(result.mixture, f"{kind}s")[place], only.rows[row].phase
    if request.only is not None:
        found = [named(request.only, old, phase, handbook)]
    else:
        found = _looked_at(peers(old, phase, handbook, _ALL), request)
    ground = Ground.of(result, row, found, request.half, stop)
    if request.only is not None and not ground.peers:
        raise ReadableError(
            "Stand-in", f"{found[0].material.name} cannot go in there.", "Name another one."
        )
    before = _figures(result, 0)
    made = _offers(recipe, ground, request, before)
    return Swaps(recipe, number, row, request, before, _ordered(made))


def _looked_at(found: list[Peer], request: Request) -> list[Peer]:
    """Return the closest peers; where stock is wished, those there are before all others."""
    if IN_STOCK not in request.wishes:
        return found[: request.most]

    def rank(place: int) -> int:
        there = request.stocked.mass(found[place].material)
        return 1 if there is None else 2 if there <= 0 else 0

    return [found[k] for k in sorted(sorted(range(len(found)), key=rank)[: request.most])]


def _ordered(offers: list[Offer]) -> tuple[Offer, ...]:
    """Return stand-ins before what is none, and last what breaks a wish; else as they stand."""

    def rank(one: Offer) -> tuple[bool, bool]:
        return one.refused is not None, any(each.is_sure for each in one.broken)

    return tuple(sorted(offers, key=rank))


def _sure_first(found: tuple[Broken, ...]) -> tuple[Broken, ...]:
    return tuple(sorted(found, key=lambda one: not one.is_sure))


def _offers(recipe: Recipe, ground: Ground, request: Request, before: Figures) -> list[Offer]:
    """Return the offer of each peer; where the chance moved, with one liquid moved as well."""
    first = plans(ground)
    points = [swap_edit.weighed(ground, plan) for plan in first]
    figures = _evaluated(ground, points)
    off = [k for k, after in enumerate(figures) if _can_be_steadied(before, after)]
    shifts = [figures[k].strength - before.strength for k in off]
    again = steadied(ground, [first[k] for k in off], shifts)
    better = [(k, plan) for k, plan in zip(off, again, strict=True) if plan is not first[k]]
    other = [swap_edit.weighed(ground, plan) for _, plan in better]
    for (k, plan), point, after in zip(better, other, _evaluated(ground, other), strict=True):
        if _distance(before, after) < _distance(before, figures[k]):
            first[k], points[k], figures[k] = plan, point, after
    return [
        _offer(recipe, ground, request, plan, point, before, after)
        for plan, point, after in zip(first, points, figures, strict=True)
    ]


def _is_off(before: Figures, after: Figures) -> bool:
    return _distance(before, after) > NEAR_CHANCE


def _can_be_steadied(before: Figures, after: Figures) -> bool:
    """Return whether a liquid may bring a chance back: not where a dough is only less known."""
    cause = moved(before, after)
    return _is_off(before, after) and (cause is None or cause.code not in ("less sure", "surer"))


def _distance(before: Figures, after: Figures) -> float:
    if before.chance is None:
        return 0.0
    return np.inf if after.chance is None else abs(after.chance - before.chance)


def _offer(
    recipe: Recipe,
    ground: Ground,
    request: Request,
    plan: Plan,
    point: Floats,
    before: Figures,
    after: Figures,
) -> Offer:
    handbook = ground.handbook
    moves = swap_edit.moves(ground, plan, point)
    entering = [
        ground.material(index)
        for index in np.flatnonzero(point > ground.percents + 1e-9).tolist()
        if index == plan.place or ground.percents[index] <= 0
    ]
    origins = origins_of_all(entering, handbook)
    there = [ground.material(index) for index in range(ground.own) if ground.percents[index] > 0]
    wished = broken_wishes(entering, request.wishes, handbook)
    wished += allergens_brought(entering, there, request.wishes, handbook)
    wished += not_in_stock(ground, plan, point, request)
    broken = _sure_first(wished)
    why = refused(ground, plan, point, before, after, broken)
    # What has no room is refused, and its recipe is no more than one that can be written down.
    made, added = swap_edit.changed(recipe, ground, plan, np.maximum(point, 0.0))
    return Offer(
        plan.peer.material,
        ground.recipe.rows[plan.place].phase,
        round(float(point[plan.place] - ground.percents[plan.place]), 2),
        ground.is_half,
        plan.peer.closeness,
        moves,
        swap_edit.without_old(made, ground.row, added, ground.number),
        made,
        added,
        before,
        after,
        residual(plan, before, after),
        why,
        moved(before, after) if _is_off(before, after) else None,
        notes(ground, plan, point, before, after),
        origins,
        broken,
        new_allergens(origins, there, handbook),
        request.stocked.cost(
            (ground.material(k), float(change) * 100 / float(point.sum()))
            for k, change in enumerate(point - ground.percents)
        ),
    )


def _evaluated(ground: Ground, points: list[Floats]) -> list[Figures]:
    """Return the figures of points [percent] under all draws."""
    if not points:
        return []
    if ground.stop():
        raise InterruptedError
    shares = np.maximum(np.array(points), 0.0)
    result = ground.result
    mass = np.full(len(points), result.conditions.batch_mass[0])
    found = evaluate_mixture(
        ground.recipe,
        result.amounts,
        ground.mixture.with_shares(shares / shares.sum(axis=1, keepdims=True)),
        replace(result.conditions, batch_mass=mass),
        ground.handbook,
        result.knowledge,
        result.times,
        before=result,
    )
    return [_figures(found, v) for v in range(len(points))]


def _figures(result: Evaluation, variant: int) -> Figures:
    one, knead = result.forecasts[variant], result.knead
    temperature, liquid = one.heat(knead)
    melt = float(one.mixture.melt_fraction[0])
    active, by_charge = active_surfactant(result, variant)
    day = int(np.searchsorted(result.times, DAY - 1e-6))
    draws = np.stack(
        [one.wetness[knead], temperature, liquid * melt, one.water, one.firmness[day], active]
    )
    medians = result.spread(draws).value
    strength = one.log_strength[knead]
    mean = float(strength @ result.weights)
    return Figures(
        None if one.outside else one.clean_knead_chance,
        one.outside,
        STATES[int(one.state_chances(knead).argmax())],
        float(medians[0]),
        float(medians[1]),
        melt,
        float(medians[2]),
        float(medians[3]),
        float(medians[4]),
        float(medians[5]),
        tuple(
            (charge, float(share))
            for charge, share in zip(CHARGES, by_charge, strict=True)
            if share > 0
        ),
        mean,
        float(np.sqrt(np.square(strength - mean) @ result.weights)),
        float(one.tack_cut[knead] @ result.weights),
    )


def with_papers(
    answer: Swaps,
    handbook: Handbook,
    knowledge: Knowledge,
    law: Law,
    stop: Callable[[], bool] = lambda: False,
) -> Swaps:
    """Return stand-ins with what becomes of limits and label, each dried up to the cured bar.

    Where no new allergens are wished, one that must be named makes it no stand-in.

    Raises
    ------
    InterruptedError
        `stop` said so.
    """
    before = evaluate(answer.recipe.only(answer.number), handbook, knowledge)
    had = _on_paper(before, law)
    every = []
    for offer in answer.every:
        if stop():
            raise InterruptedError
        if offer.refused is None:
            only = offer.recipe.only(answer.number)
            made = evaluate(only, handbook, knowledge, before=before)
            found = papers(answer.recipe.label.market, had, _on_paper(made, law))
            offer = _held_against(replace(offer, papers=found), found, answer.request)
        every.append(offer)
    return replace(answer, every=_ordered(every))


def _held_against(offer: Offer, found: Papers, request: Request) -> Offer:
    """Return an offer held against the wish for no new allergens, fragrance allergens too."""
    open_ones = (*found.may_allergens, *found.untold)
    if NO_ALLERGENS not in request.wishes or not (found.allergens or open_ones or found.problem):
        return offer
    is_sure = bool(found.allergens)
    brought = found.allergens or found.may_allergens
    more = Broken(NO_ALLERGENS, offer.name, is_sure, brought=brought)
    why = Reason("wish", 0.0, offer.name) if is_sure else None
    return replace(offer, broken=_sure_first((*offer.broken, more)), refused=why)


def without_papers(answer: Swaps, problem: ReadableError) -> Swaps:
    """Return stand-ins that say why nothing is known of limits and label."""
    told = Papers(answer.recipe.label.market, problem=str(problem))
    every = (one if one.refused else replace(one, papers=told) for one in answer.every)
    return replace(answer, every=tuple(every))


def _on_paper(result: Evaluation, law: Law) -> OnPaper | ReadableError:
    try:
        return OnPaper.of(result, law)
    except ReadableError as error:
        return error


def as_new_variant(answer: Swaps, offer: Offer) -> Recipe:
    """Return the recipe with a swap as a further variant; the one asked about stays as it is."""
    title = f"{offer.name} for {answer.name}"[:LONGEST_NAME]
    return swap_edit.as_further_variant(
        answer.recipe, offer.made, offer.added, answer.number, title
    )


def keep(recipe: Recipe, row: int, offer: Offer, number: str, on: date | None = None) -> Recipe:
    """Return the recipe with a swap kept as allowed for a row, with what was predicted of it.

    One kept before for the same variant and stand-in gives way.

    Parameters
    ----------
    recipe : Recipe
        In which the swap is not made.
    row : int
    offer : Offer
    number : str
        Of the variant it was worked out for.
    on : date, optional
        Today unless said.
    """
    kept = Swap(
        offer.name,
        max(offer.percent, 0.0),
        tuple((move.name, move.change) for move in offer.alongside if move.change > 0),
        number,
        less=tuple((move.name, -move.change) for move in offer.alongside if move.change < 0),
        stays=offer.stays,
        chance=None if offer.after.chance is None else round(offer.after.chance, 2),
        date=(on or date.today()).isoformat(),
    )
    one = recipe.rows[row]
    others = [
        swap
        for swap in one.swaps
        if (swap.name, swap.variant, bool(swap.stays)) != (kept.name, number, bool(kept.stays))
    ]
    return recipe.with_row(row, replace(one, swaps=(*others, kept)))
