"""`compare` in full: why variants differ, pairs over common draws, a table for a spreadsheet."""

import json

import pytest

from designer.terminal import run

BAR = """format = 1
name = "Clay bar"
[bench]
room = "21 °C"
batch = "0.5 kg"
[variants.1]
title = "one"
[variants.2]
title = "two"
[variants.3]
title = "empty"
[[row]]
phase = "melt"
name = "cocoa butter"
percent = { 1 = 8, 2 = 8 }
[[row]]
phase = "powder"
name = "SCI fine powder"
percent = { 1 = 67, 2 = 64 }
[[row]]
phase = "liquid"
name = "CAPB 30 %"
percent = { 1 = 24, 2 = 27 }
[[row]]
phase = "last"
name = "phenoxyethanol/ethylhexylglycerin 9:1"
percent = { 1 = 1, 2 = 1 }
"""


@pytest.fixture
def bar(tmp_path):
    path = tmp_path / "clay.toml"
    path.write_text(BAR, encoding="utf-8")
    return path


def test_compare_says_which_ingredients_make_the_difference(capsys, bar):
    assert run(["compare", str(bar), "--why", "2", "1"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "2 is wetter than 1" in out
    assert "15.0 g (3 %)" in out
    assert "2 against 1" in out
    assert "together" in out
    assert "2 is wetter than 1 in 20 of 20" in out


def test_without_numbers_each_variant_is_told_against_the_active_one(capsys, bar):
    assert run(["compare", str(bar), "--why", "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert [(one["variant"], one["against"]) for one in made["differences"]] == [("2", "1")]
    assert [(one["variant"], one["against"]) for one in made["paired"]] == [("2", "1")]


def test_without_why_nothing_is_split(capsys, bar):
    run(["compare", str(bar), "--json"])
    assert "differences" not in json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        (["2", "9"], 'There is no variant "9".'),
        (["x", "1"], 'There is no variant "x".'),
        (["2", "2"], "Variant 2 is compared with itself."),
        (["2"], "It takes two variants, not 1."),
        (["1", "2", "1"], "It takes two variants, not 3."),
        (["1", "3"], "Nothing is in variant 3."),
    ],
)
def test_a_bad_pair_is_refused_in_one_sentence(capsys, bar, numbers, said):
    assert run(["compare", str(bar), "--why", *numbers]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert len(err.strip().splitlines()) == 1


def test_a_table_is_written_and_none_is_overwritten_unasked(capsys, bar, tmp_path):
    table = tmp_path / "bars.csv"
    assert run(["compare", str(bar), "--csv", str(table)]) == 0
    assert f"The table is written to {table}." in capsys.readouterr().out
    text = table.read_bytes()
    assert text.startswith(b"\xef\xbb\xbfwhat,name,unit,1,2\r\n")
    table.write_text("mine", encoding="utf-8")
    assert run(["compare", str(bar), "--csv", str(table)]) == 2
    assert "The file is there already." in capsys.readouterr().err
    assert table.read_text(encoding="utf-8") == "mine"
    assert run(["compare", str(bar), "--csv", str(table), "--force"]) == 0
    assert table.read_bytes() == text


def test_a_table_that_cannot_be_written_is_told(capsys, bar, tmp_path):
    assert run(["compare", str(bar), "--csv", str(tmp_path / "none" / "bars.csv")]) == 2
    assert "folder" in capsys.readouterr().err
    assert run(["compare", str(bar), "--csv", " "]) == 2
