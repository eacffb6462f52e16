"""The head line: each fact is read, edited where it stands, refused in words, and undone."""

from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QAction, QGuiApplication, QKeySequence

from designer.recipe import Recipe, Row
from designer.window.recipe.facts import Facts

KEY = Qt.Key
NBSP = "\N{NO-BREAK SPACE}"


@pytest.fixture
def show(qtbot):
    def showing(document, width=1248):
        facts = Facts(document)
        qtbot.addWidget(facts)
        facts.resize(width, facts.heightForWidth(width))
        facts.show()
        facts.activateWindow()
        qtbot.waitUntil(facts.isActiveWindow)
        return facts

    return showing


@pytest.fixture
def facts(document, show):
    return show(document)


@pytest.fixture
def told(document):
    found = []
    document.refused.connect(found.append)
    return found


def typed(qtbot, field, text, end=KEY.Key_Return):
    """Open a fact by the mouse, type over what is selected, end with a key."""
    qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
    qtbot.keyClicks(field, text)
    if end is not None:
        qtbot.keyClick(field, end)


def plain(text):
    return text.replace(NBSP, " ")


@pytest.mark.parametrize(
    ("name", "text", "shown", "step"),
    [
        ("Name", "Nettle bar", "Nettle bar", "Name Oat bar, sticky and mended → Nettle bar"),
        ("Bars", "24", "24 bars × 100 g", "Bars 8 bars × 100 g → 24 bars × 100 g"),
        ("Bars", "12 x 3.5 oz", "12 bars × 99 g", "Bars 8 bars × 100 g → 12 bars × 99 g"),
        ("Bars", "85,5 g", "8 bars × 85.5 g", "Bars 8 bars × 100 g → 8 bars × 85.5 g"),
        ("Bowl loss", "3,5", "3.5 %", "Bowl loss 2 % → 3.5 %"),
        ("Batch", "450", "450 g", "Batch 816 g → 450 g"),
        ("Batch", "4,5 lb", "2.04 kg", "Batch 816 g → 2.04 kg"),
        ("Room", "24", "24 °C", "Room 21 °C → 24 °C"),
        ("Room", "70 F", "21 °C", "Room 21 °C → 21 °C"),
        ("Humidity", "60 %", "60 %", "Humidity 45 % → 60 %"),
        ("Bath", "75", "75 °C", "Bath 70 °C → 75 °C"),
        ("Kneading window", "4-15 min", "4–15 min", "Kneading window 5–20 min → 4–15 min"),
        ("Wanted chance", "16", "16 of 20", "Wanted chance 14 of 20 → 16 of 20"),
    ],
)
def test_a_typed_fact_is_one_undo_step_with_a_readable_name(
    qtbot, document, facts, name, text, shown, step
):
    field, before = facts.fields[name], document.recipe
    old = field.text()
    typed(qtbot, field, text)
    assert plain(field.text()) == shown
    assert plain(document.undo_stack.undoText()) == step
    assert document.undo_stack.count() == 1
    assert not field.is_open
    document.undo_stack.undo()
    assert document.recipe == before
    assert field.text() == old


def test_a_batch_takes_the_place_of_bars_and_bars_that_of_a_batch(qtbot, document, facts):
    typed(qtbot, facts.fields["Batch"], "0.9 kg")
    assert document.recipe.bench.bars is None
    assert document.recipe.bench.batch == 0.9
    assert facts.fields["Bars"].text() == "no bars stated"
    assert not facts.fields["Bowl loss"].isVisible()
    typed(qtbot, facts.fields["Bars"], "5 bars")
    assert document.recipe.bench.bars == 5
    assert document.recipe.bench.batch is None
    assert facts.fields["Bowl loss"].isVisible()


@pytest.mark.parametrize("end", [KEY.Key_Return, KEY.Key_Tab, KEY.Key_Escape])
def test_a_fact_that_was_opened_and_left_as_it_was_is_no_edit(qtbot, document, facts, end):
    for field in facts.fields.values():
        if field.isVisible():
            field.setFocus()
            qtbot.keyClick(field, KEY.Key_F2)
            assert field.is_open
            assert field.selectedText() == field.text()
            qtbot.keyClick(field, end)
            assert not field.is_open
    assert document.undo_stack.count() == 0


def test_a_rounded_text_typed_back_does_not_become_the_value(qtbot, document, facts):
    batch = document.recipe.bench.batch_mass
    typed(qtbot, facts.fields["Batch"], facts.fields["Batch"].text())
    assert document.undo_stack.count() == 0
    assert document.recipe.bench.batch_mass == batch


@pytest.mark.parametrize(
    ("name", "text", "problem"),
    [
        ("Room", "21..5", "21..5 is not a number."),
        ("Room", "3 kg", "3 kg is not a temperature."),
        ("Room", "60", "60 is outside what is possible here."),
        ("Batch", "1,250 kg", "may mean 1.25 kg or 1250 kg"),
        ("Batch", "", "Nothing is typed here."),
        ("Batch", "9" * 3000, "is not a number"),
        ("Bars", "0", "0 bars cannot be made."),
        ("Bars", "many", "many is not a number."),
        ("Bars", "8 x 9 kg", "9 kg is outside"),
        ("Kneading window", "20-5 min", "ends below where it starts"),
        ("Wanted chance", "21 of 20", "outside what is possible"),
        ("Name", "x" * 300, "300 characters long"),
    ],
)
def test_refused_text_stays_with_its_reason_until_esc_brings_the_old_back(
    qtbot, document, facts, told, name, text, problem
):
    field, before = facts.fields[name], document.recipe
    old = field.text()
    qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
    if len(text) > 100:
        field.insert(text)
        field.setModified(True)
    else:
        qtbot.keyClick(field, KEY.Key_Delete)
        qtbot.keyClicks(field, text)
    qtbot.keyClick(field, KEY.Key_Return)
    assert field.text() == text
    assert field.is_refused
    assert problem in told[-1].problem
    assert "Esc brings back" in told[-1].advice
    assert document.recipe == before
    assert document.undo_stack.count() == 0
    qtbot.keyClick(field, KEY.Key_Escape)
    assert field.text() == old
    assert told[-1] is None
    assert not field.is_open


def test_a_refused_text_can_be_mended(qtbot, document, facts, told):
    field = facts.fields["Room"]
    typed(qtbot, field, "2x")
    assert field.is_refused
    qtbot.keyClick(field, KEY.Key_A, Qt.KeyboardModifier.ControlModifier)
    qtbot.keyClicks(field, "25 °C")
    qtbot.keyClick(field, KEY.Key_Return)
    assert document.recipe.bench.room == 298.15
    assert told[-1] is None


def test_a_refused_text_outlives_the_focus_and_an_edit_elsewhere(qtbot, document, facts):
    field = facts.fields["Room"]
    typed(qtbot, field, "2x", KEY.Key_Tab)
    assert field.is_refused
    document.edit("Notes", document.recipe.with_notes("stir").with_bench(bath=350.15))
    assert field.text() == "2x"


def test_up_and_down_are_steps_and_a_burst_of_them_is_one_undo_step(qtbot, document, facts):
    field = facts.fields["Room"]
    qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
    for _ in range(3):
        qtbot.keyClick(field, KEY.Key_Up)
    assert document.recipe.bench.room == 297.15
    qtbot.keyClick(field, KEY.Key_Return)
    assert document.undo_stack.count() == 1
    assert plain(document.undo_stack.undoText()) == "Room 21 °C → 24 °C"
    qtbot.keyClick(field, KEY.Key_F2)
    qtbot.keyClick(field, KEY.Key_Down)
    assert document.undo_stack.count() == 2


def test_steps_given_up_by_esc_leave_no_step(qtbot, document, facts):
    field, before = facts.fields["Wanted chance"], document.recipe
    qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
    for key in (KEY.Key_Up, KEY.Key_Up, KEY.Key_Escape):
        qtbot.keyClick(field, key)
    assert document.recipe == before
    assert not document.undo_stack.canUndo()


@pytest.mark.parametrize(
    ("name", "key", "shown"),
    [
        ("Bars", KEY.Key_Up, "9 bars × 100 g"),
        ("Bowl loss", KEY.Key_Down, "1.5 %"),
        ("Batch", KEY.Key_Up, "826 g"),
        ("Humidity", KEY.Key_Down, "44 %"),
        ("Bath", KEY.Key_Up, "71 °C"),
        ("Kneading window", KEY.Key_Up, "5–21 min"),
        ("Wanted chance", KEY.Key_Down, "13 of 20"),
    ],
)
def test_every_fact_but_the_name_has_a_step(qtbot, facts, name, key, shown):
    field = facts.fields[name]
    qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
    qtbot.keyClick(field, key)
    assert plain(field.text()) == shown


def test_a_step_beyond_what_is_possible_is_refused(qtbot, document, facts, told):
    field = facts.fields["Wanted chance"]
    typed(qtbot, field, "20 of 20")
    qtbot.keyClick(field, KEY.Key_F2)
    qtbot.keyClick(field, KEY.Key_Up)
    assert document.recipe.bench.wanted == 1.0
    assert "outside" in told[-1].problem


@pytest.mark.parametrize("is_open", [False, True])
def test_ctrl_z_is_the_windows_while_nothing_is_typed(qtbot, document, facts, is_open):
    action = QAction("Undo", facts)
    action.setShortcut(QKeySequence("Ctrl+Z"))
    action.triggered.connect(document.undo_stack.undo)
    facts.addAction(action)
    field, before = facts.fields["Room"], document.recipe
    typed(qtbot, field, "24")
    assert field.hasFocus()
    if is_open:
        qtbot.keyClick(field, KEY.Key_F2)
    qtbot.keyClick(field, KEY.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert document.recipe == before
    assert plain(field.text()) == "21 °C"


def test_ctrl_z_takes_back_typing_first(qtbot, document, facts):
    document.edit("Bath", document.recipe.with_bench(bath=350.15))
    action = QAction("Undo", facts)
    action.setShortcut(QKeySequence("Ctrl+Z"))
    action.triggered.connect(document.undo_stack.undo)
    facts.addAction(action)
    field = facts.fields["Room"]
    typed(qtbot, field, "24", None)
    qtbot.keyClick(field, KEY.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert document.recipe.bench.bath == 350.15
    assert plain(field.text()) == "21 °C"


def test_tab_walks_through_the_facts_in_their_order(qtbot, facts):
    visible = [field for field in facts.fields.values() if field.isVisible()]
    visible[0].setFocus()
    for one, other in pairwise(visible):
        assert one.hasFocus()
        qtbot.keyClick(one, KEY.Key_Tab)
        assert other.hasFocus()


def test_the_temperature_of_the_liquids_is_there_when_stated_or_where_there_is_room(
    qtbot, document, show
):
    narrow = show(document, 1000)
    assert narrow.heightForWidth(1000) == 44
    wide = show(document, 1700)
    assert wide.heightForWidth(1700) == 22
    field = wide.fields["Liquids"]
    assert field.isVisible()
    assert field.text() == "as the room"
    typed(qtbot, field, "30")
    assert document.recipe.bench.liquids == 303.15
    assert narrow.fields["Liquids"].isVisible()
    qtbot.mouseClick(field, Qt.MouseButton.LeftButton)
    qtbot.keyClick(field, KEY.Key_Delete)
    qtbot.keyClick(field, KEY.Key_Return)
    assert document.recipe.bench.liquids is None


@pytest.mark.parametrize("width", [600, 1068, 1248, 1888])
def test_no_fact_leaves_the_line_or_covers_another(document, show, width):
    document.edit("Name", document.recipe.with_name("Oat " * 50))
    facts = show(document, width)
    boxes = [field.geometry() for field in facts.fields.values() if field.isVisible()]
    assert all(box.right() <= width for box in boxes)
    assert not any(one.intersects(other) for one in boxes for other in boxes if one is not other)


def test_a_fact_is_told_to_a_screen_reader_by_name_and_value(facts):
    for name, field in facts.fields.items():
        if field.isVisible():
            interface = QAccessible.queryAccessibleInterface(field)
            assert interface.text(QAccessible.Text.Name) == name
            assert interface.text(QAccessible.Text.Value) == field.text()


def test_a_recipe_without_a_name_offers_the_place_of_one(qtbot, open_recipe, show):
    document = open_recipe(Recipe(rows=(Row("powder", "oat flour", {"1": 9.0}),)))
    facts = show(document)
    assert facts.fields["Name"].text() == ""
    typed(qtbot, facts.fields["Name"], "Clay bar")
    assert document.recipe.name == "Clay bar"
    assert document.undo_stack.undoText() == "Name none → Clay bar"


def test_what_is_not_stated_has_no_words_behind_it(open_recipe, show):
    rows = (Row("powder", "SCI fine powder", {"1": 60.0}), Row("liquid", "water", {"1": 40.0}))
    facts = show(open_recipe(Recipe(rows=rows)))
    field = facts.fields["Bars"]
    assert plain(field.value) == "no bars stated"
    assert field.fact.words_after(field._document.recipe) == ""


def test_the_foot_tells_what_may_be_typed_into_the_fact_in_focus(facts):
    facts.fields["Room"].setFocus()
    assert ("70 F  294 K", "may be typed") in list(facts.keys())
    facts.fields["Bars"].setFocus()
    assert ("24 × 100 g", "may be typed") in list(facts.keys())
    facts.fields["Name"].setFocus()
    assert facts.keys() == [("Enter", "change"), ("Esc", "as it was"), ("Tab", "next")]


@pytest.mark.parametrize(
    ("name", "shown"),
    [("Room", "21 °C"), ("Bars", "8 bars × 100 g"), ("Kneading window", "5–20 min")],
)
def test_copy_takes_a_closed_fact_as_it_is_shown(facts, qtbot, document, name, shown):
    clipboard = QGuiApplication.clipboard()
    clipboard.setText("something else")
    facts.fields[name].setFocus()
    qtbot.keyClick(facts.fields[name], KEY.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert plain(clipboard.text()) == shown
    assert not facts.fields[name].is_open
    assert document.undo_stack.count() == 0


def test_copy_takes_what_is_selected_in_an_open_fact(facts, qtbot):
    field = facts.fields["Room"]
    field.setFocus()
    qtbot.keyClick(field, KEY.Key_Return)
    qtbot.keyClick(field, KEY.Key_Home)
    for _ in range(2):
        qtbot.keyClick(field, KEY.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(field, KEY.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == "21"


def test_copy_of_a_recipe_without_a_name_leaves_the_clipboard(open_recipe, show, qtbot):
    row = Row("powder", "kaolin", {"1": 60.0})
    facts = show(open_recipe(Recipe(rows=(row, Row("liquid", "water", {"1": 40.0})))))
    QGuiApplication.clipboard().setText("something else")
    facts.fields["Name"].setFocus()
    qtbot.keyClick(facts.fields["Name"], KEY.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == "something else"
