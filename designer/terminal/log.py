"""`bar-dough log`: batches as they were made, what was felt and weighed, how bars were in use."""

import json
from argparse import ArgumentParser, Namespace
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from designer.errors import ReadableError
from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.recipe import Recipe
    from designer.workshop import Logbook
    from designer.workshop.batches import Batch, Seen, Used

HELP = "keep batches as they were made, and find and repeat them"
EXAMPLES = """examples:
  bar-dough log add oat_bar.toml --state "5 min=sticky" --state "9 min=pliable" --initials AB
  bar-dough log add oat_bar.toml --batch 100g --trial --rod "10 min=420 g" --lot "white clay=K-2"
  bar-dough log more "2026-11-28 no. 1" --weigh "1 d a=101.3 g" --thumb "1 d=faint dent"
  bar-dough log use "2026-11-28 no. 1" --soak "2 %" --per-wash "0.9 g" --lather 4 --sting none
  bar-dough log list clay pliable
  bar-dough log show "2026-11-28 no. 1"
  bar-dough log repeat "2026-11-28 no. 1" oat_bar_again.toml

A batch draws what it weighed in from the stock that the pantry keeps. Write down any undesirable
effect of a bar in use: the file of its assessment needs it.
"""


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    choices = parser.add_subparsers(dest="action", metavar="ACTION", title="actions", required=True)
    for name, (told, adds) in _ACTIONS.items():
        one = choices.add_parser(
            name, help=told, description=f"{told[0].upper()}{told[1:]}.", allow_abbrev=False
        )
        adds(one)


def _add(one: ArgumentParser) -> None:
    one.add_argument("file", metavar="FILE", help="the recipe file as it was made")
    one.add_argument("--variant", metavar="N", help="number of the variant; else the active one")
    one.add_argument(
        "--number", metavar="TEXT", default="", help="of the batch; else the day's next"
    )
    one.add_argument("--made", metavar="T", help='as "2026-11-28 14:30"; else now')
    one.add_argument("--batch", metavar="M", help="dough weighed in; else what the recipe states")
    one.add_argument("--bars", metavar="N", help="bars pressed")
    for name, told in (
        ("room", "room temperature"),
        ("humidity", "room humidity"),
        ("bath", "bath temperature"),
        ("liquids", "temperature of the liquids"),
        ("kneaded", "time kneaded"),
    ):
        one.add_argument(f"--{name}", metavar="T", help=f"{told}; else as the recipe has it")
    one.add_argument("--trial", action="store_true", help="a small batch by hand")
    one.add_argument("--initials", metavar="TEXT", default="", help="of who made it")
    one.add_argument(
        "--lot", metavar="NAME=CODE", action="append", help="the lot of an ingredient, as often"
    )
    one.add_argument("--no-stock", action="store_true", help="draw nothing from the stock")
    _seen(one)
    one.add_argument("--json", action="store_true", help="as JSON")


def _seen(one: ArgumentParser) -> None:
    for name, told in (
        ("state", 'what the hands feel, as "5 min=sticky"'),
        ("rod", 'rod on the scale, as "10 min=420 g"'),
        ("weigh", 'weight of a bar since pressing, as "1 d=101.3 g" or "1 d a=101.3 g" for bar a'),
        ("thumb", 'what the thumb leaves, as "1 d=faint dent"'),
        ("photo", "a picture; it is copied"),
    ):
        one.add_argument(f"--{name}", metavar="TEXT", action="append", help=told)
    one.add_argument("--notes", metavar="TEXT", default="", help="notes")


def _more(one: ArgumentParser) -> None:
    one.add_argument("number", metavar="NUMBER", help="of the batch")
    _seen(one)


def _use(one: ArgumentParser) -> None:
    one.add_argument("number", metavar="NUMBER", help="of the batch")
    one.add_argument("--soak", metavar="SHARE", help="weight lost a day after lying wet")
    one.add_argument("--per-wash", metavar="M", help='weight used per wash, as "0.9 g"')
    for name in ("lather", "wet-combing", "dry-combing"):
        one.add_argument(f"--{name}", metavar="1-5", help="1 poor to 5 good")
    one.add_argument("--sting", metavar="WORD", default="", help="none, slight or strong")
    one.add_argument("--note", metavar="TEXT", default="", help="a note")
    one.add_argument("--day", metavar="D", default="", help="else today")


def _list(one: ArgumentParser) -> None:
    one.add_argument("word", metavar="WORD", nargs="*", help="in name, notes, ingredients, lots")
    one.add_argument("--most", metavar="N", default="50", help="how many (default 50)")
    one.add_argument("--json", action="store_true", help="as JSON")


def _show(one: ArgumentParser) -> None:
    one.add_argument("number", metavar="NUMBER", help="of the batch")
    one.add_argument("--json", action="store_true", help="as JSON, with the recipe")


def _repeat(one: ArgumentParser) -> None:
    one.add_argument("number", metavar="NUMBER", help="of the batch")
    one.add_argument("out", metavar="OUT", help="a new recipe file")


def _remove(one: ArgumentParser) -> None:
    one.add_argument("number", metavar="NUMBER", help="of a batch written down by mistake")


_ACTIONS: Mapping[str, tuple[str, Callable[[ArgumentParser], None]]] = {
    "add": ("keep a batch as it was made", _add),
    "more": ("add what was felt, weighed or noted later", _more),
    "use": ("keep how a bar was in use", _use),
    "list": ("list or search the batches, the newest first", _list),
    "show": ("show all that is kept of a batch", _show),
    "repeat": ("write the exact recipe of a batch into a new file", _repeat),
    "remove": ("take a batch out; its stock goes back", _remove),
}


def run(arguments: Namespace) -> int:
    """Carry out the action; return the exit code."""
    from designer.workshop import database

    try:
        return _RUN[arguments.action](arguments)
    finally:
        database.close_all()


def _run_add(typed: Namespace) -> int:
    from designer import handbook
    from designer.workshop import Logbook, Pantry

    batch, pictures = _batch(typed), [Path(one) for one in typed.photo or ()]
    logbook = Logbook.opened()
    for picture in pictures:
        if not picture.is_file():
            raise ReadableError(
                str(picture), "There is no such photograph.", "Check the name and the folder."
            )
    with logbook.database.write():
        pantry = None if typed.no_stock else Pantry(logbook.database, handbook.load())
        kept = logbook.add(batch, pantry)
        for picture in pictures:
            kept = logbook.photograph(kept.number, picture)
    if typed.json:
        from designer.exchange.logbook import as_json

        layout.say(json.dumps(as_json(kept), indent=1))
        return 0
    layout.say(layout.paragraph(f'Batch "{kept.number}" is kept.'))
    return 0


def _batch(typed: Namespace) -> "Batch":
    """Return the batch that is typed in."""
    from designer.quantities import read
    from designer.recipe import file
    from designer.workshop.batches import Batch
    from designer.workshop.logbook import used_by

    recipe = file.read(sources.named(typed.file))
    variant = recipe.numbers[sources.variant_index(recipe, typed.variant)]
    bench = recipe.bench
    mass = read(typed.batch, "batch") if typed.batch is not None else bench.batch_mass
    stated: dict[str, Any] = {
        name: read(text, name) if (text := getattr(typed, name)) is not None else usual
        for name, usual in (
            ("room", bench.room),
            ("humidity", bench.humidity),
            ("bath", bench.bath),
            ("liquids", bench.liquids),
            ("kneaded", None),
        )
    }
    return Batch(
        number=typed.number,
        recipe=file.text(recipe),
        made=typed.made or f"{datetime.now():%Y-%m-%d %H:%M}",
        mass=mass,
        name=_title(recipe, variant),
        variant=variant,
        bars=_whole("--bars", typed.bars),
        trial=typed.trial,
        notes=typed.notes,
        initials=typed.initials,
        used=_with_lots(used_by(recipe, variant, mass), typed.lot or ()),
        seen=tuple(_seen_in(typed)),
        **stated,
    )


def _title(recipe: "Recipe", variant: str) -> str:
    title = recipe.variants[recipe.numbers.index(variant)].title
    return f"{recipe.name} {title}".strip()


def _whole(name: str, text: str | None) -> int | None:
    if text is None:
        return None
    if not (text.isascii() and text.isdecimal()):
        raise ReadableError(name, f'"{text[:40]}" is no whole number.', "Write it as 24.")
    return int(text[:12])


def _with_lots(
    used: tuple["Used", ...], typed: "list[str] | tuple[str, ...]"
) -> tuple["Used", ...]:
    """Return what went in with the lots that are named."""
    from designer.workshop.records import key_of

    for text in typed:
        name, _, code = text.rpartition("=")
        if key_of(name) not in [key_of(one.name) for one in used]:
            raise ReadableError(
                "--lot", f'"{name[:60]}" is not in this batch.', 'Write it as "white clay=K-2".'
            )
        used = tuple(
            replace(one, lot=code.strip()) if key_of(one.name) == key_of(name) else one
            for one in used
        )
    return used


def _seen_in(typed: Namespace) -> "list[Seen]":
    """Return what was felt and weighed."""
    from designer.quantities import read
    from designer.workshop.batches import Seen

    found = []
    for option, what in (
        ("state", "state"),
        ("rod", "rod"),
        ("weigh", "bar weight"),
        ("thumb", "thumb"),
    ):
        for text in getattr(typed, option) or ():
            when, sign, rest = text.partition("=")
            if not sign:
                example = {"state": "5 min=sticky", "rod": "10 min=420 g"}.get(option, "1 d=...")
                raise ReadableError(
                    f"--{option}", f'"{text[:40]}" has no time.', f'Write it as "{example}".'
                )
            age, bar = _age(when, option)
            if what in ("rod", "bar weight"):
                mass = read(rest, "rod" if what == "rod" else "net")
                found.append(Seen(what, age, mass, bar=bar))
            else:
                found.append(Seen(what, age, words=rest.strip(), bar=bar))
    return found


def _age(text: str, option: str) -> tuple[float, str]:
    """Return an age [s], and the mark of the bar behind it: "1 d a"."""
    from designer.quantities import read

    words, bar = text.split(), ""
    if option in ("weigh", "thumb") and len(words) > (1 if _has_unit(words[0]) else 2):
        bar = words.pop()
    return read(" ".join(words), "time"), bar


def _has_unit(word: str) -> bool:
    return word[-1:].isalpha()


def _run_more(typed: Namespace) -> int:
    from designer.workshop import Logbook

    seen = _seen_in(typed)
    if not (seen or typed.notes or typed.photo):
        raise ReadableError("log more", "Nothing to keep is given.", "Give --state, --weigh, ...")
    logbook = Logbook.opened()
    with logbook.database.write():
        for one in seen:
            logbook.saw(typed.number, one)
        if typed.notes:
            logbook.note(typed.number, typed.notes)
        for picture in typed.photo or ():
            logbook.photograph(typed.number, Path(picture))
    layout.say(layout.paragraph(f'Kept with batch "{logbook.batch(typed.number).number}".'))
    return 0


def _run_use(typed: Namespace) -> int:
    from designer.quantities import read
    from designer.wording.logbook import in_use
    from designer.workshop import Logbook
    from designer.workshop.batches import Washed

    washed: Washed = Washed(
        typed.day or date.today().isoformat(),
        None if typed.soak is None else read(typed.soak, "percent"),
        None if typed.per_wash is None else read(typed.per_wash, "mass"),
        _whole("--lather", typed.lather),
        _whole("--wet-combing", typed.wet_combing),
        _whole("--dry-combing", typed.dry_combing),
        typed.sting,
        typed.note,
    )
    if washed == Washed(washed.day):
        raise ReadableError("log use", "Nothing to keep is given.", "Give --soak, --lather, ...")
    kept = Logbook.opened().washed(typed.number, washed)
    layout.say(layout.paragraph(f"{kept.number}: {in_use(washed)}"))
    return 0


def _run_list(typed: Namespace) -> int:
    from designer.wording.logbook import EMPTY, facts
    from designer.workshop import Logbook

    logbook, most = Logbook.reading(), _whole("--most", typed.most) or 1
    words = " ".join(typed.word)
    found = logbook.search(words, most) if words else logbook.batches(most)
    if typed.json:
        from designer.exchange.logbook import as_json

        layout.say(json.dumps([as_json(one, with_recipe=False) for one in found], indent=1))
    elif not found:
        layout.say(layout.paragraph(f'No batch holds "{words}".' if len(logbook) else EMPTY))
    else:
        for one in found:
            layout.say(layout.cut(" · ".join([one.name, *facts(one)])))
    return 0 if found else 1


def _run_show(typed: Namespace) -> int:
    from designer.wording.logbook import facts, in_use, seen_words
    from designer.wording.pantry import mass_words

    logbook = _reading()
    one = logbook.batch(typed.number)
    if typed.json:
        from designer.exchange.logbook import as_json

        layout.say(json.dumps(as_json(one), indent=1))
        return 0
    layout.say(layout.facts([one.name, *facts(one)]))
    rows = [
        [used.name, mass_words(used.mass) if used.mass is not None else "", used.lot]
        for used in one.used
    ]
    if rows:
        layout.say(layout.table(rows, "lrl"))
    for seen in one.seen:
        layout.say(layout.paragraph(seen_words(seen), "    ", "  "))
    for washed in one.washed:
        layout.say(layout.paragraph(in_use(washed), "    ", "  in use "))
    for picture in one.photographs:
        try:
            layout.say(f"  photograph {logbook.where(picture)}")
        except ReadableError as error:
            layout.say(layout.paragraph(str(error), "    ", "  "))
    for line in one.notes.split("\n"):
        if line:
            layout.say(layout.paragraph(line, "  "))
    return 0


def _reading() -> "Logbook":
    from designer.workshop import Logbook

    return Logbook.reading()


def _run_repeat(typed: Namespace) -> int:
    from designer.recipe.saving import save

    out = Path(sources.named(typed.out))
    if out.exists():
        raise ReadableError(str(out), "There is already such a file.", "Name another one.")
    batch = _reading().batch(typed.number)
    save(out, batch.recipe.encode())
    layout.say(layout.paragraph(f"The recipe of batch {batch.number} is written to {out}."))
    layout.say(layout.paragraph(f"It was variant {batch.variant}: bar-dough check {out}"))
    return 0


def _run_remove(typed: Namespace) -> int:
    from designer.workshop import Logbook

    gone = Logbook.opened().remove(typed.number)
    layout.say(layout.paragraph(f"Batch {gone.number} is taken out; its stock is back."))
    return 0


_RUN = {
    "add": _run_add,
    "more": _run_more,
    "use": _run_use,
    "list": _run_list,
    "show": _run_show,
    "repeat": _run_repeat,
    "remove": _run_remove,
}
