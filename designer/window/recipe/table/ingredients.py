"""Ingredients by what is typed: completion, and the row that a name makes. No widgets."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from designer.recipe import Row
from designer.window.recipe.table.edits import CLASS_IN_PHASE

if TYPE_CHECKING:
    from designer.handbook import Handbook, Material

__all__ = [
    "MOST",
    "any_phase",
    "completions",
    "described",
    "is_known",
    "material_named",
    "row_named",
    "usual_phase",
]

MOST = 40
"""Entries offered at most: more are no choice."""


def completions(handbook: Handbook, typed: str, kind: str) -> tuple[list[Material], bool]:
    """Return the materials that hold every typed word, best first, and whether there are any.

    Of equal matches the grade that usual recipes use comes first, then those of a kind. Without a
    match they are the names closest to a misspelt one.
    """
    words = typed.casefold().split()
    if not words:
        return [], False
    found = handbook.search(typed)
    if found:
        whole, usual = " ".join(words), _usual(handbook)
        return sorted(found, key=lambda one: _rank(one, whole, words, kind, usual))[:MOST], True
    close = (any_phase(handbook, name) for name in handbook.suggest(typed[:80]))
    return [one for one in close if one is not None], False


def _rank(
    material: Material, whole: str, words: list[str], kind: str, usual: frozenset[tuple[str, str]]
) -> tuple[int, bool, bool, int, str]:
    """Return what puts the best first: as typed, beginning so, words in the name, in the INCI."""
    from designer.handbook import kind_of

    name, inci = material.name.casefold(), material.inci.casefold()
    if whole in (name, inci):
        place = 0
    elif name.startswith(whole) or inci.startswith(whole):
        place = 1
    elif all(f" {word}" in f" {name}" for word in words):
        place = 2
    elif all(f" {word}" in f" {inci}" for word in words):
        place = 3
    else:
        place = 4 if all(word in name + inci for word in words) else 5
    own = kind_of(material)
    return place, (own, name) not in usual, own != kind, len(name), name


@lru_cache(maxsize=4)
def _usual(handbook: Handbook) -> frozenset[tuple[str, str]]:
    """Return the materials of the usual recipes, as kind and name in small letters."""
    from designer.handbook import kind_of

    rows = {(phase, name) for recipe in handbook.practice for phase, name, _ in recipe}
    found = (handbook.find(name, phase) for phase, name in rows)
    return frozenset((kind_of(one), one.name.casefold()) for one in found if one is not None)


def material_named(handbook: Handbook, name: str, phase: str) -> Material | None:
    """Return the one material that a common or INCI name means, None if it means none or several.

    Where two tables hold it, that of a phase is taken.
    """
    same, found = " ".join(name.casefold().split()), handbook.search(name)
    meant = {one.name for one in found if one.name.casefold() == same} or {
        one.name for one in found if one.inci.casefold() == same
    }
    return handbook.find(meant.pop(), phase) if len(meant) == 1 else None


@lru_cache(maxsize=2048)
def any_phase(handbook: Handbook, name: str) -> Material | None:
    """Return the material of a common or INCI name, in whichever phase it usually stands."""
    return handbook.find(name, "powder") or handbook.find(name, "melt")


@lru_cache(maxsize=2048)
def is_known(handbook: Handbook, name: str, phase: str, inci: str | None) -> bool:
    """Return whether the handbook knows a row by its name or its INCI name."""
    return handbook.find(name, phase) is not None or bool(inci and handbook.find(inci, phase))


def usual_phase(material: Material) -> str:
    """Return the phase in which a material is usually added."""
    from designer.handbook import Melt, Powder

    if isinstance(material, Powder):
        return "powder"
    if isinstance(material, Melt):
        return "melt"
    return "last" if material.material_class in ("preservative", "scent") else "liquid"


def row_named(handbook: Handbook, name: str, phase: str) -> Row:
    """Return a row of a phase, without figures, for a typed name, known or not.

    Raises
    ------
    ReadableError
        The name cannot stand in a recipe.
    """
    name = " ".join(name.split())
    found = handbook.find(name, phase)
    if found is None:
        return Row(phase, name, given_class=CLASS_IN_PHASE[phase])
    return Row(phase, found.name, inci=found.inci or None)


def described(material: Material) -> str:
    """Return kind and class of a material in words: "liquid, humectant"."""
    from designer.handbook import kind_of

    kind = kind_of(material)
    told = material.material_class.replace("_", " ")
    return kind if told == kind else f"{kind}, {told}"
