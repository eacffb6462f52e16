"""Water activity, pH of the slurry and the acid to a target, as the page of checks tells them."""

from collections.abc import Iterable
from dataclasses import dataclass

from designer.evaluation.acidity import Acidity, Dose, Protection, Source
from designer.evaluation.spread import Spread
from designer.evaluation.water_activity import WaterActivity
from designer.quantities import written

__all__ = [
    "KeepingWords",
    "dose_lines",
    "missing_lines",
    "reading_lines",
    "source_lines",
]

_LEAST = 5e-5
"""Share of the dough below which a dose is nothing to weigh."""

_NAMES = {
    "citric acid": "citric, anhydrous",
    "citric acid monohydrate": "citric, monohydrate",
    "lactic acid 80 %": "lactic, 80 %",
}
"""What the acids are called where the head says that they are acids."""

_BASIS = {
    "declared": "as you state it",
    "table": "table of the material",
    "class": "usual of its class",
    "formula": "its formula tells its ions",
}


@dataclass(frozen=True)
class KeepingWords:
    """What is told of keeping.

    Attributes
    ----------
    readings : tuple of (name, of the fresh dough, of the cured bar)
    missing : tuple of str
        What is not told, and why, as sentences.
    target : float
    doses : tuple of (acid, percent of the dough, grams in the batch, pH at 80 / 100 / 120 %)
    why_no_dose : str
        Why no acid is named, "" where it is.
    sources : tuple of (material, pH of its 10 % solution, whose it is)
    """

    readings: tuple[tuple[str, str, str], ...]
    missing: tuple[str, ...]
    target: float
    doses: tuple[tuple[str, str, str, str], ...]
    why_no_dose: str
    sources: tuple[tuple[str, str, str], ...]


def reading_lines(
    activity: WaterActivity,
    slurries: Acidity,
    measured: float | None,
    found: Iterable[Protection],
) -> tuple[tuple[str, str, str], ...]:
    """Return the estimates of the fresh dough and of the cured bar.

    Parameters
    ----------
    activity : WaterActivity
    slurries : Acidity
    measured : float or None
        pH that the maker read of the cured bar's slurry.
    found : iterable of Protection
        Preservative acids of the cured bar.
    """
    lines = []
    if not activity.why_not:
        fresh, cured = _interval(activity.fresh, 2), _interval(activity.cured, 2)
        lines.append(("water activity", fresh, cured))
    if measured is not None:
        lines.append(("pH, 10 % slurry", "", f"{measured:.1f}, as measured"))
    elif not slurries.why_not:
        fresh, cured = _interval(slurries.added.spread, 1), _interval(slurries.cured.spread, 1)
        lines.append(("pH, 10 % slurry", fresh, cured))
    if measured is not None or not slurries.why_not:
        for one in found:
            share = one.undissociated
            ends = f"{_percent(share.low)}\N{EN DASH}{_percent(share.high)}"
            lines.append((f"{one.acid} that preserves", "", f"{_percent(share.value)} % ({ends})"))
    return tuple(lines)


def missing_lines(activity: WaterActivity, slurries: Acidity) -> tuple[str, ...]:
    """Return what is not told, and why."""
    found = (("Water activity", activity.why_not), ("pH", slurries.why_not))
    return tuple(f"{name} is not told: {why}." for name, why in found if why)


def dose_lines(doses: Iterable[Dose], batch: float) -> tuple[tuple[str, str, str, str], ...]:
    """Return what each acid takes to the target; `batch` is the dough weighed in [kg]."""
    lines = []
    for one in doses:
        name = _NAMES.get(one.material, one.material)
        share = float(one.share.value)
        if not one.is_needed:
            words = "none: at or below it" if share <= 0 else "cannot get there"
            lines.append((name, words, "", ""))
            continue
        low, high = (max(float(end), 0.0) for end in (one.share.low, one.share.high))
        percent = f"{100 * share:.2f} % ({100 * low:.2f}\N{EN DASH}{100 * high:.2f})"
        if share < _LEAST:
            lines.append((name, f"next to none, up to {100 * high:.2f} %", "", ""))
            continue
        after = " / ".join(f"{float(spread.value):.1f}" for spread in one.after.values())
        lines.append((name, percent, written(share * batch, "mass"), after))
    return tuple(lines)


def source_lines(found: Iterable[Source]) -> tuple[tuple[str, str, str], ...]:
    """Return what gives or takes acid, and whose pH that is."""
    return tuple(
        (one.material, "" if one.ph is None else f"{one.ph:.1f}", _BASIS[one.basis])
        for one in found
    )


def _interval(one: Spread, places: int) -> str:
    value, low, high = (float(end) for end in (one.value, one.low, one.high))
    return f"{value:.{places}f} ({low:.{places}f}\N{EN DASH}{high:.{places}f})"


def _percent(share: object) -> str:
    value = 100 * float(share)  # type: ignore[arg-type]
    return f"{value:.0f}" if value >= 1 else "below 1"
