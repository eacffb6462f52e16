"""The label in words: notes on the list, the weight, cautions in English and French."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from designer.evaluation.composition import Composition
from designer.evaluation.label import LabelFacts
from designer.evaluation.label_sheet import LabelSheet
from designer.evaluation.net_content import plain_figure
from designer.handbook.law import Law
from designer.wording.assessed import standing_words
from designer.wording.checks import MARKET_NAMES, figure

__all__ = [
    "FACT_WORDS",
    "TwoLanguages",
    "cautions_to_print",
    "fact_lines",
    "label_notes",
    "missing_words",
    "weight_lines",
]


@dataclass(frozen=True)
class TwoLanguages:
    """A sentence to print, in English and French; `why` is for the maker alone."""

    english: str
    french: str
    why: str = ""


_ALWAYS = (
    TwoLanguages(
        "Avoid contact with eyes. If it gets into the eyes, rinse well with water.",
        "Éviter le contact avec les yeux. En cas de contact, rincer abondamment à l'eau.",
        "surfactant irritates eyes",
    ),
    TwoLanguages(
        "Lather in the hands first.",
        "Faire mousser dans les mains d'abord.",
        "a solid rubbed on the scalp is far stronger than its lather",
    ),
    TwoLanguages(
        "Try a little lather on the inner arm first; stop if it stings or reddens.",
        "Essayer d'abord un peu de mousse à l'intérieur du bras; arrêter en cas de picotement "
        "ou de rougeur.",
        "advice, not a test",
    ),
    TwoLanguages(
        "For external use only. Keep out of reach of children.",
        "Usage externe. Tenir hors de la portée des enfants.",
        "common practice, no source",
    ),
)

_RELEASES = TwoLanguages(
    "Releases formaldehyde.",
    "Libère du formaldéhyde.",
    "Reg (EU) 2022/1181 where more than 0.001 % can be released",
)

_SALICYLIC = TwoLanguages(
    "Not to be used for children under 3 years of age.",
    "Ne pas employer pour les enfants de moins de 3 ans.",
    "Salicylic Acid: Reg 1223/2009 Annex V/3",
)

_METHYL_SALICYLATE = TwoLanguages(
    "Not to be used for children under 6 years of age.",
    "Ne pas employer pour les enfants de moins de 6 ans.",
    "Methyl Salicylate: Reg (EU) 2022/1531, from a summary",
)

_YOUNG = TwoLanguages(
    "Not for children under 3 years of age.",
    "Ne convient pas aux enfants de moins de 3 ans.",
    "menthol, camphor or eucalyptus; from memory",
)

_SHARE_OF_YIELD = Decimal("0.001")


def cautions_to_print(made: Composition, law: Law) -> tuple[TwoLanguages, ...]:
    """Return the cautions that a label of this composition should carry.

    The usual ones, and those that an ingredient asks for. Other languages are the maker's own
    lines.
    """
    return (*_ALWAYS, *_asked(made, law))


def _asked(made: Composition, law: Law) -> Iterator[TwoLanguages]:
    released = sum(
        (
            one.all.typical * (row.limit or Decimal(0)) / 100
            for one in made.ingredients.values()
            if (row := law.watching("releaser", one.inci))
        ),
        Decimal(0),
    )
    if released > _SHARE_OF_YIELD:
        yield _RELEASES
    if made.find("Salicylic Acid") or made.find("Sodium Salicylate"):
        yield _SALICYLIC
    if made.find("Methyl Salicylate"):
        yield _METHYL_SALICYLATE
    if any(
        law.watching("children", one.inci) and one.all.typical >= Decimal("0.01")
        for one in made.ingredients.values()
    ):
        yield _YOUNG


FACT_WORDS = {
    "product": "name of the product",
    "function": "what it is for",
    "batch": "batch number",
    "durability": "best-before date, or months after opening",
    "responsible": "responsible person or business",
    "address": "address",
    "contact": "contact",
    "weight": "net weight",
    "origin": "country of origin, if imported",
}
"""What a fact on the label is called."""


def missing_words(sheet: LabelSheet) -> str:
    """Return which facts a label of this market still needs, "" for none."""
    if not sheet.missing:
        return ""
    names = ", ".join(FACT_WORDS[name] for name in sheet.missing)
    return f"Still missing for {_the(sheet.market)}: {names}."


def _the(market: str) -> str:
    name = MARKET_NAMES[market]
    return f"the {name}" if market in ("EU", "US") else name


def fact_lines(facts: LabelFacts) -> tuple[tuple[str, str], ...]:
    """Return the stated facts as pairs of what it is and what is printed."""
    pairs = (
        ("product", facts.product),
        ("function", facts.function),
        ("batch number", facts.batch),
        ("made", facts.made.isoformat() if facts.made else ""),
        ("best before", facts.best_before.isoformat() if facts.best_before else ""),
        ("after opening", f"{facts.months_open} M" if facts.months_open else ""),
        ("responsible", facts.responsible),
        ("address", facts.address),
        ("contact", facts.contact),
        ("origin", facts.origin),
        *(("own line", line) for line in facts.own_lines),
    )
    return tuple((words, text) for words, text in pairs if text)


def weight_lines(sheet: LabelSheet) -> tuple[tuple[str, str], ...]:
    """Return the net weight as pairs: both units, what a bar may miss, height of the figures."""
    one = sheet.declaration
    if one is None or sheet.tolerance is None or sheet.short_limit is None:
        return (("net weight", "Not stated: state the weight of a bar when packed."),)
    name = "variation allowed" if sheet.market == "US" else "shortfall allowed"
    # Cut towards the heavier bar, so that no printed figure allows more than the table does.
    allowed = plain_figure(sheet.tolerance.quantize(Decimal("0.01"), ROUND_FLOOR))
    least = plain_figure(sheet.short_limit.quantize(Decimal("0.1"), ROUND_CEILING))
    pairs = [
        ("net weight", one.text),
        (
            "in both units",
            f"{plain_figure(one.ounces)} oz, {plain_figure(one.grams)} g, never rounded up",
        ),
        (name, f"{allowed} g for a single bar; no bar below {least} g"),
    ]
    if sheet.height is None:
        pairs.append(("figures", "Their least height goes by the panel: state its area in cm2."))
    else:
        height = plain_figure(sheet.height.height_mm.quantize(Decimal("0.1")))
        mark = ": verify" if sheet.height.standing == "memory" else ""
        pairs.append(("figures", f"at least {height} mm high ({sheet.height.source}{mark})"))
    return tuple(pairs)


def label_notes(sheet: LabelSheet) -> tuple[str, ...]:
    """Return what must be said beside the list, each a sentence or two."""
    return tuple(
        note
        for rule in (_outside, _group_note, _unknown, _allergens, _two_names, _bases, _market)
        for note in rule(sheet)
    )


def _outside(sheet: LabelSheet) -> Iterator[str]:
    if sheet.standing is not None and sheet.standing.is_outside:
        yield standing_words(sheet.standing)


def _group_note(sheet: LabelSheet) -> Iterator[str]:
    small = sheet.ingredients.of("small")
    if len(small) > 1:
        at = "at or below" if sheet.market in ("US", "CA") else "below"
        yield f"From {small[0].name} to {small[-1].name} all are {at} 1 % and may go in any order."


def _unknown(sheet: LabelSheet) -> Iterator[str]:
    for one in sheet.ingredients.entries:
        if not one.known:
            yield f'The INCI name of "{one.name}" is not known: ask its supplier before you print.'
        elif one.guessed:
            yield (
                f"How much {one.name} there is in its material is not known, so its place in the "
                "list is a guess: ask for the composition."
            )
    if sheet.untold:
        yield (
            f"Which fragrance allergens {', '.join(sheet.untold)} may bring is not known, and none "
            "was taken as absent: the list is not whole until you have the supplier's statement."
        )


def _allergens(sheet: LabelSheet) -> Iterator[str]:
    for decision, words in (
        ("prohibited", "{} may not be in it at all."),
        ("may", "{} may be above the threshold with another lot: look at the certificate."),
    ):
        names = [one.allergen.name for one in sheet.allergens if one.decision == decision]
        if names:
            yield words.format(", ".join(names))


def _two_names(sheet: LabelSheet) -> Iterator[str]:
    for one in sheet.ingredients.entries:
        if one.brought and ("Oil" in one.name or "Extract" in one.name):
            yield (
                f"{one.name} is the name that the allergen list gives to an oil which stands here "
                "under its own name too; whether one of them is enough is for your assessor."
            )


_GROUP_WORDS = {
    "ordered": "in order of weight",
    "small": "among the small ones",
    "colour": "among the colours",
    "scent": "at the end",
}

_DECISION_WORDS = {
    "declare": "to be named",
    "may": "may have to be named",
    "below": "not to be named",
    "prohibited": "prohibited",
}


def _bases(sheet: LabelSheet) -> Iterator[str]:
    loss = sheet.made.loss
    if loss is None or sheet.differences is None:
        yield "What the bar loses on curing is not known: only the basis as added was looked at."
        return
    told = figure(loss.typical)
    if not sheet.differences:
        yield f"As cured (water lost {told} %, {loss.source}) the list is the same."
        return
    yield (
        f"As added and as cured (water lost {told} %, {loss.source}) the lists differ; which one "
        "holds is for your assessor, this one is as " + sheet.basis + "."
    )
    for name, first, second in sheet.differences.moved:
        yield f"{name}: place {first} as added, place {second} as cured."
    for name, before, after in sheet.differences.regrouped:
        yield f"{name}: {_GROUP_WORDS[before]} as added, {_GROUP_WORDS[after]} as cured."
    for name, before, after in sheet.differences.decided:
        yield f"{name}: {_DECISION_WORDS[before]} as added, {_DECISION_WORDS[after]} as cured."


_MARKET_NOTES = {
    "EU": "New names of fragrance allergens (Reg (EU) 2023/1545): for bars new on the market "
    "since 31 July 2026, for all by 31 July 2028 (from a summary).",
    "UK": "Great Britain's own list of fragrance allergens was taken as the older one of 24 "
    "names, from memory; Northern Ireland follows the European Union.",
    "US": "A bar that cleans by surfactants is a cosmetic and not soap (21 CFR 701.20). "
    "Fragrance allergens: the rule announced in 21 USC 364e was not seen in force. Without "
    'evidence for it the label must say "Warning: The safety of this product has not been '
    'determined." (21 CFR 740.10).',
    "CA": "English and French are both needed, except for INCI names. Dates for new names of "
    "fragrance allergens follow those of the European Union.",
}


def _market(sheet: LabelSheet) -> Iterator[str]:
    yield _MARKET_NOTES[sheet.market]
