"""`bar-dough materials`: what the tables know, how surely, and from where."""

import json
from argparse import ArgumentParser, Namespace
from typing import TYPE_CHECKING, Any

from designer.terminal import layout

if TYPE_CHECKING:
    from designer.handbook import Handbook, Material

HELP = "search the materials; one found alone is shown with every number's source"
EXAMPLES = """examples:
  bar-dough materials clay
  bar-dough materials "SCI fine powder"
  bar-dough materials "primary cleanser" --json
"""


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument(
        "word", metavar="WORD", nargs="*", help="part of a common or INCI name, or a role"
    )
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(arguments: Namespace) -> int:
    """Print what is found; exit code 1 if nothing is."""
    from designer.workshop import shelf

    book = shelf.handbook()
    words = " ".join(arguments.word).strip()
    found = _found(book, words)
    if arguments.json:
        layout.say(json.dumps([_card(book, one) for one in found], ensure_ascii=True, indent=1))
        return 0 if found else 1
    if not found:
        close = book.suggest(words)
        hint = f" Close: {', '.join(close[:5])}." if close else ""
        layout.say(layout.paragraph(f'Nothing is called or does "{words}".{hint}'))
        return 1
    if len(found) == 1:
        _print_card(_card(book, found[0]))
        return 0
    _print_list(book, found)
    return 0


def _found(book: "Handbook", words: str) -> list["Material"]:
    exact = [
        one
        for shelf in (book.powders, book.liquids, book.melts)
        for one in shelf.values()
        if one.name.casefold() == words.casefold()
    ]
    return exact or list(book.search(words))


def _print_list(book: "Handbook", found: list["Material"]) -> None:
    from designer.handbook import kind_of

    rows = [["name", "kind", "class", "INCI"]]
    for one in found:
        rows.append([one.name, kind_of(one), one.material_class.replace("_", " "), one.inci])
    layout.say(layout.cut(layout.table(rows, "llll")))
    layout.say(f"{len(found)} materials")


def _card(book: "Handbook", material: "Material") -> dict[str, Any]:
    """Return a material with each number's unit, spread, source and evidence."""
    from designer.handbook import kind_of

    kind = kind_of(material)
    numbers = {}
    for column in vars(material):
        try:
            one = book.number(f"{kind}s", material.name, column)
        except KeyError:
            continue
        numbers[column] = {
            "value": float(f"{one.value:.6g}"),
            "unit": one.unit,
            "sd": float(f"{one.sd:.3g}"),
            "spread": one.spread,
            "source": one.source,
            "evidence": one.evidence,
        }
    role = book.roles.get((kind, material.name))
    return {
        "name": material.name,
        "inci": material.inci,
        "kind": kind,
        "class": material.material_class,
        "roles": list(role.roles) if role else [],
        "note": material.note,
        "source": material.source,
        "evidence": material.evidence,
        "numbers": numbers,
    }


def _print_card(card: dict[str, Any]) -> None:
    layout.say(layout.paragraph(f"{card['name']} · {card['inci']}"))
    layout.say(f"{card['kind']}, {card['class'].replace('_', ' ')}")
    if card["roles"]:
        layout.say(layout.paragraph("roles: " + ", ".join(card["roles"]), "  "))
    layout.say()
    rows = [["", "value", "unit", "one sd", "evidence"]]
    for name, one in card["numbers"].items():
        unit = "" if one["unit"] == "1" else one["unit"]
        percent = 100 * one["sd"]
        spread = (
            f"{percent:.0f} %" if one["spread"] == "factor" else f"{one['sd']:g} {unit}".strip()
        )
        rows.append([name.replace("_", " "), f"{one['value']:g}", unit, spread, one["evidence"]])
    layout.say(layout.table(rows, "lrlrl"))
    layout.say()
    layout.say(layout.paragraph(f"source: {card['source']}", "  ", ""))
    if card["note"]:
        layout.say(layout.paragraph(f"note: {card['note']}", "  ", ""))
