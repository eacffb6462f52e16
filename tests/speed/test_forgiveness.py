"""What the forgiveness of a long recipe costs, beside asking for one dough after another."""

import time

import pytest
from bars import recipe

from designer import handbook
from designer.advice.forgiveness import forgiveness
from designer.evaluation import knowledge, melt_table
from designer.evaluation.evaluate import evaluate
from designer.recipe import Row

BOOK = handbook.load()
KNOWN = knowledge.shipped()
MORE = {
    "oat flour": ("powder", 2.0),
    "cationic guar": ("powder", 0.3),
    "water": ("liquid", 1.0),
    "lavender oil": ("last", 0.3),
    "kokum butter": ("melt", 1.0),
}
DOUGHS_PER_END = 13
"""A bracket and twelve halvings of a quarter of the batch: half of the last digit that is told,
0.05 g in 450 g."""

pytestmark = pytest.mark.speed


def of_25():
    made = recipe(10)
    for name, (phase, percent) in MORE.items():
        made = made.add_row(Row(phase, name, {"1": percent}))
    return made


def took(call):
    start = time.process_time()
    call()
    return time.process_time() - start


def test_forgiveness_costs_a_twentieth_of_one_dough_after_another(record_property):
    made = of_25()
    assert len(made.rows) == 25
    result = evaluate(made, BOOK, KNOWN)

    told = {one.name for one in forgiveness(result, 0).allowances if one.kind == "lot"}
    lots = [index for index, row in enumerate(made.rows) if row.name in told]

    def cold():
        melt_table._melt_table.cache_clear()
        forgiveness(result, 0)

    def moved(by):
        """Evaluate the recipe with each ingredient and each condition changed in turn."""
        for index, row in enumerate(made.rows):
            evaluate(made.with_percent(index, "1", row.percents["1"] * by), BOOK, KNOWN)
        for name, value in (("room", 294.0), ("humidity", 0.5), ("bath", 343.0), ("batch", 0.4)):
            evaluate(made.with_bench(**{name: value * by}), BOOK, KNOWN)
        evaluate(made.with_bench(knead=(300.0, 1100.0 * by)), BOOK, KNOWN)
        # A lot that drinks otherwise costs as much as another weight of its powder.
        for index in lots:
            evaluate(
                made.with_percent(index, "1", made.rows[index].percents["1"] / by), BOOK, KNOWN
            )

    # In turns, so that what else the machine does falls on both; every dough of a bisection is
    # another, so none is met again.
    rounds, by = [], 1.0
    for _ in range(3):
        for _ in range(4):
            by += 0.01
            rounds.append((took(cold), took(lambda by=by: moved(by))))
        mine, one_each = (min(times) for times in zip(*rounds, strict=True))
        brute = 2 * DOUGHS_PER_END * one_each
        # A busy machine is given time to come to rest: it makes small doughs dearer than large.
        if mine < brute / 20:
            break
    record_property("forgiveness of 25", f"{1000 * mine:.0f} ms, brute force {brute:.1f} s")
    print(f"forgiveness of 25: {1000 * mine:.0f} ms, brute force {brute:.1f} s")
    assert mine < brute / 20
