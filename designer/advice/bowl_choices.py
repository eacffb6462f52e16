"""What may be added to a dough in the bowl, and how much of it would be tried."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from designer.advice.bowl_past import InBowl, Past, material_of
from designer.advice.evidence import Felt, Finding
from designer.evaluation.dough import Dough, demand_volumes
from designer.evaluation.draws import dough_draws, uptake_factors
from designer.evaluation.knowledge import Knowledge
from designer.evaluation.mixture import mix
from designer.evaluation.spread import percentiles
from designer.handbook import Handbook, Liquid, Powder
from designer.laws import rescue
from designer.recipe import resolve
from designer.vocabulary import Floats

__all__ = ["Choice", "Refused", "choices", "doses", "is_never", "room", "weighable"]

MOST = 0.12
"""Largest addition that is offered, per mass of dough [1]; own choice."""

_TRIED = 8
"""Amounts tried of each."""

_POWDERS = ("surfactant_powder", "starch", "clay", "mineral", "cellulose", "flour")
_POWDER_ROLES = {"filler/absorbent", "primary cleanser", "secondary cleanser"}
_LIQUIDS = ("liquid_surfactant", "humectant", "water", "oil")
_NOT_MORE = {
    "preservative",
    "scent",
    "colour",
    "active",
    "acidity regulator",
    "chelant",
    "antioxidant",
    "conditioner cationic",
}
"""Roles of which no more is put in to mend a dough: they are dosed for what they do."""

_DISSOLVES = 0.25
"""Share that dissolves [1] from which a powder may make a dough wetter."""


@dataclass(frozen=True)
class Choice:
    """A material that may be added.

    Attributes
    ----------
    name : str
        As the recipe calls it, or the handbook.
    phase : "powder" | "liquid"
    material : Powder or Liquid
    present : float [1]
        Its share of the dough now.
    """

    name: str
    phase: str
    material: Powder | Liquid
    present: float

    @property
    def leads(self) -> str:
        """Where it leads a dough: "drier" or "softer"."""
        return "drier" if isinstance(self.material, Powder) else "softer"

    @property
    def preparation(self) -> tuple[str, ...]:
        """How it is brought into a running dough, in the order of work."""
        if not isinstance(self.material, Powder):
            return ("drizzle",)
        return ("mask", "sieve", "sprinkle")


@dataclass(frozen=True)
class Refused:
    """A material that was asked for and would not help.

    Attributes
    ----------
    name : str
    code : "softer" | "drier" | "full" | "dissolves" | "dosed"
        It leads the wrong way: a dough that is too soft would be softer, one too dry drier; its
        usual range is full; it dissolves; it is dosed for another purpose.
    """

    name: str
    code: str


def is_never(choice: Choice, found: Finding | None) -> bool:
    """Return whether the hands rule a material out, whatever the draws make likely."""
    if not isinstance(found, Felt):
        return False
    return found.state in (("crumbly", "stiff") if choice.leads == "drier" else ("sticky", "slack"))


def choices(question: InBowl, past: Past) -> tuple[tuple[Choice, ...], tuple[Refused, ...]]:
    """Return what may be added: liquids and powders of the recipe, and what is at hand."""
    found: dict[str, Choice] = {}
    refused = []
    for name, phase, material in _in_recipe(question, past.handbook):
        if _may(material, past.handbook):
            found.setdefault(material.name, Choice(name, phase, material, _share(material, past)))
    for name in question.at_hand:
        material = _at_hand(name, past.handbook)
        if material.name in found:
            continue
        if why := _against(material, past.handbook):
            refused.append(Refused(material.name, why))
            continue
        phase = "powder" if isinstance(material, Powder) else "liquid"
        found[material.name] = Choice(material.name, phase, material, _share(material, past))
    return tuple(found.values()), tuple(refused)


def _in_recipe(question: InBowl, handbook: Handbook) -> Iterator[tuple[str, str, Powder | Liquid]]:
    """Yield the rows that are in the dough and may be moved: name, phase, material."""
    recipe = question.recipe
    mixture = mix(recipe, resolve(recipe), handbook)
    number = recipe.numbers[question.variant]
    for row, (kind, index) in zip(recipe.rows, mixture.place, strict=True):
        if number in row.held or kind == "melt" or row.name in mixture.unknown:
            continue
        powder = kind == "powder"
        shares = mixture.powder_shares if powder else mixture.liquid_shares
        if shares[question.variant, index] > 0:
            material = mixture.powders[index] if powder else mixture.liquids[index]
            yield row.name, kind, material


def _at_hand(name: str, handbook: Handbook) -> Powder | Liquid:
    for phase in ("powder", "liquid"):
        found = handbook.find(name, phase)
        if isinstance(found, Powder | Liquid):
            return found
    return material_of(name, "powder", handbook)


def _may(material: Powder | Liquid, handbook: Handbook) -> bool:
    return not _against(material, handbook)


def _against(material: Powder | Liquid, handbook: Handbook) -> str:
    """Return why a material is not worked into a running dough, or ""."""
    is_powder = isinstance(material, Powder)
    role = handbook.roles.get(("powder" if is_powder else "liquid", material.name))
    roles = set(role.roles) if role else set()
    if isinstance(material, Powder):
        if material.solubility >= _DISSOLVES:
            return "dissolves"
        fits = material.material_class in _POWDERS and bool(roles & _POWDER_ROLES)
        return "" if fits and not roles & _NOT_MORE else "dosed"
    fits = material.material_class in _LIQUIDS
    return "" if fits and not roles & _NOT_MORE else "dosed"


def _share(material: Powder | Liquid, past: Past) -> float:
    """Return the share of a material of what is in the bowl now."""
    mixture = past.now.mixture
    return sum(share for one, share in mixture.solids_and_liquids(0) if one.name == material.name)


def doses(choice: Choice, now: Dough, past: Past, knowledge: Knowledge) -> tuple[float, ...]:
    """Return amounts [kg] of a material worth trying, or none.

    None where it would lead the wrong way, or where its usual range is full.

    Parameters
    ----------
    now : Dough
        At its first moment, the present.

    Notes
    -----
    They span what the closed forms ask for under the draws, from the least that is likely to the
    most; the state stands still in these, so each amount is followed in time before it is offered.
    """
    needed = _needed(choice, now, past, knowledge)
    some = np.isfinite(needed) & (needed > 0)
    weights = knowledge.weights * some
    if weights.sum() < 0.3:
        return ()
    low, high = percentiles(needed[some], weights[some] / weights.sum(), (0.1, 0.9))
    most = min(MOST, room(choice, past.handbook))
    spread = np.geomspace(max(0.6 * low, 1e-3), max(1.5 * high, 2e-3), _TRIED)
    tried = [weighable(share * past.now.mass) for share in np.minimum(spread, most).tolist()]
    return tuple(sorted({mass for mass in tried if mass > 0}))


def _needed(choice: Choice, now: Dough, past: Past, knowledge: Knowledge) -> Floats:
    """Return what brings each draw to the middle of the pliable band, per mass of dough (draws,).

    NaN or not positive where no addition does.
    """
    handbook = past.handbook
    drawn = dough_draws(handbook, knowledge)
    firmness = np.clip(np.exp(now.log_strength[0]), 1.0, 1e9)
    wanted = rescue.wetness_wanted(
        now.wetness[0],
        firmness,
        handbook.parameters["pliable_aim"].si,
        drawn.wetness_span,
        np.maximum(drawn.strength_ratio, 1.0),
    )
    polar, oil = now.polar_demand[0], now.oil_demand[0]
    material = choice.material
    if isinstance(material, Liquid):
        demand = oil if material.oil_fraction > 0.5 else polar
        return rescue.liquid_to_add(wanted - now.wetness[0], demand, material.density)
    drinks = drawn.demand_factor * uptake_factors((material,), handbook, knowledge)[0]
    each = demand_volumes(material, handbook)
    polar_wetness = now.polar_volume[0] / polar
    return rescue.powder_to_add(
        wanted,
        polar_wetness,
        now.wetness[0] - polar_wetness,
        polar,
        oil,
        drinks * each[0],
        drinks * each[1],
    )


def room(choice: Choice, handbook: Handbook) -> float:
    """Return how much more of a material its usual range leaves, per mass of dough [1].

    A recipe that is above the range already may not go further.
    """
    kind = "powder" if isinstance(choice.material, Powder) else "liquid"
    role = handbook.roles.get((kind, choice.material.name))
    if role is None:
        return MOST
    left = (role.use_high - choice.present) / (1 - role.use_high) if role.use_high < 1 else MOST
    return max(left, 0.0)


def weighable(mass: float) -> float:
    """Return a mass [kg] in steps a kitchen scale and a hand can weigh, not more: 0.1 g and up."""
    grams = 1000 * mass
    step = next((step for most, step in ((5, 0.1), (50, 0.5), (500, 1)) if grams < most), 5)
    return round(int(grams / step + 1e-6) * step, 1) / 1000
