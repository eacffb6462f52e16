"""Bands of the dough clock: between which strengths a dough is in which state, and until when."""

import numpy as np

from designer.evaluation.evaluate import HOUR, Evaluation

__all__ = ["LATEST_PRESS", "SHOWN_AS_DOUGH", "dough_cuts", "dough_until"]

LATEST_PRESS = 3 * HOUR
"""A mark "press before" later than this [s] does not stretch the part that shows a dough."""
SHOWN_AS_DOUGH = HOUR
"""Until when [s] a dough is shown where nothing says when it must be pressed."""


def dough_cuts(result: Evaluation, variant: int) -> tuple[float, float, float, float]:
    """Return the firmness [Pa] between slack, sticky, pliable, stiff and crumbly, ascending.

    Tack and crumbling depend on the draw and on time; these are their medians at the knead.
    """
    p, knead = result.handbook.parameters, result.knead
    tack, crumble = (
        float(np.exp(result.spread(cut[variant, knead]).value))
        for cut in (result.tack_cut, result.crumble_cut)
    )
    cuts = (p["slack_strength"].si, tack, p["firm_strength"].si, crumble)
    # A cut that lies beyond a stronger one leaves the state between them no room.
    slack, sticky, pliable, stiff = np.minimum.accumulate(cuts[::-1])[::-1]
    return float(slack), float(sticky), float(pliable), float(stiff)


def dough_until(result: Evaluation, variant: int) -> float:
    """Return until when [s] the clock shows a dough: to the mark "press before", or one hour.

    Never less than the maker's kneading window, in which it is a dough.
    """
    mark = result.marks["press_before"]
    press = float(mark.value[variant])
    told = mark.share[variant] >= 0.5 and press <= LATEST_PRESS
    return max(press if told else SHOWN_AS_DOUGH, result.conditions.window[1])
