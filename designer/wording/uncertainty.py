"""What makes a forecast unsure, in trade words, and what measuring it would be worth."""

from designer.advice.variance import Input, Measurement, Uncertainty

__all__ = [
    "RUB_OUT_CAUTION",
    "SHARES_NOTE",
    "input_words",
    "measurement_sentences",
    "share_words",
    "uncertainty_sentence",
]

RUB_OUT_CAUTION = (
    "Rubbing out: mask (FFP2 or better), glasses and gloves on, no fan or draught, the powder "
    "spooned slowly and wiped up wet."
)
"""What goes with advice to rub out a powder."""

SHARES_NOTE = (
    "Shares of the whole spread that stay as long as that one thing is not known, of tables alone; "
    "they overlap, so that they make more than 100 % together. What measuring is worth starts from "
    "what is known now."
)
"""How the shares are meant."""

_INPUTS = {
    "demand": "how much more a powder drinks when kneaded than when rubbed out",
    "pace": "how fast powders drink",
    "limits": "how wet a dough must be to hold together, and to run",
    "scale": "how firm a dough is at these limits",
    "set_fat": "what set fat is worth as a liquid",
    "dissolving": "how much powder dissolves",
    "tack": "from which softness a dough sticks to the hand",
    "rating": "how one hand judges it",
    "melt": "how the melt cools and sets",
}

_SMALL = 0.02
"""Shares below this are lost among the errors of the estimate [1]."""

_WORTH = 0.05
"""A measurement that narrows a forecast by less is not worth the work [1]."""


def input_words(one: Input) -> str:
    """Return what is not known, as a maker says it."""
    if one.kind == "powder":
        return f"how much {one.of} drinks"
    if one.kind == "class":
        return f"how much every {one.of.replace('_', ' ')} drinks"
    if one.kind == "volume":
        return f"what {one.of} is like: it is not in the handbook"
    return _INPUTS[one.kind]


def share_words(share: float) -> str:
    """Return a share of a variance, to the digits that it bears."""
    return "-" if share < _SMALL else f"{round(100 * share)} %"


def uncertainty_sentence(found: Uncertainty) -> str:
    """Return what makes the firmness most unsure."""
    if found.missing:
        return f"{found.missing[:1].upper()}{found.missing[1:]}."
    told = [input_words(one) for one in found.inputs[:2] if one.total >= _SMALL]
    if not told:
        return "Nothing in particular makes the firmness unsure."
    return f"What makes the firmness most unsure: {', and '.join(told)}."


def measurement_sentences(found: Uncertainty, most: int = 3) -> tuple[str, ...]:
    """Return what to measure, most useful first, each with what it would be worth."""
    return tuple(
        f"{_measured(one)}: {_narrowed(found.sd_now, one)}."
        for one in found.measurements
        if one.sd_after < (1 - _WORTH) * found.sd_now
    )[:most]


def _measured(one: Measurement) -> str:
    if one.kind == "rub_out":
        return f"Rub out {one.of} with the recipe's own liquid, three times"
    if one.kind == "blend":
        return "Rub out the whole powder blend with the recipe's own liquid, three times"
    return "Make one batch and read its firmness with a rod, 10 min after the pour"


def _narrowed(before: float, one: Measurement) -> str:
    """Return by how much an interval would narrow."""
    part = round(100 * (1 - one.sd_after / before))
    return f"the forecast of the firmness would narrow by about {part} %"
