"""A pantry and a logbook on one file in a folder of the test's own, on a fixed day."""

import pytest
from shop import TODAY

from designer import handbook
from designer.workshop import Logbook, Pantry
from designer.workshop.database import Database
from designer.workshop.places import store


@pytest.fixture
def stores(tmp_path):
    one = Database(store(tmp_path))
    yield one
    one.close()


@pytest.fixture
def pantry(stores):
    return Pantry(stores, handbook.load(), lambda: TODAY)


@pytest.fixture
def logbook(stores, tmp_path):
    return Logbook(stores, tmp_path, lambda: TODAY)
