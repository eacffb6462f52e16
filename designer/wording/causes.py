"""Why a reading is what it is, ingredient by ingredient, in the words of the trade."""

from collections.abc import Callable
from dataclasses import dataclass

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.parts import Part, parts
from designer.wording.lines import NAMES
from designer.wording.told import lines_of

__all__ = ["Cause", "Causes", "causes"]

_MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True)
class Cause:
    """What one ingredient does.

    Attributes
    ----------
    name, words : str
        The ingredient, and what it does: "6 % firmer".
    value, low, high : float
        The same as a length from zero, with its 80 % interval.
    """

    name: str
    words: str
    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Causes:
    """Why a reading is what it is.

    Attributes
    ----------
    title : str
        What the causes tell.
    causes : tuple of Cause
        Largest first.
    missing : str
        Why there are none; "" where there are.
    """

    title: str
    causes: tuple[Cause, ...] = ()
    missing: str = ""


def causes(result: Evaluation, variant: int, name: str) -> Causes:
    """Return why a reading of `NAMES` is what it is, as far as that is known."""
    missing = _missing(result, variant, name)
    if name == "clean_knead_chance" and not missing:
        # What moves the chance is the firmness, or the wetness where there is no firmness.
        return _told(
            result, variant, "wetness" if _missing(result, variant, "firmness") else "firmness"
        )
    if missing:
        return Causes(NAMES[name].lower(), missing=_sentence(missing))
    if name == "dough_temperature":
        return Causes(
            NAMES[name].lower(),
            missing="Bath, room, liquids and batch decide it; no part of an ingredient is known.",
        )
    return _told(result, variant, name)


def _missing(result: Evaluation, variant: int, name: str) -> str:
    """Return why a reading has no value, or ""."""
    return next(line.missing for line in lines_of(result, variant) if line.name == name)


def _told(result: Evaluation, variant: int, name: str) -> Causes:
    title, words = _WORDS[name]
    found = tuple(
        Cause(part.name, words(part), part.value, part.low, part.high)
        for part in parts(result, variant, name)
        if words(part)
    )
    return Causes(title, found, "" if found else "No ingredient has a part in it.")


def _sentence(why: str) -> str:
    return f"{why[:1].upper()}{why[1:]}."


def _effect(value: float, digits: int, unit: str, more: str, less: str) -> str:
    """Return an effect in words, which tell its way; "" where it is too small to be told."""
    figure = f"{abs(value):.{digits}f}"
    return f"{figure}{unit} {more if value > 0 else less}" if float(figure) else ""


def _firmer(part: Part) -> str:
    return _effect(100 * part.value, 0, "\N{NO-BREAK SPACE}%", "firmer", "softer")


def _wetter(part: Part) -> str:
    return _effect(part.value, 2, "", "wetter", "drier")


def _percent(part: Part) -> str:
    return f"{100 * part.value:.1f}\N{NO-BREAK SPACE}%"


_WORDS: dict[str, tuple[str, Callable[[Part], str]]] = {
    "firmness": ("firmness: what one tenth more of each does", _firmer),
    "wetness": ("wetness: what one tenth more of each does", _wetter),
    "liquid_to_powder": ("liquid : powder, the part of each", lambda part: f"{part.value:.3f}"),
    "melt_fraction": ("melt phase, the part of each", _percent),
    "melt_liquid_share": ("what the melt is made of", _percent),
    "surfactant_powder": ("surfactant powder, the part of each", _percent),
    "active_surfactant": ("active surfactant, the part of each", _percent),
    "water": ("water, the part of each", _percent),
}
