"""What the table tells in words: why something is not done, what was taken for what."""

from __future__ import annotations

from typing import TYPE_CHECKING

from designer.errors import ReadableError

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["Telling"]


class Telling:
    """Tells one thing at a time, until the next key."""

    def __init__(self, table: RecipeTable) -> None:
        self._table = table
        self._told = False
        self._stays = False

    def tell(self, error: ReadableError | None, stays: bool = False) -> None:
        """Tell why something is not done, until the next key; None tells what is refused still.

        Parameters
        ----------
        stays : bool
            It outlives one walk of the focus: the click that caused it goes elsewhere.
        """
        self._told, self._stays = error is not None, stays
        if error is None:
            self._table.editing.tell_rest()
        else:
            self._table.document.refuse(error)

    def be_quiet(self) -> bool:
        """Tell no longer why something was not done; return whether it was told."""
        told = self._told
        if told:
            self.tell(None)
        return told

    def walked(self) -> None:
        """Be quiet because the focus is elsewhere now."""
        if self._stays:
            self._stays = False
        else:
            self.be_quiet()

    def tell_fills(self, row: int, number: str) -> None:
        """Tell that a q.s. figure cannot be moved."""
        name = self._table.document.recipe.rows[row].name[:40]
        self.tell(
            ReadableError(
                f"{name}, variant {number}",
                "q.s. fills up to 100 %.",
                "Press Q to make it a number.",
            )
        )
