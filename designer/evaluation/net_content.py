"""Net weight: what may be declared, in which letters, by how much a bar may fall short.

All in decimals, as the rules are: 120 - 114.6 > 5.4 is false, but not for binary numbers.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from designer.errors import ReadableError
from designer.handbook.law import Law, LetterHeight, Tolerance

__all__ = [
    "OUNCE",
    "Declaration",
    "LotDecision",
    "declaration",
    "is_short",
    "least_mean",
    "letter_height",
    "lot_decision",
    "over_declares",
    "plain_figure",
    "sample_size",
    "short_limit",
    "target",
    "tolerance",
    "wet_target",
    "whole_grams",
    "whole_ounces",
]

OUNCE = Decimal("28.349523125")
"""Grams of an avoirdupois ounce, exactly; international yard and pound agreement, 1959."""

POUND = 16 * OUNCE

_CENT = Decimal("0.01")
_LEAST, _MOST = Decimal(1), Decimal(10000)

_SCHEMES = {"EU": "EU", "UK": "EU", "US": "US", "CA": "CA"}
"""By market, whose rules hold; Great Britain kept those of the European Union (from memory)."""


@dataclass(frozen=True)
class Declaration:
    """A net weight as it stands on a label.

    Attributes
    ----------
    market : str
    grams, ounces : Decimal
        Of neither more is promised than is in the bar.
    text : str
        What to print.
    """

    market: str
    grams: Decimal
    ounces: Decimal
    text: str


def whole_ounces(grams: Decimal) -> Decimal:
    """Return grams in ounces to two places, never rounded up."""
    return (grams / OUNCE).quantize(_CENT, ROUND_FLOOR)


def whole_grams(ounces: Decimal) -> Decimal:
    """Return ounces in whole grams, never rounded up."""
    return (ounces * OUNCE).quantize(Decimal(1), ROUND_FLOOR)


def over_declares(ounces: Decimal, grams: Decimal) -> bool:
    """Return whether an ounce figure promises more than grams hold."""
    return ounces * OUNCE > grams


def declaration(
    market: str, *, grams: Decimal | None = None, ounces: Decimal | None = None
) -> Declaration:
    """Return the declaration of a net weight given in grams or in ounces, the round one of the two.

    Parameters
    ----------
    market : str
    grams, ounces : Decimal
        One of the two; both only where the ounces do not promise more than the grams.

    Raises
    ------
    ReadableError
        Neither is given, the weight cannot be that of a bar, or the pair over-declares.

    Notes
    -----
    21 CFR 701.13: ounces to two places, from one pound also pounds; own rule: never round up.
    """
    if grams is None and ounces is not None:
        _check_weight(ounces * OUNCE)
        grams = whole_grams(ounces)
    elif grams is not None and ounces is None:
        _check_weight(grams)
        ounces = whole_ounces(grams)
    elif grams is None or ounces is None:
        raise ReadableError("Net weight", "None is given.", 'Give it, as "100 g".')
    else:
        _check_pair(grams, ounces)
    text = _us_text(grams, ounces) if market == "US" else _metric(grams)
    return Declaration(market, grams, ounces, text)


def _check_weight(grams: Decimal) -> None:
    if not _LEAST <= grams <= _MOST:
        raise ReadableError(
            "Net weight", f"{grams:.4g} g cannot be that of a bar.", "Give 1 g to 10 kg."
        )


def _check_pair(grams: Decimal, ounces: Decimal) -> None:
    """Raise when the ounces of a pair that is stated so promise more than its grams."""
    if over_declares(ounces, grams):
        raise ReadableError(
            "Net weight",
            f"{plain_figure(ounces)} oz would promise {ounces * OUNCE:.2f} g, more than the "
            f"{plain_figure(grams)} g declared.",
            f"Declare {plain_figure(whole_ounces(grams))} oz at most.",
        )


def plain_figure(value: Decimal) -> str:
    """Return a decimal without zeros at its end."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _us_text(grams: Decimal, ounces: Decimal) -> str:
    if ounces < 16:
        return f"Net wt. {plain_figure(ounces)} oz ({_metric(grams)})"
    pounds, rest = divmod(ounces, 16)
    parts = f"{plain_figure(pounds)} lb."
    if rest:
        parts += f" {plain_figure(rest)} oz."
    if pounds < 4:
        return f"Net wt. {plain_figure(ounces)} oz. ({parts}) {_metric(grams)}"
    return f"Net wt. {parts} ({_metric(grams)})"


def _metric(grams: Decimal) -> str:
    """Return a metric weight to three figures, cut off: C.R.C. c. 417 ss. 25-27."""
    if grams >= 1000:
        kilograms = (grams / 1000).quantize(_CENT, ROUND_FLOOR)
        return f"{plain_figure(kilograms)} kg"
    step = Decimal(1) if grams >= 100 else Decimal("0.1")
    return f"{plain_figure(grams.quantize(step, ROUND_FLOOR))} g"


def _tolerance_row(law: Law, market: str, grams: Decimal) -> Tolerance:
    scheme = _SCHEMES[market]
    for one in law.tolerances:
        if one.scheme != scheme:
            continue
        low, high, value = one.from_g, one.to_g, grams
        if one.from_lb is not None and one.to_lb is not None:
            # The larger of two quantities on a label decides, and the table is made in pounds.
            low, high, value = one.from_lb, one.to_lb, grams / POUND
        above = value >= low if one.includes_from else value > low
        below = value <= high if one.includes_to else value < high
        if above and below:
            return one
    raise ReadableError(
        "Net weight",
        f"The table of {market} has no tolerance for {plain_figure(grams)} g.",
        "Declare a weight inside the table, or ask the weights office.",
    )


def tolerance(law: Law, market: str, grams: Decimal) -> Decimal:
    """Return by how much a single bar may fall short [g].

    Parameters
    ----------
    law : Law
    market : str
    grams : Decimal
        The declared weight; of several the largest.

    Raises
    ------
    ReadableError
        The table of the market does not reach there.

    Notes
    -----
    European Union and Great Britain: tolerable negative error, a percentage rounded up to 0.1 g.
    United States: maximum allowable variation. Canada: Schedule I.
    """
    row = _tolerance_row(law, market, grams)
    if row.tolerance_g is not None:
        return row.tolerance_g
    share = (row.tolerance_percent or Decimal(0)) * grams / 100
    return share.quantize(Decimal("0.1"), ROUND_CEILING) if _SCHEMES[market] == "EU" else share


def short_limit(law: Law, market: str, grams: Decimal) -> Decimal:
    """Return the weight [g] that no bar may lie below: two tolerances short, one in the US."""
    allowed = tolerance(law, market, grams)
    return grams - allowed if market == "US" else grams - 2 * allowed


def is_short(declared: Decimal, weighed: Decimal, allowed: Decimal) -> bool:
    """Return whether a bar falls short of its declared weight by more than is allowed [g]."""
    return declared - weighed > allowed


def letter_height(
    law: Law,
    market: str,
    *,
    grams: Decimal,
    panel: Decimal | None = None,
    moulded: bool = False,
) -> LetterHeight | None:
    """Return the row with the least height of the figures, or None where the panel is not known.

    Parameters
    ----------
    grams : Decimal
        The declared weight, by which the European Union goes.
    panel : Decimal [cm2]
        Area of the principal display panel, by which the United States and Canada go.
    moulded : bool
        Letters moulded or embossed must be 1/16 in higher in the United States.
    """
    scheme = _SCHEMES[market]
    rows = [one for one in law.letter_heights if one.scheme == scheme]
    measured = grams if rows[0].measure == "net g" else panel
    if measured is None:
        return None
    row = next((one for one in rows if one.above < measured <= one.up_to), rows[-1])
    if moulded and scheme == "US":
        return replace(row, height_mm=row.height_mm + Decimal("1.5875"))
    return row


def _student(share: float, n: int) -> float:
    """Return Student's t over the root of n: how far a mean of n may stray, per deviation."""
    from scipy.special import stdtrit

    return float(stdtrit(n - 1, share)) / math.sqrt(n)


def sample_size(market: str, lot: int) -> int:
    """Return how many bars of a lot an inspector weighs.

    European Union and Great Britain: 30 of 100 to 500, 50 above, 20 below (destructive test).
    United States (from memory): 12 to 250, 24 to 3200, else 48. Canada: c. 417 s. 39.
    """
    if market == "US":
        return min(lot, 12 if lot <= 250 else 24 if lot <= 3200 else 48)
    if market == "CA":
        if lot <= 10:
            return lot
        return max(10, -(-lot // 4)) if lot <= 128 else 32
    if lot < 100:
        return min(lot, 20)
    return 30 if lot <= 500 else 50


def least_mean(market: str, declared: Decimal, sd: float, n: int, lot: int) -> float:
    """Return the mean [g] that n bars of a lot must reach at least.

    Parameters
    ----------
    market : str
    declared : Decimal [g]
    sd : float [g]
        Of the n bars.
    n, lot : int

    Notes
    -----
    EU and UK: declared - k s from 100 bars on, k = t(0.995; n - 1)/sqrt(n); the declared weight
    itself for smaller batches. US: s t(0.975; n - 1)/sqrt(n) may be missing (NIST Handbook 133,
    from memory). CA: as the first, for any lot, nothing where all were weighed.
    """
    if n < 2 or (market in ("EU", "UK") and lot < 100) or (market == "CA" and n >= lot):
        return float(declared)
    return float(declared) - sd * _student(0.975 if market == "US" else 0.995, n)


@dataclass(frozen=True)
class LotDecision:
    """Whether the weights of a lot would pass the inspector's test.

    Attributes
    ----------
    passes : bool
    mean, sd, least : float [g]
    short, very_short : int
        Bars that miss the declared weight by more than once and more than twice the tolerance.
    reasons : tuple of str
        "mean", "short" or "very short": what it fails by.
    """

    passes: bool
    mean: float
    sd: float
    least: float
    short: int
    very_short: int
    reasons: tuple[str, ...]


def lot_decision(
    law: Law, market: str, declared: Decimal, weights: Sequence[Decimal], lot: int
) -> LotDecision:
    """Return what the weights of a sample say of its lot.

    Raises
    ------
    ReadableError
        No bar was weighed.
    """
    n = len(weights)
    if not n:
        raise ReadableError("Net weight", "No bar was weighed.", "Weigh some of the lot.")
    allowed = tolerance(law, market, declared)
    mean = float(sum(weights, Decimal(0)) / n)
    sd = math.sqrt(sum((float(one) - mean) ** 2 for one in weights) / max(n - 1, 1))
    least = least_mean(market, declared, sd, n, lot)
    short = sum(is_short(declared, one, allowed) for one in weights)
    very = sum(is_short(declared, one, 2 * allowed) for one in weights)
    most_short, most_very = _most_short(market, n)
    failed = {
        # A mean that equals the limit passes; the last digit of a root must not decide.
        "mean": mean < least - 1e-9,
        "short": short > most_short,
        "very short": very > most_very,
    }
    reasons = tuple(name for name, fails in failed.items() if fails)
    return LotDecision(not reasons, mean, sd, least, short, very, reasons)


def _most_short(market: str, n: int) -> tuple[int, int]:
    """Return how many bars of n may be short by more than one and two tolerances."""
    if market == "US":
        return (1 if n >= 48 else 0), n
    if market == "CA":
        return (0 if n <= 8 else 1 if n <= 20 else 2), 1
    return int(0.025 * n), 0


def target(declared: Decimal, allowed: Decimal, sd: float, n: int) -> float:
    """Return the mean weight [g] to aim at when packing, so that a lot of n bars passes.

    Own rule: the largest of Q + 1.645 s/sqrt(n), Q - T + 1.96 s and Q - 2 T + 3.72 s.
    """
    q, t = float(declared), float(allowed)
    return max(q + 1.645 * sd / math.sqrt(n), q - t + 1.96 * sd, q - 2 * t + 3.72 * sd)


def wet_target(mean: float, lost: float, division: Decimal) -> Decimal:
    """Return what a bar must weigh wet [g], on the scale's next division.

    Parameters
    ----------
    mean : float [g]
        To aim at when packing.
    lost : float [1]
        Mass lost on curing over wet mass.
    division : Decimal [g]
    """
    wet = Decimal(repr(mean / (1 - lost)))
    return (wet / division).to_integral_value(ROUND_CEILING) * division
