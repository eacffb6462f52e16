"""What is to be said of a swap beside its figures: why it is none, why a chance moved, and more."""

from collections.abc import Iterable, Iterator

import numpy as np

from designer.advice.ground import Ground
from designer.advice.offers import NEAR_CHANCE, Broken, Figures, Reason, Request
from designer.advice.origins import (
    NO_ALLERGENS,
    SCENTED,
    WISHES,
    Origins,
    origins,
    origins_of_all,
)
from designer.advice.peers import DOSED, role_of
from designer.advice.stand_in import Plan
from designer.advice.stocked import IN_STOCK
from designer.handbook import Handbook, Material, Melt, Powder
from designer.vocabulary import Floats

__all__ = [
    "allergens_brought",
    "broken_wishes",
    "moved",
    "new_allergens",
    "not_in_stock",
    "notes",
    "refused",
    "residual",
]

_FAT_LEFT, _FAT_LEFT_GIVEN = 0.5, 8.0
"""Fat [g per kg of dough] that may be left over where one fat stands in for another; and where the
amount is given by what it does, as of a cationic wax. The second is our own choice."""

_WETNESS_LEFT, _BAR_LEFT, _ACTIVE_LEFT = 0.15, np.log(2.0), 0.25
"""What may be left of ln wetness, of ln firmness of the next day, of the active surfactant per
what there was; own choice."""

_ALCOHOL = 0.25
"""Fatty alcohol beside a butter, per what goes out, from which it is felt; common practice."""

_LEAST_PART = 0.25
"""Less of a fat than this part of what goes out, and it is its companion that stands in."""

_BUTTERS = ("butter", "lauric_fat", "hard_fat")

_SCALE, _SPILT = 5e-5, 1e-3
"""What a scale of 0.1 g cannot tell [kg], and a share of the mass that is no reason to do without;
own choice."""

_POINT = 0.01
"""A change of the dough of one point that is worth a word [1]."""


def residual(plan: Plan, before: Figures, after: Figures) -> float:
    """Return what could not be balanced, 1 at the limit of what counts as a stand-in."""
    return max(_left(plan, before, after).values())


def _left(plan: Plan, before: Figures, after: Figures) -> dict[str, float]:
    """Return what is left of each thing kept, per what may be."""
    found = {
        "wetness": abs(float(np.log(after.wetness / before.wetness))) / _WETNESS_LEFT,
        "bar": abs(float(np.log(after.firmness / before.firmness))) / _BAR_LEFT,
        "active": _active_change(before, after) / _ACTIVE_LEFT,
    }
    if plan.fat is not None:
        found["solid"] = plan.fat.residual / (_FAT_LEFT_GIVEN if plan.fat.is_given else _FAT_LEFT)
    return found


def _active_change(before: Figures, after: Figures) -> float:
    return abs(after.active - before.active) / before.active if before.active > 0 else 0.0


def refused(
    ground: Ground,
    plan: Plan,
    point: Floats,
    before: Figures,
    after: Figures,
    broken: Iterable[Broken],
) -> Reason | None:
    """Return why a plan is no stand-in, or None."""
    short = np.flatnonzero(point < -1e-9)
    if short.size:
        row = int(short[0])
        return Reason("room", -float(point[row]), ground.recipe.rows[row].name)
    for one in broken:
        if one.is_sure:
            return Reason("wish", 0.0, one.name)
    if not plan.peer.shares_role:
        role = role_of(ground.material(ground.row), ground.handbook)
        return Reason("role", 0.0, ", ".join(role.roles) if role else "")
    if after.outside and not before.outside:
        return Reason("outside", 0.0, after.outside)
    left = _left(plan, before, after)
    if left.get("solid", 0.0) > 1:
        assert plan.fat is not None
        return Reason("solid", plan.fat.residual)
    beside = None if plan.fat is None else plan.fat.companion
    if beside is not None and plan.amount < _LEAST_PART * ground.out:
        return Reason("little", float(plan.amount), beside.name)
    if plan.fat is not None and plan.more_fat(ground) > ground.out:
        return Reason("much", float(plan.more_fat(ground) + ground.out))
    worst = max(left, key=lambda name: left[name])
    if left[worst] > 1:
        figure = {
            "wetness": after.wetness / before.wetness - 1,
            "bar": after.firmness,
            "active": after.active - before.active,
            "solid": 0.0,
        }[worst]
        return Reason(worst, figure)
    return None


def moved(before: Figures, after: Figures) -> Reason | None:
    """Return why a chance is another than before: what of the knead has changed most."""
    if before.chance is None or after.chance is None:
        return None
    if abs(after.chance - before.chance) <= NEAR_CHANCE:
        return None
    shift = after.strength - before.strength
    tack = after.tack_cut - before.tack_cut
    spread = float(np.log(after.strength_sd / before.strength_sd))
    causes = (
        (abs(shift), "firmer" if shift > 0 else "softer", shift),
        (abs(tack), "stickier" if tack > 0 else "less sticky", tack),
        (abs(spread), "less sure" if spread > 0 else "surer", spread),
    )
    _, code, figure = max(causes)
    return Reason(code, figure)


def notes(
    ground: Ground, plan: Plan, point: Floats, before: Figures, after: Figures
) -> tuple[Reason, ...]:
    """Return what else there is to know."""
    return tuple(_notes(ground, plan, point, before, after))


def _notes(
    ground: Ground, plan: Plan, point: Floats, before: Figures, after: Figures
) -> Iterator[Reason]:
    handbook, new = ground.handbook, plan.peer.material
    old = ground.material(ground.row)
    role = role_of(old, handbook)
    first = role.roles[0] if role else ""
    if first in DOSED:
        code = {"preservative": first, "scent": first, "acidity regulator": "acid"}
        yield Reason(code.get(first, "dose"), 0.0, first)
    yield from _usual(handbook, new, float(point[plan.place]) / float(point.sum()))
    is_new = "cationic" in _charge(new) and "cationic" not in _charge(old)
    if is_new and before.by_charge and before.by_charge[0][0] == "anionic":
        yield Reason("cationic")
    if abs(after.active - before.active) >= _POINT:
        yield Reason("cleanser", after.active - before.active)
    if isinstance(new, Powder) and new.dust_hazard == "irritant":
        yield Reason("dust")
    if abs(after.melt - before.melt) >= _POINT:
        yield Reason("melt", after.melt - before.melt)
    is_butter = old.material_class in _BUTTERS
    if is_butter and plan.fat is not None and plan.fat.companion is not None:
        part = float(plan.beside[0][1]) / ground.out
        if plan.fat.companion.material_class == "fatty_alcohol" and part > _ALCOHOL:
            yield Reason("alcohol", part, plan.fat.companion.name)


def _usual(handbook: Handbook, new: Material, share: float) -> Iterator[Reason]:
    role = role_of(new, handbook)
    if role is None:
        return
    if share > role.use_high + 5e-5:
        yield Reason("above usual", role.use_high)
    elif share < role.use_low - 5e-5:
        yield Reason("below usual", role.use_low)


def _charge(material: Material) -> str:
    if isinstance(material, Melt):
        return material.material_class
    return f"{material.surfactant_charge} {material.material_class}"


def broken_wishes(
    entering: Iterable[Material], wishes: Iterable[str], handbook: Handbook
) -> tuple[Broken, ...]:
    """Return which wishes what goes in breaks or may break, the sure ones first."""
    asked = set(wishes)
    found = [
        Broken(wish, one.name, answer == "no")
        for one in entering
        for wish in WISHES
        if wish in asked and (answer := origins(one, handbook).answer(wish)) != "yes"
    ]
    return tuple(sorted(found, key=lambda one: not one.is_sure))


def allergens_brought(
    entering: Iterable[Material], there: Iterable[Material], wishes: Iterable[str], book: Handbook
) -> tuple[Broken, ...]:
    """Return what goes in with an allergen that was not in the recipe; where that is wished.

    Fragrance allergens are apart: how much of each there is decides, see `swaps.with_papers`.
    """
    if NO_ALLERGENS not in wishes:
        return ()
    had, found = {*origins_of_all(there, book).allergens, SCENTED}, []
    for one in entering:
        own = origins(one, book)
        new = tuple(each for each in own.allergens if each not in had)
        if new or not own.known:
            is_sure = any(not each.endswith("possible") for each in new)
            found.append(Broken(NO_ALLERGENS, one.name, is_sure, brought=new))
    return tuple(found)


def not_in_stock(ground: Ground, plan: Plan, point: Floats, request: Request) -> tuple[Broken, ...]:
    """Return of what goes in there is not enough, or no stock kept; only where that is wished.

    What fills up was in the recipe before, and is not asked about.
    """
    if IN_STOCK not in request.wishes:
        return ()
    batch = ground.recipe.bench.stated_batch or 0.0
    found = []
    for index in dict.fromkeys((plan.place, *(row for row, _ in plan.beside))):
        if point[index] <= ground.percents[index] + 1e-9:
            continue
        material = ground.material(index)
        there = request.stocked.mass(material)
        needed = float(point[index] / point.sum()) * batch
        if there is None:
            found.append(Broken(IN_STOCK, material.name, is_sure=False))
        elif there <= 0 or there < needed - max(_SCALE, _SPILT * needed):
            found.append(Broken(IN_STOCK, material.name, True, max(there, 0.0), needed))
    return tuple(sorted(found, key=lambda one: not one.is_sure))


def new_allergens(
    entering: Origins, there: Iterable[Material], handbook: Handbook
) -> tuple[str, ...]:
    """Return what goes in that some people must avoid, and was not in the recipe."""
    had = origins_of_all(there, handbook).allergens
    return tuple(one for one in entering.allergens if one not in had)
