"""Edits of a whole column take about as long as making its rows, also with the most rows."""

from dataclasses import replace
from time import perf_counter

import pytest

from designer.recipe import Recipe, Row
from designer.window.recipe.table.edits import make_hundred, removed

ROWS = 500


@pytest.fixture
def long_recipe():
    rows = (Row("powder", f"powder {at}", {"1": 0.1}, origin=at) for at in range(ROWS))
    return Recipe(rows=tuple(rows))


def seconds(work):
    """Return the least time of three."""
    times = []
    for _ in range(3):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def anew(recipe):
    """Return the recipe made anew, each row and all of it checked once."""
    return replace(recipe, rows=tuple(replace(row) for row in recipe.rows))


def test_making_the_total_100_checks_the_recipe_once(long_recipe):
    one = seconds(lambda: anew(long_recipe))
    assert seconds(lambda: make_hundred(long_recipe, "1")) < 6 * one


def test_cutting_many_rows_checks_the_recipe_once(long_recipe):
    one = seconds(lambda: anew(long_recipe))
    assert seconds(lambda: removed(long_recipe, range(1, ROWS))) < 6 * one


def test_a_figure_checks_its_own_row_alone(long_recipe):
    one = seconds(lambda: anew(long_recipe))
    assert seconds(lambda: long_recipe.with_percent(0, "1", 0.2)) < 0.15 * one


def test_rows_changed_together_keep_their_place_in_the_file(long_recipe):
    brought = make_hundred(long_recipe, "1")
    assert sum(row.percents["1"] for row in brought.rows) == pytest.approx(100)
    assert [row.origin for row in brought.rows] == list(range(ROWS))
    assert [row.origin for row in removed(brought, range(1, ROWS - 1)).rows] == [0, ROWS - 1]
