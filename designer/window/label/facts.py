"""What is typed for the label: which fields there are, and how each stands in the recipe."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from designer.quantities import read, written
from designer.recipe.label import (
    DEFAULT_WIDTH,
    Label,
    read_net,
    read_panel,
    written_net,
    written_panel,
)
from designer.recipe.label_reader import read_day, read_months
from designer.window.figures import spaced

__all__ = ["ENTRIES", "Entry"]

_BREAK = " / "
"""How lines of one field are parted."""


@dataclass(frozen=True)
class Entry:
    """A field.

    Attributes
    ----------
    name, caption, hint : str
    at_rest : what the field says while it is empty
    shown : returns its text
    taken : returns the label with what was typed; raises `ReadableError`
    """

    name: str
    caption: str
    hint: str
    shown: Callable[[Label], str]
    taken: Callable[[Label, str], Label]
    at_rest: str = ""


def _stated(label: Label, **facts: Any) -> Label:
    return replace(label, facts=replace(label.facts, **facts))


def _words(name: str, caption: str, hint: str) -> Entry:
    return Entry(
        name,
        caption,
        hint,
        lambda label: str(getattr(label.facts, name)),
        lambda label, typed: _stated(label, **{name: typed.strip()}),
    )


def _day(name: str, caption: str, hint: str) -> Entry:
    def shown(label: Label) -> str:
        day = getattr(label.facts, name)
        return "" if day is None else str(day.isoformat())

    return Entry(
        name, caption, hint, shown, lambda label, typed: _stated(label, **{name: read_day(typed)})
    )


def _lines(typed: str) -> list[str]:
    return [line.strip() for line in typed.split(_BREAK.strip()) if line.strip()]


def _take_net(label: Label, typed: str) -> Label:
    grams, ounces = read_net(typed) if typed.strip() else (None, None)
    return _stated(label, grams=grams, ounces=ounces)


def _take_panel(label: Label, typed: str) -> Label:
    return _stated(label, panel=read_panel(typed) if typed.strip() else None)


def _take_width(label: Label, typed: str) -> Label:
    return replace(label, width=read(typed, "label_width") if typed.strip() else DEFAULT_WIDTH)


def _months(label: Label) -> str:
    months = label.facts.months_open
    return "" if months is None else spaced(f"{months} M")


ENTRIES = (
    _words("product", "product", "Oat bar"),
    _words("function", "what it is for", "solid shampoo"),
    Entry(
        "net",
        "net weight",
        "100 g, or 3.5 oz",
        lambda label: spaced(written_net(label.facts)),
        _take_net,
        "as the bars",
    ),
    Entry(
        "panel",
        "main panel",
        "40 cm2",
        lambda label: spaced(written_panel(label.facts.panel)),
        _take_panel,
    ),
    Entry(
        "width",
        "label width",
        "70 mm",
        lambda label: spaced(written(label.width, "label_width")),
        _take_width,
    ),
    _words("batch", "batch number", "261128-OAT-1"),
    _day("made", "made", "2026-11-28"),
    _day("best_before", "best before", "2028-11-28"),
    Entry(
        "months_open",
        "after opening",
        "12 M",
        _months,
        lambda label, typed: _stated(label, months_open=read_months(typed)),
    ),
    _words("responsible", "responsible", "person or business"),
    Entry(
        "address",
        "address",
        "street / town",
        lambda label: label.facts.address.replace("\n", _BREAK),
        lambda label, typed: _stated(label, address="\n".join(_lines(typed))),
    ),
    _words("contact", "contact", "mail, telephone or page"),
    _words("origin", "made in", "country, if imported"),
    Entry(
        "own_lines",
        "own lines",
        "one / another",
        lambda label: _BREAK.join(label.facts.own_lines),
        lambda label, typed: _stated(label, own_lines=tuple(_lines(typed))),
    ),
)
"""All fields, from top to bottom."""
