"""The open recipe, and the one door through which it changes."""

from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from designer.document.edit import NO_GESTURE, Edit
from designer.document.evaluator import Evaluator
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.knowledge import Knowledge
from designer.handbook import Handbook
from designer.recipe import Recipe

__all__ = ["Document"]


class Document(QObject):
    """An open recipe.

    Signals
    -------
    changed(Recipe)
        After every change, also by undo and redo; grams and totals may be shown at once.
    evaluated(Evaluation)
        A result for the recipe as it is now; any other is dropped.
    mapped(DoughMap)
        The shading of the map for the recipe as it is now.
    failed(ReadableError)
        The recipe as it is now cannot be evaluated.
    refused(object)
        A `ReadableError` that a typed text met, or None once it is mended: shown in the foot.
    pinned_changed()
        Other variants are shown beside the active one.
    place_changed()
        Path, saved state or time of saving changed.
    """

    changed = Signal(object)
    evaluated = Signal(object)
    mapped = Signal(object)
    failed = Signal(object)
    refused = Signal(object)
    pinned_changed = Signal()
    place_changed = Signal()

    def __init__(
        self, recipe: Recipe, handbook: Handbook, knowledge: Knowledge, path: Path | None = None
    ) -> None:
        super().__init__()
        self.handbook, self.knowledge = handbook, knowledge
        self.path = path
        self.undo_stack = QUndoStack(self)
        self._recipe = recipe
        self._evaluation: Evaluation | None = None
        self._pinned: tuple[str, ...] = tuple(
            variant.number for variant in recipe.variants if not variant.active
        )[:2]
        self._gestures = 0
        self._evaluator = Evaluator(handbook, knowledge)
        self._evaluator.evaluated.connect(self._take)
        self._evaluator.failed.connect(self._tell)
        self.undo_stack.cleanChanged.connect(lambda _: self.place_changed.emit())
        self._evaluator.request(recipe)

    @property
    def recipe(self) -> Recipe:
        """The recipe as it is now."""
        return self._recipe

    @property
    def evaluation(self) -> Evaluation | None:
        """The evaluation of the recipe as it is now, or None while it is not there."""
        return self._evaluation

    @property
    def pinned(self) -> tuple[str, ...]:
        """Up to two variants shown in readings beside the active one, in order."""
        return tuple(
            number
            for number in self._pinned
            if number in self._recipe.numbers and number != self._recipe.active.number
        )[:2]

    def pin(self, *numbers: str) -> None:
        """Show these variants beside the active one."""
        self._pinned = numbers
        self.pinned_changed.emit()

    def edit(self, text: str, recipe: Recipe, gesture: int = NO_GESTURE) -> None:
        """Change the recipe, as one undo step named `text`.

        Nothing happens when the recipe stays equal. Steps of one gesture (from `new_gesture`) are
        one step: a drag, a burst of arrow keys.
        """
        if recipe != self._recipe:
            self.undo_stack.push(Edit(self, text, recipe, gesture))

    def new_gesture(self) -> int:
        """Return the number of a new gesture."""
        self._gestures += 1
        return self._gestures

    def show(self, recipe: Recipe) -> None:
        """Show a recipe; for undo steps alone."""
        self._recipe = recipe
        self._evaluation = None
        self.changed.emit(recipe)
        self._evaluator.request(recipe)

    def refuse(self, error: ReadableError | None) -> None:
        """Tell that a typed text was refused, or None that nothing is refused any more."""
        self.refused.emit(error)

    def close(self) -> None:
        """End the worker."""
        self._evaluator.close()

    def _take(self, result: Evaluation) -> None:
        if result.recipe == self._recipe:
            self._evaluation = result
            self.evaluated.emit(result)

    def _tell(self, recipe: Recipe, error: ReadableError) -> None:
        if recipe == self._recipe:
            self.failed.emit(error)
