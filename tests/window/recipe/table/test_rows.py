"""Rows: adding, naming, removing, moving by keys and by the pointer, and as text."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QMimeData, QPoint, Qt
from PySide6.QtWidgets import QApplication

from designer.quantities import QS
from designer.recipe import Recipe, Row, Swap, Variant
from designer.window.recipe.table import clipboard

K, SHIFT, CTRL = Qt.Key, Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier


def phase(hand, name):
    return [row.name for row in hand.recipe.rows if row.phase == name]


def choices(hand):
    shown = hand.table.editing.choices
    return [shown.item(n).text() for n in range(shown.count())] if not shown.isHidden() else []


# --- adding and naming


def test_insert_names_a_row_below_the_one_in_focus(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_Insert)
    assert len(hand.recipe.rows) == 17  # there is no row before it has a name
    hand.keys("kaolin", K.Key_Return)
    added = hand.recipe.rows[hand.row("oat flour") + 1]
    assert (added.phase, added.inci, dict(added.percents)) == ("powder", "Kaolin", {})
    assert hand.here() == (added.name, "1")
    assert hand.steps == [f"Add {added.name}"]


@pytest.mark.parametrize("last", [(K.Key_Escape,), (K.Key_Return,), ("zz", K.Key_Escape)])
def test_no_row_is_made_without_a_name(hand, last):
    hand.focus("oat flour")
    hand.keys(K.Key_Insert, *last)
    assert hand.stack.count() == 0
    assert hand.table.lines.new is None
    assert hand.here() == ("oat flour", "1")
    assert hand.table.hasFocus()


def test_words_in_any_order_find_common_and_inci_names(hand):
    hand.focus("CAPB 30 %")
    hand.keys(K.Key_Insert, "protein wheat")
    assert choices(hand)[0] == "hydrolysed wheat protein 25 %"
    hand.editor.selectAll()
    hand.keys("theobroma")
    assert "cocoa butter" in choices(hand)
    told = hand.table.editing.choices.item(0).data(Qt.ItemDataRole.AccessibleTextRole)
    assert "Theobroma" in told
    assert told.split(", ")[2] in ("melt", "liquid", "powder")


def test_arrows_choose_among_the_matches(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_Insert, "starch", K.Key_Down, K.Key_Down)
    third = choices(hand)[2]
    hand.keys(K.Key_Return)
    assert third in hand.names


def test_a_click_takes_a_match(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_Insert, "starch")
    shown = hand.table.editing.choices
    second = choices(hand)[1]
    at = shown.visualItemRect(shown.item(1)).center()
    hand.qtbot.mouseClick(shown.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert second in hand.names
    assert hand.table.hasFocus()


@pytest.mark.parametrize(
    ("below", "kind"),
    [("oat flour", "powder"), ("cocoa butter", "melt"), ("lavender oil", "liquid")],
)
def test_an_unknown_name_is_taken_for_what_its_phase_suggests(hand, below, kind):
    hand.focus(below)
    hand.keys(K.Key_Insert, "moon dust of the meadow", K.Key_Return)
    row = hand.recipe.rows[hand.row("moon dust of the meadow")]
    assert row.given_class == kind
    model = hand.table.lines
    assert model.tags(hand.row(row.name), "1") == "?"
    told = f"not in the tables: taken as a middling {kind}"
    assert told in hand.spoken(row.name, "")
    index = model.index_of((model.identities[hand.row(row.name)], ""))
    assert told in model.data(index, Qt.ItemDataRole.ToolTipRole)


def test_a_name_too_long_is_refused_and_stays(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_Insert)
    hand.editor.insert("m" * 10_000)
    hand.keys(K.Key_Return)
    assert len(hand.editor.text()) == 10_000
    assert hand.editor.refused
    assert "10000 characters" in hand.refused[-1].problem
    assert hand.stack.count() == 0
    hand.keys(K.Key_Escape)
    assert hand.refused[-1] is None
    assert hand.table.lines.new is None


def test_enter_on_a_name_puts_another_ingredient_into_the_row(hand):
    hand.focus("oat flour", "")
    hand.keys(K.Key_Return)
    hand.editor.selectAll()
    hand.keys("corn starch", K.Key_Return)
    row = hand.recipe.rows[7]
    assert "starch" in row.name
    assert row.percents["1"] == 5
    assert row.inci
    assert hand.steps == [f"oat flour → {row.name}"]
    assert hand.here() == (row.name, "")


def test_f3_on_a_figure_changes_the_ingredient_and_escape_keeps_it(hand):
    hand.focus("oat flour", "2")
    hand.keys(K.Key_F3, "x", K.Key_Escape)
    assert hand.names[7] == "oat flour"
    assert hand.stack.count() == 0


def test_an_empty_recipe_says_how_to_begin_and_begins_in_the_usual_phase(open_table):
    hand = open_table(Recipe())
    assert hand.table.lines.rowCount() == 0
    assert hand.table.keys()[0] == ("Insert", "add an ingredient")
    hand.keys(K.Key_Insert, "glycerin", K.Key_Return)
    assert phase(hand, "liquid") == ["glycerin"]
    hand.stack.undo()
    assert hand.table.lines.rowCount() == 0


# --- removing and moving


def test_ctrl_delete_removes_the_row(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_Delete, modifier=CTRL)
    assert "oat flour" not in hand.names
    assert hand.here() == ("white clay", "1")
    assert hand.steps == ["Remove oat flour"]


def test_delete_on_a_name_removes_nothing_and_says_what_does(hand):
    hand.focus("oat flour", "")
    hand.keys(K.Key_Delete)
    assert hand.stack.count() == 0
    assert "Ctrl+Delete" in hand.refused[-1].advice


def test_alt_arrows_move_a_row_within_its_phase(hand):
    hand.focus("oat flour")
    hand.keys(K.Key_Up, modifier=ALT)
    assert phase(hand, "powder")[:2] == ["oat flour", "SCI fine powder"]
    hand.keys(K.Key_Down, modifier=ALT)
    hand.keys(K.Key_Down, modifier=ALT)
    assert phase(hand, "powder")[:3] == ["SCI fine powder", "white clay", "oat flour"]
    assert hand.here() == ("oat flour", "1")
    assert hand.steps == ["Move oat flour"] * 3


def test_alt_arrows_move_a_row_across_phases(hand):
    hand.focus("SCI fine powder")
    hand.keys(K.Key_Up, modifier=ALT)
    assert phase(hand, "melt")[-1] == "SCI fine powder"
    hand.keys(K.Key_Down, modifier=ALT)
    assert phase(hand, "powder")[0] == "SCI fine powder"
    assert hand.steps == ["Move SCI fine powder to melt", "Move SCI fine powder to powder"]


def test_rows_stop_at_both_ends(hand):
    hand.focus("25 % active conditioner wax")
    hand.keys(K.Key_Up, modifier=ALT)
    hand.focus("lavender oil")
    hand.keys(K.Key_Down, modifier=ALT)
    assert hand.stack.count() == 0


@pytest.mark.parametrize(
    ("key", "to"), [(K.Key_1, "melt"), (K.Key_2, "powder"), (K.Key_3, "liquid"), (K.Key_4, "last")]
)
def test_a_key_moves_a_row_to_a_phase(hand, key, to):
    name = "glycerin" if to != "liquid" else "oat flour"
    hand.focus(name)
    hand.keys(key, modifier=CTRL | SHIFT)
    assert phase(hand, to)[-1] == name
    assert hand.steps == [f"Move {name} to {to}"]


def test_a_row_dragged_by_its_name_goes_where_the_line_shows(hand):
    start, end = hand.at("oat flour", ""), hand.at("glycerin", "")
    hand.press(start)
    hand.move(start + QPoint(0, 10))
    hand.move(end + QPoint(0, 8))
    assert hand.table.pointer.drop[:2] == ("liquid", hand.row("glycerin"))
    hand.release(end + QPoint(0, 8))
    assert phase(hand, "liquid")[:3] == ["CAPB 30 %", "glycerin", "oat flour"]
    assert hand.steps == ["Move oat flour to liquid"]
    assert hand.here() == ("oat flour", "")


def test_escape_during_a_drag_leaves_the_row(hand):
    start = hand.at("oat flour", "")
    hand.press(start)
    hand.move(start + QPoint(0, 100))
    hand.keys(K.Key_Escape)
    hand.release(start + QPoint(0, 100))
    assert hand.stack.count() == 0


def test_rows_chosen_with_shift_are_dragged_together(hand):
    hand.click(hand.at("oat flour", ""))
    hand.click(hand.at("cationic guar", ""), SHIFT)
    start, end = hand.at("white clay", ""), hand.at("water", "")
    hand.drag(start, start + QPoint(0, 10), end + QPoint(0, 8))
    assert phase(hand, "liquid")[3:6] == ["oat flour", "white clay", "cationic guar"]
    assert hand.steps == ["Move 3 rows to liquid"]


def test_the_table_scrolls_while_a_row_is_held_at_its_edge(open_table):
    hand = open_table(size=(480, 320))
    bar = hand.table.verticalScrollBar()
    bar.setValue(0)
    start = hand.at("cocoa butter", "")
    low = QPoint(start.x(), hand.table.viewport().height() - 3)
    hand.press(start)
    hand.move(low)
    hand.qtbot.waitUntil(lambda: bar.value() == bar.maximum())
    hand.move(low)
    hand.release(low)
    assert hand.recipe.rows[hand.row("cocoa butter")].phase == "last"


def test_an_unknown_row_is_taken_for_another_kind_where_it_moves(open_table):
    row = Row("powder", "moon dust", {"1": 5.0}, given_class="powder")
    hand = open_table(Recipe(rows=(row, Row("liquid", "water", {"1": 95.0}))))
    hand.focus("moon dust")
    hand.keys(K.Key_3, modifier=CTRL | SHIFT)
    assert hand.recipe.rows[hand.row("moon dust")].given_class == "liquid"


# --- as text


def copied():
    return QApplication.clipboard().text()


def put(text):
    QApplication.clipboard().setText(text)


def test_rows_are_copied_as_text_and_pasted_as_they_were(hand):
    hand.click(hand.at("SCI fine powder", ""))
    hand.click(hand.at("oat flour", ""), SHIFT)
    hand.keys(K.Key_C, modifier=CTRL)
    assert copied().splitlines() == [
        "phase\tname\tINCI\t1\t2",
        "powder\tSCI fine powder\tSodium Cocoyl Isethionate\tq.s.\tq.s.",
        "powder\toat flour\tAvena Sativa (Oat) Kernel Flour\t5\t5",
    ]
    before = hand.recipe.rows
    hand.keys(K.Key_X, modifier=CTRL)
    hand.focus("tocopherol")
    hand.keys(K.Key_V, modifier=CTRL)
    pasted = {row.name: row for row in hand.recipe.rows}
    for row in before[6:8]:
        assert pasted[row.name] == row
    assert hand.steps == ["Cut 2 rows", "Paste 2 rows"]


def test_paste_puts_rows_of_the_phase_in_focus_below_it(hand):
    put("oat flour\t2\nlavender oil\t0,3\n")
    hand.focus("SCI fine powder")
    hand.keys(K.Key_V, modifier=CTRL)
    assert phase(hand, "powder")[1] == "oat flour"
    assert phase(hand, "last")[-1] == "lavender oil"
    assert hand.recipe.rows[hand.row("oat flour")].percents == {"1": 2.0}
    assert hand.here() == ("oat flour", "1")
    assert hand.steps == ["Paste 2 rows"]


@pytest.mark.parametrize(
    "text",
    [
        "Ingredient\t%\noat flour\t5,5\nglycerin\t3\nmoon dust\t1",
        "oat flour;5,5\nglycerin;3\nmoon dust;1",
        "oat flour 5,5 %\nglycerin 3\nmoon dust, 1",
        "Powder\noat flour\t5,5\nLiquid\t3\nglycerin\t3\nPowder\nmoon dust\t1\nTotal\t9,5",
        "inci\tpercent\tname\nAvena Sativa (Oat) Kernel Flour\t5.5\toat flour\n"
        "\t3\tglycerin\n\t1\tmoon dust",
    ],
    ids=["header", "semicolons", "spaces", "phases and a total", "other columns"],
)
def test_rows_from_a_spreadsheet_find_their_phases(open_table, text):
    hand = open_table(Recipe())
    put(text)
    hand.keys(K.Key_V, modifier=CTRL)
    assert [(row.phase, row.name, row.percents["1"]) for row in hand.recipe.rows] == [
        ("powder", "oat flour", 5.5),
        ("powder", "moon dust", 1.0),
        ("liquid", "glycerin", 3.0),
    ]
    assert hand.recipe.rows[1].given_class == "powder"
    assert hand.recipe.rows[0].inci == "Avena Sativa (Oat) Kernel Flour"


def test_pasted_masses_are_shares_of_the_batch(open_table):
    hand = open_table(Recipe().with_bench(batch=0.5))
    put("name\tg\noat flour\t50\nglycerin\t25")
    hand.keys(K.Key_V, modifier=CTRL)
    assert [row.percents["1"] for row in hand.recipe.rows] == [10, 5]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("oat flour\t5\nwater\t1,250", "line 2"),
        ("oat flour\tnan", "line 1"),
        ("oat flour\t-1", "line 1"),
        ("oat flour\t14..5", "line 1"),
        ("oat flour\t12 min", "line 1"),
        ("oat flour\t1\t2\t3", "line 1"),
        ("oat flour\t=A1", "line 1"),
        ("m" * 300 + "\t5", "line 1"),
        ("phase\tname\t1\t9\npowder\toat flour\t5\t5", "Pasted rows"),
        ("phase\tname\t1\nsoup\toat flour\t5", "line 2"),
        ("oat flour\tq.s.", "percent"),
        ("   \n ", "Pasted rows"),
        ("\n".join(f"powder {n}\t1" for n in range(501)), "Pasted rows"),
        ("\n".join(f"powder {n}\t1" for n in range(490)), "row"),
        ("9" * 2_000_000, "Pasted rows"),
    ],
    ids=lambda text: text[:12].strip() or "blank",
)
def test_text_that_cannot_be_used_is_refused_whole(hand, text, told):
    before = hand.recipe
    put(text)
    hand.focus("oat flour", "")
    hand.keys(K.Key_V, modifier=CTRL)
    assert hand.recipe is before
    assert hand.stack.count() == 0
    assert told in hand.refused[-1].title


def test_a_figure_is_pasted_into_the_cell_in_focus(hand):
    put("12,5 %\n")
    hand.focus("CAPB 30 %")
    hand.keys(K.Key_V, modifier=CTRL)
    assert hand.cell("CAPB 30 %") == 12.5
    put("14..5")
    hand.keys(K.Key_V, modifier=CTRL)
    assert hand.editor.text() == "14..5"
    assert hand.editor.refused


def test_five_hundred_rows_are_the_most(open_table):
    rows = tuple(Row("powder", f"powder {n}", {"1": 0.2}) for n in range(500))
    hand = open_table(Recipe(rows=rows))
    hand.focus("powder 3")
    hand.keys(K.Key_Insert, "kaolin", K.Key_Return)
    assert len(hand.recipe.rows) == 500
    assert "501 rows" in hand.refused[-1].problem


def test_forty_rows_and_eight_variants_with_an_empty_one_are_shown(open_table):
    variants = tuple(Variant(str(n), "t" * 200) for n in range(1, 9))
    rows = tuple(
        Row("powder", f"{'p' * 190} {n}", {str(v): 0.0 if v == 4 else 2.5 for v in range(1, 9)})
        for n in range(39)
    )
    hand = open_table(Recipe(variants=variants, rows=(*rows, Row("liquid", "water", {"1": QS}))))
    hand.table.grab()
    assert hand.table.lines.off_hundred(3) == "no figures yet"
    hand.focus(hand.names[0], "4")
    hand.keys(K.Key_Up)
    assert hand.cell(hand.names[0], "4") == 0.1


def test_rows_pasted_in_the_program_keep_holds_stand_ins_and_notes(hand):
    at = hand.row("oat flour")
    whole = replace(
        hand.recipe.rows[at],
        held=frozenset("12"),
        swaps=(Swap("rice starch", 4.0, (("glycerin", 1.0),)), Swap("kaolin", 5.0, variant="2")),
        note="sieve twice\nthe old sack",
        given_class="powder",
    )
    hand.document.edit("All of it", hand.recipe.with_row(at, whole))
    hand.focus("oat flour", "")
    hand.keys(K.Key_X, modifier=CTRL)
    assert "oat flour" not in hand.names
    hand.focus("white clay", "")
    hand.keys(K.Key_V, modifier=CTRL)
    assert hand.recipe.rows[hand.row("oat flour")] == whole
    assert hand.steps[-2:] == ["Cut oat flour", "Paste oat flour"]
    assert copied().splitlines()[1].split("\t")[1] == "oat flour"


def test_rows_copied_from_another_recipe_keep_what_fits_this_one(open_table):
    one, other = open_table(), open_table("oat_bar")
    at = one.row("oat flour")
    row = one.recipe.rows[at]
    swaps = (Swap("kaolin", 5.0, variant="2"), Swap("rice starch", 4.0))
    row = replace(row, percents={"1": 5.0}, held=frozenset("12"), swaps=swaps, note="sieve")
    one.document.edit("Hold", one.recipe.with_row(at, row))
    one.focus("oat flour", "")
    one.table.rows.copy()
    before = other.recipe
    other.table.rows.paste()
    new = next(r for r in other.recipe.rows if r.note == "sieve")
    assert (new.held, new.swaps) == (frozenset("1"), swaps[1:])
    one.document.edit("More", one.recipe.with_percent(at, "2", 3.0))
    one.table.rows.copy()
    other.stack.undo()
    other.table.rows.paste()
    assert "variant 2" in other.refused[-1].problem
    assert other.recipe == before


def test_what_another_program_copied_since_is_pasted_as_text(hand):
    hand.focus("oat flour", "")
    hand.keys(K.Key_C, modifier=CTRL)
    put("oat flour\t2\n")
    hand.keys(K.Key_V, modifier=CTRL)
    assert [row.percents for row in hand.recipe.rows if row.name == "oat flour"][1] == {"1": 2.0}


def test_damaged_rows_of_the_program_are_refused_and_change_nothing(hand):
    damaged = QMimeData()
    damaged.setData(clipboard.FORMAT, b"\xff[[row")
    QApplication.clipboard().setMimeData(damaged)
    hand.focus("oat flour", "")
    hand.keys(K.Key_V, modifier=CTRL)
    assert hand.stack.count() == 0
    assert hand.refused[-1].title.startswith("Pasted rows")


# --- another ingredient in a row


@pytest.mark.parametrize(
    ("row", "typed", "name", "phase_after"),
    [
        ("CAPB 30 %", "CAPB powder", "CAPB powder", "powder"),
        ("glycerin", "stearic acid 90/95", "stearic acid 90/95", "melt"),
        ("cocoa butter", "shea butter", None, "melt"),
        ("lavender oil", "sweet orange oil", "sweet orange oil", "last"),
        ("white clay", "benzyl alcohol", "benzyl alcohol", "last"),
    ],
)
def test_another_ingredient_goes_to_the_phase_it_belongs_to_in_one_step(
    hand, row, typed, name, phase_after
):
    before = hand.recipe
    was = before.rows[hand.row(row)]
    hand.focus(row, "")
    hand.keys(K.Key_F3)
    hand.editor.selectAll()
    hand.keys(typed, K.Key_Return)
    here, number = hand.here()
    after = hand.recipe.rows[hand.row(here)]
    assert name in (here, None)
    assert (after.phase, number) == (phase_after, "")
    assert (after.percents, after.held, after.note) == (was.percents, was.held, was.note)
    if was.phase != phase_after:
        assert phase(hand, phase_after)[-1] == here
        assert hand.steps == [f"{row} → {here}, moved to {phase_after}"]
    else:
        assert hand.row(here) == [one.name for one in before.rows].index(row)
        assert hand.steps == [f"{row} → {here}"]
    hand.stack.undo()
    assert hand.recipe == before


def test_a_row_put_elsewhere_by_hand_stays_there_for_another_of_its_kind(hand):
    hand.focus("citric acid", "")
    assert hand.recipe.rows[hand.row("citric acid")].phase == "liquid"  # dissolved in the water
    hand.keys(K.Key_F3)
    hand.editor.selectAll()
    hand.keys("tartaric acid", K.Key_Return)
    assert hand.recipe.rows[hand.row("tartaric acid")].phase == "liquid"
    assert hand.table.lines.is_known(hand.recipe.rows[hand.row("tartaric acid")])


def test_an_unknown_ingredient_stays_in_the_phase_of_the_row(hand):
    hand.focus("glycerin", "")
    hand.keys(K.Key_F3)
    hand.editor.selectAll()
    hand.keys("nettle juice", K.Key_Return)
    assert hand.recipe.rows[hand.row("nettle juice")].phase == "liquid"
    assert hand.steps == ["glycerin → nettle juice"]
