"""The look at what Qt needs, before Qt is imported."""

import re
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from designer import __main__ as entry
from designer.terminal import run
from designer.window.start import LIBRARIES, WAYLAND, X11, screen_problem

ROOT = Path(__file__).parents[2]


def fresh(code, **environment):
    """Run code in a fresh interpreter and return what it printed."""
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
        env={"PATH": "/usr/bin:/bin", "HOME": "/nowhere", "LC_ALL": "C.UTF-8", **environment},
    )
    return done.stdout.strip()


def everything(_library):
    return True


def test_without_a_screen_it_says_so_in_one_sentence_and_how_to_go_on():
    problem = screen_problem({}, everything)
    assert "no screen" in problem
    assert "DISPLAY" in problem


def test_it_names_the_packages_that_are_missing_and_no_others():
    there = {*LIBRARIES, *X11} - {"libEGL.so.1", "libxcb-cursor.so.0"}
    problem = screen_problem({"DISPLAY": ":0"}, there.__contains__)
    assert '"sudo apt-get install libegl1 libxcb-cursor0"' in problem


def test_offscreen_needs_no_library_of_a_real_screen():
    there = set(LIBRARIES)
    assert screen_problem({"QT_QPA_PLATFORM": "offscreen"}, there.__contains__) == ""
    assert "apt-get" in screen_problem({"QT_QPA_PLATFORM": "xcb"}, there.__contains__)


def test_a_dead_display_is_named():
    problem = screen_problem({"DISPLAY": ":987"}, everything)
    assert '":987"' in problem
    assert "cannot be opened" in problem


def test_a_dead_wayland_screen_is_named_and_a_live_one_is_taken(tmp_path):
    environment = {"WAYLAND_DISPLAY": "wayland-7", "XDG_RUNTIME_DIR": str(tmp_path)}
    assert '"wayland-7"' in screen_problem(environment, everything)
    with socket.socket(socket.AF_UNIX) as screen:
        screen.bind(str(tmp_path / "wayland-7"))
        screen.listen()
        assert screen_problem(environment, everything) == ""
    there = {*LIBRARIES, *WAYLAND} - {"libwayland-cursor.so.0"}
    assert "libwayland-cursor0" in screen_problem(environment, there.__contains__)


@pytest.mark.parametrize("libraries", [LIBRARIES, X11, WAYLAND])
def test_every_library_has_a_package(libraries):
    for library, package in libraries.items():
        assert re.fullmatch(r"lib[\w.+-]+[.]so[.]\d+", library)
        assert re.fullmatch(r"lib[a-z0-9.+-]+", package)


def test_set_up_reads_the_same_list():
    told = fresh(
        "import runpy, ctypes; ctypes.CDLL = lambda name: (_ for _ in ()).throw(OSError());"
        "runpy.run_path('designer/window/start.py', run_name='__main__')"
    )
    assert told.split() == [*LIBRARIES.values(), *X11.values()]
    assert "python3 designer/window/start.py" in (ROOT / ".ci" / "setup").read_text("utf-8")


def test_the_look_imports_no_qt():
    assert fresh("import sys, designer.window.start; print('PySide6' in sys.modules)") == "False"


@pytest.mark.parametrize(
    "arguments",
    [["check", "demo_recipes/oat_bar.toml"], ["compare", "demo_recipes/three_oat_bars.toml"]],
    ids=["check", "compare"],
)
def test_a_command_of_the_terminal_imports_no_qt(arguments):
    told = fresh(
        f"import sys; sys.argv = ['bar-dough', *{arguments}]; from designer.__main__ import main\n"
        "code = main(); print(code, sorted({'PySide6', 'pyqtgraph'} & set(sys.modules)))"
    )
    assert told.splitlines()[-1] == "0 []"


@pytest.mark.parametrize("arguments", [[], ["demo_recipes/oat_bar.toml"]], ids=["none", "file"])
def test_the_window_on_no_screen_ends_with_one_sentence_and_without_qt(arguments):
    told = fresh(
        f"import sys; sys.argv = ['bar-dough', *{arguments}]; sys.stderr = sys.stdout\n"
        "from designer.__main__ import main\n"
        "code = main(); print(code, 'PySide6' in sys.modules)"
    )
    sentence, ended = told.splitlines()
    assert sentence.startswith("bar-dough: ")
    assert ended == "2 False"


class Screen:
    """Notes what it is asked for."""

    def __init__(self):
        self.asked = []

    def show(self, files):
        self.asked.append(files)
        return 0


def test_no_command_or_recipe_files_open_the_window():
    screen = Screen()
    assert run([], screen) == 0
    assert run(["a.toml", "b/C.TOML"], screen) == 0
    assert screen.asked == [[], ["a.toml", "b/C.TOML"]]


def test_a_command_opens_no_window(capsys):
    screen = Screen()
    assert run(["check", str(ROOT / "demo_recipes" / "oat_bar.toml")], screen) == 0
    assert run(["a.toml", "--json"], screen) == 2
    assert run(["chek", "a.toml"], screen) == 2
    assert run(["--version"], screen) == 0
    assert screen.asked == []
    capsys.readouterr()


def test_the_entry_hands_a_screen_to_the_command_line(monkeypatch):
    asked = []
    monkeypatch.setattr(sys, "argv", ["bar-dough"])
    monkeypatch.setattr(entry._Screen, "show", lambda _self, files: asked.append(files) or 0)
    assert entry.main() == 0
    assert asked == [[]]


def test_other_pages_are_imported_once_the_recipe_is_answered_but_not_made():
    told = fresh(
        "import sys\n"
        "from PySide6.QtCore import QTimer\n"
        "from designer.window.application import Application, qt\n"
        "from designer.window.pages import PAGES\n"
        "from designer.window.settings import Settings\n"
        "application = Application(Settings(None), collects=False)\n"
        "application.start(['demo_recipes/oat_bar.toml'])\n"
        "window = application.windows[0]\n"
        "others = [page.module for page in PAGES if page.module]\n"
        "def tell():\n"
        "    print(sorted(set(others) - set(sys.modules)), window.pages.count(), flush=True)\n"
        "    window.close()\n"
        "print(sorted(set(others) & set(sys.modules)), flush=True)\n"
        "window._idle.ready.connect(tell)\n"
        "QTimer.singleShot(60_000, window.close)\n"
        "qt().exec()\n",
        QT_QPA_PLATFORM="offscreen",
    )
    assert told.splitlines() == ["[]", "[] 1"]


def test_the_first_paint_waits_for_no_evaluation_no_plots_and_no_units():
    code = (
        "import sys; from designer.window.application import Application; "
        "late = ('pyqtgraph', 'pint', 'scipy', 'designer.evaluation', 'designer.laws', "
        "'designer.advice', 'designer.handbook.materials', 'sqlite3'); "
        "print(sorted(set(late) & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.strip() == "[]"
