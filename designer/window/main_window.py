"""The window of one open recipe."""

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QMainWindow, QVBoxLayout, QWidget

from designer.document import Document
from designer.window.foot import Foot
from designer.window.recipe.page import RecipePage

__all__ = ["MainWindow"]


class MainWindow(QMainWindow):
    """Menus, the page, the foot."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document = document
        self.page = RecipePage(document)
        self.foot = Foot(document)
        middle = QWidget()
        layout = QVBoxLayout(middle)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.page, 1)
        layout.addWidget(self.foot)
        self.setCentralWidget(middle)
        QTimer.singleShot(0, self.page.add_plots)
