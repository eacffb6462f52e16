"""What the document's advisor is asked: why the pinned variants differ from the active one."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from designer.advice.differences import Difference
    from designer.advice.paired import Paired
    from designer.evaluation.evaluate import Evaluation

__all__ = ["Splits", "question"]


@dataclass(frozen=True)
class Splits:
    """What the advisor answers: each pinned variant against the active one.

    Attributes
    ----------
    found : tuple of Difference
    short : tuple of str
        How sure the order in wetness is, for each: "wetter in 20 of 20".
    reasons, orders : tuple of str
        Why each differs, and how surely.
    rest : tuple of str
        What could not be compared.
    batch : float [kg]
    """

    found: "tuple[Difference, ...]" = ()
    short: tuple[str, ...] = ()
    reasons: tuple[str, ...] = ()
    orders: tuple[str, ...] = ()
    rest: tuple[str, ...] = ()
    batch: float = 0.0

    def sentences(self, first: int = 0, last: int | None = None) -> tuple[str, ...]:
        """Return all that is said of the differences from `first` on to before `last`."""
        told = (*self.reasons[first:last], *self.orders[first:last], *self.rest)
        return tuple(filter(None, told))


def question(pinned: tuple[str, ...]) -> Callable[..., Splits]:
    """Return what asks for the differences of these variants from the active one."""

    def ask(
        result: "Evaluation", stop: Callable[[], bool], _found: Callable[[Any], None]
    ) -> Splits:
        # Imported by the advisor's thread: the window opens without it.
        from designer.advice.differences import differences, priced
        from designer.advice.paired import paired
        from designer.advice.stocked import Stocked
        from designer.wording.differences import difference_sentence, paired_sentence

        recipe = result.recipe
        numbers, batch = recipe.numbers, recipe.bench.batch_mass
        active = numbers.index(recipe.active.number)
        others = [numbers.index(one) for one in pinned if one in numbers]
        stocked = Stocked.read(result.handbook)
        found = tuple(
            priced(differences(result, other, active, stop), result, stocked) for other in others
        )
        pairs = tuple(paired(result, other, active) for other in others)
        return Splits(
            found,
            tuple(_order(one) for one in pairs),
            tuple(difference_sentence(one, batch) for one in found),
            tuple("" if one.missing else paired_sentence(one) for one in pairs),
            tuple(f"Nothing is in variant {one}." for one in pinned if one not in numbers),
            batch,
        )

    return ask


def _order(pair: "Paired") -> str:
    """Return how sure the order in wetness is: "drier in 20 of 20", "" where there is none."""
    from designer.wording.words import of_twenty

    word, share = max(("drier", pair.drier), ("wetter", pair.wetter), key=lambda side: side[1])
    return f"{word} in {of_twenty(share)} of 20" if share and not pair.missing else ""
