"""How far something may drift before a chance is no longer held, found with few doughs."""

from dataclasses import dataclass, field

import numpy as np

from designer.advice.weighed import chance_of
from designer.vocabulary import Floats

__all__ = ["Edge"]

_NEAR = 0.01
"""An edge is found where a dough was evaluated this near to it, relative to how far it is."""

_REACH = 2.5
"""How many times as far as the furthest dough known is trusted to tell of the edge."""

_MOST_DOUGHS = 7
_LEAST_FIRST = 1e-3
_HALVINGS = 9
_ROUNDING = 1e-12
_STEPS = 6


@dataclass(eq=False)
class Edge:
    """The search along one way, from 0 on.

    A draw's margins go smoothly along it, while the chance, a count of draws, goes in steps: so
    margins are carried from dough to dough, and the chance is counted from them.

    Attributes
    ----------
    base : array (2, moments, draws) [ln Pa]
        Margins at 0, as in `weighed.Felt`.
    weights : array (draws,)
    needed : float [1]
        Chance to hold; it is held at 0.
    bound : float
        How far to look.
    first : float
        Where to look first, unless `slope` knows better.
    slope : array that broadcasts to the margins, or None
        Their change per step along the way, near 0.
    """

    base: Floats
    weights: Floats
    needed: float
    bound: float
    first: float
    slope: Floats | None = None
    nodes: list[float] = field(default_factory=list)
    margins: list[Floats] = field(default_factory=list)
    exact: list[bool] = field(default_factory=list)
    next: float | None = None
    at: float | None = None

    def __post_init__(self) -> None:
        self.nodes, self.margins, self.exact = [0.0], [self.base], [True]
        if self.bound <= 0:
            self.next = None
        elif self.slope is None:
            self.next = min(self.first, self.bound)
        else:
            self.next = max(self._beyond(0.0, self.bound), _LEAST_FIRST * self.bound)

    @property
    def place(self) -> float:
        """The edge, or how far was looked where none was met."""
        return self.nodes[-1] if self.at is None else self.at

    def record(self, at: float, margins: Floats, exact: bool = True) -> None:
        """Take in the margins of a dough, and say where to look next: `next`, None when done."""
        place = int(np.searchsorted(self.nodes, at))
        self.nodes.insert(place, at)
        self.margins.insert(place, margins)
        self.exact.insert(place, exact)
        self.next = self._propose()

    def doubt(self) -> None:
        """Forget the doughs that were not exact, and look again at what they told."""
        self.next, self.at = self.place, None
        kept = [k for k, exact in enumerate(self.exact) if exact and self.nodes[k] != self.next]
        self.nodes = [self.nodes[k] for k in kept]
        self.margins = [self.margins[k] for k in kept]
        self.exact = [True] * len(kept)

    def chance(self, at: float) -> float:
        """Return the chance at a place, from the doughs known."""
        return chance_of(self.margins_at(at), self.weights)

    def margins_at(self, at: float) -> Floats:
        """Return the margins at a place: linear between the doughs next to it, and beyond them."""
        if len(self.nodes) == 1:
            return self.base + (0.0 if self.slope is None else at * self.slope)
        high = min(max(int(np.searchsorted(self.nodes, at)), 1), len(self.nodes) - 1)
        low = high - 1
        part = (at - self.nodes[low]) / (self.nodes[high] - self.nodes[low])
        margins: Floats = self.margins[low] + part * (self.margins[high] - self.margins[low])
        return margins

    def _propose(self) -> float | None:
        failing = next((k for k, m in enumerate(self.margins) if not self._holds(m)), None)
        last = self.nodes[-1]
        if failing is None:
            if last >= self.bound or len(self.nodes) > _MOST_DOUGHS:
                return None
            end = min(self.bound, _REACH * last)
            beyond = self._beyond(last, end)
            if beyond < end and beyond - last <= _NEAR * last:
                self.at = beyond
                return None
            return beyond
        self.at = self._halved(self.nodes[failing - 1], self.nodes[failing])
        distance = min(abs(self.at - node) for node in self.nodes)
        if distance <= _NEAR * self.at or len(self.nodes) > _MOST_DOUGHS:
            return None
        return self.at

    def _holds(self, margins: Floats) -> bool:
        return chance_of(margins, self.weights) >= self.needed

    def _beyond(self, start: float, end: float) -> float:
        """Return where the chance seems to be lost between two places, or the further one."""
        before = start
        for at in np.linspace(start, end, _STEPS + 1)[1:].tolist():
            if self.chance(at) < self.needed:
                return self._halved(before, at)
            before = at
        return end

    def _halved(self, holds: float, fails: float) -> float:
        """Return the last place that holds between two, with no dough known between them."""
        start, end = self.margins_at(holds), self.margins_at(fails)
        # Draws that are clean at both ends are clean between them, for margins go straight there:
        # a moment may serve at one end and not at the other, so each must stay of itself.
        kept = ((start >= 0) & (end >= 0)).all(axis=0).any(axis=0)
        sure = float(self.weights[kept].sum())
        start, rise = start[..., ~kept], (end - start)[..., ~kept]
        weights, low, high = self.weights[~kept], 0.0, 1.0
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            if sure + chance_of(start + middle * rise, weights) >= self.needed - _ROUNDING:
                low = middle
            else:
                high = middle
        return holds + low * (fails - holds)
