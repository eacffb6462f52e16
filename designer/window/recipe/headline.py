"""The sentence."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["Headline"]


class Headline(QWidget):
    """The sentence."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
