"""Stores filled as after many years."""

from dataclasses import replace

from shop import RECIPE

from designer.workshop import properties
from designer.workshop.batches import Batch, Used
from designer.workshop.records import insert
from designer.workshop.values import Own, Value

WORDS = ("oat", "clay", "rye", "mint", "rose", "hemp", "salt", "silk", "nettle", "honey")


def fill_pantry(pantry, count):
    """Keep so many copies of shipped powders, each with a measurement."""
    bases = sorted(pantry.book.powders)
    uptake = properties.named("uptake polar", "powder").column
    with pantry.database.write():
        for number in range(count):
            base = bases[number % len(bases)]
            name = f"{base}, {WORDS[number % 10]} mill {number}"
            kept = insert(
                pantry.database,
                Own("powder", name, True, base, supplier=f"Mill {number % 40}", made="2026-01-01"),
            )
            value = pantry.book.powders[base].uptake_polar
            insert(pantry.database, Value(kept, uptake, value, "measured", "2026-01-02"))


def fill_logbook(logbook, count):
    """Write down so many batches of two hundred recipes."""
    with logbook.database.write():
        for number in range(count):
            word, other = WORDS[number % 10], WORDS[number // 10 % 10]
            batch = Batch(
                f"{number}",
                RECIPE.replace("clay bar", f"{word} bar {number % 200}"),
                f"{2000 + number % 26}-{1 + number % 12:02d}-{1 + number % 28:02d} 10:00",
                0.5,
                name=f"{word} and {other} bar",
                notes=f"{word} {number} came clean after {number % 17} minutes, {other} " * 5,
                initials="AB",
                used=(Used("white clay", "powder", f"K-{number % 97}", 0.03),),
            )
            logbook.add(replace(batch, number=f"no. {number}"))
