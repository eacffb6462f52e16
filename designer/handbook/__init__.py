"""The shipped tables of materials, parameters and ranges, checked at load."""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from designer.handbook.book import Handbook, Material, kind_of
    from designer.handbook.loading import load
    from designer.handbook.materials import (
        Component,
        Holder,
        KnownGoodRange,
        Liquid,
        Melt,
        Part,
        Powder,
        Role,
        UptakeClass,
    )
    from designer.handbook.parameter import EVIDENCE, Parameter

__all__ = [
    "EVIDENCE",
    "Component",
    "Handbook",
    "Holder",
    "KnownGoodRange",
    "Liquid",
    "Material",
    "Melt",
    "Parameter",
    "Part",
    "Powder",
    "Role",
    "UptakeClass",
    "kind_of",
    "load",
]

_ROOMS = {
    "book": ("Handbook", "Material", "kind_of"),
    "loading": ("load",),
    "parameter": ("EVIDENCE", "Parameter"),
}


def __getattr__(name: str) -> object:
    """Import a name when it is asked for: a window names the handbook before it needs it."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    room = next((room for room, names in _ROOMS.items() if name in names), "materials")
    found = getattr(import_module(f"{__name__}.{room}"), name)
    globals()[name] = found
    return found
