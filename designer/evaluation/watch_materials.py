"""What to watch in scents, colours, natural powders and origins, and in the work itself."""

from collections.abc import Iterator
from decimal import Decimal

from designer.evaluation.composition import Amount, Composition, Supplied
from designer.evaluation.label import allergens, scents_untold
from designer.evaluation.limits import judged, stricter
from designer.evaluation.verdicts import CLOSE, MEASURE, NOT_CHECKED, OVER, Check
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

__all__ = ["MATERIAL_RULES"]

ESSENTIAL_OIL, PIGMENT = Decimal(1), Decimal("0.5")
"""Percent above which to ask for the certificate, and from which colours stain; own lines."""

CHILDREN_LEAST = Decimal("0.01")
"""Percent from which menthol, camphor and the like are told of; own line."""

LOTS = {
    "botanical": "spores and metals",
    "clay": "metals, spores and carbonates",
    "flour": "spores and mould",
}
"""Classes of which each lot needs a certificate, and what it must speak of."""


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
    total = total_of(
        made, dict.fromkeys(p.component for o in oils for p in o.parts if p.level == 1)
    )
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
    aired = [seen for seen in watched_for(made, law, "oxidises") if set(seen[2]) & set(names)]
    if aired:
        yield Check(
            "peroxide",
            names_of(aired),
            MEASURE,
            note="Old oil sensitises: ask for the peroxide value of the lot and date the bottle "
            "on opening.",
            materials=materials_of(aired),
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
    dyes = watched_for(made, law, "dye")
    if not colours and not dyes:
        return
    total = total_of(made, dict.fromkeys([*colours, *(name for name, _, _ in dyes)]))
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
    ethoxylated = watched_for(made, law, "ethoxylated")
    if ethoxylated:
        yield Check(
            "dioxane",
            names_of(ethoxylated),
            MEASURE,
            note="Ask for the 1,4-dioxane result; some states of the US draw a line (from memory).",
            materials=materials_of(ethoxylated),
            source=ethoxylated[0][1].source,
            evidence="memory",
            as_of=law.as_of,
        )


def _origins(made: Composition, law: Law, market: str, bench: Bench) -> Iterator[Check]:
    for kind, code in (("origin", "origin"), ("origin_ask", "origin_ask")):
        by_words: dict[str, list[Seen]] = {}
        for one in watched_for(made, law, kind):
            by_words.setdefault(one[1].words, []).append(one)
        for words, seen in sorted(by_words.items()):
            yield Check(
                code,
                words if code == "origin" else names_of(seen),
                NOT_CHECKED,
                note=names_of(seen) if code == "origin" else words,
                materials=materials_of(seen),
                source=seen[0][1].source,
                evidence=seen[0][1].evidence,
                as_of=law.as_of,
            )
    young = [
        one
        for one in watched_for(made, law, "children")
        if stricter(made, one[0]).typical >= CHILDREN_LEAST
    ]
    if young:
        yield Check(
            "children",
            names_of(young),
            NOT_CHECKED,
            note="Not for children under three without an assessor's word.",
            materials=materials_of(young),
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


MATERIAL_RULES = (_scents, _colours, _certificates, _origins, _eyes, _work)
"""Each yields its checks, in this order."""
