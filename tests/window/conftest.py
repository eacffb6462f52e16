"""An open document and a window, offscreen, with a home of their own."""

from pathlib import Path

import pytest

from designer import handbook as handbooks
from designer.document import Document
from designer.evaluation import knowledge as knowledges
from designer.recipe import file
from designer.window import fonts, theme

DEMOS = Path(__file__).parents[2] / "demo_recipes"


@pytest.fixture(scope="session")
def handbook():
    return handbooks.load()


@pytest.fixture(scope="session")
def knowledge():
    return knowledges.shipped()


@pytest.fixture(scope="session")
def qapp(qapp):
    fonts.load()
    qapp.setStyle("Fusion")
    qapp.setFont(fonts.font())
    theme.set_theme(qapp, theme.LIGHT)
    return qapp


@pytest.fixture
def open_recipe(qapp, qtbot, handbook, knowledge):
    """Return a function that opens a demo recipe, or a recipe given, and waits for its results."""
    opened = []

    def opening(source="oat_bar_sticky_and_mended"):
        recipe = file.read(DEMOS / f"{source}.toml") if isinstance(source, str) else source
        document = Document(recipe, handbook, knowledge)
        opened.append(document)
        qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
        return document

    yield opening
    for document in opened:
        document.close()


@pytest.fixture
def document(open_recipe):
    return open_recipe()
