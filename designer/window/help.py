"""Texts and tables in windows of their own: words, keys, about, the numbers of a plot."""

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Protocol, cast

from PySide6.QtCore import QSize, Qt, QTimer, SignalInstance
from PySide6.QtGui import QGuiApplication, QIcon, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from designer.document import Document
from designer.window import help_texts as texts
from designer.window import theme
from designer.window.actions import COMMANDS
from designer.window.recipe.working import Working

if TYPE_CHECKING:
    from designer.window.main_window import MainWindow

__all__ = ["Help", "Text"]

_PART_WORDS = {
    "facts": "Facts",
    "table": "Recipe table",
    "notes": "Notes",
    "map": "Dough map",
    "readings": "Readings",
    "advice": "Fixes, why and differences",
    "swaps": "Swaps",
    "forgiveness": "Forgiveness",
    "clock": "Dough clock",
    "bench": "Bench",
    "names": "Ingredient list of the label",
    "preview": "Label at real size",
    "checks_tools": "Market and tables",
    "checks": "Checks",
    "check": "The check in full",
    "keeping": "pH and water",
    "assessed": "Assessed formula",
    "messages": "Messages",
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


class _Plot(Protocol):
    """A part of the page with numbers behind it."""

    numbers_changed: SignalInstance

    def numbers(self) -> tuple[Sequence[str], Sequence[Sequence[str]]]: ...


class _Head(QHeaderView):
    """A head whose words keep apart."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setDefaultAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)

    def sectionSizeFromContents(self, column: int) -> QSize:  # noqa: N802
        """Return the size of the words with space on their left."""
        return super().sectionSizeFromContents(column) + QSize(16, 4)


class _Table(QTableWidget):
    """A table for reading; Ctrl+C copies the cells chosen, or all with the head where none are."""

    head: Sequence[str] = ()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Copy as text with tabs, as a spreadsheet takes it."""
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self.chosen() or self.whole())
        else:
            super().keyPressEvent(event)

    def whole(self) -> str:
        """Return head and all rows as text."""
        return "\n".join(["\t".join(self.head), self._lines(range(self.rowCount()))])

    def chosen(self) -> str:
        """Return the cells chosen as text, "" where there are none."""
        return self._lines(sorted({one.row() for one in self.selectedItems()}), chosen=True)

    def _lines(self, rows: Iterable[int], chosen: bool = False) -> str:
        columns = sorted({one.column() for one in self.selectedItems()})
        return "\n".join(
            "\t".join(
                item.text()
                if (item := self.item(row, k)) and (not chosen or item.isSelected())
                else ""
                for k in (columns if chosen else range(self.columnCount()))
            )
            for row in rows
        )


class Numbers(QDialog):
    """The numbers behind a plot as a table, copied as text; it follows the plot while it is open.

    What was chosen, and how far it was scrolled, stays where it was.
    """

    def __init__(self, parent: QWidget, title: str, plot: _Plot, document: Document) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._plot = plot
        self.table = _Table()
        self.table.setHorizontalHeader(_Head(self.table))
        self.table.setAccessibleName(title)
        self.table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(theme.ROW)
        self.table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.note = QLabel()
        keys = _close_key(self)
        self.copy = keys.addButton("&Copy all", QDialogButtonBox.ButtonRole.ActionRole)
        self.copy.setAccessibleName("Copy all")
        self.copy.clicked.connect(self._copy)
        layout = QVBoxLayout(self)
        layout.addWidget(self.table)
        foot = QHBoxLayout()
        foot.addWidget(self.note)
        foot.addWidget(keys, 1)
        layout.addLayout(foot)
        # Map and clock may both speak in one turn, and a drag brings many results.
        self._soon = QTimer(self, singleShot=True, interval=0)
        self._soon.timeout.connect(self.show_numbers)
        plot.numbers_changed.connect(self._soon.start)
        self._working = Working(document, self)
        self._working.changed.connect(self._show_working)
        self.show_numbers()
        edges = layout.contentsMargins().left() + layout.contentsMargins().right()
        bar = self.table.verticalScrollBar().sizeHint().width()
        self.resize(self.table.horizontalHeader().length() + bar + edges + 4, 560)

    def show_numbers(self) -> None:
        """Show the numbers of the plot as it is now."""
        head, rows = self._plot.numbers()
        table = self.table
        if table.head != head:
            table.head = head
            table.setColumnCount(len(head))
            table.setHorizontalHeaderLabels(head)
        table.setRowCount(len(rows))
        for i, row in enumerate(rows):
            for k, text in enumerate(row):
                item = table.item(i, k)
                if item is None:
                    item = QTableWidgetItem()
                    item.setTextAlignment(
                        Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
                    )
                    table.setItem(i, k, item)
                if item.text() != text:
                    item.setText(text)

    def _show_working(self, is_working: bool) -> None:
        self.note.setText("working: these are the numbers before" if is_working else "")

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self.table.whole())


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
            for page in (self._window.page, self._window.pages.current)
            for name, part in page.parts().items()
            if hasattr(part, "keys") and name in _PART_WORDS
        }
        parts["messages"] = self._window.strip.keys()
        self._show("keys", Text(self._window, "Keys", _keys(parts)))

    def show_about(self) -> None:
        """Say what this is."""
        self._show("about", Text(self._window, "About", texts.about()))

    def show_numbers(self) -> None:
        """Show the numbers of the plot in focus, of the map where none is."""
        page = self._window.page
        name = page.part_in_focus()
        plot: object = page.parts().get(name if name == "clock" else "map")
        title = f"Numbers of the {_PART_WORDS['clock' if name == 'clock' else 'map'].lower()}"
        if name == "advice" and page.advice.shown == "differences":
            plot, title = page.advice.differences, "Why different"
        if plot is None:
            return
        shown = Numbers(self._window, title, cast("_Plot", plot), self._window.document)
        self._show("numbers", shown)

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
    close = keys.button(QDialogButtonBox.StandardButton.Close)
    close.setText("&Close")
    close.setIcon(QIcon())  # some desktops put one on every key; no other key of ours has one
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
