"""Bands of the dough clock: between which strengths a dough is in which state, and until when."""

import numpy as np

from designer.evaluation.dough import crumble_cut
from designer.evaluation.evaluate import HOUR, Evaluation
from designer.evaluation.forecast import Forecast
from designer.vocabulary import Floats

__all__ = ["LATEST_PRESS", "SHOWN_AS_DOUGH", "dough_cuts", "dough_until", "may_crumble"]

LATEST_PRESS = 3 * HOUR
"""A mark "press before" later than this [s] does not stretch the part that shows a dough."""
SHOWN_AS_DOUGH = HOUR
"""Until when [s] a dough is shown where nothing says when it must be pressed."""


def dough_cuts(result: Evaluation, variant: int) -> tuple[float, float, float, float]:
    """Return the firmness [Pa] between slack, sticky, pliable, stiff and crumbly, ascending.

    Tack and crumbling depend on the draw and on time; these are their medians at the knead.
    """
    p, knead, one = result.handbook.parameters, result.knead, result.forecasts[variant]
    tack, crumble = (
        float(np.exp(result.spread(cut).value))
        for cut in (one.tack_cut[knead], _crumble_cut(one, slice(knead, knead + 1))[0])
    )
    cuts = (p["slack_strength"].si, tack, p["firm_strength"].si, crumble)
    # A cut that lies beyond a stronger one leaves the state between them no room.
    slack, sticky, pliable, stiff = np.minimum.accumulate(cuts[::-1])[::-1]
    return float(slack), float(sticky), float(pliable), float(stiff)


def may_crumble(result: Evaluation, variant: int, moments: int) -> np.ndarray:
    """Return whether crumbly may be the likeliest state at each of the first moments.

    The likeliest of five states has a chance of a fifth or more. Where even all that is felt
    within two deviations of crumbling has less, a dough does not crumble; the rest is to be asked.
    """
    one, early = result.forecasts[variant], slice(0, moments)
    rating = result.handbook.parameters["rating_sd"].si
    near = one.log_strength[early] > _crumble_cut(one, early) - 2 * rating
    # Beyond two deviations lie 2.3 %.
    return np.asarray(near @ result.weights + 0.023 >= 0.2)


def _crumble_cut(one: Forecast, at: slice) -> Floats:
    temperature = one.course.temperature[at, one.scene.knowledge.melt_row]
    return crumble_cut(temperature, one.scene.drawn, one.scene.handbook)


def dough_until(result: Evaluation, variant: int) -> float:
    """Return until when [s] the clock shows a dough: to the mark "press before", or one hour.

    Never less than the maker's kneading window, in which it is a dough.
    """
    mark = result.marks["press_before"]
    press = float(mark.value[variant])
    told = mark.share[variant] >= 0.5 and press <= LATEST_PRESS
    return max(press if told else SHOWN_AS_DOUGH, result.conditions.window[1])
