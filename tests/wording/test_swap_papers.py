"""What a swap does to limits and label, in words."""

from decimal import Decimal

from designer.advice.swap_papers import LimitChange, Papers
from designer.evaluation.composition import Amount
from designer.evaluation.verdicts import CLOSE, MEASURE, OVER, Check
from designer.wording.swap_papers import limit_words, papers_in_short, papers_words


def acid(verdict, share, note=""):
    amount = Amount(*(Decimal(share),) * 3)
    return Check("acid_form", "Benzoic Acid", verdict, amount, "%", limit=Decimal(10), note=note)


def test_a_preservative_that_gets_weak_tells_both_shares_and_what_to_do():
    change = LimitChange(acid(OVER, 4), acid(MEASURE, 45))
    assert limit_words(change, "EU") == (
        "Benzoic Acid is weak as a preservative at the pH of that slurry: about 4 % of it in the "
        "form that preserves, before 45 %. Bring the pH down, and measure it."
    )
    assert papers_in_short(Papers("EU", (change,))) == ["preservative weak"]
    helped = LimitChange(acid(CLOSE, 9, "It is not the only preservative."), acid(MEASURE, 45))
    assert limit_words(helped, "EU").endswith("measure it. It is not the only preservative.")
    assert papers_in_short(Papers("EU", (helped,))) == ["one preservative may be weak"]


def test_one_that_gets_stronger_is_still_to_be_measured():
    change = LimitChange(acid(MEASURE, 45), acid(OVER, 4), is_mended=True)
    assert limit_words(change, "EU") == (
        "Benzoic Acid is less weak as a preservative: about 45 % of it in the form that preserves, "
        "before 4 %. Measure the pH of the slurry."
    )
    gone = LimitChange(acid(OVER, 4), acid(OVER, 4), is_mended=True, is_gone=True)
    assert "is not in it any more" in limit_words(gone, "EU")


def test_nothing_is_said_until_it_is_looked_up():
    assert papers_words(None) == ([], [])
    assert papers_in_short(None) == []


def test_allergens_are_counted_in_the_list_and_named_in_the_details():
    one = Papers("EU", allergens=("Limonene",), names=("Citrus Sinensis Peel Oil",))
    assert papers_in_short(one) == ["1 more allergen to name"]
    assert papers_words(one)[1] == [
        "New on the ingredient list: Citrus Sinensis Peel Oil.",
        "Fragrance allergens to name now: Limonene.",
        "Verdicts on the limits of the European Union: as before.",
    ]
