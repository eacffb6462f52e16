"""The page Label by real keys and clicks: typed, chosen, moved, copied, undone, refused."""

import statistics
import time
from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QWidget

from designer.evaluation.evaluate import evaluate
from designer.exchange import own_tables
from designer.handbook.law import load as load_law
from designer.recipe import Percents, Recipe, Row
from designer.window.label import LabelPage
from designer.window.label.page import _worked

KEY, MOD = Qt.Key, Qt.KeyboardModifier


def shown(qtbot, document, size=(1280, 740)):
    page = LabelPage(document)
    qtbot.addWidget(page)
    page.resize(*size)
    page.show()
    page.activateWindow()
    qtbot.waitUntil(page.isActiveWindow)
    qtbot.waitUntil(lambda: page._law is not None)
    return page


@pytest.fixture
def document(open_recipe):
    return open_recipe("oat_bar")


@pytest.fixture
def page(qtbot, document):
    return shown(qtbot, document)


def names(page, group=None):
    return [one.name for one in page.names.rows if group in (None, one.group)]


def typed(qtbot, page, name, text):
    field = page.fields[name]
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, text)
    qtbot.keyClick(field, KEY.Key_Return)
    return field


def click_choice(qtbot, page, key, value):
    choice = page.choices[key]
    at = choice.place(value).center().toPoint()
    qtbot.mouseClick(choice, Qt.MouseButton.LeftButton, pos=at)


def choose(qtbot, page, name):
    """Walk to a name of the list by keys."""
    page.names.setFocus()
    qtbot.keyClick(page.names, KEY.Key_Home)
    for _ in range(names(page).index(name)):
        qtbot.keyClick(page.names, KEY.Key_Down)


def test_the_list_stands_as_the_label_prints_it_with_percents_on_both_bases(page):
    rows = page.names.rows
    assert names(page) == list(page.sheet.ingredients.names)
    assert (rows[1].name, rows[1].added) == ("Aqua", "10.8")
    assert float(rows[1].cured) < float(rows[1].added)
    assert float(rows[0].cured) > float(rows[0].added)
    assert {one.group for one in rows} == {"ordered", "small"}
    assert "Sodium Cocoyl Isethionate" in page.preview.accessibleDescription()
    assert page.preview.shown.width == 70


@pytest.mark.parametrize(
    ("name", "text", "fact", "value"),
    [
        ("batch", "261128-OAT-1", "batch", "261128-OAT-1"),
        ("made", "2026-11-28", "made", date(2026, 11, 28)),
        ("months_open", "12", "months_open", 12),
        ("address", "Mill Lane 3 / 1234 Brook", "address", "Mill Lane 3\n1234 Brook"),
        ("own_lines", "eins / zwei", "own_lines", ("eins", "zwei")),
    ],
)
def test_a_typed_fact_goes_into_the_recipe_as_one_step_and_is_undone(
    qtbot, page, document, name, text, fact, value
):
    field = typed(qtbot, page, name, text)
    assert getattr(document.recipe.label.facts, fact) == value
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText().startswith("Label: ")
    document.undo_stack.undo()
    assert not getattr(document.recipe.label.facts, fact)
    field.clearFocus()
    assert field.text() == ""


def test_what_is_typed_stands_on_the_label_before_anything_is_evaluated_again(
    qtbot, page, document
):
    typed(qtbot, page, "batch", "LOT 7")
    assert document.evaluation is None
    assert "Batch / lot LOT 7" in page.preview.accessibleDescription()


def test_a_weight_typed_in_ounces_is_declared_in_ounces_and_its_height_told(qtbot, page):
    click_choice(qtbot, page, "market", "US")
    typed(qtbot, page, "net", "3.5 oz")
    told = page.preview.accessibleDescription()
    assert "Net wt. 3.5 oz (99 g)" in told
    assert not page.preview.shown.least.known
    typed(qtbot, page, "panel", "40 cm2")
    assert page.preview.shown.least.known
    assert page.preview.shown.weight[1] >= 3.175  # 1/8 in: 21 CFR 701.13, up to 25 square inches
    assert page.fields["panel"].text().replace("\xa0", " ") == "40 cm2"


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("made", "soon", "no day"),
        ("net", "heavy", "not a number"),
        ("width", "2 m", "outside"),
        ("months_open", "99", "99 months"),
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence_and_stays_to_be_mended(
    qtbot, page, document, name, text, words
):
    told = []
    document.refused.connect(told.append)
    field = typed(qtbot, page, name, text)
    assert field.is_refused
    assert field.text() == text
    assert words in told[-1].problem
    assert document.undo_stack.count() == 0
    qtbot.keyClick(field, KEY.Key_Escape)
    assert not field.is_refused
    assert told[-1] is None


def test_another_market_has_other_names_and_is_undone(qtbot, page, document):
    page.choices["market"].setFocus()
    qtbot.keyClick(page.choices["market"], KEY.Key_End)
    assert document.recipe.label.market == "CA"
    click_choice(qtbot, page, "market", "US")
    assert document.recipe.label.market == "US"
    assert "Water" in names(page)
    assert "at or below 1 %" in page.names.accessibleDescription() or page.names.at == 0
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.recipe.label.market == "EU"
    assert "Aqua" in names(page)


def test_the_basis_as_cured_orders_by_what_is_left_and_says_where_both_differ(qtbot, page):
    assert "the lists differ" in page.notes.accessibleDescription()
    moving = [one.name for one in page.names.rows if one.moves]
    assert "Cetearyl Alcohol" in moving
    click_choice(qtbot, page, "basis", "cured")
    assert page.sheet.basis == "cured"
    assert names(page)[1] == "Cetearyl Alcohol"


def test_small_ones_move_by_alt_and_arrows_and_only_among_themselves(qtbot, page, document):
    small = names(page, "small")
    choose(qtbot, page, small[1])
    for _ in range(3):  # the last one has nowhere to go
        qtbot.keyClick(page.names, KEY.Key_Up, MOD.AltModifier)
    assert names(page, "small")[:2] == [small[1], small[0]]
    assert page.names.rows[page.names.at].name == small[1]
    assert document.undo_stack.count() == 1
    qtbot.keyClick(page.names, KEY.Key_Down, MOD.AltModifier)
    qtbot.keyClick(page.names, KEY.Key_Down, MOD.AltModifier)
    assert names(page, "small")[:3] == [small[0], small[2], small[1]]
    text = page.preview.accessibleDescription()
    assert text.index(small[2]) < text.index(small[1])
    qtbot.mouseClick(page.weight_key, Qt.MouseButton.LeftButton)
    assert names(page, "small") == small
    assert document.recipe.label.small_order == ()
    document.undo_stack.undo()
    assert names(page, "small")[:3] == [small[0], small[2], small[1]]


def test_a_large_one_does_not_move(qtbot, page, document):
    choose(qtbot, page, names(page)[2])
    qtbot.keyClick(page.names, KEY.Key_Up, MOD.AltModifier)
    assert document.undo_stack.count() == 0


def test_the_order_outlives_a_change_of_the_recipe_and_of_the_market(qtbot, page, document):
    last = names(page, "small")[-1]
    choose(qtbot, page, last)
    for _ in range(4):
        qtbot.keyClick(page.names, KEY.Key_Up, MOD.AltModifier)
    place = names(page, "small").index(last)
    at = [row.name for row in document.recipe.rows].index("citric acid")
    document.edit("No acid", document.recipe.remove_row(at))
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    assert "Citric Acid" not in names(page)
    assert names(page, "small").index(last) in (place, place - 1)
    click_choice(qtbot, page, "market", "CA")
    assert names(page, "small").index(last) < len(names(page, "small")) - 1


def test_the_page_follows_an_edit_with_its_evaluation(qtbot, page, document):
    before = page.names.rows[1].added
    at = [row.name for row in document.recipe.rows].index("water")
    document.edit("More water", document.recipe.with_percent(at, "1", 4.0))
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    assert float(page.names.rows[1].added) == pytest.approx(float(before) + 2, abs=0.06)


def test_ctrl_c_and_the_key_copy_the_label_as_text(qtbot, page):
    clipboard = QGuiApplication.clipboard()
    for part in (page.names, page.preview):
        clipboard.clear()
        part.setFocus()
        qtbot.keyClick(part, KEY.Key_C, MOD.ControlModifier)
        assert clipboard.text().startswith("100 g\nIngredients/Ingrédients: Sodium Cocoyl")
    clipboard.clear()
    click_choice(qtbot, page, "languages", "en")
    qtbot.mouseClick(page.copy_key, Qt.MouseButton.LeftButton)
    assert "Éviter" not in clipboard.text()
    assert "\xa0" not in clipboard.text()


def test_allergens_that_nobody_stated_are_said_to_be_unknown(qtbot, open_recipe, document):
    rows = (*document.recipe.rows, Row("last", "fragrance oil", {"1": 0.6}, inci="Parfum"))
    page = shown(qtbot, open_recipe(replace(document.recipe, rows=rows)))
    told = page.notes.accessibleDescription()
    assert "fragrance oil may bring is not known, and none was taken as absent" in told
    assert "supplier" in told


def test_missing_facts_are_told_first_and_no_more_once_typed(qtbot, page):
    assert page.notes.accessibleDescription().startswith("Still missing for the European Union")
    for name, text in (
        ("responsible", "Oat Mill"),
        ("address", "Brook"),
        ("batch", "7"),
        ("function", "solid shampoo"),
        ("months_open", "12 M"),
    ):
        typed(qtbot, page, name, text)
    assert "Still missing" not in page.notes.accessibleDescription()


def test_the_notes_say_how_old_the_tables_are_and_who_decides(page):
    told = page.notes.accessibleDescription().replace("\xa0", " ")
    assert f"Tables as of {page.sheet.law.as_of}" in told
    assert "local law and a qualified assessor decide" in told
    assert "Not checked:" in told
    assert "is safe" not in told


def test_an_empty_recipe_says_so_and_offers_nothing_to_copy(qtbot, page, document):
    empty = [replace(row, percents=Percents({"1": 0.0})) for row in document.recipe.rows]
    document.edit("Empty", replace(document.recipe, rows=tuple(empty)))
    qtbot.waitUntil(lambda: not document.is_working, timeout=20_000)
    assert page.sheet is None
    assert page.names.rows == ()
    assert page.names.accessibleDescription()
    assert not page.copy_key.isEnabled()
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    assert names(page)
    assert page.copy_key.isEnabled()


def test_a_recipe_without_rows_has_a_page_too(qtbot, handbook, knowledge):
    from designer.document import Document

    made = Document(Recipe("New"), handbook, knowledge)
    page = LabelPage(made)
    qtbot.addWidget(page)
    page.show()
    qtbot.waitUntil(lambda: page._law is not None)
    assert page.sheet is None
    made.close()


def test_tables_are_read_only_once_the_handbook_is_there(qtbot, monkeypatch):
    from designer.document import Document
    from designer.document.shelf import Shelf

    # Both import the same library: two threads that did so at once left the page empty for good.
    shelf = Shelf()
    read = []
    known = own_tables.law()
    monkeypatch.setattr(own_tables, "law", lambda: read.append(shelf.is_filled) or known)
    made = Document(Recipe("New"), shelf)
    page = LabelPage(made)
    qtbot.addWidget(page)
    page.show()
    qtbot.wait(50)
    assert read == []
    made.equip()
    qtbot.waitUntil(lambda: page._law is not None, timeout=20_000)
    assert set(read) == {True}
    made.close()


def test_a_page_that_is_not_seen_works_nothing_out_until_it_is(qtbot, page, document):
    page.hide()
    before = page.sheet
    document.edit("Name", document.recipe.with_label(document.recipe.label.in_market("UK")))
    assert page.sheet is before
    page.show()
    assert page.sheet.market == "UK"


@pytest.mark.parametrize("size", [(1280, 740), (1920, 1140), (1100, 640), (820, 600)])
def test_no_part_lies_over_another_in_any_window(qtbot, page, size):
    page.resize(*size)
    parts = [page.left, page.names, page.preview, page.notes]
    for number, one in enumerate(parts):
        for other in parts[number + 1 :]:
            assert not one.geometry().intersects(other.geometry())
    inside = page._sheet.rect()
    assert all(inside.contains(one.geometry()) for one in parts)


def test_every_part_takes_the_focus_has_a_name_and_tells_its_keys(qtbot, page):
    for name, part in page.parts().items():
        assert part.accessibleName(), name
        taken = page.go_to(name)
        assert taken or not page.weight_key.isEnabled()
    for widget in page.findChildren(QWidget):
        takes = widget.focusPolicy() != Qt.FocusPolicy.NoFocus and widget.focusProxy() is None
        if takes and widget.isVisible() and type(widget).__module__.startswith("designer"):
            assert widget.accessibleName(), widget
    page.go_home()
    assert QApplication.focusWidget() is page.names
    assert page.names.keys()[0] == ("Alt ↑ ↓", "move a small one")


def test_a_long_recipe_is_worked_out_beside_the_window(qtbot, open_recipe, document):
    rows = [
        Row("powder", f"oat powder no. {n}", {"1": 0.02}, given_class="powder") for n in range(120)
    ]
    long = open_recipe(replace(document.recipe, rows=(*document.recipe.rows, *rows)))
    page = shown(qtbot, long)
    qtbot.waitUntil(lambda: page.sheet is not None, timeout=20_000)
    assert len(page.names.rows) > 120
    click_choice(qtbot, page, "market", "US")
    qtbot.waitUntil(lambda: "Water" in names(page), timeout=20_000)
    assert 'The INCI name of "oat powder no. 7"' in page.notes.accessibleDescription()


def test_the_label_takes_less_time_than_the_evaluation_it_follows(document, handbook, knowledge):
    law = load_law()
    recipe = document.recipe
    at = [row.name for row in recipe.rows].index("water")

    def spent(act):
        found = []
        for step in range(5):
            started = time.thread_time()
            act(step)
            found.append(time.thread_time() - started)
        return statistics.median(found)

    results = {}

    def evaluated(step):
        changed = recipe.with_percent(at, "1", 2.0 + 0.1 * step)
        results[step] = evaluate(changed, handbook, knowledge)

    whole = spent(evaluated)
    label = spent(lambda step: _worked(results[step], law, recipe.label))
    assert label < whole, f"{label / whole:.2f} of it"
