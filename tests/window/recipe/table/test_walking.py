"""Walking from cell to cell, and what a screen reader is told there."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QApplication, QLineEdit, QVBoxLayout, QWidget

from designer.recipe import Recipe, Row, Variant

K, SHIFT, CTRL = Qt.Key, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


@pytest.mark.parametrize(
    ("key", "modifier", "name", "number"),
    [
        (K.Key_Return, None, "glycerin", "1"),
        (K.Key_Return, SHIFT, "cationic guar", "1"),
        (K.Key_Right, None, "CAPB 30 %", "2"),
        (K.Key_Left, None, "CAPB 30 %", ""),
        (K.Key_Tab, None, "CAPB 30 %", "2"),
        (K.Key_Backtab, SHIFT, "CAPB 30 %", ""),
        (K.Key_Home, None, "CAPB 30 %", ""),
        (K.Key_End, None, "CAPB 30 %", "2"),
        (K.Key_Home, CTRL, "25 % active conditioner wax", "1"),
        (K.Key_End, CTRL, "lavender oil", "1"),
        (K.Key_PageUp, None, "25 % active conditioner wax", "1"),
        (K.Key_PageDown, None, "lavender oil", "1"),
    ],
)
def test_a_key_walks_to_its_cell(hand, key, modifier, name, number):
    hand.focus("CAPB 30 %")
    hand.keys(key, modifier=modifier or Qt.KeyboardModifier.NoModifier)
    assert hand.here() == (name, number)
    assert hand.stack.count() == 0


def test_tab_goes_from_the_last_cell_of_a_row_to_the_next_name(hand):
    hand.focus("CAPB 30 %", "2")
    hand.keys(K.Key_Tab)
    assert hand.here() == ("glycerin", "")
    hand.keys(K.Key_Backtab)
    assert hand.here() == ("CAPB 30 %", "2")


def test_tab_leaves_the_table_at_its_ends(hand):
    window = QWidget()
    hand.qtbot.addWidget(window)
    column = QVBoxLayout(window)
    before, after = QLineEdit(), QLineEdit()
    for widget in (before, hand.table, after):
        column.addWidget(widget)
    window.show()
    window.activateWindow()
    hand.qtbot.waitUntil(window.isActiveWindow)
    hand.table.setFocus()
    hand.focus("lavender oil", "2")
    hand.keys(K.Key_Tab)
    assert QApplication.focusWidget() is after
    hand.table.setFocus()
    hand.focus("25 % active conditioner wax", "")
    hand.keys(K.Key_Backtab)
    assert QApplication.focusWidget() is before
    hand.table.setFocus()
    hand.focus("lavender oil", "2")
    hand.keys("3", K.Key_Tab)
    assert hand.cell("lavender oil", "2") == 3
    assert QApplication.focusWidget() is after
    hand.table.setParent(None)


def test_arrows_walk_where_the_focus_is_on_names(hand):
    hand.focus("CAPB 30 %", "")
    hand.keys(K.Key_Down, K.Key_Down, K.Key_Up)
    assert hand.here() == ("glycerin", "")


def test_the_focus_stays_on_its_row_through_moves_and_undo(hand):
    hand.focus("oat flour")
    hand.table.commands["to_liquid"].trigger()
    assert hand.here() == ("oat flour", "1")
    hand.stack.undo()
    assert hand.here() == ("oat flour", "1")
    hand.focus("tocopherol", "2")
    hand.stack.redo()
    assert hand.here() == ("tocopherol", "2")


def test_the_focus_goes_to_a_neighbour_when_its_row_is_undone(hand):
    hand.focus("oat flour")
    hand.table.commands["copy"].trigger()
    hand.table.commands["paste"].trigger()
    hand.stack.undo()
    assert hand.here()[0] == "white clay"


def test_columns_without_room_scroll_as_the_focus_walks(open_table):
    rows = (Row("powder", "kaolin", {str(n): float(n) for n in range(1, 9)}),)
    hand = open_table(Recipe(variants=tuple(Variant(str(n)) for n in range(1, 9)), rows=rows))
    table = hand.table
    assert table.places.shown() == ["1", "2", "3"]
    hand.focus("kaolin", "3")
    hand.keys(K.Key_Right)
    assert table.places.shown() == ["2", "3", "4"]
    hand.keys(K.Key_End)
    assert table.places.shown() == ["6", "7", "8"]
    rect, words, _ = table.header.more()[0]
    assert words == "5 more"
    hand.qtbot.mouseClick(table.header.viewport(), Qt.MouseButton.LeftButton, pos=rect.center())
    assert table.places.shown() == ["5", "6", "7"]
    last = table.lines.grams_column
    right = table.columnViewportPosition(last) + table.columnWidth(last)
    assert right == table.viewport().width()


def test_every_cell_is_told_in_words(hand):
    assert hand.spoken("CAPB 30 %", "2") == "CAPB 30 %, variant 2, 10.50 percent"
    assert hand.spoken("SCI fine powder") == "SCI fine powder, variant 1, 51.00 percent, fills up"
    assert hand.spoken("citric acid", "") == "citric acid, liquid, Citric Acid"
    held = hand.spoken("benzyl alcohol/dehydroacetic acid")
    assert held == "benzyl alcohol/dehydroacetic acid, variant 1, 0.90 percent, held"


def test_a_screen_reader_finds_the_table_and_its_cells(hand):
    told = QAccessible.queryAccessibleInterface(hand.table)
    assert told.text(QAccessible.Text.Name) == "Recipe table"
    texts = {told.child(index).text(QAccessible.Text.Name) for index in range(told.childCount())}
    assert "CAPB 30 %, variant 1, 14.50 percent" in texts
    assert "total, variant 1, 100.00 percent" in texts
    assert "CAPB 30 %, 118.4 grams" in texts
    assert "variant 1, sticky, in use" in texts


def foot(table):
    return table.keys()


def test_the_foot_gets_the_keys_of_the_cell_in_focus(hand):
    table = hand.table
    hand.focus("CAPB 30 %")
    assert ("Q", "fill up") in foot(table)
    assert ("Insert", "add") in foot(table)
    with hand.qtbot.waitSignal(table.keys_changed):
        hand.keys(K.Key_Home)
    assert ("Enter F3", "change") in foot(table)
    assert not any("0.1" in told for _, told in foot(table))
    hand.keys(K.Key_F3)
    assert ("Enter", "take") in foot(table)
