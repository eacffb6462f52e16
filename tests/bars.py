"""The ten bars that the golden numbers speak of, in grams, and how they become recipes."""

from designer.recipe import Bench, Recipe, Row, Variant

POWDER = {
    "SCI fine powder": 42.0,
    "SLSA powder": 14.0,
    "corn starch": 5.0,
    "white clay": 2.0,
    "hydrolysed rice protein powder": 1.0,
    "polyquaternium-10": 0.4,
    "citric acid": 0.3,
    "panthenol powder (DL)": 0.3,
}
LIQUID = {
    "CAPB 30 %": 9.5,
    "glycerin": 3.5,
    "hydrolysed wheat protein 25 %": 2.0,
    "panthenol liquid 75 %": 1.0,
}
LAST = {"phenoxyethanol/ethylhexylglycerin 9:1": 1.0, "fragrance oil": 1.0}
MELT = {
    "25 % active conditioner wax": 4.0,
    "cetyl alcohol (95 %+)": 3.0,
    "stearic acid, double/triple pressed (C16/C18)": 2.5,
    "cocoa butter": 4.0,
    "shea butter, West African": 2.5,
    "argan oil": 1.0,
}
CHANGES = {
    1: {},
    2: {"CAPB 30 %": 5},
    3: {"CAPB 30 %": -5, "glycerin": -2},
    4: {
        "shea butter, West African": 3,
        "cocoa butter": 3,
        "SCI fine powder": -4,
        "white clay": -1,
        "CAPB 30 %": -1,
    },
    5: {"corn starch": -5, "white clay": -2, "SLSA powder": 1},
    6: {},
    7: {},
    8: {"SLSA powder": -14, "AOS powder": 14},
    9: {"oat flour": 4, "white clay": 2},
    10: {
        "cocoa butter": -2,
        "shea butter, West African": -2,
        "cetyl alcohol (95 %+)": -1,
        "CAPB 30 %": 2,
        "glycerin": 1,
    },
}
ROOM = {6: 303.15, 7: 289.15}


def grams(number, extra=None):
    """Return (phase, name) to grams of a bar, before it is brought to 100 g."""
    bar = {
        (phase, name): gram
        for phase, part in (("melt", MELT), ("powder", POWDER), ("liquid", LIQUID), ("last", LAST))
        for name, gram in part.items()
    }
    phase_of = {name: phase for phase, name in bar}
    for change in (CHANGES[number], extra or {}):
        for name, gram in change.items():
            key = (phase_of.get(name, "powder"), name)
            bar[key] = bar.get(key, 0.0) + gram
    return {key: gram for key, gram in bar.items() if gram > 1e-9}


def recipe_of(bar, **bench):
    """Return a recipe of one variant from (phase, name) to grams."""
    total = sum(bar.values())
    rows = tuple(Row(phase, name, {"1": 100 * g / total}) for (phase, name), g in bar.items())
    bench = {"batch": 0.45, **bench}
    return Recipe("bar", variants=(Variant("1", active=True),), rows=rows, bench=Bench(**bench))


def recipe(number, extra=None, **bench):
    """Return the recipe of a bar, in its room."""
    bench = {"room": ROOM.get(number, 294.15), **bench}
    return recipe_of(grams(number, extra), **bench)
