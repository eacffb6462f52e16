"""The shipped tables of materials, parameters and ranges, checked at load."""

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
