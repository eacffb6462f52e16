"""The dough map: what it shades, names and tells, and the mark that carries the recipe."""

import math
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QApplication

from designer.document import Document
from designer.evaluation.dough_map import dough_map
from designer.evaluation.evaluate import evaluate
from designer.evaluation.paths import moved
from designer.recipe import Recipe, Row, file
from designer.vocabulary import STATES
from designer.window import theme
from designer.window.recipe import dough_map as module
from designer.window.recipe.dough_map import DoughMapView
from designer.window.recipe.map_field import STEPS, Field
from designer.window.recipe.map_handle import Grip, Spot
from designer.window.recipe.map_labels import Placer
from designer.window.recipe.map_lines import lines
from designer.window.recipe.map_marks import CLOSEST
from designer.window.recipe.map_note import note_words
from tests.window.conftest import DEMOS

Key, Modifier, Button = Qt.Key, Qt.KeyboardModifier, Qt.MouseButton


@pytest.fixture(scope="module")
def chart(handbook, knowledge):
    recipe = file.read(DEMOS / "oat_bar_sticky_and_mended.toml")
    return dough_map(evaluate(recipe, handbook, knowledge), 0)


@pytest.fixture(scope="module")
def kept(qapp, handbook, knowledge):
    """A document that tests share, for its first map takes a while; each leaves it as it was."""
    recipe = file.read(DEMOS / "oat_bar_sticky_and_mended.toml")
    document = Document(recipe, handbook, knowledge)
    yield document
    document.close()


def settled(document):
    return document.evaluation is not None and document.dough_map is not None


@pytest.fixture
def document(kept, qtbot):
    qtbot.waitUntil(lambda: settled(kept), timeout=20_000)
    yield kept
    kept.undo_stack.setIndex(0)
    kept.undo_stack.clear()


@pytest.fixture
def still(monkeypatch):
    """Let nothing slide."""
    monkeypatch.setattr(module, "SLIDE", 0)


@pytest.fixture
def opened(qtbot, still):
    """Return a function that shows the map of a document."""

    def opening(document):
        if document.evaluation is not None:
            qtbot.waitUntil(lambda: settled(document), timeout=20_000)
        view = DoughMapView(document)
        qtbot.addWidget(view)
        view.resize(388, 400)
        view.show()
        view.activateWindow()
        qtbot.waitUntil(view.isActiveWindow)
        view.setFocus()
        return view

    return opening


@pytest.fixture
def view(opened, document):
    return opened(document)


def evaluated(qtbot, document):
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    return document.evaluation


def place(document, number="1"):
    result = document.evaluation
    k = result.recipe.numbers.index(number)
    return float(result.mixture.liquid_to_powder[k]), float(result.mixture.melt_fraction[k])


def mark(view):
    return view.plot.active_mark().shown


def press(qtbot, view, at):
    qtbot.mousePress(view.plot.viewport(), Button.LeftButton, pos=at.toPoint())


def move(view, at, modifiers=Modifier.NoModifier):
    """Move the pointer with the left button down; qtbot's own move holds no button."""
    port = view.plot.viewport()
    QApplication.sendEvent(
        port,
        QMouseEvent(
            QEvent.Type.MouseMove,
            QPointF(at),
            QPointF(port.mapToGlobal(at.toPoint())),
            Button.NoButton,
            Button.LeftButton,
            modifiers,
        ),
    )


def release(qtbot, view, at):
    qtbot.mouseRelease(view.plot.viewport(), Button.LeftButton, pos=at.toPoint())


def drag(qtbot, view, by, steps=4, modifiers=Modifier.NoModifier):
    start = mark(view).toPoint()
    press(qtbot, view, QPointF(start))
    for step in range(1, steps + 1):
        move(view, QPointF(start) + QPointF(by) * step / steps, modifiers)
    release(qtbot, view, QPointF(start) + QPointF(by))


def pixel(picture, point, scale=1.0):
    return picture.pixelColor(int(point.x() * scale), int(point.y() * scale))


# --- shading


def test_tint_is_the_step_of_the_chance_in_the_colour_of_the_failing_state(chart):
    picture = Field(chart).picture(theme.LIGHT, 640, 480)
    paper = QColor(theme.LIGHT.paper)
    checked = 0
    for row, column in [(r, c) for r in range(4, 48, 5) for c in range(4, 64, 6)]:
        near = np.s_[row - 1 : row + 2, column - 1 : column + 2]
        steps = np.searchsorted(STEPS, chart.chance[near])
        same = np.ptp(steps) == 0 and np.ptp(chart.failing[near]) == 0
        if not same or chart.outside[near].any():
            continue
        x = round(column / 63 * 640)
        y = round((1 - row / 47) * 480)
        tint = theme.LIGHT.state(STATES[chart.failing[row, column]])
        wanted = theme.blend(paper, tint, theme.LIGHT.field_alpha[steps[0, 0]])
        assert picture.pixelColor(x, y).name() == wanted.name()
        checked += 1
    assert checked > 40


def test_edges_between_states_are_the_mean_of_finer_places(chart):
    field = Field(chart)
    picture = field.picture(theme.LIGHT, 300, 300)
    colours = {picture.pixelColor(x, y).name() for x in range(300) for y in range(300)}
    flat = {
        theme.blend(QColor(theme.LIGHT.paper), theme.LIGHT.state(STATES[s]), alpha).name()
        for s in field.states
        for alpha in theme.LIGHT.field_alpha
    }
    assert len(colours - flat) > 20


def test_contours_run_where_the_chance_is_that_of_their_level(chart):
    field = Field(chart)
    for line in field.contours():
        column, row = line.places[:, 0] * 63, line.places[:, 1] * 47
        low, left = np.floor(row).astype(int), np.floor(column).astype(int)
        high, right = np.ceil(row).astype(int), np.ceil(column).astype(int)
        ends = chart.chance[low, left], chart.chance[high, right]
        assert (np.minimum(*ends) <= line.level / 20 + 1e-9).all()
        assert (np.maximum(*ends) >= line.level / 20 - 1e-9).all()
    assert {line.level for line in field.contours()} >= {5, 10, 15}


def test_grains_of_the_chance_get_no_contour(chart):
    level = np.full(chart.chance.shape, 0.89)
    level[20:23, 20:24] = level[0:3, 40:44] = 0.91
    level[30:44, 10:30] = 0.91
    found = Field(replace(chart, chance=level)).contours()
    (line,) = [one for one in found if one.level == 18]
    assert line.places[:, 1].min() > 0.6


def test_lines_of_the_demos_are_long(handbook, knowledge):
    recipe = file.read(DEMOS / "three_oat_bars.toml")
    field = Field(dough_map(evaluate(recipe, handbook, knowledge), 0))
    for line in (*field.contours(), *field.wetness_lines()):
        assert np.hypot(*np.diff(line.places, axis=0).T).sum() > 0.3


def test_a_ring_is_one_closed_line_at_its_radius():
    x, y = np.meshgrid(np.arange(40.0), np.arange(30.0))
    (ring,) = lines(-np.hypot(x - 20, y - 15), -9.0)
    assert (ring[0] == ring[-1]).all()
    assert np.hypot(ring[:, 0] - 20, ring[:, 1] - 15) == pytest.approx(9, abs=0.05)


@pytest.mark.parametrize("middle", [0.6, 0.4])
def test_lines_never_cross_in_a_saddle(middle):
    raster = np.array([[1.0, middle - 0.4], [middle - 0.4, 1.0]])
    found = lines(raster, 0.5 if middle == 0.6 else 0.55)
    assert len(found) == 2
    is_high = raster.mean() >= (0.5 if middle == 0.6 else 0.55)
    for line in found:
        cut_off = np.round(line.mean(axis=0)).astype(int)
        assert (raster[cut_off[1], cut_off[0]] < 0.5) == is_high


def test_nothing_is_shaded_where_the_model_must_not_speak(chart):
    silent = np.zeros(chart.chance.shape, dtype=bool)
    silent[:, 40:] = True
    picture = Field(replace(chart, reachable=~silent)).picture(theme.LIGHT, 640, 480)
    assert pixel(picture, QPointF(600, 100)).alpha() == 0
    assert pixel(picture, QPointF(300, 100)).alpha() == 255
    for line in Field(replace(chart, reachable=~silent)).contours():
        assert line.places[:, 0].max() <= 40 / 63


def test_tints_and_lines_do_not_fall_off_towards_what_cannot_be_reached(chart):
    reachable = np.zeros(chart.chance.shape, dtype=bool)
    reachable[:, :40] = True
    chance = np.where(reachable, 0.8, 0.0)
    wetness = np.where(reachable, 1.0, np.nan)
    border = Field(replace(chart, reachable=reachable, chance=chance, wetness=wetness))
    assert not border.contours()
    picture = border.picture(theme.LIGHT, 640, 480)
    colours = [picture.pixelColor(x, 240) for x in range(350, 450)]
    steps = {one.name() for one in colours if one.alpha() == 255}
    paper = QColor(theme.LIGHT.paper)
    faint = {
        theme.blend(paper, theme.LIGHT.state(name), theme.LIGHT.field_alpha[3]).name()
        for name in STATES
    }
    assert steps <= faint


# --- what the view shows


def test_chance_under_the_mark_is_the_reading(view, document, chart):
    x, y = place(document)
    told = float(document.evaluation.clean_knead_chance[0])
    assert float(chart.chance_at([x], [y])[0]) == pytest.approx(told, abs=1e-6)
    assert f": {round(20 * told)} of 20" in view.plot.readout(mark(view))


def test_pixel_under_the_mark_is_the_step_of_the_reading(view, document):
    told = float(document.evaluation.clean_knead_chance[0])
    at = mark(view) - view.plot.area().topLeft()
    step = int(np.searchsorted(STEPS, told))
    tints = {
        theme.blend(
            QColor(theme.LIGHT.paper), theme.LIGHT.state(name), theme.LIGHT.field_alpha[step]
        ).name()
        for name in STATES
    }
    assert pixel(view.plot.shaded(), at).name() in tints


def with_scaled(recipe, handbook):
    """Return a recipe with a third variant: the mix of the first with less liquid and less fat."""
    grown = recipe.add_variant("scaled", like="1")
    return moved(grown.use_variant("3"), "3", handbook, 0.30, 0.14).use_variant("1")


def test_marks_stand_on_liquid_to_powder_and_melt_phase(opened, open_recipe, document, handbook):
    document = open_recipe(with_scaled(document.recipe, handbook))
    view = opened(document)
    for number in ("1", "3"):
        x, y = place(document, number)
        shown = next(one for one in view.plot._marked() if one.number == number)
        assert shown.shown == view.plot.px(x, 100 * y)


def test_a_variant_of_another_mix_has_no_mark_on_a_field_that_is_not_its_own(
    qtbot, opened, open_recipe, document, handbook
):
    document = open_recipe(with_scaled(document.recipe, handbook))
    view = opened(document)
    assert {one.number for one in view.plot._marked()} == {"1", "3"}
    said = "2 has another mix: shown on its own when it is the active one"
    assert view.below.isVisible()
    assert view.below.words == said == view.below.toolTip()
    assert said in view.accessibleDescription()
    assert said.startswith(view.below.shown[:1])
    document.edit("Use variant 2", document.recipe.use_variant("2"))
    qtbot.waitUntil(lambda: settled(document), timeout=20_000)
    assert [one.number for one in view.plot._marked()] == ["2"]
    assert view.below.words.startswith("1 and 3 have other mixes")
    assert [row[0] for row in view.numbers()[1][:3]] == ["variant 1", "variant 2", "variant 3"]
    document.edit("Alone", document.recipe.remove_variant("1").remove_variant("3"))
    qtbot.waitUntil(lambda: settled(document), timeout=20_000)
    assert not view.below.isVisible()


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        (("3",), "3 has another mix"),
        (("2", "4"), "2 and 4 have other mixes"),
        (("2", "3", "4", "7"), "2–4 and 7 have other mixes"),
        (("1", "3", "4", "5", "6", "7", "8"), "1 and 3–8 have other mixes"),
    ],
)
def test_variants_of_other_mixes_are_told_in_few_words(numbers, words):
    whole, *shorter = note_words(numbers)
    assert whole.startswith(words)
    assert [len(one) for one in shorter] == sorted((len(one) for one in shorter), reverse=True)


def boxes(plot):
    (_, labels, names), marks = plot._laid_out(), plot._marked()
    return [one.box for one in labels], list(names.values()), [one.box for one in marks]


@pytest.mark.parametrize("size", [(250, 220), (332, 350), (388, 400), (700, 640), (1000, 500)])
def test_labels_lie_on_no_other_and_inside(view, qtbot, size):
    view.resize(*size)
    qtbot.waitUntil(lambda: view.plot.width() == size[0])
    labels, names, marks = boxes(view.plot)
    assert names
    assert labels
    for first, second in combinations([*labels, *names], 2):
        assert not first.intersects(second)
    for box in (*labels, *names):
        assert view.plot.area().contains(box)
        assert not any(box.intersects(one) for one in marks)


def test_names_stand_in_their_own_region(view, chart):
    names = view.plot._laid_out()[2]
    assert {"crumbly", "slack"} <= names.keys()
    for state, box in names.items():
        spot = view.plot.spot(box.center())
        assert view.plot.field.state_at(*spot) == state


def test_a_region_too_small_is_not_named(chart, view):
    small = chart.failing.copy()
    small[:] = 0
    small[20:24, 30:34] = 4
    view.show_map(replace(chart, failing=small, chance=chart.chance * 0))
    assert view.plot._laid_out()[2].keys() == {"crumbly"}


def test_names_stay_while_a_mark_passes_elsewhere(view):
    before = dict(view.plot._laid_out()[2])
    view.plot.show_points({"1": Spot(0.30, 0.115), "2": Spot(0.31, 0.12)}, "1")
    after = view.plot._laid_out()[2]
    moved_away = {state for state in before if before[state] != after.get(state)}
    for state in moved_away:
        assert any(before[state].intersects(one) for one in boxes(view.plot)[2])


def test_numbers_stand_apart_and_the_one_aside_is_led_to_its_place(view):
    view.plot.show_points({str(n): Spot(0.30 + n / 250, 0.16) for n in range(1, 6)}, "3")
    marks = view.plot._marked()
    for first, second in combinations(marks, 2):
        way = first.shown - second.shown
        assert math.hypot(way.x(), way.y()) >= CLOSEST
    active = view.plot.active_mark()
    assert active.shown == active.place
    assert sum(one.shown != one.place for one in marks) == 4
    assert not any(one.attached for one in marks)
    assert all(view.plot.area().contains(one.shown) for one in marks)


@pytest.mark.parametrize("spot", [Spot(0.30, 0.16), Spot(0.455, 0.065)])
def test_numbers_of_equal_variants_touch(view, spot):
    view.plot.show_points(dict.fromkeys(("1", "2", "3"), spot), "2")
    active, first, second = (
        next(one for one in view.plot._marked() if one.number == number) for number in "213"
    )
    for one, other in ((active, first), (first, second)):
        way = other.shown - one.shown
        assert math.hypot(way.x(), way.y()) == pytest.approx(CLOSEST, abs=0.1)
    assert active.shown == active.place
    assert first.attached
    assert second.attached
    assert all(view.plot.area().contains(one.shown) for one in (first, second))
    if spot.x < 0.4:
        assert first.shown.x() > active.shown.x()
        assert first.shown.y() > active.shown.y()


@pytest.mark.parametrize(
    ("spot", "beyond"), [(Spot(math.inf, 0.1), (1, 0)), (Spot(0.2, 0.5), (0, -1))]
)
def test_a_mark_off_the_axes_sits_at_the_edge(view, spot, beyond):
    view.plot.show_points({"1": spot}, "1")
    active = view.plot.active_mark()
    assert active.beyond == beyond
    # The ring is 12 px within the edge, and the handle inside.
    assert view.plot.area().adjusted(22, 22, -22, -22).contains(active.shown)
    picture = view.plot.grab().toImage()
    out = active.shown + QPointF(*beyond) * 19
    assert pixel(picture, out).name() == theme.LIGHT.accent


def test_theme_change_shades_anew(view, qapp):
    light = view.plot.shaded().pixelColor(200, 20).name()
    theme.set_theme(qapp, theme.DARK)
    try:
        qapp.processEvents()
        dark = view.plot.shaded().pixelColor(200, 20).name()
        slack = theme.blend(
            QColor(theme.DARK.paper), theme.DARK.state("slack"), theme.DARK.field_alpha[0]
        )
        assert dark == slack.name() != light
        whole = view.grab().toImage()
        at = view.plot.mapTo(view, (view.plot.area().topLeft() + QPointF(200, 20)).toPoint())
        assert whole.pixelColor(at).name() == dark
    finally:
        theme.set_theme(qapp, theme.LIGHT)


def test_resize_keeps_marks_on_their_place(view, qtbot, document):
    view.resize(700, 640)
    qtbot.waitUntil(lambda: view.plot.width() == 700)
    x, y = place(document)
    assert mark(view) == view.plot.px(x, 100 * y)
    area = view.plot.area()
    assert view.plot.shaded().size().toTuple() == (round(area.width()), round(area.height()))


def test_usual_recipes_are_crosses_only_when_wanted(view, handbook):
    assert not view.plot.usual
    action = view.commands["usual_recipes"]
    without = view.plot.grab().toImage()
    action.trigger()
    assert len(view.plot.usual) == len(handbook.practice)
    assert view.plot.grab().toImage() != without
    action.trigger()
    assert view.plot.grab().toImage() == without


def test_readout_tells_place_chance_and_how_it_fails(view, chart):
    at = view.plot.px(0.15, 10.0)
    told = view.plot.readout(at).replace("\N{NO-BREAK SPACE}", " ")
    assert told == "0.15 g/g, 10.0 %: 0 of 20, else crumbly"
    view.show_map(replace(chart, outside=~chart.outside | True))
    assert view.plot.readout(at).endswith(": no forecast")


def test_hatched_parts_have_a_key(view, chart):
    assert ("hatch", "no forecast") in view.plot.signs()
    everywhere = np.zeros(chart.chance.shape, dtype=bool)
    view.show_map(replace(chart, outside=everywhere))
    assert "hatch" not in dict(view.plot.signs())
    reachable = ~everywhere
    reachable[:, :9] = False
    view.show_map(replace(chart, outside=everywhere, reachable=reachable))
    assert ("hatch", "out of reach") in view.plot.signs()


def test_hover_paints_the_readout(view, qtbot):
    before = view.plot.grab().toImage()
    qtbot.mouseMove(view.plot.viewport(), QPoint(150, 250))
    assert view.plot.grab().toImage() != before
    QApplication.sendEvent(view.plot, QEvent(QEvent.Type.Leave))
    assert view.plot.grab().toImage() == before


# --- dragging


def test_drag_ends_where_the_mark_is_as_one_step(view, qtbot, document):
    start = document.recipe
    by = QPoint(-60, 20)
    end = mark(view) + QPointF(by)
    drag(qtbot, view, by, steps=8)
    assert document.undo_stack.count() == 1
    assert document.undo_stack.undoText() == "Move on the map"
    evaluated(qtbot, document)
    x, y = place(document)
    reached = view.plot.px(x, 100 * y)
    assert (reached.x(), reached.y()) == pytest.approx((end.x(), end.y()), abs=1.5)
    assert (mark(view) - reached).manhattanLength() < 1e-9
    document.undo_stack.undo()
    assert document.recipe == start
    evaluated(qtbot, document)
    x, y = place(document)
    assert mark(view) == view.plot.px(x, 100 * y)


def test_mark_follows_the_pointer_at_once(view, qtbot):
    start = mark(view)
    press(qtbot, view, start)
    held = QPointF(start.toPoint())
    move(view, held + QPointF(-40, 0))
    assert (mark(view) - start - QPointF(-40, 0)).manhattanLength() < 0.01
    release(qtbot, view, held)


def test_dragged_recipe_is_that_of_the_two_paths(view, qtbot, document, handbook):
    start = document.recipe
    drag(qtbot, view, QPoint(-50, 30))
    spot = view._there["1"]
    assert document.recipe == moved(start, "1", handbook, spot.x, spot.y)


def test_results_are_shown_while_the_hand_never_rests(view, qtbot, document):
    at = QPointF(mark(view).toPoint())
    seen = []
    document.evaluated.connect(seen.append)
    press(qtbot, view, at)
    count = 0

    def moved_on():
        nonlocal count
        count += 1
        move(view, at + QPointF(-(count % 50), 5))
        return len(seen) >= 3

    qtbot.waitUntil(moved_on, timeout=20_000)
    end = at + QPointF(-30, 12)
    move(view, end)
    release(qtbot, view, end)
    evaluated(qtbot, document)
    x, y = place(document)
    reached = view.plot.px(x, 100 * y)
    assert (reached.x(), reached.y()) == pytest.approx((end.x(), end.y()), abs=1.5)
    assert document.undo_stack.count() == 1


def test_press_beside_the_mark_moves_nothing(view, qtbot, document):
    start = mark(view).toPoint() + QPoint(17, 0)
    press(qtbot, view, QPointF(start))
    move(view, QPointF(start) + QPointF(-40, 0))
    release(qtbot, view, QPointF(start))
    assert document.undo_stack.count() == 0


def test_escape_in_a_drag_leaves_no_step(view, qtbot, document):
    start, at = document.recipe, mark(view)
    press(qtbot, view, at)
    move(view, at + QPointF(-40, 20))
    assert document.recipe != start
    qtbot.keyClick(view, Key.Key_Escape)
    assert document.recipe == start
    assert document.undo_stack.count() == 0
    assert mark(view) == at
    move(view, at + QPointF(-80, 20))
    assert document.recipe == start
    release(qtbot, view, at)


def test_there_and_back_leaves_no_step(view, qtbot, document):
    at = QPointF(mark(view).toPoint())
    press(qtbot, view, at)
    move(view, at + QPointF(-40, 20))
    move(view, at)
    release(qtbot, view, at)
    assert document.undo_stack.count() == 0


@pytest.mark.parametrize(("by", "stays"), [(QPoint(-60, 25), "melt"), (QPoint(12, 70), "liquid")])
def test_shift_keeps_to_the_nearer_axis(view, qtbot, document, by, stays):
    x, y = place(document)
    drag(qtbot, view, by, modifiers=Modifier.ShiftModifier)
    evaluated(qtbot, document)
    after = place(document)
    if stays == "melt":
        assert after[1] == pytest.approx(y, abs=5e-5)
        assert after[0] < x - 0.05
    else:
        assert after[0] == pytest.approx(x, abs=5e-4)
        assert after[1] < y - 0.03


def test_mark_stops_at_the_border_slides_on_and_says_why(qtbot, open_recipe, opened, handbook):
    recipe = file.read(DEMOS / "oat_bar_sticky_and_mended.toml")
    # With the main liquid held, the others alone cannot make the dough that dry.
    rows = tuple(
        replace(row, held=frozenset("12")) if row.name == "CAPB 30 %" else row
        for row in recipe.rows
    )
    document = open_recipe(replace(recipe, rows=rows))
    view = opened(document)
    at = QPointF(mark(view).toPoint())
    press(qtbot, view, at)
    move(view, at + QPointF(-200, 0))
    first = mark(view)
    assert view.plot.note
    assert first.x() > at.x() - 190
    move(view, at + QPointF(-200, 60))
    second = mark(view)
    assert second.y() > first.y() + 30
    x, y = view._there["1"]
    with pytest.raises(Exception, match="held"):
        moved(document.recipe, "1", handbook, x - 0.03, y)
    move(view, at)
    assert not view.plot.note
    release(qtbot, view, at)


def test_a_direction_that_cannot_move_leaves_the_other(qtbot, open_recipe, opened):
    recipe = file.read(DEMOS / "oat_bar_sticky_and_mended.toml")
    rows = tuple(
        replace(row, held=frozenset("12")) if row.phase == "liquid" else row for row in recipe.rows
    )
    document = open_recipe(replace(recipe, rows=rows))
    view = opened(document)
    at = QPointF(mark(view).toPoint())
    press(qtbot, view, at)
    move(view, at + QPointF(-60, 50))
    assert "liquid" in view.plot.note
    release(qtbot, view, at)
    assert document.undo_stack.count() == 1


def test_an_edit_from_elsewhere_ends_the_drag(view, qtbot, document):
    at = mark(view)
    press(qtbot, view, at)
    document.edit("Notes", document.recipe.with_notes("wet"))
    move(view, at + QPointF(-60, 0))
    assert document.recipe.notes == "wet"
    assert document.undo_stack.count() == 1
    release(qtbot, view, at)


def test_shading_stays_while_the_mark_is_dragged(view, qtbot, document):
    at, before = mark(view), view.plot.chart
    press(qtbot, view, at)
    move(view, at + QPointF(-30, 0))
    with qtbot.waitSignal(document.mapped, timeout=20_000) as mapped:
        pass
    assert view.plot.chart is before
    release(qtbot, view, at + QPointF(-30, 0))
    assert view.plot.chart is mapped.args[0]


# --- keys


def test_a_burst_of_arrows_is_one_step(view, qtbot, document):
    x, y = place(document)
    for _ in range(4):
        qtbot.keyClick(view, Key.Key_Left)
    qtbot.keyClick(view, Key.Key_Down)
    assert document.undo_stack.count() == 1
    evaluated(qtbot, document)
    after = place(document)
    assert after[0] == pytest.approx(x - 0.020, abs=5e-4)
    assert after[1] == pytest.approx(y - 0.001, abs=1e-4)


@pytest.mark.parametrize(
    ("modifiers", "size"), [(Modifier.ShiftModifier, 10), (Modifier.ControlModifier, 0.1)]
)
def test_shift_and_ctrl_change_how_far_an_arrow_goes(view, qtbot, document, modifiers, size):
    x = view._there["1"].x
    qtbot.keyClick(view, Key.Key_Left, modifiers)
    assert view._there["1"].x == pytest.approx(x - 0.005 * size)


def test_arrows_there_and_back_leave_no_step(view, qtbot, document):
    start = document.recipe
    qtbot.keyClick(view, Key.Key_Up)
    qtbot.keyClick(view, Key.Key_Down)
    assert document.recipe == start
    assert document.undo_stack.count() == 0


def test_leaving_the_map_ends_the_burst(view, qtbot, document):
    qtbot.keyClick(view, Key.Key_Left)
    view.clearFocus()
    view.setFocus()
    qtbot.keyClick(view, Key.Key_Left)
    assert document.undo_stack.count() == 2


def test_undo_ends_the_burst(view, qtbot, document):
    qtbot.keyClick(view, Key.Key_Left)
    evaluated(qtbot, document)
    document.undo_stack.undo()
    evaluated(qtbot, document)
    x = view._there["1"].x
    qtbot.keyClick(view, Key.Key_Right)
    assert view._there["1"].x == pytest.approx(x + 0.005)
    assert document.undo_stack.count() == 1


def test_arrows_stop_at_the_end_of_the_axes(view, qtbot):
    for _ in range(20):
        qtbot.keyClick(view, Key.Key_Right, Modifier.ShiftModifier)
    assert view._there["1"].x <= view.plot.x.high


def test_escape_without_a_drag_is_left_to_the_window(view):
    event = QKeyEvent(QEvent.Type.KeyPress, Key.Key_Escape, Modifier.NoModifier)
    view.keyPressEvent(event)
    assert not event.isAccepted()


def test_focus_is_a_ring_round_the_mark(view):
    def accents():
        picture = view.plot.grab().toImage()
        way = QPointF(math.sqrt(0.5), math.sqrt(0.5))
        ring = [(mark(view) + way * (11.5 + k / 4)).toPoint() for k in range(14)]
        accent = QColor(theme.LIGHT.accent)
        # The ring need not lie on whole pixels.
        return sum(abs(pixel(picture, at).green() - accent.green()) < 40 for at in ring)

    assert accents() >= 2
    view.clearFocus()
    assert accents() == 0


# --- sliding, waiting, nothing there


def test_mark_slides_after_an_edit_elsewhere(view, qtbot, document, monkeypatch):
    monkeypatch.setattr(module, "SLIDE", 120)
    before = mark(view)
    document.edit("Drier", moved(document.recipe, "1", document.handbook, 0.30, 0.16))
    seen = []
    view._slide.valueChanged.connect(lambda _: seen.append(mark(view).x()))
    with qtbot.waitSignal(view._slide.finished, timeout=20_000):
        pass
    x, y = place(document)
    end = view.plot.px(x, 100 * y)
    assert (mark(view) - end).manhattanLength() < 1e-6
    assert all(end.x() - 0.01 <= one <= before.x() + 0.01 for one in seen)


def test_nothing_slides_in_a_drag(view, qtbot, monkeypatch):
    monkeypatch.setattr(module, "SLIDE", 120)
    drag(qtbot, view, QPoint(-40, 10))
    evaluated(qtbot, view._document)
    assert view._slide.state() == view._slide.State.Stopped


def test_a_late_result_is_said_to_be_worked_on_and_the_field_stays(view, qtbot, document):
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    document.changed.emit(document.recipe)
    # Its time is up before any event could bring a result.
    view._late.timeout.emit()
    assert view.head.is_working
    assert view.plot.field is not None
    document.evaluated.emit(document.evaluation)
    assert not view.head.is_working


def test_the_shading_of_another_mix_is_said_to_be_worked_on(view, qtbot, document, monkeypatch):
    monkeypatch.setattr(document._evaluator, "_is_quiet", lambda: False)
    document.edit("Room", document.recipe.with_bench(room=297.15))
    evaluated(qtbot, document)
    qtbot.waitUntil(lambda: view.head.is_working, timeout=2000)
    old = view.plot.chart
    assert old.recipe != document.recipe
    monkeypatch.undo()
    document._evaluator.request(document.recipe)
    with qtbot.waitSignal(document.mapped, timeout=20_000):
        pass
    assert view.plot.chart is not old
    assert not view.head.is_working


def test_the_shading_of_the_same_mix_is_not_late(view, qtbot, document, monkeypatch):
    monkeypatch.setattr(document._evaluator, "_is_quiet", lambda: False)
    document.edit("Drier", moved(document.recipe, "1", document.handbook, 0.30, 0.16))
    evaluated(qtbot, document)
    assert document.dough_map is None
    assert not view._late.isActive()
    assert not view.head.is_working


def test_a_failure_ends_the_work_and_the_next_result_ends_the_failure(view, qtbot, document):
    recipe = document.recipe
    with qtbot.waitSignal(document.failed, timeout=20_000):
        document.edit("Clear", replace(recipe, rows=()))
    assert view.plot.message
    assert not view._late.isActive()
    assert not view.head.is_working
    with qtbot.waitSignal(document.mapped, timeout=20_000):
        document.edit("Again", recipe.with_notes("again"))
    assert not view.plot.message
    assert view.plot.field is not None
    assert not view._late.isActive()
    assert not view.head.is_working


def test_nothing_is_worked_on_where_the_recipe_has_failed(qtbot, handbook, knowledge, opened):
    document = Document(Recipe("New"), handbook, knowledge)
    try:
        with qtbot.waitSignal(document.failed, timeout=20_000):
            pass
        view = opened(document)
        assert not view._late.isActive()
        assert not view.head.is_working
        assert view.plot.message == "Add a powder and a liquid to see how it kneads."
    finally:
        document.close()


def test_an_empty_recipe_asks_for_a_powder_and_a_liquid(qtbot, handbook, knowledge, opened, qapp):
    document = Document(Recipe("New"), handbook, knowledge)
    try:
        view = opened(document)
        qtbot.waitUntil(lambda: bool(view.plot.message), timeout=20_000)
        assert view.plot.message == "Add a powder and a liquid to see how it kneads."
        assert view.accessibleDescription() == view.plot.message
        qtbot.keyClick(view, Key.Key_Left)
        view.plot.grab()
        assert document.undo_stack.count() == 0
    finally:
        document.close()


def test_a_recipe_without_liquid_asks_for_one(open_recipe, opened):
    recipe = Recipe("Dry", rows=(Row("powder", "oat flour", {"1": 100.0}),))
    view = opened(open_recipe(recipe))
    assert view.plot.message == "Add a powder and a liquid to see how it kneads."


def test_a_mix_that_cannot_be_scaled_says_why(open_recipe, opened, qtbot):
    recipe = file.read(DEMOS / "oat_bar_sticky_and_mended.toml")
    rows = tuple(replace(row, held=frozenset("12")) for row in recipe.rows)
    document = open_recipe(replace(recipe, rows=rows))
    view = opened(document)
    assert view.plot.message == document.dough_map.reason != ""
    qtbot.keyClick(view, Key.Key_Left)
    assert document.undo_stack.count() == 0
    assert view.plot.note


# --- words and numbers


def test_it_says_where_every_variant_lies(view, document):
    told = view.accessibleDescription()
    chance = round(20 * float(document.evaluation.clean_knead_chance[0]))
    assert told.startswith(
        f"Variant 1: liquid to powder 0.39, melt phase 16.1\N{NO-BREAK SPACE}%; "
        f"kneads clean in {chance} of 20; it lies among sticky doughs. Variant 2: "
    )
    assert view.accessibleName() == "Dough map"


def test_numbers_of_the_plot_are_those_of_map_and_variants(view, document, chart):
    header, rows = view.numbers()
    assert all(len(row) == len(header) for row in rows)
    assert rows[0][:3] == ("variant 1", "0.39", "16.1")
    assert len(rows) == 2 + 7 * 5
    last = rows[-1]
    assert (float(last[1]), float(last[2])) == pytest.approx((0.443, 26.6), abs=0.02)
    assert last[4] == "slack"


def test_without_own_batches_there_are_no_dots_and_no_key(view):
    assert not view.plot.good_batches
    assert "own good" not in dict(view.plot.signs()).values()


def test_own_good_batches_are_dots_with_a_key(opened, document, monkeypatch):
    monkeypatch.setattr(document, "good_batches", ((0.25, 0.15),), raising=False)
    view = opened(document)
    assert view.plot.good_batches == [Spot(0.25, 0.15)]
    at = view.plot.px(0.25, 15.0).toPoint()
    assert view.plot.grab().toImage().pixelColor(at).name() == theme.LIGHT.ink
    assert ("dot", "own good") in view.plot.signs()


def test_grip_is_back_at_its_start_with_the_recipe_it_had(document, handbook):
    spot = Spot(*place(document))
    grip = Grip(document.recipe, "1", handbook, spot, 1)
    grip.move(Spot(0.3, 0.2), (800.0, 1300.0))
    assert grip.move(spot, (800.0, 1300.0)) is document.recipe


def test_a_placer_gives_no_place_that_is_taken(view):
    placer = Placer(view.plot.area(), [view.plot.area()])
    points = np.array([[100.0, 100.0], [120.0, 120.0]])
    assert placer.along("15", points, 100.0) is None
