"""What is said of fixes: the change, what it does, and why there is none."""

from designer.advice.fix import Fix, Fixes, Obstacle
from designer.advice.moves import Move
from designer.advice.wishes import Wish
from designer.wording.lines import kpa
from designer.wording.swaps import cost_words
from designer.wording.words import of_twenty, time_words

__all__ = [
    "FORMULA",
    "change_words",
    "course_words",
    "effect_words",
    "moved",
    "obstacle_words",
    "reached_words",
    "title",
    "verdict",
    "wish_words",
]

FORMULA = (
    "A changed recipe is another formula: check its limits again, and where it was assessed or "
    "notified, the assessor comes first."
)
"""Said below every list of fixes."""

_MINUS = "\N{MINUS SIGN}"

_RATIOS = ("liquid:powder", "vehicle:powder")

_RANGES = {
    "liquid:powder": "liquid : powder",
    "vehicle:powder": "liquids and melt : powder",
    "other powder": "powders other than surfactant",
}
"""Known-good ranges whose name in the table is not what a maker would say."""


def wish_words(wish: Wish) -> str:
    """Return a wish as a maker says it: "clean by 10 min"."""
    if wish.kind == "clean-by":
        return f"clean by {time_words(wish.by)}"
    if wish.kind == "bars":
        bars = "1 bar is" if wish.bars == 1 else f"{wish.bars} bars are"
        return (
            f"workable until {bars} pressed, {time_words(wish.seconds_per_bar)} each, "
            "one after the other from when it is clean"
        )
    if wish.kind == "firmer":
        asked = "" if wish.firmness is None else f", {kpa(wish.firmness)} kPa"
        return f"firmer after a day{asked}"
    if wish.kind == "less-melt":
        return f"{100 * wish.melt:.1f} % less melt"
    return "comes clean"


def title(fixes: Fixes) -> str:
    """Return what heads the list: "smallest change that reaches 14 of 20"."""
    if fixes.status == "nearest":
        return f"nearest to {_goal(fixes)}"
    return f"smallest change that reaches {_goal(fixes)}"


def verdict(fixes: Fixes) -> str:
    """Return in a sentence whether a fix is needed and found, and if not, what stops it."""
    if fixes.status == "met":
        if fixes.wish.kind == "firmer":
            return f"No fix is needed: {_value(fixes.wish, fixes.now.value)}."
        told = f"{of_twenty(fixes.now.value)} of 20 such batches do it"
        return f"No fix is needed for the wish ({wish_words(fixes.wish)}): {told}."
    if fixes.status == "found":
        many = len(fixes.fixes)
        now = fixes.outside or f"now {_value(fixes.wish, fixes.now.value)}"
        return (
            f"{'One change reaches' if many == 1 else f'{many} changes reach'} {_goal(fixes)} "
            f"({wish_words(fixes.wish)}); {now}."
        )
    why = f" {obstacle_words(fixes.obstacle)}" if fixes.obstacle else ""
    if fixes.status == "nearest":
        return f"No change reaches {_goal(fixes)}; the nearest are listed.{why}"
    return f"No change was found that helps ({wish_words(fixes.wish)}).{why}"


def obstacle_words(obstacle: Obstacle) -> str:
    """Return what stops a wish, as a sentence with what to do."""
    name, kind = obstacle.name, obstacle.kind
    if kind == "held":
        if name == "every":
            return "Every row is held: release one that may move."
        return f"Every {name} is held: release one that may move."
    if kind == "rows":
        return "There is nothing to move: it takes two rows that are neither held nor at 0 %."
    if kind == "range":
        unit, factor = ("g/g", 1.0) if name in _RATIOS else ("%", 100.0)
        digits = 2 if name in _RATIOS else 0
        ends = (f"{factor * end:.{digits}f}" for end in (obstacle.low, obstacle.high))
        span = "\N{EN DASH}".join(ends)
        return f"The known-good range of {_RANGES.get(name, name)} ({span} {unit}) stops it."
    if kind == "use":
        span = "\N{EN DASH}".join(f"{100 * end:.3g}" for end in (obstacle.low, obstacle.high))
        return f"The usual share of {name} ({span} %) stops it."
    if kind == "amount" and not name:
        return "There is nothing more to take away."
    if kind == "amount":
        return f"There is no more {name} to take away."
    return "More of any such change does no better: another ingredient or other amounts are needed."


def change_words(fix: Fix) -> str:
    """Return the moved rows, what is taken first: "cocoa butter −1.9, oat flour +1.9"."""
    return ", ".join(f"{name} {figure}" for name, figure in moved(fix))


def moved(fix: Fix) -> tuple[tuple[str, str], ...]:
    """Return the name of each moved row and by how many percent, what is taken first."""
    moves = sorted(fix.moves, key=lambda one: (one.delta > 0, -abs(one.delta)))
    return tuple((_name(one), _signed(one.delta)) for one in moves)


def _name(move: Move) -> str:
    return f"{move.name}{' (q.s.)' if move.fills else ''}"


def course_words(fix: Fix) -> str:
    """Return what the dough does: "sticky at 5 min, pliable at 10 min"."""
    told: list[tuple[float, str]] = []
    for moment, state in fix.course:
        if not told or told[-1][1] != state:
            told.append((moment, state))
    if len(told) == 1 and len(fix.course) > 1:
        return f"{told[0][1]} from {time_words(told[0][0])} on"
    return ", ".join(f"{state} at {time_words(moment)}" for moment, state in told)


def reached_words(fix: Fix, wish: Wish) -> str:
    """Return what the wish gets: "14 of 20", "150 kPa after a day", "14.1 % melt"."""
    return _value(wish, fix.reached.value)


def effect_words(fix: Fix) -> str:
    """Return what else changes: active surfactant and water, and cost where prices are kept."""
    told = (
        f"active surfactant {100 * fix.active:.0f} % ({_signed(100 * fix.active_change, 1)}), "
        f"water {100 * fix.water:.1f} % ({_signed(100 * fix.water_change, 1)})"
    )
    cost = cost_words(fix.cost_change)
    return f"{told}. {cost}" if cost else told


def _goal(fixes: Fixes) -> str:
    most = "at most " if fixes.goal.is_most else ""
    return f"{most}{_value(fixes.wish, fixes.goal.value)}"


def _value(wish: Wish, value: float) -> str:
    if wish.is_chance:
        return f"{of_twenty(value)} of 20"
    if wish.kind == "firmer":
        return f"{kpa(value)} kPa after a day"
    return f"{100 * value:.1f} % melt"


def _signed(value: float, digits: int = 0) -> str:
    """Return a figure with its sign; without `digits` those it needs, at least one."""
    if digits:
        figure = f"{abs(value):.{digits}f}"
    else:
        whole, _, part = f"{abs(value):.6f}".rstrip("0").partition(".")
        figure = f"{whole}.{part or '0'}"
    if float(figure) == 0:
        return "±0"
    return f"{'+' if value > 0 else _MINUS}{figure}"
