"""A recipe as the dough model sees it: shares of powders, liquids and melt, per variant."""

from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np

from designer.errors import ReadableError
from designer.handbook import Handbook, Liquid, Material, Melt, Powder, kind_of
from designer.recipe import Amounts, Recipe, Row
from designer.vocabulary import Floats

M = TypeVar("M", Powder, Liquid, Melt)


@dataclass(frozen=True, eq=False)
class Mixture:
    """Mass shares of every variant over one list of materials.

    Attributes
    ----------
    powders, liquids, melts : tuples of materials
        Each once, however many rows name it.
    powder_shares, liquid_shares, melt_shares : arrays (variants, materials) [1]
        Mass per mass of dough.
    place : tuple of (kind, index), one per row of the recipe
        Where the row's material stands: kind is "powder", "liquid" or "melt".
    unknown : tuple of str
        Names of rows that the handbook does not know; stand-ins with wide uncertainty serve.
    unheated : tuple of str
        Melt materials that stand outside phase melt.
    """

    powders: tuple[Powder, ...]
    liquids: tuple[Liquid, ...]
    melts: tuple[Melt, ...]
    powder_shares: Floats
    liquid_shares: Floats
    melt_shares: Floats
    place: tuple[tuple[str, int], ...]
    unknown: tuple[str, ...]
    unheated: tuple[str, ...]

    @property
    def melt_fraction(self) -> Floats:
        """Mass of melt per mass of dough (variants,)."""
        fraction: Floats = self.melt_shares.sum(axis=1)
        return fraction

    @property
    def liquid_to_powder(self) -> Floats:
        """Unheated liquids over all powders (variants,) [g/g]; infinite without powder."""
        powder = self.powder_shares.sum(axis=1)
        liquid = self.liquid_shares.sum(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio: Floats = np.where(powder > 0, liquid / powder, np.inf)
        return ratio

    def with_shares(self, shares: Floats) -> "Mixture":
        """Return a mixture of the same materials with other shares (points, rows) of the rows."""
        found = {
            "powder": np.zeros((len(shares), len(self.powders))),
            "liquid": np.zeros((len(shares), len(self.liquids))),
            "melt": np.zeros((len(shares), len(self.melts))),
        }
        for row, (kind, index) in enumerate(self.place):
            found[kind][:, index] += shares[:, row]
        return replace(
            self,
            powder_shares=found["powder"],
            liquid_shares=found["liquid"],
            melt_shares=found["melt"],
        )

    def alone(self, variant: int) -> "Mixture":
        """Return one variant as a mixture: only what is in it, sorted by name, without places.

        Sums over it are the same to the last bit whatever other variants and rows there are.
        """
        powders, powder_shares = _present(self.powders, self.powder_shares[variant])
        liquids, liquid_shares = _present(self.liquids, self.liquid_shares[variant])
        melts, melt_shares = _present(self.melts, self.melt_shares[variant])
        present: tuple[Material, ...] = (*powders, *liquids, *melts)
        names = {one.name for one in present}
        unknown = tuple(sorted(names.intersection(self.unknown)))
        return Mixture(
            powders, liquids, melts, powder_shares, liquid_shares, melt_shares, (), unknown, ()
        )

    def solids_and_liquids(self, variant: int) -> list[tuple[Powder | Liquid, float]]:
        """Return powders, then liquids, each with its share in a variant."""
        powders = zip(self.powders, self.powder_shares[variant].tolist(), strict=True)
        liquids = zip(self.liquids, self.liquid_shares[variant].tolist(), strict=True)
        return [*powders, *liquids]


def _present(materials: tuple[M, ...], shares: Floats) -> tuple[tuple[M, ...], Floats]:
    """Return the materials in a dough, sorted by name, and their shares (1, materials)."""
    pairs = zip(materials, shares.tolist(), strict=True)
    found = sorted((pair for pair in pairs if pair[1] > 0), key=lambda pair: pair[0].name)
    return tuple(one for one, _ in found), np.array([[share for _, share in found]], dtype=float)


def mix(recipe: Recipe, amounts: Amounts, handbook: Handbook) -> Mixture:
    """Return the mixture of all variants of a recipe.

    Raises
    ------
    ReadableError
        A row names a material that is not in the handbook and gives no class.
    """
    materials: dict[str, list[Material]] = {"powder": [], "liquid": [], "melt": []}
    columns: dict[str, list[Floats]] = {"powder": [], "liquid": [], "melt": []}
    known_at: dict[tuple[str, str], int] = {}
    place, unknown, unheated = [], [], []
    for number, row in enumerate(recipe.rows):
        material, known = _material(row, number, handbook)
        kind = kind_of(material)
        if not known:
            unknown.append(row.name)
        if kind == "melt" and row.phase != "melt":
            unheated.append(row.name)
        share = amounts.shares[:, number]
        index = known_at.setdefault((kind, material.name), len(materials[kind]))
        if index == len(materials[kind]):
            materials[kind].append(material)
            columns[kind].append(np.array(share, dtype=float))
        else:
            columns[kind][index] = columns[kind][index] + share
        place.append((kind, index))
    shares = {
        kind: np.stack(column, axis=1) if column else np.zeros((len(amounts.shares), 0))
        for kind, column in columns.items()
    }
    return Mixture(
        tuple(m for m in materials["powder"] if isinstance(m, Powder)),
        tuple(m for m in materials["liquid"] if isinstance(m, Liquid)),
        tuple(m for m in materials["melt"] if isinstance(m, Melt)),
        shares["powder"],
        shares["liquid"],
        shares["melt"],
        tuple(place),
        tuple(dict.fromkeys(unknown)),
        tuple(dict.fromkeys(unheated)),
    )


def _material(row: Row, number: int, handbook: Handbook) -> tuple[Material, bool]:
    """Return what a row is to the model, and whether the handbook knows it."""
    found = handbook.find(row.name, row.phase)
    # What its maker took away is missed, whoever else has its INCI name.
    if found is None and row.inci and not handbook.gone(row.name):
        found = handbook.find(row.inci, row.phase)
    if found is not None:
        if row.phase == "melt" and isinstance(found, Liquid) and found.material_class == "oil":
            return Melt.from_oil(found), True
        return found, True
    kind = row.given_class or handbook.gone(row.name)
    if not kind:
        raise ReadableError(
            f'Row {number + 1}, "{row.name}"',
            "This ingredient is not in the handbook.",
            _advice(row.name, handbook),
        )
    return handbook.unknown(kind, row.name, row.inci or ""), False


def _advice(name: str, handbook: Handbook) -> str:
    close = handbook.suggest(name)
    hint = f"Did you mean {' or '.join(close[:3])}? Otherwise give" if close else "Give"
    return f'{hint} it a class in the file: class = "powder", "liquid" or "melt".'
