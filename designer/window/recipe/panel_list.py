"""A list of painted items of different heights: one is chosen by the arrows, the list scrolls."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QScrollBar, QSizePolicy, QToolTip, QWidget

from designer.window import fonts, theme
from designer.window.recipe import drawing
from designer.window.recipe.headline import wrapped
from designer.window.recipe.table.layout import SCROLL_BAR

__all__ = ["Item", "PanelList"]

_LINE = 18
_BAR = 10
"""Width of the scroll bar, kept free so that nothing is drawn anew when it comes."""


@dataclass(frozen=True, eq=False)
class Item:
    """One item of a list.

    Attributes
    ----------
    key : str
        What it is, by which it stays chosen when the list is told anew.
    height : int [logical px]
    draw : callable
        Draws it in a box, with the token of its ink.
    spoken : str
        What a screen reader says of it; "" for one that cannot be chosen.
    details : str
        All there is to know of it.
    """

    key: str
    height: int
    draw: Callable[[QPainter, QRectF, str], None]
    spoken: str = ""
    details: str = ""


class PanelList(QWidget):
    """A list, or a message where there is none.

    Signals
    -------
    chosen_changed()
        Another item is chosen, or the items are others.
    """

    chosen_changed = Signal()

    def __init__(self, parent: QWidget, name: str) -> None:
        super().__init__(parent)
        self._items: tuple[Item, ...] = ()
        self._chosen = -1
        self._message = ""
        self._faint = False
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self._scroll = QScrollBar(Qt.Orientation.Vertical, self)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setStyleSheet(SCROLL_BAR)
        self._scroll.setSingleStep(_LINE)
        self._scroll.valueChanged.connect(lambda _: self.update())

    # --- what is shown

    @property
    def items(self) -> tuple[Item, ...]:
        """All items."""
        return self._items

    @property
    def message(self) -> str:
        """What is said in place of items."""
        return self._message

    @property
    def chosen(self) -> Item | None:
        """The item chosen."""
        return self._items[self._chosen] if self._chosen >= 0 else None

    @property
    def inner(self) -> int:
        """Width that items have."""
        return self.width() - _BAR

    def show_items(self, items: tuple[Item, ...], message: str = "") -> None:
        """Show these items, the one of the same key chosen as before; or a message."""
        before = self.chosen.key if self.chosen else ""
        self._items, self._message = items, message
        ready = self._choosable
        same = [place for place in ready if items[place].key == before]
        self._chosen = (same or ready or [-1])[0]
        self._fit()
        if not same:
            self._scroll.setValue(0)
        self._tell()

    def set_faint(self, faint: bool) -> None:
        """Show the items as those of before."""
        if faint != self._faint:
            self._faint = faint
            self.update()

    def choose(self, place: int) -> None:
        """Choose an item, and bring it into view."""
        if place not in self._choosable:
            return
        changed, self._chosen = place != self._chosen, place
        self._bring_into_view()
        if changed:
            self._tell()

    def box_of(self, place: int) -> QRectF:
        """Return where an item stands."""
        top = sum(one.height for one in self._items[:place]) - self._scroll.value()
        return QRectF(0, top, self.inner, self._items[place].height)

    @property
    def _choosable(self) -> list[int]:
        return [place for place, one in enumerate(self._items) if one.spoken]

    def _tell(self) -> None:
        chosen, ready = self.chosen, self._choosable
        if chosen is None:
            told = self._message
        else:
            told = f"{ready.index(self._chosen) + 1} of {len(ready)}: {chosen.spoken}"
        self.setAccessibleDescription(told)
        self.update()
        self.chosen_changed.emit()

    def _bring_into_view(self) -> None:
        ready = self._choosable
        # What stands above the first, or below the last, cannot be chosen itself.
        if self._chosen == ready[0]:
            self._scroll.setValue(0)
        if self._chosen == ready[-1]:
            self._scroll.setValue(self._scroll.maximum())
        box = self.box_of(self._chosen)
        if box.top() < 0:
            self._scroll.setValue(self._scroll.value() + round(box.top()))
        elif box.bottom() > self.height():
            self._scroll.setValue(self._scroll.value() + round(box.bottom() - self.height()))

    def _fit(self) -> None:
        """Give the scroll bar the range there is."""
        whole = sum(one.height for one in self._items)
        self._scroll.setRange(0, max(0, whole - self.height()))
        self._scroll.setPageStep(self.height())
        self._scroll.setGeometry(self.width() - _BAR, 0, _BAR, self.height())
        self._scroll.setVisible(whole > self.height())

    # --- events

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Walk through the items; all else is for what holds the list."""
        ready, key = self._choosable, Qt.Key(event.key())
        if not ready or event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            event.ignore()
            return
        at = ready.index(self._chosen)
        page = max(1, self.height() // self._items[self._chosen].height - 1)
        to = {
            Qt.Key.Key_Up: at - 1,
            Qt.Key.Key_Down: at + 1,
            Qt.Key.Key_PageUp: at - page,
            Qt.Key.Key_PageDown: at + page,
            Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: len(ready) - 1,
        }
        if key not in to:
            event.ignore()
            return
        self.choose(ready[max(0, min(to[key], len(ready) - 1))])

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose the item that is pressed."""
        place = self._at(event.position().y())
        if place is not None:
            self.choose(place)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Let no other part take the end of a press that chose an item here."""
        event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Scroll."""
        turned = event.pixelDelta().y() or round(event.angleDelta().y() * 3 * _LINE / 120)
        self._scroll.setValue(self._scroll.value() - turned)

    def event(self, event: QEvent) -> bool:
        """Say all of an item where the mouse rests."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            place = self._at(event.pos().y())
            words = "" if place is None else self._items[place].details
            QToolTip.showText(event.globalPos(), words.replace(". ", ".\n"), self)
            return True
        return super().event(event)

    def _at(self, y: float) -> int | None:
        for place in range(len(self._items)):
            box = self.box_of(place)
            if box.top() <= y < box.bottom():
                return place
        return None

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Keep the chosen item in view."""
        super().resizeEvent(event)
        self._fit()
        if self._chosen >= 0 and self._scroll.value():
            self._bring_into_view()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show it no more."""
        super().focusOutEvent(event)
        self.update()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for some items."""
        return QSize(388, 220)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the items in view."""
        painter = QPainter(self)
        token = "ink2" if self._faint else "ink"
        rows = [] if self._items else wrapped(self._message, self.inner - 12, fonts.MEDIUM)
        for number, row in enumerate(rows):
            base = drawing.baseline(4 + _LINE * number, _LINE)
            drawing.text(painter, 6, base, row, token=token)
        for place, one in enumerate(self._items):
            box = self.box_of(place)
            if box.bottom() <= 0 or box.top() >= self.height():
                continue
            if place == self._chosen:
                painter.fillRect(box.adjusted(0, 0, 0, -1), theme.now().colour("paper"))
            one.draw(painter, box, token)
        if self.hasFocus():
            message = QRectF(0, 0, self.inner, 8 + _LINE * max(len(rows), 1))
            chosen = self.box_of(self._chosen) if self._chosen >= 0 else message
            drawing.focus_mark(painter, chosen)
