"""The sentence: what a dough will do, in plain words, first of all that is shown."""

from collections.abc import Iterable

import numpy as np

from designer.evaluation.cautions import cautions
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import outside_model, state
from designer.wording.words import MEANING, chance_words, time_words, window_words

_START = {
    "crumbly": "Crumbles at first",
    "stiff": "Stiff at first",
    "pliable": "Mouldable from the start",
    "sticky": "Sticks at first",
    "slack": "Slack at first (too soft, sags)",
}

_MISSED = {
    "crumbly": "crumbles: too little liquid for its powder",
    "stiff": "ends too stiff to knead clean: a little too dry",
    "pliable": "comes clean only with some luck",
    "sticky": "sticks all through {window} of kneading: too wet",
    "slack": "stays slack (too soft, sags) however long it is kneaded: far too wet",
}

_SERIOUS = {
    "weak_preservative": "its preservative is weak as it stands",
    "no_preservative": "no preservative was recognised in it",
    "qs_excess": "its rows make more than 100 %",
    "total_not_hundred": "its rows do not make 100 %",
    "name_and_inci_differ": "the INCI name of {name} is that of another ingredient",
}


def sentence(result: Evaluation, variant: int) -> str:
    """Return what the dough of a variant will do, and what must be said with it."""
    if why := outside_model(result, variant):
        return f"No forecast: {why}."
    text = _story(result, variant)
    told = [
        _SERIOUS[one.code].format(name=one.ingredient)
        for one in cautions(result, variant)
        if one.code in _SERIOUS
    ]
    return f"{text} But {' and '.join(told)}." if told else text


def chance_sentence(result: Evaluation, variant: int) -> str:
    """Return the chance of a clean knead in words, or "" where none may be told."""
    if outside_model(result, variant):
        return ""
    return chance_words(float(result.clean_knead_chance[variant]), result.knowledge.basis)


def _story(result: Evaluation, variant: int) -> str:
    start = state(result, variant, 0)
    end = state(result, variant, int(result.window[-1]))
    window = window_words(result.conditions.window)
    if result.clean_knead_chance[variant] >= 0.5:
        if start == "pliable":
            return f"{_START[start]}; kneads clean{_workable(result, variant)}."
        return (
            f"{_START[start]}, comes clean, usually within {window} of kneading"
            f"{_workable(result, variant)}."
        )
    missed = _MISSED[end].format(window=window)
    if start == end or (start, end) == ("slack", "sticky"):
        return f"{missed[0].upper()}{missed[1:]}."
    first = "Mouldable at first" if start == "pliable" else _START[start]
    return f"{first}, then {missed}."


def _workable(result: Evaluation, variant: int) -> str:
    """Return how long the dough can be worked once clean, coarsely, for it is barely known."""
    mark = result.marks["press_before"]
    if not np.isfinite(mark.value[variant]) or mark.share[variant] < 0.3:
        return "; workable for a day and longer"
    minutes = (mark.value[variant] - result.conditions.window[0]) / 60
    if minutes < 30:
        return "; press it soon, within half an hour"
    if minutes < 90:
        return "; workable for about an hour"
    return "; workable for hours" if minutes < 1440 else "; workable for a day and longer"


def is_dough(result: Evaluation, at: int) -> bool:
    """Return whether the clock shows a dough at a moment: a bar it is after the kneading window."""
    return bool(result.times[at] <= result.conditions.window[1] + 1e-6)


def crumbles(result: Evaluation, variant: int, at: int) -> bool:
    """Return whether there is no firmness to tell: the dough, or what a bar was made of, crumbles.

    A loose powder has no such strength, and pressing one is not in the model.
    """
    felt = at if is_dough(result, at) else int(result.window[-1])
    return state(result, variant, felt) == "crumbly"


def meanings(names: Iterable[str]) -> str:
    """Return what the states named mean, each said once."""
    return "; ".join(f"{name}: {MEANING[name]}" for name in dict.fromkeys(names) if name in MEANING)


_MARKS = {
    "clean_from": "comes clean from",
    "press_before": "press before",
    "no_dent_from": "no thumb dent from",
    "wrap_from": "wrap from",
}


def mark_words(result: Evaluation, variant: int) -> list[tuple[str, str]]:
    """Return each mark of the clock and when it comes, with interval and share of the draws.

    None is told outside the model, and no dent of what crumbles.
    """
    if outside_model(result, variant):
        return []
    found = []
    loose = crumbles(result, variant, -1)
    for name, words in _MARKS.items():
        if loose and name == "no_dent_from":
            found.append((words, "crumbles"))
            continue
        if loose and name == "clean_from":
            words = "does not stick from"
        mark = result.marks[name]
        share = float(mark.share[variant])
        if share < 0.05:
            found.append((words, "hardly ever reached"))
            continue
        low, value, high = (
            time_words(float(column[variant])) for column in (mark.low, mark.value, mark.high)
        )
        span = f"{value}" if low == high else f"{value} ({low} to {high})"
        if share < 0.975:
            span += f", reached in {round(20 * share)} of 20"
        found.append((words, span))
    return found
