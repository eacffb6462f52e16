"""What a swap is to whoever shows it: the stand-in, what moves, what becomes of the dough.

A swap makes another formula. The assessor, the file and the label come first, whatever stands
here.
"""

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from designer.advice.origins import NO_ALLERGENS, WISHES, Origins
from designer.advice.stocked import IN_STOCK, CostChange, Stocked
from designer.handbook import Material, kind_of
from designer.recipe import Recipe

if TYPE_CHECKING:
    from designer.advice.swap_papers import Papers

__all__ = ["Broken", "Figures", "Move", "Offer", "Reason", "Request", "Swaps"]

NEAR_CHANCE = 0.05
"""A chance this near to the one before counts as kept [1]."""


@dataclass(frozen=True)
class Request:
    """What is asked for.

    Attributes
    ----------
    half : bool
        Half of the old ingredient stays.
    only : str or None
        The one stand-in asked about, by common or INCI name, whatever its role; None for peers.
    most : int
        How many peers are looked at, the closest first.
    wishes : frozenset of str
        Some of `WISHES`, `NO_ALLERGENS` and `IN_STOCK`.
    stocked : Stocked
        What the maker has, and what it cost; nothing is known of it unless given.
    """

    half: bool = False
    only: str | None = None
    most: int = 20
    wishes: frozenset[str] = frozenset()
    stocked: Stocked = field(default_factory=Stocked)

    def __post_init__(self) -> None:
        if strange := sorted(self.wishes - {*WISHES, NO_ALLERGENS, IN_STOCK}):
            raise ValueError(f"{strange[0]} is no wish")


@dataclass(frozen=True)
class Figures:
    """What one dough does: medians under the knowledge asked for, in SI.

    Attributes
    ----------
    chance : float or None [1]
        Of a clean knead; None outside the model.
    outside : str
        Why the model must not speak, or "".
    state : str
        The likeliest at the knead.
    wetness : float [1], at the knead
    temperature : float [K], of the dough at the knead
    melt, melt_liquid, water : float [1 of the dough]
        All melt, what of it is liquid at the knead, all water.
    firmness : float [Pa]
        Of the bar one day after the pour.
    active : float [1 of the dough]
        Active surfactant.
    by_charge : tuple of (charge, float [1 of the dough])
        The same by charge, anionic first; only what there is.
    strength, strength_sd, tack_cut : float [ln Pa]
        Strength at the knead: mean and spread over the draws; below which strength it sticks.
    """

    chance: float | None
    outside: str
    state: str
    wetness: float
    temperature: float
    melt: float
    melt_liquid: float
    water: float
    firmness: float
    active: float
    by_charge: tuple[tuple[str, float], ...]
    strength: float
    strength_sd: float
    tack_cut: float


@dataclass(frozen=True)
class Move:
    """A row that changes.

    Attributes
    ----------
    name, phase : str
    before, after : float [percent]
        0 before for a row put in.
    part : "out", "in", "with" or "fill"
        The old ingredient; the stand-in; what goes in or out beside it; what fills up to the
        same total.
    """

    name: str
    phase: str
    before: float
    after: float
    part: str

    @property
    def change(self) -> float:
        """By how much it changes [percent], to the hundredth that is weighed."""
        return round(self.after - self.before, 2)


@dataclass(frozen=True)
class Reason:
    """Why something is so, as a code for machines and the figure behind it.

    Attributes
    ----------
    code : str
        Why there is no stand-in: "room", "solid", "little", "much", "wetness", "bar",
        "active", "outside", "role", "wish". Why a chance moved: "softer", "firmer", "stickier",
        "less sticky", "less sure", "surer". What else to know: "alcohol", "above usual",
        "below usual", "preservative", "scent", "dose", "acid", "cationic", "cleanser", "dust",
        "melt".
    figure : float
        In the unit that its sentence tells.
    name : str
        The ingredient spoken of, or "".
    """

    code: str
    figure: float = 0.0
    name: str = ""


@dataclass(frozen=True)
class Broken:
    """A wish that a swap breaks.

    Attributes
    ----------
    wish : str
        One of `WISHES`, `NO_ALLERGENS` or `IN_STOCK`.
    name : str
        The ingredient that breaks it.
    is_sure : bool
        False where nobody can tell from here: it depends on the supplier, or the stock of it is
        not kept.
    there, needed : float [kg]
        Of a stock: what there is by what was written down, and what the batch asks for; 0 where
        no batch is stated.
    brought : tuple of str
        Allergens that it brings, or may bring; empty where nothing is known of them.
    """

    wish: str
    name: str
    is_sure: bool
    there: float = 0.0
    needed: float = 0.0
    brought: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Offer:
    """One stand-in, at the percentage that keeps the dough where it is.

    Attributes
    ----------
    peer : Material
    phase : str
        Where it goes in.
    percent : float [percent]
        How much of it goes in, beside what of it is in the recipe already.
    is_half : bool
        Half of the old ingredient stays.
    closeness : float
        Distance from the old ingredient, 0 for a twin; for two fats D, near twins below 1.5.
    moves : tuple of Move
        All rows that change, the old ingredient first, then the stand-in.
    recipe : Recipe
        The whole recipe with the swap made in the one variant, ready as one edit.
    made : Recipe
        The same with the old ingredient's row, be it at 0 %.
    added : tuple of int
        Indices of the rows put into `made`.
    before, after : Figures
        `after` is evaluated in full for the recipe as offered.
    residual : float
        What no amount could balance, 1 at the limit of what counts as a stand-in.
    refused : Reason or None
        Why it is no stand-in; None for one that is.
    moved : Reason or None
        Why the chance is not within `NEAR_CHANCE` of before; None where it is.
    notes : tuple of Reason
        What else there is to know.
    origins : Origins
        Of all that goes in.
    broken : tuple of Broken
        Wishes of the request that it breaks or may break.
    new_allergens : tuple of str
        What goes in with it that must be asked about or told, and was not in the recipe.
    cost : CostChange or None
        By how much the materials of a kilogram of dough cost more; None where a price is missing.
    papers : Papers or None
        What becomes of limits and label; None until it is looked up, and for what is none.
    """

    peer: Material
    phase: str
    percent: float
    is_half: bool
    closeness: float
    moves: tuple[Move, ...]
    recipe: Recipe
    made: Recipe
    added: tuple[int, ...]
    before: Figures
    after: Figures
    residual: float
    refused: Reason | None
    moved: Reason | None
    notes: tuple[Reason, ...]
    origins: Origins
    broken: tuple[Broken, ...]
    new_allergens: tuple[str, ...]
    cost: CostChange | None = None
    papers: "Papers | None" = None

    @property
    def name(self) -> str:
        """Common name of the stand-in."""
        return self.peer.name

    @property
    def kind(self) -> str:
        """What the stand-in is to the dough: "powder", "liquid" or "melt"."""
        return kind_of(self.peer)

    @property
    def alongside(self) -> tuple[Move, ...]:
        """What goes in or out beside the stand-in, without what fills up."""
        return tuple(move for move in self.moves if move.part == "with")

    @property
    def stays(self) -> float:
        """How much of the old ingredient stays [percent]."""
        return next(move.after for move in self.moves if move.part == "out")

    @property
    def keeps_chance(self) -> bool:
        """Whether the chance is within `NEAR_CHANCE` of before."""
        return self.refused is None and self.moved is None


@dataclass(frozen=True, eq=False)
class Swaps:
    """The answer: stand-ins for one row of one variant.

    Attributes
    ----------
    recipe : Recipe
        As it was asked about.
    number : str
        Of the variant.
    row : int
        Index of the row swapped out.
    request : Request
    before : Figures
    every : tuple of Offer
        Stand-ins first, the closest first; then those that are none, with the reason.
    """

    recipe: Recipe
    number: str
    row: int
    request: Request
    before: Figures
    every: tuple[Offer, ...]

    @property
    def name(self) -> str:
        """The ingredient swapped out, as the recipe names it."""
        return self.recipe.rows[self.row].name

    @cached_property
    def offers(self) -> tuple[Offer, ...]:
        """Those that stand in."""
        return tuple(one for one in self.every if one.refused is None)

    @cached_property
    def refused(self) -> tuple[Offer, ...]:
        """Those that do not, each with its reason."""
        return tuple(one for one in self.every if one.refused is not None)
