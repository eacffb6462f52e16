"""Doughs of the same materials weighed otherwise, evaluated in full when they are felt."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from designer.evaluation import heat
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.heat import Conditions, Course
from designer.evaluation.map_nodes import Moments
from designer.evaluation.mixture import Mixture
from designer.vocabulary import Floats

__all__ = ["KINDS", "Felt", "Weighed", "chance_of"]

KINDS = ("powder", "liquid", "melt")
"""Order in which the materials of a mixture stand beside each other."""


@dataclass(frozen=True, eq=False)
class Felt:
    """What one dough does.

    Attributes
    ----------
    wetness, log_strength, temperature : arrays (draws,) [1], [ln Pa], [K], at the knead
    margins : array (2, moments, draws) [ln Pa]
        Of the strength felt at the moments of the window: over the tack cut, and under the firm
        or crumble cut.
    """

    wetness: Floats
    log_strength: Floats
    temperature: Floats
    margins: Floats


def chance_of(margins: Floats, weights: Floats) -> float:
    """Return the chance of a clean knead: both margins at least 0 at one moment of the window."""
    clean = np.any((margins >= 0).all(axis=0), axis=0)
    return float(np.vecdot(clean.astype(float), weights))


@dataclass(frozen=True, eq=False)
class Weighed:
    """Doughs near one variant, told by mass per mass of the variant's dough.

    What is added makes the batch heavier; nothing else is taken out for it.

    Attributes
    ----------
    result : Evaluation
    variant : int
    moments : Moments
    stop : callable
        Asked before each dough whether to give up.
    """

    result: Evaluation
    variant: int
    moments: Moments
    stop: Callable[[], bool]

    @classmethod
    def like(cls, result: Evaluation, variant: int, stop: Callable[[], bool]) -> "Weighed":
        """Return the doughs near a variant, its index."""
        return cls(result, variant, Moments.of(result), stop)

    def masses(self, variant: int) -> Floats:
        """Return the masses (materials,) of a variant: powders, then liquids, then melts."""
        mixture = self.result.mixture
        return np.concatenate([getattr(mixture, f"{kind}_shares")[variant] for kind in KINDS])

    def places(self) -> list[int]:
        """Return where the material of each row of the recipe stands among the masses."""
        mixture, first = self.result.mixture, {"powder": 0}
        first["liquid"] = len(mixture.powders)
        first["melt"] = first["liquid"] + len(mixture.liquids)
        return [first[kind] + index for kind, index in mixture.place]

    def named(self, place: int) -> tuple[str, str]:
        """Return name and kind of a material, by its place among the masses."""
        for kind in KINDS:
            materials = getattr(self.result.mixture, f"{kind}s")
            if place < len(materials):
                return materials[place].name, kind
            place -= len(materials)
        raise IndexError(place)

    def courses(self, masses: Floats) -> Course:
        """Return heat and setting of doughs, `masses` (doughs, materials) [1]."""
        if self.stop():
            raise InterruptedError
        total = masses.sum(axis=1)
        batch = float(self.result.conditions.batch_mass[self.variant]) * total
        return heat.course(
            self._mixture(masses),
            replace(self.result.conditions, batch_mass=batch),
            # The same times make the same steps, and these the numbers of the evaluation.
            self.result.times[: self.result.window[-1] + 1],
            self.result.handbook,
            self.result.knowledge,
        )

    def with_uptake(self, powder: int, factor: float) -> "Weighed":
        """Return the same doughs where a powder, by its place, drinks so many times as much."""
        factors = self.moments.factors.copy()
        factors[powder] *= factor
        return replace(self, moments=replace(self.moments, factors=factors))

    def under(self, conditions: Conditions) -> Felt:
        """Return what the variant itself does under other conditions of the same window."""
        if self.stop():
            raise InterruptedError
        masses, result = self.masses(self.variant)[None], self.result
        course = heat.course(
            self._mixture(masses),
            conditions,
            result.times[: result.window[-1] + 1],
            result.handbook,
            result.knowledge,
        )
        return self.felt(masses, course)[0]

    def felt(self, masses: Floats, course: Course) -> list[Felt]:
        """Return what each dough does under its heat."""
        mixture, moments = self._mixture(masses), self.moments
        row = self.result.knowledge.melt_row
        found = []
        for dough in range(len(masses)):
            if self.stop():
                raise InterruptedError
            one = moments.dough(mixture, dough, course)
            found.append(
                Felt(
                    one.wetness[moments.knead],
                    one.log_strength[moments.knead],
                    course.temperature[dough, self.result.knead][row],
                    moments.margins(one.log_strength, one.tack_cut, one.crumble_cut),
                )
            )
        return found

    def _mixture(self, masses: Floats) -> Mixture:
        mixture, shares = self.result.mixture, masses / masses.sum(axis=1)[:, None]
        powders, liquids = len(mixture.powders), len(mixture.liquids)
        return replace(
            mixture,
            powder_shares=shares[:, :powders],
            liquid_shares=shares[:, powders : powders + liquids],
            melt_shares=shares[:, powders + liquids :],
        )
