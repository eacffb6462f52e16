"""How wide the columns of the table are, and how many variants there is room for."""

from collections.abc import Iterable
from dataclasses import dataclass

from designer.window import fonts

__all__ = ["ROOM_FOR_INCI", "Sizes", "sizes", "widest"]

ROOM_FOR_INCI = 330
"""Width of the names from which INCI names stand beside them unasked [logical px]."""

_TAG, _GRAMS = 26, 84
_NAME_LEAST = 150
_FEW, _MANY, _MANY_ROOMY, _ROOMY = 60, 66, 68, 600


@dataclass(frozen=True)
class Sizes:
    """Widths [logical px], and the number of variants shown."""

    name: int
    tag: int
    variant: int
    grams: int
    shown: int


def sizes(width: int, variants: int) -> Sizes:
    """Return the sizes for so many variants; names and grams always have their room."""
    one = _FEW if variants < 3 else _MANY_ROOMY if width >= _ROOMY else _MANY
    room = width - _TAG - _GRAMS - _NAME_LEAST
    shown = max(1, min(variants, room // one))
    return Sizes(max(width - _TAG - _GRAMS - shown * one, 60), _TAG, one, _GRAMS, shown)


def widest(names: Iterable[str]) -> float:
    """Return the width of the widest of some names, long ones left out."""
    measured = fonts.metrics()
    return max((measured.horizontalAdvance(name) for name in names if len(name) <= 60), default=0.0)
