"""Pictures of the window from the command line."""

import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest
from PySide6.QtGui import QImage

from designer.recipe import file
from designer.terminal import run
from designer.terminal import snapshot as terminal
from designer.terminal.snapshot import Shot
from designer.window import demos, theme
from designer.window import snapshot as snapshots
from designer.window.application import Application
from designer.window.pages import PAGES
from designer.window.settings import Settings

ROOT = Path(__file__).parents[2]
DEMO = demos.folder() / f"{demos.first()}.toml"


def snapshot(*arguments, **environment):
    """Run the command as a person does, and return how it ended."""
    return subprocess.run(
        [sys.executable, "-m", "designer", "snapshot", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, **environment},
        timeout=120,
        check=False,
    )


def size(png):
    """Return width and height that a PNG file states."""
    content = png.read_bytes()
    assert content.startswith(b"\x89PNG\r\n\x1a\n")
    return struct.unpack(">II", content[16:24])


def drawn(png):
    """Return the bytes that a PNG file's lines are packed into."""
    content, at, found = png.read_bytes(), 8, b""
    while at < len(content):
        (length,) = struct.unpack(">I", content[at : at + 4])
        if content[at + 4 : at + 8] == b"IDAT":
            found += content[at + 8 : at + 8 + length]
        at += length + 12
    return zlib.decompress(found)


def test_it_draws_the_window_and_touches_nothing_of_the_maker(tmp_path):
    homes = {
        name: str(tmp_path / name.lower())
        for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME")
    }
    out = tmp_path / "page.png"
    done = snapshot(DEMO, out, **homes)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
    assert size(out) == (1280, 800)
    assert len(set(drawn(out))) > 100
    assert {path.name for path in tmp_path.rglob("*")} == {"page.png"}


@pytest.mark.parametrize(
    ("given", "wanted"), [("1100x700", (1100, 700)), ("1920x1200", (1920, 1200))]
)
def test_size_and_theme_are_as_asked(tmp_path, given, wanted):
    dark = tmp_path / "dark.png"
    assert snapshot(DEMO, dark, "--size", given, "--theme", "dark").returncode == 0
    assert size(dark) == wanted
    light = tmp_path / "light.png"
    assert snapshot(DEMO, light, "--size", given, "--page", "recipe").returncode == 0
    grounds = [QImage(str(png)).pixelColor(4, 40).name() for png in (light, dark)]
    assert grounds == [theme.LIGHT.ground, theme.DARK.ground]


def test_scale_makes_more_dots_of_the_same_window(tmp_path):
    out = tmp_path / "page.png"
    assert snapshot(DEMO, out, "--scale", "2", "--size", "1100x700").returncode == 0
    assert size(out) == (2200, 1400)


def test_the_same_recipe_gives_the_same_picture(tmp_path):
    for name in ("a.png", "b.png"):
        assert snapshot(DEMO, tmp_path / name).returncode == 0
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()


def test_an_empty_recipe_can_be_drawn_too(tmp_path):
    recipe = tmp_path / "empty.toml"
    recipe.write_text('format = 1\nname = "Nothing yet"\n[variants.1]\n', encoding="utf-8")
    done = snapshot(recipe, tmp_path / "page.png")
    assert (done.returncode, done.stderr) == (0, "")


def test_a_recipe_whose_map_alone_fails_is_drawn_without_waiting(qapp, monkeypatch):
    def fails(*_, **__):
        raise ValueError("no map")

    monkeypatch.setattr("designer.evaluation.dough_map.dough_map", fails)
    monkeypatch.setattr(snapshots, "_LONGEST", 20_000)
    window = Application(Settings(None)).show(file.read(DEMO))
    try:
        snapshots.wait(window)
        assert window.document.evaluation is not None
        assert window.document.dough_map is None
    finally:
        window.filing.discard()


def test_a_picture_that_cannot_be_written_is_told(tmp_path):
    done = snapshot(DEMO, tmp_path / "nowhere" / "page.png")
    assert done.returncode == 2
    assert "folder does not exist" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_recipe_that_cannot_be_read_is_told(tmp_path):
    done = snapshot(tmp_path / "no.toml", tmp_path / "page.png")
    assert done.returncode == 2
    assert "no.toml" in done.stderr
    assert len(done.stderr.splitlines()) == 1


class Screen:
    """Notes what it is to draw."""

    def __init__(self):
        self.shots = []

    def draw(self, shot):
        self.shots.append(shot)


def test_what_is_asked_for_reaches_what_draws():
    screen = Screen()
    assert run(["snapshot", "a.toml", "b.PNG"], screen) == 0
    typed = ["--size", "640X480", "--scale", "1.5", "--theme", "dark"]
    assert run(["snapshot", "a.toml", "b.png", *typed], screen) == 0
    assert screen.shots == [
        Shot("a.toml", "b.PNG"),
        Shot("a.toml", "b.png", "recipe", "dark", 640, 480, 1.5),
    ]


def test_every_page_of_the_window_can_be_drawn():
    assert tuple(page.name for page in PAGES) == terminal.PAGES
    screen = Screen()
    for page in terminal.PAGES:
        assert run(["snapshot", "a.toml", "b.png", "--page", page], screen) == 0
    assert [shot.page for shot in screen.shots] == list(terminal.PAGES)


@pytest.mark.parametrize(
    "typed",
    [
        ["a.toml", "b.jpg"],
        ["a.toml", ""],
        ["", "b.png"],
        ["a.toml", "b.png", "--size", "1280"],
        ["a.toml", "b.png", "--size", "100x100"],
        ["a.toml", "b.png", "--size", "99999x99999"],
        ["a.toml", "b.png", "--size", "7681x4320"],
        ["a.toml", "b.png", "--size", "-1280x800"],
        ["a.toml", "b.png", "--size", "9" * 10_000 + "x800"],
        ["a.toml", "b.png", "--scale", "0"],
        ["a.toml", "b.png", "--scale", "nan"],
        ["a.toml", "b.png", "--scale", "1e9"],
        ["a.toml", "b.png", "--scale", "-2"],
        ["a.toml", "b.png", "--scale", "4", "--size", "7680x4320"],
        ["a.toml", "b.png", "--theme", "pink"],
        ["a.toml", "b.png", "--page", "moon"],
        ["a.toml"],
    ],
)
def test_bad_input_is_one_sentence_and_draws_nothing(capsys, typed):
    screen = Screen()
    assert run(["snapshot", *typed], screen) == 2
    told = capsys.readouterr().err
    assert told.startswith("bar-dough: ")
    assert len(told.splitlines()) == 1
    assert len(told) < 300
    assert screen.shots == []


def test_without_a_screen_it_says_so(capsys):
    assert run(["snapshot", "a.toml", "b.png"]) == 2
    assert "bar-dough" in capsys.readouterr().err
