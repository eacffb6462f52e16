"""What a recipe forgives, in words: how far each thing may drift, and what forgives least."""

from designer.advice.forgiveness import Allowance, End, Forgiveness
from designer.quantities import written
from designer.wording.words import of_twenty, time_words

__all__ = [
    "GRAMS_NOTE",
    "allowance_name",
    "allowance_sentence",
    "forgiveness_sentence",
    "interval_words",
    "weakest_sentences",
]

GRAMS_NOTE = (
    "Of an ingredient: the grams weighed while all others keep theirs, so that every percentage "
    "shifts a little. Of a lot: what it drinks, of what is known of the powder. This is about the "
    "knead alone: less of a preservative or an acid is never told, for what it does decides its "
    "amount."
)
"""How the intervals are meant, and what they are no leave for."""

_CONDITION_NAMES = {
    "room": "room",
    "humidity": "humidity",
    "bath": "bath",
    "batch": "batch",
    "knead": "kneaded for",
}

_LOST = {"sticky": "makes it stick", "stiff": "makes it too stiff"}
_OFTEN = "too often"


def allowance_name(one: Allowance) -> str:
    """Return what a thing that may drift is called."""
    if one.kind == "lot":
        return f"lot of {one.name}, drinks"
    return one.name if one.is_ingredient else _CONDITION_NAMES[one.name]


def forgiveness_sentence(found: Forgiveness) -> str:
    """Return what the intervals hold."""
    if found.missing:
        return f"{found.missing[:1].upper()}{found.missing[1:]}."
    has, wanted = of_twenty(found.chance), of_twenty(found.wanted)
    if found.meets:
        return f"Each alone may drift so far before fewer than {wanted} of 20 come clean."
    if has >= wanted:
        start = f"It barely has the wanted {wanted} of 20"
    else:
        start = f"It has {has} of 20, less than the wanted {wanted}"
    return f"{start}; each alone may drift so far before one more batch in 20 fails."


def weakest_sentences(found: Forgiveness, most: int = 3) -> tuple[str, ...]:
    """Return what forgives least, weakest first: "8 g more betaine in 2.64 kg makes it stick"."""
    return tuple(allowance_sentence(one, found.batch) for one in found.weakest(most))


def allowance_sentence(one: Allowance, batch: float) -> str:
    """Return what happens just beyond the nearer end of an interval; `batch` in kg."""
    end = one.weaker
    if end is None or end.value is None:
        return f"{_named(one)} may drift as far as was looked."
    lost = f"{_LOST[end.state]} {_OFTEN}"
    more = end.value > one.at
    if one.is_ingredient:
        drift = f"{_mass(abs(end.value - one.at))} {'more' if more else 'less'} {one.name}"
        return f"{drift} in {written(batch, 'batch')} {lost}."
    if one.kind == "lot":
        by = f"{round(100 * abs(end.value - 1))} %"
        return f"A lot of {one.name} that drinks {by} {'more' if more else 'less'} {lost}."
    value = _condition(one.name, end.value)
    if one.name == "knead":
        return f"Kneading {'for longer than' if more else 'no longer than'} {value} {lost}."
    return f"{_ARTICLES[one.name]} {'over' if more else 'under'} {value} {lost}."


_ARTICLES = {
    "room": "A room",
    "humidity": "A humidity",
    "bath": "A bath",
    "batch": "A batch",
}


def interval_words(one: Allowance) -> tuple[str, str, str]:
    """Return where a thing stands and the ends of its interval: now, from, to.

    An end that was not met is told as far as was looked: "0 g or less".
    """
    low, high = one.low, one.high
    return _value(one, one.at), _end(one, low, "and less"), _end(one, high, "and more")


def _end(one: Allowance, end: End, beyond: str) -> str:
    if end.value is not None:
        return _value(one, end.value)
    if one.dosed and end is one.low:
        return "as dosed"
    if one.is_ingredient and end.looked <= 0:
        return "none at all"
    if end.looked == one.at or (one.name == "bath" and end is one.low):
        # Below, waxes would not melt, whatever the knead does: no bath is said to do with less.
        return _value(one, end.looked)
    return f"{_value(one, end.looked)} {beyond}"


def _value(one: Allowance, value: float) -> str:
    if one.kind == "lot":
        return f"{round(100 * value)} %"
    return _mass(value) if one.is_ingredient else _condition(one.name, value)


def _mass(value: float) -> str:
    grams = 1000 * value
    if grams >= 99.5:
        return f"{grams:.0f} g"
    return written(value, "mass")


def _condition(name: str, value: float) -> str:
    return time_words(value) if name == "knead" else written(value, name)


def _named(one: Allowance) -> str:
    name = allowance_name(one)
    return name if one.is_ingredient else f"{name[:1].upper()}{name[1:]}"
