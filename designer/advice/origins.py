"""Where ingredients come from, as far as the tables can tell: what a wish asks about.

The tables read origin from the name of a material. Where a name leaves it open, only its supplier
can tell, and that is what is said.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce

from designer.handbook import Handbook, Material, kind_of

__all__ = ["NO_ALLERGENS", "SCENTED", "WISHES", "Origins", "origins", "origins_of_all"]

WISHES = ("vegan", "no palm", "sulfate-free")

NO_ALLERGENS = "no new allergens"
"""The wish for what brings no allergen that the recipe has not already."""

SCENTED = "fragrance allergen"
"""The group of scents; which ones and how much of them, a composition tells."""

ANSWERS = ("yes", "ask", "no")
"""Whether a wish is kept: surely, only the supplier can tell, surely not."""

_PALM = re.compile(r"\bpalm\b|elaeis|palmate\b", re.IGNORECASE)
"""Names that leave no doubt; palmitic acid and palmitates come from other fats as well."""


@dataclass(frozen=True)
class Origins:
    """What is known of where one or several ingredients come from.

    Attributes
    ----------
    vegan, no_palm, sulfate_free : "yes", "ask" or "no"
        Whether the wish is kept; "ask" where only the supplier can tell.
    allergens : tuple of str
        Groups that some people must avoid, as "wheat/gluten"; it does not replace the label.
    known : bool
        Whether the tables speak of every one.
    """

    vegan: str
    no_palm: str
    sulfate_free: str
    allergens: tuple[str, ...] = ()
    known: bool = True

    def answer(self, wish: str) -> str:
        """Return "yes", "ask" or "no" to one of `WISHES`."""
        return str(getattr(self, wish.replace(" ", "_").replace("-", "_")))


def origins(material: Material, handbook: Handbook) -> Origins:
    """Return where a material comes from."""
    role = handbook.roles.get((kind_of(material), material.name))
    if role is None and (other := handbook.roles.get(("liquid", material.name))):
        role = other  # an oil of the liquid table that is melted
    if role is None:
        return Origins("ask", "ask", "ask", known=False)
    palm = "yes"
    if role.palm == "yes":
        palm = "no" if _PALM.search(f"{material.name} {material.inci}") else "ask"
    allergens = () if not role.allergen else (role.allergen,)
    vegan = {"yes": "yes", "no": "no", "depends": "ask"}[role.vegan]
    return Origins(vegan, palm, role.sulfate_free, allergens)


def origins_of_all(materials: Iterable[Material], handbook: Handbook) -> Origins:
    """Return where several come from together: the worst answer of each, every allergen."""
    return reduce(_joined, (origins(one, handbook) for one in materials), Origins(*3 * ("yes",)))


def _joined(one: Origins, other: Origins) -> Origins:
    def worse(first: str, second: str) -> str:
        return max(first, second, key=ANSWERS.index)

    return Origins(
        worse(one.vegan, other.vegan),
        worse(one.no_palm, other.no_palm),
        worse(one.sulfate_free, other.sulfate_free),
        tuple(dict.fromkeys((*one.allergens, *other.allergens))),
        one.known and other.known,
    )
