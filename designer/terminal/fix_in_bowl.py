"""`bar-dough fix --in-bowl`: what to do with the dough that is in the bowl now."""

import json
import re
from argparse import Action, ArgumentParser, Namespace
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from designer.errors import ReadableError
from designer.terminal import layout, sources

if TYPE_CHECKING:
    from designer.advice.bowl import Answer
    from designer.advice.evidence import Finding
    from designer.handbook import Handbook

_STATES = "crumbly, stiff, pliable, sticky, slack"


class _OfTheBowl(Action):
    """An option that only makes sense in the bowl: giving it means the bowl."""

    def __call__(
        self,
        parser: ArgumentParser,
        namespace: Namespace,
        values: str | Sequence[Any] | None,
        option_string: str | None = None,
    ) -> None:
        namespace.in_bowl = True
        if self.dest == "at_hand":
            values = [*(namespace.at_hand or ()), values]
        setattr(namespace, self.dest, values)


def add_arguments(parser: ArgumentParser) -> None:
    """Add what is asked of a dough in the bowl; --batch is then the batch as really made."""
    # "-2min" and "-5g" are no options but figures to be refused by name.
    parser._negative_number_matcher = re.compile(r"-\d")
    bowl = parser.add_argument_group("the dough in the bowl")
    bowl.add_argument(
        "--in-bowl", action="store_true", help="what to do now: additions, kneading, cold, warmth"
    )
    for name, metavar, told in (
        ("--felt", "STATE", f"what the hands feel now: {_STATES}"),
        ("--age", "T", 'time since the pour, as "8min"'),
        ("--kneaded", "T", "how much of that it was kneaded; else all of it"),
        ("--temperature", "T", 'of the dough now, if measured, as "29C"'),
        ("--rod", "M", 'what an 8 mm rod reads on the scale, as "450g", instead of --felt'),
        ("--at-hand", "NAME", "a powder or liquid that could be added; may be given again"),
    ):
        bowl.add_argument(name, metavar=metavar, help=told, action=_OfTheBowl)


def run(arguments: Namespace) -> int:
    """Print the advice; return the exit code."""
    from designer.advice.bowl import advise, in_bowl
    from designer.workshop import shelf

    if arguments.wish != "clean":
        raise ReadableError(
            "--wish", "In the bowl the wish is a clean knead.", "Leave --wish out, or --in-bowl."
        )
    recipe = sources.opened(arguments)
    variant = sources.variant_index(recipe, arguments.variant)
    if arguments.age is None:
        raise ReadableError("--age", "The age of the dough is missing.", "Give it, as --age 8min.")
    age = _read(arguments.age, "age")
    question = in_bowl(
        recipe,
        variant,
        recipe.bench.batch_mass,
        age,
        _finding(arguments),
        None if arguments.kneaded is None else _read(arguments.kneaded, "kneaded"),
        None if arguments.temperature is None else _read(arguments.temperature, "temperature"),
        tuple(arguments.at_hand or ()),
    )
    book = shelf.handbook()
    answer = advise(question, book, sources.known(arguments))
    if arguments.write is not None:
        _write(answer, *arguments.write)
    if arguments.json:
        from designer.exchange.bowl import as_json

        layout.say(json.dumps(as_json(answer, book), ensure_ascii=True, indent=1))
    else:
        _print(answer, book)
    wanted = recipe.bench.wanted
    helps = any(one.move != "knead" or one.chance >= wanted for one in answer.advice)
    return 0 if helps else 1


def _read(typed: str, name: str) -> float:
    from designer.quantities import read

    return read(typed, name)


def _finding(arguments: Namespace) -> "Finding":
    from designer.advice.bowl import Felt, Rod

    if (arguments.felt is None) == (arguments.rod is None):
        raise ReadableError(
            "--felt",
            "What the dough is like is missing, or said twice.",
            f"Give --felt with one of {_STATES}, or --rod with the reading of the scale.",
        )
    if arguments.rod is not None:
        return Rod(_read(arguments.rod, "rod"))
    return Felt(arguments.felt.strip().lower())


def _write(answer: "Answer", path: str, number: str) -> None:
    """Write the recipe as made after an advice, all of it added, into a new file."""
    from designer.recipe import file

    if Path(sources.named(path)).exists():
        raise ReadableError(path, "There is already such a file.", "Name another one.")
    chosen = int(number) - 1 if number.isdecimal() else -1
    if not 0 <= chosen < len(answer.advice):
        raise ReadableError(
            "--write",
            f'There is no advice "{number[:20]}": the list has {len(answer.advice)}.',
            "Choose one of the list, or run it without --write to see it.",
        )
    made = answer.advice[chosen].made
    if made is None:
        raise ReadableError(
            "--write", "This advice adds nothing: the recipe stays.", "Choose an addition."
        )
    file.write(made.recipe, path)


def _print(answer: "Answer", book: "Handbook") -> None:
    from designer.wording.bowl import (
        cautions,
        chance_words,
        made_words,
        refused_words,
        standing,
        steps,
        title,
    )

    layout.say(layout.paragraph(standing(answer, book)))
    layout.say()
    for number, one in enumerate(answer.advice, 1):
        told = f"{': '.join(filter(None, (title(one), chance_words(one, answer))))}."
        layout.say(layout.paragraph(told, "   ", f"{number:>2} "))
        more = " ".join(filter(None, (steps(one, answer), made_words(one))))
        layout.say(layout.paragraph(more, "   "))
    notes = [*map(refused_words, answer.refused), *cautions(answer, book)]
    if notes:
        layout.say("\n" + "\n".join(layout.paragraph(note, "  ", "- ") for note in notes))
