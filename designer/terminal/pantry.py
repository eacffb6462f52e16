"""`bar-dough pantry`: the maker's own materials, measurements, lots, prices and stock."""

import json
from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING

from designer.terminal import layout

if TYPE_CHECKING:
    from designer.workshop import Pantry

HELP = "keep your own materials, measurements, lots, prices and stock"
EXAMPLES = """examples:
  bar-dough pantry list
  bar-dough pantry copy "oat flour" "Oat flour from the mill"
  bar-dough pantry add "Two clays" --blend "white clay=3" --blend "green clay=1"
  bar-dough pantry measure "Oat flour from the mill" "uptake polar" 0.84 0.9 0.87 --lot M-17
  bar-dough pantry set "CAPB 30 %" strength "31 %" --supplier "Brook"
  bar-dough pantry lot "white clay" K-2 --received 2026-11-02 --dry "99 %" --certificate 2026-11-03
  bar-dough pantry price "white clay" "25 kg" 31.50 EUR
  bar-dough pantry stock "white clay" in "25 kg"
  bar-dough pantry show "white clay"
  bar-dough pantry export shop.zip

Every command that works on a recipe uses what is kept here. BAR_DOUGH_DATA names another folder.
"""

_KIND = ("--kind", "powder, liquid or melt, where a name stands in two tables")
_DAY = ("--day", 'day, as "2026-11-28"; else today')

_WORDS = {
    "inci": "INCI name",
    "class": "class of the material, as flour or butter",
    "roles": 'what it is for, parted by ";"',
    "vegan": "yes, no or depends",
    "palm": "whether it may come from palm: yes or no",
    "sulfate-free": "yes or no",
    "allergen": 'statement of allergens; "none" for none',
    "dust-hazard": "none, nuisance or irritant",
    "charge": "of a surfactant: anionic, amphoteric, nonionic or cationic",
    "supplier": "who sells it",
    "remark": "a remark",
}
_LOT = {
    "received": "day it came",
    "supplier": "who sold it",
    "form": "as powder, noodles, flakes",
    "active": 'active, as "31 %%"',
    "dry": 'dry matter, as "37 %%"',
    "ph": "pH as on the certificate",
    "certificate": "day its certificate was seen",
    "microbiology": "result on the certificate",
    "best-before": "day",
    "finished": "day it was used up",
    "remark": "a remark",
}


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    choices = parser.add_subparsers(dest="action", metavar="ACTION", title="actions", required=True)
    for name, (told, adds) in _ACTIONS.items():
        one = choices.add_parser(
            name, help=told, description=f"{told[0].upper()}{told[1:]}.", allow_abbrev=False
        )
        adds(one)


def _list(one: ArgumentParser) -> None:
    one.add_argument("word", metavar="WORD", nargs="*", help="part of a name, INCI name or role")
    one.add_argument("--removed", action="store_true", help="what was taken away instead")
    one.add_argument("--json", action="store_true", help="as JSON")


def _search(one: ArgumentParser) -> None:
    one.add_argument("word", metavar="WORD", nargs="+", help="part of a name, INCI name or role")
    one.add_argument("--json", action="store_true", help="as JSON")


def _named(one: ArgumentParser) -> None:
    one.add_argument("name", metavar="NAME", help="common name of the material")
    one.add_argument(_KIND[0], metavar="K", default="", help=_KIND[1])


def _show(one: ArgumentParser) -> None:
    _named(one)
    one.add_argument("--json", action="store_true", help="as JSON")


def _words(one: ArgumentParser) -> None:
    for name, told in _WORDS.items():
        one.add_argument(f"--{name}", metavar="TEXT", help=told)
    one.add_argument(
        "--part",
        metavar="INCI=SHARE",
        action="append",
        help='an ingredient in it, as "Kaolin=97 to 99 %%"; all of them replace what was known',
    )


def _add(one: ArgumentParser) -> None:
    one.add_argument("name", metavar="NAME", help="name of the new material")
    one.add_argument("--kind", metavar="K", default="", help="powder, liquid or melt")
    one.add_argument(
        "--blend", metavar="NAME=MASS", action="append", help="a material in a blend, as often"
    )
    _words(one)


def _copy(one: ArgumentParser) -> None:
    _named(one)
    one.add_argument("new", metavar="NEW", help="name of the copy")


def _set(one: ArgumentParser) -> None:
    _named(one)
    one.add_argument("property", metavar="PROPERTY", nargs="?", help="as strength, density, pH")
    one.add_argument("value", metavar="VALUE", nargs="?", help='as "31 %%" or "1.04 g/mL"')
    one.add_argument("--forget", action="store_true", help="take your numbers of it away instead")
    one.add_argument("--rename", metavar="NEW", help="another name for your own material")
    one.add_argument(_DAY[0], metavar="D", default="", help=_DAY[1])
    _words(one)


def _measure(one: ArgumentParser) -> None:
    _named(one)
    one.add_argument("property", metavar="PROPERTY", help='as "uptake polar" or moisture')
    one.add_argument("values", metavar="VALUE", nargs="+", help="each repeat")
    one.add_argument("--lot", metavar="CODE", default="", help="the lot it was measured on")
    one.add_argument("--remark", metavar="TEXT", default="", help="a remark")
    one.add_argument(_DAY[0], metavar="D", default="", help=_DAY[1])


def _lot(one: ArgumentParser) -> None:
    _named(one)
    one.add_argument("code", metavar="CODE", help="of the lot; one that is there is changed")
    for name, told in _LOT.items():
        one.add_argument(f"--{name}", metavar="TEXT", help=told)


def _price(one: ArgumentParser) -> None:
    _named(one)
    one.add_argument("pack", metavar="PACK", help='what is in a pack, as "25 kg"')
    one.add_argument("amount", metavar="AMOUNT", help="what it cost, as 31.50")
    one.add_argument(
        "currency", metavar="CURRENCY", nargs="?", help="three letters; else that of last time"
    )
    one.add_argument("--supplier", metavar="TEXT", default="", help="who sells it")
    one.add_argument(_DAY[0], metavar="D", default="", help=_DAY[1])


def _stock(one: ArgumentParser) -> None:
    _named(one)
    one.add_argument("way", metavar="in|out|is", nargs="?", help="what came, went, or is there")
    one.add_argument("mass", metavar="MASS", nargs="?", help='as "25 kg"')
    one.add_argument("--lot", metavar="CODE", default="", help="of which lot")
    one.add_argument("--reason", metavar="TEXT", default="", help="why")
    one.add_argument(_DAY[0], metavar="D", default="", help=_DAY[1])


def _remove(one: ArgumentParser) -> None:
    _named(one)


def _restore(one: ArgumentParser) -> None:
    one.add_argument("name", metavar="NAME", help="of what was taken away")


def _export(one: ArgumentParser) -> None:
    one.add_argument("out", metavar="OUT", help="a new file, as shop.zip; a folder with --csv")
    one.add_argument("--csv", action="store_true", help="a table for each kind of thing kept")


def _import(one: ArgumentParser) -> None:
    one.add_argument("source", metavar="FILE", help="an export file, or a folder of CSV tables")
    one.add_argument(
        "--replace", action="store_true", help="put an export file in the place of what is here"
    )


def _verify(one: ArgumentParser) -> None:
    one.add_argument("--mend", action="store_true", help="keep a damaged file aside, begin anew")


_ACTIONS: Mapping[str, tuple[str, Callable[[ArgumentParser], None]]] = {
    "list": ("list what is kept", _list),
    "search": ("search your materials and the shipped ones", _search),
    "show": ("show all that is kept of a material, and where each number comes from", _show),
    "add": ("keep a new material, or a blend", _add),
    "copy": ("keep a new material that begins as another", _copy),
    "set": ("state a number or a word of a material", _set),
    "measure": ("keep what you measured", _measure),
    "lot": ("keep a lot, or change what is kept of it", _lot),
    "price": ("keep what a pack cost", _price),
    "stock": ("keep what came, went or is there; alone, tell it", _stock),
    "remove": ("take a material of yours away", _remove),
    "restore": ("bring a material back that was taken away", _restore),
    "export": ("write all that is kept, pantry and logbook, into one file or CSV tables", _export),
    "import": ("take an export file or CSV tables", _import),
    "verify": ("look through the file for damage", _verify),
}


def run(arguments: Namespace) -> int:
    """Carry out the action; return the exit code."""
    from designer.workshop import database

    try:
        return _carried_out(arguments)
    finally:
        database.close_all()


def _carried_out(arguments: Namespace) -> int:
    if arguments.action in ("list", "search", "show"):
        return _READ[arguments.action](_reading(), arguments)
    from designer.terminal import pantry_changes, pantry_files

    if arguments.action in pantry_files.ACTIONS:
        return pantry_files.ACTIONS[arguments.action](arguments)
    return pantry_changes.run(arguments)


def _reading() -> "Pantry":
    from designer import handbook
    from designer.workshop import Pantry

    return Pantry.reading(handbook.load())


def _print_list(pantry: "Pantry", arguments: Namespace) -> int:
    if arguments.word:
        return _print_found(pantry, arguments)
    from designer.wording.pantry import EMPTY

    owns = pantry.removed() if arguments.removed else pantry.materials()
    if arguments.json:
        layout.say(json.dumps([_short(pantry, own.kind, own.name) for own in owns], indent=1))
        return 0 if owns else 1
    if not owns:
        layout.say(layout.paragraph("Nothing was taken away." if arguments.removed else EMPTY))
        return 1
    from designer.wording.pantry import mass_words

    stocks, prices = pantry.stocks(), pantry.latest_prices()
    rows = [["name", "kind", "", "stock", "price a kg", "supplier"]]
    for own in owns:
        key = (own.kind, own.name)
        price = prices.get(key)
        stock = "none left" if stocks.get(key, 1) <= 0 else ""
        rows.append(
            [
                own.name,
                own.kind,
                "yours" if own.own else "shipped",
                stock or (mass_words(stocks[key]) if key in stocks else ""),
                f"{price.per_kilogram:.2f} {price.currency}" if price else "",
                own.supplier,
            ]
        )
    layout.say(layout.cut(layout.table(rows, "lllrrl")))
    return 0


def _short(pantry: "Pantry", kind: str, name: str) -> dict[str, object]:
    own = next((one for one in pantry.materials() if (one.kind, one.name) == (kind, name)), None)
    return {
        "name": name,
        "kind": kind,
        "own": bool(own and own.own),
        "supplier": own.supplier if own else "",
        "stock_kg": pantry.stocks().get((kind, name)),
    }


def _print_found(pantry: "Pantry", arguments: Namespace) -> int:
    from designer.handbook import kind_of

    words = " ".join(arguments.word)
    found = pantry.search(words)
    if arguments.json:
        layout.say(json.dumps([_short(pantry, kind_of(one), one.name) for one in found], indent=1))
        return 0 if found else 1
    if not found:
        layout.say(layout.paragraph(f'Nothing is called or does "{words}".'))
        return 1
    mine = {(own.kind, own.name) for own in pantry.materials() if own.own}
    rows = [["name", "kind", "", "INCI"]]
    for one in found:
        yours = "yours" if (kind_of(one), one.name) in mine else ""
        rows.append([one.name, kind_of(one), yours, one.inci])
    layout.say(layout.cut(layout.table(rows, "llll")))
    return 0


def _print_card(pantry: "Pantry", arguments: Namespace) -> int:
    if arguments.json:
        from designer.exchange.pantry import as_json

        layout.say(json.dumps(as_json(pantry, arguments.name, arguments.kind), indent=1))
        return 0
    from designer.wording.pantry import lot_lines, mass_words, price_words, remarks, value_rows

    one = pantry.material(arguments.name, arguments.kind)
    kept = pantry.own(one.name, arguments.kind)
    layout.say(layout.paragraph(f"{one.name} · {one.inci}"))
    layout.say(layout.table([list(row) for row in value_rows(pantry, one)], "lrl"))
    if kept is not None:
        if kept.shares:
            told = ", ".join(f"{100 * part.share:.4g} % {part.name}" for part in kept.shares)
            layout.say(layout.paragraph(f"blend: {told}", "  ", ""))
        for line in lot_lines(list(kept.lots), date.today()):
            layout.say(layout.paragraph(line, "  ", ""))
        for price in pantry.prices(one.name, kept.own.kind):
            layout.say(layout.paragraph(price_words(price), "  ", ""))
        stock = pantry.stock(one.name, kept.own.kind)
        layout.say("stock: " + ("not kept" if stock is None else mass_words(stock)))
        for word in (kept.own.supplier, kept.own.remark):
            if word:
                layout.say(layout.paragraph(word, "  ", ""))
    for line in remarks(pantry, one, date.today()):
        layout.say(layout.paragraph(line, "  ", "- "))
    return 0


_READ = {"list": _print_list, "search": _print_found, "show": _print_card}
