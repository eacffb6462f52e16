"""Forgiveness by real keys: intervals, the weakest three in words, what makes it unsure, a copy."""

import time

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QGuiApplication

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def page(open_page):
    return open_page("oat_bar")


def document_of(page):
    return page.table.document


def answered(qtbot, page):
    """Press F4, wait for the whole answer, and note how long the window stood still."""
    page.table.setFocus()
    last, gaps = [time.perf_counter()], [0.0]

    def beat():
        now = time.perf_counter()
        gaps.append(now - last[0])
        last[0] = now

    timer = QTimer(interval=5)
    timer.timeout.connect(beat)
    timer.start()
    qtbot.keyClick(page.table, Qt.Key.Key_F4)
    settled(qtbot, page)
    timer.stop()
    page.longest_gap = max(gaps)
    return page.forgiveness


def settled(qtbot, page):
    advisor = document_of(page).advisor

    def done():
        return advisor.answer("forgiveness") is not None and not advisor.is_working("forgiveness")

    qtbot.waitUntil(done, timeout=60_000)


def test_f4_shows_how_far_each_may_drift_as_the_core_says_and_esc_leads_back(qtbot, page):
    from designer.advice.forgiveness import forgiveness
    from designer.wording.forgiveness import weakest_sentences

    panel = answered(qtbot, page)
    print(f"longest gap {1000 * page.longest_gap:.0f} ms")
    assert page.longest_gap < 0.25
    assert panel.list.hasFocus()
    assert not page.readings.isVisible()
    found = forgiveness(document_of(page).evaluation, 0)
    assert panel.told.weakest == weakest_sentences(found)
    assert len(panel.told.weakest) == 3
    assert len(panel.told.drifts) == len(found.allowances)
    slack = sorted(one.slack for one in found.allowances)
    assert min(panel.told.drifts[0].low, panel.told.drifts[0].high) == slack[0]
    assert all(one.less and one.more for one in panel.told.drifts)
    assert "17" not in panel.told.sentence
    assert panel.told.sentence in panel.accessibleDescription()
    clay = next(one for one in panel.told.drifts if one.name == "SCI fine powder")
    one = next(
        one
        for one in found.allowances
        if one.name == "SCI fine powder" and one.kind == "ingredient"
    )
    assert clay.less == f"{1000 * (one.low.value - one.at):.1f} g".replace("-", "\N{MINUS SIGN}")
    assert clay.more == f"+{1000 * (one.high.value - one.at):.1f} g"
    assert panel.told.shares[0].share == max(one.share for one in panel.told.shares)
    assert panel.told.worth
    qtbot.keyClick(panel.list, Qt.Key.Key_Down)
    assert panel.list.accessibleDescription().startswith("2 of ")
    assert panel.details
    qtbot.keyClick(panel.list, Qt.Key.Key_End)
    assert "mask" in panel.list.accessibleDescription()  # what to measure, then its caution
    for _ in panel.told.worth:
        qtbot.keyClick(panel.list, Qt.Key.Key_Up)
    qtbot.keyClick(panel.list, Qt.Key.Key_Up)
    assert "of the firmness" in panel.list.accessibleDescription()
    place = panel.list.items.index(panel.list.chosen)
    assert panel.list.box_of(place).top() >= 0
    assert panel.list.box_of(place).bottom() <= panel.list.height()
    qtbot.keyClick(panel.list, Qt.Key.Key_C, CTRL)
    copied = QGuiApplication.clipboard().text().splitlines()
    assert copied[0] == "\tnow\tfrom\tto"
    assert copied[1].count("\t") == 3
    assert sum(line.count("\t") == 3 for line in copied) == len(found.allowances) + 1
    qtbot.keyClick(panel.list, Qt.Key.Key_Escape)
    assert not panel.isVisible()
    assert page.table.hasFocus()


def test_a_missed_chance_is_said_and_a_change_is_followed(qtbot, open_page):
    page = open_page("oat_bar_sticky_and_mended")
    panel, document = answered(qtbot, page), document_of(page)
    assert "less than the wanted 14;" in panel.told.sentence
    before = panel.told
    document.edit("The other", document.recipe.use_variant("2"))
    settled(qtbot, page)
    assert panel.isVisible()
    assert panel.told != before
    assert "less than the wanted" not in panel.told.sentence
    document.undo_stack.undo()
    settled(qtbot, page)
    assert panel.told == before


def test_esc_while_it_is_worked_out_stops_it_and_swaps_take_its_place(qtbot, page):
    advisor = document_of(page).advisor
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_F4)
    assert advisor.is_working("forgiveness")
    qtbot.keyClick(page.forgiveness.list, Qt.Key.Key_Escape)
    assert not advisor.is_working("forgiveness")
    qtbot.keyClick(page.table, Qt.Key.Key_F4)
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_S)
    assert page.swaps.isVisible()
    assert not page.forgiveness.isVisible()
    assert not advisor.is_working("forgiveness")


def test_an_empty_recipe_is_told_in_a_sentence(qtbot, page):
    document = document_of(page)
    page.table.setFocus()
    qtbot.keyClick(page.table, Qt.Key.Key_F4)
    recipe = document.recipe
    for row in reversed(range(len(recipe.rows))):
        recipe = recipe.remove_row(row)
    document.edit("Remove all", recipe)
    qtbot.waitUntil(lambda: bool(page.forgiveness.list.message), timeout=20_000)
    assert page.forgiveness.list.items == ()
    assert page.forgiveness.list.message.endswith(".")
