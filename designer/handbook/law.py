"""Tables of law and trade for label and checks: limits, allergens, net content, names, stems.

Their numbers are decimals, for a rule draws its line in decimals: 120 - 114.6 > 5.4 is false, but
not for binary numbers. They are read when they are first asked for, not with the materials.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any, TypeVar, cast

from designer.errors import ReadableError
from designer.handbook import places, tables
from designer.handbook.tables import REPAIR, Columns, Table, plain

__all__ = [
    "MARKETS",
    "OWN",
    "STANDINGS",
    "Allergen",
    "LabelName",
    "Law",
    "LetterHeight",
    "Tolerance",
    "UseLimit",
    "Watched",
    "load",
    "with_own",
]

MARKETS = ("EU", "UK", "US", "CA")
"""Where a bar is sold: European Union, Great Britain, United States, Canada."""

OWN = "own"
"""Authority of the maker's own rows."""

STANDINGS = ("current", "secondary", "predecessor", "memory")
"""What was read of a source, strongest first: the text in force, a page about it, the older text
whose number is believed to hold on, nothing."""

Record = TypeVar("Record")


@dataclass(frozen=True)
class UseLimit:
    """One rule on one substance, or on the sum of a group.

    Attributes
    ----------
    name : str
        INCI name; "(group) x" for the sum of all that carry group x.
    authority : str
        Who set it; a cosmetics panel or a fragrance association sets no law.
    markets : tuple of str
        Where it is shown, of `MARKETS`.
    kind : str
        legal_max, group_max, prohibited, quality (ask for a certificate), qualitative (no
        number), information (a survey figure), opinion_max (a committee), drug_range_top (a drug
        where a claim is made).
    purpose : "" | "preservative" | "other"
        What the substance is put in for, where rules differ by it.
    max_percent : Decimal or None
        Of the bar, in the terms of `basis`.
    strict : bool
        Whether the amount must stay below the limit, which is else the largest allowed.
    factor : Decimal
        What turns the substance into what the limit counts, as benzoate into the acid.
    groups : tuple of str
        Sums that it belongs to.
    standing : str
        One of `STANDINGS`.
    as_of : str
        The day the row was written.
    """

    name: str
    cas: str
    authority: str
    markets: tuple[str, ...]
    scope: str
    kind: str
    purpose: str
    max_percent: Decimal | None
    strict: bool
    basis: str
    factor: Decimal
    groups: tuple[str, ...]
    condition: str
    source: str
    standing: str
    evidence: str
    as_of: str

    @property
    def is_group(self) -> bool:
        """Whether it limits a sum."""
        return self.name.startswith("(group) ")


@dataclass(frozen=True)
class Allergen:
    """A fragrance substance to be named above a threshold; percents of the bar.

    Attributes
    ----------
    list : "2003" | "2023"
        The first list, or what the later regulation added.
    kind : "substance" | "natural"
    status : "declare" | "prohibited"
    """

    name: str
    cas: str
    list: str
    rinse_off_percent: Decimal
    leave_on_percent: Decimal
    kind: str
    status: str
    note: str
    source: str
    standing: str
    evidence: str
    as_of: str


@dataclass(frozen=True)
class Tolerance:
    """By how much one bar may fall short of its net weight, for a span of weights.

    Attributes
    ----------
    from_g, to_g, from_lb, to_lb : Decimal or None
        The span; whether its ends belong to it say `includes_from` and `includes_to`.
    tolerance_g, tolerance_lb, tolerance_percent : Decimal or None
        In grams and pounds, or in percent of the net weight.
    """

    scheme: str
    from_g: Decimal
    to_g: Decimal
    from_lb: Decimal | None
    to_lb: Decimal | None
    includes_from: bool
    includes_to: bool
    tolerance_g: Decimal | None
    tolerance_lb: Decimal | None
    tolerance_percent: Decimal | None
    source: str
    standing: str
    evidence: str
    as_of: str


@dataclass(frozen=True)
class LetterHeight:
    """The least height of the net weight's figures, for a span of panel areas or of weights."""

    scheme: str
    measure: str
    above: Decimal
    up_to: Decimal
    height_mm: Decimal
    source: str
    standing: str
    evidence: str
    as_of: str


@dataclass(frozen=True)
class LabelName:
    """What an ingredient is called on the labels of the markets, "" for its INCI name."""

    inci: str
    EU: str
    UK: str
    US: str
    CA: str
    colour: bool
    source: str
    standing: str
    evidence: str
    as_of: str


@dataclass(frozen=True)
class Watched:
    """A stem of INCI names that calls for a look.

    Attributes
    ----------
    kind : str
        What is looked for: origin, heat, releaser, amine and so on.
    match : "whole" | "word" | "begin" | "end"
        Whether the stem is the whole name, words within it, what a word of it begins with, or its
        last words.
    words : str
        What is said of it.
    limit : Decimal or None
        A temperature [°C] for heat, formaldehyde per mass [%] for releasers.
    """

    kind: str
    stem: str
    match: str
    words: str
    limit: Decimal | None
    source: str
    evidence: str
    as_of: str

    def fits(self, inci: str) -> bool:
        """Return whether an INCI name is meant, case apart."""
        name, stem = plain(inci), plain(self.stem)
        if self.match == "whole":
            return name == stem
        if self.match == "end":
            return f" {name}".endswith(f" {stem}")
        if self.match == "begin":
            return f" {stem}" in f" {name}"
        return f" {stem} " in f" {name} " or _begins_a_word(stem, name)


def _begins_a_word(stem: str, name: str) -> bool:
    """Return whether a word of a name starts with a stem of five letters or more.

    "Retinyl" is meant in "Retinylpalmitate", "MEA" not in "Meadowfoam".
    """
    return len(stem) >= 5 and f" {stem}" in f" {name}"


@dataclass(frozen=True, eq=False)
class Law:
    """All these tables as one frozen value, compared as the one object it is."""

    use_limits: tuple[UseLimit, ...]
    allergens: tuple[Allergen, ...]
    tolerances: tuple[Tolerance, ...]
    letter_heights: tuple[LetterHeight, ...]
    label_names: tuple[LabelName, ...]
    watched: tuple[Watched, ...]

    @property
    def as_of(self) -> str:
        """The day of the newest shipped row: what came later is not known here."""
        shipped = (one.as_of for one in self.use_limits if one.authority != OWN)
        return max(shipped, default="")

    def rules(self, market: str) -> tuple[UseLimit, ...]:
        """Return the rules shown for a market, in the order of the table."""
        return tuple(one for one in self.use_limits if market in one.markets)

    def label_name(self, inci: str) -> LabelName | None:
        """Return what the table of names says of an ingredient, or None."""
        return self._names.get(plain(inci))

    def allergen(self, name: str) -> Allergen | None:
        """Return the entry of a fragrance allergen, or None."""
        return self._allergens.get(plain(name))

    def watching(self, kind: str, inci: str) -> Watched | None:
        """Return the first stem of a kind that an INCI name fits, or None."""
        return self._seen(kind, inci)

    @cached_property
    def _names(self) -> dict[str, LabelName]:
        return {plain(one.inci): one for one in self.label_names}

    @cached_property
    def _allergens(self) -> dict[str, Allergen]:
        return {plain(one.name): one for one in self.allergens}

    @cached_property
    def _answers(self) -> dict[tuple[str, str], Watched | None]:
        return {}

    def _seen(self, kind: str, inci: str) -> Watched | None:
        """Return `watching`, remembered: every edit asks for the same few names again."""
        key = (kind, inci)
        if key not in self._answers:
            stems = (one for one in self.watched if one.kind == kind)
            self._answers[key] = next((one for one in stems if one.fits(inci)), None)
        return self._answers[key]


@lru_cache(maxsize=4)
def load(folder: Path | None = None) -> Law:
    """Return the shipped tables, or those in another folder laid out alike.

    Raises
    ------
    ReadableError
        A table is missing or broken: which one, in which row and column, and what to do.
    """
    where = places.resources() / "law" if folder is None else folder
    columns = tables.columns(where / "columns.toml")
    law = Law(
        tuple(_limits(_table(where, "use_limits", columns))),
        tuple(_allergens(_table(where, "fragrance_allergens", columns))),
        tuple(_tolerances(_table(where, "net_content", columns, "scheme"))),
        tuple(_rows(_table(where, "letter_heights", columns, "scheme"), LetterHeight)),
        tuple(_label_names(_table(where, "label_names", columns, "inci"))),
        tuple(_rows(_table(where, "watch", columns, "stem"), Watched)),
    )
    _check_groups(law.use_limits)
    return law


def with_own(law: Law, folder: Path) -> Law:
    """Return the tables with the maker's own rows in place of shipped ones.

    Parameters
    ----------
    law : Law
    folder : Path
        Holds `use_limits.csv`, `fragrance_allergens.csv` or both, with the columns of the
        shipped ones; it lies outside the program, so that an update leaves it alone.

    Raises
    ------
    ReadableError
        Neither table is there, or one is broken.

    Notes
    -----
    An own limit takes the place of shipped ones of the same name and purpose in its markets; an
    own allergen that of the same name.
    """
    columns = tables.columns(places.resources() / "law" / "columns.toml")
    names = [n for n in ("use_limits", "fragrance_allergens") if (folder / f"{n}.csv").is_file()]
    if not names:
        raise ReadableError(
            "Own tables",
            f"Neither use_limits.csv nor fragrance_allergens.csv is in {folder}.",
            "Name the folder that holds one of them.",
        )
    if "use_limits" in names:
        own = tuple(_limits(_table(folder, "use_limits", columns)))
        kept = (_beside(one, own) for one in law.use_limits)
        law = replace(law, use_limits=(*(one for one in kept if one.markets), *own))
        _check_groups(law.use_limits)
    if "fragrance_allergens" in names:
        added = tuple(_allergens(_table(folder, "fragrance_allergens", columns)))
        told = {plain(one.name) for one in added}
        rest = (one for one in law.allergens if plain(one.name) not in told)
        law = replace(law, allergens=(*rest, *added))
    return law


def _beside(one: UseLimit, own: Iterable[UseLimit]) -> UseLimit:
    """Return a shipped limit without the markets in which an own one stands for it."""
    taken = {
        market
        for other in own
        if plain(other.name) == plain(one.name) and other.purpose == one.purpose
        for market in other.markets
    }
    return replace(one, markets=tuple(market for market in one.markets if market not in taken))


def _table(folder: Path, name: str, columns: Columns, key: str = "name") -> Table:
    return tables.read(folder / f"{name}.csv", columns.get(name, {}), key)


def _decimals(table: Table, name: str) -> list[Decimal | None]:
    """Return a column of numbers as its file prints them, None for an empty cell."""
    table.optional_numbers(name)  # which raises where a number is none, or not plausible
    return [Decimal(cell) if cell else None for cell in table.cells[name]]


def _truths(table: Table, name: str) -> list[bool]:
    return [cell == "yes" for cell in table.texts(name)]


def _lists(table: Table, name: str) -> list[tuple[str, ...]]:
    cells = table.texts(name)
    return [tuple(filter(None, map(str.strip, cell.split(";")))) for cell in cells]


def _rows(table: Table, record: type[Record], **special: Sequence[Any]) -> Iterable[Record]:
    """Return the rows of a table as records; `special` columns are taken as given."""
    columns: list[Sequence[Any]] = []
    for one in fields(cast(Any, record)):
        if one.name in special:
            columns.append(special[one.name])
        elif one.type is str:
            columns.append(table.texts(one.name))
        else:
            columns.append(_decimals(table, one.name))
    return (record(*row) for row in zip(*columns, strict=True))


def _limits(table: Table) -> Iterable[UseLimit]:
    table.check_unique("name", "markets", "scope")
    found = list(
        _rows(
            table,
            UseLimit,
            markets=_lists(table, "markets"),
            groups=_lists(table, "groups"),
            strict=_truths(table, "strict"),
        )
    )
    for row, one in enumerate(found):
        needs = one.kind in ("legal_max", "group_max", "prohibited", "opinion_max")
        if needs and one.max_percent is None:
            raise ReadableError(
                table.where(row, "max_percent"), f'A limit of kind "{one.kind}" needs it.', REPAIR
            )
        if not set(one.markets) <= set(MARKETS):
            raise ReadableError(
                table.where(row, "markets"), f"Not all are among {', '.join(MARKETS)}.", REPAIR
            )
    return found


def _allergens(table: Table) -> Iterable[Allergen]:
    table.check_unique("name")
    return _rows(table, Allergen)


def _tolerances(table: Table) -> Iterable[Tolerance]:
    return _rows(
        table,
        Tolerance,
        includes_from=_truths(table, "includes_from"),
        includes_to=_truths(table, "includes_to"),
    )


def _label_names(table: Table) -> Iterable[LabelName]:
    table.check_unique("inci")
    return _rows(table, LabelName, colour=_truths(table, "colour"))


def _check_groups(limits: Iterable[UseLimit]) -> None:
    """Raise unless each sum that a substance counts in has a limit of its own."""
    rules = list(limits)
    summed = {one.name.removeprefix("(group) ") for one in rules if one.is_group}
    for one in rules:
        for group in one.groups:
            if group not in summed:
                raise ReadableError(
                    f'use_limits.csv ("{one.name}"), column "groups"',
                    f'There is no row "(group) {group}" with its limit.',
                    REPAIR,
                )
