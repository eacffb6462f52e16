"""What can stand in a logbook: each fault is one sentence."""

from dataclasses import replace
from datetime import date

from designer.errors import ReadableError
from designer.quantities import allowed, written
from designer.recipe import file
from designer.vocabulary import QUANTITIES, STATES
from designer.workshop import checks
from designer.workshop.batches import STINGS, WHAT, Batch, Photograph, Seen, Used, Washed
from designer.workshop.places import inside, photographs

__all__ = ["checked", "checked_seen", "checked_used", "checked_washed"]

_LONGEST_AGE = 10 * 366 * 86400.0
_LONGEST_RECIPE = 500_000


def checked(batch: Batch, today: date) -> Batch:
    """Return a batch that can have been, its lines tidied, or raise a ReadableError."""
    title = f"Batch {batch.number[:40]}"
    checks.check_line("Batch, number", batch.number, required=True)
    checks.check_moment(f"{title}, made", batch.made, today)
    _check_quantity(title, "batch", batch.mass)
    for name in ("room", "humidity", "bath", "liquids"):
        _check_quantity(title, name, getattr(batch, name))
    _check_quantity(title, "kneaded", batch.kneaded)
    if batch.bars is not None and not 0 <= batch.bars <= 100_000:
        raise ReadableError(title, f"{batch.bars} bars cannot be made.", "Give 0 to 100000 bars.")
    _check_recipe(batch, title)
    return replace(
        batch,
        number=" ".join(batch.number.split()),
        notes=checks.check_text(f"{title}, notes", batch.notes),
        used=tuple(checked_used(one) for one in batch.used),
        seen=tuple(checked_seen(one) for one in batch.seen),
        photographs=tuple(_checked_photograph(one) for one in batch.photographs),
        washed=tuple(checked_washed(one, today) for one in batch.washed),
        name=checks.check_line(f"{title}, name", batch.name),
        initials=checks.check_line(f"{title}, initials", batch.initials),
    )


def _check_recipe(batch: Batch, title: str) -> None:
    if len(batch.recipe) > _LONGEST_RECIPE:
        raise ReadableError(title, "The recipe is too long.", "Shorten its notes.")
    recipe = file.parse(batch.recipe, f"{title}, recipe")
    if batch.variant not in recipe.numbers:
        raise ReadableError(
            f"{title}, variant",
            f'The recipe has no variant "{batch.variant[:20]}".',
            f"Choose {' or '.join(recipe.numbers)}.",
        )


def _check_quantity(title: str, name: str, value: float | None) -> None:
    quantity = QUANTITIES[name]
    if value is not None and not quantity.low <= value <= quantity.high:
        told = written(value, name) if value == value else "That"
        raise ReadableError(
            f"{title}, {quantity.words}",
            f"{told} is outside what is possible here.",
            f"Keep to {allowed(name)}.",
        )


def checked_used(used: Used) -> Used:
    """Return what can have gone in."""
    title = f"Used, {used.name[:40]}"
    if used.mass is not None:
        checks.check_mass(title, used.mass, 0.0)
    name = checks.check_line("Used", used.name, required=True)
    kind = checks.check_one_of(title, used.kind, ("", "powder", "liquid", "melt"))
    return replace(used, name=name, kind=kind, lot=checks.check_line(f"{title}, lot", used.lot))


def checked_seen(seen: Seen) -> Seen:
    """Return what can have been felt or weighed."""
    checks.check_one_of("Seen", seen.what, WHAT)
    title = seen.what.capitalize()
    checks.check_number(f"{title}, age", seen.age, 0.0, _LONGEST_AGE, "s")
    words = checks.check_line(title, seen.words, required=seen.what in ("state", "thumb"))
    if seen.what == "state":
        checks.check_one_of(title, words, STATES)
    if seen.what in ("rod", "bar weight"):
        if seen.value is None:
            raise ReadableError(title, "Its weight is missing.", "Give it in g.")
        checks.check_mass(title, seen.value, 1e-4, 100.0)
    elif seen.value is not None:
        raise ReadableError(title, "It has no weight.", "Leave the weight out.")
    return replace(seen, words=words, bar=checks.check_line(f"{title}, bar", seen.bar))


def _checked_photograph(one: Photograph) -> Photograph:
    inside(photographs(), one.file)
    return replace(one, caption=checks.check_line("Caption", one.caption))


def checked_washed(washed: Washed, today: date) -> Washed:
    """Return how a bar can have been in use."""
    checks.check_day("In use, day", washed.day, today)
    if washed.soak_loss is not None:
        checks.check_number("In use, soak loss", washed.soak_loss, 0.0, 1.0)
    if washed.per_wash is not None:
        checks.check_mass("In use, per wash", washed.per_wash, 0.0, 0.1)
    for name in ("lather", "wet_combing", "dry_combing"):
        rating = getattr(washed, name)
        if rating is not None and rating not in (1, 2, 3, 4, 5):
            raise ReadableError(
                f"In use, {name.replace('_', ' ')}",
                f"{rating} is not a rating.",
                "Give 1, poor, to 5, good.",
            )
    sting = checks.check_one_of("In use, sting", washed.sting, STINGS)
    return replace(washed, sting=sting, note=checks.check_text("In use, note", washed.note))
