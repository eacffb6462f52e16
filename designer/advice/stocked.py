"""What the maker has and what it cost, as far as it was written down: never a guess."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import TypeVar

from designer.handbook import Handbook, Material, kind_of

__all__ = ["IN_STOCK", "CostChange", "PriceKept", "Stocked"]

IN_STOCK = "in stock"
"""The wish for what there is enough of."""

_LEAST = Decimal("1e-6")
"""Change of a row [percent] below which it stays."""

Key = tuple[str, str]
T = TypeVar("T")


@dataclass(frozen=True)
class PriceKept:
    """What a kilogram of a material cost on a day, the newest that is known."""

    per_kilogram: Decimal
    currency: str
    day: str


@dataclass(frozen=True)
class CostChange:
    """By how much the materials of a dough cost more.

    Attributes
    ----------
    per_kilogram : Decimal
        Of dough; negative where they cost less.
    currency : str
    oldest : str
        Day of the oldest price it stands on.
    """

    per_kilogram: Decimal
    currency: str
    oldest: str


@dataclass(frozen=True)
class Stocked:
    """Stock and prices of a pantry.

    Attributes
    ----------
    stock : mapping of (kind, name) to float [kg]
        Of what a stock is kept.
    prices : mapping of (kind, name) to PriceKept
    """

    stock: Mapping[Key, float] = field(default_factory=dict)
    prices: Mapping[Key, PriceKept] = field(default_factory=dict)

    @classmethod
    def read(cls, book: Handbook, folder: Path | None = None) -> "Stocked":
        """Return what is kept in the maker's folder; nothing where nothing ever was.

        Raises
        ------
        ReadableError
            What is kept is damaged, or of a newer version of the program.
        """
        from designer.workshop import database

        if not database.is_there(folder):
            return cls()
        from designer.workshop.pantry import Pantry

        with database.borrowed(folder) as stores:
            pantry = Pantry(stores, book)
            prices = {
                key: PriceKept(one.per_kilogram, one.currency, one.day)
                for key, one in pantry.latest_prices().items()
            }
            return cls(pantry.stocks(), prices)

    def mass(self, material: Material) -> float | None:
        """Return how much there is of a material [kg], None where no stock of it is kept."""
        return _of(self.stock, material)

    def cost(self, changes: Iterable[tuple[Material, float]]) -> CostChange | None:
        """Return what changes of rows [percent of the dough] do to the cost of a kilogram.

        None where the price of one that changes is not known, or they are in two currencies.
        """
        total, found = Decimal(0), []
        for material, percent in changes:
            change = Decimal(repr(float(percent)))
            if abs(change) < _LEAST:
                continue
            price = _of(self.prices, material)
            if price is None:
                return None
            total += change / 100 * price.per_kilogram
            found.append(price)
        if not found or len({one.currency for one in found}) > 1:
            return None
        return CostChange(total, found[0].currency, min(one.day for one in found))


def _of(table: Mapping[Key, T], material: Material) -> T | None:
    """Return what is kept of a material; an oil in two tables is one jar on the shelf."""
    kind = kind_of(material)
    other = {"melt": "liquid", "liquid": "melt"}.get(kind, kind)
    found = table.get((kind, material.name))
    return table.get((other, material.name)) if found is None else found
