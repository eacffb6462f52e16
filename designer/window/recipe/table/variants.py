"""What can be done with variants: the columns of the table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QMenu

from designer.document.document import MOST_PINNED
from designer.errors import ReadableError
from designer.window.actions import command

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["VariantCommands"]


class VariantCommands:
    """Commands on the variant whose column is in focus, or on the active one."""

    def __init__(self, table: RecipeTable) -> None:
        self._table = table

    def copy(self, number: str = "") -> None:
        """Add a variant with the same figures and make it the active one."""
        number = number or self._table.number()
        recipe = self._table.document.recipe
        try:
            after = recipe.add_variant(like=number)
        except ReadableError as error:
            self._table.telling.tell(error)
            return
        made = after.numbers[-1]
        self._table.change(f"Copy variant {number} as {made}", after.use_variant(made))
        self._table.focus_number(made)

    def rename(self, number: str = "") -> None:
        """Let the title be typed in the head of the column."""
        self._table.header.rename(number or self._table.number())

    def give_title(self, number: str, title: str) -> bool:
        """Take a typed title; return whether it was taken."""
        recipe = self._table.document.recipe
        try:
            after = recipe.rename_variant(number, " ".join(title.split()))
        except ReadableError as error:
            self._table.telling.tell(error)
            return False
        self._table.change(f"Rename variant {number}", after)
        self._table.telling.tell(None)
        return True

    def use(self, number: str = "") -> None:
        """Make a variant the active one."""
        number = number or self._table.number()
        recipe = self._table.document.recipe
        self._table.change(f"Use variant {number}", recipe.use_variant(number))
        self._table.focus_number(number)

    def go_on(self, by: int) -> None:
        """Use the next variant, or the one before; after the last comes the first."""
        recipe = self._table.document.recipe
        at = recipe.numbers.index(recipe.active.number)
        self.use(recipe.numbers[(at + by) % len(recipe.numbers)])

    def pin(self, number: str = "") -> None:
        """Show a variant beside the active one, or no longer; of too many the newest stay."""
        table, document = self._table, self._table.document
        number = number or table.number()
        if number == document.recipe.active.number:
            table.telling.tell(
                ReadableError(
                    f"Variant {number}",
                    "The active variant is shown already.",
                    "Choose another column to show beside it.",
                )
            )
        elif number in document.pinned:
            document.pin(*(one for one in document.pinned if one != number))
        else:
            order = document.recipe.numbers
            document.pin(*sorted((*document.pinned, number)[-MOST_PINNED:], key=order.index))
        table.show_pinned()

    def delete(self, number: str = "") -> None:
        """Remove a variant with its figures."""
        table = self._table
        number = number or table.number()
        recipe = table.document.recipe
        if len(recipe.variants) == 1:
            table.telling.tell(
                ReadableError(
                    f"Variant {number}",
                    "A recipe has at least one variant.",
                    "Copy it first, then delete this one.",
                )
            )
            return
        if number == recipe.active.number:
            at = recipe.numbers.index(number)
            other = recipe.numbers[at - 1 if at else 1]
            after = recipe.use_variant(other).remove_variant(number)
        else:
            after = recipe.remove_variant(number)
        table.change(f"Delete variant {number}", after)

    def menu(self, number: str) -> QMenu:
        """Return a menu of what can be done with a variant."""
        menu = QMenu(self._table)
        menu.aboutToHide.connect(menu.deleteLater)
        recipe, pinned = self._table.document.recipe, self._table.document.pinned
        active = number == recipe.active.number
        for name, carry_out, offered in (
            ("use_variant", self.use, not active),
            ("pin_variant", self.pin, not active),
            ("copy_variant", self.copy, True),
            ("rename_variant", self.rename, True),
            ("delete_variant", self.delete, len(recipe.variants) > 1),
        ):
            known = command(name)
            action = menu.addAction(known.text)
            action.setEnabled(offered)
            action.setCheckable(known.checkable)
            action.setChecked(known.checkable and number in pinned)
            action.triggered.connect(lambda _=False, do=carry_out: do(number))
        return menu
