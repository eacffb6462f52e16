"""How high the letters of a label must be, and whether that goes by digits or small letters."""

from dataclasses import dataclass
from decimal import Decimal

from designer.evaluation.label_sheet import LabelSheet

__all__ = ["Height", "small_print", "weight_print"]


@dataclass(frozen=True)
class Height:
    """A least height.

    Attributes
    ----------
    millimetres : Decimal
    by : "digits" | "small letters"
        What is measured; "small letters" is the height of x or o without its strokes up or down.
    source : str
    from_memory : bool
    known : bool
        Whether a rule was found; else it is our own choice.
    """

    millimetres: Decimal
    by: str
    source: str
    from_memory: bool
    known: bool = True


_SMALL_PRINT = {
    "US": Height(Decimal("1.6"), "small letters", "1/16 in: 21 CFR 701.3(b)", False),
    "CA": Height(Decimal("1.6"), "small letters", "C.R.C. c. 417 s. 15", True),
}
_LEGIBLE = Height(
    Decimal("1.2"), "small letters", "own choice; the rule asks for legible letters", False, False
)


def small_print(market: str) -> Height:
    """Return the least height of the ingredient list and of all else in small letters."""
    return _SMALL_PRINT.get(market, _LEGIBLE)


def weight_print(sheet: LabelSheet) -> Height:
    """Return the least height of the net weight.

    The figures in the European Union, Great Britain and Canada; in the United States the small
    letters, where both kinds stand (21 CFR 701.13(h), from memory). Where the table needs an area
    of the panel that is not stated, that of the small print, as a height that is not known.
    """
    if sheet.height is None:
        small = small_print(sheet.market)
        return Height(
            small.millimetres, small.by, "the area of the panel is not stated", False, False
        )
    row = sheet.height
    by = "small letters" if sheet.market == "US" else "digits"
    return Height(row.height_mm, by, row.source, row.standing == "memory")
