"""The recipe's notes."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["Notes"]


class Notes(QWidget):
    """The recipe's notes."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
