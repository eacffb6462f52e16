"""The uncertain parameters of the dough as arrays over draws, in SI."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from designer.evaluation.knowledge import Knowledge
from designer.handbook import Handbook, Parameter, Powder
from designer.vocabulary import Floats


def drawn(parameter: Parameter, scores: Floats) -> Floats:
    """Return a parameter at normal scores [SI], inside the bounds its table holds it to."""
    if parameter.spread == "factor":
        values = parameter.si * np.exp(parameter.sd_si * scores)
    else:
        values = parameter.si + parameter.sd_si * scores
    return np.clip(values, parameter.held_low_si, parameter.held_high_si)


@dataclass(frozen=True, eq=False)
class DoughDraws:
    """Parameters of wetting and flow, each (draws,); `_STREAMS` says from where."""

    demand_factor: Floats
    plastic_wetness: Floats
    wetness_span: Floats
    liquid_limit_strength: Floats
    strength_ratio: Floats
    set_fat_worth: Floats
    tack_strength: Floats
    tack_slope: Floats
    dissolved_factor: Floats
    uptake_shift: Floats
    uptake_pace: Floats
    rating: Floats
    melt_error: Floats


_STREAMS = {
    "demand_factor": ("kappa", "kappa"),
    "plastic_wetness": ("plastic_wetness", "W_PL"),
    "wetness_span": ("wetness_span", "dW"),
    "liquid_limit_strength": ("liquid_limit_strength", "s_LL"),
    "strength_ratio": ("strength_ratio", "R"),
    "set_fat_worth": ("set_fat_worth", "psi"),
    "tack_strength": ("tack_strength", "s_tack"),
    "tack_slope": ("tack_slope", "k_tau"),
    "dissolved_factor": ("dissolved_fraction", "sol"),
    "uptake_shift": ("uptake_shift", "f0"),
    "uptake_pace": ("uptake_pace", "tau"),
}
"""Attribute: (parameter of the handbook, name of its random stream)."""


@lru_cache(maxsize=8)
def dough_draws(handbook: Handbook, knowledge: Knowledge) -> DoughDraws:
    """Return the draws of every parameter of the dough under a state of knowledge."""
    values = {
        attribute: drawn(handbook.parameters[parameter], knowledge.scores(name))
        for attribute, (parameter, name) in _STREAMS.items()
    }
    rating = handbook.parameters["rating_sd"].si * knowledge.scores("rating")
    # Beyond two standard deviations the melt model's own error is not believed.
    melt_error = handbook.parameters["set_share_model_sd"].si * np.clip(
        knowledge.scores("melt model error"), -2.0, 2.0
    )
    for array in (*values.values(), rating, melt_error):
        array.flags.writeable = False
    return DoughDraws(**values, rating=rating, melt_error=melt_error)


def uptake_factors(powders: tuple[Powder, ...], handbook: Handbook, knowledge: Knowledge) -> Floats:
    """Return the factor of each powder's own uptake, (powders, draws): own and class part.

    A part of the spread is common to a class of powders, as one table or one hand measured them.
    """
    shared = handbook.parameters["class_share_sd"].si
    floor = handbook.parameters["own_sd_floor"].si
    rows = []
    for powder in powders:
        own = np.sqrt(max(powder.uptake_sd**2 - shared**2, floor**2))
        common = knowledge.scores(f"class {powder.material_class}")
        rows.append(np.exp(own * knowledge.scores(f"powder {powder.name}") + shared * common))
    return np.array(rows).reshape(len(powders), knowledge.draws)
