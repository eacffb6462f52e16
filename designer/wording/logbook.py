"""What is said of a batch that was made."""

from designer.quantities import written
from designer.wording.pantry import mass_words
from designer.workshop.batches import Batch, Seen, Washed

__all__ = ["EMPTY", "age_words", "facts", "in_use", "seen_words"]

EMPTY = "No batch is written down yet. Write one down: bar-dough log add my_bar.toml"

UNDESIRED = "Stinging or redness: stop using it, write it down, and have the formula looked at."


def age_words(seconds: float) -> str:
    """Return an age in the unit that suits it."""
    for unit, size in (("d", 86400.0), ("h", 3600.0), ("min", 60.0)):
        if seconds >= 2 * size or (unit != "h" and seconds >= size):
            return f"{seconds / size:.4g} {unit}"
    return f"{seconds:.4g} s"


def facts(batch: Batch) -> list[str]:
    """Return the facts of a batch for one line."""
    found = [batch.number, batch.made, mass_words(batch.mass)]
    found += [f"{batch.bars} bars"] if batch.bars is not None else []
    found += ["trial"] if batch.trial else []
    if batch.room is not None:
        humidity = f" {written(batch.humidity, 'humidity')}" if batch.humidity is not None else ""
        found.append(f"room {written(batch.room, 'room')}{humidity}")
    found += [batch.initials] if batch.initials else []
    return found


def seen_words(seen: Seen) -> str:
    """Return what was felt or weighed, and when."""
    age = age_words(seen.age)
    if seen.what == "state":
        return f"at {age}: {seen.words}"
    if seen.what == "rod":
        return f"at {age}: rod {written(seen.value or 0.0, 'rod')}"
    bar = f"bar {seen.bar} " if seen.bar else "bar "
    if seen.what == "bar weight":
        return f"after {age}: {bar}{written(seen.value or 0.0, 'mass')}"
    return f"after {age}: thumb, {seen.words}"


def in_use(washed: Washed) -> str:
    """Return how a bar was in use."""
    found = [washed.day]
    if washed.soak_loss is not None:
        found.append(f"lost {100 * washed.soak_loss:.3g} % a day after lying wet")
    if washed.per_wash is not None:
        found.append(f"{1000 * washed.per_wash:.3g} g per wash")
    for name in ("lather", "wet_combing", "dry_combing"):
        if (rating := getattr(washed, name)) is not None:
            found.append(f"{name.replace('_', ' ')} {rating} of 5")
    if washed.sting:
        found.append("no sting" if washed.sting == "none" else f"sting {washed.sting}")
    if washed.note:
        found.append(washed.note)
    told = " · ".join(found)
    return f"{told}. {UNDESIRED}" if washed.sting in ("slight", "strong") else told
