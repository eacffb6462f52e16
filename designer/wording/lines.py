"""Each reading as a line: its words, its value to the digits it deserves, its place on a strip."""

from dataclasses import dataclass

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import CHARGES, Reading, readings, standings
from designer.vocabulary import QUANTITIES, from_si
from designer.wording.words import hand_words, of_twenty, time_words

__all__ = ["NAMES", "NO_VALUE", "Line", "kpa", "lines", "moment_words", "unknown_lines"]

NAMES = {
    "clean_knead_chance": "Clean knead",
    "liquid_to_powder": "Liquid : powder",
    "melt_fraction": "Melt phase",
    "melt_liquid_share": "Fat still liquid",
    "dough_temperature": "Dough temperature",
    "wetness": "Wetness",
    "firmness": "Firmness",
    "surfactant_powder": "Surfactant powder",
    "active_surfactant": "Active surfactant",
    "water": "Water",
}
"""Readings in the order they are shown, and what a maker calls them."""

NO_VALUE = "\N{EN DASH}"

_MINUS = "\N{MINUS SIGN}"

_DIGITS = {
    "liquid_to_powder": 2,
    "melt_fraction": 1,
    "melt_liquid_share": 0,
    "dough_temperature": 0,
    "wetness": 1,
    "surfactant_powder": 1,
    "active_surfactant": 0,
    "water": 1,
}

_SIGNS = dict(zip(CHARGES, (_MINUS, "±", "0 ", "+"), strict=True))


@dataclass(frozen=True)
class Line:
    """One reading as people read it; figures in its unit.

    Attributes
    ----------
    name, words : str
        Its key in `NAMES`, and what a maker calls it.
    value, unit : str
        `NO_VALUE` where there is none.
    interval : str
        The 80 % interval, "" of what is exact.
    at, low, high : float or None
        Value and interval on its strip; the ends None of what is exact.
    known_good : (float, float) or None
    hand : str
        What a hand says of the firmness.
    parts : tuple of (sign, percent)
        Of the active surfactant by charge.
    missing, source : str
        Why there is no value; where it comes from.
    """

    name: str
    words: str
    value: str
    unit: str
    interval: str = ""
    at: float | None = None
    low: float | None = None
    high: float | None = None
    known_good: tuple[float, float] | None = None
    hand: str = ""
    parts: tuple[tuple[str, float], ...] = ()
    missing: str = ""
    source: str = ""

    @property
    def standing(self) -> str:
        """Where it stands against the known-good range: "known good 0.20–0.33, within", or ""."""
        if self.known_good is None or self.at is None:
            return ""
        low, high = self.known_good
        where = "below" if self.at < low else "above" if self.at > high else "within"
        return f"known good {_between(self.name, low, high)}, {where}"

    @property
    def spoken(self) -> str:
        """The line read aloud: words, value, unit."""
        if self.missing:
            return f"{self.words}: no value, {self.missing}"
        figure = f"{self.words}: {self.value} {self.unit}".rstrip()
        return f"{figure}, {self.hand}" if self.hand else figure

    @property
    def details(self) -> str:
        """What stands behind the value: interval, known-good range, parts, source."""
        if self.missing:
            return self.missing
        interval = f"80 % interval {self.interval}" if self.interval else ""
        parts = ", ".join(f"{sign}{percent:.0f} %" for sign, percent in self.parts)
        return ". ".join(filter(None, (interval, self.standing, parts, self.source)))


def lines(result: Evaluation, variant: int) -> tuple[Line, ...]:
    """Return the readings of a variant as lines, in the order of `NAMES`."""
    found = readings(result, variant)
    return tuple(
        _surfactant_powder(result, variant)
        if name == "surfactant_powder"
        else _chance(found[name])
        if name == "clean_knead_chance"
        else _line(found[name])
        for name in NAMES
    )


def unknown_lines(why: str) -> tuple[Line, ...]:
    """Return the lines of a recipe that cannot be evaluated."""
    return tuple(Line(name, words, NO_VALUE, "", missing=why) for name, words in NAMES.items())


def moment_words(result: Evaluation) -> str:
    """Return the moment that the readings are given for: "10 min after the pour"."""
    return f"{time_words(float(result.times[result.knead]))} after the pour"


def kpa(firmness: float) -> str:
    """Return a firmness [Pa] in kPa to the two digits that are known of it."""
    value = firmness / 1000
    return f"{value:.1f}" if value < 9.95 else f"{float(f'{value:.2g}'):.0f}"


def _chance(one: Reading) -> Line:
    words = NAMES[one.name]
    if one.value is None:
        return _absent(one)
    return Line(
        one.name, words, f"{of_twenty(one.value)}", "of 20", at=one.value, source=one.source
    )


def _absent(one: Reading) -> Line:
    return Line(
        one.name,
        NAMES[one.name],
        NO_VALUE,
        "of 20" if one.name == "clean_knead_chance" else _unit(one.name),
        missing=one.missing or "not known",
        source=one.source,
    )


def _line(one: Reading) -> Line:
    if one.value is None or one.low is None or one.high is None:
        return _absent(one)
    unit = QUANTITIES[one.name].shown
    at, low, high = (float(from_si(value, unit)) for value in (one.value, one.low, one.high))
    exact = high - low < 1e-9 * max(1.0, abs(high))
    known_good = None
    if one.known_good is not None:
        first, last = (float(from_si(end, unit)) for end in one.known_good)
        # A tenth of a percent of rounding from one unit to another is no end of a range.
        known_good = round(first, 9), round(last, 9)
    return Line(
        one.name,
        NAMES[one.name],
        _figure(one.name, at),
        _unit(one.name),
        "" if exact else _between(one.name, low, high),
        at,
        None if exact else low,
        None if exact else high,
        known_good,
        hand_words(one.value) if one.name == "firmness" else "",
        tuple((_SIGNS[charge], 100 * float(share)) for charge, share in one.parts.items()),
        source=one.source,
    )


def _surfactant_powder(result: Evaluation, variant: int) -> Line:
    one = next(s for s in standings(result, variant) if s.quantity == "surfactant powder")
    name = "surfactant_powder"
    return Line(
        name,
        NAMES[name],
        _figure(name, one.value),
        "%",
        at=one.value,
        known_good=(one.low, one.high),
        source="as weighed: powders sold as surfactants",
    )


def _unit(name: str) -> str:
    unit = QUANTITIES[name].shown
    return "" if unit == "1" else unit


def _figure(name: str, value: float) -> str:
    if name == "firmness":
        return kpa(1000 * value)
    figure = f"{value:.{_DIGITS[name]}f}"
    if float(figure) == 0:
        figure = figure.lstrip("-")
    return figure.replace("-", _MINUS)


def _between(name: str, low: float, high: float) -> str:
    first, last = _figure(name, low), _figure(name, high)
    return first if first == last else f"{first}\N{EN DASH}{last}"
