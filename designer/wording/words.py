"""Words for numbers: chances, times, firmness, states."""

from bisect import bisect_right

from designer.quantities import written_span
from designer.vocabulary import BAR_WORDS

_CHANCES = (
    (0.95, "Almost sure"),
    (0.70, "Likely"),
    (0.55, "Rather likely"),
    (0.45, "As likely as not"),
    (0.25, "Rather unlikely"),
    (0.05, "Unlikely"),
    (0.0, "Hardly ever"),
)

_HAND = (
    (3e3, "flows off the hand"),
    (10e3, "soft, clings"),
    (20e3, "soft putty"),
    (45e3, "kneads easily"),
    (75e3, "kneads with strong pressure"),
    (150e3, "takes only a thumb print"),
)

BAR_LIMITS = (75e3, 150e3, 300e3)
"""Firmness [Pa] from which a bar is setting, firm, hard; common practice, no source."""

_VERY_SOFT = 20e3

_BASIS = {
    "tables only": "Tables only.",
    "usual practice": "Usual practice; no own batches yet.",
    "own batches": "Own batches.",
}

MEANING = {
    "crumbly": "falls apart",
    "stiff": "too stiff to knead clean",
    "pliable": "kneads clean",
    "sticky": "clings to hands and bowl",
    "slack": "too soft, sags",
}
"""What each state of a dough means, said where it first appears."""


def chance_word(chance: float) -> str:
    """Return the word for a chance [1]."""
    return next(word for least, word in _CHANCES if chance >= least)


def chance_words(chance: float, basis: str) -> str:
    """Return a chance as a word and out of twenty, with what it rests on."""
    return f"{chance_told(chance)} {_BASIS[basis]}"


def of_twenty(chance: float) -> int:
    """Return a chance as it is told: in how many of twenty such batches."""
    return round(20 * chance)


def chance_told(chance: float) -> str:
    """Return a chance as a word and out of twenty."""
    return f"{chance_word(chance)}: {of_twenty(chance)} of 20 such batches."


def missed_words(chance: float, wanted: float) -> str:
    """Return that a chance is less than the wanted one."""
    asked = of_twenty(wanted)
    verb = "is" if asked == 1 else "are"
    start = "Comes clean only in" if chance >= 0.5 else "Comes clean in"
    return f"{start} {of_twenty(chance)} of 20 such batches; {asked} {verb} wanted."


def basis_words(basis: str) -> str:
    """Return what a chance rests on, as a note beside it: "usual practice, no own batches yet"."""
    told = _BASIS[basis].rstrip(".").replace(";", ",")
    return f"{told[:1].lower()}{told[1:]}"


def hand_words(firmness: float) -> str:
    """Return what a hand says of a dough's firmness [Pa]; common practice, no source."""
    return next((words for most, words in _HAND if firmness < most), "hard as a bar")


def bar_word(firmness: float) -> str:
    """Return the word for a bar's firmness [Pa]: soft, setting, firm or hard."""
    return BAR_WORDS[bisect_right(BAR_LIMITS, firmness)]


def bar_words(firmness: float) -> str:
    """Return what a hand says of a bar's firmness [Pa]: `bar_word`, and very soft ones told."""
    return "very soft" if firmness < _VERY_SOFT else bar_word(firmness)


def time_words(seconds: float) -> str:
    """Return a time [s] as a person says it, to the digits it deserves."""
    for size, unit in ((86400.0, "d"), (3600.0, "h"), (60.0, "min")):
        if seconds >= 0.995 * size:
            number = seconds / size
            figure = f"{number:.1f}" if number < 9.95 else f"{number:.0f}"
            return f"{figure.removesuffix('.0')} {unit}"
    return f"{seconds:.0f} s"


def window_words(window: tuple[float, float]) -> str:
    """Return the maker's kneading window."""
    return written_span(*window, "knead").replace(" min to ", "–").replace(" to ", "–")
