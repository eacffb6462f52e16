"""The pages of a window: their table, and the strip at the right of the menus that changes them."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import cast

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QStackedWidget, QWidget

from designer.document import Document
from designer.window import fonts, theme
from designer.window.parts_page import PartsPage
from designer.window.recipe import drawing

__all__ = ["PAGES", "Page", "PageBar", "Pages"]

_PAD, _UNDERLINE = 10, 3


@dataclass(frozen=True)
class Page:
    """A page: what its command and the code call it, its number and word, and where it is made.

    Attributes
    ----------
    name : what the code calls it; its command is "page_recipe"
    number, title : as the strip says them
    module, widget : of the class that takes the document; "" for the page Recipe, which is there
        from the start
    """

    name: str
    number: int
    title: str
    module: str = ""
    widget: str = ""


PAGES: tuple[Page, ...] = (
    Page("recipe", 1, "Recipe"),
    Page("bench", 2, "Bench", "designer.window.bench", "BenchPage"),
    Page("label", 4, "Label", "designer.window.label", "LabelPage"),
    Page("checks", 5, "Checks", "designer.window.checks", "ChecksPage"),
)
"""The pages there are, in the order of the strip."""


class _Key(QAbstractButton):
    """A page's number and word; a thick rule of accent under the one in use."""

    def __init__(self, page: Page) -> None:
        super().__init__()
        self._page = page
        self.setCheckable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(f"Page {page.number} {page.title}")
        self.setToolTip(f"Ctrl+{page.number}")

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for the words."""
        number = fonts.metrics(fonts.SMALL).horizontalAdvance(f"{self._page.number} ")
        title = fonts.metrics(bold=True).horizontalAdvance(self._page.title)
        return QSize(round(number + title) + 2 * _PAD, 30)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def enterEvent(self, event: QEvent) -> None:  # noqa: N802
        """Show that it can be pressed."""
        self.update()

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802
        """Show it no more."""
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw number, word and rule."""
        painter = QPainter(self)
        base = drawing.baseline(0, self.height())
        x = drawing.text(painter, _PAD, base, f"{self._page.number} ", fonts.SMALL, token="ink2")
        drawing.text(painter, x, base, self._page.title, bold=self.isChecked())
        bottom = self.height() - _UNDERLINE
        rule = QRectF(_PAD, bottom, self.width() - 2 * _PAD, _UNDERLINE)
        if self.isChecked():
            painter.fillRect(rule, theme.now().colour("accent"))
        elif self.underMouse():
            painter.fillRect(rule.adjusted(0, 2, 0, 0), theme.now().colour("line"))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Stay pressed when pressed again."""
        was = self.isChecked()
        super().mouseReleaseEvent(event)
        if was:
            self.setChecked(True)


class PageBar(QWidget):
    """The keys of all pages.

    Signals
    -------
    chosen(str)
        A page is wanted, by its name.
    """

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Pages")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, theme.MARGIN - _PAD, 0)
        layout.setSpacing(0)
        self.keys: dict[str, _Key] = {}
        for page in PAGES:
            key = _Key(page)
            key.clicked.connect(lambda _=False, name=page.name: self.chosen.emit(name))
            self.keys[page.name] = key
            layout.addWidget(key)
        self.mark(PAGES[0].name)

    def mark(self, name: str) -> None:
        """Show which page is in use."""
        for one, key in self.keys.items():
            key.setChecked(one == name)
            key.update()


class Pages(QStackedWidget):
    """The pages of a document; each but the first is made when it is first shown.

    Signals
    -------
    made(str)
        A page is there for the first time.
    shown(str)
        Another page is in use.
    """

    made = Signal(str)
    shown = Signal(str)

    def __init__(self, document: Document, first: PartsPage) -> None:
        super().__init__()
        self._document = document
        self._there: dict[str, PartsPage] = {PAGES[0].name: first}
        self.addWidget(first)

    @property
    def name(self) -> str:
        """The name of the page in use."""
        return next(name for name, page in self._there.items() if page is self.currentWidget())

    @property
    def current(self) -> PartsPage:
        """The page in use."""
        return self._there[self.name]

    def page(self, name: str) -> PartsPage:
        """Return a page; it is made now if it was not there."""
        if name not in self._there:
            page = next(page for page in PAGES if page.name == name)
            make = cast(
                "Callable[[Document], PartsPage]",
                getattr(import_module(page.module), page.widget),
            )
            self._there[name] = make(self._document)
            self.addWidget(self._there[name])
            self.made.emit(name)
        return self._there[name]

    def take_typed(self) -> bool:
        """Take over what is being typed on any page; return whether nothing was refused."""
        taken = [page.take_typed() for page in self._there.values()]  # all, also after a refusal
        return all(taken)

    def show_page(self, name: str) -> None:
        """Show a page and give it the focus."""
        page = self.page(name)
        if page is not self.currentWidget():
            self.setCurrentWidget(page)
            self.shown.emit(name)
        page.go_home()
