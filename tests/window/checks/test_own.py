"""The own tables: rows added, changed and removed by keys, kept apart, bad ones told."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox

from designer.exchange import own_tables
from designer.exchange.own_tables import ALLERGENS, LIMITS
from designer.window.checks.ask import Ask
from designer.window.checks.own import OwnTables
from tests.window.checks.conftest import told_anew

GLYCERIN = {"name": "Glycerin", "max_percent": "1,5", "source": "our own line, 2026"}


@pytest.fixture(autouse=True)
def folder(monkeypatch, tmp_path):
    monkeypatch.setattr(own_tables, "folder", lambda: tmp_path / "own")
    return tmp_path / "own"


@pytest.fixture
def tables(qtbot, opened):
    """Return the page and its editor of own tables, opened by its key."""
    window, page = opened("oat_bar")
    qtbot.keyClick(page.list, Qt.Key.Key_O)
    dialog = window.findChild(OwnTables)
    assert dialog.isVisible()
    return page, dialog


def fill(qtbot, dialog, what, lines):
    """Press a key of the editor, fill in the row, and take it; return the form."""
    qtbot.mouseClick(dialog.keys[what], Qt.MouseButton.LeftButton)
    form = next(one for one in dialog.findChildren(Ask) if one.isVisible())
    for name, text in lines.items():
        field = form.fields[name]
        if isinstance(field, QComboBox):
            field.setCurrentIndex(field.findData(text))
        else:
            field.selectAll()
            qtbot.keyClick(field, Qt.Key.Key_Delete)
            qtbot.keyClicks(field, text)
    qtbot.mouseClick(form.take_key, Qt.MouseButton.LeftButton)
    return form


def test_an_own_limit_is_held_against_the_bar_at_once_and_goes_with_its_row(qtbot, tables, folder):
    page, dialog = tables
    told_anew(qtbot, page, lambda: fill(qtbot, dialog, "add", GLYCERIN))
    one = next(row for row in page.list.checks if row.line.title == "Glycerin")
    assert one.verdict_words == "over a limit"
    assert "own table: our own line, 2026" in one.line.source
    assert "1 of their limits is your own" in page.as_of.text()
    assert "Tables of 28 November 2026" in page.as_of.text()
    assert (folder / "use_limits.csv").read_text(encoding="utf-8").startswith("name,cas,authority")

    dialog.views[LIMITS].selectRow(0)
    told_anew(qtbot, page, lambda: fill(qtbot, dialog, "change", {"max_percent": "30"}))
    assert next(r for r in page.list.checks if r.line.title == "Glycerin").verdict == "within"
    view = dialog.views[LIMITS]
    told_anew(qtbot, page, lambda: qtbot.keyClick(view, Qt.Key.Key_Delete))
    assert not (folder / "use_limits.csv").exists()
    assert "own" not in page.as_of.text()
    back = dialog.keys["back"]
    told_anew(qtbot, page, lambda: qtbot.mouseClick(back, Qt.MouseButton.LeftButton))
    assert own_tables.rows(LIMITS)[0]["max_percent"] == "30"


def test_an_own_allergen_threshold_counts_on_the_label_too(qtbot, tables):
    page, dialog = tables
    window = page.window()
    window.show_page("label")
    label = window.pages.current
    qtbot.waitUntil(lambda: label.sheet is not None, timeout=20_000)
    assert "Glycerin" not in [one.allergen.name for one in label.sheet.allergens]
    window.show_page("checks")
    dialog.tabs.setCurrentIndex(1)
    row = {"name": "Glycerin", "rinse_off_percent": "0.01", "source": "a customer's wish"}
    told_anew(qtbot, page, lambda: fill(qtbot, dialog, "add", row))
    assert own_tables.law().allergen("Glycerin").source == "a customer's wish"
    assert own_tables.rows(ALLERGENS)[0]["name"] == "Glycerin"
    assert own_tables.law().allergen("Linalool") is not None
    dialog.close()
    window.show_page("label")
    assert "Glycerin" in [one.allergen.name for one in label.sheet.allergens]


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ({"source": ""}, "There is no source."),
        ({"max_percent": "150"}, "Most: 150 is not plausible: 0 to 100 is. Correct it here"),
        ({"groups": "moons"}, 'There is no row "(group) moons" with its limit.'),
    ],
)
def test_a_row_that_cannot_be_used_is_told_and_stays_to_be_mended(qtbot, tables, change, problem):
    _, dialog = tables
    form = fill(qtbot, dialog, "add", GLYCERIN | change)
    assert form.isVisible()
    assert problem in form.problem.text()
    assert own_tables.rows(LIMITS) == []
    assert form.typed()["name"] == (GLYCERIN | change)["name"]


def test_a_table_broken_from_outside_is_told_left_alone_and_the_checks_go_on(qtbot, opened, folder):
    folder.mkdir()
    path = folder / "use_limits.csv"
    path.write_text("name,markets\nGlycerin\n", encoding="utf-8")
    window, page = opened("oat_bar")
    assert "Own table use_limits.csv" in page.summary.text()
    assert "your own rows are left out" in page.summary.text()
    assert len(page.list.checks) > 30
    qtbot.keyClick(page.list, Qt.Key.Key_O)
    dialog = window.findChild(OwnTables)
    assert "It is left as it is." in dialog.problem.text()
    assert not dialog.keys["add"].isEnabled()
    assert path.read_text(encoding="utf-8") == "name,markets\nGlycerin\n"
