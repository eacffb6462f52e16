"""The readings: what the engine says, by row, by variant, to the eye and to a screen reader."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAccessible, QGuiApplication

from designer.errors import ReadableError
from designer.evaluation.readings import readings
from designer.recipe import Recipe, Row, file
from designer.window.recipe.reading_strip import SPANS, place
from designer.window.recipe.readings import Readings, way_of
from designer.wording.lines import NAMES
from tests.window.conftest import DEMOS

KEY = Qt.Key


@pytest.fixture
def show(qtbot):
    def showing(document, width=388, height=400):
        view = Readings(document)
        qtbot.addWidget(view)
        view.resize(width, height)
        view.show()
        view.activateWindow()
        qtbot.waitUntil(view.isActiveWindow)
        return view

    return showing


@pytest.fixture
def view(document, show):
    return show(document)


def spoken(view):
    """What a screen reader gets of each row: name and description."""
    interface = QAccessible.queryAccessibleInterface(view.view)
    rows = [interface.child(k) for k in range(interface.childCount())]
    texts = (QAccessible.Text.Name, QAccessible.Text.Description)
    return [tuple(row.text(text) for text in texts) for row in rows]


def row_of(name):
    return list(NAMES).index(name)


def test_each_row_is_told_to_a_screen_reader_by_name_value_and_unit(document, show):
    document.pin()
    told = spoken(show(document))
    result = document.evaluation
    active = result.recipe.numbers.index(result.recipe.active.number)
    found = readings(result, active)
    assert len(told) == len(NAMES)
    for (name, words), (said, _) in zip(NAMES.items(), told, strict=True):
        assert said.startswith(f"{words}: ")
        if name == "clean_knead_chance":
            assert said.endswith(f"{round(20 * found[name].value)} of 20")
    assert told[row_of("liquid_to_powder")][0] == "Liquid : powder: 0.39 g/g"
    assert told[row_of("dough_temperature")][0].endswith("°C")
    assert "known good 0.20–0.33, above" in told[row_of("liquid_to_powder")][1]
    assert "80 % interval" in told[row_of("wetness")][1]


def test_pinned_variants_stand_in_columns_in_the_order_of_the_recipe(open_recipe, show):
    document = open_recipe("three_oat_bars")
    view = show(document, 470)
    assert [column.number for column in view.columns] == ["1", "2", "3"]
    assert [column.active for column in view.columns] == [True, False, False]
    document.pin("3")
    assert [column.number for column in view.columns] == ["1", "3"]
    document.pin()
    assert [column.number for column in view.columns] == ["1"]


def test_a_reading_of_a_pinned_variant_is_told_too(open_recipe, show):
    document = open_recipe("three_oat_bars")
    said = spoken(show(document))[row_of("liquid_to_powder")][0]
    assert "variant 2: " in said
    assert "variant 3: " in said


def test_what_differs_from_the_active_variant_stands_out_and_what_reads_the_same_does_not(
    open_recipe, show
):
    view = show(open_recipe("three_oat_bars"), 470)
    active, *others = view.columns
    ways = {
        column.number: [
            way_of(one, own) for one, own in zip(column.lines, active.lines, strict=True)
        ]
        for column in others
    }
    wanted = {"liquid_to_powder": [1, -1], "melt_fraction": [0, 0], "water": [1, 1]}
    for name, signs in wanted.items():
        assert [ways[number][row_of(name)] for number in ("2", "3")] == signs
    for column in others:
        for one, own, way in zip(column.lines, active.lines, ways[column.number], strict=True):
            assert (way != 0) == (one.value != own.value)


def test_of_eight_variants_as_many_columns_stand_as_fit(open_recipe, show):
    recipe = file.read(DEMOS / "three_oat_bars.toml")
    for _ in range(5):
        recipe = recipe.add_variant(like="2")
    document = open_recipe(recipe.use_variant("1"))
    document.pin("2", "3", "4", "5", "6", "7", "8")
    view = show(document, 388)
    assert len(view.columns) == 8
    assert [column.number for column in view.shown] == ["1", "2", "3", "4"]
    view.resize(700, view.height())
    assert len(view.shown) == 8


def test_up_and_down_choose_a_reading_and_say_so(qtbot, view):
    view.setFocus()
    assert view.view.hasFocus()
    start = view.view.currentIndex().row()
    with qtbot.waitSignal(view.chosen) as chosen:
        qtbot.keyClick(view.view, KEY.Key_Down)
    assert chosen.args == [list(NAMES)[start + 1]]
    with qtbot.waitSignal(view.chosen) as chosen:
        qtbot.keyClick(view.view, KEY.Key_Up)
    assert chosen.args == [list(NAMES)[start]]


def test_a_click_chooses_a_reading(qtbot, view):
    box = view.view.visualRect(view.view.model().index(row_of("water")))
    with qtbot.waitSignal(view.chosen) as chosen:
        qtbot.mouseClick(
            view.view.viewport(), Qt.MouseButton.LeftButton, pos=box.center() + QPoint(0, 0)
        )
    assert chosen.args == ["water"]


def test_a_crumbling_dough_has_no_firmness_and_says_why(open_recipe, show):
    view = show(open_recipe("dry_clay_bar"))
    line = view.columns[0].lines[row_of("firmness")]
    assert line.value == "–"
    assert "crumbling" in line.missing
    index = view.view.model().index(row_of("firmness"))
    assert "crumbling" in index.data(Qt.ItemDataRole.ToolTipRole)


def test_outside_the_model_sums_stay_and_forecasts_go(open_recipe, show):
    wet = Recipe(rows=(Row("powder", "oat flour", {"1": 5.0}), Row("liquid", "water", {"1": 95.0})))
    lines = {line.name: line for line in show(open_recipe(wet)).columns[0].lines}
    assert lines["liquid_to_powder"].value == "19.00"
    for name in ("clean_knead_chance", "wetness", "firmness"):
        assert lines[name].value == "–"
        assert lines[name].missing.startswith("outside the model")


def test_a_recipe_that_cannot_be_evaluated_has_no_readings_and_says_why(qtbot, document, show):
    view = show(document)
    strange = Row("powder", "moon dust", dict.fromkeys(document.recipe.numbers, 2.0))
    with qtbot.waitSignal(document.failed):
        document.edit("Add moon dust", document.recipe.add_row(strange))
    assert {line.value for column in view.columns for line in column.lines} == {"–"}
    assert all("no value" in said for said, _ in spoken(view))
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: document.evaluation is not None)
    assert "–" not in {line.value for column in view.columns for line in column.lines}


@pytest.mark.parametrize("height", [268, 300, 400, 500])
def test_rows_are_from_24_to_38_high_and_all_are_seen(document, show, height):
    view = show(document, 388, height)
    box = view.view.visualRect(view.view.model().index(len(NAMES) - 1))
    assert 24 <= box.height() <= 38
    assert box.bottom() < view.view.viewport().height()


def test_strips_are_dropped_where_there_is_no_room_for_them(open_recipe, show):
    document = open_recipe("three_oat_bars")
    wide = show(document, 470)
    assert wide.strip_end is not None
    narrow = show(document, 250)
    assert narrow.strip_end is None
    assert [column.number for column in narrow.shown] == ["1"]
    assert show(document, 388).strip_end is None
    document.pin()
    assert show(document, 388).strip_end is not None


@pytest.mark.parametrize("name", SPANS)
def test_a_strip_reaches_over_its_span_and_no_further(name):
    low, high = SPANS[name]
    assert place(name, low, 140, 288) == 140
    assert place(name, high, 140, 288) == 288
    assert place(name, (low + high) / 2, 140, 288) == pytest.approx(214)
    assert place(name, low - 1e3, 140, 288) == 140
    assert place(name, high + 1e3, 140, 288) == 288


def test_the_tick_of_a_reading_stands_where_its_value_is(qapp, document, show):
    document.pin()
    view = show(document, 470)
    line = view.columns[0].lines[row_of("liquid_to_powder")]
    box = view.view.visualRect(view.view.model().index(row_of("liquid_to_powder")))
    picture = view.view.viewport().grab().toImage()
    y = box.center().y() + 7
    accents = [
        x for x in range(141, view.strip_end) if picture.pixelColor(x, y).name() == "#96290a"
    ]
    expected = place(line.name, line.at, 140, view.strip_end)
    assert accents
    assert abs(sum(accents) / len(accents) - expected) <= 1


def test_only_one_tab_stop_leads_through_the_readings(qtbot, view):
    view.setFocus()
    before = view.view.currentIndex().row()
    qtbot.keyClick(view.view, KEY.Key_Tab)
    assert view.view.currentIndex().row() == before


def test_copy_takes_the_reading_chosen_with_its_interval_and_the_other_variants(
    qtbot, open_recipe, show
):
    document = open_recipe("three_oat_bars")
    document.pin("2", "3")
    view = show(document)
    for name in ("wetness", "liquid_to_powder"):
        view.choose(name)
        qtbot.keyClick(view.view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
        said, details = spoken(view)[row_of(name)]
        assert "variant 2: " in said
        assert QGuiApplication.clipboard().text() == f"{said}. {details}"


def test_copy_says_once_why_there_is_no_value(qtbot, document, show):
    view = show(document)
    view.show_failure(ReadableError("Total", "The total is 90 %.", "Press N."))
    qtbot.keyClick(view.view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    assert QGuiApplication.clipboard().text() == "Firmness: no value, the total is 90 %"
