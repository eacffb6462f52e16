"""What holds water in a material: mass is kept, every rule is used, a worked bar comes out."""

import pytest

from designer import handbook

BOOK = handbook.load()
MATERIALS = [*BOOK.powders.values(), *BOOK.liquids.values(), *BOOK.melts.values()]

# A usual bar, grams per 100 g; the rest is melt, which holds no water.
BAR = {
    ("SCI fine powder", "powder"): 42,
    ("SLSA powder", "powder"): 14,
    ("corn starch", "powder"): 5,
    ("white clay", "powder"): 2,
    ("hydrolysed rice protein powder", "powder"): 1,
    ("polyquaternium-10", "powder"): 0.4,
    ("citric acid", "powder"): 0.3,
    ("panthenol powder (DL)", "powder"): 0.3,
    ("CAPB 30 %", "liquid"): 9.5,
    ("glycerin", "liquid"): 3.5,
    ("hydrolysed wheat protein 25 %", "liquid"): 2,
    ("panthenol liquid 75 %", "liquid"): 1,
    ("phenoxyethanol/ethylhexylglycerin 9:1", "last"): 1,
    ("fragrance oil", "last"): 1,
}


@pytest.mark.parametrize("material", MATERIALS, ids=lambda one: one.name)
def test_water_and_holders_never_exceed_the_material(material):
    water, parts = BOOK.water_parts(material)
    assert 0 <= water <= 1
    assert all(fraction > 0 for fraction in parts.values())
    assert water + sum(parts.values()) <= 1 + 1e-9
    assert all(BOOK.holders[name].model != "none" for name in parts)


def test_fats_hold_no_water():
    assert all(BOOK.water_parts(melt) == (0.0, {}) for melt in BOOK.melts.values())


def test_all_water_of_a_usual_bar():
    total, holders = 0.0, {}
    for (name, phase), grams in BAR.items():
        water, parts = BOOK.water_parts(BOOK.find(name, phase))
        total += grams * water
        for holder, fraction in parts.items():
            holders[holder] = holders.get(holder, 0.0) + grams * fraction
    # By hand: 9.5 x 0.645 + 2 x 0.735 + 1 x 0.25 + 3.5 x 0.005 of the liquids, the rest moisture.
    assert total == pytest.approx(9.272, abs=5e-4)
    assert holders == pytest.approx(
        {
            "anionic powder": 42 * 0.99 + 14 * 0.98,
            "starch desorption": 5 * 0.88,
            "clay kaolin": 2 * 0.99,
            "protein": 0.94 + 2 * 0.25,
            "gum": 0.4 * 0.94,
            "Citric Acid": 0.3 * 0.995,
            "Panthenol": 0.3 * 0.995 + 0.75,
            "amphoteric active": 9.5 * 0.3,
            "Sodium Chloride": 9.5 * 0.05 + 2 * 0.015,
            "Glycerin": 3.5 * 0.995 + 9.5 * 0.005,
        }
    )


@pytest.mark.parametrize(
    ("name", "holders"),
    [
        ("sodium cocoyl glycinate powder", {"carboxylate powder": 0.96}),
        ("soap powder", {"carboxylate powder": 0.97}),
        ("CAPB powder", {"amphoteric active": 0.97}),
        ("AOS powder", {"anionic powder": 0.98}),
        ("oat flour", {"starch desorption": 0.91 * 0.9}),
        ("bentonite", {"smectite": 0.9}),
        ("montmorillonite clay", {"smectite": 0.91}),
        ("rhassoul clay", {"smectite": 0.93}),
        ("green clay", {"clay kaolin": 0.97}),
        ("nettle leaf powder", {"cellulose": 0.92}),
        ("maltodextrin", {"starch desorption": 0.95}),
        ("sodium lactate powder", {"Sodium Lactate": 0.98}),
        ("salt", {"Sodium Chloride": 0.998}),
        ("honey powder", {"Mel": 0.97}),
        ("sodium benzoate", {}),
        ("sodium lactate 60 %", {"Sodium Lactate": 0.6}),
        ("sodium PCA 50 %", {"Sodium PCA": 0.5}),
        ("sorbitol 70 %", {"Sorbitol": 0.7}),
        ("1,3-propanediol", {"Propanediol": 0.998}),
        ("honey", {"Mel": 0.82}),
        ("oat glycerite", {"Glycerin": 0.59}),
        ("propanediol/caprylyl glycol", {"Propanediol": 0.85}),
        ("phenoxyethanol", {}),
        ("caprylyl glycol", {}),
        ("benzoate/sorbate solution", {}),
        ("inulin syrup 40 %", {"Inulin": 0.4}),
        ("fragrance oil", {}),
        ("water", {}),
    ],
)
def test_who_holds_the_water(name, holders):
    found = BOOK.find(name, "liquid")
    assert BOOK.water_parts(found)[1] == pytest.approx(holders)


def test_every_rule_and_every_class_of_solids_is_used():
    used = {name for one in MATERIALS for name in BOOK.water_parts(one)[1]}
    for rule in BOOK.holding_rules:
        if rule.holder not in ("", "inci"):
            assert rule.holder in used, rule
    stated = {(rule.kind, rule.material_class) for rule in BOOK.holding_rules}
    assert {("powder", one.material_class) for one in BOOK.powders.values()} <= stated


def test_crystal_water_is_no_moisture():
    for name in ("sodium citrate", "magnesium sulfate heptahydrate", "trehalose", "lactose"):
        assert BOOK.powders[name].moisture_fraction < 0.01
        assert "crystal water" in BOOK.powders[name].note


@pytest.mark.parametrize("kind", ["powder", "liquid", "melt"])
def test_an_unknown_material_has_water_parts_too(kind):
    water, parts = BOOK.water_parts(BOOK.unknown(kind, "x", "Sodium Chloride"))
    assert water + sum(parts.values()) <= 1
