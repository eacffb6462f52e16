"""An undo step: the whole recipe before and after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QUndoCommand

from designer.recipe import Recipe

if TYPE_CHECKING:
    from designer.document.document import Document

__all__ = ["NO_GESTURE", "Edit"]

NO_GESTURE = -1
"""Never merges with another step."""


class Edit(QUndoCommand):
    """The whole recipe replaced. Only `Document` makes one, if anything differs.

    Recipes share what did not change, so that a step costs some kilobytes, and a step needs no
    inverse. The very values are kept, not equal ones: two recipes that say the same may stand
    differently in their files.
    """

    def __init__(
        self, document: Document, text: str, after: Recipe, gesture: int = NO_GESTURE
    ) -> None:
        super().__init__(text)
        self.document, self.gesture = document, gesture
        self.before, self.after = document.recipe, after
        self.sealed = False

    def redo(self) -> None:
        """Show the recipe as it is after the step."""
        self.document.show(self.after)

    def undo(self) -> None:
        """Show the recipe as it was before the step."""
        self.document.show(self.before)

    def id(self) -> int:
        """Return the gesture: steps of one gesture become one."""
        return self.gesture

    def seal(self) -> None:
        """Take no later step over: the recipe as it is now is being saved."""
        self.sealed = True

    def mergeWith(self, later: QUndoCommand) -> bool:  # noqa: N802
        """Take over a later step of the same gesture; there and back leaves no step."""
        if self.sealed or not isinstance(later, Edit):
            return False
        self.after = later.after
        self.setText(later.text())
        if self.after == self.before:
            # No step is left to bring this very value back, so it is brought back at once.
            self.document.put_back(self.before)
            self.setObsolete(True)
        return True
