"""Advice belongs to the recipe as it is now; the newest question wins; nothing kills the thread."""

import threading

import pytest

from designer.errors import ReadableError


class Asked:
    """A question that waits at a gate, and what was announced of it."""

    def __init__(self, document):
        self.gate, self.begun = threading.Event(), threading.Semaphore(0)
        self.answered, self.failed, self.stopped = [], [], []
        self.error, self.first = None, None
        advisor = document.advisor
        advisor.answered.connect(lambda name, answer: self.answered.append((name, answer)))
        advisor.failed.connect(lambda name, error: self.failed.append((name, error)))

    def __call__(self, result, stop, found):
        self.begun.release()
        if self.first is not None:
            found(self.first)
        assert self.gate.wait(20)
        self.stopped.append(stop())
        if stop():
            raise InterruptedError
        if self.error is not None:
            raise self.error
        return result.recipe


@pytest.fixture
def asked(document, qtbot):
    qtbot.waitUntil(lambda: document.evaluation is not None)
    question = Asked(document)
    yield question
    question.gate.set()


def test_an_answer_comes_and_comes_anew_after_a_change(document, asked, change, qtbot):
    asked.gate.set()
    document.advisor.want("fixes", asked)
    qtbot.waitUntil(lambda: len(asked.answered) == 1)
    assert asked.answered[0] == ("fixes", document.recipe)
    assert document.advisor.answer("fixes") == document.recipe
    with qtbot.waitSignal(document.advisor.forgotten):
        recipe = change(document, 11.0)
    assert document.advisor.answer("fixes") is None
    qtbot.waitUntil(lambda: len(asked.answered) == 2)
    assert asked.answered[1] == ("fixes", recipe)


def test_a_change_stops_what_is_being_answered_and_its_answer_is_never_told(
    document, asked, change, qtbot
):
    document.advisor.want("fixes", asked)
    assert asked.begun.acquire(timeout=20)
    recipe = change(document, 11.0)
    asked.gate.set()
    qtbot.waitUntil(lambda: bool(asked.answered))
    assert asked.stopped[0] is True
    assert asked.answered == [("fixes", recipe)]


def test_a_first_answer_is_told_before_the_last(document, asked, qtbot):
    asked.first = "soon"
    document.advisor.want("fixes", asked)
    qtbot.waitUntil(lambda: bool(asked.answered))
    assert asked.answered == [("fixes", "soon")]
    assert document.advisor.is_working("fixes")
    asked.gate.set()
    qtbot.waitUntil(lambda: len(asked.answered) == 2)
    assert not document.advisor.is_working("fixes")


def test_a_question_dropped_is_not_answered(document, asked, qtbot):
    document.advisor.want("fixes", asked)
    assert asked.begun.acquire(timeout=20)
    document.advisor.drop("fixes")
    other = Asked(document)
    other.gate.set()
    document.advisor.want("swaps", other)
    asked.gate.set()
    qtbot.waitUntil(lambda: bool(other.answered))
    assert [name for name, _ in asked.answered] == ["swaps"]


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (ReadableError("Fixes", "Every row is held.", "Let one go."), "Every row is held."),
        (ZeroDivisionError(), "mistake here (ZeroDivisionError)"),
    ],
)
def test_a_failure_is_told_and_the_next_question_is_answered(
    document, asked, error, said, qtbot, caplog
):
    asked.gate.set()
    asked.error = error
    document.advisor.want("fixes", asked)
    qtbot.waitUntil(lambda: bool(asked.failed))
    assert said in str(asked.failed[0][1])
    asked.error = None
    document.advisor.want("fixes", asked)
    qtbot.waitUntil(lambda: bool(asked.answered))


def test_closing_ends_what_is_being_answered(document, asked):
    document.advisor.want("fixes", asked)
    assert asked.begun.acquire(timeout=20)
    asked.gate.set()
    document.close()
    assert asked.answered == []
