"""The dough map."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["DoughMapView"]


class DoughMapView(QWidget):
    """The dough map."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
