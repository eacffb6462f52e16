"""What a pantry holds, for whoever only asks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from designer.errors import ReadableError
from designer.handbook import kind_of
from designer.workshop import database
from designer.workshop.overlay import Kept, OwnHandbook, laid_over
from designer.workshop.records import key_of, select
from designer.workshop.values import Ingredient, Lot, Own, Share, Value

if TYPE_CHECKING:
    from typing import Self

    from designer.handbook import Handbook, Material

__all__ = ["PantryReading"]


class PantryReading:
    """Materials, measurements, lots, prices and stock in the stores.

    Parameters
    ----------
    stores : Database
    book : Handbook
        The shipped tables.
    today : callable
        Tells the day.
    """

    def __init__(
        self,
        stores: database.Database,
        book: Handbook,
        today: Callable[[], date] = date.today,
    ) -> None:
        self.database, self.book, self._today = stores, book, today
        self._laid: tuple[object, OwnHandbook] | None = None

    @classmethod
    def opened(cls, book: Handbook, folder: Path | None = None) -> Self:
        """Return the pantry in the maker's folder, made if it is not there."""
        return cls(database.opened(folder), book)

    @classmethod
    def reading(cls, book: Handbook, folder: Path | None = None) -> Self:
        """Return the pantry in the maker's folder, an empty one where nothing was kept."""
        there = database.is_there(folder)
        return cls(database.opened(folder) if there else database.Database(None), book)

    def handbook(self) -> OwnHandbook:
        """Return the shipped handbook with all that is kept laid over it.

        It is one object as long as nothing changes, as evaluations remember by it.
        """
        stamp = self.database.stamp()
        if self._laid is None or self._laid[0] != stamp:
            self._laid = (stamp, laid_over(self.book, self.kept()))
        return self._laid[1]

    def kept(self) -> tuple[Kept, ...]:
        """Return all that is kept, by material: of shipped ones first, then in the order made."""
        values = _by_material(select(self.database, Value))
        parts = _by_material(select(self.database, Ingredient))
        shares = _by_material(select(self.database, Share))
        lots = _by_material(select(self.database, Lot))
        return tuple(
            Kept(
                own,
                tuple(values.get(own.id, ())),
                tuple(parts.get(own.id, ())),
                tuple(shares.get(own.id, ())),
                tuple(lots.get(own.id, ())),
            )
            for own in sorted(select(self.database, Own), key=lambda own: (own.own, own.id))
        )

    def materials(self) -> list[Own]:
        """Return what is kept and not taken away."""
        return select(self.database, Own, "removed = ''")

    def material(self, name: str, kind: str = "") -> Material:
        """Return a material of the laid-over handbook by its common name.

        Raises
        ------
        ReadableError
            There is none, or one in two tables: which is asked.
        """
        laid, key = self.handbook(), key_of(name)
        found = [
            one
            for table in ("powder", "liquid", "melt")
            if kind in ("", table)
            for one in getattr(laid, f"{table}s").values()
            if key_of(one.name) == key
        ]
        if len(found) == 1:
            return found[0]  # type: ignore[no-any-return]
        if found:
            raise ReadableError(
                name[:60], "It stands in two tables.", "Add --kind powder, liquid or melt."
            )
        if laid.gone(name):
            raise ReadableError(
                name[:60],
                f"It was taken out of the pantry on {laid.removed[key][1]}.",
                f'Bring it back with: bar-dough pantry restore "{name[:60]}".',
            )
        close = laid.suggest(name)
        hint = (
            f"Did you mean {' or '.join(close[:3])}?" if close else "Look for it by a word of it."
        )
        raise ReadableError(name[:60] or "Material", "There is no such material.", hint)

    def own(self, name: str, kind: str = "") -> Kept | None:
        """Return what is kept of a material, None where nothing is."""
        material = self.material(name, kind)
        where = "kind = ? AND key = ? AND removed = ''"
        found = select(self.database, Own, where, (kind_of(material), key_of(material.name)))
        return self._kept(found[0]) if found else None

    def _kept(self, own: Own) -> Kept:
        tables = (Value, Ingredient, Share, Lot)
        rows = [tuple(select(self.database, kind, "material = ?", (own.id,))) for kind in tables]
        return Kept(own, *rows)  # type: ignore[arg-type]

    def search(self, words: str) -> list[Material]:
        """Return materials whose names, class, roles, supplier or remark hold every word."""
        laid, wanted = self.handbook(), key_of(words).split()
        found = laid.search(words)
        if not wanted:
            return found
        seen = {(kind_of(one), one.name) for one in found}
        for own in self.materials():
            if (own.kind, own.name) in seen or not (own.supplier or own.remark):
                continue
            text = key_of(f"{own.name} {own.inci} {own.roles} {own.supplier} {own.remark}")
            if all(word in text for word in wanted):
                one = getattr(laid, f"{own.kind}s").get(own.name)
                if one is not None:
                    found.append(one)
        return found


T = TypeVar("T", Value, Ingredient, Share, Lot)


def _by_material(rows: Iterable[T]) -> dict[int, list[T]]:
    found: dict[int, list[T]] = {}
    for row in rows:
        found.setdefault(row.material, []).append(row)
    return found
