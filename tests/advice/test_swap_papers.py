"""Limits and label of a swap: what the pages of the recipe with it then say, and nothing else."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from designer import handbook
from designer.advice.offers import Request
from designer.advice.origins import NO_ALLERGENS
from designer.advice.peers import row_named
from designer.advice.swap_papers import OnPaper, papers
from designer.advice.swaps import swaps, with_papers, without_papers
from designer.errors import ReadableError
from designer.evaluation import knowledge
from designer.evaluation.checks import checks
from designer.evaluation.evaluate import evaluate
from designer.evaluation.label_sheet import kept_label
from designer.evaluation.verdicts import CLOSE, MEASURE, OVER, WITHIN, Check
from designer.handbook import law
from designer.recipe import file
from designer.recipe.label import Label
from designer.wording.swap_papers import limit_words, papers_in_short, papers_words
from designer.wording.swaps import broken_words

BOOK, LAW = handbook.load(), law.load()
KNOWN = knowledge.shipped(128)
OAT = file.read(Path(__file__).parents[2] / "demo_recipes" / "oat_bar.toml")


def one(name, only, recipe=OAT, *wishes):
    row = row_named(recipe, "1", name, BOOK)
    answer = swaps(recipe, "1", row, BOOK, KNOWN, Request(only=only, wishes=frozenset(wishes)))
    return with_papers(answer, BOOK, KNOWN, LAW).every[0]


def label_of(recipe):
    return kept_label(evaluate(recipe, BOOK, KNOWN), 0, LAW)


def declared(sheet):
    return {each.allergen.name for each in sheet.allergens if each.decision == "declare"}


@pytest.mark.parametrize("market", ["EU", "UK", "US"])
def test_names_and_allergens_are_those_of_the_labels_before_and_after(market):
    made = OAT.with_label(Label(market=market))
    offer = one("lavender oil", "sweet orange oil", made)
    before, after = label_of(made), label_of(offer.recipe)
    assert offer.papers.market == market
    brought = {each.name for each in after.ingredients.entries if each.brought}
    new = set(after.ingredients.names) - set(before.ingredients.names)
    assert set(offer.papers.names) == new - brought
    assert set(offer.papers.allergens) == declared(after) - declared(before)
    assert ("Limonene" in offer.papers.allergens) == (market != "US")


def test_limonene_of_orange_oil_is_named_in_europe_and_linalool_of_lavender_no_more():
    """Orange oil is mostly limonene, lavender oil has next to none (common practice, no source);
    0.5 % of the bar is far above the 0.01 % of a product rinsed off (Reg 1223/2009 Annex III, from
    memory)."""
    found = one("lavender oil", "sweet orange oil").papers
    assert "Limonene" in found.allergens
    assert "Linalool" in found.allergens_off
    assert found.names_off == ("Lavandula Angustifolia Oil",)


def test_a_limit_that_only_the_swap_breaks_comes_first():
    """Methyl eugenol, up to 0.001 % in what is rinsed off: Reg 1223/2009 Annex III, from memory;
    rose oil brings a percent or two of it (common practice, no source)."""
    found = one("lavender oil", "rose oil").papers
    assert found.limits[0].check.subject == "Methyl Eugenol"
    assert found.limits[0].is_broken
    assert papers_in_short(found)[0] == "over a limit"
    assert papers_in_short(found)[1] == f"{len(found.allergens)} more allergens to name"
    assert papers_words(found)[0][0].startswith(
        "Over a limit of the European Union: Methyl Eugenol"
    )


def test_a_swap_that_lifts_the_ph_says_that_the_acid_no_longer_preserves():
    """Amphoacetates are alkaline, betaines are brought to pH 5 (data sheets, common practice)."""
    offer = one("CAPB", "lauroamphoacetate 29 %")
    after = checks(evaluate(offer.recipe, BOOK, KNOWN), 0, "EU", LAW)
    assert any(each.code == "acid_form" and each.verdict == OVER for each in after)
    change = offer.papers.limits[0]
    assert (change.check.code, change.before.verdict) == ("acid_form", MEASURE)
    assert "is weak as a preservative" in limit_words(change, "EU")
    assert "preservative weak" in papers_in_short(offer.papers)[0]


@pytest.mark.parametrize(
    ("old", "new", "is_sure", "words"),
    [
        ("lavender oil", "grapefruit oil", True, "grapefruit oil brings more allergens: Limonene"),
        ("lavender oil", "clary sage oil", False, "; ask its supplier"),
        ("oat flour", "soy flour", True, "soy flour brings more allergens: soy"),
    ],
)
def test_what_brings_more_allergens_is_out_where_none_are_wished(old, new, is_sure, words):
    offer = one(old, new, OAT, NO_ALLERGENS)
    assert broken_words(offer.broken[0]).endswith(words)
    assert [each.is_sure for each in offer.broken] == [is_sure]
    assert (offer.refused is not None) == is_sure
    assert one(old, new).broken == ()


def test_gluten_that_was_there_before_is_no_new_allergen():
    """Oat flour is under wheat and gluten already, for the mills it comes from."""
    assert one("oat flour", "barley flour", OAT, NO_ALLERGENS).broken == ()


def test_the_same_dough_has_no_news():
    found = OnPaper.of(evaluate(OAT, BOOK, KNOWN), LAW)
    told = papers("EU", found, found)
    assert told == type(told)("EU")
    assert papers_words(told)[1] == [
        "Names on the ingredient list: as before.",
        "Verdicts on the limits of the European Union: as before.",
    ]


def made_up(*found):
    return OnPaper(found, (), (), (), frozenset(), ())


def check(verdict, code="limit", subject="Zinc Salt", **more):
    return Check(code, subject, verdict, limit=Decimal(1), unit="%", is_law=True, **more)


def test_what_gets_worse_comes_before_what_is_mended():
    before = made_up(check(OVER), check(WITHIN, subject="B"), check(CLOSE, subject="C"))
    after = made_up(check(CLOSE, subject="B"), check(CLOSE, subject="C"), check(OVER, subject="D"))
    told = [limit_words(each, "UK") for each in papers("UK", before, after).limits]
    assert told == [
        "Over a limit of Great Britain: D: no more than 1 %.",
        "Close to a limit of Great Britain: B: no more than 1 %.",
        "No longer over a limit: Zinc Salt.",
    ]


def test_a_check_on_several_materials_is_no_news_where_they_share_one():
    had = check(MEASURE, "origin", "tallow, clay")
    now = check(MEASURE, "origin", "clay, honey")
    assert papers("EU", made_up(had), made_up(now)).limits == ()
    new = papers("EU", made_up(had), made_up(check(MEASURE, "origin", "honey"))).limits
    assert [each.check.subject for each in new] == ["honey"]


def test_what_cannot_be_looked_up_says_so():
    error = ReadableError("Own table", "It is broken.", "Correct it.")
    row = row_named(OAT, "1", "CAPB", BOOK)
    answer = swaps(OAT, "1", row, BOOK, KNOWN, Request(only="LAPB 30 %"))
    found = without_papers(answer, error).every[0].papers
    assert papers_words(found) == (
        [],
        ["Limits and label could not be looked up. Own table: It is broken. Correct it."],
    )
    assert papers("EU", error, made_up()) == replace(found)


def test_looking_up_is_stopped_when_it_is_not_wanted_any_more():
    row = row_named(OAT, "1", "CAPB", BOOK)
    answer = swaps(OAT, "1", row, BOOK, KNOWN, Request(only="LAPB 30 %"))
    with pytest.raises(InterruptedError):
        with_papers(answer, BOOK, KNOWN, LAW, lambda: True)
