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
    basis = result.knowledge.basis
    activity = water_activity(result, variant)
    found = {
        "water_activity": _reading("water_activity", activity.fresh, f"{_WATER}; {basis}"),
    }
    ph = acidity(result, variant)
    if ph.missing:
        named = ", ".join(f'"{name}"' for name in ph.missing)
        why = f"nobody has declared acid, base or pH of {named}: measure the slurry"
        found["ph"] = Reading("ph", None, None, None, f"{_PH}; {basis}", missing=why)
    else:
        found["ph"] = _reading("ph", ph.added.spread, f"{_PH}; {basis}")
    return found


def _reading(name: str, one: Spread, source: str) -> Reading:
    return Reading(name, float(one.value), float(one.low), float(one.high), source)
