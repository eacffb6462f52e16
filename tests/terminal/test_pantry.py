"""`pantry` as a person meets it: what is kept, shown, used by every command, and refused."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from designer.terminal import run
from designer.workshop import places
from designer.workshop.archive import content
from designer.workshop.database import Database

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_recipes" / "oat_bar.toml"


@pytest.fixture(autouse=True)
def shop(tmp_path, monkeypatch):
    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path / "shop"))
    return tmp_path / "shop"


@pytest.fixture
def pantry(capsys):
    def typed(*arguments, code=0):
        assert run(["pantry", *arguments]) == code, capsys.readouterr()
        out, err = capsys.readouterr()
        return " ".join((out if code < 2 else err).split())

    return typed


def test_an_empty_pantry_says_how_to_begin_and_makes_no_file(pantry, shop):
    assert "Begin with a material of your own" in pantry("list", code=1)
    assert "shipped default" in pantry("show", "white clay")
    assert not shop.exists()


def test_what_is_kept_is_shown_with_where_it_comes_from(pantry):
    pantry("copy", "oat flour", "Mill oat flour")
    told = pantry("measure", "mill oat flour", "uptake polar", "0.84", "0.90", "0,87 g/g")
    assert "uptake polar 0.8697 g/g (mean of 3) kept" in told
    pantry("set", "mill oat flour", "moisture", "10 %", "--supplier", "Mill by the brook")
    pantry("lot", "mill oat flour", "M-17", "--best-before", "2020-01-01", "--ph", "6.1")
    pantry("price", "mill oat flour", "5 kg", "12,50", "eur")
    pantry("price", "mill oat flour", "1 kg", "3.00")  # the currency of last time
    assert "5.000 kg left" in pantry("stock", "mill oat flour", "in", "5 kg")
    assert "4.200 kg left" in pantry("stock", "mill oat flour", "out", "800 g")
    assert "4.000 kg left" in pantry("stock", "mill oat flour", "is", "4 kg")
    card = pantry("show", "mill oat flour")
    for words in (
        "0.8697 g/g your measurement of",
        "moisture 10 % your value of",
        "lot M-17",
        "(passed)",
        "past its best before",
        "for 12.50 EUR (2.50 EUR a kg)",
        "for 3.00 EUR",
        "stock: 4.000 kg",
        "not rubbed out yet",
        "mask (FFP2 or better)",
    ):
        assert words in card, words
    made = json.loads(pantry("show", "mill oat flour", "--json"))
    assert made["prices"][0]["amount"] == "12.50"
    assert made["stock_kg"] == 4.0
    assert "yours" in pantry("list")
    assert "Mill oat flour" in pantry("search", "brook")
    pantry("stock", "mill oat flour", "is", "0 g")
    assert "none left" in pantry("list")


def test_check_uses_what_is_kept(pantry, capsys):
    def chance():
        assert run(["check", str(DEMO), "--json", "--draws", "64"]) == 0
        made = json.loads(capsys.readouterr().out)
        return made["readings"]["wetness"]["value"], made["warnings"]

    before = chance()
    pantry("measure", "SCI fine powder", "uptake polar", "0.9")
    assert chance()[0] < before[0] - 0.1
    pantry("set", "SCI fine powder", "uptake polar", "--forget")
    assert chance() == before


def test_a_recipe_with_a_removed_material_is_checked_and_told(pantry, capsys, tmp_path):
    pantry("copy", "white clay", "pit clay")
    bar = tmp_path / "bar.toml"
    bar.write_text(DEMO.read_text().replace('"white clay"', '"pit clay"'))
    assert "pit clay" in bar.read_text()
    assert run(["check", str(bar)]) == 0
    assert "pit clay" not in capsys.readouterr().out
    told = pantry("remove", "Pit clay")
    assert "restore" in told
    assert run(["check", str(bar)]) == 0
    assert "taken out of your pantry" in " ".join(capsys.readouterr().out.split())
    assert "pantry restore" in pantry("show", "pit clay", code=2)
    pantry("restore", "PIT clay")
    assert run(["check", str(bar)]) == 0
    assert "taken out" not in capsys.readouterr().out


@pytest.mark.parametrize("csv", [False, True])
def test_export_and_import_give_identical_content(pantry, shop, tmp_path, monkeypatch, csv, capsys):
    pantry("add", "Two clays", "--blend", "white clay=3", "--blend", "green clay=1")
    pantry("add", "=husk", "--kind", "powder", "--inci", "Plantago Ovata Husk", "--remark", "'@x")
    pantry("set", "=husk", "--part", "Plantago Ovata Husk=95 to 99 %", "--vegan", "yes")
    pantry("lot", "=husk", "-7", "--dry", "91 %")
    pantry("measure", "=husk", "uptake polar", "1.1", "--lot", "-7")
    pantry("price", "=husk", "1 kg", "9.90", "EUR")
    pantry("stock", "=husk", "in", "1 kg", "--lot", "-7")
    assert run(["log", "add", str(DEMO), "--made", "2026-01-02", "--notes", "+1\nfine"]) == 0
    capsys.readouterr()
    out = tmp_path / ("tables" if csv else "shop.zip")
    pantry("export", str(out), *(["--csv"] if csv else []))
    if csv:
        cells = (out / "materials.csv").read_text().splitlines()[-1].split(",")
        assert not any(cell.startswith(("=", "@", "+", "-")) for cell in cells)
    first = Database(places.store(shop))
    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path / "other"))
    pantry("import", str(out))
    second = Database(places.store(tmp_path / "other"))
    wanted, found = content(first), content(second)
    if csv:
        wanted["tables"].pop("setting")  # no thing that is kept, and in no table
        found["tables"].pop("setting")
    assert found == wanted
    if csv:
        assert pantry("import", str(out)).startswith("0 new rows")
    else:
        assert "--replace" in pantry("import", str(out), code=2)
        assert "What was here is kept" in pantry("import", str(out), "--replace")
    first.close()
    second.close()


def test_a_damaged_file_is_told_by_every_command_and_mended(pantry, shop, capsys):
    pantry("copy", "oat flour", "mine")
    places.store(shop).write_bytes(b"no database " * 100)
    assert "damaged" in pantry("list", code=2)
    assert run(["check", str(DEMO)]) == 2
    assert "verify --mend" in capsys.readouterr().err
    assert "begun anew" in pantry("verify", "--mend")
    assert "sound" in pantry("verify")
    kept = [path for path in shop.iterdir() if path.name.startswith("workshop-damaged")]
    assert kept[0].read_bytes() == b"no database " * 100


BAD = {
    "name taken": (["copy", "oat flour", "WHITE  clay"], "already"),
    "no such": (["show", "oat flower"], "Did you mean oat flour"),
    "uptake": (["measure", "white clay", "uptake polar", "77"], "0.05 g/g to 5 g/g"),
    "negative": (["measure", "white clay", "uptake polar", "-1 g/g"], "0.05 g/g to 5 g/g"),
    "unit": (["set", "white clay", "true density", "3 kg"], "Type 0.8 g/mL to 6 g/mL"),
    "property": (["set", "white clay", "colour", "3"], "uptake polar"),
    "price": (["price", "white clay", "1 kg", "1,250", "EUR"], "may mean"),
    "currency": (["price", "white clay", "1 kg", "3"], "three letters"),
    "day": (["price", "white clay", "1 kg", "3", "EUR", "--day", "2999-01-01"], "still to come"),
    "lot day": (["lot", "white clay", "a", "--received", "2999-01-01"], "still to come"),
    "no lot": (["measure", "white clay", "uptake oil", "0.4", "--lot", "x"], "no such lot"),
    "kind": (["add", "new"], "--kind"),
    "gas": (["add", "new", "--kind", "gas"], "powder, liquid, melt"),
    "part": (["add", "new", "--kind", "powder", "--part", "Kaolin"], "Kaolin=98 %"),
    "blend": (["add", "new", "--blend", "white clay"], "white clay=3"),
    "action": (["dance"], "invalid choice"),
    "import": (["import", "absent.zip"], "No such file"),
    "nothing": (["set", "white clay"], "Nothing to keep"),
}


@pytest.mark.parametrize("case", sorted(BAD))
def test_bad_input_is_one_sentence_and_nothing_is_kept(pantry, shop, case):
    arguments, told = BAD[case]
    if case == "negative":
        arguments = [*arguments[:-1], "\N{MINUS SIGN}1 g/g"]
    err = pantry(*arguments, code=2)
    assert told in err
    assert "mistake of the program" not in err
    if places.store(shop).exists():
        stores = Database(places.store(shop))
        assert stores.rows("SELECT count(*) FROM material") == [(0,)]
        stores.close()


def test_no_database_is_imported_where_nothing_is_kept(tmp_path):
    program = (
        "import sys; from designer.terminal import run; "
        f"code = run(['check', {str(DEMO)!r}, '--draws', '32']); "
        "print(code, 'sqlite3' in sys.modules, file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    assert done.stderr.split() == ["0", "False"]
