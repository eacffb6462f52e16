"""What the checks of a composition share: the bench, and names that are watched for."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from designer.evaluation.composition import Amount, Composition
from designer.evaluation.limits import stricter
from designer.handbook.law import Law, Watched

__all__ = ["OWN", "Bench", "Seen", "materials_of", "names_of", "total_of", "watched_for"]

OWN = "Own line; no source"

Seen: TypeAlias = tuple[str, Watched, tuple[str, ...]]
"""An INCI name, why it is watched, and the materials that bring it."""


@dataclass(frozen=True)
class Bench:
    """What the checks need to know of the work.

    Attributes
    ----------
    bath : Amount or None [°C]
        What the melt is heated to.
    dough : Amount or None [°C]
        As melt and powder meet.
    """

    bath: Amount | None = None
    dough: Amount | None = None


def watched_for(made: Composition, law: Law, kind: str) -> list[Seen]:
    """Return the INCI names in the bar that are watched for a thing, with their materials."""
    found = []
    for one in made.ingredients.values():
        if one.all.high > 0 and (row := law.watching(kind, one.inci)):
            found.append((one.inci, row, one.materials))
    return found


def names_of(found: Iterable[Seen]) -> str:
    """Return the names, joined."""
    return ", ".join(name for name, _, _ in found)


def materials_of(found: Iterable[Seen]) -> tuple[str, ...]:
    """Return the materials that bring them, each once."""
    return tuple(dict.fromkeys(name for _, _, materials in found for name in materials))


def total_of(made: Composition, names: Iterable[str]) -> Amount:
    """Return the sum of some INCI names, each on the basis that has more of it."""
    total = Amount()
    for name in names:
        total += stricter(made, name)
    return total
