"""What this maker keeps for years, in one SQLite file: `Pantry`, `Logbook`, `Settings`."""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from designer.workshop.logbook import Logbook
    from designer.workshop.pantry import Pantry
    from designer.workshop.settings import Settings

__all__ = ["Logbook", "Pantry", "Settings"]


def __getattr__(name: str) -> object:
    """Import a name when it is asked for: most commands need no database."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(f"{__name__}.{name.lower()}"), name)
    globals()[name] = found
    return found
