"""All in one file and back: identical content; what does not belong is refused, nothing changed."""

import io
import json
import shutil
import sqlite3
import zipfile
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shop import RECIPE, TODAY

from designer import handbook
from designer.errors import ReadableError
from designer.workshop import Logbook, Pantry, Settings, migrations, places, properties
from designer.workshop.archive import content, mend, packed, restore, unpacked
from designer.workshop.batches import Batch, Seen, Washed
from designer.workshop.database import Database, opened
from designer.workshop.faults import Damaged
from designer.workshop.values import Lot, Own

BOOK = handbook.load()
KEPT = Path(__file__).with_name("kept")


@pytest.fixture
def full(pantry, logbook, tmp_path):
    """Stores with something in every table."""
    Settings(pantry.database).choose_currency("eur")
    pantry.copy("white clay", "Pit clay")
    pantry.blend("two clays", [("Pit clay", 1), ("white clay", 2)])
    pantry.add_lot("Pit clay", Lot(0, "K=2", "2026-10-01", dry=0.99, remark="=1+1"))
    one = properties.named("uptake oil", "powder")
    pantry.put("Pit clay", one, 0.1 + 0.2, "measured", lot="k=2", remark="three, by spatula")
    pantry.state_parts("Pit clay", [])
    pantry.add_price("Pit clay", 25.0, Decimal("31.350"), "EUR", "2026-09-30", "Pit & Sons")
    pantry.move_stock("Pit clay", 25.0)
    pantry.copy("oat flour", "gone")
    pantry.remove("gone")
    picture = tmp_path / "rack.png"
    picture.write_bytes(b"picture")
    recipe = RECIPE.replace("white clay", "Pit clay")
    batch = Batch("7", recipe, "2026-11-01", 0.5, notes="“fine”\nand dry")
    logbook.add(replace(batch, seen=(Seen("rod", 300.0, 1 / 3),)), pantry)
    logbook.photograph("7", picture)
    logbook.washed("7", Washed("2026-11-20", 0.02, lather=4))
    return pantry.database


def taken(data):
    return unpacked(data, "export.zip", BOOK, TODAY)


def changed(data, change):
    """Return an export file whose JSON was changed."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        made = json.loads(archive.read("workshop.json"))
    made = change(made) or made
    return zipped({"workshop.json": json.dumps(made).encode()})


def zipped(entries):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        for name, data in entries.items():
            archive.writestr(name, data)
    return stream.getvalue()


def test_export_and_import_give_identical_content(full, tmp_path):
    other = tmp_path / "other"
    data = packed(full, tmp_path)
    stores = Database(places.store(other))
    assert restore(stores, taken(data), other) is None
    assert content(stores) == content(full)
    assert packed(stores, other) == data
    logbook = Logbook(stores, other, lambda: TODAY)
    assert logbook.where(logbook.batch("7").photographs[0]).read_bytes() == b"picture"
    assert [one.number for one in logbook.search("fine dry pit clay")] == ["7"]
    assert stores.verify() == []
    stores.close()


@pytest.mark.parametrize("version", range(1, migrations.NEWEST + 1))
def test_an_export_of_an_older_version_is_taken(version):
    tables = {}
    old = sqlite3.connect(KEPT / f"format_{version}.sqlite")
    for (name,) in old.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
        if not name.startswith(("batch_words", "batch_found")):
            rows = old.execute(f"SELECT * FROM {name}")
            columns = [column[0] for column in rows.description]
            tables[name] = {"columns": columns, "rows": [list(row) for row in rows]}
    old.close()
    made = {"file": "bar dough workshop", "format": version, "tables": tables}
    stores, _ = taken(zipped({"workshop.json": json.dumps(made).encode()}))
    assert Pantry(stores, BOOK).material("My oat flour").uptake_polar == 0.9


def test_what_is_there_is_replaced_only_when_asked_and_kept_aside(full, tmp_path, pantry):
    data = packed(full, tmp_path)
    pantry.copy("oat flour", "newer")
    with pytest.raises(ReadableError, match="--replace"):
        restore(full, taken(data), tmp_path)
    assert pantry.material("newer")
    aside = restore(full, taken(data), tmp_path, replace=True)
    assert packed(full, tmp_path) == data
    before = Database(aside)
    assert Pantry(before, BOOK).material("newer")
    before.close()


def rows_of(made, table):
    return made["tables"][table]["rows"]


def column_of(made, table, name):
    return made["tables"][table]["columns"].index(name)


def put(table, column, value):
    def change(made):
        rows_of(made, table)[0][column_of(made, table, column)] = value

    return change


CHANGES = {
    "newer": lambda made: made.update(format=migrations.NEWEST + 1),
    "no version": lambda made: made.update(format=True),
    "another file": lambda made: made.update(file="theirs"),
    "a list": lambda made: [made],
    "a strange table": lambda made: made["tables"].update({"sqlite_master": {"columns": ["a"]}}),
    "a table by force": lambda made: made["tables"].update(
        {"price; DROP TABLE material": {"columns": ["a"], "rows": []}}
    ),
    "a strange column": lambda made: made["tables"]["price"]["columns"].append("x"),
    "a short row": lambda made: rows_of(made, "price")[0].pop(),
    "a nested cell": put("price", "amount", ["1"]),
    "points to nothing": put("price", "material", 99),
    "a negative price": put("price", "amount", "-3"),
    "no price": put("price", "amount", "much"),
    "not a number": put("price", "amount", "NaN"),
    "a future day": put("price", "day", "2027-01-01"),
    "a kind": put("material", "kind", "gas"),
    "an impossible value": put("value", "si", -3.0),
    "a photograph elsewhere": put("photograph", "file", "../../secret.png"),
    "a recipe that is none": put("recipe", "text", "no recipe"),
    "a taken name": put("material", "name", "oat flour"),
}


@pytest.mark.parametrize("case", sorted(CHANGES))
def test_a_file_that_says_what_cannot_be_is_refused(full, tmp_path, case):
    with pytest.raises(ReadableError) as caught:
        taken(changed(packed(full, tmp_path), CHANGES[case]))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "name", ["photographs/../../secret.png", "photographs//etc/passwd", "/etc/passwd", "a.txt"]
)
def test_an_archive_never_writes_out_of_its_folder(full, tmp_path, name):
    with zipfile.ZipFile(io.BytesIO(packed(full, tmp_path))) as archive:
        inside = archive.read("workshop.json")
    with pytest.raises(ReadableError):
        taken(zipped({"workshop.json": inside, name: b"x"}))


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"no archive" * 50, zipped({})])
def test_what_is_no_export_file_is_told(data):
    with pytest.raises(ReadableError, match="export file"):
        taken(data)


def test_a_damaged_file_is_kept_aside_and_the_last_copy_comes_back(tmp_path, monkeypatch):
    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path))
    shutil.copy(KEPT / "format_2.sqlite", places.store())
    opened().close()  # makes the copy before the step to the next version
    places.store().write_bytes(b"ruined" * 3000)
    with pytest.raises(Damaged):
        opened()
    aside, copy = mend()
    assert aside.read_bytes() == b"ruined" * 3000
    assert copy is not None
    assert Pantry(opened(), BOOK).material("My oat flour").uptake_polar == 0.9
    with pytest.raises(ReadableError, match="nothing to mend"):
        mend()
    opened().close()


DECIMALS = st.decimals(0, 999, places=3)
NAMES = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Zl", "Zp"]), max_size=30)


@settings(max_examples=25)
@given(st.lists(st.tuples(NAMES, NAMES, st.floats(0.05, 5.0), DECIMALS), max_size=5))
def test_whatever_is_kept_comes_back_the_same(rows):
    pantry = Pantry(Database(None), BOOK, lambda: TODAY)
    for number, (name, remark, uptake, amount) in enumerate(rows):
        own = Own("powder", f"{name} {number} mine", True, remark=remark, supplier=name)
        name = pantry.add(own).name
        pantry.put(name, properties.named("uptake oil", "powder"), uptake, "measured")
        pantry.add_price(name, uptake, amount, "EUR")
    data = packed(pantry.database)
    other = Database(None)
    restore(other, taken(data))
    assert content(other) == content(pantry.database)
    assert packed(other) == data
