"""What a recipe says of its label: market, basis, order of the small ones, facts to print."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal, InvalidOperation

from designer.errors import ReadableError
from designer.quantities import read
from designer.recipe.checks import CellError, check_count, check_domain, check_text, listed

__all__ = [
    "BASES",
    "DEFAULT_WIDTH",
    "LANGUAGES",
    "MARKETS",
    "MOST_SMALL",
    "Label",
    "LabelFacts",
    "read_net",
    "read_panel",
    "written_net",
    "written_panel",
]

MARKETS = ("EU", "UK", "US", "CA")
BASES = ("added", "cured")

LANGUAGES = ("en", "fr", "en fr")
"""In which languages the cautions are printed."""

DEFAULT_WIDTH = 0.07
"""Width of a printed label [m] where none is stated: wraps a bar of usual size; own choice."""

MOST_SMALL = 200
_MOST_LINES = 20


@dataclass(frozen=True)
class LabelFacts:
    """What a label carries beside ingredients and weight.

    Attributes
    ----------
    product, function : str
        "Oat bar", "solid shampoo".
    batch : str
    made, best_before : date or None
    months_open : int or None
        Months it may be used after opening.
    responsible, address, contact, origin : str
        Person or business, postal address, electronic contact or telephone, country of origin.
    grams, ounces : Decimal or None
        Declared net weight, in the unit in which it is the round figure; not both.
    panel : Decimal or None [cm2]
        Principal display panel.
    own_lines : tuple of str
        What the maker adds, in further languages for example.
    """

    product: str = ""
    function: str = ""
    batch: str = ""
    made: date | None = None
    best_before: date | None = None
    months_open: int | None = None
    responsible: str = ""
    address: str = ""
    contact: str = ""
    origin: str = ""
    grams: Decimal | None = None
    ounces: Decimal | None = None
    panel: Decimal | None = None
    own_lines: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("product", "function", "batch", "responsible", "contact", "origin"):
            check_text(name, getattr(self, name))
        check_text("address", self.address, lines=True)
        check_count("own_lines", self.own_lines, _MOST_LINES)
        for line in self.own_lines:
            check_text("own line", line)
        if self.made and self.best_before and self.best_before <= self.made:
            raise ReadableError(
                "Best before", "It lies before the day of making.", "Correct one of the two."
            )
        if self.months_open is not None and not 1 <= self.months_open <= 60:
            raise ReadableError(
                "After opening", f"{self.months_open} months cannot be.", "Give 1 to 60 months."
            )
        if self.grams is not None and self.ounces is not None:
            raise ReadableError(
                "Net weight", "It is stated in grams and in ounces.", "State the round one."
            )
        if self.panel is not None and not 0 < self.panel <= 100_000:
            raise ReadableError("Panel", f"{self.panel} cm2 cannot be.", "Give its area in cm2.")


@dataclass(frozen=True)
class Label:
    """What a recipe keeps of its label.

    Attributes
    ----------
    market, basis, languages : str
        Of `MARKETS`, `BASES` and `LANGUAGES`.
    width : float [m]
        Of the label as printed.
    small_order : tuple of str
        INCI names of the small group in the order wanted. Names that are not in the group are
        passed over, and what is in it and not here stands where its weight puts it: the order
        outlives changes of the recipe.
    facts : LabelFacts
        A net weight in them is the one declared; without it the recipe's net weight of a bar is.
    """

    market: str = "EU"
    basis: str = "added"
    languages: str = "en fr"
    width: float = DEFAULT_WIDTH
    small_order: tuple[str, ...] = ()
    facts: LabelFacts = field(default_factory=LabelFacts)

    def __post_init__(self) -> None:
        for key, words in (("market", MARKETS), ("basis", BASES), ("languages", LANGUAGES)):
            if (word := getattr(self, key)) not in words:
                raise CellError(key, f"{word[:40]!r} cannot be taken.", f"Use {listed(words)}.")
        check_domain("label_width", self.width)
        check_count("small_order", self.small_order, MOST_SMALL)
        for name in self.small_order:
            check_text("small_order", name)

    def in_market(self, market: str) -> "Label":
        """Return a copy for another market."""
        return replace(self, market=market)

    def on_basis(self, basis: str) -> "Label":
        """Return a copy on another basis."""
        return replace(self, basis=basis)

    def speaking(self, languages: str) -> "Label":
        """Return a copy with its cautions in other languages."""
        return replace(self, languages=languages)

    def ordered(self, small: Iterable[str]) -> "Label":
        """Return a copy with another order of the small group, by weight for none."""
        return replace(self, small_order=tuple(small))


def read_net(typed: str) -> tuple[Decimal | None, Decimal | None]:
    """Return a typed net weight as (grams, None), or (None, ounces) where ounces were typed.

    Raises
    ------
    ReadableError
        It is no weight of a bar.
    """
    kilograms = read(typed, "net")
    plain = typed.strip().lower()
    number = plain.removesuffix("ounces").removesuffix("oz.").removesuffix("oz").strip()
    if number != plain:
        try:
            return None, Decimal("".join(number.replace(",", ".").split()))
        except InvalidOperation:
            raise ReadableError(
                "Net weight", f'"{typed[:40]}" is no weight.', 'Type it as "3.5 oz".'
            ) from None
    return _decimal(1000 * kilograms), None


def written_net(facts: LabelFacts) -> str:
    """Return the declared net weight as it is typed, "" where none is stated."""
    if facts.ounces is not None:
        return f"{facts.ounces:f} oz"
    return "" if facts.grams is None else f"{facts.grams:f} g"


def read_panel(typed: str) -> Decimal:
    """Return a typed area in cm2.

    Raises
    ------
    ReadableError
        It is no area of a label.
    """
    return _decimal(1e4 * read(typed, "panel"))


def written_panel(panel: Decimal | None) -> str:
    """Return an area as it is typed, "" where none is stated."""
    return "" if panel is None else f"{panel:f} cm2"


def _decimal(value: float) -> Decimal:
    """Return a decimal without the noise of binary numbers."""
    return Decimal(f"{Decimal(repr(round(value, 6))).normalize():f}")
