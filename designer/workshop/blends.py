"""A blend of materials of one kind as one material."""

from collections.abc import Sequence
from dataclasses import replace
from math import exp, log

from designer.handbook import Liquid, Material, Melt, Part, Powder, Role
from designer.handbook.frozen import Frozen

__all__ = ["blended", "blended_parts", "blended_role"]


def blended(parts: Sequence[tuple[Material, float]]) -> Material:
    """Return a blend; shares [1] sum to 1, all parts are of one kind.

    Notes
    -----
    By mass: fractions, uptakes, heat. By volume: densities. Viscosity by its logarithm (Arrhenius'
    rule for mixtures). A blend of fats has their components, so that it melts as they do together.
    What is no number is that of the largest part; of a surfactant, of the one that brings most.
    """
    powders = [(one, share) for one, share in parts if isinstance(one, Powder)]
    liquids = [(one, share) for one, share in parts if isinstance(one, Liquid)]
    if powders:
        return _powder(powders)
    if liquids:
        return _liquid(liquids)
    return _melt([(one, share) for one, share in parts if isinstance(one, Melt)])


_Powders = Sequence[tuple[Powder, float]]
_Liquids = Sequence[tuple[Liquid, float]]


def _source(parts: Sequence[tuple[Material, float]]) -> str:
    told = ", ".join(f"{100 * share:g} % {one.name}" for one, share in parts)
    return f"blend of {told}"


def _inci(parts: Sequence[tuple[Material, float]]) -> str:
    ordered = sorted(parts, key=lambda part: -part[1])
    names = [n.strip() for one, _ in ordered for n in one.inci.split("(and)") if n.strip()]
    return " (and) ".join(dict.fromkeys(names))


def _mean(parts: Sequence[tuple[Material, float]], field: str) -> float:
    return float(sum(getattr(one, field) * share for one, share in parts))


def _by_volume(parts: Sequence[tuple[Material, float]], field: str) -> float:
    return float(1 / sum(share / getattr(one, field) for one, share in parts))


def _powder(parts: _Powders) -> Powder:
    largest = max(parts, key=lambda part: part[1])[0]
    actives = [part for part in parts if part[0].surfactant_charge]
    surfactant = max(actives, key=lambda p: p[0].active_fraction * p[1])[0] if actives else None
    uptake = _mean(parts, "uptake_polar")
    spread = sum((one.uptake_polar * one.uptake_sd * share) ** 2 for one, share in parts) ** 0.5
    hazards = [one.dust_hazard for one, _ in parts]
    worst = next((h for h in ("irritant", "nuisance") if h in hazards), "none")
    return replace(
        largest,
        inci=_inci(parts),
        active_fraction=_mean(actives, "active_fraction") if actives else 0.0,
        moisture_fraction=_mean(parts, "moisture_fraction"),
        bulk_density=_by_volume(parts, "bulk_density"),
        true_density=_by_volume(parts, "true_density"),
        uptake_polar=uptake,
        uptake_oil=_mean(parts, "uptake_oil"),
        uptake_sd=spread / uptake,
        solubility=_mean(parts, "solubility"),
        dust_hazard=worst,
        surfactant_charge=surfactant.surfactant_charge if surfactant else "",
        charge_number=surfactant.charge_number if surfactant else None,
        molar_mass=surfactant.molar_mass if surfactant else None,
        source=_source(parts),
        evidence="estimate",
        note="",
    )


def _liquid(parts: _Liquids) -> Liquid:
    largest = max(parts, key=lambda part: part[1])[0]
    actives = [part for part in parts if part[0].surfactant_charge]
    surfactant = max(actives, key=lambda p: p[0].active_fraction * p[1])[0] if actives else None
    active = _mean(parts, "active_fraction")
    spread = sum((one.active_fraction * (one.active_rel_sd or 0.0) * w) ** 2 for one, w in parts)
    watery = [part for part in parts if part[0].ph is not None]
    return replace(
        largest,
        inci=_inci(parts),
        active_fraction=active,
        water_fraction=_mean(parts, "water_fraction"),
        glycol_fraction=_mean(parts, "glycol_fraction"),
        salt_fraction=_mean(parts, "salt_fraction"),
        oil_fraction=_mean(parts, "oil_fraction"),
        active_rel_sd=spread**0.5 / active if active > 0 and spread > 0 else None,
        surfactant_charge=surfactant.surfactant_charge if surfactant else "",
        charge_number=surfactant.charge_number if surfactant else None,
        molar_mass=surfactant.molar_mass if surfactant else None,
        density=_by_volume(parts, "density"),
        viscosity=exp(sum(share * log(one.viscosity) for one, share in parts)),
        # No rule tells the pH of a blend without its acids: that of the largest is a placeholder.
        ph=max(watery, key=lambda part: part[1])[0].ph if watery else None,
        tack_weight=_mean(parts, "tack_weight"),
        source=_source(parts),
        evidence="estimate",
        note="",
    )


def _melt(parts: Sequence[tuple[Melt, float]]) -> Melt:
    largest = max(parts, key=lambda part: part[1])[0]
    components: dict[str, float] = {}
    for one, share in parts:
        for name, fraction in one.components:
            components[name] = components.get(name, 0.0) + fraction * share
    return replace(
        largest,
        inci=_inci(parts),
        components=tuple(components.items()),
        density=_by_volume(parts, "density"),
        heat_capacity=_mean(parts, "heat_capacity"),
        melting_low=min(one.melting_low for one, _ in parts),
        melting_high=max(one.melting_high for one, _ in parts),
        latent=_mean(parts, "latent"),
        sfc=Frozen({}),
        source=_source(parts),
        evidence="estimate",
        note="",
    )


def blended_parts(parts: Sequence[tuple[tuple[Part, ...], float]]) -> tuple[Part, ...]:
    """Return the ingredients of a blend: each once, its shares added up."""
    found: dict[tuple[str, int, str], Part] = {}
    for some, share in parts:
        for one in some:
            key = (one.component, one.level, one.parent)
            scaled = replace(
                one, low=one.low * share, typical=one.typical * share, high=one.high * share
            )
            before = found.get(key)
            if before is not None:
                scaled = replace(
                    scaled,
                    low=before.low + scaled.low,
                    typical=before.typical + scaled.typical,
                    high=min(before.high + scaled.high, 1.0),
                )
            found[key] = scaled
    return tuple(found.values())


def blended_role(unknown: Role, parts: Sequence[tuple[Role | None, float]]) -> Role:
    """Return the role of a blend: the weakest word of its parts holds."""
    roles = [role or unknown for role, _ in sorted(parts, key=lambda part: -part[1])]
    vegan = [role.vegan for role in roles]
    allergens = dict.fromkeys(role.allergen for role in roles if role.allergen)
    return replace(
        unknown,
        roles=tuple(dict.fromkeys(word for role in roles for word in role.roles)),
        vegan="no" if "no" in vegan else "depends" if "depends" in vegan else "yes",
        palm="yes" if any(role.palm == "yes" for role in roles) else "no",
        sulfate_free="no" if any(role.sulfate_free == "no" for role in roles) else "yes",
        allergen="; ".join(allergens),
        source="blend: the weakest word of its parts holds",
    )
