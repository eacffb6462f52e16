"""The page Checks, by keys and clicks: what is told, sorted, copied, and what it never says."""

import csv
from dataclasses import replace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from designer.evaluation.verdicts import VERDICTS
from designer.handbook.law import load
from designer.recipe import Row, file
from designer.window import demos, theme
from designer.window.main_window import MainWindow
from designer.wording.check_groups import GROUPS
from designer.wording.checks_told import told_of
from tests.window.checks.conftest import CTRL, WEAK, is_told, told_anew, typed
from tests.window.conftest import in_use


def row_of(page, words):
    return next(one for one in page.list.checks if words in one.line.title)


def all_words(page):
    labels = (page.held, page.summary, page.as_of, page.disclaimer, page.assessed.standing)
    rows = [" ".join((*one.cells, one.line.note)) for one in page.told.rows]
    figures = [" ".join(r) for f in (page.keeping.readings, page.keeping.doses) for r in f.rows]
    return " ".join([*(one.text() for one in labels), *rows, *figures])


def test_ctrl_5_shows_every_check_under_its_group_with_verdict_source_and_day(opened):
    window, page = opened()
    assert window.page_bar.keys["checks"].isChecked()
    assert page.list.hasFocus()
    assert page.list.heads == [head for head in GROUPS if head in page.list.heads]
    assert len(page.list.checks) == len(page.told.rows) > 30
    assert {one.verdict for one in page.list.checks} <= set(VERDICTS)
    one = row_of(page, "All benzoates together")
    assert one.verdict == "within"
    assert "2.5 %" in one.cells[2]
    assert "Annex V/1" in one.source
    assert "table of 28 November 2026" in one.source
    assert "Tables of 28 November 2026" in page.as_of.text()
    assert page.list.heads[-1] == "Not looked at by this program"


def test_the_bar_with_the_weak_preservative_is_not_praised(opened):
    _, page = opened()
    assert "Its preservative may be weak" in page.summary.text()
    assert row_of(page, "in the form that preserves").verdict == "close"
    told = all_words(page).lower()
    for word in (
        "compliant",
        "is safe",
        "keeps well",
        "well preserved",
        "enough preserv",
        "passed",
    ):
        assert word not in told
    assert "says nothing of what was not checked" in page.summary.text()
    assert "not legal, medical or safety advice" in page.disclaimer.text()


def test_the_check_at_the_cursor_is_told_in_full_beside_the_list(qtbot, opened):
    _, page = opened()
    titles = [one.line.title for one in page.list.checks]
    assert page.list.current.line.title == titles[0]
    for _ in range(titles.index("Water activity")):
        qtbot.keyClick(page.list, Qt.Key.Key_Down)
    assert page.list.current.line.title == "Water activity"
    told = page.detail.toPlainText()
    assert "decides nothing" in told
    assert "ISO 29621" in told
    assert "A bar in a wet dish is at water activity 1 on its surface" in told
    qtbot.keyClick(page.list, Qt.Key.Key_Up)
    told = page.detail.toPlainText()
    assert "Grate 10 g into 90 g" in told
    assert "What moves the pH:" in told


def test_keys_sort_by_verdict_and_show_some_verdicts_alone(qtbot, opened):
    _, page = opened()
    count = len(page.list.checks)
    qtbot.keyClick(page.list, Qt.Key.Key_S)
    assert page.sort_key.text() == "By verdict"
    shown = [one.verdict for one in page.list.checks if one.line.code != "unchecked"]
    assert shown == sorted(shown, key=VERDICTS.index)
    assert len(page.list.checks) == count
    qtbot.keyClick(page.list, Qt.Key.Key_V)
    assert {one.verdict for one in page.list.checks} == {"cannot tell: measure", "close"}
    qtbot.keyClick(page.list, Qt.Key.Key_V)
    assert page.list.checks == []
    qtbot.keyClick(page.list, Qt.Key.Key_V)
    assert {one.verdict for one in page.list.checks} == {"not checked"}
    qtbot.mouseClick(page.show_key, Qt.MouseButton.LeftButton)
    assert len(page.list.checks) == count
    assert page.show_key.text() == "Shown: all"


def test_another_market_by_key_or_click_is_one_step_of_the_recipe(qtbot, opened):
    window, page = opened()
    stack = window.document.undo_stack
    told_anew(qtbot, page, lambda: qtbot.keyClick(page.list, Qt.Key.Key_M))
    assert page.told.market == window.document.recipe.label.market == "UK"
    assert page.market_keys["UK"].is_first
    assert "whether Great Britain's figure still equals it was not checked" in (
        row_of(page, "All benzoates").source
    )
    us = page.market_keys["US"]
    told_anew(qtbot, page, lambda: qtbot.mouseClick(us, Qt.MouseButton.LeftButton))
    assert "no general list of preservatives" in row_of(page, "Rules of this market").line.note
    told_anew(qtbot, page, stack.undo)
    told_anew(qtbot, page, stack.undo)
    assert page.told.market == "EU"


def test_an_edit_is_followed_and_undone_and_the_cursor_stays(qtbot, opened):
    window, page = opened()
    document = window.document
    titles = [one.line.title for one in page.list.checks]
    for _ in range(titles.index("All benzoates together")):
        qtbot.keyClick(page.list, Qt.Key.Key_Down)
    at = [row.name for row in document.recipe.rows].index("sodium benzoate")
    number = document.recipe.active.number
    more = document.recipe.with_percent(at, number, 4.0)
    told_anew(qtbot, page, lambda: document.edit("more", more))
    assert "Over a limit" in page.summary.text()
    assert page.list.current.line.title == "All benzoates together"
    assert page.list.current.verdict_words == "over a limit"
    told_anew(qtbot, page, document.undo_stack.undo)
    assert page.list.current.verdict == "within"


def test_a_page_out_of_view_asks_nothing_and_is_right_when_it_comes_back(qtbot, opened):
    window, page = opened()
    qtbot.keyClick(window, Qt.Key.Key_1, CTRL)
    document = window.document
    changed = document.recipe.with_label(replace(document.recipe.label, market="CA"))
    with qtbot.waitSignal(document.evaluated, timeout=20_000):
        document.edit("Market", changed)
    assert document.advisor.answer("checks") is None
    assert not document.advisor.is_working("checks")
    told_anew(qtbot, page, lambda: qtbot.keyClick(window, Qt.Key.Key_5, CTRL))
    assert page.told.market == "CA"


def test_the_acid_to_a_typed_target_is_told_with_its_slope(qtbot, opened):
    _, page = opened()
    qtbot.keyClick(page.list, Qt.Key.Key_T)
    assert page.keeping.target.hasFocus()
    told_anew(qtbot, page, lambda: typed(qtbot, page.keeping.target, "4,5"))
    anhydrous, hydrate, lactic = page.keeping.doses.rows
    assert [row[0] for row in page.keeping.doses.rows] == [
        "citric, anhydrous",
        "citric, monohydrate",
        "lactic, 80 %",
    ]
    percent = [float(row[1].split(" %")[0]) for row in (anhydrous, hydrate)]
    # 210.14 over 192.12 g/mol: the water of crystallisation.
    assert percent[1] == pytest.approx(percent[0] * 210.14 / 192.12, abs=0.02)
    after = [float(one) for one in anhydrous[3].split(" / ")]
    assert after == sorted(after, reverse=True)
    assert after[1] == pytest.approx(4.5, abs=0.1)
    assert lactic[2].endswith("g")
    assert "Concentrated acid hurts eyes" in page.keeping.caution.text()


@pytest.mark.parametrize(
    ("field", "text", "problem"),
    [
        ("target", "sour", "is not a number"),
        ("target", "15", "outside what is measured here"),
        ("measured", "0.2", "outside what is measured here"),
        ("declared", "oat flour", "does not end in a pH"),
        ("declared", "moon dust 5", "is no ingredient of this recipe"),
    ],
)
def test_what_cannot_be_taken_is_told_in_the_foot_and_stays_to_be_mended(
    qtbot, opened, field, text, problem
):
    window, page = opened()
    one, told = getattr(page.keeping, field), page.told
    typed(qtbot, one, text)
    assert problem in window.foot.step_text
    assert one.text() == text
    assert page.told is told
    qtbot.keyClick(one, Qt.Key.Key_Escape)
    assert window.foot.step_text == ""


def test_a_measured_pH_takes_the_place_of_the_estimate(qtbot, opened):  # noqa: N802
    _, page = opened()
    told_anew(qtbot, page, lambda: typed(qtbot, page.keeping.measured, "5.9"))
    assert page.keeping.readings.rows[1] == ("pH, 10 % slurry", "", "5.9, as measured")
    one = row_of(page, "in the form that preserves")
    assert one.verdict == "over"
    assert "stated as measured at pH 5.9" in one.line.note
    assert "Its preservative is weak as it stands" in page.summary.text()
    told_anew(qtbot, page, lambda: typed(qtbot, page.keeping.measured, "5.3"))
    assert page.keeping.measured.text() == "5.3"


def test_a_measured_pH_counts_for_the_formula_it_was_measured_of_alone(qtbot, opened):  # noqa: N802
    window, page = opened()
    document = window.document
    told_anew(qtbot, page, lambda: typed(qtbot, page.keeping.measured, "5.9"))
    page.list.setFocus()
    changed = document.recipe.with_percent(0, document.recipe.active.number, 4.5)
    told_anew(qtbot, page, lambda: document.edit("more", changed))
    assert page.keeping.measured.text() == ""
    assert "measured" not in " ".join(page.keeping.readings.rows[1])
    assert "pH 5.9 was measured of another formula" in page.keeping.why_not.text()
    told_anew(qtbot, page, document.undo_stack.undo)
    assert page.keeping.measured.text() == "5.9"
    assert page.keeping.readings.rows[1][2] == "5.9, as measured"


def test_a_page_first_shown_with_nothing_in_the_recipe_says_so(qtbot, open_recipe):
    document = open_recipe(WEAK)
    window = MainWindow(document)
    qtbot.addWidget(window)
    in_use(qtbot, window)
    with qtbot.waitSignal(document.failed, timeout=20_000):
        document.edit("Clear", replace(document.recipe, rows=()))
    window.show_page("checks")
    assert window.pages.current.summary.text().startswith("Nothing was checked")
    window.filing.discard()


def test_a_declared_pH_of_a_material_moves_the_slurry(qtbot, opened):  # noqa: N802
    _, page = opened()
    before = page.keeping.readings.rows[1]
    told_anew(qtbot, page, lambda: typed(qtbot, page.keeping.declared, "SCI fine powder pH 7.5"))
    assert page.keeping.readings.rows[1] != before
    assert page.keeping.declared.text() == "SCI fine powder 7.5"
    qtbot.keyClick(page.keeping.declared, Qt.Key.Key_Escape)


def test_an_ingredient_nobody_has_declared_leaves_the_pH_untold(qtbot, opened):  # noqa: N802
    recipe = file.read(demos.folder() / f"{WEAK}.toml")
    strange = Row("liquid", "moon liquor", dict.fromkeys(recipe.numbers, 3.0), given_class="liquid")
    _, page = opened(recipe.add_row(strange))
    assert 'pH is not told: nobody has declared acid, base or pH of "moon liquor"' in (
        page.keeping.why_not.text()
    )
    assert page.keeping.doses.rows == ()
    assert row_of(page, "pH of the 10 % slurry").verdict == "cannot tell: measure"
    assert row_of(page, ", without an INCI name").verdict == "not checked"


def test_ctrl_c_copies_all_rows_or_those_chosen_as_a_table(qtbot, opened):
    _, page = opened()
    qtbot.keyClick(page.list, Qt.Key.Key_C, CTRL)
    lines = QGuiApplication.clipboard().text().split("\n")
    assert len(lines) == len(page.told.rows) + 1
    assert lines[0].split("\t")[:7] == [
        *("Market", "Group", "What", "Value", "Limit", "Verdict", "Source")
    ]
    for _ in range(2):
        qtbot.keyClick(page.list, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(page.list, Qt.Key.Key_C, CTRL)
    assert QGuiApplication.clipboard().text().split("\n") == lines[:4]


def test_the_checks_are_exported_as_csv_and_a_failure_is_told(qtbot, opened, tmp_path):
    window, page = opened()
    qtbot.mouseClick(page.export_key, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: any(one.isVisible() for one in page.findChildren(QFileDialog)))
    dialog = page.findChild(QFileDialog)
    path = tmp_path / "checks.csv"
    dialog.selectFile(str(path))
    dialog.accept()
    with open(path, encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.reader(stream))
    assert len(rows) == len(page.told.rows) + 4
    assert rows[0][0] == "Market"
    assert rows[1][5] in {"within", *VERDICTS}
    assert "not legal, medical or safety advice" in rows[-1][0]
    page.export(tmp_path / "nowhere" / "checks.csv")
    assert "The folder does not exist" in window.foot.step_text


def test_a_recipe_with_nothing_in_it_says_so_and_comes_back_with_undo(qtbot, opened):
    window, page = opened()
    document = window.document
    document.edit("Clear", replace(document.recipe, rows=()))
    qtbot.waitUntil(lambda: page.told is None, timeout=20_000)
    assert page.summary.text().startswith("Nothing was checked.")
    assert page.list.checks == []
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: page.told is not None, timeout=20_000)
    assert len(page.list.checks) > 30


def test_every_part_has_a_name_tab_and_f6_reach_all_and_nothing_is_cut(qtbot, opened, qapp):
    window, page = opened()
    focusable = [
        one
        for one in page.findChildren(QWidget)
        if one.focusPolicy() & Qt.FocusPolicy.TabFocus and one.isVisible()
    ]
    assert [one for one in focusable if not one.accessibleName().strip()] == []
    met = []
    for _ in range(len(page.parts()) + 1):
        met.append(page.part_in_focus())
        qtbot.keyClick(window, Qt.Key.Key_F6)
    assert set(met) >= set(page.parts())
    for size in ((820, 600), (1100, 700), (1280, 800), (1920, 1200)):
        window.resize(*size)
        qapp.processEvents()
        inner = page._side.widget()
        assert inner.width() <= page._side.viewport().width()
        assert page.list.horizontalHeader().length() <= page.list.viewport().width()
        assert page.widget().width() <= page.viewport().width()
    theme.set_theme(qapp, theme.DARK)
    qapp.processEvents()
    ground = theme.DARK.colour("ground")
    assert page.list.viewport().grab().toImage().pixelColor(2, 2) == ground
    assert page.detail.viewport().grab().toImage().pixelColor(300, 100) == ground
    theme.set_theme(qapp, theme.LIGHT)


def test_a_burst_of_edits_ends_with_the_checks_of_the_last(qtbot, opened):
    window, page = opened()
    document = window.document
    for step in range(8):
        changed = document.recipe.with_percent(0, document.recipe.active.number, 4.0 + step / 4)
        document.edit("burst", changed)
        qtbot.wait(15)
    qtbot.waitUntil(
        lambda: document.evaluation is not None and document.advisor.answer("checks") is not None,
        timeout=20_000,
    )
    qtbot.waitUntil(lambda: is_told(page), timeout=20_000)
    result = document.evaluation
    now = told_of(result, 0, load(), replace(page.keeping.said, market=page.market))
    assert page.told.rows == now.rows
    assert page.told.keeping == now.keeping
