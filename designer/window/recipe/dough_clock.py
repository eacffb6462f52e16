"""The dough clock."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["DoughClockView"]


class DoughClockView(QWidget):
    """The dough clock."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
