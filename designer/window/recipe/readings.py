"""The readings."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["Readings"]


class Readings(QWidget):
    """The readings."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
