"""`bar-dough fix` on paper: what it prints, its JSON, the file it writes, and bad input."""

import json
import re
from pathlib import Path

import pytest

from designer.recipe import file
from designer.terminal import run

DEMO = Path(__file__).parents[2] / "demo_recipes"
STICKY = str(DEMO / "oat_bar_sticky_and_mended.toml")


def told(capsys, *arguments, code=0):
    assert run(["fix", *arguments]) == code
    out, err = capsys.readouterr()
    assert err == ""
    return out


def test_the_sticky_demo_gets_a_short_list_with_numbers(capsys):
    out = told(capsys, STICKY)
    assert re.match(r"\d changes reach 14 of 20 \(comes clean\); now 7 of 20\.", out)
    assert " 1 cocoa butter −1.9, oat flour +1.9: 14 of 20" in out
    assert "sticky at 5 min, pliable at 10 min" in out
    assert "(q.s.)" in out
    assert "active surfactant" in out
    assert "another formula" in out


def test_a_dough_that_needs_none_says_so(capsys):
    assert "No fix is needed" in told(capsys, STICKY, "--variant", "2")


def test_no_fix_is_the_answer_no(capsys):
    out = told(capsys, STICKY, "--variant", "2", "--wanted", "20/20", code=1)
    assert "stops it" in out or "does no better" in out


def test_json_has_moves_chance_and_state(capsys):
    made = json.loads(told(capsys, STICKY, "--json"))
    assert made["status"] == "found"
    assert made["wish"] == {"kind": "clean"}
    for one in made["fixes"]:
        assert set(one) >= {"moves", "clean_knead_chance", "state", "course", "size"}
        assert "cost_change" not in one
        assert 0.675 <= one["clean_knead_chance"] <= 1
        assert one["state"] in ("crumbly", "stiff", "pliable", "sticky", "slack")
        for move in one["moves"]:
            assert move["to"] - move["from"] == pytest.approx(move["delta"])
    assert "obstacle" not in made


@pytest.mark.parametrize(
    ("wish", "kind"),
    [
        (["clean-by=10min"], {"kind": "clean-by", "by_minutes": 10.0}),
        (["bars=24", "--per-bar", "20"], {"kind": "bars", "bars": 24, "seconds_per_bar": 20.0}),
        (["less-melt=2%"], {"kind": "less-melt", "less_percent": 2.0}),
        (["firmer=100kPa"], {"kind": "firmer", "firmness_kpa": 100.0}),
    ],
)
def test_every_wish_is_understood(capsys, wish, kind):
    made = json.loads(told(capsys, STICKY, "--json", "--wish", *wish))
    assert made["wish"] == kind
    assert made["fixes"]
    assert made["text"].endswith(".")


def test_a_fix_is_written_to_a_file_of_its_own(capsys, tmp_path):
    path = tmp_path / "mended.toml"
    assert "is written to" in told(capsys, STICKY, "--write", str(path), "1")
    before, after = file.read(STICKY), file.read(path)
    changed = [
        row.name
        for row, old in zip(after.rows, before.rows, strict=True)
        if row.percents != old.percents
    ]
    assert changed == ["cocoa butter", "oat flour"]
    old, new = Path(STICKY).read_text().splitlines(), path.read_text().splitlines()
    assert sum(a != b for a, b in zip(old, new, strict=True)) == 2
    assert run(["fix", STICKY, "--write", str(path), "1"]) == 2
    assert "already such a file" in capsys.readouterr().err


BAD = [
    (["--wish", "hot"], "no wish"),
    (["--wish", "bars=many"], "number of bars"),
    (["--wish", "bars=0"], "cannot be pressed"),
    (["--wish", "clean-by=soon"], "not a number"),
    (["--wish", "clean-by=9d"], "outside"),
    (["--wish", "less-melt=-2%"], "outside"),
    (["--wish", "firmer=-5kPa"], "outside"),
    (["--per-bar", "30s"], "belongs to a number of bars"),
    (["--wanted", "21/20"], "outside"),
    (["--batch", "-500g"], "outside"),
    (["--variant", "9"], "no variant"),
    (["--write", "out.toml", "first"], "number of a fix"),
]


@pytest.mark.parametrize(("arguments", "words"), BAD, ids=lambda one: " ".join(one)[:30])
def test_bad_input_is_one_sentence(capsys, arguments, words):
    assert run(["fix", STICKY, *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert words in err
    assert len(err.strip().splitlines()) == 1


def test_a_fix_that_is_not_in_the_list_is_not_written(capsys, tmp_path):
    path = tmp_path / "mended.toml"
    assert run(["fix", STICKY, "--write", str(path), "9"]) == 2
    assert "There is no fix 9" in capsys.readouterr().err
    assert not path.exists()
