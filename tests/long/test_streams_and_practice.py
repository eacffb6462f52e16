"""How far the shown chances hang on the luck of the random streams and of the usual recipes."""

import numpy as np
import pytest
from bars import recipe
from plain_model import Draw, clean_and_course

from designer import handbook
from designer.evaluation import draws, knowledge, melt_table, practice
from designer.evaluation.evaluate import clock_times, conditions_of, evaluate
from designer.evaluation.knowledge import PRIOR_DRAWS, Knowledge
from designer.evaluation.mixture import mix
from designer.recipe import resolve

pytestmark = pytest.mark.long
BOOK = handbook.load()
WINDOW = clock_times((300.0, 1200.0))
FELT = WINDOW[(WINDOW >= 300.0) & (WINDOW <= 1200.0)]


def forget():
    draws.dough_draws.cache_clear()
    melt_table._melt_table.cache_clear()


@pytest.fixture
def other_streams(monkeypatch, request):
    """Replace every stream by that of another name, so other luck but the same marginals."""
    true = knowledge.stream.__wrapped__
    monkeypatch.setattr(knowledge, "stream", lambda n, c: true(f"{request.param} {n}", c))
    forget()
    yield
    monkeypatch.undo()
    forget()


def chances(weights):
    known = Knowledge(np.arange(PRIOR_DRAWS), weights / weights.sum(), "usual practice")
    return [float(evaluate(recipe(k), BOOK, known, FELT).clean_knead_chance[0]) for k in (1, 2, 10)]


@pytest.mark.parametrize("other_streams", ["a", "b", "c"], indirect=True)
def test_other_streams_move_a_chance_by_under_three_hundredths(other_streams):
    weights, _ = practice.evidence(BOOK)
    np.testing.assert_allclose(chances(weights), [0.723, 0.219, 0.808], atol=0.03)


@pytest.mark.parametrize("half", [0, 1])
def test_half_of_the_usual_recipes_teach_nearly_the_same(half):
    from dataclasses import replace

    book = replace(BOOK, practice=BOOK.practice[half::2])
    weights, _ = practice.evidence(book)
    np.testing.assert_allclose(chances(weights), [0.723, 0.219, 0.808], atol=0.05)


@pytest.mark.parametrize("number", range(1, 11))
def test_every_bar_equals_the_plain_loop(number):
    bar, known = recipe(number), knowledge.shipped()
    early = WINDOW[WINDOW <= 1200.0]
    fast = evaluate(bar, BOOK, known, early)
    mixture, conditions = mix(bar, resolve(bar), BOOK), conditions_of(bar, resolve(bar))
    for k in (0, 101, 257, 511):
        slow = np.array(clean_and_course(Draw(BOOK, known, k), mixture, 0, conditions, early))
        for column, array in enumerate(
            (fast.temperature, 1 - fast.melt_liquid_share, fast.wetness, fast.log_strength)
        ):
            np.testing.assert_allclose(array[0, :, k], slow[:, column], rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("count", [512, 1024, 2048])
def test_more_draws_show_nearly_the_same_chance(count):
    shown = knowledge.shipped(count)
    for number in range(1, 11):
        few = evaluate(recipe(number), BOOK, shown, FELT).clean_knead_chance[0]
        all_ = evaluate(recipe(number), BOOK, knowledge.practice(), FELT).clean_knead_chance[0]
        assert abs(few - all_) < 0.04 * np.sqrt(512 / count) + 0.005
