"""The ingredient list by market, the allergens to be named, and what else a label must carry."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from difflib import SequenceMatcher

from designer.errors import ReadableError
from designer.evaluation.composition import BASES, Amount, Composition, Ingredient
from designer.handbook.law import MARKETS, Allergen, Law
from designer.handbook.tables import plain
from designer.recipe.label import LabelFacts

__all__ = [
    "AllergenDecision",
    "Differences",
    "Entry",
    "IngredientList",
    "LabelFacts",
    "allergens",
    "differences",
    "ingredient_list",
    "lot_number",
    "missing_facts",
    "notification_range",
    "scents_untold",
]

ONE = Decimal(1)

SMALL_INCLUDES_ONE = {"EU": False, "UK": False, "US": True, "CA": True}
"""Whether exactly 1 % may stand among the small ones in any order.

Below 1 %: Reg 1223/2009 Art. 19(1)(g), from memory. Not more than 1 %: 21 CFR 701.3(f)(2);
1 % or less: Cosmetic Regulations (Canada) ss. 21.2-21.4.
"""

SCENT_AT_THE_END = ("CA",)
"""Markets that put the word for the perfume at the end: Cosmetic Regulations (Canada)."""

ALLERGEN_LISTS: dict[str, tuple[str, ...]] = {
    "EU": ("2003", "2023"),
    "UK": ("2003",),
    "US": (),
    "CA": ("2003", "2023"),
}
"""Which lists of fragrance allergens are to be named. Great Britain without the additions of
Reg (EU) 2023/1545: from memory. United States: a rule is announced (21 USC 364e), not seen."""

GROUPS = ("ordered", "small", "colour", "scent")
"""In the order of the list: by weight, the small ones, colours, the perfume where it goes last."""

_SCENTS = ("Parfum", "Aroma")


@dataclass(frozen=True)
class Entry:
    """One name in the list.

    Attributes
    ----------
    name : str
        As the market writes it.
    incis : tuple of str
        What stands behind it; several where one name covers them.
    percent : Decimal
        Typical, on the basis of the list.
    group : str
        One of `GROUPS`.
    brought : bool
        Whether it is a fragrance allergen that another ingredient brings.
    known : bool
        Whether its name is an INCI name; else it is the maker's.
    guessed : bool
        Whether its place is a guess, for the share of it in a material is not known.
    """

    name: str
    incis: tuple[str, ...]
    percent: Decimal
    group: str
    brought: bool
    known: bool
    guessed: bool


@dataclass(frozen=True)
class IngredientList:
    """The list of a market on a basis.

    Attributes
    ----------
    entries : tuple of Entry
        In the order of the label.
    """

    market: str
    basis: str
    entries: tuple[Entry, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names in order."""
        return tuple(one.name for one in self.entries)

    @property
    def text(self) -> str:
        """What to print."""
        return ", ".join(self.names)

    def of(self, group: str) -> tuple[Entry, ...]:
        """Return the entries of a group, in order."""
        return tuple(one for one in self.entries if one.group == group)


@dataclass(frozen=True)
class AllergenDecision:
    """Whether a fragrance allergen is to be named.

    Attributes
    ----------
    allergen : Allergen
    amount : Amount [percent of the basis]
    threshold : Decimal [percent]
    decision : "declare" | "may" | "below" | "prohibited"
        "may": typically below, yet above within the range of the material.
    materials : tuple of str
        What brings it.
    """

    allergen: Allergen
    amount: Amount
    threshold: Decimal
    decision: str
    materials: tuple[str, ...]


def allergens(
    made: Composition, law: Law, market: str, basis: str, leave_on: bool = False
) -> tuple[AllergenDecision, ...]:
    """Return what is decided of every fragrance allergen that is in the bar, most first.

    Parameters
    ----------
    made : Composition
    law : Law
    market, basis : str
    leave_on : bool
        A bar is rinsed off; what stays on has a lower threshold.

    Notes
    -----
    Named where the sum over all sources exceeds the threshold, which itself is not above it.
    """
    found = []
    for one in law.allergens:
        if one.list not in ALLERGEN_LISTS[market]:
            continue
        amount = made.percent(one.name, basis)
        if amount.high > 0:
            threshold = one.leave_on_percent if leave_on else one.rinse_off_percent
            ingredient = made.find(one.name)
            materials = ingredient.materials if ingredient else ()
            decision = _decision(one, amount, threshold)
            found.append(AllergenDecision(one, amount, threshold, decision, materials))
    return tuple(sorted(found, key=lambda one: (-one.amount.typical, one.allergen.name)))


def _decision(one: Allergen, amount: Amount, threshold: Decimal) -> str:
    if one.status == "prohibited":
        return "prohibited"
    if amount.typical > threshold:
        return "declare"
    return "may" if amount.high > threshold else "below"


def scents_untold(made: Composition, law: Law) -> tuple[str, ...]:
    """Return the materials that may bring fragrance allergens of which nothing is known."""
    found = []
    for one in made.supplied:
        if one.has_inside:
            continue
        incis = [piece.component for piece in one.parts]
        scented = any(
            plain(inci) in map(plain, _SCENTS)
            or (plain(inci) != "aqua" and law.watching("scented", inci) is not None)
            for inci in incis
        )
        if scented or one.material_class == "scent" or one.unlisted:
            found.append(one.name)
    return tuple(dict.fromkeys(found))


def ingredient_list(
    made: Composition,
    law: Law,
    market: str,
    basis: str = "added",
    small_order: Sequence[str] = (),
) -> IngredientList:
    """Return the ingredient list of a market.

    Parameters
    ----------
    made : Composition
    law : Law
    market : str
        One of `MARKETS`.
    basis : str
        One of `BASES`; the rules speak of the weight when added (from memory).
    small_order : sequence of str
        Names of the small group in the order wanted; without it they go by weight.

    Raises
    ------
    ReadableError
        There is no such market, or `small_order` is not an order of the small group.
    """
    if market not in MARKETS:
        raise ReadableError(
            "Market", f'"{market}" is not known.', f"Choose {', '.join(MARKETS[:-1])} or CA."
        )
    entries = _entries(made, law, market, basis)
    by_group = {
        group: sorted(
            (one for one in entries if one.group == group), key=lambda one: (-one.percent, one.name)
        )
        for group in GROUPS
    }
    if small_order:
        by_group["small"] = _reordered(by_group["small"], small_order)
    return IngredientList(market, basis, tuple(one for group in by_group.values() for one in group))


def _entries(made: Composition, law: Law, market: str, basis: str) -> list[Entry]:
    named = {
        plain(one.allergen.name)
        for one in allergens(made, law, market, basis)
        if one.decision in ("declare", "prohibited")
    }
    parts: dict[str, list[tuple[Ingredient, Decimal]]] = {}
    for key, one in made.ingredients.items():
        percent = made.percent(one.inci, basis, "listed").typical
        if key in named:
            percent = made.percent(one.inci, basis).typical
        if percent > 0:
            parts.setdefault(_label_name(one, law, market), []).append((one, percent))
    return [_entry(name, found, law, market) for name, found in parts.items()]


def _entry(name: str, found: list[tuple[Ingredient, Decimal]], law: Law, market: str) -> Entry:
    percent = sum((share for _, share in found), Decimal(0))
    return Entry(
        name,
        tuple(one.inci for one, _ in found),
        percent,
        _group(found[0][0].inci, percent, law, market),
        all(one.listed.typical <= 0 for one, _ in found),
        all(one.known for one, _ in found),
        any(one.guessed for one, _ in found),
    )


def _group(inci: str, percent: Decimal, law: Law, market: str) -> str:
    known = law.label_name(inci)
    if inci.startswith("CI ") or (known is not None and known.colour):
        return "colour"
    if inci in _SCENTS and market in SCENT_AT_THE_END:
        return "scent"
    small = percent <= ONE if SMALL_INCLUDES_ONE[market] else percent < ONE
    return "small" if small else "ordered"


def _label_name(one: Ingredient, law: Law, market: str) -> str:
    """Return how a market writes an ingredient.

    The common names that stand in brackets after botanical names are left out in the European
    Union and Great Britain (from memory).
    """
    known = law.label_name(one.inci)
    name: str = getattr(known, market) if known is not None else ""
    if name:
        return name
    return re.sub(r" \([A-Z][^)]*\)", "", one.inci) if market in ("EU", "UK") else one.inci


def _reordered(small: list[Entry], wanted: Sequence[str]) -> list[Entry]:
    """Return the small group in the order wanted."""
    known = {plain(one.name): one for one in small}
    asked = [plain(name) for name in wanted]
    strange = [name for name in wanted if plain(name) not in known]
    if strange:
        raise ReadableError(
            "Order of the small group",
            f'"{strange[0]}" is not in it.',
            f"It holds {', '.join(one.name for one in small) or 'nothing'}.",
        )
    if len(asked) != len(set(asked)) or len(asked) != len(small):
        raise ReadableError(
            "Order of the small group",
            "Every name of it must stand in the order once.",
            f"It holds {', '.join(one.name for one in small)}.",
        )
    return [known[name] for name in asked]


@dataclass(frozen=True)
class Differences:
    """Where the list of the cured bar departs from the list as added.

    Attributes
    ----------
    moved : tuple of (name, place as added, place as cured)
        Names that stand elsewhere among the others; places count from 1.
    regrouped : tuple of (name, group as added, group as cured)
    decided : tuple of (name, decision as added, decision as cured)
        Fragrance allergens.
    """

    moved: tuple[tuple[str, int, int], ...]
    regrouped: tuple[tuple[str, str, str], ...]
    decided: tuple[tuple[str, str, str], ...]

    def __bool__(self) -> bool:
        return bool(self.moved or self.regrouped or self.decided)


def differences(made: Composition, law: Law, market: str) -> Differences | None:
    """Return where the two bases give different lists; None where the loss is not known."""
    if made.loss is None:
        return None
    added, cured = (ingredient_list(made, law, market, basis) for basis in BASES)
    groups = {one.name: one.group for one in added.entries}
    regrouped = tuple(
        (one.name, groups[one.name], one.group)
        for one in cured.entries
        if groups.get(one.name, one.group) != one.group
    )
    first, second = (
        {one.allergen.name: one.decision for one in allergens(made, law, market, basis)}
        for basis in BASES
    )
    decided = tuple(
        (name, first[name], now) for name, now in second.items() if now != first.get(name, now)
    )
    return Differences(_moved(added, cured), regrouped, decided)


def _moved(added: IngredientList, cured: IngredientList) -> tuple[tuple[str, int, int], ...]:
    """Return the names that leave the order that both lists share."""
    both = set(added.names) & set(cured.names)
    first = [name for name in added.names if name in both]
    second = [name for name in cured.names if name in both]
    blocks = SequenceMatcher(None, first, second, autojunk=False).get_matching_blocks()
    kept = {name for one in blocks for name in first[one.a : one.a + one.size]}
    return tuple(
        (name, added.names.index(name) + 1, cured.names.index(name) + 1)
        for name in first
        if name not in kept
    )


_NEEDED = {
    "EU": ("responsible", "address", "batch", "function", "weight", "durability"),
    "UK": ("responsible", "address", "batch", "function", "weight", "durability"),
    "US": ("product", "responsible", "address", "contact", "weight"),
    "CA": ("product", "responsible", "address", "contact", "weight"),
}
"""Facts that a label needs: Reg 1223/2009 Art. 19(1) as a regulator sums it up; 21 CFR 701 and
21 USC 364e; Cosmetic Regulations and C.R.C. c. 417. Great Britain as the first, from memory."""


def missing_facts(facts: LabelFacts, market: str) -> tuple[str, ...]:
    """Return which facts a label of the market needs and does not have.

    "durability" is a best-before date or, beyond 30 months, the months after opening.
    """
    alternatives = {
        "durability": (facts.best_before, facts.months_open),
        "weight": (facts.grams, facts.ounces),
    }
    return tuple(
        name
        for name in _NEEDED[market]
        if not any(alternatives.get(name) or (getattr(facts, name, None),))
    )


_EDGES = "80 65 50 40 30 20 10 3 1 0.3 0.1 0.001 0"
_RANGES = tuple(map(Decimal, _EDGES.split()))
"""Percents above which a range of the Canadian notification starts, the first range first."""


def notification_range(percent: Decimal) -> int | None:
    """Return the number of the range that Canada's notification asks for, None for nothing.

    Cosmetic Regulations (Canada): 1 above 80 %, 2 above 65 %, to 13 above 0; the upper edge of a
    range belongs to it.
    """
    return next((number for number, edge in enumerate(_RANGES, 1) if percent > edge), None)


def lot_number(day: date, formula: str, run: int) -> str:
    """Return a batch number that is used once: date, formula code and run of that day.

    Own rule: YYMMDD-FFF-n. The European Union asks for some reference to the batch.

    Raises
    ------
    ReadableError
        The code is not 1 to 8 letters and digits, or the run is not 1 to 99.
    """
    code = formula.strip().upper()
    if not re.fullmatch(r"[A-Z0-9]{1,8}", code):
        raise ReadableError(
            "Batch number", f'"{formula}" is no formula code.', "Use 1 to 8 letters and digits."
        )
    if not 1 <= run <= 99:
        raise ReadableError("Batch number", f"Run {run} cannot be.", "Count the day's runs from 1.")
    return f"{day:%y%m%d}-{code}-{run}"
