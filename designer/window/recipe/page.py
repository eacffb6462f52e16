"""The page Recipe: where its parts stand."""

from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from designer.document import Document
from designer.window import theme
from designer.window.recipe.facts import Facts
from designer.window.recipe.headline import Headline
from designer.window.recipe.notes import Notes
from designer.window.recipe.readings import Readings
from designer.window.recipe.table import RecipeTable
from designer.window.recipe.why import Why

__all__ = ["RecipePage"]


class RecipePage(QWidget):
    """All parts of the page Recipe; the plots join after the first paint."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.facts = Facts(document)
        self.headline = Headline(document)
        self.table = RecipeTable(document)
        self.notes = Notes(document)
        self.readings = Readings(document)
        self.why = Why(document)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(theme.MARGIN, 0, theme.MARGIN, 0)
        whole.addWidget(self.facts)
        whole.addWidget(self.headline)
        body = QHBoxLayout()
        body.setSpacing(theme.GUTTER)
        whole.addLayout(body, 1)
        left = QVBoxLayout()
        left.addWidget(self.table, 1)
        left.addWidget(self.notes)
        body.addLayout(left)
        self._right = QGridLayout()
        self._right.addWidget(self.readings, 0, 1)
        self._right.addWidget(self.why, 1, 1)
        body.addLayout(self._right, 1)

    def add_plots(self) -> None:
        """Put in the map and the clock; importing what draws them takes its time."""
        from designer.window.recipe.dough_clock import DoughClockView
        from designer.window.recipe.dough_map import DoughMapView

        self.map = DoughMapView(self._document)
        self.clock = DoughClockView(self._document)
        self._right.addWidget(self.map, 0, 0, 2, 1)
        self._right.addWidget(self.clock, 2, 0, 1, 2)
