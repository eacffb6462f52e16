"""How soon the window is there, what it takes, and how soon a key is answered.

Milliseconds are written down and decide nothing; ratios within one run do. Starts are compared by
the processor time they took, which other programs on the machine change less than the time of day.
"""

import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QObject, Qt

from designer import handbook
from designer.document import Document
from designer.evaluation import knowledge
from designer.recipe import file
from designer.window import demos
from designer.window.application import qt
from designer.window.main_window import MainWindow
from designer.window.recipe.table.lines import ROW

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.speed

GOALS = {"paint": 2.5, "plots": 4.5, "memory": 2.6}
"""Of a bare window's processor time until it can be used and until the plots are there, and of the
memory of one with numpy."""
SLACK = 1.15
"""Two starts of one program differ by as much on a busy machine."""

COMMON = """
import json, os, sys, time
begun = float(sys.argv[1])
def told():
    with open("/proc/self/status") as status:
        resident = next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))
    return {"cpu": time.process_time(), "ms": 1000 * (time.time() - begun), "mb": resident / 1024}
def end(found):
    print(json.dumps(found), flush=True)
    os._exit(0)
"""

BARE = """
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QMainWindow, QTableWidget
application = QApplication([])
application.setStyle("Fusion")
class Window(QMainWindow):
    def keyPressEvent(self, event):
        if event.key() == Qt.Key.Key_Escape:
            self.close()
    def paintEvent(self, event):
        super().paintEvent(event)
        end({"paint": told()})
window = Window()
for name in ("File", "Edit", "View", "Help"):
    window.menuBar().addMenu(name).addAction(name)
window.setCentralWidget(QTableWidget(20, 4))
window.resize(1280, 800)
window.show()
application.exec()
"""

OURS = """
import gc
gc.disable()  # as the entry of the program does
from PySide6.QtCore import QEvent, QObject, QTimer
from designer.window.application import Application, qt
from designer.window.settings import Settings
found = {}
application = Application(Settings(None), collects=True)
application.start([])
window = application.windows[0]
window.resize(1280, 800)
class Watch(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint and "paint" not in found:
            QTimer.singleShot(0, lambda: found.setdefault("paint", told()))
        return False
watch = Watch()
window.page.table.viewport().installEventFilter(watch)
def plots():
    found["plots"] = told()
window.completed.connect(plots)
def mapped(_):
    QTimer.singleShot(2500, lambda: end({**found, "rest": told()}))
window.document.mapped.connect(mapped)
qt().exec()
"""


def started(code, tmp_path):
    """Start a program and return what it told of itself."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment |= {
        "PYTHONPATH": str(ROOT),
        # Installed programs are compiled; so is this one after its first start.
        "PYTHONPYCACHEPREFIX": str(tmp_path / "compiled"),
        "XDG_DATA_HOME": str(tmp_path),
    }
    done = subprocess.run(
        [sys.executable, "-c", COMMON + code, repr(time.time())],
        capture_output=True,
        text=True,
        env=environment,
        check=True,
        timeout=120,
    )
    return json.loads(done.stdout.splitlines()[-1])


def test_the_window_starts_within_few_times_a_bare_one(tmp_path, record_property):
    programs = {"bare": BARE, "numpy": "import numpy\n" + BARE, "ours": OURS}
    runs = {name: [] for name in programs}
    for code in programs.values():
        started(code, tmp_path)
    for _ in range(4):
        for name, code in programs.items():
            runs[name].append(started(code, tmp_path))

    def least(name, at, what):
        return min(run[at][what] for run in runs[name])

    for name, at in (("bare", "paint"), ("numpy", "paint"), ("ours", "paint"), ("ours", "plots")):
        told = f"{least(name, at, 'ms'):.0f} ms, {least(name, at, 'mb'):.0f} MB"
        record_property(f"{name} {at}", told)
        print(f"{name} {at}: {told}")
    ratios = {
        at: least("ours", at, "cpu") / least("bare", "paint", "cpu") for at in ("paint", "plots")
    }
    ratios["memory"] = least("ours", "rest", "mb") / least("numpy", "paint", "mb")
    for name, ratio in ratios.items():
        record_property(f"{name} ratio", f"{ratio:.2f}")
        print(f"{name} ratio: {ratio:.2f}")
    for name, goal in GOALS.items():
        assert ratios[name] <= SLACK * goal, name


def unit():
    """Return the seconds of one numpy.exp over 3 x 512 x 60 doubles."""
    values = np.random.default_rng(1).random((3, 512, 60))
    times = []
    for _ in range(40):
        start = time.perf_counter()
        np.exp(values)
        times.append(time.perf_counter() - start)
    return min(times)


class Painted(QObject):
    """Notes when the readings were painted with other figures than before."""

    def __init__(self, page):
        super().__init__()
        self._readings = page.readings
        self.expect()
        page.readings.installEventFilter(self)
        for child in page.readings.findChildren(QObject):
            if child.isWidgetType():
                child.installEventFilter(self)

    def expect(self):
        """Wait for other figures than those shown now."""
        self.at, self._before = None, self._readings.columns

    def eventFilter(self, _watched, event):  # noqa: N802
        is_new = self._readings.columns is not self._before
        if event.type() == QEvent.Type.Paint and is_new and self.at is None:
            self.at = time.perf_counter()
        return False


@pytest.mark.parametrize("name", ["CAPB 30 %", "cocoa butter"], ids=["no fat", "fat"])
def test_a_key_is_answered_in_few_units(qapp, qtbot, record_property, name):
    """Up in a percent cell with three variants, until the readings are painted anew."""
    qt()
    recipe = file.read(demos.folder() / "three_oat_bars.toml")
    document = Document(recipe, handbook.load(), knowledge.shipped())
    window = MainWindow(document)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    window.complete()
    window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    table = window.page.table
    row = [one.name for one in recipe.rows].index(name)
    line = next(k for k, one in enumerate(table.lines.lines) if one.kind == ROW and one.row == row)
    table.focus_cell(line, table.currentIndex().column())
    window.page.go_to("table")
    painted, times = Painted(window.page), []
    for k in range(60):
        before = document.recipe
        painted.expect()
        start = time.perf_counter()
        qtbot.keyClick(table, Qt.Key.Key_Up if k % 20 < 10 else Qt.Key.Key_Down)
        assert document.recipe is not before
        qtbot.waitUntil(lambda: painted.at is not None, timeout=5000)
        times.append(painted.at - start)
        qtbot.wait(20)
    window.filing.discard()
    times = sorted(times[5:])
    median, most = statistics.median(times), times[int(0.99 * len(times))]
    one = unit()
    told = f"median {1000 * median:.1f} ms, p99 {1000 * most:.1f} ms, {median / one:.0f} units"
    record_property(name, told)
    print(f"{name}: {told}")
    # Other programs on the machine lengthen some waits many times: a good quarter must be quick.
    assert times[len(times) // 4] <= 150 * one
    assert most <= 2000 * one
