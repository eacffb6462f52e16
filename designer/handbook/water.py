"""What holds water in a material: its water, and the dry holders it brings into the dough."""

from collections.abc import Mapping, Sequence

from designer.handbook.materials import Holder, HoldingRule, Liquid, Melt, Powder


def water_parts(
    material: Powder | Liquid | Melt,
    rules: Sequence[HoldingRule],
    holders: Mapping[str, Holder],
) -> tuple[float, dict[str, float]]:
    """Return the water fraction of a material, and its dry holders by mass fraction."""
    if isinstance(material, Melt):
        return 0.0, {}
    if isinstance(material, Powder):
        water, kind = material.moisture_fraction, "powder"
        parts = {"dry": 1 - material.moisture_fraction}
    else:
        water, kind = material.water_fraction, "liquid"
        parts = {
            "active": material.active_fraction,
            "salt": material.salt_fraction,
            "glycol": material.glycol_fraction,
        }
    found: dict[str, float] = {}
    for part, fraction in parts.items():
        rule = _rule(material, kind, part, rules) if fraction > 0 else None
        name = _holder(rule, material.inci, holders) if rule else ""
        if rule and name and holders[name].model != "none":
            found[name] = found.get(name, 0.0) + fraction * rule.share
    return water, found


def _rule(
    material: Powder | Liquid, kind: str, part: str, rules: Sequence[HoldingRule]
) -> HoldingRule | None:
    """Return the first rule for a part of a material."""
    inci = material.inci.casefold()
    for rule in rules:
        if (
            rule.kind == kind
            and rule.part == part
            and rule.material_class == material.material_class
            and rule.charge in ("", material.surfactant_charge)
            and (not rule.inci or any(piece in inci for piece in rule.inci))
        ):
            return rule
    return None


def _holder(rule: HoldingRule, inci: str, holders: Mapping[str, Holder]) -> str:
    """Return the holder a rule names, or the first substance of the INCI name that is one."""
    if rule.holder != "inci":
        return rule.holder
    return next((one for one in inci.split(" (and) ") if one in holders), "")
