"""What stands first: the sentence, the chance against the wanted one, what it rests on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from designer.wording.words import basis_words, chance_told, missed_words, of_twenty

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation

__all__ = ["EMPTY", "Headline", "headline", "is_missed"]

EMPTY = "Add a powder and a liquid to see how it kneads."
"""Said of a recipe with nothing in it."""


@dataclass(frozen=True)
class Headline:
    """What is said of a variant.

    Attributes
    ----------
    state : str
        The likeliest state at the knead; "" where the model must not speak.
    sentence : str
        As `sentence`.
    chance : str
        The chance as a word and out of twenty, or that the wanted one is missed; "" where there
        is none.
    basis : str
        What the chance rests on.
    warnings : tuple of str
        Cautions without which the recipe must not be praised, in full.
    """

    state: str
    sentence: str
    chance: str
    basis: str
    warnings: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it as one text, as it is read aloud."""
        basis = f"{self.basis[:1].upper()}{self.basis[1:]}." if self.basis else ""
        return " ".join(filter(None, (self.sentence, self.chance, basis, *self.warnings)))


def headline(result: Evaluation, variant: int) -> Headline:
    """Return what is said first of a variant."""
    # What a window says before there is a result needs none of these.
    from designer.evaluation.cautions import cautions
    from designer.evaluation.readings import outside_model, state
    from designer.wording.sentence import sentence

    # Outside the model the sentence itself says so.
    warnings = tuple(
        one.text for one in cautions(result, variant) if one.serious and one.code != "outside_model"
    )
    told = sentence(result, variant)
    if outside_model(result, variant):
        return Headline("", told, "", "", warnings)
    chance = float(result.clean_knead_chance[variant])
    wanted = result.recipe.bench.wanted
    words = missed_words(chance, wanted) if is_missed(chance, wanted) else chance_told(chance)
    basis = basis_words(result.knowledge.basis)
    return Headline(state(result, variant), told, words, basis, warnings)


def is_missed(chance: float, wanted: float) -> bool:
    """Return whether a chance misses the wanted one, both as they are told, out of twenty."""
    return of_twenty(chance) < of_twenty(wanted)
