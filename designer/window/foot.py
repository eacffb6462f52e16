"""The foot of the window: keys of the part in focus, what the last step was, when it was saved."""

from PySide6.QtWidgets import QWidget

from designer.document import Document

__all__ = ["Foot"]


class Foot(QWidget):
    """The foot of the window."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
