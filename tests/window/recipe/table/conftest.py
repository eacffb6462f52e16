"""A recipe table in a window of its own, and what a hand does with it."""

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication

from designer.document import Document
from designer.recipe import Recipe, file
from designer.window.recipe.table import RecipeTable

DEMOS = Path(__file__).parents[4] / "demo_recipes"


class Hand:
    """Presses keys and the pointer's button on a table, and reads what it shows."""

    def __init__(self, qtbot, table):
        self.qtbot, self.table, self.document = qtbot, table, table.document
        self.refused = []
        self.document.refused.connect(self.refused.append)

    @property
    def recipe(self):
        return self.document.recipe

    @property
    def stack(self):
        return self.document.undo_stack

    @property
    def steps(self):
        return [self.stack.text(index) for index in range(self.stack.count())]

    @property
    def editor(self):
        return self.table.editing.editor

    @property
    def names(self):
        return [row.name for row in self.recipe.rows]

    def row(self, name):
        return self.names.index(name)

    def cell(self, name, number="1"):
        return self.recipe.rows[self.row(name)].percents.get(number)

    def focus(self, name, number="1"):
        self.table.focus_row(self.row(name), number)

    def here(self):
        row = self.table.current_row()
        return self.names[row] if row is not None else None, self.table.current_number()

    def keys(self, *keys, modifier=Qt.KeyboardModifier.NoModifier):
        """Press keys one after the other where the focus is."""
        single = (one for key in keys for one in (key if isinstance(key, str) else [key]))
        for key in single:
            # The first figure typed opens an editor, which gets the rest.
            self.qtbot.keyClick(QApplication.focusWidget(), key, modifier)

    def shown(self, name, number="1"):
        """Return the text of a cell as shown."""
        model = self.table.lines
        place = model.identities[self.row(name)], number
        return model.data(model.index_of(place))

    def spoken(self, name, number="1"):
        model = self.table.lines
        place = model.identities[self.row(name)], number
        return model.data(model.index_of(place), Qt.ItemDataRole.AccessibleTextRole)

    def at(self, name, number="1"):
        """Return where a cell is on the screen."""
        model = self.table.lines
        return self.table.visualRect(
            model.index_of((model.identities[self.row(name)], number))
        ).center()

    def press(self, at, modifier=Qt.KeyboardModifier.NoModifier):
        self.qtbot.mousePress(self.table.viewport(), Qt.MouseButton.LeftButton, modifier, at)

    def move(self, at, modifier=Qt.KeyboardModifier.NoModifier):
        """Move with the button held."""
        from PySide6.QtCore import QEvent, QPointF
        from PySide6.QtGui import QMouseEvent

        view = self.table.viewport()
        event = QMouseEvent(
            QEvent.Type.MouseMove,
            QPointF(at),
            QPointF(view.mapToGlobal(at)),
            Qt.MouseButton.NoButton,
            Qt.MouseButton.LeftButton,
            modifier,
        )
        QApplication.sendEvent(view, event)

    def release(self, at):
        self.qtbot.mouseRelease(
            self.table.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, at
        )

    def drag(self, start, *stops, modifier=Qt.KeyboardModifier.NoModifier):
        self.press(start)
        for stop in stops:
            self.move(stop, modifier)
        self.release(stops[-1] if stops else start)

    def click(self, at, modifier=Qt.KeyboardModifier.NoModifier):
        self.qtbot.mouseClick(
            self.table.viewport(), Qt.MouseButton.LeftButton, modifier, QPoint(at)
        )


@pytest.fixture
def open_table(qapp, qtbot, handbook, knowledge):
    """Return a function that shows the table of a demo recipe, or of a recipe given."""
    opened = []

    def opening(source="oat_bar_sticky_and_mended", size=(480, 640)):
        recipe = source if isinstance(source, Recipe) else file.read(DEMOS / f"{source}.toml")
        document = Document(recipe, handbook, knowledge)
        opened.append(document)
        table = RecipeTable(document)
        qtbot.addWidget(table)
        table.resize(*size)
        table.show()
        table.activateWindow()
        qtbot.waitUntil(table.isActiveWindow)
        table.setFocus()
        return Hand(qtbot, table)

    yield opening
    for document in opened:
        document.close()


@pytest.fixture
def hand(open_table):
    return open_table()
