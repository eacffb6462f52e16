"""An open document and a window, offscreen, with a home of their own."""

import gc
import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox

from designer import handbook as handbooks
from designer.document import Document
from designer.evaluation import knowledge as knowledges
from designer.recipe import file
from designer.window import fonts, theme
from designer.window.application import Application
from designer.window.main_window import MainWindow
from designer.window.settings import Settings

DEMOS = Path(__file__).parents[2] / "demo_recipes"


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
        while document.evaluation is None:  # to ask every few milliseconds slows who works it out
            qtbot.waitSignal(document.evaluated, timeout=20_000).wait()
        return document

    yield opening
    for document in opened:
        document.close()


@pytest.fixture
def document(open_recipe):
    return open_recipe()


@pytest.fixture
def settings(tmp_path):
    return Settings(tmp_path / "settings" / "window.ini")


@pytest.fixture
def application(qapp, settings):
    made = Application(settings)
    yield made
    for window in list(made.windows):
        window.filing.discard()
    settings.theme = "light"
    made.use_theme()


@pytest.fixture
def bar(tmp_path):
    path = tmp_path / "oat.toml"
    shutil.copy(DEMOS / "oat_bar.toml", path)
    return path


def in_use(qtbot, window):
    """Make a window the one in use, so that keys reach it."""
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    return window


@pytest.fixture
def window(application, bar, qtbot):
    application.start([bar])
    return in_use(qtbot, application.windows[0])


@pytest.fixture
def demo_window(document, qtbot):
    """The whole window of the demo, in use."""
    made = MainWindow(document)
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.complete()
    yield in_use(qtbot, made)
    made.filing.discard()


def change(window, percent=11.25, text="CAPB 30 % 10.50 → 11.25"):
    recipe = window.document.recipe
    at = [row.name for row in recipe.rows].index("CAPB 30 %")
    window.document.edit(text, recipe.with_percent(at, recipe.active.number, percent))


def question(window):
    return window.findChild(QMessageBox, "unsaved")


def answer(qtbot, window, words):
    qtbot.waitUntil(lambda: question(window) is not None and question(window).isVisible())
    box = question(window)
    key = next(one for one in box.buttons() if one.text().replace("&", "") == words)
    qtbot.mouseClick(key, Qt.MouseButton.LeftButton)
