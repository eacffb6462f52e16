"""Marks on the dough clock: when it comes clean, must be pressed, takes no dent, may be wrapped."""

from dataclasses import dataclass

import numpy as np

from designer.evaluation.bar import drying_share
from designer.evaluation.heat import Conditions
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.spread import LEVELS, percentiles
from designer.handbook import Handbook
from designer.vocabulary import Floats

_DAY = 86400.0


@dataclass(frozen=True, eq=False)
class Mark:
    """When something happens, over the draws in which it does; arrays (variants,).

    Attributes
    ----------
    low, value, high : [s], NaN where no draw gets there
    share : [1], weight of the draws that get there
    """

    low: Floats
    value: Floats
    high: Floats
    share: Floats


def marks(
    times: Floats,
    log_strength: Floats,
    tack_cut: Floats,
    firmness: Floats,
    losable: Floats,
    conditions: Conditions,
    handbook: Handbook,
    knowledge: Knowledge,
) -> dict[str, Mark]:
    """Return all marks; times count from the first contact of melt and powder.

    Parameters
    ----------
    times : array (times,) [s]
    log_strength, tack_cut : arrays (variants, times, draws) [ln Pa]
        Of the dough.
    firmness : array (variants, times, draws) [Pa]
        Of the dough, and of the bar after shaping.
    losable : array (variants, draws) [1]
        Water that leaves until the bar is in balance with the room.
    """
    p = handbook.parameters
    knead_end = conditions.window[1]
    kneaded = times <= knead_end + 1e-6
    above_tack = log_strength - tack_cut
    clean_from = first_crossing(times[kneaded], above_tack[:, kneaded])
    firm = log_strength - np.log(p["firm_strength"].si)
    shaped = times >= knead_end - 1e-6
    hard = np.log(firmness[:, shaped]) - np.log(p["thumb_strength"].si)
    draws = {
        "clean_from": clean_from,
        "press_before": first_crossing(times, firm, after=clean_from),
        "no_dent_from": first_crossing(times[shaped], hard),
        "wrap_from": _wrap_from(losable, conditions, handbook, knowledge),
    }
    return {name: _mark(times_of, knowledge.weights) for name, times_of in draws.items()}


def first_crossing(times: Floats, excess: Floats, after: Floats | None = None) -> Floats:
    """Return the first time at which `excess` is not negative, interpolated in ln time.

    Parameters
    ----------
    times : array (times,) [s], positive
    excess : array (variants, times, draws)
    after : array (variants, draws) [s], optional
        Only later times count.

    Returns
    -------
    array (variants, draws) [s]: infinite where it never happens
    """
    reached = excess >= 0
    if after is not None:
        reached = reached & (times[:, None] >= after[:, None, :] * (1 - 1e-9))
    first = reached.argmax(axis=1)
    never = ~reached.any(axis=1)
    before = np.maximum(first - 1, 0)
    low = np.take_along_axis(excess, before[:, None], axis=1)[:, 0]
    high = np.take_along_axis(excess, first[:, None], axis=1)[:, 0]
    rises = (first > 0) & (low < 0)
    part = np.where(rises, -low / np.where(rises, high - low, 1.0), 1.0)
    logs = np.log(times)
    crossing = np.exp(logs[before] + part * (logs[first] - logs[before]))
    crossing = np.where(first == 0, times[0], crossing)
    if after is not None:
        crossing = np.maximum(crossing, after)
    return np.where(never, np.inf, crossing)


def _wrap_from(
    losable: Floats, conditions: Conditions, handbook: Handbook, knowledge: Knowledge
) -> Floats:
    """Return when the daily loss falls below the wrapping limit, not before ten days."""
    p = handbook.parameters
    days = np.arange(p["wrap_not_before"].si, 90 * _DAY, _DAY / 2)
    # The grid has half days, so the loss of the day around each is two steps of it.
    around = np.arange(days[0] - _DAY / 2, days[-1] + 0.75 * _DAY, _DAY / 2)
    shaped = around - conditions.window[1]
    left = drying_share(shaped, conditions.room, handbook, knowledge)
    rate = (left[:-2] - left[2:]) / _DAY
    slow = np.abs(losable)[:, None, :] * rate <= p["wrap_loss"].si
    first = slow.argmax(axis=1)
    return np.where(slow.any(axis=1), days[first], np.inf)


def _mark(times_of: Floats, weights: Floats) -> Mark:
    shares, spreads = [], []
    for one in times_of:
        there = np.isfinite(one)
        weight = weights[there]
        share = float(weight.sum())
        shares.append(share)
        if share > 0:
            spreads.append(percentiles(one[there], weight / share, LEVELS))
        else:
            spreads.append(np.full(3, np.nan))
    low, value, high = np.array(spreads).T
    return Mark(low, value, high, np.array(shares))
