"""Compositions stated directly, so that a rule is tested without a dough around it."""

from decimal import Decimal

from designer.evaluation.composition import Loss, Supplied, compose
from designer.handbook import Part


def share(component, typical, low=None, high=None, level=1, parent="", charge="", molar_mass=None):
    """Return a part of a material, exact unless a range is given."""
    low = typical if low is None else low
    high = typical if high is None else high
    number = {"anionic": -1.0, "cationic": 1.0}.get(charge)
    return Part(
        component,
        low,
        typical,
        high,
        level,
        parent,
        charge,
        number,
        molar_mass,
        "invented",
        "estimate",
    )


def supplied(name, percent, shares=None, inside=None, **given):
    """Return a material: what it is made of, and what its first ingredient brings with it."""
    shares = {name: 1.0} if shares is None else shares
    parts = [share(inci, value) for inci, value in shares.items()]
    first = next(iter(shares), "")
    parts += [share(inci, value, level=2, parent=first) for inci, value in (inside or {}).items()]
    facts = {
        "inci": " (and) ".join(shares),
        "phase": "liquid",
        "kind": "liquid",
        "material_class": "active_solution",
        **given,
    }
    return Supplied(name, percent=Decimal(str(percent)), parts=tuple(parts), **facts)


def bar(*materials, lost=None, fill="Zea Mays (Corn) Starch"):
    """Return the composition of materials, filled up to 100 with starch."""
    rest = 100 - sum(one.percent for one in materials)
    filled = [*materials, supplied(fill, rest)] if rest > 0 else materials
    return compose(filled, None if lost is None else Loss.weighed(Decimal(str(lost))))


LAVENDER = {
    "Lavandula Oil/Extract": 1.0,
    "Linalyl Acetate": 0.38,
    "Linalool": 0.35,
    "Beta-Caryophyllene": 0.04,
    "Terpineol": 0.01,
    "Geraniol": 0.009,
    "Limonene": 0.005,
    "Camphor": 0.003,
    "Coumarin": 0.001,
}


def worked_example(preservative=1.0):
    """Return a bar of invented materials whose list was worked out by hand."""
    return compose(
        [
            supplied("isethionate", 52, {"Sodium Cocoyl Isethionate": 1}),
            supplied(
                "betaine solution",
                20,
                {
                    "Cocamidopropyl Betaine": 0.30,
                    "Sodium Chloride": 0.05,
                    "Sodium Benzoate": 0.005,
                    "Aqua": 0.645,
                },
            ),
            supplied("clay", 9, {"Kaolin": 1}),
            supplied("cetyl alcohol", 8, {"Cetyl Alcohol": 1}),
            supplied("cocoa butter", 6, {"Theobroma Cacao Seed Butter": 1}),
            supplied("panthenol solution", 2, {"Panthenol": 0.75, "Aqua": 0.25}),
            supplied(
                "lavender oil",
                1,
                {"Lavandula Angustifolia Oil": 1},
                LAVENDER,
                material_class="scent",
            ),
            supplied(
                "preservative blend",
                preservative,
                {"Benzyl Alcohol": 0.86, "Dehydroacetic Acid": 0.08, "Aqua": 0.06},
                material_class="preservative",
            ),
            supplied(
                "chelate solution", 0.5, {"Tetrasodium Glutamate Diacetate": 0.47, "Aqua": 0.53}
            ),
            supplied("citric acid", 0.2, {"Citric Acid": 1}),
            supplied("ultramarine", 0.3, {"CI 77007": 1}),
        ],
        Loss.weighed(Decimal("6.5")),
    )
