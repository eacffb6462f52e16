"""What is said of a dough in the bowl: where it stands, what to do, what to mind."""

from designer.advice.bowl import Advice, Answer, Refused, Rod
from designer.handbook import Handbook
from designer.quantities import written
from designer.vocabulary import STATES
from designer.wording.lines import kpa
from designer.wording.words import MEANING, of_twenty

__all__ = [
    "cautions",
    "chance_words",
    "made_words",
    "refused_words",
    "standing",
    "steps",
    "title",
]

_PREPARED = {
    "mask": "mask on",
    "sieve": "sieve it",
    "sprinkle": "strew it over the spread-out dough, a spoonful at a time",
    "drizzle": "drizzle it over the spread-out dough, not into one place",
}

_AGAINST = {
    "softer": "leads the wrong way: it would make the dough softer still",
    "drier": "leads the wrong way: it would make the dough drier still",
    "full": "is at the upper end of its usual share already: left out",
    "dissolves": "dissolves in the dough, and may soften it: left out",
    "dosed": "is dosed for what it does, not to mend a dough: left out",
}

_MASK = (
    "Powder into a running dough: mask (FFP2 or better), no fan, spoon it slowly, wipe wet; keep "
    "children and pets out."
)
_DILUTED = (
    "What is added thins the preservative and all else, and more water asks more of it: look at "
    "the recipe as made before it is used by anyone."
)
_FORMULA = (
    "More than {limit} g powder per 100 g is a new formula: assessor, file and label come before "
    "it is given away or sold."
)


_UNLIKE = (
    "The recipe foretells another dough in nearly all of its draws: look whether something was "
    "weighed wrong or left out, and at the time; the chances are a guess"
)
_FEW = 100
"""Effective draws below which what was found is told to fit the recipe badly."""


def minutes(seconds: float) -> str:
    """Return a time [s] in minutes, to half a minute."""
    return f"{round(seconds / 30) / 2:g} min"


def standing(answer: Answer, handbook: Handbook) -> str:
    """Return where the dough stands, and what becomes of it if it is only kneaded on."""
    question = answer.question
    found = question.felt
    start = f"At {minutes(question.age)}"
    if found is None:
        likeliest = STATES[int(answer.states.argmax())]
        told = f"{start}, nothing felt yet: likeliest {likeliest} ({MEANING[likeliest]})"
    elif isinstance(found, Rod):
        told = f"{start}: {kpa(found.strength(handbook))} kPa by the rod"
    else:
        told = f"{start}: {found.state} ({MEANING[found.state]})"
    if answer.advice and answer.advice[0].move == "press":
        return f"{told}."
    few = min(_FEW, answer.knowledge.draws / 5)
    if found is not None and answer.effective < few:
        told += f". {_UNLIKE}"
    chance = of_twenty(answer.chance_without)
    late = ", after the kneading window" if answer.extended else ""
    return (
        f"{told}. Kneaded on and nothing else, {chance} of 20 such batches come clean by "
        f"{minutes(answer.until)}{late}."
    )


def title(one: Advice) -> str:
    """Return an advice in a line: what, and how much."""
    if one.move == "add":
        rest = f", then {grams(one.rest)} more if needed" if one.rest else ""
        return f"Add {grams(one.first)} {one.name}{rest}"
    leave = minutes(one.leave)
    return {
        "press": "Stop kneading and shape it",
        "knead": "Knead on",
        "rest": f"Let it rest {leave}",
        "cold": f"Stand the bowl in cold water for {leave}",
        "warm": f"Stand the bowl in hand-hot water for {leave}",
    }[one.move]


def grams(mass: float) -> str:
    """Return a mass [kg] in grams, as it is weighed."""
    return written(mass, "mass")


def chance_words(one: Advice, answer: Answer) -> str:
    """Return the chance of coming clean with an advice and without it; "" where it is clean."""
    if one.move == "press":
        return ""
    told = f"clean in {of_twenty(one.chance)} of 20"
    if one.move == "knead":
        return told
    first = of_twenty(one.chance_first)
    if one.rest and first != of_twenty(one.chance):
        told += f" ({first} with the first amount alone)"
    return f"{told}, {of_twenty(answer.chance_without)} without"


def steps(one: Advice, answer: Answer) -> str:
    """Return how it is done: prepared, kneaded, felt again."""
    if one.move == "press":
        return "It kneads clean now; more kneading and time only make it firmer."
    told = [_PREPARED[code] for code in one.preparation]
    first = f"{', '.join(told)}. " if told else ""
    first = first[:1].upper() + first[1:]
    if one.move == "rest":
        first = "Cover it. "
    if one.move in ("cold", "warm"):
        reads = f" until it reads {written(one.temperature or 0.0, 'dough_temperature')}"
        first = f"Turn the dough once or twice{reads}. "
    kneaded = one.feel_at - answer.question.age - one.leave
    then = "Then knead" if first else "Knead"
    return (
        f"{first}{then} {minutes(kneaded)} and feel again at {minutes(one.feel_at)}: "
        f"{one.state} is expected."
    )


def made_words(one: Advice) -> str:
    """Return what becomes of the recipe, or "": the new percentage and the powder added."""
    if one.made is None:
        return ""
    number = one.made.number
    row = next(
        row
        for row in one.made.recipe.rows
        if row.name.casefold() == one.name.casefold() and row.percents.get(number)
    )
    told = f"As made: {row.percents[number]:.2f} % {row.name} in {grams(one.made.mass)}."
    if one.new_formula:
        told += f" {100 * one.powder_share:.1f} g powder per 100 g is a new formula."
    return told


def refused_words(one: Refused) -> str:
    """Return why something at hand is not advised."""
    return f"{one.name} {_AGAINST[one.code]}."


def cautions(answer: Answer, handbook: Handbook) -> tuple[str, ...]:
    """Return what to mind with the advice given."""
    added = [one for one in answer.advice if one.move == "add"]
    told = []
    if any(one.is_powder for one in added):
        told.append(_MASK)
    if added:
        told.append(_DILUTED)
    if any(one.new_formula for one in added):
        limit = 100 * handbook.parameters["new_formula_powder"].si
        told.append(_FORMULA.format(limit=f"{limit:g}"))
    return tuple(told)
