"""The command line as a person meets it: help, exit codes, one clear sentence per mistake."""

import json
import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from designer.terminal import run

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "demo_recipes"

BAR = """format = 1
name = "Clay bar"
[bench]
room = "21 °C"
batch = "0.5 kg"
[variants.1]
title = "one"
[variants.2]
title = "two"
[[row]]
phase = "melt"
name = "cocoa butter"
percent = { 1 = 8, 2 = 9 }
[[row]]
phase = "melt"
name = "cetyl alcohol (95 %+)"
percent = { 1 = 6, 2 = 6 }
[[row]]
phase = "powder"
name = "SCI fine powder"
percent = { 1 = "q.s.", 2 = "q.s." }
[[row]]
phase = "powder"
name = "white clay"
percent = { 1 = 6, 2 = 6 }
[[row]]
phase = "liquid"
name = "CAPB 30 %"
percent = { 1 = 17, 2 = 22 }
[[row]]
phase = "last"
name = "phenoxyethanol/ethylhexylglycerin 9:1"
percent = 1
"""


@pytest.fixture
def bar(tmp_path):
    path = tmp_path / "clay.toml"
    path.write_text(BAR, encoding="utf-8")
    return path


def refused(capsys, arguments):
    """Run a command that must be refused, and return its one sentence."""
    start = time.perf_counter()
    code = run([str(a) for a in arguments])
    took = time.perf_counter() - start
    out, err = capsys.readouterr()
    assert code == 2, (out, err)
    assert err.startswith("bar-dough: ")
    assert "Traceback" not in err
    assert "mistake of the program" not in err
    assert len(err.strip().splitlines()) == 1
    assert took < 1.0
    return err


def test_check_says_the_sentence_first(capsys, bar):
    assert run(["check", str(bar)]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    first = out.splitlines()[0]
    assert re.match(r"[A-Z].*", first)
    assert "of 20 such batches" in out
    for word in ("liquid to powder", "wetness", "80 % interval", "known-good", "comes clean from"):
        assert word in out


def test_check_takes_conditions_and_another_variant(capsys, bar):
    run(["check", str(bar), "--json"])
    usual = json.loads(capsys.readouterr().out)
    typed = ["--variant", "2", "--room", "28C", "--humidity", "65%", "--bath", "75 °C"]
    typed += ["--batch", "2.5 kg", "--liquids", "30C", "--knead", "5 min to 15 min"]
    run(["check", str(bar), "--json", *typed])
    other = json.loads(capsys.readouterr().out)
    assert usual["variant"] == "1"
    assert other["variant"] == "2"
    facts = other["conditions"]
    assert facts["room"] == {"value": 28.0, "unit": "degC"}
    assert facts["humidity"]["value"] == 65.0
    assert facts["bath"]["value"] == 75.0
    assert facts["dough_mass"] == {"value": 2500.0, "unit": "g"}
    assert facts["knead_minutes"] == [5.0, 15.0]


def test_tables_only_says_so_and_lowers_the_chance(capsys):
    path = str(DEMO / "oat_bar.toml")
    run(["check", path, "--json"])
    usual = json.loads(capsys.readouterr().out)
    run(["check", path, "--json", "--tables-only"])
    tables = json.loads(capsys.readouterr().out)
    assert tables["conditions"]["knowledge"] == "tables only"
    name = "clean_knead_chance"
    assert tables["readings"][name]["value"] < usual["readings"][name]["value"]


def test_why_names_every_ingredient(capsys, bar):
    run(["check", str(bar), "--why"])
    out = capsys.readouterr().out
    assert "one tenth more of" in out
    assert out.count("cocoa butter") == 1


def test_compare_puts_variants_side_by_side(capsys, bar):
    assert run(["compare", str(bar)]) == 0
    out = capsys.readouterr().out
    assert "1 one: " in out
    assert "2 two: " in out
    assert "cocoa butter *" in out
    assert "draws common" in out
    run(["compare", str(bar), "--json"])
    made = json.loads(capsys.readouterr().out)
    assert [one["variant"] for one in made["variants"]] == ["1", "2"]


@pytest.fixture
def with_an_empty(bar):
    """A recipe whose third variant, the active one, has nothing in it."""
    text = bar.read_text().replace("percent = 1\n", "percent = { 1 = 1, 2 = 1 }\n")
    variant = '[variants.3]\ntitle = "to come"\nactive = true\n'
    bar.write_text(text.replace("[[row]]", f"{variant}[[row]]", 1))
    return bar


def test_compare_leaves_an_empty_variant_out_and_says_so(capsys, with_an_empty):
    assert run(["compare", str(with_an_empty)]) == 0
    out = capsys.readouterr().out
    assert "1 one: " in out
    assert "3: left out, nothing is in it." in out
    assert run(["compare", str(with_an_empty), "--json"]) == 0
    made = json.loads(capsys.readouterr().out)
    assert [one["variant"] for one in made["variants"]] == ["1", "2"]
    assert made["left_out"] == ["3"]


def test_check_minds_no_empty_variant_but_the_one_asked_for(capsys, with_an_empty, bar):
    run(["check", str(with_an_empty), "--variant", "2", "--json"])
    beside = json.loads(capsys.readouterr().out)
    bar.write_text(BAR)
    run(["check", str(bar), "--variant", "2", "--json"])
    assert beside == json.loads(capsys.readouterr().out)


def test_a_check_of_an_empty_variant_says_that_it_is(capsys, with_an_empty):
    assert run(["check", str(with_an_empty)]) == 2
    assert "variant 3: No ingredient has more than 0 %." in capsys.readouterr().err


def test_a_comparison_of_empty_variants_says_that_they_are(capsys, bar):
    bar.write_text("format = 1\n[variants.1]\n[variants.2]\n")
    assert run(["compare", str(bar)]) == 2
    assert "No ingredient has more than 0 %." in capsys.readouterr().err


def test_materials_finds_by_part_of_a_name_and_shows_one_whole(capsys):
    assert run(["materials", "clay"]) == 0
    assert "white clay" in capsys.readouterr().out
    assert run(["materials", "white clay"]) == 0
    card = capsys.readouterr().out
    assert "uptake polar" in card
    assert "source:" in card
    assert run(["materials", "no such thing at all"]) == 1
    assert "Nothing is called" in capsys.readouterr().out
    run(["materials", "white clay", "--json"])
    made = json.loads(capsys.readouterr().out)[0]
    for number in made["numbers"].values():
        assert number["source"]
        assert number["unit"]
        assert number["evidence"] in ("measured", "published", "memory", "estimate")


CSV = """inci_name,common_name,percent,phase
Theobroma Cacao Seed Butter,cocoa butter,7,melt
Cetyl Alcohol,cetyl alcohol (95 %+),6,melt
Sodium Cocoyl Isethionate,SCI fine powder,q.s.,powder
Kaolin,white clay,6,powder
Cocamidopropyl Betaine,CAPB 30 %,11,liquid
Glycerin,glycerin,3,liquid
"""


def test_a_table_becomes_a_recipe_and_a_verdict(capsys, tmp_path):
    table, path = tmp_path / "bar.csv", tmp_path / "bar.toml"
    table.write_text(CSV, encoding="utf-8")
    assert run(["new", str(path), "--from-csv", str(table), "--name", "My bar"]) == 0
    assert "bar-dough check" in capsys.readouterr().out
    assert run(["check", str(path)]) == 0
    assert "My bar" in capsys.readouterr().out
    assert "already" in refused(capsys, ["new", path, "--from-csv", table])
    assert run(["new", str(path), "--from-csv", str(table), "--force"]) == 0


def test_a_table_without_phases_gets_them_from_the_handbook(capsys, tmp_path):
    table, path = tmp_path / "bar.csv", tmp_path / "bar.toml"
    lines = [",".join(line.split(",")[:3]) for line in CSV.splitlines()]
    table.write_text("\n".join(lines), encoding="utf-8")
    assert run(["new", str(path), "--from-csv", str(table)]) == 0
    text = path.read_text(encoding="utf-8")
    assert text.count('phase = "powder"') == 2
    assert text.count('phase = "melt"') == 2


def test_unknown_names_of_a_table_are_told_all_at_once(capsys, tmp_path):
    table = tmp_path / "bar.csv"
    table.write_text(CSV + "X,cocoa buter,1,melt\nY,plum water,1,liquid\n", encoding="utf-8")
    said = refused(capsys, ["new", tmp_path / "a.toml", "--from-csv", table])
    assert "cocoa buter" in said
    assert "cocoa butter" in said
    assert "plum water" in said
    assert not (tmp_path / "a.toml").exists()


BAD_FILES = {
    "broken": ('format = 1\nname = "x\n', "line 2"),
    "empty": ("", None),
    "newer": (BAR.replace("format = 1", "format = 99"), "newer"),
    "no rows": ('format = 1\nname = "x"\n', None),
    "nan": (BAR.replace("percent = { 1 = 6, 2 = 6 }", "percent = { 1 = nan, 2 = 6 }", 1), "cetyl"),
    "negative": (BAR.replace("{ 1 = 8, 2 = 9 }", "{ 1 = -8, 2 = 9 }"), "cocoa butter"),
    "above 100": (BAR.replace("{ 1 = 8, 2 = 9 }", "{ 1 = 108, 2 = 9 }"), "cocoa butter"),
    "a million": (BAR.replace("{ 1 = 8, 2 = 9 }", "{ 1 = 1e6, 2 = 9 }"), "cocoa butter"),
    "two readings": (BAR.replace("{ 1 = 8, 2 = 9 }", '{ 1 = "1,250", 2 = 9 }'), "1,250"),
    "wrong unit": (BAR.replace('room = "21 °C"', 'room = "21 kg"'), "room"),
    "phase": (BAR.replace('phase = "last"', 'phase = "first"'), "first"),
    "no variant": (BAR.replace("{ 1 = 8, 2 = 9 }", "{ 1 = 8, 5 = 9 }"), "5"),
    "zero": (re.sub(r"percent = .*", "percent = 0", BAR), None),
    "unknown": (BAR.replace('"cocoa butter"', '"cacao buter"'), "cacao buter"),
    "deep": ("a = " + "[" * 5000 + "]" * 5000, None),
}


@pytest.mark.parametrize("kind", sorted(BAD_FILES))
def test_a_bad_file_is_refused_in_one_sentence(capsys, tmp_path, kind):
    text, named = BAD_FILES[kind]
    path = tmp_path / "bad.toml"
    path.write_text(text, encoding="utf-8")
    said = refused(capsys, ["check", path])
    if named is not None:
        assert named in said


def test_files_that_are_no_recipes_are_refused(capsys, tmp_path):
    binary, huge = tmp_path / "binary.toml", tmp_path / "huge.toml"
    binary.write_bytes(bytes(range(256)) * 10)
    with huge.open("wb") as big:
        big.truncate(30_000_000)
    for path in (binary, huge, tmp_path, tmp_path / "absent.toml"):
        assert str(path.name) in refused(capsys, ["check", path])


def test_a_leading_byte_order_mark_is_read(capsys, tmp_path):
    path = tmp_path / "bom.toml"
    path.write_bytes(b"\xef\xbb\xbf" + BAR.encode())
    assert run(["check", str(path)]) == 0


BAD_ARGUMENTS = [
    ["check"],
    ["chek", "x"],
    ["check", "FILE", "--variant", "9"],
    ["check", "FILE", "--room", "hot"],
    ["check", "FILE", "--room", "900C"],
    ["check", "FILE", "--room", "nan"],
    ["check", "FILE", "--humidity", "120%"],
    ["check", "FILE", "--humidity", "-5%"],
    ["check", "FILE", "--batch", "3 m"],
    ["check", "FILE", "--batch", ""],
    ["check", "FILE", "--batch", "1.234,5 g"],
    ["check", "FILE", "--bath", "1e6"],
    ["check", "FILE", "--knead", "20 min to 5 min"],
    ["check", "FILE", "--draws", "many"],
    ["check", "FILE", "--draws", "7"],
    ["compare", "FILE", "--variant", "1"],
    ["new", "x.toml"],
]


@pytest.mark.parametrize("arguments", BAD_ARGUMENTS, ids=" ".join)
def test_a_bad_argument_is_refused_in_one_sentence(capsys, bar, arguments):
    refused(capsys, [str(bar) if a == "FILE" else a for a in arguments])


@settings(max_examples=60)
@given(st.lists(st.text(max_size=12), max_size=5))
def test_no_argument_makes_the_program_stumble(arguments):
    assert run(["check", *arguments]) in (0, 1, 2)


@settings(max_examples=60)
@given(st.text(max_size=300))
def test_no_text_makes_the_reader_stumble(tmp_path_factory, text):
    path = tmp_path_factory.mktemp("any") / "any.toml"
    path.write_text(text, encoding="utf-8", errors="surrogatepass")
    assert run(["check", str(path)]) == 2


def test_help_teaches_and_version_tells(capsys):
    assert run([]) == 0
    assert "commands" in capsys.readouterr().out
    for command in ("check", "compare", "materials", "new"):
        assert run([command, "--help"]) == 0
        assert "examples:" in capsys.readouterr().out
    assert run(["--version"]) == 0
    assert re.search(r"\d+\.\d+\.\d+", capsys.readouterr().out)


def test_a_mistake_of_the_program_is_told_without_a_traceback(capsys, monkeypatch, bar):
    from designer.terminal import sources

    def stumble(*_):
        raise RuntimeError("inner")

    monkeypatch.delenv("BAR_DOUGH_DEBUG", raising=False)
    monkeypatch.setattr(sources, "opened", stumble)
    assert run(["check", str(bar)]) == 70
    err = capsys.readouterr().err
    assert "RuntimeError" in err
    assert "Traceback" not in err


def command(arguments, **kwargs):
    environment = {**os.environ, "PYTHONPATH": str(ROOT), **kwargs.pop("env", {})}
    return subprocess.run(
        [sys.executable, "-m", "designer", *arguments],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
        **kwargs,
    )


def test_a_terminal_without_special_letters_gets_plain_ones(bar):
    done = command(["check", str(bar)], env={"PYTHONIOENCODING": "ascii", "COLUMNS": "80"})
    assert done.returncode == 0
    assert done.stdout.isascii()
    assert done.stderr == ""


def test_a_reader_that_goes_away_is_no_error(bar):
    line = f"'{sys.executable}' -m designer compare '{bar}' --json | head -c 10"
    done = subprocess.run(
        ["bash", "-c", line],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        check=True,
    )
    assert done.stderr == ""


def test_a_name_that_contradicts_its_inci_name_is_told_in_the_sentence(capsys, tmp_path):
    path = tmp_path / "betaine.toml"
    text = BAR.replace('name = "CAPB 30 %"', 'name = "glycerin"\ninci = "Cocamidopropyl Betaine"')
    path.write_text(text, encoding="utf-8")
    assert run(["check", str(path)]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "was taken as Glycerin, but its row says Cocamidopropyl Betaine" in out
