"""Which ingredients preserve, which only help, and what the acids among them need."""

from designer.handbook import Handbook, Material, kind_of

__all__ = ["ACIDIFIERS", "ACIDS", "BOOSTERS", "CARRIERS", "is_preservative", "names_of"]

ACIDS = {
    "Sodium Benzoate": "Benzoic Acid",
    "Potassium Benzoate": "Benzoic Acid",
    "Benzoic Acid": "Benzoic Acid",
    "Potassium Sorbate": "Sorbic Acid",
    "Sorbic Acid": "Sorbic Acid",
    "Dehydroacetic Acid": "Dehydroacetic Acid",
    "Sodium Dehydroacetate": "Dehydroacetic Acid",
    "Sodium Levulinate": "Levulinic Acid",
    "Sodium Anisate": "p-Anisic Acid",
    "p-Anisic Acid": "p-Anisic Acid",
    "Salicylic Acid": "Salicylic Acid",
    "Sodium Salicylate": "Salicylic Acid",
}
"""Preservatives that work as undissociated acid: INCI name, and the acid in the table of acids."""

ACIDIFIERS = frozenset(
    ("Citric Acid", "Lactic Acid", "Gluconic Acid", "Gluconolactone", "Malic Acid", "Phytic Acid")
) | frozenset(("Tartaric Acid", "Succinic Acid", "Glycolic Acid", "Acetic Acid", "Phosphoric Acid"))

CARRIERS = ACIDIFIERS | {"Aqua", "Glycerin", "Propanediol", "Propylene Glycol", "Tocopherol"}
"""What a preservative blend holds beside its preservatives."""

BOOSTERS = frozenset(
    (
        "1,2-Hexanediol",
        "Caprylhydroxamic Acid",
        "Caprylyl Glycol",
        "Ethylhexylglycerin",
        "Glyceryl Caprylate",
        "Glyceryl Undecylenate",
        "Lactobacillus Ferment",
        "Leuconostoc/Radish Root Ferment Filtrate",
        "Pentylene Glycol",
        "Phenethyl Alcohol",
    )
)
"""What helps a preservative and is itself none of Annex V of Reg 1223/2009; from memory."""


def names_of(material: Material) -> list[str]:
    """Return the INCI names of a material, one by one."""
    return material.inci.split(" (and) ")


def is_preservative(one: Material, handbook: Handbook) -> bool:
    """Return whether a material is sold to preserve: its class, or the first of its roles."""
    role = handbook.roles.get((kind_of(one), one.name))
    return one.material_class == "preservative" or bool(role and role.roles[0] == "preservative")
