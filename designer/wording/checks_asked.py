"""What the maker says beside the recipe on the page of checks; light, so that it opens at once."""

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["DOSE_CAUTION", "USUAL_TARGET", "Asked"]

DOSE_CAUTION = (
    "Worked out from the recipe alone. Dissolve the acid in a liquid of the recipe, begin with "
    "80 % of it, measure the slurry, then add the rest. Concentrated acid hurts eyes: glasses and "
    "gloves. It is another formula."
)

USUAL_TARGET = 5.0
"""pH of the slurry that the page starts from: where the usual acid preservatives still work and
skin is not stung; common practice, no source."""


@dataclass(frozen=True)
class Asked:
    """What the maker says beside the recipe.

    Attributes
    ----------
    market : str
    target : float
        pH of the 10 % slurry that is wanted.
    declared : mapping of material to pH of its 10 % solution
    measured : float or None
        pH of the slurry of the cured bar.
    """

    market: str = "EU"
    target: float = USUAL_TARGET
    declared: Mapping[str, float] = field(default_factory=dict)
    measured: float | None = None
