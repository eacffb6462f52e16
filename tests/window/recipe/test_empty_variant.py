"""An empty column takes nothing from what is shown of the active variant."""

from PySide6.QtCore import Qt

from designer.window.recipe.dough_clock import DoughClockView
from designer.window.recipe.dough_map import DoughMapView
from designer.window.recipe.headline import Headline
from designer.window.recipe.readings import Readings
from designer.window.recipe.why import Why
from designer.wording.headline import EMPTY


def with_an_empty_variant(document):
    recipe = document.recipe.only(document.recipe.active.number)
    return recipe.add_variant("empty")


def test_every_view_shows_the_active_variant_beside_an_empty_one(document, qtbot):
    recipe = with_an_empty_variant(document)
    number, empty = recipe.numbers
    views = [kind(document) for kind in (Headline, Readings, Why, DoughMapView, DoughClockView)]
    headline, readings, why, _, clock = views
    for view in views:
        qtbot.addWidget(view)
    document.edit("Empty variant", recipe)
    document.pin(empty)
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    assert headline.text
    assert EMPTY not in headline.text
    assert [column.number for column in readings.columns] == [number]
    assert why.causes.causes
    assert "No forecast" not in clock.spoken()
    document.edit("Use it", recipe.use_variant(empty))
    qtbot.waitUntil(lambda: EMPTY in headline.text, timeout=20_000)


def test_the_mark_moves_beside_an_empty_variant_and_that_stays(document, qtbot):
    recipe = with_an_empty_variant(document)
    view = DoughMapView(document)
    qtbot.addWidget(view)
    view.resize(500, 400)
    view.show()
    document.edit("Empty variant", recipe)
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    qtbot.keyClick(view, Qt.Key.Key_Right)
    assert document.recipe != recipe
    assert document.recipe.numbers == recipe.numbers
