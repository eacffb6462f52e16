"""One worker: the newest wins, results belong to the recipe as it is, nothing kills it."""

import gc
import subprocess
import sys
import time
from dataclasses import replace

import pytest

from designer.document import evaluator as workers
from designer.document.evaluator import Evaluator, filled
from designer.document.shelf import Shelf
from designer.evaluation import evaluate as evaluating
from designer.evaluation.readings import readings
from designer.recipe import QS, Recipe, Row, file
from designer.wording.told import lines_of

from .conftest import DEMO


class Heard:
    """What an evaluator announced, in order."""

    def __init__(self, evaluator):
        self.evaluated, self.failed, self.mapped, self.working = [], [], [], []
        evaluator.evaluated.connect(lambda result: self.evaluated.append(result.recipe))
        evaluator.failed.connect(lambda recipe, error: self.failed.append((recipe, error)))
        evaluator.mapped.connect(lambda recipe, shading: self.mapped.append((recipe, shading)))
        evaluator.working.connect(self.working.append)


@pytest.fixture
def evaluator(qapp, evaluation, shading):
    one = Evaluator(Shelf.of(None, None))
    yield one
    evaluation.gate.set()
    shading.gate.set()
    one.close()


@pytest.fixture
def heard(evaluator):
    return Heard(evaluator)


def named(name):
    return Recipe(name=str(name))


def begun(stand_in):
    assert stand_in.begun.acquire(timeout=20)


def test_a_result_carries_its_recipe(qtbot, evaluator, heard):
    with qtbot.waitSignal(evaluator.evaluated) as signal:
        evaluator.request(named("one"))
    assert signal.args[0].recipe == named("one")
    assert heard.failed == []


def test_the_newest_request_wins_and_a_stale_result_is_dropped(
    qtbot, evaluator, heard, evaluation, shading
):
    evaluation.gate.clear()
    evaluator.request(named("old"))
    begun(evaluation)
    evaluator.request(named("between"))
    evaluator.request(named("new"))
    evaluation.gate.set()
    qtbot.waitUntil(lambda: len(heard.mapped) == 1)
    assert heard.evaluated == [named("new")]
    assert evaluation.asked == [named("old"), named("new")]
    assert shading.asked == [named("new")]


def test_a_failure_of_a_stale_request_is_dropped_too(qtbot, evaluator, heard, evaluation):
    evaluation.gate.clear()
    evaluation.error = KeyError("old")
    evaluator.request(named("old"))
    begun(evaluation)
    evaluator.request(named("new"))
    evaluation.gate.set()
    begun(evaluation)
    qtbot.waitUntil(lambda: heard.failed != [])
    assert [recipe for recipe, _ in heard.failed] == [named("new")]


def test_a_mistake_of_the_program_is_told_and_the_worker_goes_on(
    qtbot, evaluator, heard, evaluation, caplog
):
    evaluation.error = ZeroDivisionError("by nothing")
    with qtbot.waitSignal(evaluator.failed):
        evaluator.request(named("bad"))
    recipe, error = heard.failed[0]
    assert recipe == named("bad")
    assert "The program made a mistake here (ZeroDivisionError)." in str(error)
    assert "by nothing" in caplog.text  # for whoever mends it
    evaluation.error = None
    with qtbot.waitSignal(evaluator.evaluated):
        evaluator.request(named("good"))
    assert heard.evaluated == [named("good")]


def test_a_map_that_fails_is_told_and_the_worker_goes_on(qtbot, evaluator, heard, shading, caplog):
    shading.error = IndexError("no point")
    with qtbot.waitSignal(evaluator.failed):
        evaluator.request(named("bad"))
    assert heard.evaluated == [named("bad")]
    assert heard.failed[0][1].title == "Dough map"
    shading.error = None
    with qtbot.waitSignal(evaluator.mapped):
        evaluator.request(named("good"))
    assert [recipe for recipe, _ in heard.mapped] == [named("good")]


def test_working_is_told_once_from_the_first_request_to_the_last_result(
    qtbot, evaluator, heard, evaluation
):
    assert not evaluator.is_working
    evaluation.gate.clear()
    for name in range(3):
        evaluator.request(named(name))
    assert evaluator.is_working
    assert heard.working == [True]
    evaluation.gate.set()
    qtbot.waitUntil(lambda: not evaluator.is_working)
    assert heard.working == [True, False]
    assert heard.evaluated == [named(2)]


def test_working_ends_with_a_failure(qtbot, evaluator, heard, evaluation):
    evaluation.error = ValueError()
    with qtbot.waitSignal(evaluator.failed):
        evaluator.request(named("bad"))
    assert heard.working == [True, False]


def test_a_map_gives_up_when_something_newer_is_asked_for(qtbot, evaluator, heard, shading):
    shading.gate.clear()
    evaluator.request(named("old"))
    begun(shading)
    evaluator.request(named("new"))
    shading.gate.set()
    qtbot.waitUntil(lambda: len(heard.mapped) == 1)
    assert shading.stopped == [True, False]
    assert heard.mapped[0][0] == named("new")


def test_what_was_found_before_is_taken_over_also_from_a_stale_result(
    qtbot, evaluator, heard, evaluation, shading
):
    evaluation.gate.clear()
    evaluator.request(named("stale"))
    begun(evaluation)
    evaluator.request(named("one"))
    evaluation.gate.set()
    qtbot.waitUntil(lambda: len(heard.mapped) == 1)
    with qtbot.waitSignal(evaluator.mapped):
        evaluator.request(named("two"))
    assert [before and before.recipe.name for before in evaluation.given] == [None, "stale", "one"]
    assert [before and before.recipe.name for before in shading.given] == [None, "one"]


def test_nothing_is_announced_after_the_end(qtbot, qapp, evaluator, heard, evaluation):
    evaluation.gate.clear()
    evaluator.request(named("late"))
    begun(evaluation)
    evaluation.gate.set()
    evaluator.close()
    qapp.processEvents()
    assert heard.evaluated == []


def test_an_end_waits_neither_for_an_evaluation_nor_for_the_handbook(qapp, evaluator, evaluation):
    evaluation.gate.clear()
    evaluator.request(named("long"))
    begun(evaluation)
    unequipped = Evaluator(Shelf())
    unequipped.request(named("never"))
    start = time.monotonic()
    evaluator.close()
    unequipped.close()
    # The stand-in waits 20 s for its gate.
    assert time.monotonic() - start < 10


ENDS_AT_WORK = """
from PySide6.QtCore import QCoreApplication
from designer.document import Document
from designer.document.shelf import Shelf
from designer.recipe import file
application = QCoreApplication([])
recipe = file.read({path!r})
shelf = Shelf()
loading = Document(recipe, shelf)
loading.equip()
loading.close()
working = Document(recipe, shelf)
shelf.wait()
working.close()
"""


def test_a_program_that_ends_while_threads_are_at_work_ends_in_order(path):
    code = ENDS_AT_WORK.format(path=str(path))
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_the_worker_gives_the_interpreter_back_to_the_window_every_millisecond(evaluator):
    assert sys.getswitchinterval() <= 0.001


def test_a_full_collection_passes_over_what_was_loaded_before_the_first_result(qtbot, evaluator):
    gc.unfreeze()
    workers._set_loaded_aside.cache_clear()
    evaluator.request(named("one"))
    qtbot.waitUntil(lambda: gc.get_freeze_count() > 10_000)


def test_a_burst_of_edits_leads_to_few_evaluations_and_one_result(
    qtbot, opening, monkeypatch, change
):
    whole, asked = evaluating.evaluate, []

    def counted(recipe, *rest, **more):
        if len(rest) == 2:  # with times it is of the knead alone
            asked.append(recipe)
        return whole(recipe, *rest, **more)

    monkeypatch.setattr(evaluating, "evaluate", counted)
    document = opening()
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    asked.clear()
    announced = []
    document.evaluated.connect(announced.append)
    for tenths in range(20):
        change(document, 10 + tenths / 10)
    with qtbot.waitSignal(document.mapped, timeout=20_000) as mapped:
        pass
    assert len(asked) <= 2
    assert len(announced) == 1
    assert announced[0].recipe == document.recipe
    assert document.evaluation is announced[0]
    assert mapped.args[0] is document.dough_map
    assert document.dough_map.recipe == document.recipe
    assert document.dough_map.number == "1"


def test_after_a_change_there_is_no_map_and_no_result_until_new_ones_come(qtbot, document, change):
    qtbot.waitUntil(lambda: document.dough_map is not None)
    change(document, 3.0)
    assert document.dough_map is None
    assert document.evaluation is None
    assert document.is_working


def test_a_result_that_arrives_after_undo_is_not_the_documents(qtbot, document, evaluation, change):
    qtbot.waitUntil(lambda: document.evaluation is not None)
    evaluation.gate.clear()
    announced = []
    document.evaluated.connect(lambda result: announced.append(result.recipe))
    changed = change(document, 3.0)
    document.undo_stack.undo()
    evaluation.gate.set()
    qtbot.waitUntil(lambda: document.evaluation is not None)
    assert announced == [file.read(DEMO)]
    assert changed not in announced


def test_a_map_that_fails_leaves_the_results_that_stand(
    qtbot, document, evaluation, shading, change, caplog
):
    qtbot.waitUntil(lambda: document.evaluation is not None)
    shading.error = IndexError("no point")
    told = []
    document.failed.connect(told.append)
    with qtbot.waitSignal(document.map_failed) as failed:
        change(document, 3.0)
    assert failed.args[0].title == "Dough map"
    assert document.evaluation is not None
    assert told == []


def test_a_recipe_without_anything_fails_with_a_sentence(qtbot, opening):
    document = opening(Recipe(name="nothing"))
    with qtbot.waitSignal(document.failed, timeout=20_000) as failed:
        pass
    assert "No ingredient has more than 0 %." in str(failed.args[0])
    assert document.evaluation is None
    assert not document.is_working


def test_after_an_edit_the_readings_at_the_knead_come_before_the_whole_result(
    qtbot, opening, change
):
    document = opening()
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    heard = []
    document.foreseen.connect(lambda knead: heard.append(("knead", knead)))
    document.evaluated.connect(lambda result: heard.append(("whole", result)))
    changed = change(document, 3.0)
    qtbot.waitUntil(lambda: [name for name, _ in heard] == ["knead", "whole"], timeout=20_000)
    (_, knead), (_, whole) = heard
    assert knead.recipe == whole.recipe == changed
    for variant in range(len(changed.variants)):
        assert readings(knead, variant) == readings(whole, variant)
        assert lines_of(knead, variant) == lines_of(whole, variant)


def test_the_worker_stands_still_while_the_window_shows_what_it_found(
    qtbot, evaluator, evaluation, monkeypatch
):
    monkeypatch.setattr("designer.document.evaluator.SHOWING", 20.0)
    evaluator.request(named("one"))
    begun(evaluation)
    qtbot.waitUntil(lambda: not evaluator.is_working)
    asked = []
    evaluator.foreseen.connect(lambda _: asked.append(evaluation.begun.acquire(timeout=0.1)))
    with qtbot.waitSignal(evaluator.evaluated):
        evaluator.request(named("two"))
    assert asked == [False]


def test_the_window_gives_way_until_the_readings_are_found(
    qtbot, evaluator, evaluation, monkeypatch
):
    monkeypatch.setattr(workers, "LEAD", 20.0)
    for name in ("one", "two"):
        evaluator.request(named(name))
        begun(evaluation)
        qtbot.waitUntil(lambda: not evaluator.is_working)
    evaluator.request(named("three"))
    start = time.monotonic()
    evaluator.give_way()
    assert time.monotonic() - start < 10
    assert evaluator._found.is_set()


def test_the_window_does_not_give_way_to_what_takes_longer(
    qtbot, evaluator, evaluation, monkeypatch
):
    evaluator.request(named("one"))
    begun(evaluation)
    qtbot.waitUntil(lambda: not evaluator.is_working)
    evaluation.gate.clear()
    evaluator.request(named("two"))
    start = time.monotonic()
    # As if the last readings had taken as long.
    monkeypatch.setattr(workers, "LEAD", 20.0)
    evaluator._took = 20.0
    evaluator.give_way()
    assert time.monotonic() - start < 10


def test_the_readings_of_an_older_recipe_are_not_announced(qtbot, opening, change):
    document = opening()
    qtbot.waitUntil(lambda: document.evaluation is not None, timeout=20_000)
    announced = []
    document.foreseen.connect(lambda knead: announced.append(knead.recipe == document.recipe))
    for percent in range(1, 15):
        change(document, float(percent))
    with qtbot.waitSignal(document.evaluated, timeout=20_000):
        pass
    assert announced
    assert all(announced)


def with_an_empty_variant(like):
    """Return a recipe in which variant 2 has figures, all of them zero."""
    recipe = like.only(like.active.number)
    number = recipe.active.number
    recipe = recipe.add_variant("empty", number)
    empty = next(other for other in recipe.numbers if other != number)
    for index in range(len(recipe.rows)):
        recipe = recipe.with_percent(index, empty, 0.0)
    return recipe, number, empty


def test_an_empty_variant_leaves_the_active_one_its_readings_and_its_map(qtbot, opening):
    document = opening()
    recipe, number, _ = with_an_empty_variant(document.recipe)
    failures, announced = [], []
    document.failed.connect(failures.append)
    document.foreseen.connect(lambda knead: announced.append(knead.recipe.numbers))
    document.edit("Empty variant", recipe)
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    assert failures == []
    assert document.evaluation.recipe.numbers == (number,)
    assert document.dough_map.number == number
    assert set(announced) <= {(number,)}
    assert readings(document.evaluation, 0)
    assert document.recipe == recipe


def test_an_empty_variant_in_use_is_told_and_the_full_one_comes_back(qtbot, opening):
    document = opening()
    recipe, number, empty = with_an_empty_variant(document.recipe)
    document.edit("Empty variant", recipe)
    with qtbot.waitSignal(document.failed, timeout=20_000) as failure:
        document.edit("Use it", recipe.use_variant(empty))
    assert failure.args[0].problem == "No ingredient has more than 0 %."
    assert document.evaluation is None
    assert document.dough_map is None
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    assert document.evaluation.recipe.numbers == (number,)


def test_a_variant_that_fills_up_is_not_empty():
    recipe = Recipe().add_variant().add_variant()
    rows = (Row("powder", "clay", {"1": 0.0, "2": 0.0}), Row("liquid", "water", {"2": QS}))
    recipe = replace(recipe, rows=rows)
    assert filled(recipe).numbers == ("1", "2")
    assert filled(recipe.use_variant("3")).numbers == ("2", "3")
