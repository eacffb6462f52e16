"""What a maker may wish of a dough, and when a wish is met."""

from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np

from designer.errors import ReadableError
from designer.evaluation.evaluate import DAY, clock_times
from designer.evaluation.forecast import Forecast
from designer.evaluation.marks import first_crossing
from designer.quantities import TWENTY
from designer.recipe import Bench
from designer.vocabulary import Floats

__all__ = ["CLEAN", "SECONDS_PER_BAR", "WISHES", "Goal", "Kind", "Reached", "Wish", "told"]

Kind = Literal["clean", "clean-by", "bars", "firmer", "less-melt"]

WISHES: tuple[Kind, ...] = get_args(Kind)

SECONDS_PER_BAR = 30.0
"""Pressing one bar by hand, from filling to taking it out [s]; own guess, no source."""

LESS_MELT = 0.02
"""By how much less melt is wished unless said [1 of the dough]; own choice."""

_WORD_LIMITS = (75e3, 150e3, 300e3)
"""Firmness [Pa] from which a bar is setting, firm, hard; common practice, no source."""

_SHORTEST, _LONGEST = 60.0, 7200.0
_MOST_BARS = 1000


@dataclass(frozen=True)
class Wish:
    """A wish for one variant.

    Attributes
    ----------
    kind : "clean", "clean-by", "bars", "firmer" or "less-melt"
        Comes clean within the maker's kneading window; by a moment; and stays workable until so
        many bars are pressed; a firmer bar a day after the pour; less melt in the dough.
    by : float [s]
        Of "clean-by": the moment, counted from the pour.
    bars : int
        Of "bars": how many are pressed, one after the other, from the moment the dough is clean.
    seconds_per_bar : float [s]
        Of "bars": pressing one.
    firmness : float or None [Pa]
        Of "firmer": the firmness wanted; None is where the next word for a bar begins.
    melt : float [1 of the dough]
        Of "less-melt": by how much less.

    Raises
    ------
    ReadableError
        A figure makes no sense.
    """

    kind: Kind = "clean"
    by: float = 600.0
    bars: int = 0
    seconds_per_bar: float = SECONDS_PER_BAR
    firmness: float | None = None
    melt: float = LESS_MELT

    def __post_init__(self) -> None:
        if self.kind not in WISHES:
            raise ReadableError(
                "Wish", f"{str(self.kind)[:40]!r} is no wish.", f"Wish for {', '.join(WISHES)}."
            )
        if self.kind == "clean-by" and not _SHORTEST <= self.by <= _LONGEST:
            raise ReadableError(
                "Wish",
                f"A dough cannot be asked to come clean by {self.by / 60:g} min.",
                "Give a time from 1 min to 120 min after the pour.",
            )
        if self.kind == "bars" and not 1 <= self.bars <= _MOST_BARS:
            raise ReadableError(
                "Wish", f"{self.bars} bars cannot be pressed.", f"Give 1 to {_MOST_BARS} bars."
            )
        if self.kind == "bars" and not 1 <= self.seconds_per_bar <= 3600:
            raise ReadableError(
                "Wish",
                f"A bar is not pressed in {self.seconds_per_bar:g} s.",
                "Give 1 s to 1 h for each bar.",
            )
        if self.kind == "firmer" and self.firmness is not None and not 0 < self.firmness <= 600e3:
            raise ReadableError(
                "Wish", "No such bar is that firm.", "Give a firmness up to 600 kPa."
            )
        if self.kind == "less-melt" and not 0 < self.melt < 1:
            raise ReadableError(
                "Wish", "That is no smaller melt phase.", "Give the share to take off, as 2 %."
            )

    @property
    def is_chance(self) -> bool:
        """Whether what is asked for is a chance, held against the wanted one."""
        return self.kind in ("clean", "clean-by", "bars")

    def bench(self, bench: Bench) -> Bench:
        """Return the conditions under which the wish is asked: "clean by" ends the window then."""
        if self.kind != "clean-by":
            return bench
        return replace(bench, knead=(min(bench.knead[0], self.by), self.by))

    def goal(self, now: "Reached", wanted: float) -> "Goal":
        """Return what must be reached from where a dough is now."""
        if self.is_chance:
            return Goal(wanted, wanted)
        # What is gained elsewhere must not be paid for with the knead.
        kept = min(wanted, now.chance)
        if self.kind == "less-melt":
            return Goal(max(now.value - self.melt, 0.0), kept, is_most=True)
        asked = self.firmness or next((one for one in _WORD_LIMITS if one > now.value), np.inf)
        return Goal(float(asked), kept)

    def times(self, bench: Bench) -> Floats:
        """Return the moments [s] at which a dough must be known, ascending."""
        window = self.bench(bench).knead
        clock = clock_times(window)
        early = clock[clock <= window[1] + 1e-6]
        if self.kind == "bars":
            # The last bar is pressed at the latest so long after the window.
            return np.append(early, window[1] + self._pressing * np.linspace(0.2, 1.0, 5))
        return np.append(early, DAY) if self.kind == "firmer" else early

    @property
    def _pressing(self) -> float:
        return self.bars * self.seconds_per_bar

    def reached(self, one: Forecast) -> "Reached":
        """Return how far a dough is; it must be known at `times`, in the wish's window."""
        chance = value = one.clean_knead_chance
        if self.kind == "bars":
            value = _holds(one, self._pressing)
        elif self.kind == "firmer":
            day = int(np.argmin(np.abs(one.scene.times - DAY)))
            value = float(one.spread(one.firmness[day][None]).value[0])
        elif self.kind == "less-melt":
            value = float(one.mixture.melt_fraction[0])
        return Reached(value, chance)


@dataclass(frozen=True)
class Reached:
    """How far a dough is.

    Attributes
    ----------
    value : float
        What the wish asks about: a chance [1], a firmness [Pa], a share of melt [1].
    chance : float [1]
        Of a clean knead, under the wish's conditions.
    """

    value: float
    chance: float


@dataclass(frozen=True)
class Goal:
    """What must be reached.

    Attributes
    ----------
    value : float
        At least, or with `is_most` at most, in the unit of the wish.
    chance : float [1]
        At least, of a clean knead.
    is_most : bool
    """

    value: float
    chance: float
    is_most: bool = False

    def is_met(self, one: Reached, is_chance: bool) -> bool:
        """Return whether it is reached, chances compared as they are told."""
        if told(one.chance) < told(self.chance):
            return False
        if is_chance:
            return told(one.value) >= told(self.value)
        if self.is_most:
            return one.value <= self.value + 5e-5
        return one.value >= self.value


def told(chance: float) -> int:
    """Return a chance as it is told: in how many of twenty such batches."""
    return round(TWENTY * chance)


def _holds(one: Forecast, needed: float) -> float:
    """Return the chance that a dough comes clean and then stays workable so long [s].

    It is workable until the same hand that finds it clean finds it too firm.
    """
    scene = one.scene
    firm = np.log(scene.handbook.parameters["firm_strength"].si)
    felt = one.log_strength + scene.drawn.rating
    stiff = np.minimum(firm, one.crumble_cut)
    window = scene.window
    is_clean = (felt[window] >= one.tack_cut[window]) & (felt[window] <= stiff[window])
    comes = is_clean.any(axis=0)
    start = scene.times[window[is_clean.argmax(axis=0)]]
    end = first_crossing(scene.times, felt - stiff, after=start)
    return float((comes & (end - start >= needed)) @ scene.knowledge.weights)


CLEAN = Wish()
"""The default: comes clean within the maker's window."""
