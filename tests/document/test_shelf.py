"""The window's handbook: with what the maker keeps, and without it where that cannot be read."""

import pytest

from designer import handbook
from designer.document.shelf import Shelf
from designer.workshop import Pantry, places, properties
from designer.workshop.database import Database


@pytest.fixture(autouse=True)
def shop(tmp_path, monkeypatch):
    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path))


def test_the_window_uses_what_is_kept(qtbot):
    stores = Database(places.store())
    pantry = Pantry(stores, handbook.load())
    pantry.put("white clay", properties.named("uptake oil", "powder"), 0.41, "measured")
    stores.close()
    shelf = Shelf()
    with qtbot.waitSignal(shelf.filled):
        shelf.fill()
    assert shelf.handbook.powders["white clay"].uptake_oil == 0.41
    assert shelf.problem is None


def test_a_damaged_pantry_keeps_no_window_from_opening(qtbot):
    places.store().write_bytes(b"no database " * 100)
    shelf = Shelf()
    with qtbot.waitSignal(shelf.filled):
        shelf.fill()
    assert shelf.handbook is handbook.load()
    assert "damaged" in str(shelf.problem)
