"""The shipped demo recipes: inside an installed package, or beside it in a checkout."""

import importlib.resources
from pathlib import Path

from designer.recipe import Recipe, file

__all__ = ["demo", "demos", "first", "folder"]


def folder() -> Path | None:
    """Return the folder of the demo recipes; None if the program was installed without them."""
    here = Path(str(importlib.resources.files("designer")))
    places = (here / "_demo_recipes", here.parent / "demo_recipes")
    return next((place for place in places if place.is_dir()), None)


def first() -> str:
    """Return the name of what a first start opens, "" for none: the folder says which.

    It shows in a minute what the program is for.
    """
    found = folder()
    note = found / "first.txt" if found else None
    return note.read_text(encoding="utf-8").strip() if note is not None and note.is_file() else ""


def demos() -> list[str]:
    """Return the names of the demo recipes, the first one first."""
    found = folder()
    names = sorted(path.stem for path in found.glob("*.toml")) if found else []
    opened = first()
    return sorted(names, key=lambda name: name != opened)


def demo(name: str) -> Recipe:
    """Return a demo recipe, or an empty recipe where there is none of that name."""
    found = folder()
    path = found / f"{name}.toml" if found else None
    return file.read(path) if path is not None and path.is_file() else Recipe()
