"""What is printed on a label, part by part, and as plain text to copy."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from designer.evaluation.label_sheet import LabelSheet
from designer.evaluation.letters import Height, small_print, weight_print
from designer.evaluation.net_content import plain_figure
from designer.wording.assessed import hold_words
from designer.wording.checks import DISCLAIMER, MARKET_NAMES
from designer.wording.label import cautions_to_print, label_notes, missing_words, weight_lines

__all__ = [
    "Part",
    "as_of",
    "height_words",
    "label_parts",
    "label_plain",
    "notes_before_print",
    "title",
]

_INGREDIENTS = {"en": "Ingredients: ", "fr": "Ingrédients : ", "en fr": "Ingredients/Ingrédients: "}
_BEST = {
    "en": "Best before: {}",
    "fr": "À utiliser de préférence avant : {}",
    "en fr": "Best before / À utiliser de préférence avant : {}",
}
_OPEN = {
    "en": "After opening: {} M",
    "fr": "Après ouverture : {} M",
    "en fr": "After opening / après ouverture : {} M",
}
_ORIGIN = {"en": "Made in {}", "fr": "Fabriqué : {}", "en fr": "Made in / fabriqué : {}"}
_LOT = {"en": "Batch {}", "fr": "Lot {}", "en fr": "Batch / lot {}"}


@dataclass(frozen=True)
class Part:
    """A paragraph of a label.

    Attributes
    ----------
    kind : "hold" | "product" | "function" | "weight" | "list" | "caution" | "fact" | "own"
    pieces : tuple of (words, tag)
        The tag is the group of an ingredient, "" for all else.
    """

    kind: str
    pieces: tuple[tuple[str, str], ...]

    @property
    def text(self) -> str:
        """The whole of it."""
        return "".join(words for words, _ in self.pieces)


def label_parts(sheet: LabelSheet, languages: str = "en fr") -> tuple[Part, ...]:
    """Return what is printed, from top to bottom; `languages` of cautions and words."""
    return tuple(_parts(sheet, languages))


def _parts(sheet: LabelSheet, languages: str) -> Iterator[Part]:
    facts = sheet.facts
    yield from _part("hold", hold_words(sheet.standing))
    yield from _part("product", facts.product)
    yield from _part("function", facts.function)
    if sheet.declaration is not None:
        yield from _part("weight", _kept(sheet.declaration.text))
    yield Part("list", ((_INGREDIENTS[languages], ""), *_names(sheet)))
    for one in cautions_to_print(sheet.made, sheet.law):
        told = {"en": one.english, "fr": one.french}
        for language in languages.split():
            yield Part("caution", ((told[language], ""),))
    for line in facts.own_lines:
        yield from _part("own", line)
    yield from _part("fact", facts.batch and _LOT[languages].format(facts.batch))
    yield from _part("fact", _day(_BEST[languages], facts.best_before))
    if facts.months_open:
        yield from _part("fact", _OPEN[languages].format(facts.months_open))
    for line in (facts.responsible, *facts.address.split("\n"), facts.contact):
        yield from _part("fact", line)
    yield from _part("fact", facts.origin and _ORIGIN[languages].format(facts.origin))


def _part(kind: str, text: str) -> Iterator[Part]:
    if text.strip():
        yield Part(kind, ((text, ""),))


def _day(words: str, day: date | None) -> str:
    return words.format(day.isoformat()) if day else ""


def _names(sheet: LabelSheet) -> Iterator[tuple[str, str]]:
    entries = sheet.ingredients.entries
    for number, one in enumerate(entries, 1):
        yield one.name, one.group
        yield (", " if number < len(entries) else "."), ""


def label_plain(sheet: LabelSheet, languages: str = "en fr") -> str:
    """Return the label as plain text, a paragraph on each line."""
    text = "\n".join(part.text for part in label_parts(sheet, languages))
    return text.replace("\N{NO-BREAK SPACE}", " ")


def height_words(height: Height) -> str:
    """Return a least height in words: what is measured, and where that is from."""
    told = f"{plain_figure(height.millimetres)} mm, {height.by}"
    memory = ", from memory" if height.from_memory and "from memory" not in height.source else ""
    return f"{told} ({height.source}{memory})"


def title(sheet: LabelSheet, recipe: str, variant: str) -> str:
    """Return what the sheet is: whose label, for which market, on which basis."""
    told = f"Label of {recipe or 'a recipe without a name'}, variant {variant}"
    return f"{told}: {MARKET_NAMES[sheet.market]}, percents as {sheet.basis}"


def as_of(sheet: LabelSheet) -> str:
    """Return as of when the tables are, and to whom all of it defers."""
    return (
        f"Tables as of {sheet.law.as_of}. They can be wrong or out of date: local law and a "
        "qualified assessor decide."
    )


_UNCHECKED = (
    "Not checked: claims, symbols, the room that the law gives each statement on the pack, other "
    "languages that the country asks for, and whether the product may be sold."
)


def notes_before_print(sheet: LabelSheet) -> tuple[str, ...]:
    """Return what must be known before it is printed, what is missing first."""
    missing = missing_words(sheet)
    weight = weight_print(sheet)
    told = f"at least {height_words(weight)}" if weight.known else f"its height: {weight.source}"
    heights = f"Net weight {told}; all else at least {height_words(small_print(sheet.market))}."
    weights = tuple(f"{name.capitalize()}: {words}." for name, words in weight_lines(sheet)[1:3])
    found = (missing, *label_notes(sheet), heights, *weights, _UNCHECKED, as_of(sheet), DISCLAIMER)
    return tuple(_kept(note.replace("..", ".")) for note in found if note)


def _kept(words: str) -> str:
    """Return words in which no figure is parted from its unit."""
    return re.sub(r"(?<=\d) (?=(?:%|oz|lb|g|kg|mm|cm2)(?!\w))", "\N{NO-BREAK SPACE}", words)
