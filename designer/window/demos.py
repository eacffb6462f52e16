"""The shipped demo recipes: inside an installed package, or beside it in a checkout."""

import importlib.resources
from pathlib import Path

from designer.recipe import Recipe, file

__all__ = ["FIRST", "demo", "demos", "folder"]

FIRST = "oat_bar_sticky_and_mended"
"""What a first start opens: it shows in a minute what the program is for."""


def folder() -> Path | None:
    """Return the folder of the demo recipes; None if the program was installed without them."""
    here = Path(str(importlib.resources.files("designer")))
    places = (here / "_demo_recipes", here.parent / "demo_recipes")
    return next((place for place in places if place.is_dir()), None)


def demos() -> list[str]:
    """Return the names of the demo recipes, the first one first."""
    found = folder()
    names = sorted(path.stem for path in found.glob("*.toml")) if found else []
    return sorted(names, key=lambda name: name != FIRST)


def demo(name: str) -> Recipe:
    """Return a demo recipe, or an empty recipe where there is none of that name."""
    found = folder()
    path = found / f"{name}.toml" if found else None
    return file.read(path) if path is not None and path.is_file() else Recipe()
