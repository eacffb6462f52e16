"""The whole label of a variant for a market: list, allergens, weight, letters, what is missing."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from designer.errors import ReadableError
from designer.evaluation import net_content
from designer.evaluation.assessed import AssessedDifference, assessed_difference
from designer.evaluation.composition import BASES, Composition, Loss, composition
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.label import (
    AllergenDecision,
    Differences,
    IngredientList,
    LabelFacts,
    allergens,
    differences,
    ingredient_list,
    missing_facts,
    scents_untold,
)
from designer.evaluation.net_content import Declaration
from designer.handbook.law import Law, LetterHeight, load
from designer.handbook.tables import plain
from designer.recipe.label import Label

__all__ = ["LabelSheet", "kept_label", "label_sheet", "sheet_of", "small_names"]


@dataclass(frozen=True, eq=False)
class LabelSheet:
    """A label, worked out.

    Attributes
    ----------
    market, basis : str
    facts : LabelFacts
    made : Composition
    ingredients : IngredientList
    differences : Differences or None
        Between both bases; None where the loss on curing is not known.
    allergens : tuple of AllergenDecision
        On the basis asked for.
    untold : tuple of str
        Materials of which no allergen data are known.
    declaration : Declaration or None
        None where no net weight is stated.
    tolerance, short_limit : Decimal or None [g]
    height : LetterHeight or None
        None where the panel must be known.
    missing : tuple of str
        Facts that the market asks for.
    law : Law
    standing : AssessedDifference or None
        How the variant stands to the assessed formula; None where none is noted, or not asked.
    """

    market: str
    basis: str
    facts: LabelFacts
    made: Composition
    ingredients: IngredientList
    differences: Differences | None
    allergens: tuple[AllergenDecision, ...]
    untold: tuple[str, ...]
    declaration: Declaration | None
    tolerance: Decimal | None
    short_limit: Decimal | None
    height: LetterHeight | None
    missing: tuple[str, ...]
    law: Law
    standing: AssessedDifference | None = None


def label_sheet(
    result: Evaluation,
    variant: int,
    market: str,
    basis: str = "added",
    facts: LabelFacts | None = None,
    small_order: Sequence[str] = (),
    loss: Loss | None = None,
    law: Law | None = None,
) -> LabelSheet:
    """Return the label of a variant.

    Parameters
    ----------
    result : Evaluation
        Up to the cured bar.
    variant : int
    market, basis : str
    facts : LabelFacts, optional
        Without a net weight in them, that of a bar in the recipe is taken.
    small_order : sequence of str
        Order of the small group, by weight unless given.
    loss : Loss, optional
        Water lost as weighed, instead of worked out.
    law : Law, optional
        The shipped tables unless given.

    Raises
    ------
    ReadableError
        The market, the basis, the order or the weight cannot be.
    """
    given = LabelFacts() if facts is None else facts
    net = result.recipe.bench.net
    if given.grams is None and given.ounces is None and net is not None:
        grams = Decimal(repr(round(1000 * net, 6))).normalize()
        given = replace(given, grams=grams)
    made = composition(result, variant)
    if loss is not None:
        made = made.with_loss(loss)
    sheet = sheet_of(made, load() if law is None else law, market, basis, given, small_order)
    standing = assessed_difference(result.recipe, result.recipe.numbers[variant])
    return replace(sheet, standing=standing)


def kept_label(
    result: Evaluation, variant: int, law: Law, label: Label | None = None
) -> LabelSheet:
    """Return the label of a variant as the recipe keeps it: market, basis, order, facts.

    Parameters
    ----------
    result : Evaluation
    variant : int
    law : Law
    label : Label, optional
        One that the recipe has meanwhile; no label changes what was evaluated.

    Without a loss on curing that is known, the basis is as added whatever the recipe says.

    Raises
    ------
    ReadableError
        The weight cannot be.
    """
    kept = result.recipe.label if label is None else label
    made = composition(result, variant)
    basis = "added" if made.loss is None else kept.basis
    order = small_names(made, law, kept.market, basis, kept.small_order) if kept.small_order else ()
    return label_sheet(result, variant, kept.market, basis, kept.facts, order, law=law)


def small_names(
    made: Composition, law: Law, market: str, basis: str, wanted: Sequence[str]
) -> tuple[str, ...]:
    """Return the names of the small group in a wanted order of INCI names.

    A name that is wanted and not in the group is passed over; one that is in it and not wanted
    stands behind the one it stands behind by weight.
    """
    by_weight = ingredient_list(made, law, market, basis).of("small")
    rank = {plain(inci): place for place, inci in enumerate(wanted)}
    placed: list[tuple[int, str]] = []
    last = -1
    for one in by_weight:
        found = [rank[plain(inci)] for inci in one.incis if plain(inci) in rank]
        last = min(found) if found else last
        placed.append((last, one.name))
    return tuple(name for _, name in sorted(placed, key=lambda pair: pair[0]))


def sheet_of(
    made: Composition,
    law: Law,
    market: str,
    basis: str,
    facts: LabelFacts,
    small_order: Sequence[str] = (),
) -> LabelSheet:
    """Return the label of a composition; parameters and errors as of `label_sheet`."""
    if basis not in BASES:
        raise ReadableError("Basis", f'"{basis}" is not known.', "Choose added or cured.")
    if basis == "cured" and made.loss is None:
        raise ReadableError(
            "Basis",
            "What the bar loses on curing is not known.",
            "State the water lost, or take the basis as added.",
        )
    ingredients = ingredient_list(made, law, market, basis, small_order)
    declared, tolerance, short, height = None, None, None, None
    if facts.grams is not None or facts.ounces is not None:
        declared = net_content.declaration(market, grams=facts.grams, ounces=facts.ounces)
        # The larger of the two units is the one that must be kept.
        grams = max(declared.grams, declared.ounces * net_content.OUNCE)
        tolerance = net_content.tolerance(law, market, grams)
        short = net_content.short_limit(law, market, grams)
        height = net_content.letter_height(law, market, grams=grams, panel=facts.panel)
    return LabelSheet(
        market,
        basis,
        facts,
        made,
        ingredients,
        differences(made, law, market),
        allergens(made, law, market, basis),
        scents_untold(made, law),
        declared,
        tolerance,
        short,
        height,
        missing_facts(facts, market),
        law,
    )
