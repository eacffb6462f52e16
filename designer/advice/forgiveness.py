"""How far each ingredient, lot and condition may drift before the dough is no longer clean."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from designer.advice.allowance import CONDITIONS, Allowance, End
from designer.advice.drift_bench import LEAST_BATH, conditions, lots
from designer.advice.drift_weighed import Ingredients
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.readings import outside_model

__all__ = [
    "CONDITIONS",
    "GIVEN_UP",
    "LEAST_BATH",
    "Allowance",
    "End",
    "Forgiveness",
    "forgiveness",
]

GIVEN_UP = 0.05
"""What may be lost of a chance that is below the wanted one: one batch in twenty [1]."""


@dataclass(frozen=True)
class Forgiveness:
    """What a variant forgives.

    Attributes
    ----------
    number : str
        Of the variant.
    batch : float [kg]
    chance, wanted : float [1]
    needed : float [1]
        What the intervals hold: the wanted chance; where the recipe itself has less, its own
        chance less `GIVEN_UP`.
    allowances : tuple of Allowance
        Ingredients in the order of the recipe, lots of the main powders, then `CONDITIONS`.
    missing : str
        Why there are none, "" where there are.
    """

    number: str
    batch: float
    chance: float
    wanted: float
    needed: float
    allowances: tuple[Allowance, ...] = ()
    missing: str = ""

    @property
    def meets(self) -> bool:
        """Whether the recipe itself has the wanted chance."""
        return self.chance >= self.wanted

    def weakest(self, most: int = 3) -> tuple[Allowance, ...]:
        """Return what forgives least, measured by what is easily missed, weakest first."""
        met = [one for one in self.allowances if one.weaker is not None]
        return tuple(sorted(met, key=lambda one: one.slack)[:most])


def forgiveness(
    result: Evaluation, variant: int, stop: Callable[[], bool] = lambda: False
) -> Forgiveness:
    """Return what a variant forgives.

    Parameters
    ----------
    result : Evaluation
        Of the whole clock, or up to the end of the kneading window.
    variant : int
        Its index.
    stop : callable
        Asked between doughs whether to give up.

    Raises
    ------
    InterruptedError
        `stop` said so.

    Notes
    -----
    Each end is where the chance (all draws, common to all doughs) is first lost. Doughs on the way
    there are evaluated in full; only where the heat of one near is known, it is read from a curve
    through that one, the recipe itself and one on the other way.
    """
    recipe = result.recipe
    number, chance = recipe.numbers[variant], float(result.clean_knead_chance[variant])
    wanted, batch = recipe.bench.wanted, float(result.conditions.batch_mass[variant])
    needed = wanted if chance >= wanted else chance - GIVEN_UP
    found = Forgiveness(number, batch, chance, wanted, needed)
    if why_not := outside_model(result, variant):
        return replace(found, missing=f"no forecast: {why_not}")
    if needed <= 0:
        return replace(found, missing="it hardly ever comes clean, so there is nothing to lose")
    ingredients = Ingredients.of(result, variant, needed, stop)
    allowances = (
        *ingredients.allowances(),
        *lots(ingredients, needed),
        *conditions(ingredients.weighed, needed, ingredients.base),
    )
    return replace(found, allowances=allowances)
