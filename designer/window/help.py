"""Texts and tables in windows of their own: words, keys, about, the numbers of a plot."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from designer.window import help_texts as texts
from designer.window.actions import COMMANDS

if TYPE_CHECKING:
    from designer.window.main_window import MainWindow

__all__ = ["Help", "Text"]

_PART_WORDS = {
    "facts": "Facts",
    "table": "Recipe table",
    "notes": "Notes",
    "map": "Dough map",
    "readings": "Readings",
    "why": "Why",
    "clock": "Dough clock",
}


class Text(QDialog):
    """A text that can be read, selected and copied while the window stays in use."""

    def __init__(self, parent: QWidget, title: str, html: str) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.text = QTextBrowser()
        self.text.setAccessibleName(title)
        self.text.setOpenLinks(False)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextBrowserInteraction
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.text.setHtml(html)
        layout = QVBoxLayout(self)
        layout.addWidget(self.text)
        layout.addWidget(_close_key(self))
        self.resize(620, 560)


class Numbers(QDialog):
    """The numbers behind a plot as a table, copied as text."""

    def __init__(
        self, parent: QWidget, title: str, head: Sequence[str], rows: Sequence[Sequence[str]]
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._head, self._rows = head, rows
        self.table = QTableWidget(len(rows), len(head))
        self.table.setAccessibleName(title)
        self.table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.table.setHorizontalHeaderLabels(head)
        self.table.verticalHeader().hide()
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        for i, row in enumerate(rows):
            for k, text in enumerate(row):
                item = QTableWidgetItem(text)
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(i, k, item)
        keys = _close_key(self)
        self.copy = keys.addButton("&Copy all", QDialogButtonBox.ButtonRole.ActionRole)
        self.copy.setAccessibleName("Copy all")
        self.copy.clicked.connect(self._copy)
        layout = QVBoxLayout(self)
        layout.addWidget(self.table)
        layout.addWidget(keys)
        self.resize(720, 560)

    def _copy(self) -> None:
        lines = ["\t".join(row) for row in (self._head, *self._rows)]
        QGuiApplication.clipboard().setText("\n".join(lines))


class Help:
    """Opens these windows; each at most once."""

    def __init__(self, window: "MainWindow") -> None:
        self._window = window
        self._open: dict[str, QDialog] = {}

    def show_words(self) -> None:
        """Explain the words."""
        self._show("words", Text(self._window, "What the words mean", texts.words()))

    def show_keys(self) -> None:
        """List the keys."""
        parts = {
            name: part.keys()
            for name, part in self._window.page.parts().items()
            if hasattr(part, "keys")
        }
        self._show("keys", Text(self._window, "Keys", _keys(parts)))

    def show_about(self) -> None:
        """Say what this is."""
        self._show("about", Text(self._window, "About", texts.about()))

    def show_numbers(self) -> None:
        """Show the numbers of the plot in focus, of the map where none is."""
        page = self._window.page
        name = "clock" if page.part_in_focus() == "clock" else "map"
        plot = page.parts().get(name)
        if plot is None or not hasattr(plot, "numbers"):
            return
        head, rows = plot.numbers()
        title = f"Numbers of the {_PART_WORDS[name].lower()}"
        self._show("numbers", Numbers(self._window, title, head, rows))

    def close(self) -> None:
        """Close what is open."""
        for dialog in list(self._open.values()):
            dialog.close()

    def _show(self, name: str, dialog: QDialog) -> None:
        if before := self._open.pop(name, None):
            before.close()
        self._open[name] = dialog
        dialog.finished.connect(lambda: self._forget(name, dialog))
        dialog.show()

    def _forget(self, name: str, dialog: QDialog) -> None:
        if self._open.get(name) is dialog:
            del self._open[name]


def _close_key(dialog: QDialog) -> QDialogButtonBox:
    keys = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
    keys.button(QDialogButtonBox.StandardButton.Close).setText("&Close")
    keys.rejected.connect(dialog.close)
    return keys


def _keys(parts: dict[str, list[tuple[str, str]]]) -> str:
    text = ""
    for name, keys in parts.items():
        if keys:
            text += f"<h4>{_PART_WORDS[name]}</h4>{texts.listed(keys)}"
    found = [
        (", ".join(QKeySequence(key).toString() for key in one.keys), one.tip)
        for one in COMMANDS
        if one.keys
    ]
    return f"<h4>Commands</h4>{texts.listed(found)}{text}"
