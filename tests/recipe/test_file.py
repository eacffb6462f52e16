"""Files that are no recipe: each gets a sentence that names the place, within a second."""

import os
import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from designer.errors import ReadableError
from designer.recipe import QS, file
from designer.recipe.versions import CURRENT, HISTORY

GOOD = """\
format = 1
name = "Clay bar"

[bench]
room = "21 °C"

[variants.1]
title = "plain"
[variants.2]
title = "more clay"

[[row]]
phase = "powder"
name = "SCI, fine"
percent = { 1 = "q.s.", 2 = "q.s." }

[[row]]
phase = "powder"
name = "white clay"
percent = { 1 = 5.0, 2 = 8.0 }
"""


def refusal(text):
    """Return the error of a text, given within a second."""
    start = time.process_time()
    with pytest.raises(ReadableError) as caught:
        file.parse(text, "clay.toml")
    assert time.process_time() - start < 1
    error = caught.value
    assert error.title.startswith("clay.toml")
    assert len(str(error)) < 500
    assert error.advice.endswith(".")
    return error


def with_line(number, line):
    """Return the good file with one line, counted from 1, replaced."""
    lines = GOOD.split("\n")
    lines[number - 1] = line
    return "\n".join(lines)


def test_the_good_file_is_good():
    recipe = file.parse(GOOD)
    assert recipe.active.number == "1"
    assert recipe.rows[1].percents["2"] == 8.0


@pytest.mark.parametrize(
    ("line", "text", "title", "problem"),
    [
        (1, "", "clay.toml, format", "which format"),
        (1, "format = 2", "clay.toml, line 1, format", "newer format"),
        (1, "format = 0", "clay.toml, line 1, format", "not a version"),
        (1, 'format = "1"', "clay.toml, line 1, format", "not a version"),
        (1, "format = true", "clay.toml, line 1, format", "not a version"),
        (2, "name = 3", "clay.toml, line 2, name", "It is not text"),
        (2, 'name = "a\\u0000b"', "clay.toml, line 2, name", "cannot be shown"),
        (2, "name = ", "clay.toml, line 2", "not TOML: invalid value"),
        (2, "name", "clay.toml, line 2", "not TOML"),
        (4, "bench = 3", "clay.toml, line 4, bench", "not a table"),
        (5, 'room = "3 kg"', "clay.toml, line 5, room", "3 kg is not a temperature"),
        (5, 'room = "60 °C"', "clay.toml, line 5, room", "outside"),
        (5, "room = nan", "clay.toml, line 5, room", "not a finite number"),
        (5, "room = true", "clay.toml, line 5, room", "true is not a number"),
        (5, "room = [21]", "clay.toml, line 5, room", "list is not a number"),
        (5, "room = 2026-11-25", "clay.toml, line 5, room", "is not a number"),
        (5, 'batch = "1,250 kg"', "clay.toml, line 5, batch", "may mean 1.25 kg or 1250 kg"),
        (5, 'batch = ""', "clay.toml, line 5, batch", "Nothing is typed"),
        (5, f"batch = {'9' * 60}", "clay.toml, line 5, batch", "outside"),
        (5, 'knead = "20 to 5 min"', "clay.toml, line 5, knead", "ends below"),
        (5, "knead = 10", "clay.toml, line 5, knead", "not a span"),
        (5, 'wanted = "often"', "clay.toml, line 5, wanted", "often is not a chance"),
        (5, "wanted = 0.7", "clay.toml, line 5, wanted", "0.7 is not a chance"),
        (5, 'wanted = "0 of 20"', "clay.toml, line 5, wanted", "outside"),
        (5, 'wanted = "3 of 0"', "clay.toml, line 5, wanted", "outside"),
        (5, 'wanted = "130 %"', "clay.toml, line 5, wanted", "outside"),
        (5, "wanted = true", "clay.toml, line 5, wanted", "true is not a chance"),
        (5, 'makes = "many"', "clay.toml, line 5, makes", "many is not a number of bars"),
        (5, "makes = 24", "clay.toml, net", "without the weight of one"),
        (5, 'makes = 4\nnet = "9 g"\nbatch = 1', "clay.toml, line 7, batch", "Both the batch"),
        (5, 'makes = 0\nnet = "9 g"', "clay.toml, line 5, makes", "0 bars"),
        (7, "[variants.one]", "clay.toml, line 7, variants", "cannot be called 'one'"),
        (8, "title = 1", "clay.toml, line 8, title", "It is not text"),
        (8, 'active = "yes"', "clay.toml, line 8, active", "neither true nor false"),
        (13, "", "clay.toml, line 12, row 1 (SCI, fine), phase", "has no phase"),
        (13, 'phase = "mlet"', "clay.toml, line 13, row 1 (SCI, fine), phase", "'mlet' is not"),
        (14, "", "clay.toml, line 12, row 1, name", "has no name"),
        (14, 'name = ""', "clay.toml, line 14, row 1, name", "It is empty"),
        (15, "", "clay.toml, line 12, row 1 (SCI, fine), percent", "has no percent"),
        (20, "percent = -1", "clay.toml, line 20, row 2 (white clay), percent", "-1 is outside"),
        (20, "percent = 101", "clay.toml, line 20, row 2 (white clay), percent", "101 is outside"),
        (20, "percent = 1e6", "clay.toml, line 20, row 2 (white clay), percent", "is outside"),
        (20, "percent = nan", "clay.toml, line 20, row 2 (white clay), percent", "not a finite"),
        (20, "percent = inf", "clay.toml, line 20, row 2 (white clay), percent", "not a finite"),
        (20, "percent = true", "clay.toml, line 20, row 2 (white clay), percent", "true is not"),
        (20, "percent = []", "clay.toml, line 20, row 2 (white clay), percent", "list is not"),
        (20, 'percent = ""', "clay.toml, line 20, row 2 (white clay), percent", "Nothing is typed"),
        (20, 'percent = "1,250"', "clay.toml, line 20, row 2 (white clay), percent", "may mean"),
        (20, 'percent = "1.234,5"', "clay.toml, line 20, row 2 (white clay), percent", "may mean"),
        (20, 'percent = "12 g"', "clay.toml, line 20, row 2 (white clay), percent", "is a mass"),
        (20, 'percent = "3 m"', "clay.toml, line 20, row 2 (white clay), percent", "not a mass"),
        (
            20,
            f"percent = 0x{'f' * 5000}",
            "clay.toml, line 20, row 2 (white clay), percent",
            "is outside",
        ),
        (
            20,
            'percent = { 1 = "q.s." }',
            "clay.toml, line 20, row 2 (white clay), percent",
            "Rows 1 and 2 are both q.s. in variant 1",
        ),
        (
            20,
            "percent = { 3 = 5.0 }",
            "clay.toml, line 20, row 2 (white clay), percent",
            "'3' is not among",
        ),
        (
            20,
            'percent = 3\nheld = ["7"]',
            "clay.toml, line 21, row 2 (white clay), held",
            "'7' is not among",
        ),
        (
            20,
            'percent = 3\nheld = "1"',
            "clay.toml, line 21, row 2 (white clay), held",
            "not a list",
        ),
        (20, "percent = 3\nclass = 1", "clay.toml, line 21, row 2 (white clay), class", "not text"),
        (
            20,
            'percent = 3\nclass = "rock"',
            "clay.toml, line 21, row 2 (white clay), class",
            "'rock' is not a class",
        ),
        (
            20,
            "percent = 3\nswaps = [3]",
            "clay.toml, line 21, row 2 (white clay), swaps",
            "needs a name and a percent",
        ),
        (
            20,
            'percent = 3\nswaps = [{ name = "x", percent = "12 g" }]',
            "clay.toml, line 21, row 2 (white clay), swaps",
            "stated in percent",
        ),
        (
            20,
            'percent = 3\nswaps = [{ name = "x", percent = "q.s." }]',
            "clay.toml, line 21, row 2 (white clay), swaps",
            "cannot be q.s.",
        ),
        (
            20,
            'percent = 3\nswaps = [{ name = "x", percent = 3, variant = "8" }]',
            "clay.toml, line 21, row 2 (white clay), swaps",
            "'8' is not among",
        ),
    ],
)
def test_a_fault_is_told_with_its_line_and_key(line, text, title, problem):
    error = refusal(with_line(line, text))
    assert error.title == title
    assert problem in error.problem


@pytest.mark.parametrize(
    ("typed", "cell"),
    [
        ("5", 5.0),
        ('"1,5"', 1.5),
        ('"12.5 %"', 12.5),
        ('"Q.S."', QS),
        ("0", 0.0),
        ("100.0", 100.0),
        ("0x10", 16.0),
    ],
)
def test_a_figure_may_be_typed_in_several_ways(typed, cell):
    text = GOOD.replace('{ 1 = "q.s.", 2 = "q.s." }', "0").replace("{ 1 = 5.0, 2 = 8.0 }", typed)
    row = file.parse(text).rows[1]
    assert dict(row.percents) == {"1": cell, "2": cell}


def test_a_mass_is_a_share_of_the_batch_or_of_the_bars():
    text = with_line(20, 'percent = "12 g"')
    for batch in ('batch = "480 g"', 'makes = 4\nnet = "114 g"\nloss = "5 %"'):
        recipe = file.parse(text.replace('room = "21 °C"', batch))
        assert recipe.rows[1].percents["1"] == pytest.approx(2.5)


def test_a_variant_left_out_of_a_row_has_none_of_it():
    assert file.parse(with_line(20, "percent = { 2 = 8.0 }")).rows[1].percents.get("1") is None


def test_rows_of_one_ingredient_are_kept_apart():
    text = GOOD + GOOD[GOOD.rindex("[[row]]") :]
    assert [row.name for row in file.parse(text).rows] == ["SCI, fine", "white clay", "white clay"]


def test_held_may_be_true_for_every_variant():
    assert file.parse(GOOD + "held = true\n").rows[1].held == frozenset("12")
    assert file.parse(GOOD + "held = [2]\n").rows[1].held == frozenset("2")


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("", "empty"),
        (" \n\t\n", "empty"),
        ("\ufeff", "empty"),
        ("<html>", "not TOML"),
        (GOOD[:-6], "not TOML"),
        (GOOD + 'note = "', "not TOML"),
        (GOOD + 'note = """', "ends too early"),
        ("x = " + "[" * 200_000, "nested too deeply"),
        ("x = " + "[" * 400 + "]" * 400, "nested too deeply"),
        ("x = " + "{a=" * 100 + "1" + "}" * 100, "nested too deeply"),
        (".".join("a" * 400_000) + " = 1", "nested too deeply"),
        ("[" + ".".join("a" * 400_000) + "]", "nested too deeply"),
        ("\n".join(".".join("a" * 40) + f".{n} = 1" for n in range(5000)), "nested too deeply"),
        ("\n".join(".".join("abcdefghijklmnopqrstuvwxyz012345678") for _ in range(2)), "nested"),
        (".".join(['"a b!"'] * 100_000) + " = 1", "nested too deeply"),
        (".".join(["'a \"'"] * 100_000) + " = 1", "nested too deeply"),
        ('# """\n' + "a." * 100_000 + 'a = 1\n# """\n', "nested too deeply"),
        ('x = "' + '\\"' * 400_000, "not TOML"),
        ("x = '''\n" + '"' * 400_000, "ends too early"),
        ("x = " + "9" * 500_000, "number of thousands of digits"),
        ("format = 1\nrow = 3", "written the wrong way"),
        ("format = 1\nrow = [3]", "written the wrong way"),
        ("format = 1\nrow = [[]]", "written the wrong way"),
        ("format = 1\nvariants = 3", "written the wrong way"),
        ("format = 1\nvariants = { 1 = 3 }", "written the wrong way"),
        ("format = 1\n" + "[[row]]\n" * 501, "501 rows are too many"),
        ("format = 1\n" + "[[row]]\n" * 100_000, "100000 rows are too many"),
        ("format = 1\n" + "".join(f"[variants.{n}]\n" for n in range(1, 52)), "51 variants"),
        (f"format = 1\n[variants.{'1' * 500_000}]\n", "cannot be called"),
        (f'format = 1\nname = "{"x" * 500_000}"\n', "500000 characters long"),
        (with_line(20, "percent = 3\nswaps = [" + "3," * 9000 + "]"), "9000 entries, too many"),
        (with_line(20, f"percent = {{ {', '.join(f'{n} = 1' for n in range(9000))} }}"), "9000"),
        ("a" * 500_000, "not TOML"),
        ("a." * 450_000, "nested too deeply"),
        ('"' * 500_000, "not TOML"),
        ("[" * 500_000, "not TOML"),
        ("a = 1\n" * 150_000, "not TOML"),
        ("\n" * 500_000 + "x", "not TOML"),
    ],
)
def test_what_is_no_recipe_at_all_is_refused_within_a_second(text, problem):
    assert problem in refusal(text).problem


def test_a_large_but_proper_file_is_read_within_a_second():
    cells = ", ".join(f"{n} = 1.5" for n in range(1, 51))
    rows = f'[[row]]\nphase = "melt"\nname = "x"\npercent = {{ {cells} }}\n' * 500
    variants = "".join(f"[variants.{n}]\n" for n in range(1, 51))
    text = f'format = 1\nnotes = "{"y" * 150_000}"\n{variants}{rows}'
    start = time.process_time()
    assert len(file.parse(text).rows) == 500
    assert time.process_time() - start < 1


@given(st.data())
def test_a_file_cut_off_anywhere_is_read_or_refused(data):
    cut = data.draw(st.integers(0, len(GOOD)))
    try:
        recipe = file.parse(GOOD[:cut], "clay.toml")
    except ReadableError:
        return
    assert len(recipe.rows) <= 2


@given(st.integers(0, len(GOOD)), st.text(max_size=6))
def test_a_file_with_anything_typed_into_it_is_read_or_refused(place, typed):
    text = GOOD[:place] + typed + GOOD[place:]
    try:
        recipe = file.parse(text)
    except ReadableError:
        return
    assert file.text(recipe) == text


def test_a_note_of_many_short_sentences_is_no_deep_key():
    steps = " ".join(f"{n}." for n in range(1, 40))
    text = f'{GOOD}note = """\n{steps}\n# "\n[[row]]\n{steps}"""\n# {steps}\n'
    assert file.parse(text).rows[1].note.count(steps) == 2
    with pytest.raises(ReadableError, match="line 27, row 2"):
        file.parse(text + "held = [9]\n", "x")


def test_a_mark_of_byte_order_is_no_fault(tmp_path):
    path = tmp_path / "bom.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert file.read(path).name == "Clay bar"


def test_a_file_names_itself_in_its_faults(tmp_path):
    path = tmp_path / "clay.toml"
    path.write_text(with_line(2, "name = 3"), encoding="utf-8")
    with pytest.raises(ReadableError, match=r"^clay.toml, line 2, name: It is not text\."):
        file.read(path)


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (GOOD.encode("utf-16"), "UTF-16"),
        (b"\xfe\xff\0f", "UTF-16"),
        (b"\x7fELF\0\0\1", "not text"),
        (GOOD.encode() + b"\0", "not text"),
        (GOOD.encode("latin-1"), "not text in UTF-8"),
        (b"format = 1\nname = '\xff'", "not text in UTF-8"),
        (bytes(range(1, 256)), "not text in UTF-8"),
        (b"x" * 500_001, "0.5 MB"),
    ],
)
def test_bytes_that_are_no_text_are_refused(tmp_path, content, problem):
    path = tmp_path / "clay.toml"
    path.write_bytes(content)
    with pytest.raises(ReadableError) as caught:
        file.read(path)
    assert problem in caught.value.problem
    assert str(path) in caught.value.title


def test_the_line_of_a_strange_byte_is_told(tmp_path):
    path = tmp_path / "clay.toml"
    path.write_bytes(b"format = 1\nname = '\xff'")
    with pytest.raises(ReadableError, match=r"line 2: This is not text in UTF-8"):
        file.read(path)


def test_a_file_of_30_mb_is_refused_unread(tmp_path):
    path = tmp_path / "large.toml"
    with path.open("wb") as stream:
        stream.truncate(30_000_000)
    start = time.process_time()
    with pytest.raises(ReadableError, match=r"30\.0 MB"):
        file.read(path)
    assert time.process_time() - start < 0.1


def test_what_is_no_file_is_refused(tmp_path):
    fifo = tmp_path / "fifo"
    os.mkfifo(fifo)
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    cases = {
        tmp_path: "This is a folder.",
        fifo: "This is not a file on a disk.",
        "/dev/zero": "This is not a file on a disk.",
        tmp_path / "none.toml": "There is no such file.",
        tmp_path / "none" / "none.toml": "There is no such file.",
        loop: "cannot be read",
        tmp_path / ("x" * 300): "cannot be read",
        "nul\0byte": "cannot be read",
    }
    for path, problem in cases.items():
        with pytest.raises(ReadableError) as caught:
            file.read(path)
        assert problem in caught.value.problem


def test_a_file_one_may_not_read_is_refused(open_folder, as_nobody):
    path = open_folder / "clay.toml"
    path.write_text(GOOD, encoding="utf-8")
    path.chmod(0o200)
    assert "You may not read this file." in as_nobody(f"file.read({str(path)!r})")


def test_the_history_tells_of_every_version_up_to_the_current_one():
    assert sorted(HISTORY) == list(range(1, CURRENT + 1))
    assert all(HISTORY.values())


def test_reading_a_file_loads_neither_the_writer_s_parser_nor_the_unit_reader(tmp_path):
    path = tmp_path / "clay.toml"
    path.write_text(GOOD, encoding="utf-8")
    code = (
        "import sys; from designer.recipe import file, resolve\n"
        f"resolve(file.read({str(path)!r}))\n"
        "assert not {'tomlkit', 'pint', 'difflib', 'csv'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
