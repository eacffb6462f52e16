"""How much of a stand-in keeps a dough where it is, and what else must move.

Wetness, firmness, liquid fat and active surfactant are kept nearest. Each stand-in needs one small
least squares over its own amount and that of one liquid, with slopes found once. Fats are balanced
by `fats` instead, and what goes in by its own dose keeps that.
"""

from dataclasses import dataclass, replace

import numpy as np

from designer.advice.fats import FatBalance, Kept, fat_model
from designer.advice.ground import HARDER, SOFTER, Ground
from designer.advice.peers import DOSED, Peer, role_of
from designer.handbook import Material, Melt, kind_of
from designer.vocabulary import Floats

__all__ = ["Plan", "plans", "steadied"]

_SCALES = np.array([0.02, 0.3, 0.005, 0.02])
"""What counts 1: ln wetness, ln firmness, liquid fat, active surfactant; own choice."""

_PULL = 0.5
"""A stand-in this part off its natural amount counts 1, so that what no dough feels stays there."""

_LIQUID_COST, _MOVE_COST, _NEW_ROW = 4.0, 0.1, 0.05
"""A liquid that moves by so many per cent counts 1; that it moves at all, and that it is a row more
or brings something else with it, as much more; own choice."""

_LEAST_MOVE = 0.05
"""A liquid that would move by less stays where it is [percent]."""

_LEAST, _MOST = 0.05, 3.0
"""Least and most of a stand-in, per its natural amount."""

_MOST_LIQUID, _LEAST_LIQUID = 15.0, 0.9
"""Most that a liquid may grow [percent], and the part of it that may go."""

_LEAST_SLOPE = 0.01
"""Of ln wetness per percent of a liquid; less is taken as this."""

_ROUNDS = 2

_NUDGES = np.array([0.02, 0.04, 0.07, 0.11])
"""Changes of ln wetness tried where the chance has moved."""

_SAME_FAT = 0.3
"""So much more or less fat needs no other liquid [percent]."""

_G_PER_PERCENT = 10.0
"""Grams per kg of dough in one per cent."""


@dataclass(frozen=True, eq=False)
class Plan:
    """How one stand-in goes in.

    Attributes
    ----------
    peer : Peer
    place : int
        Its row.
    givers : array (rows,) or None
        Which rows give way; None where the stand-in itself fills up.
    amount : float [percent]
        Of the stand-in, where it does not fill up.
    beside : tuple of (row, float [percent])
        What else goes in, or out where it is below 0.
    natural : float [percent]
        What it would be by its active content, or by its dose.
    is_free : bool
        Whether the least squares may choose the amount.
    fat : FatBalance or None
    """

    peer: Peer
    place: int
    givers: Floats | None
    amount: float
    beside: tuple[tuple[int, float], ...]
    natural: float
    is_free: bool
    fat: FatBalance | None = None

    @property
    def moves(self) -> tuple[tuple[int, float], ...]:
        """All that is put in, by row [percent]."""
        own = () if self.givers is None else ((self.place, self.amount),)
        return (*own, *self.beside)

    def more_fat(self, ground: Ground) -> float:
        """Return by how much more fat goes in than out [percent]; infinite of what is no fat."""
        if self.fat is None:
            return np.inf
        return self.amount + sum(amount for _, amount in self.beside) - ground.out

    def point(self, ground: Ground) -> Floats:
        """Return the percentages (rows,) of the plan."""
        return ground.point(self.place, self.givers, self.moves)


def plans(ground: Ground) -> list[Plan]:
    """Return the plan of each peer of a ground, in its order."""
    old = ground.material(ground.row)
    kept = _kept(ground, old) if isinstance(old, Melt) else None
    found = [_first(ground, k, kept) for k in range(len(ground.peers))]
    # A fat that takes the place of as much fat leaves the dough as wet as it was.
    open_ones = [k for k, plan in enumerate(found) if abs(plan.more_fat(ground)) > _SAME_FAT]
    if open_ones:
        better = _balanced(ground, [found[k] for k in open_ones])
        for k, plan in zip(open_ones, better, strict=True):
            found[k] = plan
    return found


def _first(ground: Ground, k: int, kept: Kept | None) -> Plan:
    """Return where the search for a peer's amount begins; of a fat, where it ends."""
    if ground.stop():
        raise InterruptedError
    peer, place = ground.peers[k], ground.places[k]
    old = ground.material(ground.row)
    givers = ground.givers(place)
    if kept is not None and isinstance(peer.material, Melt) and givers is not None:
        return _fat_plan(ground, kept, peer, place, givers)
    role = role_of(old, ground.handbook)
    is_dosed = role is not None and role.roles[0] in DOSED
    natural = ground.out
    if is_dosed:
        own = role_of(peer.material, ground.handbook)
        if own is not None:
            least = own.use_low * (50.0 if ground.is_half else 100.0)
            natural = min(max(natural, least), 100 * own.use_high)
    else:
        natural *= _worth(old, peer.material)
    is_free = givers is not None and not is_dosed
    return Plan(peer, place, givers, natural, (), natural, is_free)


def _worth(old: Material, new: Material) -> float:
    """Return how much of the new has the active content of the old, where that is what counts."""
    counted = ("surfactant_powder", "liquid_surfactant", "protein", "protein_solution")
    if isinstance(old, Melt) or isinstance(new, Melt):
        return 1.0
    is_counted = bool({old.material_class, new.material_class} & set(counted))
    if kind_of(old) == kind_of(new) and not is_counted:
        return 1.0
    if min(old.active_fraction, new.active_fraction) <= 0.01:
        return 1.0
    return old.active_fraction / new.active_fraction


def _fat_plan(ground: Ground, kept: Kept, peer: Peer, place: int, givers: Floats) -> Plan:
    """Return the plan of a fat for a fat: liquid fat at the knead, solid fat in the bar kept."""
    model = fat_model(ground.handbook)
    assert isinstance(peer.material, Melt)
    softer = _companion(ground, "oil", SOFTER)
    harder = _companion(ground, "fatty_alcohol", HARDER)
    beside = [_fat_of(ground, row) for row in (softer, harder)]
    old = ground.material(ground.row)
    amount = _cationic_amount(old, peer.material, kept.out)
    balance = model.balance(kept, peer.material, beside[0], beside[1], amount)
    # As weighed: a blend that is only rounded later would need a table of its own.
    scale = float(ground.percents.sum()) / 100 / _G_PER_PERCENT
    put_in = round(balance.amount * scale, 2)
    moves: tuple[tuple[int, float], ...] = ()
    if balance.companion is not None:
        row = softer if softer is not None and balance.companion is beside[0] else harder
        assert row is not None
        moves = ((row, round(balance.extra * scale, 2)),)
    return Plan(peer, place, givers, put_in, moves, ground.out, False, balance)


def _fat_of(ground: Ground, row: int | None) -> Melt | None:
    found = None if row is None else ground.material(row)
    return found if isinstance(found, Melt) else None


def _cationic_amount(old: Material, new: Melt, out: float) -> float | None:
    """Return how much of a cationic wax has the cationic of another; None of what has none."""
    shares = [
        sum(share for name, share in one.components if name.startswith("CAT_"))
        for one in (old, new)
        if isinstance(one, Melt)
    ]
    return out * shares[0] / shares[1] if len(shares) == 2 and min(shares) > 0 else None


def _kept(ground: Ground, old: Melt) -> Kept:
    """Return what a swap of fats keeps, in grams per kg of dough."""
    model, result = fat_model(ground.handbook), ground.result
    shares = ground.percents / ground.percents.sum() * 100 * _G_PER_PERCENT
    shares[ground.row] *= ground.stays / ground.percents[ground.row]
    others = np.zeros(len(model.names))
    for index in range(ground.own):
        one = ground.material(index)
        if isinstance(one, Melt):
            others += shares[index] * model.parts(one.components)
    out = ground.out / ground.percents.sum() * 100 * _G_PER_PERCENT
    knead = float(result.spread(result.forecasts[0].heat(result.knead)[0][None]).value[0])
    return model.kept(others, old, out, knead)


def _companion(ground: Ground, material_class: str, names: tuple[str, ...]) -> int | None:
    """Return the row of a fat that may go in beside: the melt's own of a class, or a new row."""
    own = [
        index
        for index in range(ground.own)
        if ground.material(index).material_class == material_class
        and _is_companion(ground, index)
        and ground.recipe.rows[index].phase == "melt"
        and ground.is_loose(index)
        and index != ground.row
        and ground.percents[index] > 0
    ]
    if own:
        return max(own, key=lambda index: float(ground.percents[index]))
    rows = [
        index
        for name in names
        for index, row in enumerate(ground.recipe.rows)
        if row.name == name and row.phase == "melt" and index != ground.row
    ]
    return next((index for index in rows if ground.is_loose(index)), None)


def _is_companion(ground: Ground, index: int) -> bool:
    """Return whether a row is a fat for its own sake; an oil may be an antioxidant, or a scent."""
    one = ground.material(index)
    role = role_of(one, ground.handbook)
    return isinstance(one, Melt) and (role is None or not DOSED & set(role.roles))


def _balanced(ground: Ground, first: list[Plan]) -> list[Plan]:
    """Return plans with the least squares solved, all of them side by side."""
    free = [k for k, plan in enumerate(first) if plan.is_free]
    more = [replace(first[k], amount=1.1 * first[k].amount) for k in free]
    points = [plan.point(ground) for plan in (*first, *more)]
    looks = ground.looked_at(np.array(points))
    now, ahead = looks[: len(first)], looks[len(first) :]
    own = {
        k: (look.found - now[k].found) / (0.1 * first[k].amount)
        for k, look in zip(free, ahead, strict=True)
    }
    found, before = list(first), ground.before.found
    for step in range(_ROUNDS):
        if step:
            now = ground.looked_at(np.array([plan.point(ground) for plan in found]))
        found = [
            _improved(ground, plan, now[k].found - before, own.get(k), ground.slopes)
            for k, plan in enumerate(found)
        ]
    return found


def _improved(
    ground: Ground,
    plan: Plan,
    miss: Floats,
    own: Floats | None,
    liquids: dict[int, Floats],
) -> Plan:
    """Return a plan after one step of the least squares, with the one liquid that serves best."""
    had = {index: amount for index, amount in plan.beside if index in liquids}
    others = tuple(move for move in plan.beside if move[0] not in liquids)
    # A liquid once chosen stays, or the slopes would be asked about another point.
    choices = [*had] if had else [None, *(k for k in liquids if k not in (plan.place,))]
    best: tuple[float, Plan] | None = None
    for index in choices:
        slope = None if index is None else liquids[index]
        bounds = (0.0, 0.0) if index is None else (_least_of(ground, index), _MOST_LIQUID)
        start = had.get(index, 0.0) if index is not None else 0.0
        cost, amount, beside = _step(plan, miss, own, slope, start, bounds)
        if index is not None:
            cost += _MOVE_COST + _NEW_ROW * ground.liquids.index(index)
        moves = () if index is None or abs(beside) < _LEAST_MOVE else ((index, beside),)
        if best is None or cost < best[0]:
            best = cost, replace(plan, amount=amount, beside=(*others, *moves))
    assert best is not None
    return best[1]


def _step(
    plan: Plan,
    miss: Floats,
    own: Floats | None,
    slope: Floats | None,
    start: float,
    bounds: tuple[float, float],
) -> tuple[float, float, float]:
    """Return the cost that is left, the stand-in's amount and the liquid's [percent]."""
    columns, lows, highs, here = [], [], [], []
    pulls, aims = [], []
    if own is not None:
        columns.append(own)
        lows.append(_LEAST * plan.natural)
        highs.append(_MOST * plan.natural)
        here.append(plan.amount)
        pulls.append(1 / (_PULL * plan.natural))
        aims.append(plan.natural)
    if slope is not None:
        columns.append(slope)
        lows.append(bounds[0])
        highs.append(bounds[1])
        here.append(start)
        pulls.append(1 / _LIQUID_COST)
        aims.append(0.0)
    at = np.array(here)
    if not columns:
        return float(((miss / _SCALES) ** 2).sum()), plan.amount, start
    matrix = np.vstack([np.stack(columns, axis=1) / _SCALES[:, None], np.diag(pulls)])
    wanted = np.concatenate([-miss / _SCALES, np.array(pulls) * (np.array(aims) - at)])
    low, high = np.array(lows) - at, np.array(highs) - at
    change = bounded_least(matrix, wanted, low, high)
    left = matrix @ change - wanted
    new = (at + change).tolist()
    amount = new.pop(0) if own is not None else plan.amount
    return float(left @ left), amount, new[0] if new else start


def bounded_least(matrix: Floats, wanted: Floats, low: Floats, high: Floats) -> Floats:
    """Return x between bounds with the least squares of `matrix @ x - wanted`."""
    found = np.clip(np.zeros(low.size), low, high)
    free = np.ones(low.size, dtype=bool)
    for _ in range(low.size + 1):
        rest = wanted - matrix[:, ~free] @ found[~free]
        if free.any():
            found[free] = np.linalg.lstsq(matrix[:, free], rest, rcond=None)[0]
        over = free & ((found < low) | (found > high))
        found = np.clip(found, low, high)
        if not over.any():
            break
        free &= ~over
    return found


def steadied(ground: Ground, found: list[Plan], shifts: list[float]) -> list[Plan]:
    """Return plans with one liquid moved so that the chance is nearer to that before.

    `shifts` says by how much each is firmer than before [ln Pa]. A plan itself comes back where no
    liquid can move, or none helps.
    """
    tries: list[tuple[int, Plan]] = []
    for k, (plan, shift) in enumerate(zip(found, shifts, strict=True)):
        tries += [(k, one) for one in _tries(ground, plan, shift)]
    if not tries:
        return found
    points = [ground.percents, *(plan.point(ground) for plan in found)]
    points += [one.point(ground) for _, one in tries]
    looks = ground.looked_at(np.array(points))
    aim, own, theirs = looks[0].chance, looks[1 : 1 + len(found)], looks[1 + len(found) :]
    best = [(abs(look.chance - aim), plan) for look, plan in zip(own, found, strict=True)]
    for (k, plan), look in zip(tries, theirs, strict=True):
        # What is gained must be worth the change of wetness.
        off = abs(look.chance - aim) + 0.1 * abs(look.found[0] - own[k].found[0])
        best[k] = min(best[k], (off, plan), key=lambda one: one[0])
    return [plan for _, plan in best]


def _tries(ground: Ground, plan: Plan, shift: float) -> list[Plan]:
    """Return plans with more of a liquid where the dough became firmer, with less where softer."""
    had = dict(plan.beside)
    index = next((k for k in had if k in ground.liquids), None)
    changes = np.sign(shift) * _NUDGES
    if index is None:
        index = _roomy(ground, plan, float(changes[-1]))
    if index is None:
        return []
    steps = had.get(index, 0.0) + changes / _wetting(ground, index)
    bounded = np.unique(np.clip(steps, _least_of(ground, index), _MOST_LIQUID))
    return [_with(plan, index, step) for step in bounded.tolist()]


def _roomy(ground: Ground, plan: Plan, change: float) -> int | None:
    """Return the first liquid that can change ln wetness so much, else that with most room."""
    found = [k for k in ground.liquids if k != plan.place]
    for index in found:
        if _least_of(ground, index) <= change / _wetting(ground, index) <= _MOST_LIQUID:
            return index
    return min(found, key=lambda index: _least_of(ground, index), default=None)


def _wetting(ground: Ground, index: int) -> float:
    """Return by how much ln wetness rises with one per cent of a liquid, about."""
    return max(float(ground.slopes[index][0]), _LEAST_SLOPE)


def _least_of(ground: Ground, index: int) -> float:
    """Return the least change of a liquid [percent], below 0: most of it may go."""
    return -_LEAST_LIQUID * float(ground.percents[index])


def _with(plan: Plan, index: int, amount: float) -> Plan:
    others = tuple(move for move in plan.beside if move[0] != index)
    return replace(plan, beside=(*others, (index, amount)))
