"""Which ingredients could stand in for one: its peers by role, the closest first."""

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np

from designer.advice.fats import fat_model
from designer.errors import ReadableError
from designer.handbook import Handbook, Liquid, Material, Melt, Powder, Role, kind_of
from designer.handbook.tables import plain
from designer.quantities import QS
from designer.recipe import Recipe

__all__ = ["DOSED", "Peer", "distance", "named", "peers", "role_of", "row_named"]

DOSED = frozenset(
    {
        "preservative",
        "scent",
        "colour",
        "active",
        "chelant",
        "antioxidant",
        "acidity regulator",
        "solubiliser",
    }
)
"""Roles that go in by their own dose, which no dough decides."""

_CLOSE = 0.7
"""How alike a typed name is to one that may be meant, after difflib; own choice."""

_LONG_WORD = 6
"""Letters of a word in an INCI name by which an ingredient may be meant; own choice."""

_POWDER = {"uptake_polar": 0.3, "uptake_oil": 0.3}
_SHARES = {
    "active_fraction": 0.15,
    "water_fraction": 0.15,
    "glycol_fraction": 0.15,
    "oil_fraction": 0.15,
    "salt_fraction": 0.1,
    "solubility": 0.3,
    "tack_weight": 0.25,
}
"""Differences that count 1 each, of ln and as such; own estimate."""

_OTHER_FIRST_ROLE, _OTHER_ROLES, _OTHER_CLASS, _OTHER_KIND, _OTHER_CHARGE = 1.0, 1.5, 1.0, 2.0, 1.5


_CATIONIC = "conditioner cationic"

_SOLUBLE = 0.5
"""Solubility from which a powder is better dissolved first; own choice."""


@dataclass(frozen=True, eq=False)
class Peer:
    """An ingredient that could stand in.

    Attributes
    ----------
    material : Material
    phase : str
        Where it would go in.
    closeness : float
        Distance from the old one; for two fats D, see `fats.FatModel.distance`.
    shares_role : bool
    """

    material: Material
    phase: str
    closeness: float
    shares_role: bool


def row_named(recipe: Recipe, number: str, typed: str, handbook: Handbook) -> int:
    """Return the index of the row a person means by a name, an INCI name or a part of one.

    Raises
    ------
    ReadableError
        No row or several are meant, or the row is at 0 %, q.s. at 0, or held in the variant.
    """
    key = plain(typed)
    names = [(plain(row.name), plain(row.inci or "")) for row in recipe.rows]
    exact = [index for index, pair in enumerate(names) if key and key in pair]
    part = [index for index, pair in enumerate(names) if key and any(key in one for one in pair)]
    filled = [index for index in exact or part if recipe.rows[index].percents.get(number)]
    found = filled or exact or part
    if not found:
        raise ReadableError(
            "Ingredient", f'"{typed[:60]}" is in no row of the recipe.', _rows_meant(recipe, key)
        )
    if len({names[index][0] for index in found}) > 1:
        several = _told([recipe.rows[index].name for index in found], 6)
        raise ReadableError(
            "Ingredient", f'"{typed[:60]}" may be {several}.', "Write the name in full."
        )
    return found[0]


def _rows_meant(recipe: Recipe, key: str) -> str:
    """Return what to type instead of a name that no row has."""
    if not recipe.rows:
        return "Add a row first."
    near: dict[str, str] = {}
    for row in recipe.rows:
        # A word of a long name may be what was mistyped.
        words = row.name.replace(",", " ").split()
        words += [one for one in (row.inci or "").split() if len(one) >= _LONG_WORD]
        for one in (row.name, row.inci or "", *words):
            near.setdefault(plain(one), row.name)
    close = get_close_matches(key, near, 6, _CLOSE)
    if close:
        return f"Did you mean {' or '.join(list(dict.fromkeys(map(near.__getitem__, close)))[:3])}?"
    return f"Choose one of its rows: {_told([row.name for row in recipe.rows], 12)}."


def _told(names: list[str], most: int) -> str:
    """Return names in a row, and how many there are beyond those told."""
    told = ", ".join(names[:most])
    return f"{told} and {len(names) - most} more" if len(names) > most else told


def check_row(recipe: Recipe, number: str, row: int, percent: float) -> None:
    """Raise unless a row of a variant can be swapped; `percent` is what it holds there."""
    one = recipe.rows[row]
    if number in one.held:
        raise ReadableError(
            one.name,
            f"This row is held in variant {number}: no change may move it.",
            "Release it, or choose another row.",
        )
    if percent <= 0:
        is_fill = one.percents.get(number) is QS
        raise ReadableError(
            one.name,
            f"It is at 0 % in variant {number}{', as nothing is left to fill' * is_fill}: "
            "there is nothing to swap.",
            "Give it a percent, or choose another row or variant.",
        )


def role_of(material: Material, handbook: Handbook) -> Role | None:
    """Return what a material is for; None where the tables do not know it."""
    kinds = (kind_of(material), "liquid") if isinstance(material, Melt) else (kind_of(material),)
    return next((r for k in kinds if (r := handbook.roles.get((k, material.name)))), None)


def peers(material: Material, phase: str, handbook: Handbook, most: int) -> list[Peer]:
    """Return the peers of a material that stands in a phase, the closest first.

    Raises
    ------
    ReadableError
        The tables do not know what the material is for.
    """
    role = role_of(material, handbook)
    if role is None:
        raise ReadableError(
            material.name,
            "It is not in the tables, so that nobody knows what it is for.",
            'Choose another row. In a terminal, "--for" names a stand-in.',
        )
    found = []
    for other, own in _candidates(material, handbook):
        common = set(role.roles) & set(own.roles)
        if not common or other.name == material.name:
            continue
        # Nothing else does what a cationic does to hair, however alike the dough.
        if _CATIONIC in role.roles and _CATIONIC not in own.roles:
            continue
        far = distance(material, other, handbook)
        first = role.roles[0] != own.roles[0]
        unlike = 1 - len(common) / len(set(role.roles) | set(own.roles))
        rank = far + _OTHER_FIRST_ROLE * first + _OTHER_ROLES * unlike
        found.append((rank, other.name, Peer(other, _phase(other, material, phase), far, True)))
    return [one for _, _, one in sorted(found, key=lambda each: each[:2])[:most]]


def named(typed: str, material: Material, phase: str, handbook: Handbook) -> Peer:
    """Return the stand-in a person names, whatever its role.

    Raises
    ------
    ReadableError
        The tables do not hold it, or it is the material itself.
    """
    found = handbook.find(typed, phase)
    if found is None:
        close = handbook.suggest(typed)
        hint = f"Did you mean {' or '.join(close[:3])}?" if close else ""
        raise ReadableError(
            "Stand-in",
            f'"{typed[:60]}" is not in the tables.',
            hint or "See the names with bar-dough materials WORD.",
        )
    if phase == "melt" and isinstance(found, Liquid) and found.material_class == "oil":
        found = Melt.from_oil(found)
    if found.name == material.name:
        raise ReadableError("Stand-in", f"{found.name} is what goes out.", "Name another one.")
    old, new = role_of(material, handbook), role_of(found, handbook)
    shares = old is not None and new is not None and bool(set(old.roles) & set(new.roles))
    far = distance(material, found, handbook)
    return Peer(found, _phase(found, material, phase), far, shares)


def distance(one: Material, other: Material, handbook: Handbook) -> float:
    """Return how unlike two materials are, 0 for twins; of two fats it is D."""
    if isinstance(one, Melt) and isinstance(other, Melt):
        return fat_model(handbook).distance(one, other)
    gaps = [
        (getattr(one, name, 0.0) - getattr(other, name, 0.0)) / scale
        for name, scale in _SHARES.items()
    ]
    if isinstance(one, Powder) and isinstance(other, Powder):
        gaps += [
            np.log(getattr(one, name) / getattr(other, name)) / scale
            for name, scale in _POWDER.items()
        ]
    far = float(np.sqrt(np.sum(np.square(gaps))))
    far += _OTHER_CLASS * (one.material_class != other.material_class)
    far += _OTHER_KIND * (kind_of(one) != kind_of(other))
    charges = (getattr(one, "surfactant_charge", ""), getattr(other, "surfactant_charge", ""))
    return far + _OTHER_CHARGE * (charges[0] != charges[1])


def _candidates(material: Material, handbook: Handbook) -> Iterator[tuple[Material, Role]]:
    """Yield what could go in in the same way: melted for melted, cold for cold."""
    if isinstance(material, Melt):
        for melt in handbook.melts.values():
            yield melt, handbook.roles["melt", melt.name]
        for liquid in handbook.liquids.values():
            if liquid.material_class == "oil" and liquid.name not in handbook.melts:
                yield Melt.from_oil(liquid), handbook.roles["liquid", liquid.name]
        return
    for powder in handbook.powders.values():
        yield powder, handbook.roles["powder", powder.name]
    for liquid in handbook.liquids.values():
        yield liquid, handbook.roles["liquid", liquid.name]


def _phase(peer: Material, old: Material, phase: str) -> str:
    """Return the phase a stand-in goes into: the old one's where it is of the same kind."""
    if kind_of(peer) == kind_of(old):
        return phase
    # What dissolves goes into the liquids, as the one before it was in them.
    is_soluble = isinstance(peer, Powder) and peer.solubility >= _SOLUBLE
    return "liquid" if is_soluble else kind_of(peer)
