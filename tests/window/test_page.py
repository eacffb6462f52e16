"""Where the parts of the page stand."""

import itertools

import pytest
from PySide6.QtCore import QSize

from designer.window.main_window import MainWindow
from designer.window.recipe.page import column, places

WANTED = {"facts": 24, "headline": 68, "table": 730, "readings": 330, "advice": 300}
SIZES = [(1100, 646), (1280, 746), (1366, 714), (1920, 1146), (2560, 1386), (3840, 2106)]


@pytest.mark.parametrize("size", SIZES)
def test_no_part_covers_another_or_leaves_the_page(size):
    found = places(QSize(*size), WANTED)
    for (_, one), (_, other) in itertools.combinations(found.parts.items(), 2):
        assert not one.intersects(other)
    for place in found.parts.values():
        assert place.left() >= 16
        assert place.right() < size[0] - 15
        assert place.bottom() < found.height
        assert place.width() > 0
        assert place.height() > 0


@pytest.mark.parametrize(("width", "table", "readings"), [(1280, 480, 388), (1920, 648, 470)])
def test_columns_have_the_widths_of_the_drawing(width, table, readings):
    parts = places(QSize(width, 746), WANTED).parts
    assert parts["table"].width() == table
    assert parts["readings"].width() == readings
    assert parts["map"].left() - parts["table"].right() - 1 == 24
    assert parts["clock"].left() == parts["map"].left()
    assert parts["clock"].right() == parts["readings"].right()


def test_a_large_window_gives_the_room_to_the_map():
    small, large = (places(QSize(*size), WANTED).parts for size in ((1280, 746), (2560, 1386)))
    grown = {name: large[name].width() / small[name].width() for name in small}
    assert max(grown, key=grown.get) == "map"


def test_the_map_does_not_move_when_readings_grow():
    few = places(QSize(1280, 746), {**WANTED, "readings": 200, "advice": 60}).parts
    many = places(QSize(1280, 746), {**WANTED, "readings": 500, "advice": 500}).parts
    for name in ("map", "clock", "table", "headline"):
        assert few[name] == many[name]


def test_a_narrow_page_is_one_column():
    found = column(700, WANTED)
    tops = [place.top() for place in found.parts.values()]
    assert tops == sorted(tops)
    assert {place.left() for place in found.parts.values()} == {16}
    assert found.height > 1500


@pytest.fixture
def window(document, qtbot):
    made = MainWindow(document)
    qtbot.addWidget(made)
    yield made
    made.filing.discard()


def shown(window, width, height):
    window.resize(width, height)
    window.show()
    return window.page


def test_nothing_scrolls_at_1280_by_800_and_at_1100_by_700_the_page_is_whole(window):
    page = shown(window, 1280, 800)
    page.add_all()
    assert page.verticalScrollBar().maximum() == 0
    page = shown(window, 1100, 700)
    assert page.map.geometry().left() > page.table.geometry().right()
    assert page.horizontalScrollBar().maximum() == 0


def test_below_1100_by_700_the_parts_stand_in_one_column_that_scrolls(window):
    page = shown(window, 900, 700)
    page.add_all()
    assert page.map.geometry().top() > page.table.geometry().bottom()
    assert page.verticalScrollBar().maximum() > 0
    page = shown(window, 1280, 690)
    assert page.verticalScrollBar().maximum() > 0


def test_nothing_moves_when_the_plots_join(window):
    page = shown(window, 1280, 800)
    before = {name: part.geometry() for name, part in page.parts().items()}
    page.add_all()
    assert {name: page.parts()[name].geometry() for name in before} == before


def test_a_part_that_gets_the_focus_is_brought_into_view(window, qtbot):
    page = shown(window, 800, 500)
    page.add_all()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    page.go_to("clock")
    assert page.verticalScrollBar().value() > 0
    page.go_to("facts")
    qtbot.waitUntil(lambda: page.verticalScrollBar().value() < 30)


def test_a_longer_sentence_moves_the_table_at_most_once(window):
    page = shown(window, 1280, 800)
    tops = []
    for rows in (68, 100, 68, 100):
        page.headline.heightForWidth = lambda _width, rows=rows: rows
        page.place()
        tops.append(page.table.geometry().top())
    assert tops[0] < tops[1] == tops[2] == tops[3]
