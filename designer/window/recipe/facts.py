"""The head line of editable facts."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["Facts"]


class Facts(QWidget):
    """The head line of editable facts."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
