"""`bar-dough swap` as a person meets it: the list, exit codes, JSON, files, bad input."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from designer.recipe import file
from designer.terminal import run

DEMO = Path(__file__).parents[2] / "demo_recipes"
OAT = str(DEMO / "oat_bar.toml")


def told(capsys, *arguments, code=0):
    assert run(["swap", *map(str, arguments)]) == code
    out, err = capsys.readouterr()
    assert err == ""
    return out


def refused(capsys, *arguments):
    assert run(["swap", *map(str, arguments)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.strip().splitlines()) == 1
    assert "mistake of the program" not in err
    return err


def test_it_says_the_answer_first_and_last_that_it_is_another_formula(capsys):
    out = told(capsys, OAT, "cocoa butter", "--for", "kokum butter")
    lines = out.strip().splitlines()
    assert lines[0].startswith("One stand-in for 4.00 % cocoa butter; it keeps the chance")
    assert "kokum butter" in out
    assert "of 20, as before" in out
    assert "another formula: your assessor, your file and the label come first" in out
    assert max(map(len, lines)) <= 100


def test_json_holds_what_moves_and_what_becomes_of_the_dough(capsys):
    made = json.loads(told(capsys, OAT, "CAPB", "--json", "--vegan", "--no-palm"))
    assert made["ingredient"] == "CAPB 30 %"
    assert made["wishes"] == ["no palm", "vegan"]
    assert len(made["swaps"]) == 20
    for one in made["swaps"]:
        assert sum(move["delta"] for move in one["moves"]) == pytest.approx(0, abs=0.011)
        assert one["stands_in"] == ("no_stand_in" not in one)
        assert one["after"]["dough_temperature"]["unit"] == "degC"
        assert 0 <= one["after"]["clean_knead_chance"] <= 1
    first = made["swaps"][0]
    assert first["keeps_chance"]
    assert first["after"]["active_by_charge"]["amphoteric"]["value"] > 1


def test_limits_and_label_are_told_under_each_offer_and_as_json(capsys):
    typed = (OAT, "lavender oil", "--for", "rose oil")
    out = " ".join(told(capsys, *typed).split())
    assert "Over a limit of the European Union: Methyl Eugenol: " in out
    assert "New on the ingredient list: Rose Flower Oil. No longer on it: Lavandula" in out
    made = json.loads(told(capsys, *typed, "--json"))["swaps"][0]
    found = made["limits_and_label"]
    assert found["market"] == "EU"
    assert found["limits"][0]["breaks_limit"]
    assert found["limits"][0]["after"] == "over"
    assert found["names_no_longer"] == ["Lavandula Angustifolia Oil"]
    assert "Geraniol" in found["allergens_to_name"]
    assert "cost" not in made


def test_in_stock_asks_the_pantry_where_there_is_one(capsys, tmp_path, monkeypatch):
    from designer import handbook
    from designer.workshop import Pantry

    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path))
    typed = (OAT, "cocoa butter", "--for", "illipe butter", "--in-stock")
    made = json.loads(told(capsys, *typed, "--json"))["swaps"][0]
    assert {(one["wish"], one["sure"]) for one in made["breaks"]} == {("in stock", False)}
    assert list(tmp_path.iterdir()) == []
    pantry = Pantry.opened(handbook.load(), tmp_path)
    moved = [move["name"] for move in made["moves"] if move["delta"]]
    for name in moved:
        kind = "liquid" if name == "sunflower oil" else ""
        pantry.move_stock(name, 5.0, kind=kind)
        euros = Decimal(30 if name == "illipe butter" else 10)
        pantry.add_price(name, 1.0, euros, "EUR", kind=kind)
    out = told(capsys, *typed)
    assert "cannot be told" not in out
    assert "cost" in out
    cost = json.loads(told(capsys, *typed, "--json"))["swaps"][0]["cost"]
    assert cost["change"]["unit"] == "EUR/kg"
    assert cost["change"]["value"] == pytest.approx(made["percent"] / 100 * 20, rel=1e-3)
    pantry.move_stock("illipe butter", -5.0)
    assert "illipe butter is out of stock" in told(capsys, *typed, code=1)
    pantry.database.close()


def test_nothing_that_stands_in_exits_with_one(capsys):
    out = told(capsys, OAT, "cocoa butter", "--for", "palm stearin", "--no-palm", code=1)
    assert "No stand-in" in out
    assert "palm stearin comes from palm" in out
    told(capsys, OAT, "glycerin", "--for", "white clay", code=1)


def test_the_room_and_the_variant_are_those_asked_for(capsys):
    path = DEMO / "three_oat_bars.toml"
    typed = ("glycerin", "--for", "1,3-propanediol", "--json")
    usual = json.loads(told(capsys, path, *typed))
    other = json.loads(told(capsys, path, *typed, "--variant", "2", "--room", "29C"))
    assert usual["variant"] == "1"
    assert other["variant"] == "2"
    warm, cool = (one["before"]["dough_temperature"]["value"] for one in (other, usual))
    assert warm > cool + 3


def test_a_swap_is_written_and_kept_in_new_files_only(capsys, tmp_path):
    made, kept = tmp_path / "made.toml", tmp_path / "kept.toml"
    typed = (OAT, "cocoa butter", "--for", "kokum butter", "--half")
    out = told(capsys, *typed, "--write", made, 1, "--keep", kept, 1)
    assert "Swap 1 is written in" in out
    rows = {row.name: row.percents["1"] for row in file.read(made).rows}
    assert rows["cocoa butter"] == 2.0
    assert 1 < rows["kokum butter"] < 3
    swap = next(row for row in file.read(kept).rows if row.name == "cocoa butter").swaps[0]
    assert (swap.name, swap.stays, swap.percent) == ("kokum butter", 2.0, rows["kokum butter"])
    assert 0.5 < swap.chance < 1
    assert "already such a file" in refused(capsys, *typed, "--write", made, 1)
    assert "no swap 9" in refused(capsys, *typed, "--write", tmp_path / "new.toml", 9)
    assert not (tmp_path / "new.toml").exists()


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("cocao buter", "cocoa butter"), ("glycerine", "glycerin"), ("lavendar", "lavender oil")],
)
def test_a_slip_of_the_fingers_is_asked_back_with_the_row_that_was_meant(capsys, typed, meant):
    assert refused(capsys, OAT, typed).strip().endswith(f"Did you mean {meant}?")


def test_rows_that_are_not_told_are_counted(capsys):
    count = len(file.read(OAT).rows)
    assert refused(capsys, OAT, "quartz").strip().endswith(f" and {count - 12} more.")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ((OAT, "quartz"), "in no row"),
        ((OAT, ""), "in no row"),
        ((OAT, "oil"), "lavender oil"),
        ((OAT, "benzyl"), "held"),
        ((OAT, "cocoa butter", "--for", "moon butter"), "not in the tables"),
        ((OAT, "cocoa butter", "--for", "cocoa butter"), "what goes out"),
        ((OAT, "cocoa butter", "--variant", "7"), "no variant"),
        ((OAT, "cocoa butter", "--write", "x.toml", "one"), "no number"),
        (("nowhere.toml", "cocoa butter"), "nowhere.toml"),
    ],
)
def test_bad_input_gets_one_sentence(capsys, typed, words):
    if words == "lavender oil":
        assert "lavender oil" in told(capsys, *typed)
        return
    assert words in refused(capsys, *typed)
