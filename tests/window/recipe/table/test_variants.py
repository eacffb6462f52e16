"""Variants: copied, renamed, deleted, used and pinned by keys, and in the head of the table."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication

from designer.recipe import Recipe, Row, Variant

K, CTRL, SHIFT = Qt.Key, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def head(hand, number):
    table = hand.table
    column = table.lines.column_of(number)
    return QPoint(table.columnViewportPosition(column) + table.columnWidth(column) - 25, 13)


def click_head(hand, number, twice=False):
    click = hand.qtbot.mouseDClick if twice else hand.qtbot.mouseClick
    click(hand.table.header.viewport(), Qt.MouseButton.LeftButton, pos=head(hand, number))


def test_u_uses_the_variant_in_focus(hand):
    hand.focus("water", "2")
    hand.keys("u")
    assert hand.recipe.active.number == "2"
    assert hand.steps == ["Use variant 2"]
    assert hand.shown("CAPB 30 %", "1") == "14.50"


def test_a_click_on_a_number_uses_it(hand):
    click_head(hand, "2")
    assert hand.recipe.active.number == "2"


def test_ctrl_page_keys_use_the_next_and_the_one_before(hand):
    hand.keys(K.Key_PageDown, modifier=CTRL)
    assert hand.recipe.active.number == "2"
    hand.keys(K.Key_PageDown, modifier=CTRL)
    assert hand.recipe.active.number == "1"
    hand.keys(K.Key_PageUp, modifier=CTRL)
    assert hand.recipe.active.number == "2"


def test_ctrl_d_copies_the_variant_in_focus_and_uses_the_copy(hand):
    hand.focus("CAPB 30 %", "2")
    hand.keys(K.Key_D, modifier=CTRL)
    assert hand.recipe.numbers == ("1", "2", "3")
    assert hand.recipe.active.number == "3"
    assert hand.cell("CAPB 30 %", "3") == 10.5
    assert hand.here() == ("CAPB 30 %", "3")
    assert hand.steps == ["Copy variant 2 as 3"]
    hand.stack.undo()
    assert hand.recipe.numbers == ("1", "2")


def test_fifty_variants_are_the_most(open_table):
    variants = tuple(Variant(str(n)) for n in range(1, 51))
    hand = open_table(Recipe(variants=variants, rows=(Row("powder", "kaolin", {"1": 5.0}),)))
    hand.keys(K.Key_D, modifier=CTRL)
    assert len(hand.recipe.variants) == 50
    assert "51 variants" in hand.refused[-1].problem


def test_ctrl_r_renames_in_the_head(hand):
    hand.focus("water", "2")
    hand.keys(K.Key_R, modifier=CTRL)
    assert hand.table.header.editor.text() == "less betaine"
    hand.keys("drier", K.Key_Return)
    assert hand.recipe.variant("2").title == "drier"
    assert hand.steps == ["Rename variant 2"]
    assert hand.table.hasFocus()


def test_a_double_click_on_a_number_renames_and_escape_keeps_the_title(hand):
    click_head(hand, "1", twice=True)
    hand.keys("x", K.Key_Escape)
    assert hand.recipe.variant("1").title == "sticky"
    assert hand.table.header.editor is None


def test_a_title_too_long_is_refused_and_stays(hand):
    hand.keys(K.Key_R, modifier=CTRL)
    editor = hand.table.header.editor
    editor.insert("t" * 201)
    hand.keys(K.Key_Return)
    assert editor.refused
    assert "201 characters" in hand.refused[-1].problem
    assert hand.stack.count() == 0


def test_ctrl_shift_delete_deletes_the_variant_in_focus(hand):
    hand.focus("water", "1")
    hand.keys(K.Key_Delete, modifier=CTRL | SHIFT)
    assert hand.recipe.numbers == ("2",)
    assert hand.recipe.active.number == "2"
    assert hand.here() == ("water", "2")
    hand.keys(K.Key_Delete, modifier=CTRL | SHIFT)
    assert hand.recipe.numbers == ("2",)
    assert "at least one" in hand.refused[-1].problem


def test_p_shows_a_variant_beside_the_active_one_and_no_longer(open_table):
    hand = open_table("three_oat_bars")
    assert hand.document.pinned == ("2", "3")
    hand.focus("water", "2")
    assert hand.table.commands["pin_variant"].isChecked()
    hand.keys("p")
    assert hand.document.pinned == ("3",)
    assert not hand.table.commands["pin_variant"].isChecked()
    hand.keys("p")
    assert hand.document.pinned == ("2", "3")
    hand.focus("water", "1")
    hand.keys("p")
    assert hand.document.pinned == ("2", "3")
    assert "shown already" in hand.refused[-1].problem
    assert hand.stack.count() == 0


def test_p_sets_up_to_seven_beside_the_active_one(open_table):
    hand = open_table("three_oat_bars")
    recipe = hand.recipe
    for _ in range(6):
        recipe = recipe.add_variant(like="2")
    hand.document.edit("Six more", recipe.use_variant("1"))
    for number in ("4", "5", "6", "7", "8"):
        hand.focus("water", number)
        hand.keys("p")
    assert hand.document.pinned == ("2", "3", "4", "5", "6", "7", "8")
    hand.focus("water", "9")
    hand.keys("p")
    assert hand.document.pinned == ("3", "4", "5", "6", "7", "8", "9")


@pytest.mark.parametrize(
    ("name", "after"),
    [("Use this", "2"), ("Copy as", "3"), ("Delete", "1")],
)
def test_the_menu_of_a_number_works_on_that_number(hand, name, after):
    menu = hand.table.variants.menu("2")
    entry = next(one for one in menu.actions() if name in one.text().replace("&", ""))
    entry.trigger()
    assert hand.recipe.active.number == after
    menu.close()


def test_a_click_with_the_other_button_opens_the_menu_of_a_number(hand):
    from PySide6.QtGui import QContextMenuEvent

    view = hand.table.header.viewport()
    at = head(hand, "2")
    QApplication.sendEvent(
        view, QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, view.mapToGlobal(at))
    )
    menu = QApplication.activePopupWidget()
    assert "&Rename…" in [one.text() for one in menu.actions()]
    menu.close()


def test_a_click_with_the_other_button_opens_the_menu_of_a_row(hand):
    from PySide6.QtGui import QContextMenuEvent

    view = hand.table.viewport()
    at = hand.at("oat flour")
    QApplication.sendEvent(
        view, QContextMenuEvent(QContextMenuEvent.Reason.Mouse, at, view.mapToGlobal(at))
    )
    menu = QApplication.activePopupWidget()
    assert hand.table.commands["hold"] in menu.actions()
    assert hand.here() == ("oat flour", "1")
    menu.close()


def test_every_command_of_the_table_has_what_carries_it_out(hand):
    from designer.window.actions import COMMANDS

    # Fixes and swaps of the menu Variant belong to parts of their own.
    of_table = ("table", "window")
    wanted = {c.name for c in COMMANDS if c.part == "table"}
    wanted |= {c.name for c in COMMANDS if c.menu == "Variant" and c.part in of_table}
    assert wanted <= set(hand.table.commands)


def test_single_letters_are_typed_where_a_title_is_typed(hand):
    hand.keys(K.Key_R, modifier=CTRL)
    hand.keys("qhnup", K.Key_Return)
    assert hand.recipe.variant("1").title == "qhnup"
    assert hand.steps == ["Rename variant 1"]
