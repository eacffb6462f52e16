"""Numbers as the window writes them."""

import re

from designer.quantities import written

__all__ = ["MINUS", "NARROW", "glued", "joined", "kpa", "spaced", "span"]

MINUS, NARROW, EN_DASH = "\N{MINUS SIGN}", "\N{NO-BREAK SPACE}", "\N{EN DASH}"

_FIGURE_AND_UNIT = re.compile(r"(?<=\d) (?=(?:g|kg|min|h|d|%|°C|kPa|of 20)(?![a-z]))")


def spaced(text: str) -> str:
    """Return a text with number and unit joined so that no line breaks between them."""
    return text.replace(" ", NARROW)


def glued(text: str) -> str:
    """Return a sentence in which no line breaks between a figure and its unit."""
    return _FIGURE_AND_UNIT.sub(NARROW, text)


def joined(value: float, name: str) -> str:
    """Return an SI value of a quantity as `written`, minus and space as the window sets them."""
    return spaced(written(value, name)).replace("-", MINUS)


def span(low: str, high: str) -> str:
    """Return a range: 5\N{EN DASH}20."""
    return low if low == high else f"{low}{EN_DASH}{high}"


def kpa(firmness: float) -> str:
    """Return a firmness [Pa] in kPa to the two digits that are known, without the unit."""
    value = firmness / 1000
    return f"{value:.1f}" if value < 9.95 else f"{float(f'{value:.2g}'):.0f}"
