"""New ingredients: in which phase they stand, which grade is offered, what is not taken."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from designer.recipe import Recipe, Row

K = Qt.Key


def added(hand, below, typed):
    hand.focus(below)
    hand.keys(K.Key_Insert, typed, K.Key_Return)
    return hand.recipe.rows[hand.row(hand.here()[0])]


def shown(hand):
    choices = hand.table.editing.choices
    return [choices.item(n).text() for n in range(choices.count())]


@pytest.mark.parametrize(
    ("below", "typed", "name", "phase"),
    [
        ("cocoa butter", "Kaolin", "white clay", "powder"),
        ("oat flour", "CAPB 38 %", "CAPB 38 %", "liquid"),
        ("oat flour", "benzyl alcohol", "benzyl alcohol", "last"),
        ("oat flour", "stearic acid 90/95", "stearic acid 90/95", "melt"),
        ("water", "citric acid", "citric acid", "powder"),
        ("oat flour", "sweet orange", "sweet orange oil", "last"),
        ("oat flour", "glycerin 86.5 %", "glycerin 86.5 %", "liquid"),
    ],
)
def test_a_known_ingredient_goes_to_the_end_of_its_usual_phase(hand, below, typed, name, phase):
    row = added(hand, below, typed)
    assert (row.name, row.phase) == (name, phase)
    there = [one.name for one in hand.recipe.rows if one.phase == phase]
    assert there[-1] == name
    assert hand.here() == (name, "1")


def test_a_known_ingredient_stands_below_the_focus_in_its_own_phase(hand):
    row = added(hand, "CAPB 30 %", "glycerin 86.5 %")
    assert hand.row(row.name) == hand.row("CAPB 30 %") + 1


def test_a_phase_without_rows_gets_its_first_one(open_table):
    hand = open_table(Recipe(rows=(Row("powder", "kaolin", {"1": 9.0}),)))
    assert added(hand, "kaolin", "cocoa butter").phase == "melt"
    assert hand.names == ["cocoa butter", "kaolin"]


@pytest.mark.parametrize("below", ["oat flour", "cocoa butter", "water"])
@pytest.mark.parametrize("typed", ["Cocamidopropyl Betaine", "capb"])
def test_the_usual_grade_is_offered_first_wherever_the_focus_is(hand, below, typed):
    hand.focus(below)
    hand.keys(K.Key_Insert, typed)
    assert shown(hand)[0] == "CAPB 30 %"
    assert {"CAPB powder", "CAPB 38 %"} <= set(shown(hand))


def test_of_two_tables_with_an_oil_that_of_the_focus_comes_first(hand):
    assert added(hand, "cocoa butter", "olive oil").phase == "melt"
    hand.stack.undo()
    assert added(hand, "CAPB 30 %", "olive oil").phase == "liquid"


@pytest.mark.parametrize("typed", ["shea", "Cocamidopropyl Betaine"])
def test_a_name_left_half_typed_is_not_added_and_that_is_told(hand, typed):
    hand.focus("oat flour")
    hand.keys(K.Key_Insert, typed)
    hand.click(hand.at("water"))
    assert hand.stack.count() == 0
    assert hand.editor is None
    assert hand.table.lines.new is None
    assert hand.refused[-1].problem == f"“{typed}” was not added."
    told = "Press Enter to take a name that the tables do not hold."
    assert hand.refused[-1].advice == told
    assert hand.here() == ("water", "1")
    hand.keys(K.Key_Return)
    assert hand.refused[-1] is None


def test_a_known_name_is_added_by_a_click_elsewhere(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_Insert, "Citrus Limon Seed Oil x", K.Key_Escape)
    hand.keys(K.Key_Insert, "coconut oil")
    hand.click(hand.at("water"))
    assert hand.recipe.rows[hand.row("coconut oil")].phase == "melt"


def test_another_name_left_half_typed_keeps_the_old_one(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_F3, "shea")
    hand.click(hand.at("water"))
    assert "oat flour" in hand.names
    assert hand.stack.count() == 0
    assert hand.refused[-1].problem == "“shea” was not put in place of oat flour."


def test_what_an_unknown_name_is_taken_for_is_offered_by_phase_and_told_once(hand):
    hand.focus("water")
    hand.keys(K.Key_Insert, "nettle juice")
    told = hand.table.editing.choices.item(hand.table.editing.choices.count() - 1)
    words = told.data(Qt.ItemDataRole.AccessibleTextRole)
    assert words == "nettle juice, not in the tables: a middling liquid in Liquid"
    hand.keys(K.Key_Return)
    assert hand.refused[-1].problem == "“nettle juice” is not in the tables."
    assert hand.refused[-1].advice == (
        "It is taken as a middling liquid; move it to another phase to change that."
    )
    hand.keys(K.Key_Up)
    hand.keys(K.Key_Return)
    assert hand.refused[-1] is None


@pytest.fixture
def window(demo_window):
    return demo_window


def test_insert_adds_an_ingredient_from_the_notes_too(window, qtbot):
    window.page.notes.field.setFocus()
    qtbot.keyClick(QApplication.focusWidget(), K.Key_Insert)
    editor = window.page.table.editing.editor
    assert editor is not None
    assert editor.hasFocus()
    qtbot.keyClicks(editor, "coconut oil")
    qtbot.keyClick(editor, K.Key_Return)
    assert "coconut oil" in [row.name for row in window.document.recipe.rows]


def test_the_foot_tells_the_keys_of_the_cell_that_was_walked_to(window, qtbot):
    table = window.page.table
    table.setFocus()
    table.focus_row(3, "1")
    assert "↑↓ more or less by 0.1" in window.foot.keys_text
    assert "Insert add" in window.foot.keys_text
    qtbot.keyClick(table, K.Key_Home)
    assert window.foot.keys_text.startswith("Enter F3 change   Insert add   Alt ↑↓ move")
    assert "0.1" not in window.foot.keys_text


def test_the_foot_does_not_say_that_an_unknown_row_was_not_taken(window, qtbot):
    table = window.page.table
    table.setFocus()
    qtbot.keyClick(table, K.Key_Insert)
    qtbot.keyClicks(table.editing.editor, "nettle juice")
    qtbot.keyClick(table.editing.editor, K.Key_Return)
    assert window.foot.step_text == "“nettle juice” is not in the tables."
