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
    """When something happens, over the draws in which it does; arrays () or (variants,).

    Attributes
    ----------
    low, value, high : [s], NaN where no draw gets there
    share : [1], weight of the draws that get there
    """

    low: Floats
    value: Floats
    high: Floats
    share: Floats


@dataclass(frozen=True, eq=False)
class LossPace:
    """How fast losable water leaves a bar.

    Attributes
    ----------
    days : array (half days,) [s] from the first contact of melt and powder
    least : array (half days, draws) [1/s]
        Smallest share of it that has left within a day so far.
    """

    days: Floats
    least: Floats


def marks(
    times: Floats,
    log_strength: Floats,
    tack_cut: Floats,
    firmness: Floats,
    losable: Floats,
    pace: LossPace,
    knead_end: float,
    handbook: Handbook,
    knowledge: Knowledge,
) -> dict[str, Mark]:
    """Return all marks of a variant; times count from the first contact of melt and powder.

    Parameters
    ----------
    times : array (times,) [s]
    log_strength, tack_cut : arrays (times, draws) [ln Pa]
        Of the dough.
    firmness : array (times, draws) [Pa]
        Of the dough, and of the bar after shaping.
    losable : array (draws,) [1]
        Water that leaves until the bar is in balance with the room.
    pace : LossPace
    knead_end : float [s]
    """
    p = handbook.parameters
    kneaded = int(np.searchsorted(times, knead_end + 1e-6, side="right"))
    shaped = int(np.searchsorted(times, knead_end - 1e-6))
    clean_from = first_crossing(times[:kneaded], log_strength[:kneaded] - tack_cut[:kneaded])
    firm = log_strength - np.log(p["firm_strength"].si)
    hard = firmness[shaped:] / p["thumb_strength"].si
    losing = np.abs(losable) * pace.least > p["wrap_loss"].si
    draws = {
        "clean_from": clean_from,
        "press_before": first_crossing(times, firm, after=clean_from),
        "no_dent_from": first_crossing(times[shaped:], hard, as_ratio=True),
        "wrap_from": np.append(pace.days, np.inf)[losing.sum(axis=0)],
    }
    return {name: _mark(times_of, knowledge.weights) for name, times_of in draws.items()}


def first_crossing(
    times: Floats, excess: Floats, after: Floats | None = None, as_ratio: bool = False
) -> Floats:
    """Return the first time at which `excess` is not negative, interpolated in ln time.

    Parameters
    ----------
    times : array (times,) [s], positive
    excess : array (..., times, draws)
    after : array (..., draws) [s], optional
        Only later times count.
    as_ratio : bool
        `excess` is given as e^excess; its logarithm is taken only where it is needed.

    Returns
    -------
    array (..., draws) [s]: infinite where it never happens
    """
    reached = excess >= (1.0 if as_ratio else 0.0)
    if after is not None:
        reached &= times[:, None] >= after[..., None, :] * (1 - 1e-9)
    first = reached.argmax(axis=-2)
    never = ~reached.any(axis=-2)
    before = np.maximum(first - 1, 0)
    low, high = (
        np.take_along_axis(excess, at[..., None, :], axis=-2)[..., 0, :] for at in (before, first)
    )
    if as_ratio:
        low, high = np.log(low), np.log(high)
    rises = (first > 0) & (low < 0)
    part = np.where(rises, -low / np.where(rises, high - low, 1.0), 1.0)
    logs = np.log(times)
    crossing = np.exp(logs[before] + part * (logs[first] - logs[before]))
    crossing = np.where(first == 0, times[0], crossing)
    if after is not None:
        crossing = np.maximum(crossing, after)
    return np.where(never, np.inf, crossing)


def loss_pace(conditions: Conditions, handbook: Handbook, knowledge: Knowledge) -> LossPace:
    """Return the pace of drying from where a bar may be wrapped, not before ten days."""
    p = handbook.parameters
    days = np.arange(p["wrap_not_before"].si, 90 * _DAY, _DAY / 2)
    # The grid has half days, so the loss of the day around each is two steps of it.
    around = np.arange(days[0] - _DAY / 2, days[-1] + 0.75 * _DAY, _DAY / 2)
    left = drying_share(around - conditions.window[1], conditions.room, handbook, knowledge)
    return LossPace(days, np.minimum.accumulate((left[:-2] - left[2:]) / _DAY, axis=0))


def _mark(times_of: Floats, weights: Floats) -> Mark:
    there = np.isfinite(times_of)
    share = weights[there].sum()
    if share > 0:
        low, value, high = percentiles(times_of[there], weights[there] / share, LEVELS)
    else:
        low = value = high = np.array(np.nan)
    return Mark(low, value, high, share)
