"""Words for numbers: chances, times, firmness, states."""

from designer.quantities import written_span

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

_BAR = (
    (20e3, "very soft"),
    (75e3, "soft"),
    (150e3, "setting"),
    (300e3, "firm"),
)

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
    return f"{chance_word(chance)}: {round(20 * chance)} of 20 such batches. {_BASIS[basis]}"


def hand_words(firmness: float) -> str:
    """Return what a hand says of a dough's firmness [Pa]; common practice, no source."""
    return next((words for most, words in _HAND if firmness < most), "hard as a bar")


def bar_words(firmness: float) -> str:
    """Return the words for a bar's firmness [Pa]; common practice, no source."""
    return next((words for most, words in _BAR if firmness < most), "hard")


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
