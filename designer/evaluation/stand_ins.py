"""What stands in for an ingredient the handbook does not know, or knows under another heading.

An unknown ingredient is taken as the middle of its kind: every number is the median (for a melt
material's make-up, the mean) over the handbook's own rows of that kind, and is widely uncertain.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import lru_cache
from statistics import median
from typing import Any

from designer.handbook import Handbook, Liquid, Melt, Powder

Material = Powder | Liquid | Melt

_SOURCE = "not in the handbook: the middle of its kind stands in"


def heated_oil(oil: Liquid, handbook: Handbook) -> Melt:
    """Return an oil that only the liquids' table knows as part of the melt: it never sets."""
    heat = handbook.parameters["cp_oil"].si
    typical = _middle_melt(handbook)
    return replace(
        typical,
        name=oil.name,
        inci=oil.inci,
        material_class="oil",
        components=(("TAG_LIQ", 1.0),),
        density=oil.density,
        heat_capacity=heat,
        source=oil.source,
        evidence=oil.evidence,
    )


def unknown(name: str, inci: str, kind: str, handbook: Handbook) -> Material:
    """Return a typical material of a kind, under the maker's name."""
    kinds: dict[str, Callable[[Handbook], Any]] = {
        "powder": _middle_powder,
        "liquid": _middle_liquid,
        "melt": _middle_melt,
    }
    middle = kinds[kind]
    found: Material = replace(middle(handbook), name=name, inci=inci)
    return found


def _medians(rows: Iterable[Material], names: Iterable[str]) -> dict[str, Any]:
    rows = list(rows)
    return {name: float(median(getattr(row, name) for row in rows)) for name in names}


@lru_cache(maxsize=4)
def _middle_powder(handbook: Handbook) -> Powder:
    # The slower half of the classes is the cautious guess for something never rubbed out.
    rows = [one for one in handbook.powders.values() if one.material_class == "flour"]
    middle = _medians(
        handbook.powders.values(),
        ("moisture_fraction", "bulk_density", "true_density", "uptake_polar", "uptake_oil"),
    )
    return replace(
        rows[0],
        **middle,
        material_class="flour",
        active_fraction=0.0,
        uptake_sd=handbook.parameters["unknown_uptake_sd"].si,
        solubility=0.0,
        dust_hazard="nuisance",
        source=_SOURCE,
        evidence="estimate",
        note="",
    )


@lru_cache(maxsize=4)
def _middle_liquid(handbook: Handbook) -> Liquid:
    watery = [one for one in handbook.liquids.values() if one.water_fraction > 0.3]
    middle = _medians(watery, ("water_fraction", "density", "tack_weight", "viscosity"))
    return replace(
        watery[0],
        **middle,
        material_class="active_solution",
        active_fraction=1 - middle["water_fraction"],
        glycol_fraction=0.0,
        salt_fraction=0.0,
        oil_fraction=0.0,
        surfactant_charge="none",
        ph=None,
        source=_SOURCE,
        evidence="estimate",
        note="",
    )


@lru_cache(maxsize=4)
def _middle_melt(handbook: Handbook) -> Melt:
    butters = [one for one in handbook.melts.values() if one.material_class == "butter"]
    parts: dict[str, float] = {}
    for butter in butters:
        for component, fraction in butter.components:
            parts[component] = parts.get(component, 0.0) + fraction / len(butters)
    middle = _medians(
        butters, ("density", "heat_capacity", "melting_low", "melting_high", "latent")
    )
    return replace(
        butters[0],
        **middle,
        components=tuple(sorted(parts.items())),
        sfc={},
        source=_SOURCE,
        evidence="estimate",
        note="",
    )
