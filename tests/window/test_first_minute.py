"""The first minute as the README tells it: the sticky demo, mended by keys."""

import re
from pathlib import Path

from PySide6.QtCore import Qt

from designer.window.application import Application
from designer.window.settings import Settings

README = Path(__file__).parents[2] / "README.md"


def test_the_sticky_demo_is_mended_as_the_readme_says(qapp, qtbot):
    application = Application(Settings(None))
    application.start([])
    window = application.windows[0]
    window.resize(1280, 800)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    document, table = window.document, window.page.table
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    assert window.page.headline.text.startswith("Sticks all through")
    assert window.page.part_in_focus() == "table"

    def here():
        return table.model().data(table.currentIndex(), Qt.ItemDataRole.AccessibleTextRole) or ""

    for _ in range(40):
        if "CAPB 30 %" in here():
            break
        qtbot.keyClick(table, Qt.Key.Key_Return)
    assert "CAPB 30 %" in here()
    for _ in range(4):
        qtbot.keyClick(table, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    row = next(one for one in document.recipe.rows if one.name == "CAPB 30 %")
    assert row.percents["1"] == 10.5
    qtbot.waitUntil(lambda: "comes clean" in window.page.headline.text, timeout=20_000)
    assert window.page.headline.text.startswith("Sticks at first")
    assert window.commands["undo"].text().startswith("&Undo CAPB 30 %")
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    assert window.page.headline.text.startswith("Sticks all through")
    window.filing.discard()


def test_the_readme_runs_the_window_first_and_names_these_keys():
    text = README.read_text(encoding="utf-8")
    run = text[text.index("## Run") : text.index("## Test")]
    assert re.search(r"^bash .ci/setup && .venv/bin/bar-dough$", run, re.MULTILINE)
    for word in ("Enter", "Shift+Down", "Ctrl+Z", "CAPB 30 %", "Ctrl+PgDown"):
        assert word in text
