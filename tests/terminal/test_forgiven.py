"""`check --forgiveness`: intervals, the weakest in words, and what makes the forecast unsure."""

import json
from pathlib import Path

import pytest

from designer.terminal import run

DEMO = Path(__file__).parents[2] / "demo_recipes"


def test_a_check_says_what_a_recipe_forgives_and_what_makes_it_unsure(capsys):
    assert run(["check", str(DEMO / "oat_bar.toml"), "--forgiveness"]) == 0
    out = capsys.readouterr().out
    joined = " ".join(out.split())
    assert "Forgiveness. Each alone may drift so far before fewer than 14 of 20" in joined
    assert "too often." in joined
    assert "all others keep theirs" in joined
    assert "What makes the firmness most unsure" in joined
    # Advice to rub out a powder goes with its usual caution.
    assert ("Rub out" in joined) == ("mask (FFP2 or better)" in joined.split("Rub out")[-1])
    bath = next(line for line in out.splitlines() if line.startswith("bath  "))
    assert "and less" not in bath
    assert max(len(line) for line in out.splitlines()) <= 100


def test_json_has_both(capsys):
    run(["check", str(DEMO / "oat_bar.toml"), "--forgiveness", "--json", "--draws", "64"])
    made = json.loads(capsys.readouterr().out)
    assert made["forgiveness"]["allowances"]
    assert made["uncertainty"]["inputs"]


@pytest.mark.parametrize("name", ["butter_bar.toml"])
def test_a_hopeless_recipe_has_nothing_to_forgive(capsys, name):
    assert run(["check", str(DEMO / name), "--forgiveness"]) == 0
    assert "It hardly ever comes clean, so there is nothing to lose." in capsys.readouterr().out


def test_a_check_does_not_search_unasked(capsys):
    run(["check", str(DEMO / "oat_bar.toml"), "--json"])
    assert "forgiveness" not in json.loads(capsys.readouterr().out)
