"""`log` as a person meets it: batches kept, found, repeated to the byte, and refused."""

import json
from pathlib import Path

import pytest

from designer.terminal import run

DEMO = Path(__file__).parents[2] / "demo_recipes" / "oat_bar.toml"


@pytest.fixture(autouse=True)
def shop(tmp_path, monkeypatch):
    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path / "shop"))
    return tmp_path / "shop"


@pytest.fixture
def log(capsys):
    def typed(*arguments, code=0):
        assert run(["log", *arguments]) == code, capsys.readouterr()
        out, err = capsys.readouterr()
        return out if code < 2 else err

    return typed


def test_an_empty_logbook_says_how_to_begin_and_makes_no_file(log, shop):
    assert "log add" in log("list", code=1)
    assert not shop.exists()


def test_a_batch_is_kept_shown_found_and_repeated(log, tmp_path):
    picture = tmp_path / "rack.jpg"
    picture.write_bytes(b"picture")
    typed = ["--state", "5 min=sticky", "--state", "9=pliable", "--rod", "10 min=420 g"]
    typed += ["--lot", "white clay=K-2", "--bars", "4", "--initials", "AB", "--trial"]
    typed += ["--photo", str(picture), "--notes", "warm hands", "--batch", "450 g"]
    log("add", str(DEMO), "--number", "7", "--made", "2026-01-02 10:15", *typed)
    log(
        "more", "7", "--weigh", "1 d a=101.3 g", "--weigh", "14d=95.7g", "--thumb", "1 d=faint dent"
    )
    told = log(
        "use", "7", "--soak", "2 %", "--per-wash", "0.9 g", "--lather", "4", "--sting", "slight"
    )
    assert "stop using it" in " ".join(told.split())
    card = log("show", "7")
    for words in (
        "at 5 min: sticky",
        "at 9 min: pliable",
        "at 10 min: rod 420 g",
        "after 1 d: bar a 101.3 g",
        "after 14 d: bar 95.7 g",
        "thumb, faint dent",
        "K-2",
        "trial",
        "warm hands",
        "lost 2 % a day after lying wet",
        "0.9 g per wash",
        "photograph",
    ):
        assert words in card, words
    assert " 7 · " in log("list", "WARM", "k-2", "clay")
    assert 'No batch holds "dance"' in log("list", "dance", code=1)
    made = json.loads(log("show", "7", "--json"))
    assert made["recipe"] == DEMO.read_text(encoding="utf-8")
    assert made["mass"] == 0.45
    assert json.loads(log("list", "--json"))[0]["number"] == "7"
    log("repeat", "7", str(tmp_path / "again.toml"))
    assert (tmp_path / "again.toml").read_bytes() == DEMO.read_bytes()
    assert run(["check", str(tmp_path / "again.toml"), "--draws", "32"]) == 0


def test_a_batch_draws_from_the_stock_unless_told_otherwise(log, capsys):
    assert run(["pantry", "stock", "white clay", "in", "1 kg"]) == 0
    log("add", str(DEMO), "--batch", "1 kg")
    log("add", str(DEMO), "--batch", "1 kg", "--no-stock")
    run(["pantry", "stock", "white clay"])
    assert "960.0 g" in capsys.readouterr().out
    number = json.loads(log("list", "--json"))[1]["number"]
    log("remove", number)
    run(["pantry", "stock", "white clay"])
    assert "1.000 kg" in capsys.readouterr().out


BAD = {
    "no file": (["absent.toml"], "no such file"),
    "future": ([str(DEMO), "--made", "2999-01-01"], "still to come"),
    "state": ([str(DEMO), "--state", "5 min=lovely"], "crumbly"),
    "no time": ([str(DEMO), "--state", "sticky"], "5 min=sticky"),
    "rod": ([str(DEMO), "--rod", "5 min=-3 g"], "outside"),
    "photograph": ([str(DEMO), "--photo", "absent.png"], "no such photograph"),
    "no picture": ([str(DEMO), "--photo", str(DEMO)], "not a picture"),
    "lot": ([str(DEMO), "--lot", "gold=1"], "not in this batch"),
    "bars": ([str(DEMO), "--bars", "many"], "whole number"),
    "variant": ([str(DEMO), "--variant", "9"], "no variant"),
    "room": ([str(DEMO), "--room", "200C"], "possible"),
}


@pytest.mark.parametrize("case", sorted(BAD))
def test_bad_input_is_one_sentence_and_no_batch_is_kept(log, case):
    arguments, told = BAD[case]
    err = log("add", *arguments, code=2)
    assert told in err
    assert len(err.splitlines()) == 1
    assert "mistake of the program" not in err
    assert json.loads(log("list", "--json", code=1)) == []


def test_a_missing_photograph_is_told_where_the_batch_is_shown(log, shop, tmp_path):
    picture = tmp_path / "rack.png"
    picture.write_bytes(b"picture")
    log("add", str(DEMO), "--number", "7", "--photo", str(picture))
    for path in (shop / "photographs").iterdir():
        path.unlink()
    assert "Put it back there" in " ".join(log("show", "7").split())
