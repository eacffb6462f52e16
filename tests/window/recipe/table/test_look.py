"""What the table shows: figures side by side, grams that add up, the picture itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from designer.quantities import QS
from designer.recipe import Recipe, Row, Variant
from designer.window import theme
from designer.window.recipe.table.amounts import largest_remainder, shown_amounts


@given(st.lists(st.floats(0, 1e6), min_size=1, max_size=40))
def test_shown_grams_add_up_to_the_shown_sum(values):
    values = np.array(values)
    shown = largest_remainder(values)
    assert shown.sum() == round(float(values.sum()))
    assert (np.abs(shown - values) <= 1 + 1e-6).all()


@pytest.mark.parametrize(("batch", "total"), [(0.05, "50.00"), (2.64, "2640.0"), (25.0, "25000")])
def test_grams_of_all_rows_make_the_batch(batch, total):
    rows = tuple(Row("powder", f"p{n}", {"1": 100 / 7}) for n in range(7))
    amounts = shown_amounts(Recipe(rows=rows).with_bench(batch=batch))
    assert amounts.grams_text(amounts.total_grams) == total


@pytest.mark.parametrize(
    ("percents", "grams", "total"),
    [((6.0,), ["27.0"], "27.0"), ((60.0, 60.0), ["270.0", "270.0"], "540.0"), ((), [], "0.0")],
)
def test_grams_are_shares_of_the_batch_while_the_total_is_not_a_hundred(percents, grams, total):
    rows = tuple(Row("melt", f"wax {n}", {"1": one}) for n, one in enumerate(percents))
    amounts = shown_amounts(Recipe(rows=rows).with_bench(batch=0.45))
    assert [amounts.grams_text(one) for one in amounts.grams] == grams
    assert amounts.grams_text(amounts.total_grams) == total


@given(st.lists(st.floats(0.01, 30), min_size=1, max_size=9))
def test_shown_grams_of_an_unfinished_recipe_add_up(percents):
    rows = tuple(Row("melt", f"wax {n}", {"1": one}) for n, one in enumerate(percents))
    amounts = shown_amounts(Recipe(rows=rows).with_bench(batch=0.45))
    # A total within the last digit shown counts as the whole batch.
    assert amounts.total_grams == pytest.approx(45 * sum(percents), abs=1.0)
    assert amounts.total_grams == amounts.subtotal_grams.sum() == amounts.grams.sum()


def figures(hand, name):
    model = hand.table.lines
    line = next(one for one in model.lines if one.row == hand.row(name))
    return [model.figure(line, variant) for variant in range(len(hand.recipe.variants))]


def test_an_equal_figure_is_a_dot_and_another_is_bold_with_a_wedge(hand):
    assert hand.shown("water", "2") == "·"
    other = figures(hand, "CAPB 30 %")[1]
    assert (other.text, other.bold, other.wedge) == ("10.50", True, -1)
    other = figures(hand, "SCI fine powder")[1]
    assert (other.text, other.bold, other.wedge) == ("55.00", True, 1)


def test_no_figure_and_nothing_are_told_apart(open_table):
    variants = (Variant("1", active=True), Variant("2"))
    rows = (
        Row("powder", "a", {"1": 100.0, "2": 100.0}),
        Row("powder", "b", {"1": 0.0}),
        Row("powder", "c", {}),
    )
    hand = open_table(Recipe(variants=variants, rows=rows))
    assert [one.text for one in figures(hand, "b")] == ["0.00", "–"]
    assert [one.text for one in figures(hand, "c")] == ["–", ""]
    assert not figures(hand, "b")[1].wedge


def test_the_tag_is_that_of_the_variant_in_focus(open_table):
    variants = (Variant("1", active=True), Variant("2"))
    rows = (Row("powder", "kaolin", {"1": 100.0, "2": QS}, held={"2"}),)
    hand = open_table(Recipe(variants=variants, rows=rows))
    line = hand.table.lines.lines[2]
    assert line.row == 0 or hand.table.lines.lines[3].row == 0
    line = next(one for one in hand.table.lines.lines if one.row == 0)
    hand.focus("kaolin", "1")
    assert hand.table.lines.tags(0, hand.table.tagged_variant(line)) == ""
    hand.focus("kaolin", "2")
    assert hand.table.lines.tags(0, hand.table.tagged_variant(line)) == "q.s. held"


def test_inci_names_stand_where_there_is_room_or_are_asked_for(open_table):
    hand = open_table()
    assert not hand.table.inci_shown
    hand.table.resize(648, 900)
    assert hand.table.inci_shown
    assert hand.table.commands["show_inci"].isChecked()
    hand.table.commands["show_inci"].trigger()
    assert not hand.table.inci_shown
    hand.table.resize(480, 640)
    hand.table.commands["show_inci"].trigger()
    assert hand.table.inci_shown


def test_the_melt_tells_its_bath(hand):
    assert hand.table.lines.note("melt") == "bath at least 65\N{NO-BREAK SPACE}°C, pour at 70"
    hand.document.edit("Bath", hand.recipe.with_bench(bath=348.15))
    assert hand.table.lines.note("melt").endswith("pour at 75")


@pytest.mark.parametrize(("width", "height"), [(480, 600), (648, 900)])
@pytest.mark.parametrize("used", [theme.LIGHT, theme.DARK], ids=["light", "dark"])
def test_the_picture_fills_the_table_and_marks_the_active_column(open_table, width, height, used):
    theme.set_theme(QApplication.instance(), used)
    try:
        hand = open_table(size=(width, height))
        picture = hand.table.grab().toImage()
        column = hand.table.lines.column_of("1")
        x = hand.table.columnViewportPosition(column) + 4
        assert picture.pixelColor(x, 0).name() == used.accent
        assert picture.pixelColor(x, 20).name() == used.paper
        assert picture.pixelColor(3, height // 2).name() in (used.ground, used.line)
        rows = hand.table.rowHeight(0)
        assert 24 <= rows <= 32
        assert rows * len(hand.table.lines.lines) <= hand.table.viewport().height()
    finally:
        theme.set_theme(QApplication.instance(), theme.LIGHT)


def test_a_changed_figure_redraws_what_changed_and_no_more(open_table):
    hand = open_table()
    hand.focus("CAPB 30 %")
    QApplication.processEvents()
    told = []
    hand.table.lines.dataChanged.connect(lambda first, last: told.append((first.row(), last.row())))
    resets = []
    hand.table.lines.modelReset.connect(lambda: resets.append(1))
    hand.document.edit("CAPB", hand.recipe.with_percent(hand.row("CAPB 30 %"), "1", 12.0))
    assert not resets
    lines = hand.table.lines.lines
    changed = {row for first, last in told for row in range(first, last + 1)}
    named = {hand.names[lines[row].row] for row in changed if lines[row].row >= 0}
    assert named == {"CAPB 30 %", "SCI fine powder"}


def test_the_frame_of_the_pointer_goes_when_another_row_stands_there(hand):
    def hover():
        hand.qtbot.mouseMove(hand.table.viewport(), hand.at("water"))
        hand.qtbot.mouseMove(hand.table.viewport(), hand.at("oat flour"))
        assert hand.table.pointer.hover is not None

    hand.focus("oat flour")
    hover()
    hand.keys(Qt.Key.Key_Down, modifier=Qt.KeyboardModifier.AltModifier)
    assert hand.table.pointer.hover is None
    hover()
    hand.keys(Qt.Key.Key_Insert)
    assert hand.table.pointer.hover is None
    hand.keys(Qt.Key.Key_Escape)
    hover()
    hand.focus("white clay")
    hand.keys(Qt.Key.Key_Up)
    assert hand.table.pointer.hover is not None
    hand.keys(Qt.Key.Key_Delete, modifier=Qt.KeyboardModifier.ControlModifier)
    assert hand.table.pointer.hover is None
