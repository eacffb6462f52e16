"""A recipe as a value: frozen, compared by content, changed only by making another.

Percentages stand as the maker states them, in percent of the dough; `designer.recipe.amounts`
alone turns them into shares and masses.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import Any

from designer.quantities import QS, Fill
from designer.recipe.assessed import MOST_ASSESSED, Assessed
from designer.recipe.bench import DEFAULT_BATCH, DEFAULT_WANTED, Bench
from designer.recipe.checks import (
    CellError,
    check_count,
    check_domain,
    check_one_of,
    check_percent,
    check_text,
    listed,
)
from designer.recipe.label import Label
from designer.recipe.percents import Percents
from designer.vocabulary import MATERIAL_KINDS, PHASES

__all__ = [
    "DEFAULT_BATCH",
    "DEFAULT_WANTED",
    "MOST_ROWS",
    "MOST_SWAPS",
    "MOST_VARIANTS",
    "Bench",
    "Percents",
    "Recipe",
    "Row",
    "Swap",
    "Variant",
]

MOST_ROWS = 500
MOST_VARIANTS = 50
MOST_SWAPS = 50
"""Of a row; as many may go in alongside one of them."""


@dataclass(frozen=True)
class Swap:
    """A stand-in the maker allows for a row.

    Attributes
    ----------
    name : str
        The ingredient that stands in.
    percent : float
        Its percent of the dough.
    alongside : tuple of (name, percent)
        What goes in with it.
    variant : str
        The variant it is meant for; "" for every one.
    less : tuple of (name, percent)
        What of the other rows is left out with it; what is q.s. fills up.
    stays : float
        How much of the row itself stays.
    chance : float or None [1]
        Of a clean knead, as predicted when it was kept; None where it was not.
    date : str
        The day of that, as "2026-11-28", or "".
    """

    name: str
    percent: float
    alongside: tuple[tuple[str, float], ...] = ()
    variant: str = ""
    less: tuple[tuple[str, float], ...] = ()
    stays: float = 0.0
    chance: float | None = None
    date: str = ""

    def __post_init__(self) -> None:
        check_count("swaps", self.alongside, MOST_SWAPS)
        check_count("swaps", self.less, MOST_SWAPS)
        for name, percent in ((self.name, self.percent), *self.alongside, *self.less):
            check_text("swaps", name, required=True)
            check_percent("swaps", percent)
        check_percent("swaps", self.stays)
        check_text("swaps", self.date)
        check_domain("clean_knead_chance", self.chance)


@dataclass(frozen=True)
class Row:
    """One ingredient.

    Attributes
    ----------
    phase : str
        One of `PHASES`.
    name : str
        The common name, grade included.
    percents : Percents
        By variant number; any mapping is taken.
    inci : str or None
    given_class : str or None
        What the maker says an ingredient unknown to the handbook is, one of `MATERIAL_KINDS`;
        None where the file says nothing.
    held : frozenset of str
        Variants in which no fix may move this row.
    swaps : tuple of Swap
    note : str
    origin : int or None
        Index of the row in the source text, so that a moved row keeps its unknown keys.
    """

    phase: str
    name: str
    percents: Mapping[str, float | Fill | None] = field(default_factory=Percents)
    inci: str | None = None
    given_class: str | None = None
    held: frozenset[str] = frozenset()
    swaps: tuple[Swap, ...] = ()
    note: str = ""
    origin: int | None = field(default=None, compare=False, repr=False)

    def __post_init__(self) -> None:
        check_text("name", self.name, required=True)
        check_text("inci", self.inci or "")
        check_text("note", self.note, lines=True)
        check_one_of("phase", self.phase, PHASES)
        if self.given_class is not None:
            check_one_of("class", self.given_class, MATERIAL_KINDS)
        check_count("swaps", self.swaps, MOST_SWAPS)
        if not isinstance(self.percents, Percents):
            object.__setattr__(self, "percents", Percents(self.percents))
        for cell in self.percents.values():
            if cell is not QS:
                check_percent("percent", cell)


@dataclass(frozen=True)
class Variant:
    """A column of percentages: its number, which never changes, its title, and if it is in use."""

    number: str
    title: str = ""
    active: bool = False

    def __post_init__(self) -> None:
        if not re.fullmatch("[1-9][0-9]{0,5}", self.number):
            raise CellError(
                "variants",
                f"A variant cannot be called {self.number[:20]!r}.",
                "Number the variants 1, 2, 3 and give each a title.",
            )
        check_text("title", self.title)


@dataclass(frozen=True)
class Recipe:
    """A recipe: rows in the order of work, and a column of percentages for each variant.

    Two recipes are equal when they say the same, however their files are laid out.

    Attributes
    ----------
    name, notes : str
    bench : Bench
    label : Label
    variants : tuple of Variant
        At least one; exactly one is active.
    rows : tuple of Row
    assessed, released : tuple of Assessed
        Formulas as they were assessed, and changed ones that a person released; oldest first.
    unknown : tuple of str
        Keys of the file that the program does not know, as "bench.moon"; kept when written.
    source : str
        The text read, to which changes are applied when written; "" for a recipe made anew.
    """

    name: str = ""
    notes: str = ""
    bench: Bench = field(default_factory=Bench)
    label: Label = field(default_factory=Label)
    variants: tuple[Variant, ...] = (Variant("1", active=True),)
    rows: tuple[Row, ...] = ()
    assessed: tuple[Assessed, ...] = ()
    released: tuple[Assessed, ...] = ()
    unknown: tuple[str, ...] = field(default=(), compare=False, repr=False)
    source: str = field(default="", compare=False, repr=False)

    def __post_init__(self) -> None:
        check_text("name", self.name)
        check_text("notes", self.notes, lines=True)
        self._check_variants()
        if len(self.rows) > MOST_ROWS:
            raise CellError(
                "row", f"{len(self.rows)} rows are too many.", f"Keep to {MOST_ROWS} rows."
            )
        check_count("assessed", self.assessed, MOST_ASSESSED)
        check_count("released", self.released, MOST_ASSESSED)
        self._check_references(enumerate(self.rows))
        self._check_fills(self.numbers)

    def _check_variants(self) -> None:
        """Raise unless there is a variant, each number stands once and one is active."""
        if not 1 <= len(self.variants) <= MOST_VARIANTS:
            raise CellError(
                "variants",
                f"A recipe cannot have {len(self.variants)} variants.",
                f"Keep 1 to {MOST_VARIANTS} variants.",
            )
        if len(set(self.numbers)) < len(self.variants):
            raise CellError("variants", "Two variants have one number.", "Number them 1, 2, 3.")
        active = [variant.number for variant in self.variants if variant.active]
        if len(active) > 1:
            raise CellError(
                "variants",
                f"Variants {' and '.join(active)} are both active.",
                "Mark one of them as active.",
            )
        if not active:
            first, *others = self.variants
            object.__setattr__(self, "variants", (replace(first, active=True), *others))

    def _check_references(self, rows: Iterable[tuple[int, Row]]) -> None:
        """Raise when one of these rows speaks of a variant that the recipe does not have."""
        known = set(self.numbers)
        for index, row in rows:
            spoken = {
                "percent": set(row.percents),
                "held": row.held,
                "swaps": {swap.variant for swap in row.swaps if swap.variant},
            }
            for key, numbers in spoken.items():
                if strange := sorted(numbers - known):
                    raise CellError(
                        key,
                        f"Variant {strange[0][:20]!r} is not among the variants.",
                        f"Use {listed(self.numbers)}, or add [variants.{strange[0][:20]}].",
                        index,
                        row.name,
                    )

    def _check_fills(self, numbers: Iterable[str]) -> None:
        """Raise when two rows of one of these variants are q.s."""
        for number in numbers:
            filling = [i for i, row in enumerate(self.rows) if row.percents.get(number) is QS]
            if len(filling) > 1:
                first, second = filling[:2]
                raise CellError(
                    "percent",
                    f"Rows {first + 1} and {second + 1} are both q.s. in variant {number}.",
                    "Let one row fill up to 100 % and give the other a number.",
                    second,
                    self.rows[second].name,
                )

    @cached_property
    def numbers(self) -> tuple[str, ...]:
        """Numbers of the variants, in order."""
        return tuple(variant.number for variant in self.variants)

    @cached_property
    def active(self) -> Variant:
        """The variant in use."""
        return next(variant for variant in self.variants if variant.active)

    @property
    def empty(self) -> tuple[str, ...]:
        """Numbers of the variants with nothing in them, in order."""
        full = {
            number
            for row in self.rows
            for number, cell in row.percents.items()
            if cell is QS or cell != 0
        }
        return tuple(number for number in self.numbers if number not in full)

    def with_name(self, name: str) -> "Recipe":
        """Return a copy under another name."""
        check_text("name", name)
        return self._like(name=name)

    def with_notes(self, notes: str) -> "Recipe":
        """Return a copy with other notes."""
        check_text("notes", notes, lines=True)
        return self._like(notes=notes)

    def with_assessed(self, *assessed: Assessed) -> "Recipe":
        """Return a copy with other formulas as assessed."""
        check_count("assessed", assessed, MOST_ASSESSED)
        return self._like(assessed=assessed)

    def with_released(self, *released: Assessed) -> "Recipe":
        """Return a copy with other formulas as released."""
        check_count("released", released, MOST_ASSESSED)
        return self._like(released=released)

    def with_bench(self, **changes: Any) -> "Recipe":
        """Return a copy with conditions changed, by the names of `Bench`, in SI.

        A batch takes the place of a number of bars, and the other way round.
        """
        if changes.get("batch") is not None:
            changes = {"bars": None, **changes}
        elif changes.get("bars") is not None:
            changes = {"batch": None, **changes}
        return self._like(bench=replace(self.bench, **changes))

    def with_label(self, label: Label) -> "Recipe":
        """Return a copy with another label."""
        return self._like(label=label)

    def with_rows(self, rows: Iterable[Row]) -> "Recipe":
        """Return a copy with other rows; of these only the new ones are checked."""
        after = tuple(rows)
        if len(after) > MOST_ROWS or len({id(row) for row in after}) < len(after):
            return replace(self, rows=after)
        known = {id(row) for row in self.rows}
        new = [(index, row) for index, row in enumerate(after) if id(row) not in known]
        made = self._like(rows=after)
        made._check_references(new)
        filled = {n for _, row in new for n, cell in row.percents.items() if cell is QS}
        made._check_fills(number for number in self.numbers if number in filled)
        return made

    def _like(self, **changes: Any) -> "Recipe":
        """Return a copy with sound changes; checking all rows again would outlast a key."""
        made = object.__new__(type(self))
        # What follows from the fields is kept beside them, and must not be taken along.
        vars(made).update({one.name: getattr(self, one.name) for one in fields(self)}, **changes)
        return made

    def with_row(self, index: int, row: Row) -> "Recipe":
        """Return a copy with the row at `index` changed to `row`."""
        origin = self.rows[index].origin
        kept = row if row.origin == origin else replace(row, origin=origin)
        return self.with_rows((*self.rows[:index], kept, *self.rows[index:][1:]))

    def with_percent(self, index: int, number: str, cell: float | Fill | None) -> "Recipe":
        """Return a copy with one figure changed: percent, `QS`, or None for none."""
        row = self.rows[index]
        return self.with_row(
            index, replace(row, percents=Percents(row.percents).changed(number, cell))
        )

    def add_row(self, row: Row, index: int | None = None) -> "Recipe":
        """Return a copy with `row` put in before `index`, or at the end."""
        at = len(self.rows) if index is None else index
        new = replace(row, origin=None)
        return self.with_rows((*self.rows[:at], new, *self.rows[at:]))

    def remove_row(self, index: int) -> "Recipe":
        """Return a copy without the row at `index`."""
        rows = list(self.rows)
        rows.pop(index)
        return self.with_rows(rows)

    def move_row(self, index: int, to: int) -> "Recipe":
        """Return a copy with the row at `index` moved so that it stands at `to`."""
        rows = list(self.rows)
        rows.insert(to, rows.pop(index))
        return self.with_rows(rows)

    def add_variant(self, title: str = "", like: str | None = None) -> "Recipe":
        """Return a copy with a further variant, its figures copied from variant `like`."""
        number = str(max(int(number) for number in self.numbers) + 1)
        recipe = replace(self, variants=(*self.variants, Variant(number, title)))
        if like is None:
            return recipe
        rows = (_copied(row, self.variant(like).number, number) for row in self.rows)
        return replace(recipe, rows=tuple(rows))

    def rename_variant(self, number: str, title: str) -> "Recipe":
        """Return a copy in which variant `number` has another title."""
        return self._with_marks(
            replace(variant, title=title) if variant is self.variant(number) else variant
            for variant in self.variants
        )

    def use_variant(self, number: str) -> "Recipe":
        """Return a copy in which variant `number` is the one in use."""
        used = self.variant(number)
        return self._with_marks(
            replace(variant, active=variant is used) for variant in self.variants
        )

    def remove_variant(self, number: str) -> "Recipe":
        """Return a copy without a variant and without its figures.

        Raises
        ------
        ReadableError
            It is the last one, or there is none of that number.
        """
        return self.only(*(other for other in self.numbers if other != self.variant(number).number))

    def only(self, *numbers: str) -> "Recipe":
        """Return a copy with these variants alone."""
        kept = {self.variant(number).number for number in numbers}
        rows = tuple(_without_others(row, kept) for row in self.rows)
        variants = tuple(variant for variant in self.variants if variant.number in kept)
        return replace(self, variants=variants, rows=rows)

    def variant(self, number: str) -> Variant:
        """Return the variant of that number.

        Raises
        ------
        ReadableError
            There is none.
        """
        for variant in self.variants:
            if variant.number == number:
                return variant
        raise CellError(
            "variants", f"There is no variant {number[:20]!r}.", f"Use {listed(self.numbers)}."
        )

    def _with_marks(self, variants: Iterable[Variant]) -> "Recipe":
        """Return a copy in which the same variants have other titles, or another is active."""
        return self._like(variants=tuple(variants))


def _copied(row: Row, like: str, number: str) -> Row:
    """Return a row with the figure and the hold of variant `like` repeated for `number`."""
    held = row.held | {number} if like in row.held else row.held
    percents = Percents(row.percents).changed(number, row.percents.get(like))
    return replace(row, percents=percents, held=held)


def _without_others(row: Row, kept: set[str]) -> Row:
    """Return a row that speaks of the kept variants alone."""
    if kept.issuperset(row.percents) and kept.issuperset(row.held) and not row.swaps:
        return row
    return replace(
        row,
        percents=Percents({n: cell for n, cell in row.percents.items() if n in kept}),
        held=row.held & kept,
        swaps=tuple(swap for swap in row.swaps if not swap.variant or swap.variant in kept),
    )
