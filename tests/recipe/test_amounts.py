import numpy as np
import pytest
from hypothesis import given

from designer.errors import ReadableError
from designer.recipe import QS, Recipe, Row, Variant, resolve, resolved
from tests.recipe.strategies import filled_recipes


def recipe(*columns, **bench):
    """Return a recipe of powders with these figures, a list for each variant."""
    numbers = [str(number + 1) for number in range(len(columns))]
    rows = [
        Row("powder", f"powder {place}", dict(zip(numbers, cells, strict=True)))
        for place, cells in enumerate(zip(*columns, strict=True))
    ]
    made = Recipe(variants=tuple(Variant(n) for n in numbers), rows=tuple(rows))
    return made.with_bench(**bench)


def test_qs_fills_up_to_100():
    amounts = resolve(recipe([10.0, QS, 25.5], [QS, 30.0, 30.0]))
    assert amounts.percents == pytest.approx(np.array([[10, 64.5, 25.5], [40, 30, 30]]))
    assert amounts.totals == pytest.approx([100, 100])
    assert amounts.excess == pytest.approx([0, 0])
    assert amounts.is_whole.all()


def test_qs_never_falls_below_0_and_the_excess_is_told():
    amounts = resolve(recipe([80.0, QS, 32.5]))
    assert amounts.percents[0, 1] == 0
    assert amounts.totals == pytest.approx([112.5])
    assert amounts.excess == pytest.approx([12.5])
    assert not amounts.is_whole.any()
    assert amounts.shares.sum() == pytest.approx(1)


def test_a_total_other_than_100_is_kept_and_the_shares_are_of_the_dough():
    amounts = resolve(recipe([20.0, 30.0], [90.0, 60.0]))
    assert amounts.totals == pytest.approx([50, 150])
    assert amounts.excess == pytest.approx([0, 50])
    assert amounts.shares == pytest.approx(np.array([[0.4, 0.6], [0.6, 0.4]]))


def test_a_total_that_rounds_to_100_counts_as_100():
    assert resolve(recipe([33.33, 66.67])).is_whole.all()
    assert resolve(recipe([33.334, 66.67])).is_whole.all()
    assert not resolve(recipe([33.3, 66.67])).is_whole.any()


def test_a_row_without_a_figure_is_none_of_the_dough():
    assert resolve(recipe([None, 50.0])).shares == pytest.approx(np.array([[0, 1]]))


@given(filled_recipes())
def test_resolving_twice_changes_nothing(recipe):
    once = resolve(recipe)
    twice = resolve(resolved(recipe))
    for name, array in vars(once).items():
        assert np.array_equal(array, getattr(twice, name)), name
    assert resolved(resolved(recipe)) == resolved(recipe)


@given(filled_recipes())
def test_shares_sum_to_one_and_masses_to_the_batch(recipe):
    amounts = resolve(recipe)
    assert (amounts.percents >= 0).all()
    assert amounts.shares.sum(axis=1) == pytest.approx(np.ones(len(recipe.variants)))
    assert amounts.masses.sum(axis=1) == pytest.approx(amounts.batch_mass)
    assert amounts.excess == pytest.approx(np.maximum(amounts.totals - 100, 0))


@given(filled_recipes())
def test_splitting_a_row_in_two_changes_no_share(recipe):
    half = dict.fromkeys(recipe.numbers, 3.75)
    last = len(recipe.rows) - 1
    row = recipe.rows[last]
    split = recipe.remove_row(last)
    for _ in range(2):
        split = split.add_row(Row(row.phase, row.name, half))
    whole, parts = resolve(recipe).shares, resolve(split).shares
    assert parts[:, :last] == pytest.approx(whole[:, :last])
    assert parts[:, last:].sum(axis=1) == pytest.approx(whole[:, last])


@pytest.mark.parametrize("columns", [[[]], [[0.0, 0.0]], [[None, 0.0]], [[50.0, 50.0], [0.0, 0.0]]])
def test_a_variant_with_nothing_in_it_is_refused_by_its_number(columns):
    with pytest.raises(ReadableError, match="No ingredient has more than 0 %") as caught:
        resolve(recipe(*columns))
    assert caught.value.title.endswith(f"variant {len(columns)}")


def test_a_qs_row_alone_is_the_whole_dough():
    assert resolve(recipe([QS, 0.0])).percents == pytest.approx(np.array([[100, 0]]))


def test_amounts_of_some_variants_can_be_asked_for():
    whole = recipe([10.0, 90.0], [0.0, 0.0])
    assert resolve(whole.only("1")).shares == pytest.approx(np.array([[0.1, 0.9]]))


def test_the_batch_follows_bars_net_and_loss():
    amounts = resolve(recipe([50.0, 50.0], bars=24, net=0.1, loss=0.02))
    assert amounts.batch_mass == pytest.approx([24 * 0.1 / 0.98])
    assert amounts.masses == pytest.approx(np.full((1, 2), 12 * 0.1 / 0.98))


def test_amounts_cannot_be_written_into():
    amounts = resolve(recipe([50.0, 50.0]))
    with pytest.raises(ValueError, match="read-only"):
        amounts.shares[0, 0] = 1
