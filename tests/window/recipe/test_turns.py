"""Numbers are painted first after a key, plots with the result, one after the other."""

import pytest
from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QWidget

from designer.window.recipe.turns import Turns


class Speaker(QObject):
    """Signals of a document."""

    changed, evaluated, failed = Signal(object), Signal(object), Signal(object)


class Painted(QObject):
    """Notes which widgets are painted, in order."""

    def __init__(self):
        super().__init__()
        self.order = []

    def eventFilter(self, watched, event):  # noqa: N802
        if event.type() == QEvent.Type.Paint:
            self.order.append(watched.objectName())
        return False


@pytest.fixture
def speaker(qapp):
    return Speaker()


@pytest.fixture
def plots(qtbot):
    made = [QWidget(objectName=name) for name in ("clock", "map")]
    for one in made:
        qtbot.addWidget(one)
        with qtbot.waitExposed(one):
            one.show()
    return made


@pytest.fixture
def painted(speaker, plots):
    speaker.turns = Turns(speaker, plots, speaker)
    watch = Painted()
    for plot in plots:
        plot.installEventFilter(watch)
    return watch


def test_a_plot_waits_for_the_result_of_a_key(qtbot, speaker, plots, painted):
    speaker.changed.emit(None)
    plots[1].update()
    qtbot.wait(20)
    assert painted.order == []
    speaker.evaluated.emit(None)
    qtbot.waitUntil(lambda: painted.order == ["clock", "map"])


def test_a_key_between_two_turns_comes_first(qtbot, speaker, plots, painted):
    speaker.changed.emit(None)
    speaker.evaluated.emit(None)
    qtbot.waitUntil(lambda: painted.order != [])
    speaker.changed.emit(None)
    before = len(painted.order)
    qtbot.wait(20)
    assert len(painted.order) == before
    speaker.failed.emit(None)
    qtbot.waitUntil(lambda: painted.order[before:] == ["clock", "map"])


def test_a_plot_that_slides_stands_still_for_a_moment_only(qtbot, speaker, plots, painted):
    speaker.changed.emit(None)
    qtbot.waitUntil(lambda: set(painted.order) == {"clock", "map"}, timeout=2000)
