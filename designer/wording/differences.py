"""What sets variants apart, in words: which differ, how surely, and through what."""

from collections.abc import Sequence

from designer.advice.differences import Change, Difference
from designer.advice.paired import MOST_PAIRED, Paired
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import outside_model, state
from designer.quantities import written
from designer.wording.headline import is_missed
from designer.wording.words import of_twenty

__all__ = [
    "change_words",
    "comparison_sentence",
    "differ_sentence",
    "difference_sentence",
    "order_sentence",
    "paired_sentence",
]

_FAILS = {
    "crumbly": " (it crumbles)",
    "stiff": " (it ends too stiff)",
    "sticky": " (it sticks)",
    "slack": " (it stays slack)",
}

_MOST_DIFFERING = 3

_NAMED = 2
"""Ingredients that a sentence names; the bars beside it show all."""

_SAME_WETNESS = 0.005
"""Differences of wetness below this are not felt, nor shown with two decimals [1]."""

_TAKEN_BACK = 0.15
"""What two changes may leave of the larger one for the other to have taken it back [1]."""

_MOSTLY = 0.6
"""Part of all that pushes one way from which one ingredient is the main reason [1]."""


def comparison_sentence(result: Evaluation, active: int) -> str:
    """Return how often each variant comes clean, the active one, by its index, first."""
    others = [v for v in range(len(result.forecasts)) if v != active][: MOST_PAIRED - 1]
    told = [_chance_of(result, variant, variant == active) for variant in (active, *others)]
    return f"Variant {', '.join(told)}."


def _chance_of(result: Evaluation, variant: int, first: bool) -> str:
    number = result.recipe.numbers[variant]
    if outside_model(result, variant):
        return f"{number} has no forecast"
    chance = float(result.clean_knead_chance[variant])
    fails = ""
    if is_missed(chance, result.recipe.bench.wanted):
        fails = _FAILS.get(state(result, variant, int(result.window[-1])), "")
    told = f"comes clean in {of_twenty(chance)} of 20 such batches" if first else ""
    return f"{number} {told or f'in {of_twenty(chance)}'}{fails}"


def differ_sentence(splits: Sequence[Difference]) -> str:
    """Return in which ingredients variants differ most, by what it does to the wetness; or ""."""
    size: dict[str, float] = {}
    for split in splits:
        for change, part in split.of("wetness"):
            size[change.name] = size.get(change.name, 0.0) + abs(part)
    told = sorted(size, key=lambda name: -size[name])[:_MOST_DIFFERING]
    if not told:
        return ""
    *before, last = told
    return f"They differ most in {', '.join(before)}{' and ' if before else ''}{last}."


def difference_sentence(difference: Difference, batch: float) -> str:
    """Return why one variant is wetter or drier: "2 is wetter than 1 mostly because of ...".

    `batch` is the mass of the dough [kg], in which the changes are weighed.
    """
    one, other = difference.one, difference.other
    if difference.missing:
        return f"{difference.missing[:1].upper()}{difference.missing[1:]}."
    if not difference.changes:
        return f"{one} and {other} hold the same."
    by = difference.whole["wetness"]
    if abs(by) < _SAME_WETNESS:
        return f"{one} is as wet as {other}: {_balance(difference, batch)}."
    way = "wetter" if by > 0 else "drier"
    # What pushes the other way, or is taken back by another change, is no reason.
    reasons = [(c, part) for c, part in _not_taken_back(difference) if part * by > 0]
    pushing = sum(abs(part) for _, part in reasons)
    first = abs(reasons[0][1])
    if first >= _MOSTLY * pushing or len(reasons) == 1:
        how = "because of" if len(reasons) == 1 else "mostly because of"
        return f"{one} is {way} than {other} {how} {change_words(reasons[0][0], batch)}."
    named = [change_words(change, batch) for change, _ in reasons[:_NAMED]]
    return f"{one} is {way} than {other} most of all because of {' and '.join(named)}."


def _not_taken_back(difference: Difference) -> list[tuple[Change, float]]:
    """Return the parts of wetness without pairs that cancel, as one butter for another."""
    parts = list(difference.of("wetness"))
    left: list[tuple[Change, float]] = []
    while parts:
        change, part = parts.pop(0)
        back = next((k for k, (_, other) in enumerate(parts) if _cancels(part, other)), None)
        if back is None:
            left.append((change, part))
        else:
            parts.pop(back)
    total = difference.whole["wetness"]
    # Where all cancels but crumbs, the pairs are the reason after all.
    explained = sum(part for _, part in left if part * total > 0)
    return left if abs(explained) >= abs(total) / 2 else list(difference.of("wetness"))


def _cancels(part: float, other: float) -> bool:
    return part * other < 0 and abs(part + other) <= _TAKEN_BACK * abs(part)


def _balance(difference: Difference, batch: float) -> str:
    """Return which changes take each other back."""
    named = [
        change_words(change, batch)
        for change, part in difference.of("wetness")[:_NAMED]
        if abs(part) >= _SAME_WETNESS
    ]
    if len(named) < _NAMED:
        return "what changes hardly moves the wetness"
    return f"{named[0]} and {named[1]} balance"


def change_words(change: Change, batch: float) -> str:
    """Return a change as weighed and in percent of the dough: "79 g (3.0 %) more shea butter"."""
    mass = written(abs(change.more) * batch, "mass")
    percent = f"{100 * abs(change.more):.2f}".rstrip("0").rstrip(".")
    return f"{mass} ({percent} %) {'more' if change.more > 0 else 'less'} {change.name}"


def paired_sentence(pair: Paired) -> str:
    """Return how surely two variants differ: "2 is drier than 1 in 20 of 20; ..."."""
    one, other = pair.one, pair.other
    if pair.missing:
        return f"{pair.missing[:1].upper()}{pair.missing[1:]}."
    told = [_surer(one, other, ("drier", pair.drier), ("wetter", pair.wetter))]
    if pair.firmer_next_day is not None and pair.softer_next_day is not None:
        sides = ("firmer", pair.firmer_next_day), ("softer", pair.softer_next_day)
        told.append(f"next day {_surer('its bar', 'the other', *sides)}")
    told.append(_cleaner(pair))
    return f"{'; '.join(told)}."


def _surer(one: str, other: str, first: tuple[str, float], second: tuple[str, float]) -> str:
    """Return the surer of two opposite statements."""
    word, share = max(first, second, key=lambda side: side[1])
    if share == 0:
        return f"{one} is as {'wet' if word in ('drier', 'wetter') else 'firm'} as {other}"
    return f"{one} is {word} than {other} in {of_twenty(share)} of 20"


def _cleaner(pair: Paired) -> str:
    only_one, only_other = of_twenty(pair.clean_only_one), of_twenty(pair.clean_only_other)
    if only_one == only_other == 0:
        return "nearly always both come clean or neither"
    if only_other > only_one:
        return f"{pair.other} alone comes clean in {only_other}, {pair.one} alone in {only_one}"
    return f"{pair.one} alone comes clean in {only_one}, {pair.other} alone in {only_other}"


def order_sentence(pair: Paired | None) -> str:
    """Return which of the two likeliest variants comes clean more often, and how sure that is.

    All variants meet the same draws, so their order is surer than either chance. "" where there
    is nothing to order.
    """
    if pair is None:
        return ""
    one, other = pair.one, pair.other
    only_best, only_second = of_twenty(pair.clean_only_one), of_twenty(pair.clean_only_other)
    if only_best == only_second == 0:
        return (
            f"{one} and {other} come clean about equally often: over the draws common to both, "
            "nearly always both do or neither."
        )
    if only_best == only_second:
        return (
            f"{one} and {other} come clean about equally often: over the draws common to both "
            f"each does without the other in {only_best} of 20."
        )
    return (
        f"{one} is likelier to come clean than {other}: over the draws common to both it does "
        f"where {other} does not in {only_best} of 20, the other way round in {only_second}."
    )
