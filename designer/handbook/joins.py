"""Checks across tables: what one table names stands in the other, and shares add up."""

from collections.abc import Iterable
from typing import NoReturn

from designer.errors import ReadableError
from designer.handbook.book import Handbook
from designer.handbook.materials import Liquid, Melt, Powder
from designer.handbook.tables import REPAIR

SUM_TOLERANCE = 1e-6
"""How far shares that make up a whole may miss 1."""

PERCENT_TOLERANCE = 0.06
"""How far a recipe printed in tenths of a percent may miss 100."""


def check(handbook: Handbook) -> None:
    """Raise unless the tables of a handbook agree with each other.

    Raises
    ------
    ReadableError
        Which table, row and column does not, and what to do.
    """
    for powder in handbook.powders.values():
        _check_powder(powder, handbook)
    for liquid in handbook.liquids.values():
        _check_liquid(liquid)
    for melt in handbook.melts.values():
        _check_melt(melt, handbook)
    _check_unknowns(handbook)
    _check_holders(handbook)
    _check_labels(handbook)
    _check_practice(handbook)


def _fail(table: str, row: str, column: str, problem: str) -> NoReturn:
    raise ReadableError(f'{table}.csv ("{row}"), column "{column}"', problem, REPAIR)


def _check_powder(powder: Powder, handbook: Handbook) -> None:
    if powder.material_class not in handbook.uptake_classes:
        _fail(
            "uptake_classes",
            powder.material_class,
            "name",
            f'The class of the powder "{powder.name}" is missing.',
        )
    if powder.active_fraction + powder.moisture_fraction > 1 + SUM_TOLERANCE:
        _fail("powders", powder.name, "moisture_fraction", "Active and moisture exceed the whole.")
    if powder.bulk_density > powder.true_density:
        _fail("powders", powder.name, "bulk_density", "A heap is denser than its grains.")


def _check_liquid(liquid: Liquid) -> None:
    total = (
        liquid.active_fraction
        + liquid.water_fraction
        + liquid.glycol_fraction
        + liquid.salt_fraction
        + liquid.oil_fraction
    )
    if abs(total - 1) > SUM_TOLERANCE:
        _fail("liquids", liquid.name, "water_fraction", f"The fractions sum to {total:g}, not 1.")


def _check_melt(melt: Melt, handbook: Handbook) -> None:
    for name, share in melt.components:
        if name not in handbook.components:
            _fail("melts", melt.name, "components", f'"{name}" is not in melt_components.csv.')
        if not 0 < share <= 1:
            _fail("melts", melt.name, "components", f"The share of {name} is {share:g}.")
    total = sum(share for _, share in melt.components)
    if abs(total - 1) > SUM_TOLERANCE:
        _fail("melts", melt.name, "components", f"The shares sum to {total:g}, not 1.")
    if melt.melting_low > melt.melting_high:
        _fail("melts", melt.name, "melting_low", "It lies above melting_high.")


def _check_unknowns(handbook: Handbook) -> None:
    for kind in ("powder", "liquid", "melt"):
        one = handbook.unknowns.get(kind)
        if isinstance(one, Powder):
            _check_powder(one, handbook)
        elif isinstance(one, Liquid):
            _check_liquid(one)
        elif isinstance(one, Melt):
            _check_melt(one, handbook)
        else:
            raise ReadableError("unknown.toml", f"[{kind}] is missing.", REPAIR)


_CONSTANTS = {
    "poly": ("molar_mass", "nu", "alpha", "beta", "rel_sd"),
    "salt": ("molar_mass", "pitzer_b0", "pitzer_b1", "pitzer_cphi", "saturation_activity"),
    "gab": ("gab_m0", "gab_c", "gab_k"),
    "none": (),
}
"""By model of a holder, the constants it needs."""


def _check_holders(handbook: Handbook) -> None:
    for holder in handbook.holders.values():
        for constant in _CONSTANTS[holder.model]:
            value = getattr(holder, constant)
            if value != value:
                _fail("holders", holder.name, constant, f'The model "{holder.model}" needs it.')
    for rule in handbook.holding_rules:
        if rule.holder not in ("", "inci") and rule.holder not in handbook.holders:
            _fail(
                "holding_rules",
                rule.material_class,
                "holder",
                f'"{rule.holder}" is not in holders.csv.',
            )


def _check_labels(handbook: Handbook) -> None:
    """Raise unless roles and compositions speak of every material and of no other."""
    known = {
        (kind, name)
        for kind, table in (
            ("powder", handbook.powders),
            ("liquid", handbook.liquids),
            ("melt", handbook.melts),
        )
        for name in table
    }
    for file, keys in (("roles", handbook.roles), ("composition", handbook.compositions)):
        _check_same(file, set(keys), known)


def _check_same(
    file: str, found: Iterable[tuple[str, str]], known: Iterable[tuple[str, str]]
) -> None:
    strange, missing = set(found) - set(known), set(known) - set(found)
    for kind, name in sorted(strange):
        _fail(file, name, "name", f"It is not in {kind}s.csv.")
    for kind, name in sorted(missing):
        _fail(file, name, "name", f"The row for this {kind} is missing.")


def _check_practice(handbook: Handbook) -> None:
    for number, recipe in enumerate(handbook.practice, 1):
        total = sum(percent for _, _, percent in recipe)
        if abs(total - 100) > PERCENT_TOLERANCE:
            _fail("practice_recipes", str(number), "percent", f"It sums to {total:g}, not 100.")
        for phase, name, _ in recipe:
            if handbook.find(name, phase) is None:
                _fail("practice_recipes", str(number), "name", f'"{name}" is in no material table.')
