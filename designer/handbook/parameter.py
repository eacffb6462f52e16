"""A number with all one needs to doubt it, and the file format of such numbers."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from designer.handbook import validation
from designer.vocabulary import UNITS, si

EVIDENCE = ("measured", "published", "memory", "estimate")
"""What a number rests on, strongest first. Weakest link: an estimate from published data counts
as an estimate."""

SPREADS = ("factor", "difference")
"""How an uncertainty acts: by a factor exp(sd z), or by a difference sd z."""


@dataclass(frozen=True)
class Parameter:
    """A number as its source prints it, its uncertainty, and where it is from.

    Attributes
    ----------
    value : float [unit]
    unit : str
        A key of `designer.vocabulary.UNITS`.
    sd : float
        One standard deviation: of the natural logarithm for a "factor", in `unit` for a
        "difference".
    spread : str
        One of `SPREADS`.
    source : str
    evidence : str
        One of `EVIDENCE`.
    held_low, held_high : float [unit]
        Bounds a draw is moved back to, where the law has no meaning outside.
    """

    value: float
    unit: str
    sd: float
    spread: str
    source: str
    evidence: str
    held_low: float = -math.inf
    held_high: float = math.inf

    @property
    def si(self) -> float:
        """The value in the SI unit."""
        return float(si(self.value, self.unit))

    @property
    def sd_si(self) -> float:
        """The standard deviation: of ln, or in the SI unit."""
        if self.spread == "factor":
            return self.sd
        return self.sd * UNITS[self.unit][1]

    @property
    def held_low_si(self) -> float:
        """The lower bound in the SI unit, or minus infinity."""
        return float(si(self.held_low, self.unit))

    @property
    def held_high_si(self) -> float:
        """The upper bound in the SI unit, or infinity."""
        return float(si(self.held_high, self.unit))


def parameter_from(entry: Mapping[str, Any]) -> Parameter:
    """Return the parameter an entry of a TOML file states.

    Raises
    ------
    ValueError
        A key is missing, unknown or of the wrong kind; the message is a sentence.
    """
    found = validation.made(Parameter, entry)
    _check(found)
    return found


def _check(one: Parameter) -> None:
    """Raise unless unit, spread and evidence are known and the numbers agree."""
    if not all(math.isfinite(number) for number in (one.value, one.sd)):
        raise ValueError('"value" or "sd" is not a finite number.')
    if not one.source.strip():
        raise ValueError('"source" is not a text.')
    if one.unit not in UNITS:
        raise ValueError(f'The unit "{one.unit}" is not known.')
    if one.spread not in SPREADS:
        raise ValueError(f'"spread" must be one of {", ".join(SPREADS)}.')
    if one.evidence not in EVIDENCE:
        raise ValueError(f'"evidence" must be one of {", ".join(EVIDENCE)}.')
    if one.sd <= 0:
        raise ValueError('"sd" must be above 0: no number here is known exactly.')
    if one.spread == "factor" and one.value <= 0:
        raise ValueError("A value spread by a factor must be above 0.")
    if not one.held_low <= one.value <= one.held_high:
        raise ValueError("The value lies outside the bounds it is held to.")
