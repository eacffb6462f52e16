"""The comparison as a file, by the menu: what the terminal writes, and a page that can be read.

The PDF is read back by the rules of ISO 32000-1 for text: a font's ToUnicode map (9.10.3) says
which letter each code of a Tj operator (9.4.3) stands for.
"""

import csv
import io
import json
import re
import threading
import time
import zlib
from contextlib import suppress
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog

from designer.advice.differences import differences
from designer.advice.paired import paired
from designer.evaluation.evaluate import evaluate
from designer.recipe import Percents, file
from designer.terminal import run
from designer.window import export as module
from designer.window.export import content
from designer.window.main_window import MainWindow
from designer.wording.differences import difference_sentence, paired_sentence
from tests.window.conftest import DEMOS, in_use

DEMO = "three_oat_bars"


def streams(made):
    """Return the streams of a PDF as they are after decoding."""
    found = []
    for start in re.finditer(rb"stream\r?\n", made):
        end = made.find(b"endstream", start.end())
        raw = made[start.end() : end]
        try:
            found.append(zlib.decompress(raw))
        except zlib.error:
            found.append(raw)
    return found


def letters(made):
    """Return the letters that a PDF's fonts know, by the name of the font and the code."""
    known = {}
    names = dict(re.findall(rb"/F(\d+) (\d+) 0 R", made))
    for name, number in names.items():
        font = re.search(rb"\n%s 0 obj\s*<<(.*?)endobj" % number, made, re.S).group(1)
        place = re.search(rb"/ToUnicode (\d+) 0 R", font).group(1)
        start = re.search(rb"\n%s 0 obj.*?stream\r?\n" % place, made, re.S).end()
        raw = made[start : made.find(b"endstream", start)]
        with suppress(zlib.error):
            raw = zlib.decompress(raw)
        for block in re.findall(rb"beginbfrange(.*?)endbfrange", raw, re.S):
            for low, _, given in re.findall(rb"<(\w+)> <(\w+)> \[(.*?)\]", block, re.S):
                for step, code in enumerate(re.findall(rb"<(\w+)>", given)):
                    known[name, int(low, 16) + step] = chr(int(code, 16))
    return known


def text_of(made):
    """Return the texts of a PDF, one after the other."""
    known = letters(made)
    lines = []
    for stream in streams(made):
        for block in re.findall(rb"BT\n(.*?)ET\n", stream, re.S):
            name, words = b"", ""
            for font, codes in re.findall(rb"/F(\d+) [\d.]+ Tf|<([0-9A-F]+)> Tj", block):
                name = font or name
                for at in range(0, len(codes), 4):
                    words += known[name, int(codes[at : at + 4], 16)]
            # The space and the tab are one glyph, of which Qt names the tab.
            lines.append(words.replace("\t", " "))
    return lines


@pytest.fixture(scope="module")
def result(handbook, knowledge):
    return evaluate(file.read(DEMOS / f"{DEMO}.toml"), handbook, knowledge)


@pytest.fixture
def window(open_recipe, qtbot):
    made = MainWindow(open_recipe(DEMO))
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.complete()
    yield in_use(qtbot, made)
    made.filing.discard()


def ended(qtbot, window, path):
    with qtbot.waitSignal(window.export.ended, timeout=30_000):
        window.export.write(path)
    return window.strip.messages["export"].label.text()


def test_the_menu_asks_for_a_name_and_writes_the_kind_that_was_chosen(qtbot, window, tmp_path):
    qtbot.keyClick(
        window.page.table,
        Qt.Key.Key_E,
        Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier,
    )
    dialog = window.findChild(QFileDialog)
    assert dialog.windowTitle() == "Export the comparison"
    assert dialog.selectedFiles()[0].endswith("three_oat_bars_comparison.pdf")
    dialog.filterSelected.emit(module.FILTERS["csv"])
    assert dialog.selectedFiles()[0].endswith("three_oat_bars_comparison.csv")
    dialog.selectFile(str(tmp_path / "mine"))  # typed keys would race with the completion of names
    with qtbot.waitSignal(window.export.ended, timeout=30_000):
        dialog.accept()
    said = window.strip.messages["export"].label.text()
    assert said == f"The comparison is in mine.csv in {tmp_path}."
    rows = list(csv.reader(io.StringIO((tmp_path / "mine.csv").read_text("utf-8-sig"))))
    assert rows[0] == ["what", "name", "unit", "1", "2", "3"]
    qtbot.mouseClick(window.strip.messages["export"].keys[0], Qt.MouseButton.LeftButton)
    assert "export" not in window.strip.messages


def test_the_table_and_the_values_are_those_of_the_terminal(result, tmp_path, capsys):
    path = str(DEMOS / f"{DEMO}.toml")
    assert run(["compare", path, "--why", "--csv", str(tmp_path / "oat.csv"), "--json"]) == 0
    theirs = json.loads(capsys.readouterr().out)
    assert json.loads(content(".json", result, ())) == theirs
    assert content(".csv", result, ()) == (tmp_path / "oat.csv").read_bytes()


def test_the_page_is_one_a4_with_all_that_is_compared_as_letters(result):
    made = content(".pdf", result, ("4",))
    assert made.startswith(b"%PDF-1.")
    box = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", made)
    assert len(box) == 1
    # ISO 216: 210 mm by 297 mm.
    assert [float(side) / 72 * 25.4 for side in box[0]] == pytest.approx([210, 297], abs=0.4)
    lines = text_of(made)
    text = " ".join(lines)
    recipe = result.recipe
    assert lines[0] == "Three oat bars"
    assert "1 active" in lines
    assert "Nothing is in variant 4." in text
    for row in recipe.rows:
        assert row.name in lines
    for percent in result.amounts.percents.ravel():
        assert f"{float(percent):.2f}" in lines
    for variant in (1, 2):
        assert paired_sentence(paired(result, variant, 0)) in text
        one = differences(result, variant, 0)
        assert difference_sentence(one, recipe.bench.batch_mass) in text
    for words in ("Readings", "Wetness", "Firmness, kPa", "0.9–1.2", "Together", "+0.09", "−0.02"):
        assert words in lines
    assert "the assessor comes first" in text
    assert "1 of 1" in lines


def test_forty_rows_of_eight_variants_go_over_a_second_page_and_stay_readable(
    handbook, knowledge, result
):
    recipe = result.recipe
    for number in range(4, 9):
        recipe = recipe.add_variant(like="1").with_percent(0, str(number), 3.0 + number / 4)
    powder = next(row for row in recipe.rows if row.name == "white clay")
    traces = replace(powder, percents=Percents(dict.fromkeys(recipe.numbers, 0.01)))
    while len(recipe.rows) < 40:
        recipe = recipe.add_row(traces)
    found = evaluate(recipe.use_variant("1"), handbook, knowledge)
    made = content(".pdf", found, ())
    assert len(re.findall(rb"/MediaBox", made)) == 2
    lines = text_of(made)
    assert lines.count("white clay") == 23  # the one of the demo, and 22 more
    assert "2 of 2" in lines
    # 2.2 mm of type is the least, of which 1200 dots an inch make 1.04 times its size in px.
    sizes = {
        float(one) for stream in streams(made) for one in re.findall(rb"q\n([\d.]+) 0 0", stream)
    }
    assert min(sizes) > 0.85 * 2.2 / 25.4 * 1200 / 100 - 1e-6


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("oat.doc", "End the name with .pdf, .csv or .json."),
        ("nowhere/oat.pdf", "The folder does not exist."),
        ("folder.csv", "This is a folder."),
    ],
)
def test_what_cannot_be_written_is_said_in_the_strip(qtbot, window, tmp_path, name, words):
    (tmp_path / "folder.csv").mkdir()
    said = ended(qtbot, window, tmp_path / name)
    assert said.startswith("Not exported.")
    assert words in said


def test_a_full_disk_leaves_what_was_there(qtbot, window, tmp_path, monkeypatch):
    path = tmp_path / "oat.json"
    path.write_text("before")
    monkeypatch.setattr("designer.recipe.saving._write_all", full)
    said = ended(qtbot, window, path)
    assert "The disk is full." in said
    assert path.read_text() == "before"
    assert [one.name for one in tmp_path.iterdir()] == ["oat.json"]


def full(_descriptor, _content):
    raise OSError(28, "No space left on device")


def test_a_folder_that_may_only_be_read_is_told_of(qtbot, window, tmp_path, monkeypatch):
    def refused(*_args, **_more):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("designer.recipe.saving.os.open", refused)
    said = ended(qtbot, window, tmp_path / "oat.pdf")
    assert "You may not write here." in said


def test_one_variant_alone_cannot_be_compared(qtbot, window):
    document = window.document
    document.edit("Alone", document.recipe.remove_variant("3").remove_variant("2"))
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    window.export.ask()
    said = window.strip.messages["export"].label.text()
    assert "There is only one variant with anything in it." in said
    assert "Copy it (Ctrl+D)" in said
    assert window.findChild(QFileDialog) is None


def test_what_takes_long_can_be_stopped_and_the_window_goes_on(
    qtbot, window, tmp_path, monkeypatch
):
    begun = threading.Event()

    def slow(_result, _one, _other, stop):
        begun.set()
        while not stop():
            time.sleep(0.005)
        raise InterruptedError

    monkeypatch.setattr("designer.advice.differences.differences", slow)
    window.export.write(tmp_path / "oat.pdf")
    assert begun.wait(5)
    qtbot.waitUntil(lambda: "export" in window.strip.messages, timeout=5_000)
    message = window.strip.messages["export"]
    assert message.label.text() == "The comparison is being written."
    assert [key.text() for key in message.keys] == ["Stop"]
    with qtbot.waitSignal(window.export.ended):
        qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    assert "export" not in window.strip.messages
    assert list(tmp_path.iterdir()) == []


def test_the_window_is_not_held_while_a_page_is_made(qtbot, window, tmp_path):
    turns = []
    last = time.perf_counter()
    window.export.write(tmp_path / "oat.pdf")
    while window.export.is_busy:
        QApplication.processEvents()
        now = time.perf_counter()
        turns.append(now - last)
        last = now
        time.sleep(0.001)
    # Others use this machine as well: nine of ten turns must be short.
    assert sorted(turns)[int(0.9 * len(turns))] < 0.05
