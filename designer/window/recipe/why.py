"""What moves a reading most."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["Why"]


class Why(QWidget):
    """What moves a reading most."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
