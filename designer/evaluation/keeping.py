"""Whether the bar keeps: what preserves it, under which pH, with how much free water.

None of these checks ever says that it keeps: only a laboratory can.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from designer.evaluation.acidity import Acidity, acidity, protection
from designer.evaluation.composition import WATER, Amount, Composition
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.limits import judged
from designer.evaluation.preservatives import ACIDS, BOOSTERS
from designer.evaluation.spread import Spread
from designer.evaluation.verdicts import CLOSE, MEASURE, NOT_CHECKED, OVER, Check
from designer.evaluation.water_activity import water_activity
from designer.handbook.law import Law

__all__ = ["Keeping", "keeping_checks", "keeping_of"]

LOW_RISK = Decimal("0.75")
"""Water activity reported for ISO 29621; the standard's own text was not read."""

LEAST_ACID_FORM = Decimal(10)
"""Percent of a preservative acid that must at least be undissociated; own line: benzoic acid has
it up to about pH 5.1, sorbic up to 5.7."""


@dataclass(frozen=True)
class Keeping:
    """What the laws say of keeping, from the recipe alone.

    Attributes
    ----------
    ph : Amount or None
        Of the 10 % slurry, 80 % interval.
    ph_missing : tuple of str
        Ingredients whose acidity nobody has declared.
    undissociated : mapping of acid to Amount [percent of it]
    activity : Amount or None
        Of the cured bar.
    volatile : tuple of str
        Ingredients that disturb a water activity meter.
    highest_ph : mapping of acid to Decimal
        pH of the slurry up to which it is used; common practice, no source.
    is_measured : bool
        Whether the maker read the pH.
    """

    ph: Amount | None = None
    ph_missing: tuple[str, ...] = ()
    undissociated: Mapping[str, Amount] | None = None
    activity: Amount | None = None
    volatile: tuple[str, ...] = ()
    highest_ph: Mapping[str, Decimal] | None = None
    is_measured: bool = False


def keeping_of(
    result: Evaluation, variant: int, told_acidity: Acidity | None = None, is_measured: bool = False
) -> Keeping:
    """Return what acidity and water activity say of a variant.

    Parameters
    ----------
    result : Evaluation
    variant : int
    told_acidity : Acidity, optional
        With what the maker declared of materials or measured; from the recipe alone unless given.
    is_measured : bool
        Whether the maker read the pH of the slurry.
    """
    slurry = (told_acidity or acidity(result, variant)).cured
    told = is_measured or not slurry.missing
    activity = water_activity(result, variant)
    p = result.handbook.parameters
    highest = {
        acid: Decimal(repr(p["highest_ph_acid_preservative"].si)) for acid in set(ACIDS.values())
    }
    highest["Benzoic Acid"] = Decimal(repr(p["highest_ph_benzoate"].si))
    return Keeping(
        _rounded(slurry.spread, 1, "0.01") if told else None,
        slurry.missing,
        {one.acid: _rounded(one.undissociated, 100, "0.01") for one in protection(slurry)}
        if told
        else {},
        _rounded(activity.cured, 1, "0.001"),
        activity.volatile,
        highest,
        is_measured,
    )


def _rounded(one: Spread, factor: float, step: str) -> Amount:
    low, typical, high = (
        Decimal(repr(factor * float(end))).quantize(Decimal(step))
        for end in (one.low, one.value, one.high)
    )
    return Amount(low, typical, high)


def keeping_checks(made: Composition, law: Law, market: str, told: Keeping) -> list[Check]:
    """Return the checks on preservatives, slurry pH and water activity."""
    return [*_preservatives(made, law, told), _slurry(told, law), _activity(told, law)]


def _preservatives(made: Composition, law: Law, told: Keeping) -> Iterator[Check]:
    kept = [one for one in made.supplied if one.preserves]
    listed = {rule.name for rule in law.use_limits if rule.purpose == "preservative"}
    names = dict.fromkeys(p.component for one in kept for p in one.parts if p.level == 1)
    acids = [name for name in names if name in ACIDS]
    others = [
        name for name in names if name in listed and name not in ACIDS and name not in BOOSTERS
    ]
    boosters = [name for name in names if name in BOOSTERS]
    materials = tuple(dict.fromkeys(one.name for one in kept))
    if not acids and not others:
        if made.percent(WATER, "added").typical > 0:
            yield _unpreserved(boosters, materials, law)
        return
    yield Check(
        "efficacy",
        ", ".join([*others, *acids]),
        MEASURE,
        note="An amount within its limit does not show that it is enough. Surfactants, clays and "
        "proteins bind preservatives: only a laboratory's challenge test (ISO 11930) tells.",
        materials=materials,
        source="ISO 11930, summary read",
        standing="secondary",
        evidence="published",
        as_of=law.as_of,
    )
    for name in acids:
        yield _acid(made, name, bool(others), told, law)


def _unpreserved(boosters: list[str], materials: tuple[str, ...], law: Law) -> Check:
    note = "No preservative was recognised, and there is water."
    if boosters:
        note = (
            f"{', '.join(boosters)} help a preservative and are none by themselves; no other was "
            "recognised, and there is water."
        )
    return Check(
        "no_preservative",
        ", ".join(boosters),
        MEASURE,
        note=f"{note} Whether the bar keeps is for a risk assessment (ISO 29621) and a "
        "laboratory's challenge test (ISO 11930) to say.",
        materials=materials,
        source="absence from Annex V of Reg 1223/2009, from memory",
        standing="memory",
        evidence="memory",
        as_of=law.as_of,
    )


def _acid(made: Composition, name: str, helped: bool, told: Keeping, law: Law) -> Check:
    """Return whether an acid is in the form that preserves, from the estimated pH.

    Even where it is, the verdict is to measure: the pH is worked out from the recipe alone.
    """
    record = ACIDS[name]
    highest = (told.highest_ph or {}).get(record)
    share = (told.undissociated or {}).get(record)
    found = made.find(name)
    note = "Only its undissociated part preserves, and that falls as the pH rises. "
    if told.ph is None or highest is None:
        verdict = MEASURE
        note += "The pH could not be worked out: measure that of a 10 % slurry."
    else:
        over = judged(told.ph, highest)
        verdict = over if over == OVER else CLOSE if told.ph.high > highest else MEASURE
        known = f"worked out at pH {told.ph.typical:.1f} "
        known += f"({told.ph.low:.1f} to {told.ph.high:.1f})"
        if told.is_measured:
            known = f"stated as measured at pH {told.ph.typical:.1f}"
        note += f"The slurry is {known}; up to {highest:g} is common practice. "
        note += "Measure it again in each lot." if told.is_measured else "Measure it."
    if verdict == OVER:
        note += " It is weak as it stands: bring the pH down."
    if helped:
        note += " It is not the only preservative."
    return Check(
        "acid_form",
        name,
        verdict,
        share,
        "%",
        "undissociated, of the acid in the slurry",
        LEAST_ACID_FORM if share is not None else None,
        note=note,
        materials=found.materials if found else (),
        source="Henderson and Hasselbalch; charge balance of the slurry",
        evidence="estimate",
        as_of=law.as_of,
    )


def _slurry(told: Keeping, law: Law) -> Check:
    note = (
        "A bar has no pH, its slurry has one. Grate 10 g into 90 g of boiled, cooled water at "
        "25 °C, use an electrode calibrated at 4.01 and 7.00, read again after an hour. Strips "
        "are off by up to 1 in surfactant."
    )
    is_read = told.is_measured
    if told.ph is None:
        missing = ", ".join(told.ph_missing) or "an ingredient"
        note = f"Not worked out: the acidity of {missing} is not known. {note}"
    return Check(
        "slurry_ph",
        "pH of the 10 % slurry",
        MEASURE,
        told.ph,
        "1",
        "as the maker measured it" if is_read else "worked out from the recipe alone, cured bar",
        note=note,
        source="the maker's reading"
        if is_read
        else "charge balance with activity coefficients after Davies",
        evidence="measured" if is_read else "estimate",
        as_of=law.as_of,
    )


def _activity(told: Keeping, law: Law) -> Check:
    if told.activity is None:
        return Check("water_activity", "water activity", NOT_CHECKED, as_of=law.as_of)
    note = (
        "It is not a measurement and decides nothing. A bar in a wet dish is at water activity 1 "
        "on its surface whatever it was in the shop, and little water stops growth but kills "
        "nothing. Low risk, or leaving a preservative out, needs a measured value, a risk "
        "assessment (ISO 29621) and, unless that says otherwise, a challenge test (ISO 11930)."
    )
    if told.volatile:
        note += f" With {', '.join(told.volatile)} the meter must be one made for such vapours."
    return Check(
        "water_activity",
        "water activity of the cured bar, equalised",
        MEASURE,
        told.activity,
        "1",
        "worked out from the recipe alone",
        LOW_RISK,
        note=note,
        source="figure reported for ISO 29621; the standard was not read",
        standing="secondary",
        evidence="published",
        as_of=law.as_of,
    )
