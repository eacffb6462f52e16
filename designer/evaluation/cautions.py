"""Cautions: what a person must hear beside the readings, each with a code and a sentence."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.knowledge import central
from designer.evaluation.melt_table import GRID, blend_of, clear_point
from designer.evaluation.preservatives import (
    ACIDIFIERS,
    ACIDS,
    BOOSTERS,
    CARRIERS,
    is_preservative,
    names_of,
)
from designer.evaluation.readings import outside_model, standings
from designer.evaluation.remembered import remembered
from designer.handbook import Handbook, Liquid, Powder
from designer.handbook import acids as acid_tables
from designer.laws.acidity import undissociated_share
from designer.recipe import QS
from designer.vocabulary import from_si


@dataclass(frozen=True)
class Caution:
    """One thing to watch.

    Attributes
    ----------
    code : str
        For machines, lower case with underscores.
    text : str
        What is so, and what to do.
    ingredient : str or None
    serious : bool
        Whether the recipe must not be praised without it.
    """

    code: str
    text: str
    ingredient: str | None = None
    serious: bool = False


@remembered
def cautions(result: Evaluation, variant: int) -> tuple[Caution, ...]:
    """Return the cautions of a variant, the serious ones first."""
    found = [one for rule in _RULES for one in rule(result, variant)]
    return tuple(sorted(found, key=lambda one: not one.serious))


def _total(result: Evaluation, variant: int) -> Iterator[Caution]:
    total, excess = result.amounts.totals[variant], result.amounts.excess[variant]
    number = result.recipe.numbers[variant]
    fills = any(row.percents.get(number) is QS for row in result.recipe.rows)
    if fills and excess > 0.005:
        yield Caution(
            "qs_excess",
            f"The other rows already make {100 + excess:.2f} %, so the q.s. row is 0. "
            f"Take {excess:.2f} % out.",
            serious=True,
        )
    elif abs(total - 100) > 0.005:
        off, need = abs(total - 100), "missing" if total < 100 else "too much"
        yield Caution(
            "total_not_hundred",
            f"The percentages make {total:.2f}, {off:.2f} {need}; they were evaluated brought to "
            '100. Mend the percent of a row, or let one fill up with "q.s.".',
        )


def _keys(result: Evaluation, variant: int) -> Iterator[Caution]:
    if strange := result.recipe.unknown:
        yield Caution(
            "unknown_key",
            f"The file says things that are not known here and were passed over: "
            f"{', '.join(strange[:6])}{' and others' if strange[6:] else ''}. "
            "If one is misspelt, mend it.",
        )


def _contradictions(result: Evaluation, variant: int) -> Iterator[Caution]:
    """Yield rows whose name and INCI name are two things: the name was taken."""
    for row in result.recipe.rows:
        found = result.handbook.find(row.name, row.phase)
        if found is None or not row.inci:
            continue
        if " ".join(row.inci.casefold().split()) != found.inci.casefold():
            yield Caution(
                "name_and_inci_differ",
                f'"{row.name}" was taken as {found.inci}, but its row says {row.inci}. The grade '
                "decides the dough: mend one of the two.",
                row.name,
                serious=result.handbook.find(row.inci, row.phase) is not None,
            )


def _absent(result: Evaluation, variant: int) -> Iterator[Caution]:
    """Yield rows that have no figure in this variant, though others have one."""
    number = result.recipe.variants[variant].number
    for row in result.recipe.rows:
        if row.percents and number not in row.percents:
            yield Caution(
                "absent_in_variant",
                f'"{row.name}" has no figure in variant {number} and counts as 0 there. '
                "Write 0 if that is meant.",
                row.name,
            )


def _unknown(result: Evaluation, variant: int) -> Iterator[Caution]:
    for name in result.mixture.unknown:
        told = f'"{name}" is not in the handbook. The middle of the class that the file gives it '
        if kind := result.handbook.gone(name):
            told = f'"{name}" was taken out of your pantry. The middle of a {kind} '
        yield Caution(
            "unknown_ingredient",
            f"{told}stands in, with a wide spread; rub it out or try it small.",
            name,
        )


def _unheated(result: Evaluation, variant: int) -> Iterator[Caution]:
    for name in result.mixture.unheated:
        yield Caution(
            "not_heated",
            f'"{name}" is a melt material outside phase melt. Only the melt is heated: it was '
            "counted as melted all the same. Move the row to phase melt.",
            name,
        )


def _outside(result: Evaluation, variant: int) -> Iterator[Caution]:
    if why := outside_model(result, variant):
        yield Caution(
            "outside_model", f"Outside the model: {why}. No chance is given.", serious=True
        )


def _greasy(result: Evaluation, variant: int) -> Iterator[Caution]:
    p, one = result.handbook.parameters, result.forecasts[variant]
    oil = float(result.spread(one.oil_share).value)
    wetness = float(result.spread(one.wetness[result.knead]).value)
    if oil > p["greasy_oil_share"].si and wetness > p["greasy_wetness"].si:
        yield Caution(
            "greasy",
            f"{100 * oil:.0f} % of all that is liquid or fat is fat: expect a greasy dough. "
            "Less butter or oil, or more powder.",
        )


def _ranges(result: Evaluation, variant: int) -> Iterator[Caution]:
    for one in standings(result, variant):
        if one.where != "within":
            unit = "%" if one.unit.startswith("%") else one.unit
            digits = 1 if unit == "%" else 2
            yield Caution(
                "outside_known_good",
                f"{one.quantity.capitalize()} is {one.where} the known-good range: "
                f"{one.value:.{digits}f} against {one.low:.{digits}f} to "
                f"{one.high:.{digits}f} {unit} "
                "(common practice).",
            )


def _bath(result: Evaluation, variant: int) -> Iterator[Caution]:
    p = result.handbook.parameters
    bath = result.conditions.bath
    melt = result.forecasts[variant].mixture
    blend = blend_of(melt.melts, melt.melt_shares[0])
    if not blend:
        return
    if bath < p["bath_least"].si:
        yield Caution(
            "bath_low",
            f"The bath is below {from_si(p['bath_least'].si, '°C'):.0f} °C: some of the melt may "
            "never have melted. Heat it to 65 to 75 °C.",
        )
    clear = float(clear_point(result.handbook, blend, central())[0])
    wanted = clear + p["bath_margin"].si
    if not np.isfinite(clear) or bath < wanted - 0.05:
        told = f"above {from_si(GRID[-1], '°C'):.0f} °C"
        if np.isfinite(clear):
            told = f"about {from_si(clear, '°C'):.0f} °C, so about {from_si(wanted, '°C'):.0f} °C"
        yield Caution(
            "bath_below_clear_point",
            f"The bath should be {p['bath_margin'].si:.0f} K above where this melt clears: {told}. "
            "Heat until no grain is left, then pour.",
        )
    if bath > p["bath_warning"].si:
        yield Caution(
            "bath_hot",
            f"A melt above {from_si(p['bath_warning'].si, '°C'):.0f} °C burns at once and drives "
            "off scent. Cool it first.",
        )


def _cationic(result: Evaluation, variant: int) -> Iterator[Caution]:
    parts = _present(result, variant)
    if not any(one.surfactant_charge == "anionic" for one, _ in parts):
        return
    for one, _ in parts:
        if isinstance(one, Liquid) and one.surfactant_charge == "cationic":
            yield Caution(
                "cationic_liquid",
                f'"{one.name}" is a cationic liquid among anionic surfactants: they pair, and may '
                "make lumps and cost lather. The model does not know of it. Try it small.",
                one.name,
            )


def _present(result: Evaluation, variant: int) -> list[tuple[Powder | Liquid, float]]:
    parts = result.mixture.solids_and_liquids(variant)
    return [(one, share) for one, share in parts if share > 0]


def _preservative(result: Evaluation, variant: int) -> Iterator[Caution]:
    parts = _present(result, variant)
    acids = [
        (one, record)
        for one, _ in parts
        for record in dict.fromkeys(ACIDS[name] for name in names_of(one) if name in ACIDS)
    ]
    others = [
        one
        for one, _ in parts
        if is_preservative(one, result.handbook)
        and any(_preserves_alone(name) for name in names_of(one))
    ]
    if not acids and not others:
        boosters = [one for one, _ in parts if any(name in BOOSTERS for name in names_of(one))]
        if float(result.forecasts[variant].water @ result.weights) > 0:
            yield _unpreserved(boosters)
        return
    if not acids:
        return
    weak = not others and _hardly_acid(parts, result.handbook)
    yield Caution(
        "weak_preservative" if weak else "preservative_needs_acid",
        _acid_words(result.handbook, list(dict.fromkeys(record for _, record in acids)), weak),
        acids[0][0].name,
        serious=weak,
    )


def _preserves_alone(name: str) -> bool:
    """Return whether a name is a preservative that needs neither acid nor another beside it."""
    return name not in ACIDS and name not in CARRIERS and name not in BOOSTERS


def _unpreserved(boosters: list[Powder | Liquid]) -> Caution:
    """Return the caution of a dough with water and no preservative; boosters count as none."""
    decides = (
        "Whether the bar keeps is for a laboratory's challenge test and a qualified assessor to "
        "say."
    )
    if not boosters:
        return Caution(
            "no_preservative",
            f"No preservative was recognised, and there is water. {decides}",
            serious=True,
        )
    return Caution(
        "no_preservative",
        f'"{boosters[0].name}" helps a preservative and is none by itself; no other was '
        f"recognised, and there is water. {decides}",
        boosters[0].name,
        serious=True,
    )


def _acid_words(handbook: Handbook, records: list[str], weak: bool) -> str:
    active = [
        f"{record} {_active_percent(record, 5.0)} % at pH 5, "
        f"{_active_percent(record, 6.0)} % at pH 6"
        for record in records
    ]
    benzoate, others = (
        handbook.parameters[f"highest_ph_{name}"].si for name in ("benzoate", "acid_preservative")
    )
    highest = min(benzoate if record == "Benzoic Acid" else others for record in records)
    text = f"What protects is the undissociated acid alone: {'; '.join(active)}. "
    if weak:
        text += "This recipe has next to no acid, or alkaline liquids: the preservative is weak. "
    return text + (
        f"Measure the pH of a 10 % slurry: it must be {highest:g} or lower (common practice); "
        "a laboratory's challenge test decides."
    )


def _active_percent(record: str, ph: float) -> str:
    return f"{100 * float(undissociated_share(ph, acid_tables.load().acids[record].pka[0])):.2g}"


def _hardly_acid(parts: list[tuple[Powder | Liquid, float]], handbook: Handbook) -> bool:
    p = handbook.parameters
    acid = sum(
        share * (one.active_fraction if isinstance(one, Liquid) else 1.0)
        for one, share in parts
        if any(name in ACIDIFIERS for name in names_of(one))
    )
    alkaline = sum(
        share
        for one, share in parts
        if isinstance(one, Liquid) and one.ph is not None and one.ph >= p["alkaline_ph"].si
    )
    return acid < p["least_acid"].si or alkaline > p["much_alkaline_liquid"].si


def _work(result: Evaluation, variant: int) -> Iterator[Caution]:
    """Yield the usual cautions of the work that this recipe calls for."""
    parts = _present(result, variant)
    dusty = [
        one.name for one, _ in parts if isinstance(one, Powder) and one.dust_hazard == "irritant"
    ]
    if dusty:
        yield Caution(
            "dust",
            f"Irritant dust ({', '.join(dusty[:3])}{' and others' if dusty[3:] else ''}): mask "
            "FFP2 or better, glasses, no fan, wipe wet, children and pets out.",
        )
    if result.mixture.melt_fraction[variant] > 0:
        yield Caution(
            "hot_melt", "The melt and its bath burn: gloves, sleeves, and a lid against steam."
        )
    for one, _ in parts:
        strong = (
            isinstance(one, Liquid)
            and one.material_class == "acid"
            and one.active_fraction >= result.handbook.parameters["strong_share"].si
        )
        if strong or "Sodium Hydroxide" in names_of(one):
            yield Caution(
                "strong_acid_or_alkali",
                f'"{one.name}" burns skin and eyes: gloves and glasses, and add it to the liquids.',
                one.name,
            )


_RULES: tuple[Callable[[Evaluation, int], Iterator[Caution]], ...] = (
    _outside,
    _total,
    _keys,
    _contradictions,
    _absent,
    _unknown,
    _unheated,
    _greasy,
    _preservative,
    _cationic,
    _bath,
    _ranges,
    _work,
)
