"""A difference is split over its changes: the printed example, and what any split must keep."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from stand_in import Bench

from designer.advice.splitting import along_path, shapley

CHANGES = {
    "cocoa butter": 3.0,
    "shea butter, West African": 3.0,
    "SCI fine powder": -4.0,
    "white clay": -1.0,
    "CAPB 30 %": -1.0,
}
# The program's reference for the stand-in fats, bar 4 against bar 1: wetness, ln of strength.
PRINTED = {
    "cocoa butter": (0.1112, -0.831),
    "shea butter, West African": (0.1100, -0.822),
    "SCI fine powder": (0.0762, -0.568),
    "white clay": (0.0143, -0.107),
    "CAPB 30 %": (-0.0295, 0.217),
}


def stand_in(made):
    found = []
    for row in made:
        extra = {name: part * gram for (name, gram), part in zip(CHANGES.items(), row, strict=True)}
        one = Bench(1, extra, brought_to_100=False).dough()
        found.append([one.wetness[3, 0], one.log_strength[3, 0]])
    return np.array(found)


def test_the_fourth_bar_differs_from_the_first_as_printed():
    parts, whole = shapley(stand_in, 5)
    assert whole[0] == pytest.approx(0.2821, abs=3e-4)
    assert whole[1] == pytest.approx(-2.111, abs=2e-3)
    np.testing.assert_allclose(parts[:, 0], [w for w, _ in PRINTED.values()], atol=1.5e-4)
    np.testing.assert_allclose(parts[:, 1], [s for _, s in PRINTED.values()], atol=1e-3)


def test_the_path_gives_the_printed_split_within_what_is_printed_of_it():
    exact, whole = shapley(stand_in, 5)
    parts, same = along_path(stand_in, stand_in, 5)
    np.testing.assert_allclose(same, whole, atol=1e-12)
    np.testing.assert_allclose(parts.sum(axis=0), whole, atol=1e-12)
    # Printed: it differs by .0002 of wetness at most.
    np.testing.assert_allclose(parts[:, 0], exact[:, 0], atol=4e-4)


def game(values, changes):
    table = np.array(values).reshape(2**changes, -1)

    def figures(made):
        return table[(made.astype(int) << np.arange(changes)).sum(axis=1)]

    return figures, table


def by_every_order(table, changes):
    """Return the parts by their definition: the mean gain over all orders, one by one."""
    parts = np.zeros((changes, table.shape[1]))
    orders = list(itertools.permutations(range(changes)))
    for order in orders:
        made = 0
        for k in order:
            parts[k] += table[made | 1 << k] - table[made]
            made |= 1 << k
    return parts / len(orders)


@settings(max_examples=30)
@given(
    st.integers(1, 5).flatmap(lambda n: st.lists(st.floats(-9, 9), min_size=2**n, max_size=2**n))
)
def test_parts_are_the_mean_gain_over_every_order(values):
    changes = int(np.log2(len(values)))
    figures, table = game(values, changes)
    parts, whole = shapley(figures, changes)
    np.testing.assert_allclose(parts, by_every_order(table, changes), atol=1e-12)
    np.testing.assert_allclose(parts.sum(axis=0), whole, atol=1e-12)


@settings(max_examples=30)
@given(st.lists(st.floats(-3, 3), min_size=3, max_size=12), st.floats(-2, 2))
def test_a_path_splits_a_smooth_figure_to_its_whole_and_turns_its_sign_when_walked_back(by, start):
    by = np.array(by)

    def figures(made):
        return np.exp(0.1 * (start + made @ by))[:, None]

    def back(made):
        return figures(1 - made)

    there, whole = along_path(figures, figures, by.size)
    again, _ = along_path(back, back, by.size)
    np.testing.assert_allclose(there.sum(axis=0), whole, atol=1e-9)
    np.testing.assert_allclose(again, -there, atol=1e-9)
    # In exp(sum) every change counts by its size.
    if abs(by.sum()) > 1e-3:
        np.testing.assert_allclose(there[:, 0], whole * by / by.sum(), atol=2e-3)


def test_a_change_that_does_nothing_has_no_part():
    def figures(made):
        return made[:, :1] ** 2

    assert shapley(figures, 3)[0][1:] == pytest.approx(0.0, abs=1e-15)
    assert (along_path(figures, figures, 3)[0][1:] == 0.0).all()
