"""Estimates of what only a measurement settles: water activity of the bar, pH of its slurry.

They stand on the page of checks and in files, not among the readings of the dough, and no
known-good range is drawn for them: it would read as permission.
"""

from designer.evaluation.acidity import acidity
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import Reading
from designer.evaluation.spread import Spread
from designer.evaluation.water_activity import water_activity

__all__ = ["to_measure"]

_WATER = (
    "water that each ingredient keeps (GAB and Norrish isotherms), summed, in a closed jar at "
    "25 °C, as weighed in; an estimate, not a measurement"
)
_PH = (
    "balance of charges with Davies activity in a 10 % slurry, as weighed in; an estimate, not a "
    "measurement"
)


def to_measure(result: Evaluation, variant: int) -> dict[str, Reading]:
    """Return water activity and pH of a variant as weighed in, in SI."""
    activity, ph = water_activity(result, variant), acidity(result, variant)
    basis = result.knowledge.basis
    return {
        "water_activity": _reading(
            "water_activity", activity.fresh, activity.why_not, f"{_WATER}; {basis}"
        ),
        "ph": _reading("ph", ph.added.spread, ph.why_not, f"{_PH}; {basis}"),
    }


def _reading(name: str, one: Spread, why_not: str, source: str) -> Reading:
    if why_not:
        return Reading(name, None, None, None, source, missing=why_not)
    return Reading(name, float(one.value), float(one.low), float(one.high), source)
