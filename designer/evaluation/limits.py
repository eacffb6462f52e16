"""The rules of a market on substances and sums, each held against what is in the bar."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from designer.evaluation.composition import BASES, Amount, Composition, Ingredient
from designer.evaluation.verdicts import (
    CLOSE,
    CLOSE_FROM,
    MEASURE,
    NOT_CHECKED,
    OVER,
    WITHIN,
    Check,
)
from designer.handbook.law import OWN, Law, UseLimit
from designer.handbook.tables import plain

__all__ = ["judged", "limit_checks", "stricter"]

_MIXTURE = "Methylchloroisothiazolinone (and) Methylisothiazolinone"
_CHLORO, _METHYL = "Methylchloroisothiazolinone", "Methylisothiazolinone"

_LAWS = ("EU", "UK", "US", "own")
"""Authorities whose rules count as law, the maker's own rows too; panels and committees advise."""

_CODES = {
    "legal_max": "limit",
    "group_max": "group_limit",
    "prohibited": "prohibited",
    "opinion_max": "opinion",
    "information": "information",
    "drug_range_top": "drug",
    "quality": "certificate",
    "qualitative": "no_number",
}

_TRACE = Decimal("0.05")
"""Share of the methylisothiazolinone that the spread of the 3:1 mixture may explain."""

_NO_TABLE = {
    "US": "The United States have no general list of preservatives or of highest amounts; the "
    "prohibitions of 21 CFR 700 and the states' own rules are not in these tables.",
    "CA": "Canada's Cosmetic Ingredient Hotlist is not in these tables: read it for every "
    "ingredient.",
}


def judged(amount: Amount, limit: Decimal, strict: bool = False, guessed: bool = False) -> str:
    """Return the verdict on an amount under a limit.

    Parameters
    ----------
    amount : Amount
    limit : Decimal
    strict : bool
        Whether the limit itself is too much already.
    guessed : bool
        Whether its range is all that is known of it.

    Notes
    -----
    Over where the typical amount is; close from nine tenths on, or where the range reaches over.
    """
    over = amount.typical >= limit if strict else amount.typical > limit
    if limit == 0:
        over = amount.typical > 0
    if guessed and amount.low <= limit and (over or amount.high > limit):
        return MEASURE
    if over:
        return OVER
    if amount.high > limit or amount.typical >= CLOSE_FROM * limit > 0:
        return CLOSE
    return WITHIN


def stricter(made: Composition, inci: str) -> Amount:
    """Return the amount of an INCI name on the basis that has more of it."""
    amounts = [made.percent(inci, basis) for basis in BASES if basis == "added" or made.loss]
    return max(amounts, key=lambda one: one.typical)


def limit_checks(
    made: Composition, law: Law, market: str, other_purpose: frozenset[str] = frozenset()
) -> list[Check]:
    """Return a check for every rule of the market that something in the bar falls under.

    Parameters
    ----------
    made : Composition
    law : Law
    market : str
    other_purpose : frozenset of str
        INCI names that are not put in to preserve: rules on preservatives pass them over.
    """
    others = frozenset(plain(name) for name in other_purpose)
    found: list[Check] = []
    for rule in law.rules(market):
        if rule.is_group:
            found += _group(made, law, rule, market, others)
        else:
            found += _single(made, rule, market, others)
    found += _together(made, law, market)
    found += _unknown(made)
    if market in _NO_TABLE:
        found.append(Check("no_table", "", NOT_CHECKED, note=_NO_TABLE[market], as_of=law.as_of))
    return found


def _single(
    made: Composition, rule: UseLimit, market: str, others: frozenset[str]
) -> Iterator[Check]:
    amount, behind = _amount(made, rule.name)
    if amount.high <= 0:
        return
    if rule.purpose == "preservative" and plain(rule.name) in others:
        note = "passed over: stated not to be put in to preserve"
        yield _check(rule, market, NOT_CHECKED, None, behind, note)
        return
    counted = amount.times(rule.factor)
    guessed = any(one.guessed for one in behind)
    yield _check(rule, market, _verdict(rule, counted, guessed), counted, behind)


def _verdict(rule: UseLimit, amount: Amount, guessed: bool) -> str:
    if rule.kind == "quality":
        return MEASURE
    if rule.max_percent is None:
        return NOT_CHECKED
    verdict = judged(amount, rule.max_percent, rule.strict, guessed)
    if rule.kind == "information":
        # A survey figure draws no line: above it there is something to read, nothing is broken.
        return CLOSE if verdict == OVER else verdict
    if rule.kind == "drug_range_top" and verdict == WITHIN:
        return CLOSE
    return verdict


def _amount(made: Composition, name: str) -> tuple[Amount, list[Ingredient]]:
    """Return how much there is of what a rule names, and the ingredients it is counted from."""
    if name == _MIXTURE:
        chloro = made.find(_CHLORO)
        # In the mixture there are three parts of it to one of methylisothiazolinone.
        return stricter(made, _CHLORO).times(Decimal(4) / 3), [chloro] if chloro else []
    found = made.find(name)
    if name == _METHYL and made.find(_CHLORO):
        apart = _added_apart(made)
        return apart, [found] if found and apart.high > 0 else []
    return stricter(made, name), [found] if found else []


def _added_apart(made: Composition) -> Amount:
    """Return the methylisothiazolinone beyond what the 3:1 mixture brings."""
    methyl, chloro = stricter(made, _METHYL).typical, stricter(made, _CHLORO).typical
    apart = methyl - chloro / 3
    if apart <= _TRACE * methyl:
        return Amount()
    return Amount(apart, apart, apart)


def _group(
    made: Composition, law: Law, rule: UseLimit, market: str, others: frozenset[str]
) -> Iterator[Check]:
    group = rule.name.removeprefix("(group) ")
    total, behind = Amount(), []
    for name, factor in _members(made, law, group, market, rule, others):
        amount, ingredients = _amount(made, name)
        if amount.high > 0:
            total += amount.times(factor)
            behind += ingredients
    if total.high > 0 and rule.max_percent is not None:
        guessed = any(one.guessed for one in behind)
        verdict = judged(total, rule.max_percent, rule.strict, guessed)
        yield _check(rule, market, verdict, total, behind)


def _members(
    made: Composition, law: Law, group: str, market: str, rule: UseLimit, others: frozenset[str]
) -> Iterable[tuple[str, Decimal]]:
    """Return what counts in a sum, each name once, with the factor it counts by."""
    members = {
        one.name: one.factor
        for one in law.rules(market)
        if not one.is_group
        and group in one.groups
        and not (rule.purpose == "preservative" and plain(one.name) in others)
    }
    if members:
        return members.items()
    return [
        (one.inci, rule.factor)
        for one in made.ingredients.values()
        if (seen := law.watching("group_member", one.inci)) and group in seen.words.split(";")
    ]


def _check(
    rule: UseLimit,
    market: str,
    verdict: str,
    amount: Amount | None,
    behind: Iterable[Ingredient],
    note: str = "",
) -> Check:
    source = rule.source
    evidence = rule.evidence
    if rule.authority == OWN:
        source = f"own table: {source}"
    if market == "UK" and rule.authority == "EU":
        source += "; whether Great Britain's figure still equals it was not checked"
        evidence = "estimate" if evidence == "estimate" else "memory"
    is_law = rule.authority in _LAWS and rule.kind in ("legal_max", "group_max", "prohibited")
    numbered = rule.kind not in ("quality", "qualitative")
    return Check(
        _CODES[rule.kind],
        rule.name.removeprefix("(group) "),
        verdict,
        amount if numbered else None,
        "%" if numbered else "",
        rule.basis,
        rule.max_percent if numbered else None,
        is_law,
        "; ".join(filter(None, (rule.condition, note))),
        tuple(dict.fromkeys(name for one in behind for name in one.materials)),
        source,
        rule.standing,
        evidence,
        rule.as_of,
    )


def _together(made: Composition, law: Law, market: str) -> Iterator[Check]:
    """Yield what may not be put in beside each other: the 3:1 mixture and more of one part."""
    rule = next((one for one in law.rules(market) if one.name == _MIXTURE), None)
    if rule is None or made.find(_CHLORO) is None:
        return
    apart = _added_apart(made)
    if apart.typical > 0:
        found = [one for name in (_CHLORO, _METHYL) if (one := made.find(name))]
        check = _check(rule, market, OVER, apart, found, "put in beside the mixture")
        yield Check(**{**vars(check), "code": "exclusive", "subject": _METHYL, "limit": Decimal(0)})


def _unknown(made: Composition) -> Iterator[Check]:
    for one in made.supplied:
        if not one.parts:
            yield Check(
                "no_inci",
                one.name,
                NOT_CHECKED,
                note="Its INCI name is not known: no rule could be held against it.",
                materials=(one.name,),
            )
        elif one.unlisted:
            yield Check(
                "unlisted",
                one.name,
                NOT_CHECKED,
                note="It is not in the handbook. It was taken as its INCI name says; what else it "
                "brings is not known: ask for the supplier's composition statement.",
                materials=(one.name,),
            )
