"""One worker for evaluations and map shadings; the newest request wins."""

from __future__ import annotations

import gc
import logging
import sys
import threading
import time
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from designer.document.ending import end
from designer.errors import ReadableError

if TYPE_CHECKING:
    from designer.document.shelf import Shelf
    from designer.evaluation.dough_map import DoughMap
    from designer.evaluation.evaluate import Evaluation
    from designer.recipe import Recipe

__all__ = ["MAP_PAUSE", "Evaluator", "filled"]

MAP_PAUSE = 0.06
"""Time [s] without a new request after which the map is shaded."""

SWITCH_INTERVAL = 0.001
"""Time [s] that the worker may keep the interpreter from the window.

Python's own 5 ms, several times within one painting, make it three times as long while a worker
runs: 15 ms instead of 6 ms for 300 texts; with 1 ms it is 8 ms, and the worker is no slower."""


LEAD = 0.012
"""Time [s] for which the window stands still at most for the sake of the worker: within a frame."""

SHOWING = 0.05
"""Time [s] for which the worker stands still at most while the window shows what it found."""


def filled(recipe: Recipe) -> Recipe:
    """Return the recipe without its empty variants, which have no dough to tell of.

    The active one stays in any case: if that is empty, the recipe cannot be evaluated.
    """
    left_out = set(recipe.empty) - {recipe.active.number}
    if not left_out:
        return recipe
    return recipe.only(*(number for number in recipe.numbers if number not in left_out))


class Evaluator(QObject):
    """Evaluates recipes in one thread, and then shades the map of the active variant.

    Requests are numbered; one that is not the newest is skipped, and so is its result. What is
    evaluated is the recipe as `filled`; failures and maps are told with the recipe asked for.

    Signals
    -------
    foreseen(Evaluation)
        After an edit, half-way: the result up to the end of the kneading window. It has the
        readings at the knead, but no mark and no bar.
    evaluated(Evaluation), failed(Recipe, ReadableError), mapped(Recipe, DoughMap)
        For the newest request only; they arrive in the thread of this object.
    working(bool)
        A result is wanted and not there, or no longer so.
    """

    foreseen = Signal(object)
    evaluated = Signal(object)
    failed = Signal(object, object)
    mapped = Signal(object, object)
    working = Signal(bool)
    _done = Signal(int, object)

    def __init__(self, shelf: Shelf) -> None:
        super().__init__()
        sys.setswitchinterval(min(SWITCH_INTERVAL, sys.getswitchinterval()))
        self._shelf = shelf
        self._wanted: tuple[int, Recipe] | None = None
        self._serial = 0
        self._is_working = False
        self._condition = threading.Condition()
        self._shown, self._found = threading.Event(), threading.Event()
        self._took = LEAD
        self._closing = False
        # The worker alone uses these two; what did not change is taken over from them.
        self._last_result: Evaluation | None = None
        self._last_knead: Evaluation | None = None
        self._last_map: DoughMap | None = None
        self._done.connect(self._announce)
        self._thread = threading.Thread(target=self._work, name="evaluator", daemon=True)
        self._thread.start()
        shelf.when_done(self._wake)

    @property
    def is_working(self) -> bool:
        """Whether a result is wanted and not there."""
        return self._is_working

    def request(self, recipe: Recipe) -> None:
        """Ask for the evaluation of a recipe; older requests are forgotten."""
        with self._condition:
            self._serial += 1
            self._wanted = (self._serial, recipe)
            self._condition.notify()
        self._found.clear()
        self._shown.set()
        self._set_working(True)

    def give_way(self) -> None:
        """Stand still until the readings at the knead are found, `LEAD` at most.

        Then all numbers are painted together, and no painting holds up what is calculated. Where
        the last ones took longer it is of no use.
        """
        if self._is_working and self._took < LEAD:
            self._found.wait(LEAD)

    def close(self) -> None:
        """End the worker; nothing is announced any more, also if it is still at work."""
        self._closing = True
        self._shown.set()
        self._wake()
        end(self._thread, self)

    def _wake(self) -> None:
        with self._condition:
            self._condition.notify()

    def _set_working(self, working: bool) -> None:
        if working != self._is_working:
            self._is_working = working
            self.working.emit(working)

    def _work(self) -> None:
        while (job := self._next()) is not None:
            self._carry_out(*job)
            _set_loaded_aside()

    def _carry_out(self, serial: int, recipe: Recipe) -> None:
        """Evaluate a recipe, and shade its map if nothing else is asked for."""
        result = self._attempt(
            serial, recipe, "Evaluation", lambda: self._evaluated(serial, recipe)
        )
        if result is None:
            return
        self._last_result = result
        self._done.emit(serial, lambda: self._tell_result(result))
        if self._is_quiet():
            self._shade(serial, recipe, result)

    def _next(self) -> tuple[int, Recipe] | None:
        """Wait for a request and the handbook, and take it; None when the worker is to end."""
        with self._condition:
            self._condition.wait_for(
                lambda: self._closing or (self._wanted is not None and self._shelf.is_done)
            )
            job, self._wanted = self._wanted, None
            return None if self._closing else job

    def _is_quiet(self) -> bool:
        """Wait a moment and return whether no new request came."""
        with self._condition:
            return not self._condition.wait_for(
                lambda: self._closing or self._wanted is not None, MAP_PAUSE
            )

    def _shade(self, serial: int, recipe: Recipe, result: Evaluation) -> None:
        shading = self._attempt(serial, recipe, "Dough map", lambda: self._shaded(serial, result))
        if shading is not None:
            self._last_map = shading
            self._done.emit(serial, lambda: self.mapped.emit(recipe, shading))

    def _evaluated(self, serial: int, recipe: Recipe) -> Evaluation | None:
        """Return the evaluation of a recipe; None if half-way another one is asked for."""
        # Imported by the worker, for the window opens before there is anything to show.
        handbook, knowledge = self._shelf.wait()
        from designer.evaluation.evaluate import evaluate, evaluate_knead
        from designer.wording.told import prepare, prepare_lines

        recipe = filled(recipe)
        if self._last_result is not None:
            # Under the hand the readings come first; the rest of the clock takes as long again.
            begun = time.thread_time()  # not what other programs take meanwhile
            knead = evaluate_knead(recipe, handbook, knowledge, before=self._last_knead)
            prepare_lines(knead)
            self._took, self._last_knead = time.thread_time() - begun, knead
            self._shown.clear()
            self._done.emit(serial, lambda: self.foreseen.emit(knead))
            self._found.set()
            # Two threads that both calculate hold each other up: the window paints first.
            self._shown.wait(SHOWING)
            if serial != self._serial:
                return None
        result = evaluate(recipe, handbook, knowledge, before=self._last_result)
        # What is said of it too, so that the window has only to draw.
        prepare(result)
        return result

    def _shaded(self, serial: int, result: Evaluation) -> DoughMap | None:
        from designer.evaluation.dough_map import dough_map

        recipe = result.recipe
        return dough_map(
            result,
            recipe.variants.index(recipe.active),
            stop=lambda: self._closing or serial != self._serial,
            before=self._last_map,
        )

    def _attempt(self, serial: int, recipe: Recipe, what: str, work: Callable[[], Any]) -> Any:
        """Return what a piece of work gives; None if it fails, which is told."""
        try:
            return work()
        except ReadableError as error:
            problem = error
        except Exception as error:
            # The worker must outlive any mistake, or the window would wait for ever.
            logging.getLogger(__name__).exception("%s failed", what)
            problem = ReadableError(
                what,
                f"The program made a mistake here ({type(error).__name__}).",
                "Undo the last step, and tell its makers what you did.",
            )
        self._done.emit(serial, lambda: self._tell_failure(recipe, problem))
        return None

    def _announce(self, serial: int, announce: Callable[[], None]) -> None:
        if serial == self._serial and not self._closing:
            announce()
        self._shown.set()

    def _tell_result(self, result: Evaluation) -> None:
        self._set_working(False)
        self.evaluated.emit(result)

    def _tell_failure(self, recipe: Recipe, problem: ReadableError) -> None:
        self._set_working(False)
        self.failed.emit(recipe, problem)


@cache
def _set_loaded_aside() -> None:
    """Let the garbage collector pass over what the program has loaded; once, all of it is used now.

    A full collection goes over every table and module and stops all threads: 60 ms in which the
    window stands still, 5 ms without them.
    """
    gc.freeze()
