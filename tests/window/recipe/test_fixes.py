"""The fixes by real keys and clicks: found, applied as one step, opened as a variant, undone."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QMenu

from designer.errors import Notice
from designer.recipe import Percents
from designer.window.recipe.advice import Advice
from designer.window.recipe.readings import Readings

CAPB = "CAPB 30 %"


def shown(qtbot, document):
    advice = Advice(document)
    qtbot.addWidget(advice)
    advice.resize(388, 142)
    advice.show()
    advice.activateWindow()
    qtbot.waitUntil(advice.isActiveWindow)
    return advice


@pytest.fixture
def advice(qtbot, document):
    return shown(qtbot, document)


def found(qtbot, advice):
    """Wait for a list of fixes and return its view.

    By the signal: who asks again and again takes time from the thread that answers.
    """
    advisor = advice.fixes._document.advisor
    while advisor.answer("fixes") is None:
        qtbot.waitSignal(advisor.answered, timeout=20_000).wait()
    return advice.fixes


def settled(qtbot, advice):
    """Wait for the last list of fixes and return its view."""
    fixes = found(qtbot, advice)
    advisor = fixes._document.advisor
    while advisor.is_busy:
        qtbot.waitSignal(advisor.working, timeout=20_000).wait()
    return fixes


def chance(document):
    result = document.evaluation
    return result.clean_knead_chance[result.recipe.numbers.index(result.recipe.active.number)]


def evaluated(qtbot, document):
    while document.evaluation is None:
        qtbot.waitSignal(document.evaluated, timeout=20_000).wait()


def test_the_fix_that_was_chosen_stays_chosen_when_a_better_list_comes(qtbot, document, advice):
    fixes = settled(qtbot, advice)
    fixes.setFocus()
    qtbot.keyClick(fixes, Qt.Key.Key_Down)
    chosen = fixes.told.lines[fixes.chosen].parts
    better = replace(fixes.told, lines=fixes.told.lines[::-1])
    fixes._show(better)
    assert fixes.told.lines[fixes.chosen].parts == chosen
    assert fixes.chosen in fixes.shown
    fixes._show(replace(better, lines=better.lines[:1]))
    assert fixes.chosen == 0


def test_fixes_show_by_themselves_when_the_dough_misses_what_is_wished(qtbot, document, advice):
    fixes = settled(qtbot, advice)
    assert advice.shown == "fixes"
    assert fixes.isVisible()
    assert not advice.why.isVisible()
    assert "14 of 20" in fixes.told.note
    assert len(fixes.told.lines) >= 3
    assert fixes.told.lines[0].moves in fixes.accessibleDescription()


def test_a_good_dough_shows_why_and_says_that_no_fix_is_needed(qtbot, open_recipe):
    advice = shown(qtbot, open_recipe("oat_bar"))
    fixes = found(qtbot, advice)
    assert advice.shown == "why"
    advice.setFocus()
    qtbot.keyClick(advice, Qt.Key.Key_F8)
    assert advice.shown == "fixes"
    assert fixes.hasFocus()
    assert fixes.told.lines == ()
    assert "No fix is needed" in fixes.accessibleDescription()
    qtbot.keyClick(fixes, Qt.Key.Key_F9)
    assert advice.shown == "why"


def test_enter_applies_the_chosen_fix_as_one_step_and_the_dough_is_as_it_says(
    qtbot, document, advice
):
    fixes = found(qtbot, advice)
    fixes.setFocus()
    qtbot.keyClick(fixes, Qt.Key.Key_Down)
    assert fixes.chosen == 1
    line, before = fixes.told.lines[1], document.recipe
    qtbot.keyClick(fixes, Qt.Key.Key_Return)
    evaluated(qtbot, document)
    assert f"{round(20 * chance(document))} of 20" == line.reached
    assert document.undo_stack.undoText() == f"Fix: {line.moves}"
    assert document.undo_stack.count() == 1
    assert found(qtbot, advice).told.lines == ()
    document.undo_stack.undo()
    assert document.recipe == before


def test_an_applied_fix_says_that_it_is_another_formula(qtbot, document, advice):
    fixes = found(qtbot, advice)
    with qtbot.waitSignal(document.refused) as told:
        fixes.apply(0)
    assert isinstance(told.args[0], Notice)
    assert "another formula" in str(told.args[0])


def test_the_key_beside_a_fix_applies_that_one(qtbot, document, advice):
    fixes = settled(qtbot, advice)
    line = fixes.told.lines[2]
    keys = [key for key, _ in fixes._keys if key.isVisible()]
    assert [key.accessibleName() for key in keys][2] == f"Apply: {line.moves}"
    qtbot.mouseClick(keys[2], Qt.MouseButton.LeftButton)
    assert document.undo_stack.undoText() == f"Fix: {line.moves}"
    moved = {name.removesuffix(" (q.s.)") for name, _ in line.parts}
    after, before = document.recipe, document.undo_stack.command(0).before
    changed = {new.name for new, old in zip(after.rows, before.rows, strict=True) if new != old}
    assert changed <= moved


def test_a_fix_opens_as_a_variant_beside_the_one_it_mends(qtbot, document, advice):
    fixes = found(qtbot, advice)
    fixes.setFocus()
    qtbot.keyClick(fixes, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert document.recipe.numbers == ("1", "2", "3")
    assert document.recipe.active.number == "3"
    assert "1" in document.pinned
    evaluated(qtbot, document)
    assert round(20 * chance(document)) >= 14
    document.undo_stack.undo()
    assert document.recipe.numbers == ("1", "2")


def test_a_change_takes_the_keys_away_until_the_fixes_are_of_the_recipe_again(
    qtbot, document, advice
):
    fixes = found(qtbot, advice)
    row = [one.name for one in document.recipe.rows].index(CAPB)
    document.edit("More", document.recipe.with_percent(row, "1", 14.6))
    assert not any(key.isVisible() for pair in fixes._keys for key in pair)
    fixes.setFocus()
    qtbot.keyClick(fixes, Qt.Key.Key_Return)
    assert document.undo_stack.count() == 1
    found(qtbot, advice)
    assert any(key.isVisible() for pair in fixes._keys for key in pair)


def test_empty_variants_stay_when_a_fix_is_applied(qtbot, document, advice):
    found(qtbot, advice)
    document.edit("Empty", document.recipe.add_variant("to come"))
    fixes = found(qtbot, advice)
    fixes.setFocus()
    qtbot.keyClick(fixes, Qt.Key.Key_Return)
    assert document.recipe.numbers == ("1", "2", "3")


def test_held_rows_stay_and_with_all_of_them_held_it_says_so(qtbot, document, advice):
    held = tuple(replace(row, held=frozenset({"1"})) for row in document.recipe.rows)
    document.edit("Hold all", replace(document.recipe, rows=held))
    fixes = settled(qtbot, advice)
    assert fixes.told.lines == ()
    assert "held" in fixes.told.verdict
    assert advice.shown == "fixes"


def test_another_wish_is_chosen_from_a_list(qtbot, document, advice):
    fixes = found(qtbot, advice)
    fixes.setFocus()
    qtbot.keyClick(fixes, Qt.Key.Key_W)
    menu = fixes.findChild(QMenu)
    qtbot.waitUntil(menu.isVisible)
    words = [action.text() for action in menu.actions()]
    assert words[0].startswith("comes clean within")
    assert [action.isChecked() for action in menu.actions()].index(True) == 0
    wished = next(action for action in menu.actions() if action.text().startswith("firmer"))
    menu.setActiveAction(wished)
    qtbot.keyClick(menu, Qt.Key.Key_Return)
    fixes = found(qtbot, advice)
    assert "kPa after a day" in fixes.told.note + fixes.told.verdict


def test_choosing_a_reading_shows_why_and_a_key_in_the_head_leads_back(qtbot, document, advice):
    found(qtbot, advice)
    readings = Readings(document)
    qtbot.addWidget(readings)
    readings.chosen.connect(advice.show_reading)
    readings.show()
    readings.view.setFocus()
    qtbot.keyClick(readings.view, Qt.Key.Key_Down)
    assert advice.shown == "why"
    qtbot.mouseClick(advice._keys["fixes"], Qt.MouseButton.LeftButton)
    assert advice.shown == "fixes"


def test_further_fixes_are_walked_to_and_told(qtbot, document, advice):
    fixes = found(qtbot, advice)
    advice.resize(388, 66)
    assert list(fixes.shown) == [0]
    fixes.setFocus()
    qtbot.keyClick(fixes, Qt.Key.Key_End)
    assert list(fixes.shown) == [len(fixes.told.lines) - 1]
    qtbot.mouseClick(fixes, Qt.MouseButton.LeftButton, pos=QPoint(30, 40))
    assert fixes.chosen == len(fixes.told.lines) - 1
    qtbot.keyClick(fixes, Qt.Key.Key_Home)
    assert list(fixes.shown) == [0]


def test_a_recipe_without_a_dough_says_why_there_are_no_fixes(qtbot, document, advice):
    found(qtbot, advice)
    rows = tuple(replace(row, percents=Percents({"1": 0.0})) for row in document.recipe.rows)
    document.edit("Empty", replace(document.recipe, rows=rows).only("1"))
    qtbot.waitUntil(lambda: not document.is_working, timeout=20_000)
    assert document.advisor.answer("fixes") is None
    assert not any(key.isVisible() for pair in advice.fixes._keys for key in pair)
