"""What no single limit says: charge, heat, what reacts, what must be certified, what hurts."""

from collections.abc import Callable, Iterator
from decimal import Decimal

from designer.evaluation.composition import Amount, Composition, Supplied
from designer.evaluation.limits import judged, stricter
from designer.evaluation.verdicts import CLOSE, MEASURE, NOT_CHECKED, OVER, WITHIN, Check
from designer.evaluation.watch_materials import MATERIAL_RULES
from designer.evaluation.watched import (
    OWN,
    Bench,
    Seen,
    materials_of,
    names_of,
    total_of,
    watched_for,
)
from designer.handbook.law import Law

__all__ = ["watch_checks"]

RATIO_SEEN, RATIO_STRONG = Decimal("0.1"), Decimal("0.5")
"""Cationic over anionic charge from which lather suffers, and is mostly gone; own lines."""

POLYMER_USUAL, POLYMER_MUCH = Decimal("0.5"), Decimal(1)
"""Percent of cationic polymer up to which it is usual, and above which it clings; from memory."""

STATEMENT = {"EU": Decimal("0.001"), "UK": Decimal("0.05")}
"""Percent of released formaldehyde above which the label must say so: Reg (EU) 2022/1181; the
older figure for Great Britain from memory."""

_STATEMENT_SOURCES = {
    "EU": ("Reg (EU) 2022/1181 on Annex V of Reg 1223/2009", "secondary", "published"),
    "UK": ("assimilated Reg 1223/2009 Annex 5, older threshold, from memory", "memory", "memory"),
}

SCENT_HEAT = Decimal(45)
"""°C above which scent is driven off; from memory of usual data sheets."""

_AMINES_OF_ANNEX_III = ("Triethanolamine", "Diethanolamine", "Ethanolamine", "TEA", "DEA", "MEA")

Rule = Callable[[Composition, Law, str, Bench], Iterator[Check]]


def watch_checks(made: Composition, law: Law, market: str, bench: Bench) -> list[Check]:
    """Return what to watch in a composition, in the order of the rules below."""
    return [one for rule in _RULES for one in rule(made, law, market, bench)]


def _charge(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    ratio = made.charges.ratio
    if ratio is None or made.charges.cationic[1] <= 0:
        return
    low, typical, high = (Decimal(repr(min(end, 1e6))) for end in ratio)
    verdict = OVER if typical >= RATIO_STRONG else CLOSE if typical > RATIO_SEEN else WITHIN
    yield Check(
        "charge",
        "cationic over anionic charge",
        verdict,
        Amount(low, typical, high),
        "1",
        "by moles of charge",
        RATIO_SEEN,
        note="Above 0.1 cationic and anionic pair off and lather falls; from 0.5 on little is "
        "left.",
        source=OWN,
        evidence="estimate",
        as_of=law.as_of,
    )


def _polymer(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    seen = watched_for(made, law, "cationic_polymer")
    total = total_of(made, (name for name, _, _ in seen))
    if not seen:
        return
    over, usual = total.typical > POLYMER_MUCH, total.high <= POLYMER_USUAL
    yield Check(
        "cationic_polymer",
        names_of(seen),
        OVER if over else WITHIN if usual else CLOSE,
        total,
        "%",
        "as active",
        POLYMER_MUCH,
        note="0.1 to 0.5 % is usual; above 1 % hair turns tacky and dull.",
        materials=materials_of(seen),
        source="from memory: usual practice",
        evidence="memory",
        as_of=law.as_of,
    )


def _heat(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    """Yield what suffers where it is put in: in the melt the bath's heat, else the dough's."""
    for one in made.supplied:
        limits = [
            row.limit
            for piece in one.parts
            if piece.level == 1
            and (row := law.watching("heat", piece.component))
            and row.limit is not None
        ]
        if one.material_class == "scent":
            limits.append(SCENT_HEAT)
        if not limits:
            continue
        met = bench.bath if one.phase == "melt" else bench.dough
        yield _heated(one, min(limits), met, law)


def _heated(one: Supplied, limit: Decimal, met: Amount | None, law: Law) -> Check:
    # Thermometers of a bench are good to two degrees or so.
    verdict = NOT_CHECKED
    if met is not None:
        near = met.high > limit or met.typical > limit - 2
        verdict = OVER if met.typical > limit else CLOSE if near else WITHIN
    where = "in the melt" if one.phase == "melt" else "as it meets the dough"
    return Check(
        "heat",
        one.name,
        verdict,
        met,
        "°C",
        where,
        limit,
        materials=(one.name,),
        source="from memory: usual data sheets",
        evidence="memory",
        as_of=law.as_of,
    )


def _gas(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    carbonates, acids = watched_for(made, law, "carbonate"), watched_for(made, law, "acid")
    if carbonates and acids:
        yield _pair("acid_carbonate", carbonates, acids, law)
        return
    clays = [one.name for one in made.supplied if one.material_class == "clay"]
    if clays and acids:
        yield Check(
            "acid_clay",
            ", ".join(clays),
            NOT_CHECKED,
            note=f"A clay may hold carbonate, which gives gas with {names_of(acids)}: put a little "
            "of this lot into the acid and look for bubbles.",
            materials=tuple(clays),
            source=acids[0][1].source,
            evidence="memory",
            as_of=law.as_of,
        )


_PAIRED = {
    "acid_carbonate": "Acid drives gas out of a carbonate: blisters, lost mass, a drifting pH. "
    "Take one of the two out, or weigh a trial before and after.",
    "benzoate_ascorbic": "Benzoate with ascorbic acid can form traces of benzene, faster in "
    "warmth and light. Take one of the two out, or have it measured.",
}


def _pair(
    code: str,
    first: list[Seen],
    second: list[Seen],
    law: Law,
) -> Check:
    return Check(
        code,
        f"{names_of(first)} with {names_of(second)}",
        MEASURE,
        note=_PAIRED[code],
        materials=materials_of([*first, *second]),
        source=first[0][1].source,
        evidence=first[0][1].evidence,
        as_of=law.as_of,
    )


def _benzene(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    benzoates, ascorbic = watched_for(made, law, "benzoate"), watched_for(made, law, "ascorbic")
    if benzoates and ascorbic:
        yield _pair("benzoate_ascorbic", benzoates, ascorbic, law)


def _nitrosamines(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    amines, partners = watched_for(made, law, "amine"), watched_for(made, law, "nitrosating")
    if not amines or not partners:
        return
    named = any(row.stem.rstrip("-") in _AMINES_OF_ANNEX_III for _, row, _ in amines)
    yield Check(
        "nitrosamine",
        f"{names_of(amines)} with {names_of(partners)}",
        OVER,
        is_law=named and market in ("EU", "UK"),
        note="An amine with what brings nitrite, nitrate or nitro groups can form nitrosamines: "
        "take one of the two out.",
        materials=materials_of([*amines, *partners]),
        source="Reg 1223/2009 Annex III/60-62: no nitrosating systems; other amines from memory",
        standing="predecessor",
        evidence="memory",
        as_of=law.as_of,
    )


def _releasers(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    seen = watched_for(made, law, "releaser")
    if not seen or market not in STATEMENT:
        return
    total = Amount()
    for name, row, _ in seen:
        total += stricter(made, name).times((row.limit or Decimal(0)) / 100)
    source, standing, evidence = _STATEMENT_SOURCES[market]
    yield Check(
        "releaser",
        names_of(seen),
        judged(total, STATEMENT[market]),
        total,
        "%",
        "as formaldehyde, if all of it is released",
        STATEMENT[market],
        note='Above it the label must say "releases formaldehyde", unless a laboratory measured '
        "less.",
        materials=materials_of(seen),
        source=source,
        standing=standing,
        evidence=evidence,
        as_of=law.as_of,
    )


_RULES: tuple[Rule, ...] = (
    _nitrosamines,
    _releasers,
    _charge,
    _polymer,
    _heat,
    _gas,
    _benzene,
    *MATERIAL_RULES,
)
