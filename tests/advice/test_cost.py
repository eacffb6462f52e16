"""What fixes cost, and what the cost of two variants differs by: sums over what is written down."""

from decimal import Decimal
from pathlib import Path

import pytest

from designer import handbook
from designer.advice.differences import COST, SPLIT, differences
from designer.advice.differences import priced as split_priced
from designer.advice.fix import priced
from designer.advice.fixes import fixes
from designer.advice.moves import materials_of
from designer.advice.stocked import PriceKept, Stocked
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.handbook import kind_of
from designer.recipe import file
from designer.wording.difference_lines import part_rows, table
from designer.wording.fixes import effect_words

BOOK = handbook.load()
KNOWN = knowledge.shipped()
FOLDER = Path(__file__).parents[2] / "demo_recipes"


def kept(result, currency="EUR"):
    """Return invented prices of every row: 1, 2, 3 ... for a kilogram, in their order."""
    prices = {}
    for place, one in enumerate(materials_of(result), 1):
        prices[kind_of(one), one.name] = PriceKept(Decimal(place), currency, "2026-11-01")
    return Stocked(prices=prices)


@pytest.fixture(scope="module")
def three():
    return evaluate(file.read(FOLDER / "three_oat_bars.toml"), BOOK, KNOWN)


def test_the_cost_of_a_difference_is_split_exactly_over_what_differs(three):
    stocked = kept(three)
    one = split_priced(differences(three, 1, 0), three, stocked)
    assert one.quantities == (*SPLIT, COST)
    assert one.currency == "EUR"
    shares = three.amounts.shares
    each = [float(stocked.prices[kind_of(m), m.name].per_kilogram) for m in materials_of(three)]
    whole = sum((shares[1] - shares[0]) * each)
    assert one.whole[COST] == pytest.approx(whole, abs=1e-9)
    assert sum(c.parts[COST] for c in one.changes) == pytest.approx(whole, abs=1e-9)
    back = split_priced(differences(three, 0, 1), three, stocked)
    assert back.whole[COST] == pytest.approx(-whole, abs=1e-12)
    assert one.part("white clay", COST) == 0.0


def test_without_a_price_of_what_differs_no_cost_is_told(three):
    stocked = kept(three)
    plain = differences(three, 1, 0)
    name, kind = plain.changes[0].name, plain.changes[0].kind
    less = Stocked(prices={k: v for k, v in stocked.prices.items() if k != (kind, name)})
    assert split_priced(plain, three, less) == plain
    assert split_priced(plain, three, Stocked()) == plain
    assert part_rows([plain], COST) == ()


def test_the_table_has_a_column_of_the_cost_where_it_is_known(three):
    one = split_priced(differences(three, 1, 0), three, kept(three))
    head, rows = table([one], 0.5)
    assert head[-1] == "cost, EUR for a kilogram"
    assert float(rows[-1][-1]) == pytest.approx(one.whole[COST], abs=5e-4)


def test_a_fix_tells_its_cost_where_the_prices_of_its_rows_are_kept():
    recipe = file.read(FOLDER / "oat_bar_sticky_and_mended.toml").only("1")
    found = fixes(recipe, BOOK, KNOWN, 0)
    result = evaluate(recipe, BOOK, KNOWN)
    stocked = kept(result)
    told = priced(found, stocked)
    for fix in told.fixes:
        price = {m.row: stocked.prices[key(result, m.row)].per_kilogram for m in fix.moves}
        by_hand = sum(float(price[m.row]) * m.delta / 100 for m in fix.moves)
        assert float(fix.cost_change.per_kilogram) == pytest.approx(by_hand, abs=1e-6)
        assert "EUR" in effect_words(fix) or "as much as before" in effect_words(fix)
    assert all(fix.cost_change is None for fix in priced(found, Stocked()).fixes)


def key(result, row):
    one = materials_of(result)[row]
    return kind_of(one), one.name
