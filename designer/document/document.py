"""The open recipe, and the one door through which it changes."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from designer.document.advisor import Advisor
from designer.document.disk import DiskChange
from designer.document.edit import NO_GESTURE, Edit
from designer.document.evaluator import Evaluator, filled
from designer.document.place import Place
from designer.document.recovery import Copy, Recovery
from designer.document.shelf import Shelf
from designer.errors import ReadableError
from designer.recipe import Recipe, file

if TYPE_CHECKING:
    from designer.evaluation.dough_map import DoughMap
    from designer.evaluation.evaluate import Evaluation
    from designer.evaluation.knowledge import Knowledge
    from designer.handbook import Handbook

__all__ = ["MOST_PINNED", "UNDO_LIMIT", "Document"]

UNDO_LIMIT = 25_000
"""Steps that can be undone; the oldest are forgotten."""


MOST_PINNED = 7
"""Variants set beside the active one at most; a recipe opens with the first two."""


class Document(QObject):
    """An open recipe.

    Parameters
    ----------
    recipe : Recipe
        Made anew, or as read from the file at `path`.
    handbook : Handbook or Shelf
        A shelf stands for both; until it is filled nothing is evaluated.
    knowledge : Knowledge
    path : Path, optional
        Its file; None for a recipe that was never saved.
    copy : Copy, optional
        The recovery copy the recipe comes from: see `recover`.

    Signals
    -------
    changed(Recipe)
        After every change, also by undo and redo; grams and totals may be shown at once.
    equipped()
        The handbook is there.
    foreseen(Evaluation)
        The readings at the knead of the recipe as it is now; its clock is still worked out.
    evaluated(Evaluation)
        A result for the recipe as it is now; any other is dropped. Its own recipe has no empty
        variants but the active one: a view takes the variants it shows from there.
    mapped(DoughMap)
        The shading of the map for the recipe as it is now.
    failed(ReadableError), map_failed(ReadableError)
        The recipe as it is now cannot be evaluated, or its map alone not be shaded.
    working(bool)
        A result is wanted and not there, or no longer so.
    refused(object)
        A `ReadableError` that a typed text met, or None once it is mended: shown in the foot.
    pinned_changed()
        Other variants are shown beside the active one.
    place_changed()
        Path, saved state or time of saving changed.
    saved(Path), save_failed(ReadableError)
        How `save` or `save_as` ended; after a failure what was on the disk is as it was.
    disk_changed(DiskChange)
        Somebody else changed the file, took it away or brought it back. A save that met it has
        written nothing.
    recovery_failed(ReadableError)
        No recovery copy can be kept; work goes on.
    """

    changed = Signal(object)
    equipped = Signal()
    foreseen = Signal(object)
    evaluated = Signal(object)
    mapped = Signal(object)
    failed = Signal(object)
    map_failed = Signal(object)
    working = Signal(bool)
    refused = Signal(object)
    pinned_changed = Signal()
    place_changed = Signal()
    saved = Signal(object)
    save_failed = Signal(object)
    disk_changed = Signal(object)
    recovery_failed = Signal(object)

    def __init__(
        self,
        recipe: Recipe,
        handbook: Handbook | Shelf,
        knowledge: Knowledge | None = None,
        path: Path | None = None,
        copy: Copy | None = None,
    ) -> None:
        super().__init__()
        if isinstance(handbook, Shelf):
            self._shelf = handbook
        else:
            self._shelf = Shelf.of(handbook, cast("Knowledge", knowledge))
        self._shelf.filled.connect(self.equipped)
        self.undo_stack = QUndoStack(self)
        self.undo_stack.setUndoLimit(UNDO_LIMIT)
        self._recipe = recipe
        self._evaluation: Evaluation | None = None
        self._last_map: DoughMap | None = None
        self._pinned: tuple[str, ...] = tuple(
            variant.number for variant in recipe.variants if not variant.active
        )[:2]
        self._gestures = 0
        self._is_pushing = self._is_closed = False
        self._was_saved = True
        self._evaluator = Evaluator(self._shelf)
        self._evaluator.evaluated.connect(self._take)
        self._evaluator.foreseen.connect(self._take_knead)
        self._evaluator.failed.connect(self._tell)
        self._evaluator.mapped.connect(self._take_map)
        self._evaluator.working.connect(self.working)
        self.advisor = Advisor(self)
        self._place = Place(recipe, path, self._to_save)
        self._recovery = Recovery(copy)
        self._connect_place()
        if copy is not None:
            self._place.lose(copy.digest)
            self._recovery.want_now()
        self._evaluator.request(recipe)

    def _connect_place(self) -> None:
        place = self._place
        place.altered.connect(self._follow_place)
        place.saved.connect(self.saved)
        place.save_failed.connect(self.save_failed)
        place.disk_changed.connect(self.disk_changed)
        place.taken.connect(self._take_theirs)
        self._recovery.failed.connect(self.recovery_failed)
        self.undo_stack.indexChanged.connect(self._follow_steps)

    @classmethod
    def open(
        cls, path: Path, handbook: Handbook | Shelf, knowledge: Knowledge | None = None
    ) -> Document:
        """Return the document of a recipe file.

        Raises
        ------
        ReadableError
            The file is missing, unreadable, or no recipe.
        """
        path = Path(os.path.abspath(path))
        return cls(file.read(path), handbook, knowledge, path)

    @classmethod
    def recover(
        cls, copy: Copy, handbook: Handbook | Shelf, knowledge: Knowledge | None = None
    ) -> Document:
        """Return the document of a recovery copy, not saved yet; the copy is its own from now on.

        Raises
        ------
        ReadableError
            The copy is damaged.
        """
        return cls(copy.recipe(), handbook, knowledge, copy.original, copy)

    # --- the recipe and what is known of it

    @property
    def handbook(self) -> Handbook:
        """The handbook; who asks before `is_equipped` waits for it."""
        return self._shelf.handbook

    @property
    def knowledge(self) -> Knowledge:
        """What is known and how surely; who asks before `is_equipped` waits for it."""
        return self._shelf.knowledge

    @property
    def is_equipped(self) -> bool:
        """Whether the handbook is there."""
        return self._shelf.is_filled

    def equip(self) -> None:
        """Begin to load the handbook, and then to evaluate."""
        self._shelf.fill()

    @property
    def recipe(self) -> Recipe:
        """The recipe as it is now."""
        return self._recipe

    @property
    def evaluation(self) -> Evaluation | None:
        """The evaluation of the recipe as it is now, or None while it is not there."""
        return self._evaluation

    @property
    def is_working(self) -> bool:
        """Whether a result is wanted and not there."""
        return self._evaluator.is_working

    @property
    def dough_map(self) -> DoughMap | None:
        """The map of the recipe as it is now, or None while it is not there."""
        last = self._last_map
        return last if last is not None and last.recipe == filled(self._recipe) else None

    @property
    def pinned(self) -> tuple[str, ...]:
        """Variants set beside the active one, in the order given, `MOST_PINNED` at most."""
        return tuple(
            number
            for number in self._pinned
            if number in self._recipe.numbers and number != self._recipe.active.number
        )[:MOST_PINNED]

    def pin(self, *numbers: str) -> None:
        """Show these variants beside the active one."""
        self._pinned = numbers
        self.pinned_changed.emit()

    # --- the door

    def edit(self, text: str, recipe: Recipe, gesture: int = NO_GESTURE) -> None:
        """Change the recipe, as one undo step named `text`.

        Nothing happens when the recipe stays equal. Steps of one gesture (from `new_gesture`) are
        one step: a drag, a burst of arrow keys.
        """
        if recipe != self._recipe:
            self._push(text, recipe, gesture)

    def give_way(self) -> None:
        """Let the worker find the readings before anything is painted, if it finds them at once."""
        self._evaluator.give_way()

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

    def put_back(self, recipe: Recipe) -> None:
        """Put back the very value that the recipe equals; for undo steps alone."""
        self._recipe = recipe

    def refuse(self, error: ReadableError | None) -> None:
        """Tell that a typed text was refused, or None that nothing is refused any more."""
        self.refused.emit(error)

    def close(self) -> None:
        """End the worker, wait for what is being saved, and forget what is not."""
        if self._is_closed:
            return
        self._is_closed = True
        is_on_disk = self._place.close()
        self._recovery.close(keep=not is_on_disk)
        self.advisor.close()
        self._evaluator.close()

    def _push(self, text: str, recipe: Recipe, gesture: int = NO_GESTURE) -> None:
        self._is_pushing = True
        try:
            self.undo_stack.push(Edit(self, text, recipe, gesture))
        finally:
            self._is_pushing = False
        self._follow_saved()

    def _take(self, result: Evaluation) -> None:
        if result.recipe == filled(self._recipe):
            self._evaluation = result
            self.evaluated.emit(result)

    def _take_knead(self, result: Evaluation) -> None:
        if result.recipe == filled(self._recipe):
            self.foreseen.emit(result)

    def _take_map(self, recipe: Recipe, shading: DoughMap) -> None:
        if recipe == self._recipe:
            self._last_map = shading
            self.mapped.emit(shading)

    def _tell(self, recipe: Recipe, error: ReadableError) -> None:
        if recipe == self._recipe:
            (self.failed if self._evaluation is None else self.map_failed).emit(error)

    # --- the file

    @property
    def path(self) -> Path | None:
        """The file of the recipe, or None before it was saved."""
        return self._place.path

    @property
    def is_saved(self) -> bool:
        """Whether nothing would be lost without saving: the file says what the recipe says."""
        return self._place.holds(self._recipe)

    @property
    def is_saving(self) -> bool:
        """Whether the recipe is being written."""
        return self._place.is_saving

    @property
    def saved_at(self) -> datetime | None:
        """When this program last saved the recipe, or None."""
        return self._place.saved_at

    @property
    def disk_change(self) -> DiskChange | None:
        """What somebody else did to the file and the maker has not answered, or None."""
        return self._place.disk_change

    def save(self) -> bool:
        """Begin to write the recipe to its file; `saved`, `save_failed` or `disk_changed` follow.

        Returns
        -------
        bool, False when it has no file yet and `save_as` is needed
        """
        if self.path is None:
            return False
        self._place.save(self.path)
        return True

    def save_as(self, path: Path) -> None:
        """Begin to write the recipe to a file, which is its own from then on.

        What is in the file is replaced, unless it is the one the recipe has already and somebody
        else changed it.
        """
        self._place.save(Path(os.path.abspath(path)))

    def check_disk(self) -> None:
        """Look whether somebody else changed the file, as when the window comes to the front."""
        self._place.check()

    def _to_save(self) -> Recipe:
        # Undo must be able to come back to what is in the file.
        step = self.undo_stack.command(self.undo_stack.index() - 1)
        if isinstance(step, Edit):
            step.seal()
        return self._recipe

    def _take_theirs(self, theirs: Recipe) -> None:
        # Also if it says the same: its comments may differ.
        if theirs != self._recipe or theirs.source != self._recipe.source:
            self._push("Take the file on disk", theirs)

    def _follow_place(self) -> None:
        self._mark_step()
        self._was_saved = self.is_saved
        self._follow_saved()
        self.place_changed.emit()

    def _follow_steps(self) -> None:
        # A drag that passes what is saved stays one step: only undo and redo come to rest there.
        if not self._is_pushing:
            self._mark_step()
            self._follow_saved()

    def _mark_step(self) -> None:
        """Mark the step as the one in the file, if it is."""
        if self.is_saved != self.undo_stack.isClean():
            if self.is_saved:
                self.undo_stack.setClean()
            else:
                self.undo_stack.resetClean()

    def _follow_saved(self) -> None:
        """Keep the recovery copy, and tell if the recipe is saved now and was not before."""
        is_saved = self.is_saved
        if is_saved:
            self._recovery.drop()
        else:
            self._recovery.want(self._recipe, self.path, self._place.digest)
        if is_saved != self._was_saved:
            self._was_saved = is_saved
            self.place_changed.emit()
