"""Fixes on paper: the smallest changes of a recipe that mend its dough.

The first list comes from powders and liquids alone, within what a person does not notice; then the
fats join, whose every change makes another blend, and moves of more rows where they are needed.
Each fix is confirmed by the same evaluation that every reading comes from.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from designer.advice.fix import Fix, Fixes, Obstacle, Status
from designer.advice.line import Line
from designer.advice.moves import MOISTURE, Limit, Room, changed, least_change, moves_of
from designer.advice.search import LONGEST, Found, Search
from designer.advice.wishes import CLEAN, Goal, Reached, Wish, told
from designer.evaluation.evaluate import Evaluation, evaluate, evaluate_knead
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.readings import outside_model, readings, standings
from designer.handbook import Handbook
from designer.recipe import Recipe, resolve
from designer.vocabulary import Floats

__all__ = ["MOST", "Fix", "Fixes", "Obstacle", "fixes"]

MOST = 6
"""Fixes in a list at most."""

_POLISH = 4
"""Evaluations at most to make one fix no larger than it must be."""

_AS_SURE = 0.03
"""By how much the surest fix may fall short of another that moves rows of the list anyway [1]."""

Rows = NDArray[np.intp]


def fixes(
    recipe: Recipe,
    handbook: Handbook,
    knowledge: Knowledge,
    variant: int,
    wish: Wish = CLEAN,
    stop: Callable[[], bool] = lambda: False,
    before: Evaluation | None = None,
    found: Callable[[Fixes], None] = lambda _: None,
) -> Fixes | None:
    """Return the smallest changes of a variant that meet a wish.

    Parameters
    ----------
    recipe : Recipe
    variant : int
        Its index.
    wish : Wish
    stop : callable
        Asked every few milliseconds whether to give up.
    before : Evaluation, optional
        That holds the variant as it is, with this handbook and knowledge; saves an evaluation.
    found : callable
        Called with lists that are not final yet, each better than the one before.

    Returns
    -------
    Fixes, or None when stopped

    Raises
    ------
    ReadableError
        A row is unknown and has no class, or the variant holds nothing.

    Notes
    -----
    Held rows stay; so do rows of phase last, unless nothing else helps, and always preservatives
    and acids. A known-good range or the usual share of a material that holds before holds after;
    one that does not is left no further. The bath stays as it is.
    """
    try:
        return _Quest.of(recipe, handbook, knowledge, variant, wish, stop, before).pursued(found)
    except InterruptedError:
        return None


@dataclass(eq=False)
class _Quest:
    """One search for fixes, and what it needs to confirm and to tell them."""

    recipe: Recipe
    number: str
    handbook: Handbook
    knowledge: Knowledge
    wish: Wish
    stop: Callable[[], bool]
    plain: Evaluation
    plain_at: int
    search: Search
    now: Reached

    @classmethod
    def of(
        cls,
        recipe: Recipe,
        handbook: Handbook,
        knowledge: Knowledge,
        variant: int,
        wish: Wish,
        stop: Callable[[], bool],
        before: Evaluation | None,
    ) -> "_Quest":
        number = recipe.numbers[variant]
        only = recipe.only(number)
        if before is not None and _serves(before, only, handbook, knowledge):
            plain, at = before, before.recipe.numbers.index(number)
        else:
            plain, at = evaluate_knead(only, handbook, knowledge), 0
        asked, asked_at = plain, at
        if wish.kind not in ("clean", "less-melt"):
            asked, asked_at = _asked(only, handbook, knowledge, wish), 0
        return cls(
            recipe,
            number,
            handbook,
            knowledge,
            wish,
            stop,
            plain,
            at,
            Search.of(asked, asked_at, wish, stop),
            wish.reached(asked.forecasts[asked_at]),
        )

    @property
    def room(self) -> Room:
        """Where the variant may be moved."""
        return self.search.room

    @property
    def goal(self) -> Goal:
        """What is asked for."""
        return self.search.goal

    def pursued(self, found: Callable[[Fixes], None]) -> Fixes:
        """Return the final list; earlier ones are told on the way."""
        if self._is_met():
            return self._told("met", ())
        movable = self.room.movable
        melt = {k for k, row in enumerate(self.recipe.rows) if row.phase == "melt"}
        plain = np.array([k for k in movable.tolist() if k not in melt], dtype=np.intp)
        search = self.search
        first = search.screened(search.lines(search.busiest(plain)))
        hopeful = [line for line in first if np.isfinite(line.guess)] or first[:3]
        places = self._followed(_various(hopeful, 2, self.recipe, 8), or_best=False)
        early = self._chosen(places)
        if early:
            found(self._told("found", early, is_final=False))
        every = search.screened(search.lines(search.busiest(movable)))
        places += self._followed(_nearest(every, _various(every, 2, self.recipe, 24)))
        if not any(one.meets for one in places):
            places += self._of_more(places, movable)
        if not any(one.meets for one in places) and self.room.spare.size:
            rows = np.union1d(movable, self.room.spare)
            places += self._followed(search.screened(search.lines(rows))[:24])
        tops = self._surest(every)
        listed = self._chosen(places, is_last=True)
        near = () if listed else self._nearest_fixes([*places, *tops])
        listed = listed or _by_size([one for one in near if one.meets])
        if listed:
            return self._told("found", self._with_surest(listed, tops) if tops else listed)
        return self._told("nearest" if near else "none", near, self._obstacle(places, every))

    def _is_met(self) -> bool:
        if outside_model(self.plain, self.plain_at):
            return False
        if self.wish.is_chance:
            return self.goal.is_met(self.now, True)
        if self.wish.kind == "less-melt":
            return False
        return not np.isfinite(self.goal.value) or self.now.value >= self.goal.value

    def _followed(self, lines: Iterable[Line], or_best: bool = True) -> list[Found]:
        found = []
        for line in lines:
            if self.stop():
                raise InterruptedError
            place = self.search.followed(line, or_best)
            if place is not None:
                found.append(place)
        return found

    def _of_more(self, places: list[Found], rows: Rows) -> list[Found]:
        """Return moves of three rows, and if none of them suffices, of all."""
        found: list[Found] = []
        best = sorted(places, key=lambda one: -self.search.score(one.reached))[:4]
        for one in best:
            lines = [
                line
                for line in self.search.lines(self.search.busiest(rows), one.percents)
                if len(set(line.rows) | set(one.line.rows)) <= 3
            ]
            placed = self._followed(self.search.screened(lines)[:6])
            found += self.search.without_trifles(placed)
        if any(one.meets for one in found):
            return found
        return found + self.search.without_trifles(self._followed(self._of_all(rows)))

    def _of_all(self, rows: Rows) -> list[Line]:
        """Return the line on which all rows that do something give a little of what they are."""
        if not self.wish.is_chance or not rows.size:
            return []
        start, slopes = self.search.start, self.search.strengths(rows)
        ease = np.zeros_like(start)
        ease[rows] = 0.1 * start[rows] + 0.2
        wetter = self.search.is_too_dry()
        change = least_change(0.0, slopes, ease, start, -1.0 if wetter else 1.0)
        # Whoever weighs it wants no row that moves by a trifle.
        change[np.abs(change) < 0.1 * np.abs(change).max()] = 0.0
        down, up = -change[change < 0].sum(), change[change > 0].sum()
        if min(down, up) <= 0:
            return []
        direction = np.where(change < 0, change / down, change / up)
        far, limit = self.room.reach(start, direction)
        moved = tuple(np.flatnonzero(direction).tolist())
        return [Line(start, direction, min(far, LONGEST), limit, moved)]

    def _surest(self, lines: list[Line]) -> list[Found]:
        """Return exchanges of two rows where they bring the highest chances, the highest first."""
        if not self.wish.is_chance:
            return []
        by_hope = sorted(lines, key=lambda one: -one.hope)[:6]
        tops = [top for line in by_hope if (top := self.search.top(line)) is not None]
        return sorted(tops, key=lambda one: -one.reached.value)

    def _chosen(self, places: list[Found], is_last: bool = False) -> tuple[Fix, ...]:
        """Return the smallest of the places that reach the goal, confirmed and unlike each other.

        Those of the `last` list are no larger than they must be.
        """
        listed: list[Fix] = []
        good = sorted((one for one in places if one.meets), key=_order)
        for one in _unlike(good, self.recipe, self.room.groups):
            if len(listed) == MOST:
                break
            fix = self._confirmed(one)
            if fix is not None and fix.meets:
                listed.append(self._polished(one, fix) if is_last else fix)
        return _by_size(listed)

    def _with_surest(self, listed: tuple[Fix, ...], tops: list[Found]) -> tuple[Fix, ...]:
        """Return a list with the surest fix, where it is told better than all others.

        One that moves the rows of another fix further must be better by two of twenty.
        """
        best = max(told(one.reached.value) for one in listed)
        had = [{move.row for move in one.moves} for one in listed]
        new = [one for one in tops if set(np.flatnonzero(one.change).tolist()) not in had]
        if new and new[0].reached.value >= tops[0].reached.value - _AS_SURE:
            tries = [(new[0], 1), (tops[0], 2)]
        else:
            tries = [(tops[0], 2)]
        for one, more in tries:
            fix = self._confirmed(one)
            if fix is not None and fix.meets and told(fix.reached.value) >= best + more:
                return _by_size([*listed[: MOST - 1], fix])
        return listed

    def _nearest_fixes(self, places: list[Found]) -> tuple[Fix, ...]:
        """Return the three places that come nearest to the goal, if they come nearer at all."""
        start = self.search.score(self.now)
        score = {id(one): self.search.score(one.reached) for one in places}
        better = [one for one in places if score[id(one)] > start + 0.05]
        better.sort(key=lambda one: -score[id(one)])
        found: list[Fix] = []
        for one in _unlike(better, self.recipe, self.room.groups):
            fix = self._confirmed(one)
            if fix is not None and self._is_told_better(fix):
                found.append(self._polished(one, fix) if fix.meets else fix)
            if len(found) == 3:
                break
        return tuple(found)

    def _is_told_better(self, fix: Fix) -> bool:
        if self.wish.is_chance:
            return told(fix.reached.value) > told(self.now.value)
        return self.search.score(fix.reached) > self.search.score(self.now)

    def _confirmed(self, one: Found) -> Fix | None:
        """Return a place as a fix by the full evaluation; None where it breaks what must hold."""
        if self.stop():
            raise InterruptedError
        deltas = {
            int(row): round(float(one.percents[row] - self.room.percents[row]), 6)
            for row in np.flatnonzero(np.abs(one.percents - self.room.percents) > 5e-7)
        }
        recipe = changed(self.recipe, self.number, deltas)
        alone = recipe.only(self.number)
        result = evaluate_knead(alone, self.handbook, self.knowledge)
        if outside_model(result, 0) or not self._keeps_ranges(result):
            return None
        asked = result
        if self.wish.kind not in ("clean", "less-melt"):
            asked = _asked(alone, self.handbook, self.knowledge, self.wish)
        reached = self.wish.reached(asked.forecasts[0])
        after = resolve(alone).percents[0]
        moves = moves_of(self.recipe, self.room.percents, after, self.number)
        had, has = readings(self.plain, self.plain_at), readings(result, 0)
        values = {
            name: (float(has[name].value or 0.0), float(had[name].value or 0.0))
            for name in ("active_surfactant", "water")
        }
        return Fix(
            moves,
            recipe,
            result,
            asked,
            reached,
            self.goal.is_met(reached, self.wish.is_chance),
            float(sum(abs(move.delta) for move in moves)) / 2,
            values["active_surfactant"][0],
            values["water"][0],
            values["active_surfactant"][0] - values["active_surfactant"][1],
            values["water"][0] - values["water"][1],
        )

    def _polished(self, one: Found, fix: Fix) -> Fix:
        """Return a fix no larger than it must be, by the full evaluation.

        Slopes of heat carried far may make a dough look wetter or drier than it is.
        """
        low, below = 0.0, self.search.score(self.now)
        place, best = one, fix
        for _ in range(_POLISH):
            above = self.search.score(best.reached)
            if above - below <= 0:
                return best
            root = low - below * (best.size - low) / (above - below)
            nearer = self.search.nearer(place, max(root, low + self.room.step))
            smaller = None if nearer is None else self._confirmed(nearer)
            if nearer is None or smaller is None:
                return best
            if self.search.meets(smaller.reached):
                place, best = nearer, smaller
            else:
                low, below = smaller.size, self.search.score(smaller.reached)
        return best

    def _keeps_ranges(self, result: Evaluation) -> bool:
        """Return whether all that stood within its known-good range still does, as it is told."""
        old = {one.quantity: one for one in standings(self.plain, self.plain_at)}
        for one in standings(result, 0):
            was = old.get(one.quantity)
            if one.where == "within" or was is None:
                continue
            share = MOISTURE if one.quantity == "water" else 0.0
            further = 1e-6 + abs(was.value) * (share + 1e-6)
            is_further = (
                one.value < was.value - further
                if one.where == "below"
                else one.value > was.value + further
            )
            if was.where != one.where or is_further:
                return False
        return True

    def _obstacle(self, places: list[Found], lines: list[Line]) -> Obstacle:
        """Return what stops the most promising move."""
        if held := self._held():
            return held
        lines = lines or self._stuck()
        if not lines and not places:
            return Obstacle("rows")
        pairs = [one for one in places if len(one.line.rows) <= 2] or places
        best = max(pairs, key=lambda one: self.search.score(one.reached), default=None)
        line = best.line if best is not None else max(lines, key=lambda one: one.hope)
        at_end = best is None or self._is_at_end(best)
        if not at_end:
            return Obstacle("model")
        limit: Limit | None = line.limit
        if limit is None:
            down = [row for row in line.rows if line.direction[row] < 0]
            return Obstacle("amount", self.recipe.rows[down[0]].name if down else "")
        return _limit_obstacle(limit, self.handbook)

    def _stuck(self) -> list[Line]:
        """Return exchanges that cannot even begin, each with what stops it."""
        return self.search.lines(self.search.busiest(self.room.movable), least=0.0)

    def _is_at_end(self, one: Found) -> bool:
        moved = float(np.abs(one.percents - one.line.start).sum()) / 2
        return moved >= 0.85 * one.line.far * one.line.weight

    def _held(self) -> Obstacle | None:
        """Return the phase whose every row is held, where that leaves nothing to move against."""
        rows = self.recipe.rows
        movable = set(self.room.movable.tolist())
        if not movable:
            present = [row for row in rows if self.number in row.percents and row.phase != "last"]
            all_held = present and all(self.number in row.held for row in present)
            return Obstacle("held", "every") if all_held else Obstacle("rows")
        for phase in ("powder", "liquid"):
            own = [row for row in rows if row.phase == phase and self.number in row.percents]
            if own and all(self.number in row.held for row in own):
                return Obstacle("held", phase)
        return None

    def _told(
        self,
        status: Status,
        listed: tuple[Fix, ...],
        obstacle: Obstacle | None = None,
        is_final: bool = True,
    ) -> Fixes:
        return Fixes(
            self.recipe,
            self.number,
            self.wish,
            self.now,
            self.goal,
            status,
            listed,
            obstacle,
            is_final,
            self.search.evaluations,
            outside_model(self.plain, self.plain_at),
        )


def _serves(before: Evaluation, only: Recipe, handbook: Handbook, knowledge: Knowledge) -> bool:
    """Return whether an evaluation holds the one variant of a recipe as it is."""
    number = only.numbers[0]
    return (
        before.handbook is handbook
        and before.knowledge is knowledge
        and number in before.recipe.numbers
        and before.recipe.only(number) == only
    )


def _asked(only: Recipe, handbook: Handbook, knowledge: Knowledge, wish: Wish) -> Evaluation:
    """Return the evaluation of a recipe of one variant under the wish's conditions."""
    asked = replace(only, bench=wish.bench(only.bench))
    return evaluate(asked, handbook, knowledge, wish.times(only.bench))


def _limit_obstacle(limit: Limit, handbook: Handbook) -> Obstacle:
    if limit.kind == "use":
        return Obstacle("use", limit.name, limit.low, limit.high)
    one = handbook.ranges[limit.name]
    factor = 100.0 if one.unit.startswith("%") else 1.0
    return Obstacle("range", limit.name, one.low / factor, one.high / factor)


def _idea(change: Floats, names: Sequence[str], recipe: Recipe) -> tuple[str, str]:
    """Return what a move is about: what it takes most of, by name, and the phase it gives to."""
    down, up = int(change.argmin()), int(change.argmax())
    takes = names[down] if change[down] < 0 else ""
    return takes, recipe.rows[up].phase if change[up] > 0 else ""


def _various(lines: list[Line], each: int, recipe: Recipe, most: int) -> list[Line]:
    """Return the most promising lines, not more than `each` of one idea."""
    seen: dict[tuple[str, str], int] = {}
    names = [row.name for row in recipe.rows]
    found = []
    for line in lines:
        idea = _idea(line.direction, names, recipe)
        if seen.get(idea, 0) < each:
            seen[idea] = seen.get(idea, 0) + 1
            found.append(line)
        if len(found) == most:
            break
    return found


def _nearest(lines: list[Line], others: list[Line]) -> list[Line]:
    """Return the lines expected to be nearest, and the others that are not among them."""
    first = lines[:12]
    return [*first, *(line for line in others if all(line is not one for one in first))]


def _by_size(listed: list[Fix]) -> tuple[Fix, ...]:
    return tuple(sorted(listed, key=lambda one: round(one.size, 4)))


def _order(one: Found) -> tuple[float, float]:
    """Return what the smallest come first by; of two as small, the likelier to knead clean."""
    return round(one.size, 4), -one.reached.chance


def _unlike(places: list[Found], recipe: Recipe, groups: tuple[str, ...]) -> Iterable[Found]:
    """Yield places in order, none of which takes and gives the like of an earlier one."""
    seen: set[tuple[str, str]] = set()
    for one in places:
        idea = _idea(one.change, groups, recipe)
        if idea not in seen:
            seen.add(idea)
            yield one
