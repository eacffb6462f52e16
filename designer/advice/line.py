"""Lines through the space of recipes: taking from one row and giving to another."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from designer.advice.moves import Limit
from designer.vocabulary import Floats

__all__ = ["GRID", "Line", "directions", "with_guess"]

GRID = np.linspace(0.0, 1.0, 13)[1:] ** 1.5
"""Where along a line it is screened, as shares of its length."""


@dataclass(frozen=True, eq=False)
class Line:
    """A way to change figures.

    Attributes
    ----------
    start : array (rows,) [percent]
    direction : array (rows,), per percent of the move
    far : float [percent]
        How far it may be followed.
    limit : Limit or None
        What ends it; None is the amount of a row that there is.
    rows : tuple of int
        Rows it moves.
    guess : float [percent]
        Where it is expected to reach the goal; infinite where it is not.
    peak : float [percent]
        Where it is expected to come nearest to it.
    hope : float
        How near it is expected to come at best, of `Search.score`.
    """

    start: Floats
    direction: Floats
    far: float
    limit: Limit | None
    rows: tuple[int, ...]
    guess: float = np.inf
    peak: float = 0.0
    hope: float = -np.inf

    @property
    def weight(self) -> float:
        """Half of all that moves, per percent followed."""
        return float(np.abs(self.direction).sum()) / 2

    def at(self, far: float) -> Floats:
        """Return the figures (rows,) [percent] so far along it."""
        figures: Floats = self.start + far * self.direction
        return np.maximum(figures, 0.0)


def directions(
    rows: list[int], count: int, lack: float
) -> Iterator[tuple[Floats, tuple[int, ...]]]:
    """Yield directions (rows,) of a move of one percent, and the rows they move."""
    if lack:
        for row in rows:
            direction = np.zeros(count)
            direction[row] = np.sign(lack)
            yield direction, (row,)
    for down in rows:
        for up in rows:
            if up != down:
                direction = np.zeros(count)
                direction[down], direction[up] = -1.0, 1.0
                yield direction, (down, up)


def with_guess(line: Line, scores: Floats) -> Line:
    """Return a line with what its expected scores (grid,) say."""
    best = int(scores.argmax())
    met = np.flatnonzero(scores >= 0)
    guess = np.inf
    if met.size:
        first = int(met[0])
        far, score = line.far * GRID[first], scores[first]
        if first:
            near, before = line.far * GRID[first - 1], scores[first - 1]
            far = near + (far - near) * (-before) / max(score - before, 1e-9)
        guess = float(far)
    return replace(line, guess=guess, peak=float(line.far * GRID[best]), hope=float(scores[best]))
