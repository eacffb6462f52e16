"""What a pantry holds, as frozen values in SI; a field has the name of its column."""

from dataclasses import dataclass
from decimal import Decimal

__all__ = ["Ingredient", "Lot", "Own", "Price", "Share", "Stock", "Value"]


@dataclass(frozen=True)
class Own:
    """A material of the maker, or what the maker keeps about a shipped one.

    Attributes
    ----------
    kind : "powder" | "liquid" | "melt"
    name : str
    own : bool
        False for a shipped material.
    base : str
        Common name of the shipped material it was copied from; "" for none: then a middling
        one of its kind stands behind it, with wide uncertainty.
    inci, material_class, roles, vegan, palm, sulfate_free, allergen, dust_hazard,
    surfactant_charge : str
        What the maker states; "" for what the base has. Roles are parted by ";".
    supplier, remark : str
    made, removed : str
        Days; `removed` is "" for a material that is there.
    """

    kind: str
    name: str
    own: bool
    base: str = ""
    inci: str = ""
    material_class: str = ""
    roles: str = ""
    vegan: str = ""
    palm: str = ""
    sulfate_free: str = ""
    allergen: str = ""
    dust_hazard: str = ""
    surfactant_charge: str = ""
    supplier: str = ""
    remark: str = ""
    made: str = ""
    removed: str = ""
    id: int = 0


@dataclass(frozen=True)
class Value:
    """A number the maker knows of a material.

    Attributes
    ----------
    material : int
    property : str
        Column of the handbook's table.
    si : float
    sd : float or None
        Of the natural logarithm for what is spread by a factor, else in SI.
    origin : "stated" | "measured" | "learned"
        From a data sheet or certificate, by the maker's own hand, from batches.
    lot : int or None
        The lot it was measured on.
    day, remark : str
    """

    material: int
    property: str
    si: float
    origin: str
    day: str
    sd: float | None = None
    lot: int | None = None
    remark: str = ""
    id: int = 0


@dataclass(frozen=True)
class Ingredient:
    """A substance in a material, by mass: what a supplier's statement of composition says."""

    material: int
    component: str
    low: float
    typical: float
    high: float
    id: int = 0


@dataclass(frozen=True)
class Share:
    """A material in a blend; the shares of a blend sum to 1."""

    material: int
    name: str
    share: float
    id: int = 0


@dataclass(frozen=True)
class Lot:
    """A delivery of a material.

    Attributes
    ----------
    active, dry : float or None [1]
    ph : float or None
    certificate : str
        Day on which its certificate was seen, "" for not seen.
    microbiology : str
        Result as on the certificate.
    best_before, received, finished : str
        Days, "" where unknown; a finished lot is used up.
    """

    material: int
    code: str
    received: str = ""
    supplier: str = ""
    form: str = ""
    active: float | None = None
    dry: float | None = None
    ph: float | None = None
    certificate: str = ""
    microbiology: str = ""
    best_before: str = ""
    finished: str = ""
    remark: str = ""
    id: int = 0


@dataclass(frozen=True)
class Price:
    """What a pack [kg] cost on a day."""

    material: int
    pack: float
    amount: Decimal
    currency: str
    day: str
    supplier: str = ""
    id: int = 0

    @property
    def per_kilogram(self) -> Decimal:
        """Price of a kilogram."""
        return self.amount / Decimal(repr(self.pack))


@dataclass(frozen=True)
class Stock:
    """A mass [kg] that came in, or went out where it is negative."""

    material: int
    mass: float
    day: str
    reason: str = ""
    lot: int | None = None
    batch: int | None = None
    id: int = 0
