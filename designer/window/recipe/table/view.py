"""The recipe table: rows by phase, a column of percentages per variant, grams."""

from PySide6.QtWidgets import QTableView

from designer.document import Document

__all__ = ["RecipeTable"]


class RecipeTable(QTableView):
    """The recipe table."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
