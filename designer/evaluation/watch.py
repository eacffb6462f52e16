"""What no single limit says: charge, heat, what reacts, what must be certified, what hurts."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from designer.evaluation.composition import Amount, Composition, Supplied
from designer.evaluation.label import allergens, scents_untold
from designer.evaluation.limits import judged, stricter
from designer.evaluation.verdicts import CLOSE, MEASURE, NOT_CHECKED, OVER, WITHIN, Check
from designer.handbook.law import Law, Watched

__all__ = ["Bench", "watch_checks"]

OWN = "Own line; no source"

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

ESSENTIAL_OIL, PIGMENT, DYE = Decimal(1), Decimal("0.5"), Decimal("0.01")
"""Percent above which to ask for the certificate, and from which colours stain; own lines."""

CHILDREN_LEAST = Decimal("0.01")
"""Percent from which menthol, camphor and the like are told of; own line."""

SCENT_HEAT = Decimal(45)
"""°C above which scent is driven off; from memory of usual data sheets."""

_AMINES_OF_ANNEX_III = ("Triethanolamine", "Diethanolamine", "Ethanolamine", "TEA", "DEA", "MEA")

LOTS = {
    "botanical": "spores and metals",
    "clay": "metals, spores and carbonates",
    "flour": "spores and mould",
}
"""Classes of which each lot needs a certificate, and what it must speak of."""


@dataclass(frozen=True)
class Bench:
    """What the checks need to know of the work.

    Attributes
    ----------
    bath : Amount or None [°C]
        What the melt is heated to.
    dough : Amount or None [°C]
        As melt and powder meet.
    """

    bath: Amount | None = None
    dough: Amount | None = None


Rule = Callable[[Composition, Law, str, Bench], Iterator[Check]]


def watch_checks(made: Composition, law: Law, market: str, bench: Bench) -> list[Check]:
    """Return what to watch in a composition, in the order of the rules below."""
    return [one for rule in _RULES for one in rule(made, law, market, bench)]


def _seen(made: Composition, law: Law, kind: str) -> list[tuple[str, Watched, tuple[str, ...]]]:
    """Return the INCI names in the bar that are watched for a thing, with their materials."""
    found = []
    for one in made.ingredients.values():
        if one.all.high > 0 and (row := law.watching(kind, one.inci)):
            found.append((one.inci, row, one.materials))
    return found


def _names(seen: Iterable[tuple[str, Watched, tuple[str, ...]]]) -> str:
    return ", ".join(name for name, _, _ in seen)


def _materials(seen: Iterable[tuple[str, Watched, tuple[str, ...]]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for _, _, materials in seen for name in materials))


def _total(made: Composition, names: Iterable[str]) -> Amount:
    """Return the sum of some INCI names, each on the basis that has more of it."""
    total = Amount()
    for name in names:
        total += stricter(made, name)
    return total


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
    seen = _seen(made, law, "cationic_polymer")
    total = _total(made, (name for name, _, _ in seen))
    if not seen:
        return
    over, usual = total.typical > POLYMER_MUCH, total.high <= POLYMER_USUAL
    yield Check(
        "cationic_polymer",
        _names(seen),
        OVER if over else WITHIN if usual else CLOSE,
        total,
        "%",
        "as active",
        POLYMER_MUCH,
        note="0.1 to 0.5 % is usual; above 1 % hair turns tacky and dull.",
        materials=_materials(seen),
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
    carbonates, acids = _seen(made, law, "carbonate"), _seen(made, law, "acid")
    if carbonates and acids:
        yield _pair("acid_carbonate", carbonates, acids, law)
        return
    clays = [one.name for one in made.supplied if one.material_class == "clay"]
    if clays and acids:
        yield Check(
            "acid_clay",
            ", ".join(clays),
            NOT_CHECKED,
            note=f"A clay may hold carbonate, which gives gas with {_names(acids)}: put a little "
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
    first: list[tuple[str, Watched, tuple[str, ...]]],
    second: list[tuple[str, Watched, tuple[str, ...]]],
    law: Law,
) -> Check:
    return Check(
        code,
        f"{_names(first)} with {_names(second)}",
        MEASURE,
        note=_PAIRED[code],
        materials=_materials([*first, *second]),
        source=first[0][1].source,
        evidence=first[0][1].evidence,
        as_of=law.as_of,
    )


def _benzene(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    benzoates, ascorbic = _seen(made, law, "benzoate"), _seen(made, law, "ascorbic")
    if benzoates and ascorbic:
        yield _pair("benzoate_ascorbic", benzoates, ascorbic, law)


def _nitrosamines(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    amines, partners = _seen(made, law, "amine"), _seen(made, law, "nitrosating")
    if not amines or not partners:
        return
    named = any(row.stem in _AMINES_OF_ANNEX_III for _, row, _ in amines)
    yield Check(
        "nitrosamine",
        f"{_names(amines)} with {_names(partners)}",
        OVER,
        is_law=named and market in ("EU", "UK"),
        note="An amine with what brings nitrite, nitrate or nitro groups can form nitrosamines: "
        "take one of the two out.",
        materials=_materials([*amines, *partners]),
        source="Reg 1223/2009 Annex III/60-62: no nitrosating systems; other amines from memory",
        standing="predecessor",
        evidence="memory",
        as_of=law.as_of,
    )


def _releasers(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    seen = _seen(made, law, "releaser")
    if not seen or market not in STATEMENT:
        return
    total = Amount()
    for name, row, _ in seen:
        total += stricter(made, name).times((row.limit or Decimal(0)) / 100)
    source, standing, evidence = _STATEMENT_SOURCES[market]
    yield Check(
        "releaser",
        _names(seen),
        judged(total, STATEMENT[market]),
        total,
        "%",
        "as formaldehyde, if all of it is released",
        STATEMENT[market],
        note='Above it the label must say "releases formaldehyde", unless a laboratory measured '
        "less.",
        materials=_materials(seen),
        source=source,
        standing=standing,
        evidence=evidence,
        as_of=law.as_of,
    )


def _scents(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    untold = scents_untold(made, law)
    if untold:
        yield Check(
            "allergen_data",
            ", ".join(untold),
            MEASURE,
            note="Which fragrance allergens it brings is not known, and none is taken as absent: "
            "ask for the supplier's allergen statement of this lot.",
            materials=untold,
            as_of=law.as_of,
        )
    basis = "cured" if made.loss else "added"
    may = [one for one in allergens(made, law, market, basis) if one.decision == "may"]
    if may:
        yield Check(
            "allergen_may",
            ", ".join(one.allergen.name for one in may),
            MEASURE,
            note="Usually below the threshold, yet another lot may be above it: look at the "
            "certificate of yours.",
            materials=tuple(dict.fromkeys(name for one in may for name in one.materials)),
            source=may[0].allergen.source,
            standing=may[0].allergen.standing,
            evidence=may[0].allergen.evidence,
            as_of=law.as_of,
        )
    yield from _oils(made, law)


def _oils(made: Composition, law: Law) -> Iterator[Check]:
    oils = [
        one
        for one in made.supplied
        if one.material_class == "scent" and all(p.component != "Parfum" for p in one.parts)
    ]
    if not oils:
        return
    names = tuple(dict.fromkeys(one.name for one in oils))
    total = _total(made, dict.fromkeys(p.component for o in oils for p in o.parts if p.level == 1))
    yield Check(
        "essential_oil",
        ", ".join(names),
        CLOSE if total.typical > ESSENTIAL_OIL else judged(total, ESSENTIAL_OIL),
        total,
        "%",
        "all essential oils together",
        ESSENTIAL_OIL,
        note="Above 1 % ask for the certificate of use in rinse-off hair products.",
        materials=names,
        source=OWN,
        evidence="estimate",
        as_of=law.as_of,
    )
    aired = [seen for seen in _seen(made, law, "oxidises") if set(seen[2]) & set(names)]
    if aired:
        yield Check(
            "peroxide",
            _names(aired),
            MEASURE,
            note="Old oil sensitises: ask for the peroxide value of the lot and date the bottle "
            "on opening.",
            materials=_materials(aired),
            source=aired[0][1].source,
            evidence=aired[0][1].evidence,
            as_of=law.as_of,
        )


def _colours(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    colours = [
        one.inci
        for one in made.ingredients.values()
        if one.listed.typical > 0
        and (one.inci.startswith("CI ") or ((n := law.label_name(one.inci)) and n.colour))
    ]
    dyes = _seen(made, law, "dye")
    if not colours and not dyes:
        return
    total = _total(made, dict.fromkeys([*colours, *(name for name, _, _ in dyes)]))
    yield Check(
        "stain",
        ", ".join(dict.fromkeys([*colours, *(name for name, _, _ in dyes)])),
        OVER if total.typical > PIGMENT else CLOSE if dyes else judged(total, PIGMENT),
        total,
        "%",
        "all colours together",
        PIGMENT,
        note="Strong colours stain light hair, towels and grout; whether each is listed for this "
        "use where you sell was not checked.",
        source=OWN,
        evidence="estimate",
        as_of=law.as_of,
    )


def _certificates(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    for kind, asked in LOTS.items():
        names = tuple(dict.fromkeys(s.name for s in made.supplied if s.material_class == kind))
        if names:
            yield Check(
                "lot",
                ", ".join(names),
                NOT_CHECKED,
                note=f"Each lot brings its own {asked}, and little water does not kill spores: "
                "ask for the certificate of the lot.",
                materials=names,
                as_of=law.as_of,
            )
    ethoxylated = _seen(made, law, "ethoxylated")
    if ethoxylated:
        yield Check(
            "dioxane",
            _names(ethoxylated),
            MEASURE,
            note="Ask for the 1,4-dioxane result; some states of the US draw a line (from memory).",
            materials=_materials(ethoxylated),
            source=ethoxylated[0][1].source,
            evidence="memory",
            as_of=law.as_of,
        )


def _origins(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    for kind, code in (("origin", "origin"), ("origin_ask", "origin_ask")):
        by_words: dict[str, list[tuple[str, Watched, tuple[str, ...]]]] = {}
        for one in _seen(made, law, kind):
            by_words.setdefault(one[1].words, []).append(one)
        for words, seen in sorted(by_words.items()):
            yield Check(
                code,
                words if code == "origin" else _names(seen),
                NOT_CHECKED,
                note=_names(seen) if code == "origin" else words,
                materials=_materials(seen),
                source=seen[0][1].source,
                evidence=seen[0][1].evidence,
                as_of=law.as_of,
            )
    young = [
        one
        for one in _seen(made, law, "children")
        if stricter(made, one[0]).typical >= CHILDREN_LEAST
    ]
    if young:
        yield Check(
            "children",
            _names(young),
            NOT_CHECKED,
            note="Not for children under three without an assessor's word.",
            materials=_materials(young),
            source=young[0][1].source,
            evidence="memory",
            as_of=law.as_of,
        )


def _eyes(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    total = Amount()
    for one in made.supplied:
        for piece in one.parts:
            if piece.level == 1 and piece.charge in ("anionic", "cationic"):
                total += made.on(_amount(one, piece.low, piece.typical, piece.high), "added")
    if total.typical > 0:
        yield Check(
            "eyes",
            "anionic and cationic active",
            NOT_CHECKED,
            total,
            "%",
            "as added",
            note="So much of it irritates eyes: lather in the hands first, and say so on the "
            "label.",
            source=OWN,
            evidence="estimate",
            as_of=law.as_of,
        )


def _amount(one: Supplied, *shares: float) -> Amount:
    low, typical, high = (one.percent * Decimal(repr(share)) for share in shares)
    return Amount(low, typical, high)


def _work(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    dusty = tuple(dict.fromkeys(one.name for one in made.supplied if one.dust == "irritant"))
    if dusty:
        yield _caution(
            "dust",
            dusty,
            "Mask FFP2 or better, glasses, no fan, wipe wet, children and pets out.",
            law,
        )
    clouds = tuple(
        dict.fromkeys(
            one.name for one in made.supplied if one.material_class in ("starch", "flour", "sugar")
        )
    )
    if clouds:
        yield _caution(
            "dust_fire", clouds, "A cloud of this dust can burn: no flame while it is poured.", law
        )
    hot = tuple(dict.fromkeys(one.name for one in made.supplied if one.phase == "melt"))
    if hot:
        yield _caution(
            "hot_melt",
            hot,
            "The melt and its bath burn: gloves, sleeves, and a lid against steam.",
            law,
        )
    yield _caution("press", (), "Fingers out of the mould before the press moves.", law)


def _caution(code: str, names: tuple[str, ...], note: str, law: Law) -> Check:
    return Check(code, ", ".join(names), NOT_CHECKED, note=note, materials=names, as_of=law.as_of)


_RULES: tuple[Rule, ...] = (
    _nitrosamines,
    _releasers,
    _charge,
    _polymer,
    _heat,
    _gas,
    _benzene,
    _scents,
    _colours,
    _certificates,
    _origins,
    _eyes,
    _work,
)
