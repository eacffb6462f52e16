"""What the dough clock shows of an evaluation, in shown units: lines, bands, marks, moments."""

from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np

from designer.evaluation.clock_bands import dough_cuts, dough_until, may_crumble
from designer.evaluation.evaluate import LAST_TIME, Evaluation
from designer.evaluation.forecast import Forecast
from designer.evaluation.readings import outside_model, state
from designer.vocabulary import Floats
from designer.window.figures import EN_DASH, kpa, spaced
from designer.wording.sentence import crumbles, is_dough
from designer.wording.words import bar_word, bar_words, hand_words, time_words

__all__ = ["ClockData", "Line", "Mark", "drawn_variants", "moment", "read", "row", "when"]

_MINUTE, _HOUR = 60.0, 3600.0

_WORDS = {
    "clean_from": "clean from",
    "press_before": "press before",
    "no_dent_from": "no thumb dent from",
    "wrap_from": "wrap from",
}


@dataclass(frozen=True, eq=False)
class Line:
    """The firmness of one variant over time.

    Attributes
    ----------
    low, value, high : arrays (times,) [kPa], NaN where there is none to tell
    silence : str
        Why there is none, or "".
    """

    number: str
    low: Floats
    value: Floats
    high: Floats
    silence: str


@dataclass(frozen=True)
class Mark:
    """A mark of the clock as it is told.

    Attributes
    ----------
    words, time : str
        "clean from", "3 min"; without a time the words say how many never get there.
    low, value, high : float [min]
    is_drawn : bool
        Whether it stands on the axis: half of the draws get there within four weeks.
    """

    name: str
    words: str
    time: str
    low: float
    value: float
    high: float
    share: float
    is_drawn: bool


@dataclass(frozen=True, eq=False)
class ClockData:
    """What is drawn: the active variant's line with bands, marks and temperature, other lines.

    Attributes
    ----------
    minutes : array (times,)
    cuts : firmness [kPa] between slack, sticky, pliable, stiff and crumbly
    until : [min] to where the bands of a dough reach
    window : [min] the maker's kneading window
    temperature : arrays low, median, high (times,) [°C]
    reason : str
        Why nothing may be told, or "".
    """

    result: Evaluation
    variant: int
    minutes: Floats
    active: Line
    others: tuple[Line, ...]
    cuts: tuple[float, ...]
    until: float
    window: tuple[float, float]
    marks: tuple[Mark, ...]
    temperature: tuple[Floats, Floats, Floats]
    reason: str


def read(result: Evaluation, pinned: tuple[str, ...]) -> ClockData:
    """Return what the clock shows of a result; `pinned` numbers stand beside the active one."""
    variant, *others = drawn_variants(result, pinned)
    warmth = result.spread_over_time(variant)["temperature"]
    window = result.conditions.window
    return ClockData(
        result,
        variant,
        result.times / _MINUTE,
        _line(result, variant),
        tuple(_line(result, other) for other in others),
        tuple(cut / 1e3 for cut in dough_cuts(result, variant)),
        dough_until(result, variant) / _MINUTE,
        (window[0] / _MINUTE, window[1] / _MINUTE),
        _marks(result, variant),
        (warmth.low - 273.15, warmth.value - 273.15, warmth.high - 273.15),
        outside_model(result, variant),
    )


def drawn_variants(result: Evaluation, pinned: tuple[str, ...]) -> list[int]:
    """Return indices of the variants drawn, the active one first: all of three, or the pinned."""
    variants = result.recipe.variants
    active = next(at for at, variant in enumerate(variants) if variant.active)
    wanted = [
        at
        for at, variant in enumerate(variants)
        if at != active and (len(variants) <= 3 or variant.number in pinned)
    ]
    return [active, *wanted]


_LINES: WeakKeyDictionary[Forecast, Line] = WeakKeyDictionary()
"""Lines of forecasts, which an edit of another variant leaves as they are."""


def _line(result: Evaluation, variant: int) -> Line:
    known = result.forecasts[variant]
    if known not in _LINES:
        _LINES[known] = _new_line(result, variant)
    return replace(_LINES[known], number=result.recipe.variants[variant].number)


def _new_line(result: Evaluation, variant: int) -> Line:
    if outside_model(result, variant):
        nothing = np.full(result.times.size, np.nan)
        return Line("", nothing, nothing, nothing, "no forecast")
    spread = result.spread_over_time(variant)["firmness"]
    doughs = int(np.searchsorted(result.times, result.conditions.window[1] + 1e-6))
    silent = np.full(result.times.size, crumbles(result, variant, -1))
    may = may_crumble(result, variant, doughs).tolist()
    silent[:doughs] = [may[at] and crumbles(result, variant, at) for at in range(doughs)]
    low, value, high = (
        np.where(silent, np.nan, one / 1e3) for one in (spread.low, spread.value, spread.high)
    )
    first = "" if silent[-1] else " at first"
    return Line("", low, value, high, f"crumbles{first}: no firmness" if silent.any() else "")


def when(seconds: float) -> str:
    """Return a time as the clock's marks say it: below an hour to the minute, no finer."""
    if seconds < 0.995 * _HOUR:
        return spaced(f"{max(1, round(seconds / _MINUTE))} min")
    return spaced(time_words(seconds))


def _marks(result: Evaluation, variant: int) -> tuple[Mark, ...]:
    """Return the marks told, as the sentence words of the terminal tell them."""
    if outside_model(result, variant):
        return ()
    found = []
    loose = crumbles(result, variant, -1)
    for name, words in _WORDS.items():
        if loose and name == "no_dent_from":
            continue
        if loose and name == "clean_from":
            words = "does not stick from"
        one = result.marks[name]
        low, value, high, share = (
            float(column[variant]) for column in (one.low, one.value, one.high, one.share)
        )
        time = ""
        if share < 0.5:
            words = _missed(result, variant, name, share)
        else:
            words, time = _told(words, value, float(result.times[0]))
        if words:
            ends = (low / _MINUTE, value / _MINUTE, high / _MINUTE)
            is_drawn = share >= 0.5 and value <= LAST_TIME
            found.append(Mark(name, words, time, *ends, share, is_drawn))
    return tuple(found)


def _told(words: str, value: float, first: float) -> tuple[str, str]:
    """Return words and time of a mark; what holds when the clock starts has no minute."""
    if value > first * 1.001:
        return words, when(value)
    return ("press", "at once") if words == "press before" else (words, "the start")


def _missed(result: Evaluation, variant: int, name: str, share: float) -> str:
    """Return how many batches do not get to a mark, or "" where another mark says so already."""
    clean = float(result.marks["clean_from"].share[variant])
    if name == "press_before":
        stays = round(20 * (clean - share))
        # Of a few the sentence does not speak either.
        return f"{stays} of 20 stay workable" if clean >= 0.5 and stays >= 10 else ""
    end = when(result.conditions.window[1])
    none, some = {
        "clean_from": (f"hardly ever clean by {end}", f"are not clean by {end}"),
        "no_dent_from": ("takes a thumb dent for 4 wk", "take a thumb dent for 4 wk"),
        "wrap_from": ("not to be wrapped by 4 wk", "are not to be wrapped by 4 wk"),
    }[name]
    return none if share < 0.05 else f"{round(20 * (1 - share))} of 20 {some}"


def moment(data: ClockData, at: int) -> tuple[str, str]:
    """Return what is to be read at a moment: time and state; firmness and temperature."""
    result, line = data.result, data.active
    time = spaced(time_words(float(result.times[at])))
    warmth = spaced(f"{data.temperature[1][at]:.0f} °C")
    if data.reason:
        return time, warmth
    value = float(line.value[at]) * 1e3
    if not np.isfinite(value):
        return f"{time}: crumbly", f"no firmness, {warmth}"
    if is_dough(result, at):
        word = f"{state(result, data.variant, at)}, {hand_words(value)}"
    else:
        word = f"{bar_words(value)} bar"
    low, high = (kpa(float(end[at]) * 1e3) for end in (line.low, line.high))
    return f"{time}: {word}", f"{spaced(f'{kpa(value)} kPa')} ({low}{EN_DASH}{high}), {warmth}"


def row(data: ClockData, at: int) -> tuple[str, ...]:
    """Return a moment as texts: minutes, firmness low, median, high, temperature, state."""
    line, result = data.active, data.result
    value = float(line.value[at])
    firmness = ["", "", ""]
    if np.isfinite(value):
        firmness = [kpa(float(end[at]) * 1e3) for end in (line.low, line.value, line.high)]
    if is_dough(result, at) or data.reason:
        word = state(result, data.variant, at)
    else:
        word = bar_word(value * 1e3) if np.isfinite(value) else "crumbly"
    return (f"{data.minutes[at]:.1f}", *firmness, f"{data.temperature[1][at]:.0f}", word)
