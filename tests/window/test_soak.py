"""A long session: memory does not grow, and every step can be taken back."""

import ctypes
import gc

import pytest
from PySide6.QtCore import QEvent, QEventLoop
from PySide6.QtWidgets import QApplication, QMenu

from designer.recipe import QS
from designer.window import demos
from designer.window.application import Application
from designer.window.settings import Settings


def resident():
    """Return the memory of this process [MB]."""
    gc.collect()
    if (trim := getattr(ctypes.CDLL(None), "malloc_trim", None)) is not None:
        trim(0)  # what the C library keeps in store is no growth
    with open("/proc/self/status", encoding="ascii") as status:
        line = next(line for line in status if line.startswith("VmRSS"))
    return int(line.split()[1]) / 1024


@pytest.fixture
def window(demo_window):
    return demo_window


def ours():
    """Return all widgets but the menus that pyqtgraph makes for each plot and never shows."""
    return [one for one in QApplication.allWidgets() if type(one) is not QMenu]


def edited(document, step):
    """Return the recipe after one more change: figures, names, order, variants."""
    recipe = document.recipe
    figures = [
        k for k, row in enumerate(recipe.rows) if row.percents.get(recipe.active.number) is not QS
    ]
    row = figures[step % len(figures)]
    kind = step % 10
    if kind == 7:
        return "Move", recipe.move_row(0, len(recipe.rows) - 1)
    if kind == 8:
        other = next(number for number in recipe.numbers if number != recipe.active.number)
        return "Use", recipe.use_variant(other)
    if kind == 9:
        return "Rename", recipe.with_name(f"Bar {step}")
    percent = round(1 + (step * 0.37) % 9, 2)
    return "Figure", recipe.with_percent(row, recipe.active.number, percent)


def work(qtbot, document, first, count):
    """Edit so often; wait for a result every fifth time, go back and forth every tenth."""
    for step in range(first, first + count):
        text, recipe = edited(document, step)
        document.edit(text, recipe)
        if step % 5 == 0:
            qtbot.waitUntil(lambda: not document.is_working, timeout=20_000)
        if step % 10 == 0:
            document.undo_stack.undo()
            document.undo_stack.redo()
        QApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 5)
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def grown(qtbot, window, edits):
    """Return by how much memory grew [MB] over so many edits, after as many that fill caches."""
    document = window.document
    work(qtbot, document, 0, edits)
    before = resident()
    work(qtbot, document, edits, edits)
    return resident() - before


def test_300_edits_leave_memory_as_it_was(window, qtbot, record_property):
    growth = grown(qtbot, window, 150)
    record_property("growth", f"{growth:.1f} MB in 150 edits")
    assert growth < 20  # some caches are still filling then


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_3000_edits_leave_memory_as_it_was(window, qtbot, record_property):
    growth = grown(qtbot, window, 1500)
    record_property("growth", f"{growth:.1f} MB in 1500 edits")
    assert growth < 10
    # What is kept is the way back, all of it.
    stack = window.document.undo_stack
    while stack.canUndo():
        stack.undo()
    assert window.document.is_saved


def test_windows_that_were_closed_leave_nothing_behind(qapp, qtbot, record_property):
    application = Application(Settings(None))

    def once():
        window = application.open_demo(demos.first())
        window.complete()
        # With the advice: the blends it tries are kept, up to a number, for all windows.
        qtbot.waitUntil(lambda: window.document.dough_map is not None, timeout=20_000)
        qtbot.waitUntil(lambda: not window.document.advisor.is_busy, timeout=20_000)
        window.filing.discard()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        gc.collect()  # as the program does, every few seconds

    for _ in range(3):
        once()
    before, widgets = resident(), len(ours())
    for _ in range(8):
        once()
    growth = resident() - before
    record_property("growth", f"{growth:.1f} MB in 8 windows")
    print("growth", growth)
    assert len(ours()) <= widgets
    assert growth < 15
