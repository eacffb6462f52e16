"""Speed as ratios within one run; the milliseconds are printed and decide nothing.

The unit is that of `unit.py`.
"""

import itertools
import subprocess
import sys
import time
from pathlib import Path

import pytest
from bars import recipe

from designer import handbook
from designer.evaluation import knowledge, melt_table
from designer.evaluation.evaluate import clock_times, conditions_of, evaluate, evaluate_mixture
from designer.evaluation.mixture import mix
from designer.recipe import Recipe, Row, Variant, resolve

from .unit import unit

BOOK = handbook.load()
pytestmark = pytest.mark.speed


def best(call, repeats=7):
    times = []
    for _ in range(repeats):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def three():
    """Return three variants of one bar that differ in their betaine."""
    bar = recipe(1)
    rows = tuple(
        Row(row.phase, row.name, dict.fromkeys("123", row.percents["1"])) for row in bar.rows
    )
    variants = (Variant("1", active=True), Variant("2"), Variant("3"))
    made = Recipe("three", variants=variants, rows=rows, bench=bar.bench)
    at = [row.name for row in rows].index("CAPB 30 %")
    return made.with_percent(at, "2", 12.0).with_percent(at, "3", 6.5)


def full(made):
    """Evaluate all that a view draws: the arrays, the state chances, the marks."""
    result = evaluate(made, BOOK, knowledge.shipped())
    return result.state_chances, result.marks


def test_three_variants_cost_few_units(record_property):
    made = three()
    at = [row.name for row in made.rows].index("cocoa butter")
    assert clock_times(made.bench.knead).size == 60
    full(made)
    count = itertools.count(1)
    with_fat = best(lambda: full(made.with_percent(at, "2", 3.9 + 0.01 * next(count))), 5)

    def cold():
        melt_table._melt_table.cache_clear()
        full(made)

    measured = {"warm": best(lambda: full(made)), "one fat": with_fat, "cold": best(cold, 3)}
    one = unit()
    for name, seconds in measured.items():
        record_property(name, f"{1000 * seconds:.1f} ms, {seconds / one:.0f} units")
        print(f"{name}: {1000 * seconds:.1f} ms, {seconds / one:.0f} units of {1000 * one:.2f} ms")
    assert measured["warm"] <= 200 * one
    assert measured["one fat"] <= 600 * one
    assert measured["cold"] <= 2500 * one


def test_many_recipes_of_one_blend_cost_far_less_than_as_many_alone():
    bar = recipe(1)
    at = [row.name for row in bar.rows].index("CAPB 30 %")
    numbers = [str(k + 1) for k in range(40)]
    rows = tuple(
        Row(row.phase, row.name, dict.fromkeys(numbers, row.percents["1"])) for row in bar.rows
    )
    many = Recipe(
        "many",
        variants=tuple(Variant(n, active=n == "1") for n in numbers),
        rows=rows,
        bench=bar.bench,
    )
    for k, number in enumerate(numbers):
        many = many.with_percent(at, number, 7.0 + 0.1 * k)
    known = knowledge.shipped()
    times = clock_times(bar.bench.knead)
    felt = times[times <= bar.bench.knead[1]]

    def run(made):
        amounts = resolve(made)
        mixture, conditions = mix(made, amounts, BOOK), conditions_of(made, amounts)
        evaluate_mixture(made, amounts, mixture, conditions, BOOK, known, felt)

    run(bar)
    together, alone = best(lambda: run(many), 3), best(lambda: run(bar), 5)
    assert together < 0.8 * 40 * alone


def test_loading_every_table_is_quick(record_property):
    """The claim of 150 ms is printed; what can fail is the ratio to parsing the bare files."""
    folder = handbook.places.resources()
    files = [*folder.glob("materials/*.csv"), *folder.glob("parameters/*.toml")]
    loading = best(lambda: handbook.load(folder), 3)
    reading = best(lambda: [path.read_text(encoding="utf-8").split(",") for path in files], 3)
    record_property("loading", f"{1000 * loading:.0f} ms")
    print(f"loading: {1000 * loading:.0f} ms, reading the text: {1000 * reading:.1f} ms")
    assert loading < 150 * reading


def test_a_fresh_interpreter_loads_nothing_heavy_for_the_command_line():
    code = (
        "import sys, designer.terminal; "
        "heavy = {'PySide6', 'pyqtgraph', 'pint', 'tomlkit', 'scipy.stats', 'scipy.optimize'}; "
        "print(sorted(heavy & set(sys.modules)))"
    )
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=root, check=True
    )
    assert done.stdout.strip() == "[]"
