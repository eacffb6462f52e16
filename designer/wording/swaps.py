"""Swaps in words: what goes in, what becomes of the dough, why one is none, what else to know."""

import math

from designer.advice.offers import Broken, Figures, Move, Offer, Reason, Swaps
from designer.advice.origins import WISHES
from designer.advice.stocked import IN_STOCK, CostChange
from designer.quantities import written
from designer.vocabulary import from_si
from designer.wording.lines import kpa
from designer.wording.swap_papers import papers_words
from designer.wording.words import of_twenty

__all__ = [
    "FELT",
    "FORMULA",
    "broken_words",
    "change_words",
    "cost_words",
    "effect_words",
    "moved_words",
    "note_words",
    "offer_words",
    "origin_words",
    "refused_words",
    "remarks",
    "verdict",
]

FORMULA = (
    "A swap makes another formula: your assessor, your file and the label come first, and a 100 g "
    "trial before a batch. What was assessed is the recipe without it."
)
"""What is said with every swap."""

FELT = 0.5
"""Degrees, and points of a percentage, from which a hand or a scale notices; own choice."""

_MINUS = "\N{MINUS SIGN}"

_ASK = {
    "vegan": "whether {name} is vegan depends on its supplier",
    "no palm": "{name} may come from palm: ask its supplier",
    "sulfate-free": "whether {name} holds sulfates depends on its supplier",
    "no new allergens": "which allergens {name} brings is not known: ask its supplier",
    "in stock": "whether there is {name} cannot be told: no stock of it is kept",
}

_BREAKS = {
    "vegan": "{name} is not vegan",
    "no palm": "{name} comes from palm",
    "sulfate-free": "{name} holds a sulfate",
}

_CAUSES = {
    "softer": "the dough is softer at the knead",
    "firmer": "the dough is firmer at the knead",
    "stickier": "it makes the dough stick more",
    "less sticky": "it makes the dough stick less",
    "less sure": "how much liquid it takes up is known less surely than of {old}; a rub-out or a "
    "trial tells",
    "surer": "how the dough turns out is known more surely",
}


def verdict(answer: Swaps) -> str:
    """Return the answer in a sentence: how many stand in, and how many keep the chance."""
    amount = _percent(next(iter(answer.every)).moves[0].before) if answer.every else ""
    what = f"{amount} {answer.name}".strip()
    half = "half of " if answer.request.half else ""
    if not answer.every:
        return f"Nothing in the tables does what {answer.name} does."
    if not answer.offers:
        return f"No stand-in for {half}{what}: {_why_none(answer)}"
    number = len(answer.offers)
    things = "One stand-in" if number == 1 else f"{number} stand-ins"
    kept = sum(one.keeps_chance for one in answer.offers)
    told = f"{things} for {half}{what}"
    if answer.before.chance is None:
        return f"{told}. The model cannot tell a chance of this dough: {answer.before.outside}."
    before = f"{of_twenty(answer.before.chance)} of 20"
    if kept == number:
        word = "it keeps" if number == 1 else "all keep"
        return f"{told}; {word} the chance of a clean knead, {before}."
    if kept == 0:
        word = "it changes" if number == 1 else "each changes"
        return f"{told}; {word} the chance of a clean knead, {before} now."
    verb = "keeps" if kept == 1 else "keep"
    return f"{told}; {kept} of them {verb} the chance of a clean knead, {before}."


def _why_none(answer: Swaps) -> str:
    if len(answer.refused) == 1:
        return refused_words(answer.refused[0])
    reasons = [refused_words(one) for one in answer.refused]
    most = max(dict.fromkeys(reasons), key=reasons.count)
    return f"of {len(reasons)} looked at, the closest is {answer.refused[0].name}, but {most}"


def offer_words(offer: Offer) -> str:
    """Return what goes in: "3.99 % sal butter, with 0.36 % more cetostearyl alcohol 50/50"."""
    told = f"{_percent(offer.percent)} {offer.name}"
    for move in offer.alongside:
        joint = " and" if move is offer.alongside[-1] and len(offer.alongside) > 1 else ", with"
        told += f"{joint} {change_words(move)}"
    if offer.is_half:
        told += f"; {_percent(offer.stays)} of the old stays"
    return told


def change_words(move: Move) -> str:
    """Return how a row beside the stand-in changes."""
    amount = _percent(abs(move.change))
    if move.before == 0:
        return f"{amount} {move.name}"
    return f"{amount} {'more' if move.change > 0 else 'less'} {move.name}"


def effect_words(offer: Offer) -> str:
    """Return what becomes of the dough: only what a hand or a scale would notice."""
    before, after = offer.before, offer.after
    told = [_chance_words(before, after)]
    if after.state != before.state:
        told.append(f"{after.state} at the knead instead of {before.state}")
    told += [
        _changed("dough", before.temperature - 273.15, after.temperature - 273.15, "°C", FELT),
        _changed("melt", 100 * before.melt, 100 * after.melt, "%", FELT),
        _changed("water", 100 * before.water, 100 * after.water, "%", FELT),
        _bar_words(before, after),
        _charge_words(before, after),
    ]
    return "; ".join(part for part in told if part)


def _chance_words(before: Figures, after: Figures) -> str:
    if after.chance is None:
        return f"no forecast: {after.outside}"
    told = f"comes clean in {of_twenty(after.chance)} of 20"
    if before.chance is None:
        return told
    if of_twenty(before.chance) == of_twenty(after.chance):
        return f"{told}, as before"
    return f"{told}, before {of_twenty(before.chance)}"


def _changed(name: str, before: float, after: float, unit: str, least: float) -> str:
    if abs(after - before) < least:
        return ""
    return f"{name} {_number(after, 1)} {unit}, before {_number(before, 1)}"


def _bar_words(before: Figures, after: Figures) -> str:
    if abs(math.log(after.firmness / before.firmness)) < math.log(1.1):
        return ""
    return f"bar after a day {kpa(after.firmness)} kPa, before {kpa(before.firmness)}"


def _charge_words(before: Figures, after: Figures) -> str:
    """Return active surfactant by charge, where it changes by half a point."""
    first, last = dict(before.by_charge), dict(after.by_charge)
    told = [
        f"{charge} {100 * last.get(charge, 0.0):.1f} %, before {100 * first.get(charge, 0.0):.1f}"
        for charge in dict.fromkeys((*first, *last))
        if abs(last.get(charge, 0.0) - first.get(charge, 0.0)) >= 0.005
    ]
    return f"active surfactant: {', '.join(told)}" if told else ""


def refused_words(offer: Offer) -> str:
    """Return why an offer is no stand-in, as a sentence that begins small; "" for one that is."""
    one = offer.refused
    if one is None:
        return ""
    if one.code == "room":
        return f"there is no room for so much: {one.name} would have to go below 0 %."
    if one.code == "solid":
        return (
            "no amount of it, with an oil or a fatty alcohol beside, keeps both the liquid fat at "
            f"the knead and the solid fat of the bar: {one.figure:.1f} g per kg of dough are left."
        )
    if one.code == "little":
        return f"so little of it would go in that it is {one.name} that stands in."
    if one.code == "much":
        return (
            f"it would take {_percent(one.figure)} of fat in place of "
            f"{_percent(offer.moves[0].before - offer.stays)} to keep both melt and bar."
        )
    if one.code == "wetness":
        side = "wetter" if one.figure > 0 else "drier"
        return (
            f"the dough stays {abs(100 * one.figure):.0f} % {side}, and no liquid of the recipe "
            "makes up for it."
        )
    if one.code == "bar":
        was = kpa(offer.before.firmness)
        return f"the bar would have {kpa(one.figure)} kPa after a day, before {was}."
    if one.code == "active":
        before, after = (100 * each.active for each in (offer.before, offer.after))
        return f"there would be {after:.0f} % active surfactant, before {before:.0f}."
    if one.code == "role":
        told = f" ({one.name})" if one.name else ""
        return (
            f"{offer.name} is not used for what {offer.moves[0].name} is{told}, whatever the dough "
            "would do."
        )
    if one.code == "outside":
        return f"the model cannot speak of such a dough: {one.name}."
    return f"{broken_words(offer.broken[0])}."


def moved_words(offer: Offer) -> str:
    """Return why the chance is another than before, or ""."""
    if offer.moved is None:
        return ""
    cause = _CAUSES[offer.moved.code].format(old=offer.moves[0].name)
    if offer.moved.code in ("softer", "firmer"):
        liquids = [move for move in offer.alongside if move.phase == "liquid"]
        end = ", even with the liquid moved" if liquids else ", and no liquid can make up for it"
        return f"{_capital(cause)}{end}."
    return f"{_capital(cause)}."


def note_words(note: Reason, offer: Offer) -> str:
    """Return what else there is to know, as a sentence."""
    fixed = {
        "preservative": "A preservative is chosen for the whole product: its supplier's dose and "
        "pH range, then a challenge test.",
        "scent": "Another scent has other allergens to name, and its own limits.",
        "acid": "Acids differ in strength: measure the pH of a 10 % slurry.",
        "dose": "It goes in by its own dose, not by what the dough asks for.",
        "cationic": "It is cationic in an anionic dough: the two may bind and turn greasy.",
        "dust": "Its dust harms lungs and eyes: mask (FFP2 or better), no fan, wipe wet.",
    }
    if note.code in fixed:
        return fixed[note.code]
    if note.code == "above usual":
        return f"That is more than the usual at most {_points(note.figure)} of it."
    if note.code == "below usual":
        return f"That is less than the usual at least {_points(note.figure)} of it."
    if note.code == "cleanser":
        side = "more" if note.figure > 0 else "less"
        return f"{_points(abs(note.figure))} of the dough {side} active surfactant."
    if note.code == "melt":
        side = "more" if note.figure > 0 else "less"
        return f"{_points(abs(note.figure))} of the dough {side} melt: feel and lather change."
    return (
        f"So much {note.name} beside a butter changes feel and lather; a harder butter as well "
        "would need less of it."
    )


def broken_words(one: Broken) -> str:
    """Return how a wish is broken, or that only the supplier can tell; it begins small."""
    if one.is_sure and one.wish == IN_STOCK:
        if one.there <= 0:
            return f"{one.name} is out of stock, by what was written down"
        there, needed = written(one.there, "mass"), written(one.needed, "mass")
        return f"there are {there} of {one.name}, and the batch asks for {needed}"
    if one.brought:
        verb, ask = ("brings", "") if one.is_sure else ("may bring", "; ask its supplier")
        names = ", ".join(one.brought)
        return f"{one.name} {verb} more allergens: {names}{ask}"
    return (_BREAKS if one.is_sure else _ASK)[one.wish].format(name=one.name)


def cost_words(one: CostChange | None) -> str:
    """Return by how much the materials cost more, "" where a price is missing."""
    if one is None:
        return ""
    day = f"by your prices, the oldest of {one.oldest}"
    amount = round(one.per_kilogram, 2)
    if amount == 0:
        return f"The materials cost as much as before, {day}."
    side = "more" if amount > 0 else "less"
    return f"The materials of a kilogram of dough cost {abs(amount)} {one.currency} {side}, {day}."


def origin_words(offer: Offer) -> str:
    """Return where what goes in comes from, in short: "by the name: vegan; may come from palm"."""
    one = offer.origins
    if not one.known:
        return "its origin is not in the tables: ask the supplier"
    told = {
        "vegan": {"yes": "vegan", "ask": "vegan or not: ask", "no": "not vegan"},
        "no palm": {"yes": "no palm", "ask": "may come from palm", "no": "palm"},
        "sulfate-free": {
            "yes": "sulfate-free",
            "ask": "sulfates: ask",
            "no": "holds a sulfate",
        },
    }
    parts = [told[wish][one.answer(wish)] for wish in WISHES]
    if offer.new_allergens:
        parts.append(f"new in the recipe: {', '.join(offer.new_allergens)}")
    # The tables read it from the name; a supplier knows.
    return f"by the name: {'; '.join(parts)}"


def remarks(offer: Offer) -> list[str]:
    """Return all that is said of a stand-in beside its effect, the weighty first."""
    # What breaks a limit comes before what changes a dough.
    heavy, other = papers_words(offer.papers)
    told = [*heavy, moved_words(offer)]
    told += [f"{_capital(broken_words(one))}." for one in offer.broken]
    told += [note_words(note, offer) for note in offer.notes]
    told += [*other, cost_words(offer.cost)]
    told.append(f"{_capital(origin_words(offer))}.")
    return [one for one in told if one]


def _percent(value: float) -> str:
    return f"{_number(value, 2)} %"


def _points(share: float) -> str:
    shown = float(from_si(share, "%"))
    return f"{shown:.1f}".removesuffix(".0") + " %"


def _number(value: float, digits: int) -> str:
    return f"{value:.{digits}f}".replace("-", _MINUS)


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"
