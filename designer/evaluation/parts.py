"""What each ingredient has to do with a reading: its part of a sum, or what more of it does."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import CHARGES
from designer.evaluation.why import why
from designer.handbook import Liquid
from designer.vocabulary import Floats

__all__ = ["MORE", "SUMS", "Part", "parts"]

MORE = 0.1
"""The relative change that effects are told for: one tenth more of an ingredient."""

_SMALL = 5e-4

Drawn = Iterable[tuple[str, Floats]]


@dataclass(frozen=True)
class Part:
    """One ingredient's part of a reading, or its effect on it.

    Attributes
    ----------
    name : str
    value, low, high : float
        Median and 80 % interval; equal where the part is exact.
    """

    name: str
    value: float
    low: float
    high: float


def parts(result: Evaluation, variant: int, name: str) -> tuple[Part, ...]:
    """Return what the ingredients of a variant have to do with a reading, largest first.

    Parameters
    ----------
    name : str
        A reading of `SUMS`, of which each ingredient is told its part in SI; or "wetness" [1] or
        "firmness" [1], of which each is told the change, for firmness the relative one, that
        `MORE` of it makes while all else stays. No other reading has parts.

    Notes
    -----
    Sums hold whatever the model may say; effects are as sure as `why`.
    """
    if name in SUMS:
        drawn = SUMS[name](result, variant)
    elif name in ("wetness", "firmness"):
        drawn = _effects(result, variant, name)
    else:
        return ()
    named = [
        (material, np.broadcast_to(values, result.weights.shape)) for material, values in drawn
    ]
    if not named:
        return ()
    spread = result.spread(np.stack([values for _, values in named]))
    found = [
        Part(material, float(value), float(low), float(high))
        for (material, _), value, low, high in zip(
            named, spread.value, spread.low, spread.high, strict=True
        )
        if max(abs(value), abs(low), abs(high)) > _SMALL
    ]
    return tuple(sorted(found, key=lambda part: -abs(part.value)))


def _effects(result: Evaluation, variant: int, name: str) -> Drawn:
    for one in why(result, variant):
        yield (
            one.name,
            MORE * one.wetness if name == "wetness" else np.expm1(MORE * one.log_firmness),
        )


def _liquid_to_powder(result: Evaluation, variant: int) -> Drawn:
    mixture = result.mixture
    powder = mixture.powder_shares[variant].sum()
    if powder > 0:
        for one, share in zip(mixture.liquids, mixture.liquid_shares[variant], strict=True):
            yield one.name, np.array([share / powder])


def _melt(result: Evaluation, variant: int) -> Drawn:
    mixture = result.mixture
    for one, share in zip(mixture.melts, mixture.melt_shares[variant], strict=True):
        yield one.name, np.array([share])


def _melt_make_up(result: Evaluation, variant: int) -> Drawn:
    whole = float(result.mixture.melt_fraction[variant])
    for name, share in _melt(result, variant):
        if whole > 0:
            yield name, share / whole


def _surfactant_powder(result: Evaluation, variant: int) -> Drawn:
    mixture = result.mixture
    for one, share in zip(mixture.powders, mixture.powder_shares[variant], strict=True):
        if one.material_class == "surfactant_powder":
            yield one.name, np.array([share])


def _active_surfactant(result: Evaluation, variant: int) -> Drawn:
    sd = result.handbook.parameters["active_powder_sd"].si
    for one, share in result.mixture.solids_and_liquids(variant):
        if one.surfactant_charge not in CHARGES:
            continue
        if one.material_class in ("surfactant_powder", "liquid_surfactant"):
            own = one.active_rel_sd if isinstance(one, Liquid) else None
            scores = result.knowledge.scores(f"active {one.name}")
            yield (
                one.name,
                share * one.active_fraction * (1 + (sd if own is None else own) * scores),
            )


def _water(result: Evaluation, variant: int) -> Drawn:
    for one, share in result.mixture.solids_and_liquids(variant):
        yield one.name, np.array([share * result.handbook.water_parts(one)[0]])


SUMS: dict[str, Callable[[Evaluation, int], Drawn]] = {
    "liquid_to_powder": _liquid_to_powder,
    "melt_fraction": _melt,
    "melt_liquid_share": _melt_make_up,
    "surfactant_powder": _surfactant_powder,
    "active_surfactant": _active_surfactant,
    "water": _water,
}
"""Readings that are sums of parts; of the fat still liquid, what the melt is made of."""
