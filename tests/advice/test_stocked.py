"""Stock and cost of a swap: as far as the pantry tells, and never a guess."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from designer import handbook
from designer.advice.offers import Request
from designer.advice.peers import row_named
from designer.advice.stocked import IN_STOCK, PriceKept, Stocked
from designer.advice.swaps import swaps
from designer.evaluation import knowledge
from designer.handbook import Melt
from designer.recipe import Bench, file
from designer.wording.swaps import broken_words, cost_words, refused_words
from designer.workshop import Pantry

BOOK = handbook.load()
KNOWN = knowledge.shipped(128)
OAT = file.read(Path(__file__).parents[2] / "demo_recipes" / "oat_bar.toml")
COCOA, KOKUM = ("melt", "cocoa butter"), ("melt", "kokum butter")


def price(amount, currency="EUR", day="2026-05-01"):
    return PriceKept(Decimal(amount), currency, day)


def offers(stocked, wished=True, recipe=OAT, **request):
    wishes = frozenset({IN_STOCK} if wished else ())
    row = row_named(recipe, "1", "cocoa butter", BOOK)
    found = Request(wishes=wishes, stocked=stocked, **request)
    return swaps(recipe, "1", row, BOOK, KNOWN, found).every


def kokum(stocked, wished=True, recipe=OAT):
    return offers(stocked, wished, recipe, only="kokum butter")[0]


# By hand: 2 % out at 10 a kg, 1.5 % in at 20, 0.5 % of water at 0.1: 0.1005 a kg of dough more.
MATERIALS = (BOOK.melts["cocoa butter"], BOOK.melts["kokum butter"], BOOK.liquids["water"])
CHANGES = tuple(zip(MATERIALS, (-2.0, 1.5, 0.5), strict=True))
PRICES = {
    COCOA: price("10"),
    KOKUM: price("20", day="2025-01-31"),
    ("liquid", "water"): price("0.1"),
}


def test_a_cost_is_the_sum_over_the_rows_that_move():
    found = Stocked(prices=PRICES).cost(CHANGES)
    assert found.per_kilogram == Decimal("0.1005")
    assert (found.currency, found.oldest) == ("EUR", "2025-01-31")


@pytest.mark.parametrize("missing", PRICES)
def test_without_the_price_of_one_that_moves_there_is_no_cost(missing):
    known = {key: one for key, one in PRICES.items() if key != missing}
    assert Stocked(prices=known).cost(CHANGES) is None


def test_two_currencies_are_not_added_and_a_row_that_stays_needs_no_price():
    assert Stocked(prices=PRICES | {KOKUM: price("20", "USD")}).cost(CHANGES) is None
    still = (*CHANGES, (BOOK.powders["white clay"], 0.0))
    assert Stocked(prices=PRICES).cost(still) == Stocked(prices=PRICES).cost(CHANGES)
    assert Stocked(prices=PRICES).cost(()) is None


def test_an_oil_that_is_melted_is_the_one_on_the_shelf():
    oil = Melt.from_oil(BOOK.liquids["sunflower oil"])
    assert Stocked({("liquid", "sunflower oil"): 0.4}).mass(oil) == 0.4


def test_the_cost_of_an_offer_is_that_of_its_moves():
    bare = kokum(Stocked(), wished=False)
    assert bare.cost is None
    assert cost_words(bare.cost) == ""
    every = (*BOOK.powders.values(), *BOOK.liquids.values())
    prices = {("powder", one.name): price("4") for one in every}
    prices |= {("liquid", one.name): price("4") for one in every}
    prices |= {("melt", name): price("4") for name in BOOK.melts}
    # All else costs 4 a kg, and what moves sums to nothing: only the dearer one is left.
    offer = kokum(Stocked(prices=prices | {KOKUM: price("24")}), wished=False)
    by_hand = Decimal(str(offer.percent)) / 100 * 20
    assert float(offer.cost.per_kilogram) == pytest.approx(float(by_hand), rel=1e-3)
    told = cost_words(offer.cost)
    assert told.startswith(f"The materials of a kilogram of dough cost {by_hand:.2f}")
    assert "EUR more, by your prices, the oldest of 2026-05-01" in told


def test_without_a_stock_nobody_can_tell():
    offer = kokum(Stocked())
    assert offer.refused is None
    assert {(one.wish, one.is_sure) for one in offer.broken} == {(IN_STOCK, False)}
    assert broken_words(offer.broken[0]).endswith("cannot be told: no stock of it is kept")


def test_what_is_used_up_or_too_little_for_the_batch_is_no_stand_in():
    recipe = replace(OAT, bench=Bench(batch=1.0))
    needed = kokum(Stocked(), wished=False, recipe=recipe).percent / 100
    stock = {("liquid", "sunflower oil"): 1.0, ("melt", "sunflower oil"): 1.0}
    gone = kokum(Stocked(stock | {KOKUM: 0.0}), recipe=recipe)
    assert refused_words(gone) == "kokum butter is out of stock, by what was written down."
    little = kokum(Stocked(stock | {KOKUM: 0.001}), recipe=recipe)
    assert refused_words(little).startswith(
        "there are 1.0 g of kokum butter, and the batch asks for"
    )
    assert little.broken[0].needed == pytest.approx(needed, rel=1e-3)
    enough = kokum(Stocked(stock | {KOKUM: needed + 1e-3}), recipe=recipe)
    assert enough.refused is None
    assert enough.broken == ()
    assert kokum(Stocked(stock | {KOKUM: 0.0}), wished=False).refused is None


def test_without_a_stated_batch_only_what_is_used_up_is_told():
    bare = replace(OAT, bench=Bench())
    stock = {KOKUM: 0.001, ("melt", "sunflower oil"): 1.0}
    assert kokum(Stocked(stock), recipe=bare).refused is None
    assert kokum(Stocked(stock | {KOKUM: 0.0}), recipe=bare).refused is not None


def test_what_is_in_stock_is_looked_at_however_far_it_stands():
    far = offers(Stocked(), wished=False)[-1].name
    close = [one.name for one in offers(Stocked(), wished=False, most=3)]
    assert far not in close
    found = [one.name for one in offers(Stocked({("melt", far): 9.0}), most=3)]
    assert far in found
    assert len(found) == 3


def test_stock_and_prices_are_read_from_the_pantry_and_nothing_is_made_where_there_is_none(
    tmp_path,
):
    assert Stocked.read(BOOK, tmp_path) == Stocked()
    assert list(tmp_path.iterdir()) == []
    pantry = Pantry.opened(BOOK, tmp_path)
    pantry.move_stock("kokum butter", 0.5)
    pantry.move_stock("kokum butter", -0.2, "used")
    pantry.add_price("cocoa butter", 5.0, Decimal("60.00"), "EUR", day="2026-01-02")
    pantry.add_price("cocoa butter", 5.0, Decimal("75.00"), "EUR", day="2026-02-03")
    found = Stocked.read(BOOK, tmp_path)
    pantry.database.close()
    assert found.mass(BOOK.melts["kokum butter"]) == pytest.approx(0.3)
    assert found.mass(BOOK.melts["cocoa butter"]) is None
    assert found.prices == {COCOA: price("15", day="2026-02-03")}
