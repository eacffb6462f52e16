"""Random recipes inside the known-good ranges whose dough fails, by how it fails."""

from functools import lru_cache

import numpy as np

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate_knead
from designer.evaluation.readings import outside_model, standings
from designer.recipe import QS, Bench, Recipe, Row, Variant
from designer.vocabulary import STATES

FAILING = ("sticky", "slack", "stiff", "crumbly")

BY_MODEL = "vehicle:powder"
# This range holds what the model itself calls pliable: hardly a dough inside it fails.

SECOND = (
    "SLSA powder",
    "AOS powder",
    "SCS fine powder",
    "SLMI powder",
    "sodium lauroyl sarcosinate powder",
    "disodium cocoyl glutamate powder",
    "SMCT powder",
)
FILLERS = ("corn starch", "rice starch", "tapioca starch")
EARTHS = ("white clay", "bentonite", "talc", "oat flour", "nettle leaf powder", "hibiscus powder")
EXTRAS = (
    "hydrolysed rice protein powder",
    "microcrystalline cellulose",
    "colloidal oatmeal",
    "cationic guar",
)
SOFT = ("cocoa butter", "shea butter, West African", "mango butter", "coconut oil")
HARD = ("cetyl alcohol (95 %+)", "cetostearyl alcohol 50/50")
FOAM = ("CAPB 30 %", "coco-betaine 30 %")
WET = ("glycerin", "1,3-propanediol")
THIN = ("water", "aloe juice", "hydrolysed wheat protein 25 %", "panthenol liquid 75 %")


@lru_cache(maxsize=1)
def book():
    return handbook.load()


@lru_cache(maxsize=1)
def known():
    return knowledge.shipped(512)


def drawn(seed):
    """Return a random recipe: of odd seeds on the wet side of the ranges, of even on the dry."""
    random = np.random.default_rng(seed)
    wet = seed % 2

    def some(low, high, lean=0.5):
        middle = low + lean * (high - low)
        return round(float(random.triangular(low, middle, high)), 1)

    def one(names):
        return str(random.choice(names))

    soft = random.choice(SOFT, 2, replace=False)
    cells = [
        ("melt", "25 % active conditioner wax", some(2, 6, 0.2 + 0.4 * wet)),
        ("melt", one(HARD), some(2, 5)),
        ("melt", "stearic acid, double/triple pressed (C16/C18)", some(1, 4)),
        ("melt", str(soft[0]), some(1, 7, 0.2 + 0.6 * wet)),
        ("melt", str(soft[1]), some(1, 5, 0.2 + 0.6 * wet)),
        ("powder", "SCI fine powder", QS),
        ("powder", one(SECOND), some(3, 25, 0.2 + 0.6 * wet)),
        ("powder", one(FILLERS), some(0.5, 6, 0.9 - 0.8 * wet)),
        ("powder", one(EARTHS), some(1, 6, 0.9 - 0.8 * wet)),
        ("powder", one(EXTRAS), some(0.3, 0.6)),
        ("liquid", one(FOAM), some(6, 12, wet)),
        ("liquid", one(WET), some(1, 5, wet)),
        ("liquid", one(THIN), some(1, 4, wet)),
        ("liquid", "citric acid", 0.3),
        ("last", "phenoxyethanol/ethylhexylglycerin 9:1", 1.0),
        ("last", "fragrance oil", some(0.3, 1)),
    ]
    rows = tuple(Row(phase, name, {"1": cell}) for phase, name, cell in cells)
    bench = Bench(room=273.15 + some(18, 25, wet), batch=0.45)
    return Recipe("wild", variants=(Variant("1", active=True),), rows=rows, bench=bench)


def failure(result):
    """Return how a dough fails, or "" where it does not, or lies outside range or model."""
    if outside_model(result, 0) or result.clean_knead_chance[0] >= 0.5:
        return ""
    if any(one.where != "within" for one in standings(result, 0) if one.quantity != BY_MODEL):
        return ""
    at_end = result.forecasts[0].state_chances(int(result.window[-1]))
    chances = dict(zip(STATES, at_end.tolist(), strict=True))
    if chances["crumbly"] + chances["stiff"] > chances["sticky"] + chances["slack"]:
        # The band of stiff is narrow: hardly ever is it the likeliest of all.
        return "crumbly" if chances["crumbly"] >= 0.5 else "stiff"
    return max(("sticky", "slack"), key=lambda name: chances[name])


def wild_bars(count, start=0):
    """Yield (how it fails, seed, evaluation) of so many recipes, in even parts as far as there are.

    No way of failing is looked for longer than some hundred recipes.
    """
    share = -(-count // len(FAILING))
    found = dict.fromkeys(FAILING, 0)
    for seed in range(start, start + 40 * count):
        result = evaluate_knead(drawn(seed), book(), known())
        kind = failure(result)
        if kind and found[kind] < share:
            found[kind] += 1
            yield kind, seed, result
        if sum(found.values()) >= count:
            return
