"""The ingredient list as rows: name, percent on both bases, what must be said of it."""

from dataclasses import dataclass
from decimal import Decimal

from designer.evaluation.composition import BASES
from designer.evaluation.label import Entry, ingredient_list
from designer.evaluation.label_sheet import LabelSheet
from designer.wording.checks import figure

__all__ = ["GROUP_HEADS", "NameRow", "group_head", "name_rows"]

GROUP_HEADS = {
    "ordered": "in order of weight",
    "small": "{at} 1 %: in any order",
    "colour": "colours: in any order, at the end",
    "scent": "at the end",
}


@dataclass(frozen=True)
class NameRow:
    """A name of the list.

    Attributes
    ----------
    inci : str
        The first INCI name behind it.
    group : str
    added, cured : str
        Percent on each basis, "" where it is not known or not on that list.
    moves : bool
        Whether it stands elsewhere, or in another group, on the other basis.
    note : str
    """

    name: str
    inci: str
    group: str
    added: str
    cured: str
    moves: bool
    note: str


def group_head(group: str, market: str) -> str:
    """Return the words above a group."""
    at = "at or below" if market in ("US", "CA") else "below"
    return GROUP_HEADS[group].format(at=at)


def name_rows(sheet: LabelSheet) -> tuple[NameRow, ...]:
    """Return the rows in the order of the label."""
    percents: dict[str, dict[str, Decimal]] = {}
    for basis in BASES:
        known = basis == "added" or sheet.made.loss is not None
        listed = (
            ingredient_list(sheet.made, sheet.law, sheet.market, basis).entries if known else ()
        )
        percents[basis] = {one.name: one.percent for one in listed}
    moving = _moving(sheet)

    def told(name: str, basis: str) -> str:
        percent = percents[basis].get(name)
        return "" if percent is None else figure(percent)

    return tuple(
        NameRow(
            name=one.name,
            inci=one.incis[0],
            group=one.group,
            added=told(one.name, "added"),
            cured=told(one.name, "cured"),
            moves=one.name in moving,
            note=_note(one),
        )
        for one in sheet.ingredients.entries
    )


def _moving(sheet: LabelSheet) -> set[str]:
    found = sheet.differences
    if found is None:
        return set()
    return {name for name, *_ in (*found.moved, *found.regrouped, *found.decided)}


def _note(one: Entry) -> str:
    if not one.known:
        return "no INCI name known"
    if one.guessed:
        return "share not known"
    return "allergen" if one.brought else ""
