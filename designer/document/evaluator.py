"""One worker for evaluations and map shadings; the newest request wins."""

import threading
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation, evaluate
from designer.evaluation.knowledge import Knowledge
from designer.handbook import Handbook
from designer.recipe import Recipe

__all__ = ["Evaluator"]


class Evaluator(QObject):
    """Evaluates recipes in one thread.

    Requests are numbered; one that is not the newest is skipped, and so is its result.

    Signals
    -------
    evaluated(Evaluation), failed(Recipe, ReadableError)
        For the newest request only; they arrive in the thread of this object.
    """

    evaluated = Signal(object)
    failed = Signal(object, object)
    _done = Signal(int, object)

    def __init__(self, handbook: Handbook, knowledge: Knowledge) -> None:
        super().__init__()
        self._handbook, self._knowledge = handbook, knowledge
        self._wanted: tuple[int, Recipe] | None = None
        self._serial = 0
        self._condition = threading.Condition()
        self._closing = False
        self._done.connect(self._announce)
        self._thread = threading.Thread(target=self._work, name="evaluator", daemon=True)
        self._thread.start()

    def request(self, recipe: Recipe) -> None:
        """Ask for the evaluation of a recipe; older requests are forgotten."""
        with self._condition:
            self._serial += 1
            self._wanted = (self._serial, recipe)
            self._condition.notify()

    def close(self) -> None:
        """End the worker; nothing is announced any more."""
        with self._condition:
            self._closing = True
            self._condition.notify()
        self._thread.join()

    def _work(self) -> None:
        while True:
            with self._condition:
                self._condition.wait_for(lambda: self._closing or self._wanted is not None)
                if self._closing or self._wanted is None:
                    return
                serial, recipe = self._wanted
                self._wanted = None
            self._done.emit(serial, self._result(recipe))

    def _result(self, recipe: Recipe) -> Callable[[], None]:
        """Return what announces the result, to be called in the thread of this object."""
        try:
            result = evaluate(recipe, self._handbook, self._knowledge)
        except ReadableError as error:
            problem = error
            return lambda: self.failed.emit(recipe, problem)
        return lambda: self.evaluated.emit(result)

    def _announce(self, serial: int, announce: Callable[[], None]) -> None:
        if serial == self._serial and not self._closing:
            announce()


def newest(result: Evaluation | None, recipe: Recipe) -> bool:
    """Return whether a result belongs to a recipe."""
    return result is not None and result.recipe == recipe
