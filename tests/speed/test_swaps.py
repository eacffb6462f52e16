"""Swap tables against one recipe after another; milliseconds are printed and decide nothing."""

import time

import pytest

from designer import handbook
from designer.advice.offers import Request
from designer.advice.peers import row_named
from designer.advice.swaps import swaps
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.evaluation.melt_table import _melt_table
from designer.handbook import places
from designer.recipe import file

BOOK = handbook.load()
KNOWN = knowledge.shipped(512)
pytestmark = pytest.mark.speed

AMOUNTS, LIQUIDS = 21, 11
"""Amounts of a stand-in and of one liquid that a plain search would try: steps of 5 % and of 0.5
points. It would find both no better than to half a step."""
PEERS = 20


def seconds(call):
    start = time.process_time()
    call()
    return time.process_time() - start


@pytest.mark.parametrize("name", ["cocoa butter", "CAPB 30 %", "SCI fine powder", "oat flour"])
def test_twenty_peers_cost_a_twentieth_of_one_recipe_after_another(record_property, name):
    made = file.read(places.resources().parent / "demo_recipes" / "oat_bar.toml")
    row = row_named(made, "1", name, BOOK)
    swaps(made, "1", row, BOOK, KNOWN, Request(most=2))  # tables of the handbook are ready
    # A plain search meets a new blend of fats at each amount of a fat, and so does the first
    # table of swaps: nothing of that is kept.
    _melt_table.cache_clear()
    answer = []
    table = seconds(lambda: answer.append(swaps(made, "1", row, BOOK, KNOWN, Request(most=PEERS))))
    assert len(answer[0].every) == PEERS
    offers = answer[0].every[::5]
    _melt_table.cache_clear()
    one = seconds(lambda: [evaluate(offer.recipe, BOOK, KNOWN) for offer in offers]) / len(offers)
    plain = one * PEERS * AMOUNTS * LIQUIDS
    again = seconds(lambda: swaps(made, "1", row, BOOK, KNOWN, Request(most=PEERS)))
    record_property("milliseconds", 1000 * table)
    print(f"{name}: {1000 * table:.0f} ms, again {1000 * again:.0f} ms, {plain / table:.0f} x")
    assert plain / table >= 20
