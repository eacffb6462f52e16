"""The dough clock draws what the evaluation says, and is silent where it must be."""

import math
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from designer.errors import ReadableError
from designer.evaluation.evaluate import evaluate
from designer.evaluation.readings import outside_model
from designer.exchange.readings import as_json
from designer.recipe import file
from designer.window import theme
from designer.window.recipe.clock_texts import spread_out
from designer.window.recipe.dough_clock import DoughClockView
from designer.wording.sentence import crumbles

DEMOS = Path(__file__).parents[3] / "demo_recipes"
NAMES = sorted(path.stem for path in DEMOS.glob("*.toml"))
SIZES = ((752, 220), (752, 140), (1140, 300))


@pytest.fixture
def show(qtbot):
    def showing(document, size=(752, 230)):
        view = DoughClockView(document)
        qtbot.addWidget(view)
        view.resize(*size)
        view.show()
        view.activateWindow()
        qtbot.waitUntil(view.isActiveWindow)
        view.clearFocus()
        return view

    return showing


@pytest.fixture
def mended(open_recipe):
    recipe = file.read(DEMOS / "oat_bar_sticky_and_mended.toml").use_variant("2")
    return open_recipe(recipe)


@pytest.fixture
def drowned(open_recipe):
    """Return a document of a recipe with far more liquid than its powder can take."""
    recipe = file.read(DEMOS / "oat_bar.toml")
    for at, row in enumerate(recipe.rows):
        if row.phase == "liquid":
            recipe = recipe.with_percent(at, "1", 60.0 if at % 2 else 30.0)
    return open_recipe(recipe)


def words(view):
    return [text.words for text in view.texts()]


def colours(view, minutes, low, high):
    """Return the colours of a column of px between two firmnesses [kPa]."""
    picture = view.grab().toImage()
    top, bottom = (view.plot.px(minutes, kpa).y() for kpa in (high, low))
    x = round(view.plot.px(minutes, 1.0).x())
    return {picture.pixelColor(x, y).name() for y in range(round(top) + 2, round(bottom) - 2)}


def tint(state):
    return theme.blend(QColor(theme.LIGHT.paper), theme.LIGHT.state(state), 0.34).name()


def alike(names, wanted):
    """Return whether a colour is among others, to a rounding of the painter."""
    wanted = QColor(wanted)
    return any(
        max(
            abs(one.red() - wanted.red()),
            abs(one.green() - wanted.green()),
            abs(one.blue() - wanted.blue()),
        )
        <= 2
        for one in map(QColor, names)
    )


def test_median_and_band_are_the_spreads_of_the_evaluation(mended, show):
    view, result = show(mended), mended.evaluation
    spread = result.spread_over_time(1)["firmness"]
    minutes, median = view.median.data
    assert minutes == pytest.approx(result.times / 60)
    assert median == pytest.approx(spread.value / 1e3)
    _, low, high = view.band.data
    assert low == pytest.approx(spread.low / 1e3)
    assert high == pytest.approx(spread.high / 1e3)


def test_other_variants_are_dashed_lines_of_their_medians_with_their_numbers(open_recipe, show):
    document = open_recipe("three_oat_bars")
    view, result = show(document), document.evaluation
    assert len(view.others) == 2
    for curve, variant in zip(view.others, (1, 2), strict=True):
        assert curve.is_dashed
        wanted = result.spread_over_time(variant)["firmness"].value / 1e3
        assert curve.data[1] == pytest.approx(wanted)
    assert sorted(ring.number for ring in view.rings()) == ["1", "2", "3"]
    for ring in view.rings():
        minutes, kpa = view.plot.at(ring.centre)
        line = result.spread_over_time(int(ring.number) - 1)["firmness"].value / 1e3
        on_line = np.interp(np.log(minutes), np.log(result.times / 60), np.log(line))
        assert np.log(kpa) == pytest.approx(on_line, abs=0.02)
        assert ring.is_active == (ring.number == "1")


def test_of_more_than_three_variants_the_pinned_ones_are_drawn(open_recipe, show):
    recipe = file.read(DEMOS / "three_oat_bars.toml").add_variant("a copy", like="2")
    document = open_recipe(recipe)
    view = show(document)
    document.pin("3")
    assert [line.number for line in view.data.others] == ["3"]
    assert len(view.others) == 1
    document.pin("3", "4")
    assert [line.number for line in view.data.others] == ["3", "4"]


@pytest.mark.parametrize("size", [(744, 206), (1140, 400)])
def test_numbers_of_eight_variants_lie_on_their_lines_and_never_on_each_other(
    open_recipe, show, size
):
    recipe = file.read(DEMOS / "three_oat_bars.toml")
    row = [one.name for one in recipe.rows].index("CAPB 30 %")
    for number in range(4, 9):
        recipe = recipe.add_variant(like="1").with_percent(row, str(number), 8.0 + number / 4)
    document = open_recipe(recipe.use_variant("1"))
    view = show(document, size)
    document.pin("2", "3", "4", "5", "6", "7", "8")
    rings = view.rings()
    assert sorted(ring.number for ring in rings) == ["1", "2", "3", "4", "5", "6", "7", "8"]
    for one, other in combinations(rings, 2):
        way = one.centre - other.centre
        assert math.hypot(way.x(), way.y()) >= 22


def test_bands_have_the_states_colours_between_their_cuts_up_to_the_press_mark(mended, show):
    view = show(mended, (1140, 400))
    cuts = (1.0, *view.data.cuts, 800.0)
    until = view.data.until
    assert until == pytest.approx(mended.evaluation.marks["press_before"].value[1] / 60)
    for at, state in enumerate(("slack", "sticky", "pliable", "stiff", "crumbly")):
        found = colours(view, until * 0.9, cuts[at], cuts[at + 1])
        if state in ("slack", "sticky", "crumbly"):
            assert alike(found, tint(state)), state
        if state == "pliable":
            assert not any(alike(found, tint(other)) for other in ("stiff", "slack", "crumbly"))
        after = colours(view, until * 1.15, cuts[at], cuts[at + 1])
        assert state == "pliable" or not alike(after, tint(state))


def test_marks_stand_where_the_evaluation_has_them(mended, show):
    view, result = show(mended), mended.evaluation
    drawn = {mark.name: mark for mark in view.data.marks}
    assert set(drawn) == {"clean_from", "press_before", "no_dent_from", "wrap_from"}
    picture = view.grab().toImage()
    for name, mark in drawn.items():
        truth = result.marks[name]
        ends = [float(column[1]) / 60 for column in (truth.low, truth.value, truth.high)]
        assert (mark.low, mark.value, mark.high) == pytest.approx(tuple(ends))
        assert mark.is_drawn
        x = round(view.plot.px(mark.value, 1.0).x() - 0.5)
        assert picture.pixelColor(x, round(view.plot.area().top()) - 11).name() == theme.LIGHT.ink


def test_a_mark_that_fewer_than_half_of_the_batches_reach_is_words_and_no_tick(document, show):
    view, result = show(document), document.evaluation
    share = float(result.marks["clean_from"].share[0])
    assert share < 0.5
    assert f"{round(20 * (1 - share))} of 20 are not clean by 20\N{NO-BREAK SPACE}min" in words(
        view
    )
    assert not any(text.startswith(("clean from", "press before")) for text in words(view))
    picture = view.grab().toImage()
    row = round(view.plot.area().top()) - 11
    early = range(45, round(view.plot.px(60.0, 1.0).x()))
    assert theme.LIGHT.ink not in {picture.pixelColor(x, row).name() for x in early}


def test_what_hardly_ever_comes_clean_is_told_so(open_recipe, show):
    view = show(open_recipe("butter_bar"))
    assert "hardly ever clean by 20\N{NO-BREAK SPACE}min" in words(view)


def test_a_bar_on_top_reaches_from_clean_to_press(mended, show):
    view = show(mended)
    picture = view.grab().toImage()
    clean, press = (view.data.marks[at].value for at in (0, 1))
    row = round(view.plot.area().top()) + 2
    start, end = (round(view.plot.px(minutes, 1.0).x()) for minutes in (clean, press))
    for x in (start + 4, (start + end) // 2, end - 4):
        assert picture.pixelColor(x, row).name() == theme.LIGHT.accent
    for x in (start - 6, end + 6):
        assert picture.pixelColor(x, row).name() != theme.LIGHT.accent


def test_the_makers_window_lies_at_the_foot(mended, show):
    view = show(mended)
    picture = view.grab().toImage()
    row = round(view.plot.area().bottom()) - 2
    for minutes, is_in in ((5.3, True), (19.0, True), (4.6, False), (22.0, False)):
        x = round(view.plot.px(minutes, 1.0).x())
        assert (picture.pixelColor(x, row).name() == theme.LIGHT.ink2) == is_in
    assert "window" in words(view)


@pytest.mark.parametrize("name", NAMES)
def test_no_text_is_clipped_or_lies_on_another(open_recipe, show, name):
    document = open_recipe(name)
    recipe = document.recipe
    for number in recipe.numbers:
        turned = recipe.use_variant(number)
        result = evaluate(turned, document.handbook, document.knowledge)
        for size in SIZES:
            view = show(document, size)
            view._show(result)
            head = QRectF(0, 3, 76, 14)
            rects = [(text.words, text.rect) for text in view.texts()] + [("Dough clock", head)]
            rects += [
                (ring.number, QRectF(ring.centre - QPointF(9, 9), ring.centre + QPointF(9, 9)))
                for ring in view.rings()
            ]
            whole = QRectF(view.rect())
            for said, rect in rects:
                assert whole.contains(rect), (said, size)
            for (one, first), (other, second) in combinations(rects, 2):
                shared = first.intersected(second)
                assert min(shared.width(), shared.height()) < 1.5, (one, other, size)
            said = [text for text, _ in rects]
            for mark in view.data.marks:
                assert any(text.startswith(mark.words) for text in said), (mark.words, size)
            for word in ("soft", "setting", "firm", "hard", "1 min", "4 wk"):
                assert word in said


@pytest.mark.parametrize("name", NAMES)
def test_all_states_of_a_dough_are_named_where_there_is_height(open_recipe, show, name):
    view = show(open_recipe(name), (1140, 300))
    assert {"crumbly", "stiff", "pliable", "sticky", "slack"} <= set(words(view))


def test_a_crumbling_dough_has_no_line_and_no_dent(open_recipe, show):
    document = open_recipe("dry_clay_bar")
    view, result = show(document), document.evaluation
    silent = [crumbles(result, 0, at) for at in range(result.times.size)]
    assert any(silent)
    assert not all(silent)
    assert np.isnan(view.median.data[1]).tolist() == silent
    assert np.isnan(view.band.data[1]).tolist() == silent
    assert "crumbles: no firmness" in words(view)
    assert not any("dent" in text for text in words(view))
    assert any(text.startswith("does not stick from") for text in words(view))


def test_outside_the_model_the_plot_is_empty_and_says_why(drowned, show):
    view = show(drowned)
    why = outside_model(drowned.evaluation, 0)
    assert why
    assert np.isnan(view.median.data[1]).all()
    assert view.spoken() == view.accessibleDescription() == f"No forecast: {why}."
    assert not any(text.startswith(("clean", "press", "wrap", "soft")) for text in words(view))
    assert theme.LIGHT.paper in colours(view, 100.0, 20.0, 100.0)
    assert not alike(colours(view, 2.0, 200.0, 700.0), tint("crumbly"))


def test_what_cannot_be_evaluated_leaves_no_old_curve(document, show):
    view = show(document)
    document._evaluation = None
    document.failed.emit(ReadableError("Row 1", "nobody knows it.", "Say what it is."))
    assert view.median.data[0].size == 0
    assert view.spoken() == "No forecast: nobody knows it."


def test_bar_words_and_numbers_are_those_of_the_json(mended, show):
    view = show(mended)
    header, rows = view.numbers()
    clock = as_json(mended.evaluation, 1)["clock"]
    assert len(rows) == len(clock)
    assert all(len(one) == len(header) for one in rows)
    for shown, truth in zip(rows, clock, strict=True):
        assert float(shown[0]) == pytest.approx(truth["minutes"], abs=0.051)
        for text, key in zip(shown[1:4], ("low", "value", "high"), strict=True):
            assert float(text) == pytest.approx(truth["firmness"][key], rel=0.06)
        assert float(shown[4]) == pytest.approx(truth["temperature"]["value"], abs=0.51)
        assert shown[5] == truth["state"]


def test_numbers_of_a_crumbling_dough_leave_firmness_empty(open_recipe, show):
    document = open_recipe("dry_clay_bar")
    _, rows = show(document).numbers()
    for shown, truth in zip(rows, as_json(document.evaluation, 0)["clock"], strict=True):
        assert (shown[2] == "") == (truth["firmness"]["value"] is None)
        assert shown[5] == truth["state"]


def test_keys_move_the_crosshair_and_the_readout_is_the_description(mended, show, qtbot):
    box = QWidget()
    qtbot.addWidget(box)
    layout = QVBoxLayout(box)
    before, view = QLineEdit(), DoughClockView(mended)
    layout.addWidget(before)
    layout.addWidget(view)
    box.show()
    box.activateWindow()
    qtbot.waitUntil(box.isActiveWindow)
    before.setFocus()
    assert view.readout() is None
    assert view.accessibleName() == "Dough clock"
    assert view.accessibleDescription() == view.spoken()
    qtbot.keyClick(before, Qt.Key.Key_Tab)
    assert view.hasFocus()
    at_knead = "10\N{NO-BREAK SPACE}min: pliable, soft putty"
    assert view.readout()[0] == at_knead
    assert "kPa (" in view.readout()[1]
    assert view.accessibleDescription() == "; ".join(view.readout())
    qtbot.keyClick(view, Qt.Key.Key_Right)
    assert view.readout()[0].startswith("12\N{NO-BREAK SPACE}min")
    qtbot.keyClick(view, Qt.Key.Key_Left)
    assert view.readout()[0] == at_knead
    qtbot.keyClick(view, Qt.Key.Key_Home)
    qtbot.keyClick(view, Qt.Key.Key_Left)
    assert view.readout()[0].startswith("1\N{NO-BREAK SPACE}min: sticky")
    qtbot.keyClick(view, Qt.Key.Key_End)
    assert view.readout()[0] == "28\N{NO-BREAK SPACE}d: hard bar"
    qtbot.keyClick(view, Qt.Key.Key_Backtab)
    assert view.readout() is None
    assert view.keys()


def test_focus_draws_a_frame_in_accent(mended, show, qtbot):
    view = show(mended)
    at = round(view.plot.area().left()) - 2, round(view.plot.area().center().y())

    def frame():
        return view.grab().toImage().pixelColor(*at).name()

    assert frame() != theme.LIGHT.accent
    view.activateWindow()
    qtbot.waitUntil(view.isActiveWindow)
    view.setFocus()
    qtbot.waitUntil(view.hasFocus)
    assert frame() == theme.LIGHT.accent


def test_the_mouse_reads_the_moment_below_it_until_it_leaves(mended, show, qtbot):
    view = show(mended)
    port = view.plot.viewport()
    at = view.plot.px(1440.0, 30.0).toPoint()
    qtbot.mouseMove(port, at - QPoint(20, 0))
    qtbot.mouseMove(port, at)
    qtbot.waitUntil(lambda: view.readout() is not None)
    assert view.readout()[0].startswith("1\N{NO-BREAK SPACE}d: ")
    qtbot.mouseMove(port, QPoint(4, 4))
    qtbot.waitUntil(lambda: view.readout() is None)


def test_old_numbers_grow_pale_while_new_ones_are_on_their_way(mended, show, qtbot):
    view = show(mended)
    mended.changed.emit(mended.recipe)
    assert view.median.token == "accent"
    qtbot.waitUntil(lambda: view.median.token == "ink2")
    assert view.others[0].token == view.band.token == "ink2"
    mended.evaluated.emit(mended.evaluation)
    assert view.median.token == view.band.token == "accent"
    assert view.others[0].token == "ink"


def test_an_edit_moves_the_same_lines(document, show, qtbot):
    view = show(document)
    median, before = view.median, view.median.data[1]
    recipe = document.recipe
    at = next(i for i, row in enumerate(recipe.rows) if row.phase == "liquid")
    document.edit("less", recipe.with_percent(at, "1", recipe.rows[at].percents["1"] - 3))
    with qtbot.waitSignal(document.evaluated, timeout=20_000):
        pass
    assert view.median is median
    assert (view.median.data[1] > before).all()


def test_colours_follow_the_theme(mended, show, qapp, qtbot):
    view = show(mended)
    at = view.plot.px(10000.0, 2.0).toPoint()
    assert view.grab().toImage().pixelColor(at).name() == theme.LIGHT.paper
    theme.set_theme(qapp, theme.DARK)
    try:
        qtbot.waitUntil(lambda: view.median.item.opts["pen"].color().name() == theme.DARK.accent)
        picture = view.grab().toImage()
        assert picture.pixelColor(at).name() == theme.DARK.paper
        assert theme.DARK.accent in colours(view, 1000.0, 50.0, 700.0)
    finally:
        theme.set_theme(qapp, theme.LIGHT)


def test_temperature_is_written_where_time_ticks_stand(mended, show):
    view, result = show(mended), mended.evaluation
    warmth = result.spread_over_time(1)["temperature"].value - 273.15
    for minutes in (1.0, 10.0, 60.0, 360.0):
        at = np.interp(np.log(minutes), np.log(result.times / 60), warmth)
        assert f"{at:.0f}" in words(view)
    assert "dough temperature, middle of the lump" in words(view)


def test_the_spoken_sentence_tells_every_mark_with_its_interval(mended, show):
    spoken = show(mended).spoken().replace("\N{NO-BREAK SPACE}", " ")
    for mark in ("Clean from 3 min (1 min to 11 min)", "press before 1.1 h", "wrap from 16 d"):
        assert mark in spoken


def test_labels_pushed_apart_keep_their_order_and_stay_inside():
    assert spread_out([10.0, 12.0, 13.0], 12, 0, 100) == [10.0, 22.0, 34.0]
    assert spread_out([90.0, 92.0, 93.0], 12, 0, 100) == [76.0, 88.0, 100.0]
