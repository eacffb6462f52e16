"""`label` and `limits` as a person meets them: words, JSON, exit codes, refusals."""

import json
from pathlib import Path

import pytest

from designer.evaluation.assessed import frozen
from designer.exchange import own_tables
from designer.handbook.places import resources
from designer.recipe import file
from designer.terminal import run

DEMO = Path(__file__).parents[2] / "demo_recipes"
OAT = str(DEMO / "oat_bar.toml")
RESOURCES = resources()
FAST = ["--draws", "64"]


def told(capsys, *arguments, code=0):
    assert run([*arguments, *FAST]) == code
    out, err = capsys.readouterr()
    assert err == ""
    return out


def refused(capsys, *arguments):
    assert run([*arguments, *FAST]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.strip().splitlines()) == 1
    assert "mistake of the program" not in err
    return err


@pytest.fixture
def broken(tmp_path):
    """Return a recipe with twice the phenoxyethanol that the European Union allows."""
    text = Path(OAT).read_text(encoding="utf-8")
    path = tmp_path / "bar.toml"
    path.write_text(
        text.replace("benzyl alcohol/dehydroacetic acid", "phenoxyethanol")
        .replace("Benzyl Alcohol (and) Dehydroacetic Acid (and) Aqua", "Phenoxyethanol")
        .replace("percent = { 1 = 0.9 }", "percent = { 1 = 2 }"),
        encoding="utf-8",
    )
    return str(path)


def test_label_says_the_list_first_then_weight_notes_and_cautions(capsys):
    out = told(capsys, "label", OAT, "--market", "eu")
    assert out.startswith("Ingredients: Sodium Cocoyl Isethionate, Aqua, ")
    for words in (
        "3.52 oz, 100 g",
        "4.5 g for a single bar; no bar below 91 g",
        "Still missing",
        "Avoid contact with eyes",
        "local law",
    ):
        assert words in " ".join(out.split())


def test_label_takes_what_the_maker_states(capsys):
    typed = ["--net", "3.5 oz", "--panel", "40", "--water-lost", "6.5%", "--product", "Oat bar"]
    typed += ["--responsible", "Workshop", "--address", "1 Lane", "--contact", "mail"]
    typed += ["--batch-number", "261128-OAT-1", "--made", "2026-11-28", "--months-open", "12"]
    made = json.loads(told(capsys, "label", OAT, "--market", "us", "--json", *typed))
    assert made["net_weight"]["text"] == "Net wt. 3.5 oz (99 g)"
    assert made["net_weight"]["letter_height_mm"] == 3.175
    assert made["water_lost"]["value"] == 6.5
    assert made["missing"] == []
    assert made["facts"]["batch number"] == "261128-OAT-1"
    assert made["allergens"] == []


def test_the_cured_basis_and_an_order_of_the_small_ones_change_the_list(capsys):
    added = json.loads(told(capsys, "label", OAT, "--json"))
    cured = json.loads(told(capsys, "label", OAT, "--json", "--basis", "cured"))
    assert sum(one["percent"] for one in added["entries"] if not one["allergen_brought"]) == (
        pytest.approx(100)
    )
    assert added["ingredients"] != cured["ingredients"]
    small = [one["name"] for one in added["entries"] if one["group"] == "small"]
    turned = ";".join(reversed(small))
    other = json.loads(told(capsys, "label", OAT, "--json", "--small-order", turned))
    assert [one["name"] for one in other["entries"] if one["group"] == "small"] == small[::-1]


def test_the_composition_stands_in_the_json_on_both_bases(capsys):
    made = json.loads(told(capsys, "label", OAT, "--json"))
    water = next(one for one in made["composition"] if one["inci"] == "Aqua")
    assert water["cured"]["value"] < water["added"]["value"]
    assert len(water["materials"]) >= 3


def test_limits_exits_0_where_none_is_broken_and_says_what_it_did_not_check(capsys):
    out = told(capsys, "limits", OAT, "--market", "eu")
    assert "none is broken" in out
    assert "Not looked at by this program" in out
    assert "table of 28 November 2026" in " ".join(out.split())


def test_limits_exits_1_where_a_limit_is_broken(capsys, broken):
    out = told(capsys, "limits", broken, code=1)
    assert out.startswith("Over a limit of the European Union: Phenoxyethanol.")
    made = json.loads(told(capsys, "limits", broken, "--json", code=1))
    assert made["broken"] is True
    assert made["checks"][0]["subject"] == "Phenoxyethanol"
    assert made["checks"][0]["limit"] == 1.0
    told(capsys, "limits", broken, "--market", "us", code=0)
    told(capsys, "limits", broken, "--not-to-preserve", "Phenoxyethanol", code=0)


def test_every_check_in_the_json_has_its_fields(capsys):
    made = json.loads(told(capsys, "limits", OAT, "--market", "uk", "--json"))
    keys = {"code", "verdict", "value", "low", "high", "unit", "limit", "text", "source", "as_of"}
    for one in made["checks"]:
        assert keys <= one.keys()
        if one["value"] is not None:
            assert one["low"] <= one["value"] <= one["high"]
    assert made["tables_of"] == "2026-11-28"


@pytest.mark.parametrize("command", ["label", "limits"])
def test_an_unknown_market_is_refused_in_one_sentence(capsys, command):
    assert "Choose eu, uk, us or ca." in refused(capsys, command, OAT, "--market", "moon")


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["--basis", "dry"], "Choose added or cured"),
        (["--net", "much"], "much"),
        (["--panel", "wide"], "no number"),
        (["--water-lost", "120%"], "outside"),
        (["--made", "yesterday"], "Write it as"),
        (["--months-open", "soon"], "whole months"),
        (["--small-order", "Kaolin"], "is not in it"),
        (["--variant", "9"], "no variant"),
    ],
)
def test_what_cannot_be_is_refused_in_one_sentence(capsys, typed, words):
    assert words in refused(capsys, "label", OAT, *typed)


def test_own_tables_decide_and_leave_the_shipped_ones_alone(capsys, tmp_path):
    header, *rows = (RESOURCES / "law" / "use_limits.csv").read_text(encoding="utf-8").splitlines()
    row = next(one for one in rows if one.startswith("Benzyl Alcohol,"))
    own = row.replace(",1.0,no,", ",0.5,no,").replace("EU,EU;UK", "own,EU")
    (tmp_path / "use_limits.csv").write_text(f"{header}\n{own}\n", encoding="utf-8")
    folder = ["--own-tables", str(tmp_path)]
    assert "Benzyl Alcohol" in told(capsys, "limits", OAT, *folder, code=1).split(".")[0]
    told(capsys, "limits", OAT, code=0)
    told(capsys, "label", OAT, *folder)
    assert "Neither" in refused(capsys, "limits", OAT, "--own-tables", str(DEMO))


def test_own_rows_kept_by_the_window_decide_where_no_folder_is_named(capsys, tmp_path, monkeypatch):
    row = own_tables.new_row(own_tables.LIMITS)
    row |= {"name": "Glycerin", "max_percent": "0.1", "source": "our own line"}
    own_tables.save_rows(own_tables.LIMITS, [row], tmp_path)
    told(capsys, "limits", OAT, code=0)
    monkeypatch.setattr(own_tables, "folder", lambda: tmp_path)
    said = " ".join(told(capsys, "limits", OAT, code=1).split())
    assert "own table: our own line" in said


def test_the_label_that_a_recipe_keeps_is_printed_unless_said_otherwise(capsys, tmp_path):
    kept = tmp_path / "kept.toml"
    table = '[label]\nmarket = "US"\ndeclared = "3.5 oz"\nbatch_number = "LOT 7"\n'
    table += 'small_order = ["Potassium Sorbate", "Sodium Benzoate"]\n\n[variants.1]'
    text = Path(OAT).read_text(encoding="utf-8").replace("[variants.1]", table)
    kept.write_text(text, encoding="utf-8")
    out = told(capsys, "label", str(kept))
    assert "Label for United States" in out
    assert "Net wt. 3.5 oz (99 g)" in out
    assert "batch number: LOT 7" in out
    names = " ".join(out.split("\n\n", maxsplit=1)[0].split())
    assert names.index("Potassium Sorbate") < names.index("Sodium Benzoate")
    out = told(capsys, "label", str(kept), "--market", "eu", "--batch-number", "LOT 8")
    assert "Label for European Union" in out
    assert "batch number: LOT 8" in out


def test_a_formula_outside_the_assessed_one_is_held_in_words_and_values(capsys, tmp_path):
    recipe = file.read(OAT)
    number = recipe.active.number
    changed = frozen(recipe, number, "R 14", "A. Assessor", "2026-11-20")
    changed = changed.with_percent(0, number, 9.0)
    path = str(tmp_path / "bar.toml")
    file.write(changed, path)
    said = " ".join(told(capsys, "limits", path).split())
    assert said.startswith("Outside the assessed formula: hold.")
    made = json.loads(told(capsys, "limits", path, "--json"))["assessed"]
    assert made["hold"]
    assert made["report"] == "R 14"
    assert changed.rows[0].name in [one["name"] for one in made["changes"]]
    assert json.loads(told(capsys, "limits", OAT, "--json"))["assessed"] is None
