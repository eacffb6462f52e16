"""Where a mark can be brought to on the dough map, from where it was taken."""

import math
from typing import NamedTuple

from designer.errors import ReadableError
from designer.evaluation.paths import moved
from designer.handbook import Handbook
from designer.recipe import Recipe

__all__ = ["Grip", "Spot"]

_NEAR = 0.25
"""How near [px] to the border of what can be reached is on it."""


class Spot(NamedTuple):
    """A point of the map."""

    x: float  # liquid : powder [g/g]
    y: float  # melt phase [1]


class Grip:
    """One variant taken hold of: every place is reached from the recipe it had then.

    Attributes
    ----------
    start : Recipe
    origin : Spot
        Where its mark was.
    spot : Spot
        Where it is now.
    gesture : int
        The undo step all its moves are part of.
    problem : ReadableError or None
        Why it is not where it was wanted.
    """

    def __init__(
        self, start: Recipe, number: str, handbook: Handbook, origin: Spot, gesture: int
    ) -> None:
        self.start, self.origin, self.gesture = start, origin, gesture
        self.spot = origin
        self.problem: ReadableError | None = None
        self._number, self._handbook = number, handbook

    def move(self, wanted: Spot, scale: tuple[float, float]) -> Recipe:
        """Go to the wanted point, or as near to it as the recipe can be; return the recipe there.

        Parameters
        ----------
        wanted : Spot
        scale : px per unit of x and of y, by which nearness is judged
        """
        self.problem = None
        found = self._recipe(wanted)
        if found is not None:
            self.spot = wanted
            return found
        self.spot = self._nearest(wanted, scale)
        return self._recipe(self.spot, keep_problem=True) or self.start

    def _recipe(self, spot: Spot, keep_problem: bool = False) -> Recipe | None:
        """Return the recipe at a point, or None; the first refusal is the one to be told."""
        x = None if math.isclose(spot.x, self.origin.x, abs_tol=1e-9) else spot.x
        y = None if math.isclose(spot.y, self.origin.y, abs_tol=1e-9) else spot.y
        if x is None and y is None:
            return self.start
        try:
            return moved(self.start, self._number, self._handbook, x, y)
        except ReadableError as error:
            if self.problem is None and not keep_problem:
                self.problem = error
            return None

    def _nearest(self, wanted: Spot, scale: tuple[float, float]) -> Spot:
        """Return a point on the border of what can be reached, near to the wanted one.

        The border is met on the straight way from where the mark is, then followed on both sides
        as long as that leads nearer: the mark slides along it.
        """

        def far(one: Spot) -> float:
            return math.hypot((one.x - wanted.x) * scale[0], (one.y - wanted.y) * scale[1])

        ends = (
            self.spot,
            self.origin,
            Spot(wanted.x, self.origin.y),
            Spot(self.origin.x, wanted.y),
        )
        met = [
            self._border(end, wanted, scale)
            for end in dict.fromkeys(ends)
            if self._recipe(end) is not None
        ]
        best = min(met, key=far)
        for step in (24.0, 8.0, 2.0):
            for side in (1.0, -1.0):
                beside = _beside(best, wanted, scale, side * step)
                if far(best) > _NEAR and self._recipe(beside) is not None:
                    best = min(best, self._border(beside, wanted, scale), key=far)
        return best

    def _border(self, inside: Spot, outside: Spot, scale: tuple[float, float]) -> Spot:
        """Return the last point that can be reached on the way out."""
        while True:
            way = (outside.x - inside.x, outside.y - inside.y)
            if math.hypot(way[0] * scale[0], way[1] * scale[1]) < _NEAR:
                return inside
            middle = Spot(inside.x + way[0] / 2, inside.y + way[1] / 2)
            if self._recipe(middle) is None:
                outside = middle
            else:
                inside = middle


def _beside(at: Spot, towards: Spot, scale: tuple[float, float], step: float) -> Spot:
    """Return the point `step` px to the side of the way from one to the other."""
    across, up = (towards.x - at.x) * scale[0], (towards.y - at.y) * scale[1]
    length = math.hypot(across, up) or 1.0
    return Spot(at.x - up / length * step / scale[0], at.y + across / length * step / scale[1])
