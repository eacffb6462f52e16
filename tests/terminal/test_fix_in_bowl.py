"""`fix --in-bowl` as a person meets it: advice, exit codes, one clear sentence per mistake."""

import json
from pathlib import Path

import pytest

from designer.recipe import file
from designer.terminal import run

BAR = str(Path(__file__).parents[2] / "demo_recipes" / "oat_bar_sticky_and_mended.toml")
STICKY = ["--felt", "sticky", "--batch", "500g", "--age", "8min"]


def fix(*arguments):
    return run(["fix", BAR, *arguments])


def test_a_sticky_dough_gets_advice(capsys):
    assert fix("--in-bowl", *STICKY, "--at-hand", "corn starch", "--at-hand", "glycerin") == 0
    told = " ".join(capsys.readouterr().out.split())
    assert told.startswith("At 8 min: sticky (clings to hands and bowl).")
    assert " g corn starch" in told
    assert "glycerin leads the wrong way" in told
    assert "mask (FFP2 or better)" in told


def test_what_is_felt_is_enough_to_mean_the_bowl(capsys):
    assert fix("--felt", "crumbly", "--age", "10 min", "--kneaded", "6 min") == 0
    assert "At 10 min: crumbly" in capsys.readouterr().out


def test_a_rod_and_a_thermometer_are_taken_as_well(capsys):
    assert fix("--rod", "3000g", "--age", "12min", "--temperature", "27C", "--room", "19C") == 0
    assert "65 kPa by the rod" in capsys.readouterr().out


def test_json_holds_the_same(capsys):
    assert fix(*STICKY, "--json") == 0
    made = json.loads(capsys.readouterr().out)
    assert made["found"] == {"state": "sticky"}
    assert made["batch"] == {"value": 500, "unit": "g"}
    assert made["advice"]


def test_the_recipe_as_made_can_be_written(capsys, tmp_path):
    out = tmp_path / "made.toml"
    assert fix(*STICKY, "--json") == 0
    advice = json.loads(capsys.readouterr().out)["advice"]
    number = next(k for k, one in enumerate(advice, 1) if one["move"] == "add")
    assert fix(*STICKY, "--write", str(out), str(number)) == 0
    made = file.read(out)
    assert made.active.title.startswith("as made: ")
    rows = {row.name: row.percents[made.active.number] for row in made.rows}
    for row in advice[number - 1]["as_made"]["rows"]:
        assert rows[row["name"]] == row["percent"]
    assert fix(*STICKY, "--write", str(out), str(number)) == 2


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--in-bowl", "--felt", "sticky"], "age of the dough is missing"),
        (["--in-bowl", "--age", "8min"], "missing, or said twice"),
        ([*STICKY, "--rod", "450g"], "missing, or said twice"),
        (["--felt", "wet", "--age", "8min"], "not a state of a dough"),
        (["--felt", "sticky", "--age", "-2min"], "outside what is possible"),
        (["--felt", "sticky", "--age", "5h"], "has set"),
        (["--felt", "sticky", "--age", "8min", "--batch", "-5g"], "outside what is possible"),
        (["--felt", "sticky", "--age", "8min", "--kneaded", "9min"], "longer than it is old"),
        (["--felt", "sticky", "--age", "8min", "--temperature", "99C"], "not possible"),
        ([*STICKY, "--at-hand", "moon dust"], "not in the handbook"),
        ([*STICKY, "--wish", "firmer"], "clean knead"),
        ([*STICKY, "--write", "never.toml", "99"], "no advice"),
    ],
)
def test_a_mistake_is_one_sentence(capsys, arguments, words):
    assert fix(*arguments) == 2
    said = capsys.readouterr()
    assert not said.out
    assert said.err.startswith("bar-dough: ")
    assert words in said.err
    assert said.err.count("\n") == 1
