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
    """The whole recipe replaced. Only `Document.edit` makes one, if anything differs."""

    def __init__(
        self, document: Document, text: str, after: Recipe, gesture: int = NO_GESTURE
    ) -> None:
        super().__init__(text)
        self.document, self.gesture = document, gesture
        self.before, self.after = document.recipe, after

    def redo(self) -> None:
        """Show the recipe as it is after the step."""
        self.document.show(self.after)

    def undo(self) -> None:
        """Show the recipe as it was before the step."""
        self.document.show(self.before)

    def id(self) -> int:
        """Return the gesture: steps of one gesture become one."""
        return self.gesture

    def mergeWith(self, later: QUndoCommand) -> bool:  # noqa: N802
        """Take over a later step of the same gesture; there and back leaves no step."""
        if not isinstance(later, Edit):
            return False
        self.after = later.after
        self.setText(later.text())
        self.setObsolete(self.after == self.before)
        return True
