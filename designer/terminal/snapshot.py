"""`bar-dough snapshot`: a picture of the window. What draws it is handed in: no screen here."""

import re
from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from pathlib import Path

from designer.errors import ReadableError
from designer.terminal import sources

__all__ = ["Shot"]

HELP = "draw a page of the window with a recipe into a PNG file"
EXAMPLES = """examples:
  bar-dough snapshot demo_recipes/oat_bar.toml oat_bar.png
  bar-dough snapshot my_bar.toml my_bar.png --size 1920x1200 --scale 2 --theme dark
"""

PAGES, THEMES = ("recipe", "bench", "label", "checks"), ("light", "dark")
SMALLEST, LARGEST = (320, 200), (7680, 4320)
_SCALES = (0.5, 4.0)
_MOST_DOTS = 7680 * 4320
"""Dots of the picture: size times scale, both ways."""


@dataclass(frozen=True)
class Shot:
    """What to draw.

    Attributes
    ----------
    file, out : the recipe, and the picture to write
    page, theme : one of `PAGES`, of `THEMES`
    width, height : of the window [logical px]
    scale : dots of the picture for each of them
    """

    file: str
    out: str
    page: str = "recipe"
    theme: str = "light"
    width: int = 1280
    height: int = 800
    scale: float = 1.0


def add_arguments(parser: ArgumentParser) -> None:
    """Add the command's arguments."""
    parser.add_argument("file", metavar="FILE", help="a recipe file (TOML)")
    parser.add_argument(
        "out", metavar="OUT.png", help="the picture to write; one there is replaced"
    )
    parser.add_argument("--page", metavar="PAGE", default="recipe", help=" or ".join(PAGES))
    parser.add_argument("--size", metavar="WxH", default="1280x800", help="of the window")
    parser.add_argument("--scale", metavar="N", default="1", help="dots per pixel, as 2")
    parser.add_argument("--theme", metavar="THEME", default="light", help="light or dark")


def run(arguments: Namespace) -> int:
    """Draw; return the exit code."""
    shot = _shot(arguments)
    if arguments.screen is None:
        raise ReadableError("snapshot", "Nothing here can draw.", "Run the command bar-dough.")
    arguments.screen.draw(shot)
    return 0


def _shot(arguments: Namespace) -> Shot:
    """Return what is asked for, checked before anything is drawn."""
    out = sources.named(arguments.out)
    if Path(out).suffix.lower() != ".png":
        raise ReadableError(out[:200], "The picture is a PNG file.", "Let its name end in .png.")
    width, height = _size(arguments.size)
    scale = _scale(arguments.scale)
    if width * scale * height * scale > _MOST_DOTS:
        raise ReadableError(
            "--scale", "The picture would be too large.", "Take a smaller size or scale."
        )
    return Shot(
        sources.named(arguments.file),
        out,
        _one_of("--page", arguments.page, PAGES),
        _one_of("--theme", arguments.theme, THEMES),
        width,
        height,
        scale,
    )


def _size(typed: str) -> tuple[int, int]:
    advice = f"Give width x height, from {SMALLEST[0]}x{SMALLEST[1]} to {LARGEST[0]}x{LARGEST[1]}."
    found = re.fullmatch(r"([0-9]{1,5})[x×]([0-9]{1,5})", typed.strip().lower())
    if found is None:
        raise ReadableError("--size", f'"{typed[:40]}" is no size.', advice)
    width, height = int(found[1]), int(found[2])
    fits = SMALLEST[0] <= width <= LARGEST[0] and SMALLEST[1] <= height <= LARGEST[1]
    if not fits:
        raise ReadableError("--size", f"A window of {typed[:40]} cannot be drawn.", advice)
    return width, height


def _scale(typed: str) -> float:
    if re.fullmatch(r"[0-9]{1,2}([.][0-9]{1,4})?", typed.strip()):
        scale = float(typed)
        if _SCALES[0] <= scale <= _SCALES[1]:
            return scale
    raise ReadableError("--scale", f'"{typed[:40]}" cannot be used.', "Give 0.5 to 4, as 2.")


def _one_of(name: str, typed: str, known: tuple[str, ...]) -> str:
    if typed not in known:
        raise ReadableError(name, f'There is no "{typed[:40]}".', f"Choose {' or '.join(known)}.")
    return typed
