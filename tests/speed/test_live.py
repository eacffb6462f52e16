"""What a key press costs: one variant of three evaluated again, as ratios within one run.

The unit is that of `unit.py`. The milliseconds are printed and decide nothing.
"""

import itertools
import time
import tracemalloc

import pytest
from bars import recipe

from designer import handbook
from designer.evaluation import knowledge
from designer.evaluation.evaluate import evaluate
from designer.evaluation.readings import readings
from designer.recipe import Recipe
from designer.wording.sentence import chance_sentence, mark_words, sentence

from .unit import unit as piece_of_work

BOOK = handbook.load()
pytestmark = pytest.mark.speed


def best(call, repeats):
    times = []
    for _ in range(repeats):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


@pytest.fixture(scope="module")
def unit():
    return piece_of_work()


def many(count: int) -> Recipe:
    """Return one bar in variants that differ in their betaine."""
    made, numbers = recipe(1), [str(k + 1) for k in range(count)]
    for number in numbers[1:]:
        made = made.add_variant(number, like="1")
    for k, number in enumerate(numbers):
        made = made.with_percent(at(made, "CAPB 30 %"), number, 6.0 + 0.1 * k)
    return made


def at(made: Recipe, name: str) -> int:
    return [row.name for row in made.rows].index(name)


def shown(result):
    """Ask for all that is painted of the active variant."""
    spreads = result.spread_over_time(0)
    return (
        readings(result, 0),
        sentence(result, 0),
        chance_sentence(result, 0),
        mark_words(result, 0),
        spreads["firmness"],
        spreads["temperature"],
    )


def edited(row: str, start: float, before, repeats: int) -> tuple[float, float]:
    """Return the least seconds of evaluating an edit of one row and of asking for its numbers."""
    made, count = before.recipe, itertools.count(1)
    evaluating, asking = [], []
    for _ in range(repeats):
        new = made.with_percent(at(made, row), "1", start + 0.0137 * next(count))
        begin = time.process_time()
        result = evaluate(new, BOOK, knowledge.shipped(), None, before)
        middle = time.process_time()
        shown(result)
        evaluating.append(middle - begin)
        asking.append(time.process_time() - middle)
    return min(evaluating), min(asking)


def test_a_key_press_costs_few_units(record_property, unit):
    before = evaluate(many(3), BOOK, knowledge.shipped())
    shown(before)
    measured = {
        "no fat": edited("CAPB 30 %", 9.0, before, 25),
        "one fat": edited("cocoa butter", 3.9, before, 9),
    }
    for name, (evaluating, asking) in measured.items():
        whole = evaluating + asking
        text = (
            f"{1000 * evaluating:.1f} + {1000 * asking:.1f} ms, "
            f"{evaluating / unit:.0f} + {asking / unit:.0f} units"
        )
        record_property(name, text)
        print(f"{name}: evaluate + numbers {text}, {1000 * whole:.1f} ms in all")
    assert sum(measured["no fat"]) <= 60 * unit
    assert sum(measured["one fat"]) <= 220 * unit


def test_one_changed_variant_of_twelve_costs_under_half_of_all(record_property):
    made, known = many(12), knowledge.shipped()
    before = evaluate(made, BOOK, known)
    new = made.with_percent(at(made, "CAPB 30 %"), "1", 8.88)
    again = best(lambda: evaluate(new, BOOK, known, None, before), 9)
    fresh = best(lambda: evaluate(new, BOOK, known), 7)
    record_property("one of twelve", f"{again / fresh:.2f} of all")
    print(f"one of twelve: {1000 * again:.1f} ms, all {1000 * fresh:.1f} ms")
    assert again < fresh / 2


def test_nothing_changed_costs_next_to_nothing(record_property):
    made, known = many(3), knowledge.shipped()
    before = evaluate(made, BOOK, known)
    renamed = made.with_name("Other").use_variant("2")
    again = best(lambda: evaluate(renamed, BOOK, known, None, before), 15)
    fresh = best(lambda: evaluate(made, BOOK, known), 7)
    record_property("nothing changed", f"{1000 * again:.2f} ms, {again / fresh:.3f} of all")
    print(f"nothing changed: {1000 * again:.2f} ms, all {1000 * fresh:.1f} ms")
    assert again < fresh / 10


def test_fifty_variants_keep_six_arrays_each_at_most(record_property):
    made, known = many(50), knowledge.shipped()
    evaluate(many(2), BOOK, known)
    tracemalloc.start()
    try:
        result = evaluate(made, BOOK, known)
        kept, _ = tracemalloc.get_traced_memory()
        shown(result)
    finally:
        tracemalloc.stop()
    array = result.times.size * known.draws * 8
    record_property("50 variants", f"{kept / 1e6:.0f} MB, {kept / 50 / array:.1f} arrays each")
    print(f"50 variants: {kept / 1e6:.0f} MB, {kept / 50 / array:.1f} arrays each")
    assert kept < 50 * 6 * array
