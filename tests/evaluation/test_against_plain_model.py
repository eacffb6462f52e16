"""The evaluation equals a plain loop over draws, and is far faster."""

import time

import numpy as np
import pytest
from bars import recipe
from plain_model import Draw, clean_and_course

from designer import handbook
from designer.evaluation import knowledge, melt_table
from designer.evaluation.evaluate import clock_times, conditions_of, evaluate
from designer.evaluation.mixture import mix
from designer.recipe import resolve

BOOK = handbook.load()
DRAWS = 3


@pytest.mark.speed
def test_evaluation_equals_a_plain_loop_and_is_two_hundred_times_faster():
    bar = recipe(9)
    known = knowledge.shipped()
    times = clock_times((300.0, 1200.0))
    early = times[times <= 1200.0]
    melt_table._melt_table.cache_clear()
    evaluate(bar, BOOK, known)  # the random streams are drawn once per run of the program
    melt_table._melt_table.cache_clear()
    start = time.perf_counter()
    fast = evaluate(bar, BOOK, known)
    fast_time = time.perf_counter() - start
    mixture = mix(bar, resolve(bar), BOOK)
    conditions = conditions_of(bar, resolve(bar))
    start = time.perf_counter()
    slow = [
        clean_and_course(Draw(BOOK, known, k), mixture, 0, conditions, early) for k in range(DRAWS)
    ]
    slow_time = (time.perf_counter() - start) / DRAWS * known.draws
    plain = np.moveaxis(np.array(slow), 0, 2)
    count = early.size
    short = evaluate(bar, BOOK, known, early)
    for column, array in enumerate(
        (
            short.temperature,
            1 - short.melt_liquid_share,
            short.wetness,
            short.log_strength,
        )
    ):
        np.testing.assert_allclose(array[0, :count, :DRAWS], plain[:, column], rtol=1e-9, atol=1e-9)
    assert np.isfinite(fast.wetness).all()
    assert slow_time > 200 * fast_time
