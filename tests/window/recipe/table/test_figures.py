"""Figures changed by arrow keys, by typing, by scrubbing, and by single letters."""

import pytest
from PySide6.QtCore import QPoint, Qt

from designer.quantities import QS
from designer.recipe import Recipe, Row

K, SHIFT, CTRL = Qt.Key, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
NONE = Qt.KeyboardModifier.NoModifier


@pytest.mark.parametrize(("modifier", "after"), [(NONE, 14.6), (SHIFT, 15.5), (CTRL, 14.51)])
def test_an_arrow_up_moves_a_figure_by_its_step(hand, modifier, after):
    hand.focus("CAPB 30 %")
    hand.keys(K.Key_Up, modifier=modifier)
    assert hand.cell("CAPB 30 %") == after
    assert hand.steps == [f"CAPB 30 % 14.50 → {after:.2f}"]


def test_a_burst_of_arrows_is_one_step_and_undo_brings_back_the_figure(hand):
    hand.focus("CAPB 30 %")
    hand.keys(*[K.Key_Down] * 40)
    assert hand.cell("CAPB 30 %") == 10.5
    assert hand.steps == ["CAPB 30 % 14.50 → 10.50"]
    hand.stack.undo()
    assert hand.cell("CAPB 30 %") == 14.5


def test_there_and_back_leaves_no_step(hand):
    hand.focus("CAPB 30 %")
    hand.keys(*[K.Key_Up] * 7, *[K.Key_Down] * 7)
    assert hand.cell("CAPB 30 %") == 14.5
    assert hand.stack.count() == 0


def test_another_key_begins_a_new_step(hand):
    hand.focus("CAPB 30 %")
    hand.keys(K.Key_Up, K.Key_Left, K.Key_Right, K.Key_Up)
    assert hand.steps == ["CAPB 30 % 14.50 → 14.60", "CAPB 30 % 14.60 → 14.70"]


def test_a_second_without_a_key_begins_a_new_step(hand):
    hand.focus("CAPB 30 %")
    hand.keys(K.Key_Up)
    pause = hand.table.keyboard.pause
    hand.qtbot.waitSignal(pause.timeout, timeout=5000).wait()
    hand.keys(K.Key_Up)
    assert len(hand.steps) == 2


def test_arrows_stop_at_nothing_and_at_a_hundred(hand):
    hand.focus("tocopherol")
    hand.keys(K.Key_Down, K.Key_Down, K.Key_Down)
    assert hand.cell("tocopherol") == 0.0
    hand.keys(*[K.Key_Up] * 101, modifier=SHIFT)
    assert hand.cell("tocopherol") == 100.0
    hand.keys(K.Key_Down)
    assert hand.cell("tocopherol") == 99.9


def test_an_arrow_on_a_figure_that_fills_up_is_refused_with_advice(hand):
    hand.focus("SCI fine powder")
    hand.keys(K.Key_Up)
    assert hand.stack.count() == 0
    assert "Press Q" in hand.refused[-1].advice
    hand.keys(K.Key_Return)
    assert hand.refused[-1] is None


def test_arrows_change_the_column_in_focus_whichever_is_active(hand):
    hand.focus("CAPB 30 %", "2")
    hand.keys(K.Key_Up)
    assert (hand.cell("CAPB 30 %", "1"), hand.cell("CAPB 30 %", "2")) == (14.5, 10.6)
    assert hand.steps == ["CAPB 30 % 10.50 → 10.60, variant 2"]


@pytest.mark.parametrize(
    ("typed", "percent"),
    [
        ("12", 12.0),
        ("1,5", 1.5),
        (".5", 0.5),
        ("12 %", 12.0),
        ("12 g", 12 / 816.3265306122449 * 100),
        ("0.4 oz", 0.4 * 28.349523125 / 816.3265306122449 * 100),
    ],
)
def test_typing_a_figure_replaces_it_and_goes_down(hand, typed, percent):
    hand.focus("CAPB 30 %")
    hand.keys(typed, K.Key_Return)
    assert hand.cell("CAPB 30 %") == pytest.approx(percent, rel=1e-9)
    assert hand.here() == ("glycerin", "1")
    assert hand.editor is None
    assert hand.stack.count() == 1


def test_typing_qs_moves_what_fills_up(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_F2)
    hand.editor.selectAll()
    hand.keys("q.s.", K.Key_Return)
    assert hand.cell("oat flour") is QS
    assert hand.cell("SCI fine powder") == pytest.approx(51.0)
    assert hand.cell("SCI fine powder", "2") is QS
    assert hand.stack.count() == 1


@pytest.mark.parametrize("typed", ["q.s.", "qs", "q.s"])
def test_qs_typed_into_a_cell_fills_up_as_one_step(hand, typed):
    hand.focus("oat flour")
    hand.keys(typed)
    assert hand.editor is None
    hand.keys(K.Key_Return)
    assert hand.cell("oat flour") is QS
    assert hand.steps == ["Fill up with oat flour"]
    assert not [one for one in hand.refused if one is not None]
    assert hand.here()[0] == "white clay"


@pytest.mark.parametrize("typed", ["q.s.", "qs"])
def test_qs_typed_over_qs_changes_nothing(hand, typed):
    hand.focus("SCI fine powder")
    hand.keys(typed, K.Key_Return)
    assert hand.cell("SCI fine powder") is QS
    assert hand.stack.count() == 0


def test_a_figure_that_begins_with_a_dot_may_follow_a_q(hand):
    hand.focus("SCI fine powder")
    hand.keys("q.5", K.Key_Return)
    assert hand.cell("SCI fine powder") == 0.5


def test_an_s_after_other_keys_takes_nothing_back(hand):
    hand.focus("SCI fine powder")
    hand.keys("q", K.Key_Up, "s")
    assert hand.cell("SCI fine powder") == pytest.approx(51.1)


@pytest.mark.parametrize(
    ("cell", "back"), [(QS, "brings back q.s."), (8 / 3, "brings back 2.67."), (None, "it empty.")]
)
def test_the_way_back_is_told_as_the_table_shows_it(open_table, cell, back):
    rows = (Row("powder", "kaolin", {"1": cell}), Row("liquid", "water", {"1": 40.0}))
    hand = open_table(Recipe(rows=rows))
    hand.focus("kaolin")
    hand.keys(K.Key_F2)
    hand.editor.selectAll()
    hand.keys("14..5", K.Key_Return)
    assert hand.refused[-1].advice.endswith(back)
    assert "66666" not in hand.refused[-1].advice
    assert ".." not in hand.refused[-1].advice


def test_an_editor_left_as_it_was_changes_nothing(open_table):
    hand = open_table(Recipe(rows=(Row("powder", "kaolin", {"1": 33.333333}),)))
    hand.focus("kaolin")
    assert hand.shown("kaolin") == "33.33"
    hand.keys(K.Key_F2)
    assert hand.editor.text() == "33.333333"
    hand.keys(K.Key_Return)
    assert hand.cell("kaolin") == 33.333333
    assert hand.stack.count() == 0


def test_escape_brings_back_the_figure(hand):
    hand.focus("CAPB 30 %")
    hand.keys("7", K.Key_Escape)
    assert hand.cell("CAPB 30 %") == 14.5
    assert hand.editor is None
    assert hand.table.hasFocus()


def test_tab_takes_what_is_typed_and_goes_to_the_next_cell(hand):
    hand.focus("CAPB 30 %")
    hand.keys("7", K.Key_Tab)
    assert hand.cell("CAPB 30 %") == 7
    assert hand.here() == ("CAPB 30 %", "2")


def test_an_arrow_in_the_editor_takes_the_text_and_steps_from_there(hand):
    hand.focus("CAPB 30 %")
    hand.keys("7", K.Key_Up)
    assert hand.cell("CAPB 30 %") == 7.1
    assert hand.here() == ("CAPB 30 %", "1")


def test_a_click_elsewhere_takes_what_is_typed(hand):
    hand.focus("CAPB 30 %")
    hand.keys("7")
    hand.click(hand.at("water"))
    assert hand.cell("CAPB 30 %") == 7
    assert hand.here() == ("water", "1")


BAD = ["-1", "101", "1000000", "14..5", "1,250", "12 min", "nan", "", "9" * 100_000, "x" * 10_000]


@pytest.mark.parametrize("typed", BAD, ids=lambda text: text[:8] or "empty")
def test_a_refused_text_stays_with_its_reason_and_changes_nothing(hand, typed):
    before = hand.recipe
    hand.focus("CAPB 30 %")
    hand.keys(K.Key_F2)
    hand.editor.selectAll()
    hand.editor.insert(typed) if typed else hand.keys(K.Key_Delete)
    hand.keys(K.Key_Return)
    assert hand.editor.text() == typed[:20_000]
    assert hand.editor.refused
    assert hand.editor.hasFocus()
    assert "Esc brings back 14.50" in hand.refused[-1].advice
    assert hand.recipe is before
    assert hand.stack.count() == 0
    hand.keys(K.Key_Escape)
    assert hand.shown("CAPB 30 %") == "14.50"
    assert hand.refused[-1] is None


def test_the_focus_may_leave_a_refused_text_and_mend_it_later(hand):
    hand.focus("CAPB 30 %")
    hand.keys("14..5", K.Key_Tab)
    assert hand.here() == ("CAPB 30 %", "2")
    assert hand.shown("CAPB 30 %") == "14..5"
    assert "not taken: 14..5" in hand.spoken("CAPB 30 %")
    hand.keys(K.Key_Up)
    assert hand.shown("CAPB 30 %") == "14..5"
    hand.keys(K.Key_Left, K.Key_F2)
    assert hand.editor.text() == "14..5"
    hand.keys(K.Key_Home, K.Key_Right, K.Key_Right, K.Key_Delete, K.Key_Return)
    assert hand.cell("CAPB 30 %") == 14.5
    assert hand.shown("CAPB 30 %") == "14.50"
    assert hand.refused[-1] is None


def test_of_two_refused_texts_the_other_is_told_when_one_is_mended(hand):
    hand.focus("CAPB 30 %")
    hand.keys("1..1", K.Key_Tab)
    hand.focus("water")
    hand.keys("2..2", K.Key_Tab)
    hand.focus("water")
    hand.keys(K.Key_Escape)
    assert hand.refused[-1].title == "CAPB 30 %, variant 1"


def test_undo_elsewhere_keeps_a_refused_text(hand):
    hand.focus("water")
    hand.keys(K.Key_Up)
    hand.focus("CAPB 30 %")
    hand.keys("14..5", K.Key_Tab)
    hand.stack.undo()
    assert hand.shown("CAPB 30 %") == "14..5"


def test_delete_leaves_a_row_without_a_figure_in_that_variant(hand):
    hand.focus("CAPB 30 %")
    hand.keys(K.Key_Delete)
    assert hand.cell("CAPB 30 %") is None
    assert hand.cell("CAPB 30 %", "2") == 10.5
    assert hand.shown("CAPB 30 %") == "–"
    assert hand.steps == ["CAPB 30 % 14.50 → none"]


def test_q_makes_a_number_of_what_fills_up_and_back(hand):
    hand.focus("SCI fine powder")
    hand.keys("q")
    assert hand.cell("SCI fine powder") == pytest.approx(51.0)
    assert hand.steps == ["SCI fine powder q.s. → 51.00"]
    hand.keys("q")
    assert hand.cell("SCI fine powder") is QS
    assert hand.steps[1] == "Fill up with SCI fine powder"


def test_q_on_another_row_leaves_the_first_its_figure(hand):
    hand.focus("water")
    hand.keys("q")
    assert hand.cell("water") is QS
    assert hand.cell("SCI fine powder") == pytest.approx(51.0)


def test_h_holds_the_figure_in_focus_and_lets_it_go(hand):
    hand.focus("citric acid", "2")
    hand.keys("h")
    assert hand.recipe.rows[hand.row("citric acid")].held == {"2"}
    assert hand.spoken("citric acid", "2").endswith("held")
    hand.keys("h")
    assert hand.recipe.rows[hand.row("citric acid")].held == frozenset()
    assert hand.steps == ["Hold citric acid", "Let go of citric acid"]


def unsure(*figures, held=()):
    rows = tuple(
        Row("powder", f"powder {n}", {"1": cell}, held={"1"} if n in held else frozenset())
        for n, cell in enumerate(figures)
    )
    return Recipe(rows=rows)


def test_n_makes_the_total_a_hundred_and_leaves_held_figures(open_table):
    hand = open_table(unsure(30.0, 30.0, 20.0, 10.0, held=(3,)))
    hand.focus("powder 0")
    assert hand.table.total.off() == "1"
    hand.keys("n")
    figures = [row.percents["1"] for row in hand.recipe.rows]
    assert sum(figures) == pytest.approx(100, abs=1e-9)
    assert figures[3] == 10
    assert figures[0] == pytest.approx(33.75, abs=0.01)
    assert hand.table.total.off() == ""
    assert hand.steps == ["Make the total 100"]


def test_a_click_on_the_words_below_the_rows_makes_a_hundred_too(open_table):
    hand = open_table(unsure(30.0, 30.0))
    total = len(hand.table.lines.lines) - 1
    hand.click(hand.table.visualRect(hand.table.lines.index(total, 0)).center())
    assert [row.percents["1"] for row in hand.recipe.rows] == [50, 50]


def test_n_takes_out_what_a_row_that_fills_up_has_too_much(open_table):
    hand = open_table(unsure(80.0, 40.0, QS))
    assert hand.table.lines.off_hundred(0) == "20.00 too much"
    hand.focus("powder 0")
    hand.keys("n")
    assert sum(row.percents["1"] for row in hand.recipe.rows[:2]) == pytest.approx(100, abs=1e-9)


@pytest.mark.parametrize("held", [(0, 1), (0,)])
def test_n_says_why_when_no_figure_may_move(open_table, held):
    hand = open_table(unsure(120.0 - 20, 30.0, held=held))
    hand.focus("powder 0")
    hand.keys("n")
    assert hand.stack.count() == 0
    assert "H" in hand.refused[-1].advice


def test_an_empty_variant_says_so(open_table):
    hand = open_table(unsure(0.0, 0.0))
    assert hand.table.lines.off_hundred(0) == "no figures yet"
    hand.focus("powder 0")
    hand.keys("n")
    assert hand.stack.count() == 0
    assert hand.refused[-1].problem == "No figure may move."


@pytest.mark.parametrize(("modifier", "after"), [(NONE, 15.5), (SHIFT, 24.5), (CTRL, 14.6)])
def test_dragging_a_figure_moves_it_as_one_step(hand, modifier, after):
    start = hand.at("CAPB 30 %")
    hand.drag(start, start + QPoint(20, 0), start + QPoint(40, 3), modifier=modifier)
    assert hand.cell("CAPB 30 %") == pytest.approx(after)
    assert len(hand.steps) == 1
    hand.stack.undo()
    assert hand.cell("CAPB 30 %") == 14.5


def test_escape_during_a_drag_brings_back_the_figure_and_leaves_no_step(hand):
    start = hand.at("CAPB 30 %")
    hand.press(start)
    hand.move(start + QPoint(40, 0))
    assert hand.cell("CAPB 30 %") == 15.5
    hand.keys(K.Key_Escape)
    hand.move(start + QPoint(80, 0))
    hand.release(start + QPoint(80, 0))
    assert hand.cell("CAPB 30 %") == 14.5
    assert hand.stack.count() == 0


def test_a_figure_dragged_beyond_nothing_turns_back_at_once(hand):
    start = hand.at("tocopherol")
    hand.drag(start, start - QPoint(80, 0), start - QPoint(76, 0))
    assert hand.cell("tocopherol") == pytest.approx(0.1)


def test_a_figure_that_fills_up_is_not_dragged(hand):
    start = hand.at("SCI fine powder")
    hand.drag(start, start + QPoint(40, 0))
    assert hand.stack.count() == 0
    assert "Press Q" in hand.refused[-1].advice


def test_the_pointer_shows_which_figures_can_be_dragged(hand):
    hand.qtbot.mouseMove(hand.table.viewport(), hand.at("CAPB 30 %"))
    assert hand.table.viewport().cursor().shape() == Qt.CursorShape.SizeHorCursor
    hand.qtbot.mouseMove(hand.table.viewport(), hand.at("SCI fine powder"))
    assert hand.table.viewport().cursor().shape() == Qt.CursorShape.ArrowCursor


def test_a_double_click_opens_the_figure(hand):
    hand.click(hand.at("CAPB 30 %"))
    hand.qtbot.mouseDClick(
        hand.table.viewport(), Qt.MouseButton.LeftButton, pos=hand.at("CAPB 30 %")
    )
    assert hand.editor.text() == "14.50"


def long_recipe():
    rows = (*(Row("powder", f"powder {n:02}", {"1": 2.0}) for n in range(40)),)
    return Recipe(rows=rows)


def test_the_total_stays_in_view_at_the_foot_of_a_long_table(open_table, qtbot):
    hand = open_table(long_recipe())
    table = hand.table
    pinned = table.total.pinned()
    assert pinned.bottom() == table.viewport().rect().bottom()
    before = table.viewport().grab(pinned).toImage()
    hand.focus("powder 00")
    hand.keys(Qt.Key.Key_Up)
    assert table.viewport().grab(pinned).toImage() != before
    # A click on it does what the N that stands there says.
    qtbot.mouseClick(
        table.viewport(),
        Qt.MouseButton.LeftButton,
        pos=pinned.center() * 0.5 + pinned.topLeft() * 0.5,
    )
    assert hand.steps[-1] == "Make the total 100"


def test_a_walk_down_never_ends_under_the_total(open_table):
    hand = open_table(long_recipe())
    table = hand.table
    hand.focus("powder 00")
    for _ in range(39):
        hand.keys(Qt.Key.Key_Return)
        cell = table.visualRect(table.currentIndex())
        pinned = table.total.pinned()
        assert pinned.isEmpty() or cell.bottom() < pinned.top()
    assert hand.here()[0] == "powder 39"
