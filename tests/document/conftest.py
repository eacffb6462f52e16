"""Open documents without a window; what they evaluate can be replaced by a stand-in."""

import gc
import os
import shutil
import tempfile
import threading
from dataclasses import dataclass
from pathlib import Path

import pytest

from designer import handbook as handbooks
from designer.document import Document, recovery
from designer.evaluation import knowledge as knowledges
from designer.recipe import Recipe, file

DEMO = Path(__file__).parents[2] / "demo_recipes" / "oat_bar_sticky_and_mended.toml"
BETAINE = 10
"""Row of the demo recipe that the tests change."""


@pytest.fixture(autouse=True)
def garbage_waits():
    """Look for garbage between tests alone, where no worker could take a widget down."""
    gc.disable()
    yield
    gc.enable()


@pytest.fixture(scope="session")
def handbook():
    return handbooks.load()


@pytest.fixture(scope="session")
def knowledge():
    return knowledges.shipped()


@dataclass(frozen=True)
class Result:
    """What a stand-in gives for a recipe."""

    recipe: Recipe


class StandIn:
    """Evaluates nothing, counts, and waits at a gate that a test may close."""

    def __init__(self):
        self.gate = threading.Event()
        self.gate.set()
        self.begun = threading.Semaphore(0)
        self.asked, self.given = [], []
        self.error = None

    def __call__(self, recipe, *_, before=None):
        self.asked.append(recipe)
        self.given.append(before)
        self.begun.release()
        assert self.gate.wait(20)
        if self.error is not None:
            raise self.error
        return Result(recipe)


class MapStandIn(StandIn):
    """Shades nothing; gives up as soon as it is told to."""

    def __init__(self):
        super().__init__()
        self.stopped = []

    def __call__(self, result, variant, stop, before):
        super().__call__(result.recipe, before=before)
        self.stopped.append(stop())
        return None if stop() else Result(result.recipe)


@pytest.fixture
def evaluation(monkeypatch):
    stand_in = StandIn()
    monkeypatch.setattr("designer.evaluation.evaluate.evaluate", stand_in)
    monkeypatch.setattr(
        "designer.evaluation.evaluate.evaluate_knead",
        lambda recipe, *_, before=None: Result(recipe),
    )
    for name in ("prepare", "prepare_lines"):
        monkeypatch.setattr(f"designer.wording.told.{name}", lambda _: None)
    yield stand_in
    stand_in.gate.set()


@pytest.fixture
def shading(monkeypatch):
    stand_in = MapStandIn()
    monkeypatch.setattr("designer.evaluation.dough_map.dough_map", stand_in)
    yield stand_in
    stand_in.gate.set()


@pytest.fixture
def opening(qapp, handbook, knowledge):
    """Return a function that makes a document, closed at the end whatever happens."""
    opened = []

    def make(recipe=None, path=None, way=Document):
        recipe = file.read(DEMO) if recipe is None else recipe
        document = way(recipe, handbook, knowledge, *([path] if path is not None else []))
        opened.append(document)
        return document

    yield make
    for document in opened:
        document.close()
    shutil.rmtree(recovery.folder(), ignore_errors=True)


@pytest.fixture
def path(tmp_path):
    """A file that holds the demo recipe."""
    return Path(shutil.copy(DEMO, tmp_path / "oat.toml"))


@pytest.fixture
def document(opening, evaluation, shading, path):
    """A document of the file at `path`, its evaluations done by stand-ins."""
    return opening(path, way=Document.open)


@pytest.fixture
def open_folder():
    """A folder that others than the owner can reach, unlike those pytest makes."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


@pytest.fixture
def as_nobody():
    """Take away the rights of root, whom no permission stops."""
    is_root = os.geteuid() == 0
    if is_root:
        os.setegid(65534)
        os.seteuid(65534)
    yield
    if is_root:
        os.seteuid(0)
        os.setegid(0)


@pytest.fixture
def change():
    """Return a function that changes one figure of a document."""

    def changing(document, percent, gesture=-1):
        recipe = document.recipe.with_percent(BETAINE, "1", percent)
        document.edit(f"Undo betaine to {percent}", recipe, gesture)
        return recipe

    return changing
