"""What is printed arrives whole, in one line per mistake, or says why it could not arrive."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from designer.terminal import layout, run

ROOT = Path(__file__).parents[2]
LIGHT = {"designer.evaluation.evaluate", "numpy", "pint", "pydantic", "scipy", "tomlkit"}
"""What help needs none of."""


def shell(line, **environment):
    """Run a line of bash in which $DOUGH is the program, as a person's own terminal would."""
    variables = {key: value for key, value in os.environ.items() if key != "PYTHONUNBUFFERED"}
    return subprocess.run(
        ["bash", "-c", f"set -o pipefail; {line}"],
        capture_output=True,
        text=True,
        check=False,
        env={
            **variables,
            "PYTHONPATH": str(ROOT),
            "DOUGH": f"{sys.executable} -m designer",
            **environment,
        },
    )


@pytest.mark.parametrize("command", ["", "check", "compare", "materials", "new"])
def test_help_is_readable_on_a_terminal_with_plain_letters_only(command):
    done = shell(f"$DOUGH {command} --help", PYTHONIOENCODING="ascii")
    assert done.returncode == 0
    assert done.stderr == ""
    assert done.stdout.isascii()
    assert "usage:" in done.stdout


@pytest.mark.parametrize("command", ["--help", "--version", "materials 'white clay'", "materials"])
def test_a_reader_that_goes_away_leaves_no_complaint(command):
    done = shell(f"$DOUGH {command} | true")
    assert done.stderr == ""
    assert done.returncode == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
@pytest.mark.parametrize("command", ["--help", "materials 'white clay'", "materials"])
@pytest.mark.parametrize("buffered", ["", "1"])
def test_a_full_disk_behind_the_output_is_told_in_one_sentence(command, buffered):
    done = shell(f"$DOUGH {command} > /dev/full", PYTHONUNBUFFERED=buffered)
    assert done.returncode == 2
    assert "cannot be written" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_closed_output_is_no_mistake():
    done = shell("$DOUGH materials clay >&-")
    assert (done.returncode, done.stderr) == (0, "")


def test_a_figure_keeps_its_sign_on_a_terminal_with_plain_letters_only(monkeypatch):
    stream = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr("sys.stdout", stream)
    layout.say("cocoa butter \N{MINUS SIGN}5.8, water ±0")
    stream.seek(0)
    assert stream.read() == "cocoa butter -5.8, water +-0\n"


def test_a_complaint_uses_letters_that_the_terminal_has(tmp_path):
    path = tmp_path / "bar.toml"
    path.write_text("format = 1\n", encoding="utf-8")
    done = shell(f"$DOUGH check {path} --room '900 °C'", PYTHONIOENCODING="ascii")
    assert done.returncode == 2
    assert done.stderr.isascii()
    assert "\\x" not in done.stderr


@pytest.mark.parametrize(
    "name", ["two\nlines.toml", "\x1b[31mred.toml", "tab\there", "\udcff.toml", "", "  "]
)
def test_a_strange_file_name_is_told_in_one_plain_line(capsys, name):
    assert run(["check", name]) == 2
    told = capsys.readouterr().err
    assert len(told.splitlines()) == 1
    assert told.rstrip("\n").isprintable()


def test_stopping_a_command_is_told_without_a_traceback(capsys, monkeypatch):
    from designer.terminal import materials

    def stop(_):
        raise KeyboardInterrupt

    monkeypatch.setattr(materials, "run", stop)
    assert run(["materials"]) == 130
    assert capsys.readouterr().err == "bar-dough: stopped.\n"


def test_a_mistake_of_the_program_shows_its_place_only_when_asked(capsys, monkeypatch):
    from designer.terminal import materials

    def stumble(_):
        raise ZeroDivisionError

    monkeypatch.setattr(materials, "run", stumble)
    monkeypatch.setenv("BAR_DOUGH_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        run(["materials"])
    monkeypatch.delenv("BAR_DOUGH_DEBUG")
    assert run(["materials"]) == 70
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_help_loads_nothing_that_it_does_not_need():
    code = (
        "import sys; from designer.terminal import run; run(['check', '--help']); "
        f"print(sorted({LIGHT!r} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.stderr.strip() == "[]"


BAR = """format = 1
name = "Nettle and clay bar for a rainy spring market"
[variants.1]
title = "plain"
[variants.2]
title = "all liquid"
[variants.3]
title = "wetter"
[[row]]
phase = "melt"
name = "stearic acid, double/triple pressed (C16/C18)"
percent = { 1 = 14, 2 = 0, 3 = 14 }
[[row]]
phase = "powder"
name = "SCI fine powder"
percent = { 1 = 64, 2 = 20, 3 = 59 }
[[row]]
phase = "liquid"
name = "CAPB 30 %"
percent = { 1 = 15, 2 = 73, 3 = 20 }
[[row]]
phase = "liquid"
name = "glycerin"
percent = { 1 = 6, 2 = 6, 3 = 6 }
[[row]]
phase = "last"
name = "phenoxyethanol"
percent = 1
"""


@pytest.fixture
def bar(tmp_path):
    path = tmp_path / "bar.toml"
    path.write_text(BAR, encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("columns", [80, 100])
@pytest.mark.parametrize(
    "arguments", [["check", "--why"], ["check", "--variant", "2"], ["compare"], ["materials"]]
)
def test_no_line_is_wider_than_the_terminal(capsys, monkeypatch, bar, columns, arguments):
    monkeypatch.setenv("COLUMNS", str(columns))
    name, *options = arguments
    assert run([name, *([] if name == "materials" else [bar]), *options]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line for line in lines if len(line) > columns] == []


def test_outside_the_model_no_clock_mark_or_cause_is_printed(capsys, bar):
    run(["check", bar, "--variant", "2", "--why"])
    told = capsys.readouterr().out
    assert told.startswith("No forecast")
    for words in ("of 20", "from the pour", "wrap from", "one tenth more of"):
        assert words not in told


def test_variants_are_ordered_by_the_draws_they_share_and_none_without_forecast(bar):
    from designer import handbook
    from designer.advice.paired import two_likeliest
    from designer.evaluation import knowledge
    from designer.evaluation.evaluate import evaluate
    from designer.recipe import file
    from designer.wording.differences import order_sentence

    recipe = file.read(bar)
    result = evaluate(recipe, handbook.load(), knowledge.shipped())
    told = order_sentence(two_likeliest(result))
    chance = result.clean_knead_chance
    first, other = ("1", "3") if chance[0] > chance[2] else ("3", "1")
    assert told.startswith(f"{first} is likelier to come clean than {other}")
    clean = {"1": result.clean[0], "3": result.clean[2]}
    ahead = round(20 * float((clean[first] > clean[other]) @ result.weights))
    behind = round(20 * float((clean[first] < clean[other]) @ result.weights))
    assert f"in {ahead} of 20, the other way round in {behind}." in told
    alone = evaluate(recipe.only("1", "2"), handbook.load(), knowledge.shipped())
    assert order_sentence(two_likeliest(alone)) == ""
