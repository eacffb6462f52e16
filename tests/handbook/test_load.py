"""The shipped handbook as one value: complete, unchangeable, quick to load."""

import pickle
import time
from dataclasses import FrozenInstanceError

import pytest

from designer import handbook
from designer.errors import ReadableError
from designer.handbook import places

BOOK = handbook.load()


def test_loading_twice_gives_the_same_value():
    assert handbook.load() is BOOK


def test_the_folder_can_be_named():
    again = handbook.load(places.resources())
    assert again is not BOOK
    assert again.powders == BOOK.powders


def test_every_table_is_there():
    assert len(BOOK.powders) >= 318
    assert len(BOOK.liquids) >= 255
    assert len(BOOK.melts) >= 104
    assert len(BOOK.components) >= 87
    assert len(BOOK.holders) >= 70
    assert len(BOOK.ranges) >= 23
    assert len(BOOK.parameters) >= 90
    assert len(BOOK.practice) == 40
    assert len(BOOK.roles) == len(BOOK.powders) + len(BOOK.liquids) + len(BOOK.melts)
    assert BOOK.compositions.keys() == BOOK.roles.keys()


@pytest.mark.parametrize(
    "table",
    ["powders", "liquids", "melts", "components", "holders", "parameters", "roles", "ranges"],
)
def test_nothing_in_it_can_be_changed(table):
    mapping = getattr(BOOK, table)
    key, row = next(iter(mapping.items()))
    with pytest.raises(TypeError):
        mapping[key] = row
    with pytest.raises(FrozenInstanceError):
        row.source = "changed"
    with pytest.raises(FrozenInstanceError):
        BOOK.powders = {}


def test_it_crosses_processes():
    copy = pickle.loads(pickle.dumps(BOOK))
    assert copy.powders == BOOK.powders
    assert copy.melts["cocoa butter"].sfc == BOOK.melts["cocoa butter"].sfc
    assert copy.parameters == BOOK.parameters
    assert copy.find("cocoa butter", "melt") == BOOK.find("cocoa butter", "melt")


def test_it_can_be_a_key_of_a_cache():
    assert {BOOK: 1}[BOOK] == 1


def test_time_to_load_is_written_down(record_property):
    start = time.perf_counter()
    handbook.load(places.resources())
    record_property("handbook_load_milliseconds", 1000 * (time.perf_counter() - start))


def test_tables_inside_the_package_come_before_those_beside_it(tmp_path, monkeypatch):
    inside, beside = tmp_path / "designer" / "_resources", tmp_path / "resources"
    beside.mkdir()
    monkeypatch.setattr(places.importlib.resources, "files", lambda _: tmp_path / "designer")
    find = places.resources.__wrapped__
    assert find() == beside
    inside.mkdir(parents=True)
    assert find() == inside


def test_an_installation_without_tables_says_so(tmp_path, monkeypatch):
    monkeypatch.setattr(places.importlib.resources, "files", lambda _: tmp_path / "designer")
    with pytest.raises(ReadableError, match="Install the program again"):
        places.resources.__wrapped__()
