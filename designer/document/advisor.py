"""Answers to questions that take many evaluations, for the recipe as it is now, in a thread."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QTimer, Signal

from designer.document.ending import end
from designer.errors import ReadableError

if TYPE_CHECKING:
    from designer.document.document import Document
    from designer.evaluation.evaluate import Evaluation

__all__ = ["PATIENCE", "Advisor", "Question"]

PATIENCE = 400
"""Time [ms] after which advice no longer waits for the map, which comes first."""

Question = Callable[["Evaluation", Callable[[], bool], Callable[[Any], None]], Any]
"""What answers: it is given an evaluation, a way to ask whether to stop, and a way to hand in a
first answer before the last one, which it returns."""


@dataclass(frozen=True)
class _Job:
    name: str
    question: Question
    result: Evaluation
    serial: int


class Advisor(QObject):
    """Answers what views want to know of a document, again after every change.

    A change of the recipe stops what is being answered; nothing is told of a recipe of before.

    Signals
    -------
    answered(str, object)
        The name of a question and its answer, maybe a first one with better ones to come.
    failed(str, ReadableError)
    forgotten(str)
        The answer told last is that of another recipe.
    working(str, bool)
        The answer is being worked out, or no longer so.
    """

    answered = Signal(str, object)
    failed = Signal(str, object)
    forgotten = Signal(str)
    working = Signal(str, bool)
    _done = Signal(object, object)

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._questions: dict[str, Question] = {}
        self._urgent: set[str] = set()
        self._answers: dict[str, Any] = {}
        self._at_work: set[str] = set()
        self._serials: dict[str, int] = {}
        self._condition = threading.Condition()
        self._jobs: list[_Job] = []
        self._closing = False
        self._thread: threading.Thread | None = None
        self._done.connect(self._announce)
        self._waiting = QTimer(self)
        self._waiting.setSingleShot(True)
        self._waiting.setInterval(PATIENCE)
        self._waiting.timeout.connect(self._ask_all)
        document.changed.connect(lambda _: self._forget_all())
        document.evaluated.connect(lambda _: self._waiting.start())
        document.mapped.connect(lambda _: self._ask_all())
        document.map_failed.connect(lambda _: self._ask_all())
        document.failed.connect(lambda _: self._give_up())

    def want(self, name: str, question: Question, first: bool = False) -> None:
        """Ask a question now and after every change, until it is dropped or asked otherwise.

        `first` is for one that takes no time, or that the maker waits for: it does not wait behind
        the others.
        """
        self._questions[name] = question
        (self._urgent.add if first else self._urgent.discard)(name)
        self._forget(name)
        if self._document.evaluation is not None:
            self._ask(name)

    def drop(self, name: str) -> None:
        """Ask a question no longer."""
        self._questions.pop(name, None)
        self._forget(name)

    def answer(self, name: str) -> Any:
        """Return the answer for the recipe as it is now, or None while it is not there."""
        return self._answers.get(name)

    def is_working(self, name: str) -> bool:
        """Return whether an answer is being worked out."""
        return name in self._at_work

    @property
    def is_busy(self) -> bool:
        """Whether any answer is being worked out."""
        return bool(self._at_work)

    def close(self) -> None:
        """End the thread; nothing is announced any more."""
        self._waiting.stop()
        with self._condition:
            self._closing = True
            self._jobs.clear()
            self._condition.notify()
        if self._thread is not None:
            end(self._thread, self)

    # --- in the thread of the window

    def _ask_all(self) -> None:
        self._waiting.stop()
        if self._document.evaluation is not None:
            for name in sorted(self._questions, key=lambda name: name not in self._urgent):
                if name not in self._answers and name not in self._at_work:
                    self._ask(name)

    def _ask(self, name: str) -> None:
        result = self._document.evaluation
        if result is None or self._closing:
            return
        job = _Job(name, self._questions[name], result, self._serials.get(name, 0))
        with self._condition:
            self._jobs.insert(0 if name in self._urgent else len(self._jobs), job)
            self._condition.notify()
        if self._thread is None:
            self._thread = threading.Thread(target=self._work, name="advisor", daemon=True)
            self._thread.start()
        self._set_working(name, True)

    def _forget_all(self) -> None:
        self._waiting.stop()
        for name in self._questions:
            self._forget(name)

    def _forget(self, name: str) -> None:
        with self._condition:
            self._serials[name] = self._serials.get(name, 0) + 1
            self._jobs = [job for job in self._jobs if job.name != name]
        self._set_working(name, False)
        if self._answers.pop(name, None) is not None:
            self.forgotten.emit(name)

    def _give_up(self) -> None:
        self._waiting.stop()

    def _set_working(self, name: str, working: bool) -> None:
        if working != (name in self._at_work):
            (self._at_work.add if working else self._at_work.discard)(name)
            self.working.emit(name, working)

    def _announce(self, job: _Job, announce: Callable[[], None]) -> None:
        if self._is_wanted(job):
            announce()

    def _tell(self, job: _Job, answer: Any, last: bool) -> None:
        self._answers[job.name] = answer
        if last:
            self._set_working(job.name, False)
        self.answered.emit(job.name, answer)

    def _tell_failure(self, job: _Job, error: ReadableError) -> None:
        self._set_working(job.name, False)
        self.failed.emit(job.name, error)

    # --- in the thread of the advisor

    def _is_wanted(self, job: _Job) -> bool:
        return not self._closing and self._serials.get(job.name) == job.serial

    def _work(self) -> None:
        while (job := self._next()) is not None:
            self._carry_out(job)

    def _next(self) -> _Job | None:
        with self._condition:
            self._condition.wait_for(lambda: self._closing or bool(self._jobs))
            return None if self._closing else self._jobs.pop(0)

    def _carry_out(self, job: _Job) -> None:
        try:
            answer = job.question(
                job.result,
                lambda: not self._is_wanted(job),
                lambda first: self._done.emit(job, lambda: self._tell(job, first, False)),
            )
        except InterruptedError:
            return
        except ReadableError as error:
            problem = error
        except Exception as error:
            # The thread must outlive any mistake, or the list would wait for ever.
            logging.getLogger(__name__).exception("%s failed", job.name)
            problem = ReadableError(
                job.name.capitalize(),
                f"The program made a mistake here ({type(error).__name__}).",
                "Undo the last step, and tell its makers what you did.",
            )
        else:
            self._done.emit(job, lambda: self._tell(job, answer, True))
            return
        self._done.emit(job, lambda: self._tell_failure(job, problem))
