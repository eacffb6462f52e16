"""The handbook: all tables as one frozen value, and how to find things in it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from designer.handbook.materials import (
    Component,
    Holder,
    HoldingRule,
    KnownGoodRange,
    Liquid,
    Melt,
    Part,
    Powder,
    Role,
    UptakeClass,
)
from designer.handbook.parameter import EVIDENCE, Parameter
from designer.handbook.tables import Columns, plain
from designer.handbook.water import water_parts
from designer.vocabulary import from_si

Material = Powder | Liquid | Melt
PracticeRecipe = tuple[tuple[str, str, float], ...]

_ORDER = {
    "melt": ("melts", "liquids", "powders"),
    "powder": ("powders", "liquids", "melts"),
    "liquid": ("liquids", "powders", "melts"),
    "last": ("liquids", "powders", "melts"),
}
"""By phase, where a name is looked up first: it decides the physics of an oil in two tables."""


@dataclass(frozen=True, eq=False)
class Handbook:
    """All shipped tables, in SI, checked. Compared and hashed as the one object it is.

    Attributes
    ----------
    powders, liquids, melts : mappings of common name to material
    components, holders, uptake_classes, ranges, parameters : mappings by name
    roles, compositions : mappings of (kind, common name)
    practice : the usual recipes, each a tuple of (phase, common name, percent)
    holding_rules : which part of a material holds water as what
    unknowns : mapping of kind to what stands in for a material no table holds
    columns : what every column of the tables may hold
    """

    powders: Mapping[str, Powder]
    liquids: Mapping[str, Liquid]
    melts: Mapping[str, Melt]
    components: Mapping[str, Component]
    holders: Mapping[str, Holder]
    uptake_classes: Mapping[str, UptakeClass]
    ranges: Mapping[str, KnownGoodRange]
    parameters: Mapping[str, Parameter]
    roles: Mapping[tuple[str, str], Role]
    compositions: Mapping[tuple[str, str], tuple[Part, ...]]
    practice: tuple[PracticeRecipe, ...]
    holding_rules: tuple[HoldingRule, ...]
    unknowns: Mapping[str, Material]
    columns: Columns

    def find(self, name: str, phase: str) -> Material | None:
        """Return the material of a common or INCI name in a phase, or None.

        Case and spaces do not matter. A name that stands in two tables means the melt table in
        phase "melt" and the liquid table elsewhere. An INCI name is taken only where one grade
        has it.
        """
        key = plain(name)
        for index in (self._by_name, self._by_inci):
            for table in _ORDER[phase]:
                found = index[table].get(key, ())
                if found:
                    return found[0] if len(found) == 1 else None
        return None

    def suggest(self, name: str) -> list[str]:
        """Return common names close to a misspelt one, best first: grades of an INCI name first."""
        from difflib import get_close_matches

        key = plain(name)
        names = {plain(one.name): one.name for one in self._materials}
        incis: dict[str, list[str]] = {}
        for one in self._materials:
            incis.setdefault(plain(one.inci), []).append(one.name)
        longer = [known for known in names if key and key in known]
        close = get_close_matches(key, names, 5, 0.6)
        meant = [names[known] for known in (*sorted(longer, key=len), *close)]
        inci = get_close_matches(key, incis, 2, 0.75)
        found = [*incis.get(key, ()), *meant, *(grade for one in inci for grade in incis[one])]
        return list(dict.fromkeys(found))[:8]

    def search(self, words: str) -> list[Material]:
        """Return the materials whose names, class or roles hold every one of the words."""
        wanted = plain(words).split()
        return [one for one, text in self._searched if all(word in text for word in wanted)]

    def water_parts(self, material: Material) -> tuple[float, dict[str, float]]:
        """Return the water fraction of a material, and its dry water holders by mass fraction."""
        return water_parts(material, self.holding_rules, self.holders)

    def gone(self, name: str) -> str:
        """Return the kind of a material that its maker took away, "" for any other name."""
        return ""

    def unknown(self, kind: str, name: str, inci: str) -> Material:
        """Return a middling, widely uncertain material of a kind under a maker's name."""
        return replace(self.unknowns[kind], name=name, inci=inci)

    def number(self, table: str, name: str, column: str) -> Parameter:
        """Return a number of a table with unit, uncertainty, source and evidence.

        Parameters
        ----------
        table : str
            "powders", "liquids", "melts", "components", "holders", "uptake_classes", "ranges".
        name : str
            Row.
        column : str
            As in the header of the table: "sfc_20" is the solid fat content at 20 °C.

        Raises
        ------
        KeyError
            There is no such table, row, column, or number in it.
        """
        row = getattr(self, table)[name]
        spec = self.columns[_FILES.get(table, table)][column]
        value = _cell(row, column)
        if value is None or value != value or spec.unit is None:
            raise KeyError(f"{table}: {name} has no number in {column}")
        unit = getattr(row, "unit", spec.unit)
        own = getattr(row, f"{column}_source", "")
        source, evidence = (
            f"{own or row.source}; {spec.source}",
            weaker(row.evidence, spec.evidence),
        )
        return Parameter(
            float(value if unit != spec.unit else from_si(value, unit)),
            unit,
            *_own_spread(row, column, spec.sd, spec.spread),
            source,
            evidence,
        )

    @cached_property
    def _materials(self) -> tuple[Material, ...]:
        return (*self.powders.values(), *self.liquids.values(), *self.melts.values())

    @cached_property
    def _searched(self) -> tuple[tuple[Material, str], ...]:
        """Each material with the words it is found by: a completion asks at every key."""
        found = []
        for material in self._materials:
            role = self.roles.get((kind_of(material), material.name))
            told = material.material_class.replace("_", " ")
            words = (material.name, material.inci, told, *(role.roles if role else ()))
            found.append((material, plain(" ".join(words))))
        return tuple(found)

    @cached_property
    def _by_name(self) -> dict[str, dict[str, list[Material]]]:
        return self._index("name")

    @cached_property
    def _by_inci(self) -> dict[str, dict[str, list[Material]]]:
        return self._index("inci")

    def _index(self, attribute: str) -> dict[str, dict[str, list[Material]]]:
        found: dict[str, dict[str, list[Material]]] = {}
        for table in ("powders", "liquids", "melts"):
            found[table] = {}
            for material in getattr(self, table).values():
                key = plain(getattr(material, attribute))
                found[table].setdefault(key, []).append(material)
        return found


_FILES = {"components": "melt_components", "ranges": "known_good_ranges"}
"""Attributes of the handbook whose table has another name."""


def kind_of(material: Material) -> str:
    """Return what a material is to the dough: "powder", "liquid" or "melt"."""
    if isinstance(material, Powder):
        return "powder"
    return "liquid" if isinstance(material, Liquid) else "melt"


def weaker(first: str, second: str) -> str:
    """Return the weaker of two marks of evidence."""
    return EVIDENCE[max(EVIDENCE.index(first), EVIDENCE.index(second))]


def _cell(row: object, column: str) -> float | None:
    """Return a number of a row in SI, or None."""
    solid = re.fullmatch(r"sfc_(\d+)", column)
    if solid and isinstance(row, Melt):
        return row.sfc.get(float(solid[1]) + 273.15)
    value = getattr(row, column, None)
    return float(value) if isinstance(value, int | float) else None


def _own_spread(row: object, column: str, sd: float, spread: str) -> tuple[float, str]:
    """Return the uncertainty a row states for a column, else the default of the column."""
    if isinstance(row, Powder) and column.startswith("uptake_") and column != "uptake_sd":
        return row.uptake_sd, "factor"
    if isinstance(row, Liquid) and column == "active_fraction" and row.active_rel_sd:
        return row.active_rel_sd, "factor"
    if isinstance(row, Component) and column == "melting_point":
        return row.sd_melting_point, "difference"
    return sd, spread
