"""The maker's materials, and what the maker knows of the shipped ones."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from designer.errors import ReadableError
from designer.handbook import kind_of
from designer.workshop import checks, properties
from designer.workshop.overlay import Kept, laid_over, with_values
from designer.workshop.pantry_checks import checked_lot, checked_own, checked_parts
from designer.workshop.reading import PantryReading
from designer.workshop.records import insert, key_of, select, update
from designer.workshop.values import Ingredient, Lot, Own, Price, Share, Stock, Value

if TYPE_CHECKING:
    pass

__all__ = ["Pantry"]


class Pantry(PantryReading):
    """Materials, measurements, lots, prices and stock in the stores, to read and to change."""

    # Materials.

    def add(self, own: Own, parts: Sequence[Ingredient] = ()) -> Own:
        """Keep a new material of the maker.

        Raises
        ------
        ReadableError
            The name is taken, in whatever case and spacing, or a word is not known.
        """
        own = self._tidied(replace(own, own=True, made=self._today().isoformat(), removed=""))
        with self.database.write():
            self._refuse_taken(own.name)
            number = insert(self.database, own)
            for part in checked_parts(own.name, parts):
                insert(self.database, replace(part, material=number))
            return self._valid(number)

    def copy(self, name: str, new: str, kind: str = "") -> Own:
        """Keep a new material that begins as another, own numbers and statements included."""
        material = self.material(name, kind)
        kept = self.own(material.name, kind_of(material))
        start = Own(kind_of(material), material.name, False) if kept is None else kept.own
        base = start.base if start.own else material.name
        copied = replace(start, name=new, own=True, base=base, id=0, made=self._today().isoformat())
        copied = self._tidied(copied)
        with self.database.write():
            self._refuse_taken(copied.name)
            number = insert(self.database, copied)
            if kept is not None:
                self._copy_rows(kept, number)
            return self._valid(number)

    def _copy_rows(self, kept: Kept, number: int) -> None:
        """Give a new material what is kept of another; lots, prices and stock are not copied."""
        for value in kept.values:
            insert(self.database, replace(value, material=number, lot=None))
        for part in kept.parts:
            insert(self.database, replace(part, material=number))
        for share in kept.shares:
            insert(self.database, replace(share, material=number))

    def blend(self, new: str, parts: Iterable[tuple[str, float]], kind: str = "") -> Own:
        """Keep a blend of materials of one kind; parts by mass, in any unit, are made shares."""
        found = [(self.material(name, kind), mass) for name, mass in parts]
        if len(found) < 2:
            raise ReadableError(new, "A blend has at least two parts.", "Name another material.")
        kinds = {kind_of(one) for one, _ in found}
        if len(kinds) > 1:
            raise ReadableError(
                new,
                f"A blend has one kind, and these are {' and '.join(sorted(kinds))}.",
                "Blend powders with powders, liquids with liquids, fats with fats.",
            )
        for one, mass in found:
            checks.check_number(f"{new}, {one.name}", mass, 1e-9, 1e9)
        total = sum(mass for _, mass in found)
        own = self._tidied(
            Own(kinds.pop(), new, True, made=self._today().isoformat(), remark="blend")
        )
        with self.database.write():
            self._refuse_taken(own.name)
            number = insert(self.database, own)
            for one, mass in found:
                insert(self.database, Share(number, one.name, mass / total))
            return self._valid(number)

    def describe(self, name: str, kind: str = "", **words: str) -> Own:
        """Keep what the maker states of a material in words; "" takes it back.

        Raises
        ------
        ReadableError
            A word is not one of the closed list.
        """
        with self.database.write():
            own = replace(self._row(name, kind), **words)  # type: ignore[arg-type]
            update(self.database, self._tidied(own))
            return self._valid(own.id)

    def rename(self, name: str, new: str, kind: str = "") -> Own:
        """Give a material of the maker another name, in blends too; recipes keep the old one."""
        with self.database.write():
            own = self._row(name, kind)
            _refuse_shipped(own)
            renamed = self._tidied(replace(own, name=new))
            if key_of(new) != key_of(own.name):
                self._refuse_taken(renamed.name)
            update(self.database, renamed)
            sql = """UPDATE blend SET name = ? WHERE name = ? AND material IN
                (SELECT id FROM material WHERE kind = ?)"""
            self.database.run(sql, (renamed.name, own.name, own.kind))
            return self._valid(own.id)

    def state_parts(self, name: str, parts: Sequence[Ingredient], kind: str = "") -> None:
        """Keep the supplier's statement of composition in place of what was known."""
        with self.database.write():
            own = self._row(name, kind)
            self.database.run("DELETE FROM part WHERE material = ?", (own.id,))
            for part in checked_parts(own.name, parts):
                insert(self.database, replace(part, material=own.id))

    def remove(self, name: str, kind: str = "") -> Own:
        """Take a material of the maker away; `restore` brings it back with all that is kept."""
        with self.database.write():
            own = self._row(name, kind)
            _refuse_shipped(own)
            gone = replace(own, removed=self._today().isoformat())
            update(self.database, gone)
            return gone

    def restore(self, name: str) -> Own:
        """Bring back the material of a name that was taken away last."""
        where = "key = ? AND removed <> ''"
        with self.database.write():
            found = select(self.database, Own, where, (key_of(name),))
            if not found:
                raise ReadableError(
                    name[:60] or "Material",
                    "Nothing of this name was taken away.",
                    "Look at the list with: bar-dough pantry list --removed.",
                )
            last = max(found, key=lambda own: (own.removed, own.id))
            self._refuse_taken(last.name)
            update(self.database, replace(last, removed=""))
            return self._valid(last.id)

    def removed(self) -> list[Own]:
        """Return what was taken away."""
        return select(self.database, Own, "removed <> ''")

    # Numbers.

    def put(
        self,
        name: str,
        prop: properties.Property,
        si: float,
        origin: str,
        kind: str = "",
        sd: float | None = None,
        lot: str = "",
        day: str = "",
        remark: str = "",
    ) -> Value:
        """Keep a number of a material, stated or measured.

        Raises
        ------
        ReadableError
            It is impossible by itself or beside the others, or the day is to come.
        """
        day = checks.check_day("Day", day or self._today().isoformat(), self._today())
        with self.database.write():
            own = self._row(name, kind)
            if own.kind not in prop.kinds:
                properties.named(prop.words, own.kind)  # tells what such a material has
            properties.check_value(si, prop, own.kind, self.book)
            if sd is not None:
                checks.check_number(f"{prop.words}, spread", sd, 1e-9, 1e6)
            value = Value(
                own.id,
                prop.column,
                si,
                checks.check_one_of("Origin", origin, ("stated", "measured", "learned")),
                day,
                sd,
                self._lot(own, lot).id if lot else None,
                checks.check_line("Remark", remark),
            )
            number = insert(self.database, value)
            self._valid(own.id)
            return replace(value, id=number)

    def forget(self, name: str, prop: properties.Property, kind: str = "") -> int:
        """Take the maker's numbers of a property away, and return how many there were."""
        with self.database.write():
            own = self._row(name, kind)
            where = "material = ? AND property = ?"
            there = len(select(self.database, Value, where, (own.id, prop.column)))
            self.database.run(f"DELETE FROM value WHERE {where}", (own.id, prop.column))
            return there

    # Lots, prices, stock.

    def add_lot(self, name: str, lot: Lot, kind: str = "") -> Lot:
        """Keep a delivery, which is then the one in use; a code stands once for a material."""
        with self.database.write():
            own = self._row(name, kind)
            lot = self._tidied_lot(replace(lot, material=own.id))
            where = "material = ? AND key = ?"
            if select(self.database, Lot, where, (own.id, key_of(lot.code))):
                raise ReadableError(
                    f"{own.name}, lot {lot.code}", "This lot is there already.", "Change that one."
                )
            number = insert(self.database, lot)
            self._valid(own.id)
            return replace(lot, id=number)

    def change_lot(self, name: str, code: str, kind: str = "", **fields: object) -> Lot:
        """Keep other facts of a lot, as the day on which it was used up."""
        with self.database.write():
            own = self._row(name, kind)
            changed = replace(self._lot(own, code), **fields)  # type: ignore[arg-type]
            update(self.database, self._tidied_lot(changed))
            self._valid(own.id)
            return changed

    def lots(self, name: str, kind: str = "") -> list[Lot]:
        """Return the lots of a material in the order they were written down."""
        kept = self.own(name, kind)
        return list(kept.lots) if kept else []

    def add_price(
        self,
        name: str,
        pack: float,
        amount: Decimal,
        currency: str,
        day: str = "",
        supplier: str = "",
        kind: str = "",
    ) -> Price:
        """Keep what a pack [kg] cost on a day."""
        title = f"{name[:60]}, pack"
        price = Price(
            0,
            checks.check_mass(title, pack),
            checks.check_price(amount),
            checks.check_currency(currency),
            checks.check_day("Day", day or self._today().isoformat(), self._today()),
            checks.check_line("Supplier", supplier),
        )
        with self.database.write():
            price = replace(price, material=self._row(name, kind).id)
            return replace(price, id=insert(self.database, price))

    def prices(self, name: str, kind: str = "") -> list[Price]:
        """Return the prices of a material, the newest last."""
        kept = self.own(name, kind)
        found = select(self.database, Price, "material = ?", (kept.own.id,)) if kept else []
        return sorted(found, key=lambda price: (price.day, price.id))

    def latest_prices(self) -> dict[tuple[str, str], Price]:
        """Return the newest price of each material by (kind, name)."""
        names = {own.id: (own.kind, own.name) for own in self.materials()}
        found = sorted(select(self.database, Price), key=lambda price: (price.day, price.id))
        return {names[one.material]: one for one in found if one.material in names}

    def move_stock(
        self,
        name: str,
        mass: float,
        reason: str = "",
        lot: str = "",
        day: str = "",
        kind: str = "",
        batch: int | None = None,
    ) -> float:
        """Keep a mass [kg] that came in, or went out if negative; return what is there now."""
        checks.check_number(f"{name[:60]}, stock", mass, -1e4, 1e4, "kg")
        day = checks.check_day("Day", day or self._today().isoformat(), self._today())
        with self.database.write():
            own = self._row(name, kind)
            number = self._lot(own, lot).id if lot else None
            reason = checks.check_line("Reason", reason)
            insert(self.database, Stock(own.id, mass, day, reason, number, batch))
            return self._stock(own.id)

    def stock(self, name: str, kind: str = "") -> float | None:
        """Return the mass [kg] there is by what was written down, None where nothing was."""
        kept = self.own(name, kind)
        if kept is None or not select(self.database, Stock, "material = ?", (kept.own.id,)):
            return None
        return self._stock(kept.own.id)

    def stocks(self) -> dict[tuple[str, str], float]:
        """Return the mass [kg] of each material whose stock is kept, by (kind, name)."""
        sql = """SELECT kind, name, sum(mass) FROM stock JOIN material ON material.id = material
            WHERE removed = '' GROUP BY material"""
        return {(kind, name): _whole(mass) for kind, name, mass in self.database.rows(sql)}

    def _stock(self, material: int) -> float:
        sql = "SELECT total(mass) FROM stock WHERE material = ?"
        return _whole(self.database.rows(sql, (material,))[0][0])

    # Checks.

    def _tidied(self, own: Own) -> Own:
        return checked_own(own, self.book)

    def _tidied_lot(self, lot: Lot) -> Lot:
        return checked_lot(lot, self._today())

    def _row(self, name: str, kind: str) -> Own:
        """Return the row of a material; a shipped one gets one. Inside a transaction."""
        material = self.material(name, kind)
        kept = self.own(material.name, kind_of(material))
        if kept is not None:
            return kept.own
        own = Own(kind_of(material), material.name, False, made=self._today().isoformat())
        return replace(own, id=insert(self.database, own))

    def _lot(self, own: Own, code: str) -> Lot:
        found = select(self.database, Lot, "material = ? AND key = ?", (own.id, key_of(code)))
        if not found:
            raise ReadableError(
                f"{own.name}, lot {code[:60]}", "There is no such lot.", "Add it first."
            )
        return found[0]

    def _valid(self, number: int) -> Own:
        """Return the row of a material whose numbers fit together, or raise."""
        own = select(self.database, Own, "id = ?", (number,))[0]
        kept = self._kept(own)
        if kept.values or kept.lots:
            bare = replace(kept, values=(), lots=())
            plain = laid_over(self.book, tuple(self._others(own, bare)))
            with_values(self.book, getattr(plain, f"{own.kind}s")[own.name], kept)
        return own

    def _others(self, own: Own, bare: Kept) -> list[Kept]:
        """Return what a material without its numbers stands on: all of it for a blend."""
        if not bare.shares:
            return [bare]
        return [*(k for k in self.kept() if not k.own.own or k.own.id < own.id), bare]

    def _refuse_taken(self, name: str) -> None:
        key = key_of(name)
        shipped = (self.book.powders, self.book.liquids, self.book.melts)
        taken = [one for table in shipped for one in table if key_of(one) == key]
        sql = "key = ? AND removed = '' AND own = 1"
        taken += [own.name for own in select(self.database, Own, sql, (key,))]
        if taken:
            raise ReadableError(
                name[:60],
                f'There is "{taken[0]}" already; case and spaces do not tell names apart.',
                "Choose another name, as with the supplier in it.",
            )


def _whole(mass: float) -> float:
    """Return a sum of masses without the dust of adding: to a hundredth of a milligram."""
    return round(float(mass), 8) + 0.0


def _refuse_shipped(own: Own) -> None:
    if not own.own:
        raise ReadableError(
            own.name,
            "It comes with the program.",
            "Only your own materials can be renamed or taken away; take back single values of it.",
        )
