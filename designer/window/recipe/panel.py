"""What swaps and forgiveness share: a panel over readings and advice that follows the document."""

from typing import Any

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QToolTip, QWidget

from designer.document import Document
from designer.document.advisor import Question
from designer.errors import ReadableError
from designer.window import fonts, theme
from designer.window.key import Key
from designer.window.recipe import drawing
from designer.window.recipe.headline import wrapped
from designer.window.recipe.panel_list import PanelList
from designer.window.recipe.working import Late

__all__ = ["Panel", "Toggle"]

_SMALL_LINE, _ABOVE = 15, 6
_GAP = 8
_LEAST_DETAILS = 2
"""Lines that tell all of the item chosen."""


class Toggle(QAbstractButton):
    """A wish that is on or off: a small box, and words."""

    _BOX, _SPACE = 9, 6

    def __init__(self, words: str, parent: QWidget, name: str) -> None:
        super().__init__(parent)
        self.setText(words)
        self.setCheckable(True)
        self.setAccessibleName(name)
        self.setToolTip(name)
        # By a click the focus stays in the list.
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("Space", "on or off"), ("Tab", "next"), ("Esc", "back")]

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for box and words."""
        words = fonts.metrics(fonts.SMALL).horizontalAdvance(self.text())
        return QSize(round(words) + self._BOX + self._SPACE + 8, 24)

    def enterEvent(self, event: QEvent) -> None:  # noqa: N802
        """Show that it can be pressed."""
        self.update()

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802
        """Show it no more."""
        self.update()

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

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the box, filled while it is on, and the words."""
        painter, used = QPainter(self), theme.now()
        top = (self.height() - self._BOX) // 2
        box = QRectF(4, top, self._BOX, self._BOX)
        on = self.isChecked()
        edge = "accent" if on else "ink" if self.underMouse() else "line"
        painter.fillRect(box, used.colour(edge))
        if not on:
            painter.fillRect(box.adjusted(1, 1, -1, -1), used.colour("ground"))
        base = drawing.baseline(0, self.height(), fonts.SMALL)
        start = box.right() + self._SPACE
        drawing.text(painter, start, base, self.text(), fonts.SMALL, bold=on)
        if self.hasFocus():
            drawing.focus_mark(painter, QRectF(self.rect()))


class Panel(QWidget):
    """A question to the document's advisor, asked while the panel is open, and a list of answers.

    Parameters
    ----------
    document : Document
    name : what the question is called
    title : of the panel
    listed : what the list holds, for a screen reader

    Signals
    -------
    left()
        The panel is to be closed.
    keys_changed()
        `keys()` tells other keys than before.
    """

    left = Signal()
    keys_changed = Signal()

    details_share, most_details = 0.34, 9
    """Share of the height that tells of the item chosen, and lines at most."""
    row_height = 1
    """The list holds whole rows of this height, as long as nothing else stands in it."""

    def __init__(self, document: Document, name: str, title: str, listed: str) -> None:
        super().__init__()
        self.document = document
        self.note = ""
        self.foot = ""
        self._name, self._title = name, title
        self._is_open = False
        self._failure: ReadableError | None = None
        self.options: list[Toggle] = []
        self.buttons: list[Key] = []
        self._details: list[str] = []
        self._details_top = self._foot_top = 0
        self.setAccessibleName(title)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.list = PanelList(self, listed)
        self.list.chosen_changed.connect(self._show_chosen)
        self.back = Key("Readings", self, "Back to the readings", plain=True, size=fonts.SMALL)
        self.back.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.back.clicked.connect(self.left)
        self._late = Late(self)
        self._late.changed.connect(self._show_late)
        document.changed.connect(self._follow)
        document.failed.connect(self._fail_too)
        advisor = document.advisor
        advisor.answered.connect(self._take)
        advisor.failed.connect(self._fail)
        advisor.forgotten.connect(self._forget)

    # --- what each panel does in its own way

    def question(self) -> Question | None:
        """Return what is asked of the recipe as it is now; None where there is nothing to ask."""
        raise NotImplementedError

    def show_answer(self, answer: Any) -> None:
        """Show an answer; None where what is shown is no longer of the recipe as it is."""
        raise NotImplementedError

    def show_problem(self, error: ReadableError) -> None:
        """Show why there is no answer."""
        raise NotImplementedError

    def follow(self) -> None:
        """Find in the changed recipe what the question is about."""

    def chosen_changed(self) -> None:
        """Fit the keys to the item that is chosen."""

    def width_changed(self) -> None:
        """Make the items anew for another width."""

    # --- open and closed

    @property
    def is_open(self) -> bool:
        """Whether it is shown, or to be shown with the page."""
        return self._is_open

    def open(self) -> None:
        """Ask, and go on asking after every change, until closed."""
        self._is_open = True
        self.ask()

    def close_up(self) -> None:
        """Ask no more: what is being worked out is stopped."""
        if self._is_open:
            self._is_open = False
            self.document.advisor.drop(self._name)
            self._late.end()

    def ask(self) -> None:
        """Ask now, or as soon as the recipe is evaluated."""
        question = self.question()
        if question is None:
            self.document.advisor.drop(self._name)
            self._late.end()
            return
        self._late.begin()
        self.document.advisor.want(self._name, question, first=True)
        if self._failure is not None:
            self._fail_too(self._failure)

    def _follow(self, _recipe: object) -> None:
        self._failure = None
        if self._is_open:
            self.follow()
            self.ask()

    def _take(self, name: str, answer: Any) -> None:
        if name == self._name and self._is_open:
            if not self.document.advisor.is_working(name):
                self._late.end()
            self.show_answer(answer)

    def _fail(self, name: str, error: ReadableError) -> None:
        if name == self._name and self._is_open:
            self._late.end()
            self.show_problem(error)

    def _fail_too(self, error: ReadableError) -> None:
        self._failure = error  # of a recipe that cannot be evaluated nothing is answered
        if self._is_open:
            self._late.end()
            self.show_problem(error)

    def _forget(self, name: str) -> None:
        # What is shown stays until the next answer, paler after a while.
        if name == self._name:
            self.show_answer(None)

    def _show_late(self, late: bool) -> None:
        self.list.set_faint(late)
        self.update()

    # --- what is shown

    def show_items(self, note: str, items: tuple[Any, ...], message: str = "") -> None:
        """Show a list, or a message."""
        self.note = note
        self.list.show_items(items, message)
        self.setAccessibleDescription(f"{note}. {message}".strip(". "))
        self.update()

    @property
    def details(self) -> str:
        """What is said below the list of the item chosen."""
        chosen = self.list.chosen
        return "" if chosen is None else chosen.details

    def _show_chosen(self) -> None:
        self.chosen_changed()
        self.place()

    # --- where it stands

    def place(self) -> None:
        """Put head, options, list, details, keys and foot one below the other."""
        width, top = self.width(), drawing.HEAD
        self.back.resize(self.back.sizeHint())
        self.back.move(width - self.back.width() + 4, 0)
        top = self._place_options(top)
        foot = wrapped(self.foot, width, fonts.SMALL)
        self._foot_top = self.height() - _SMALL_LINE * len(foot)
        bottom = self._foot_top
        if self.buttons:
            bottom -= self.buttons[0].sizeHint().height() + 6
            self._place_buttons(bottom)
        lines = int(self.details_share * (bottom - top)) // _SMALL_LINE
        lines = max(_LEAST_DETAILS, min(lines, self.most_details))
        self._details = self._fitted_details(width, lines)
        room = max(bottom - _SMALL_LINE * lines - 2 * _ABOVE - top, 40)
        room -= room % self.row_height
        self._details_top = top + room + _ABOVE
        self.list.setGeometry(0, top, width, room)
        self.update()

    def _place_options(self, top: int) -> int:
        """Put the options in as many rows as they need; return where these end."""
        x = -4
        for one in self.options:
            size = one.sizeHint()
            if x > 0 and x + size.width() > self.width():
                x, top = -4, top + size.height()
            one.setGeometry(x, top, size.width(), size.height())
            x += size.width() + _GAP
        return top + self.options[0].height() + 2 if self.options else top

    def _place_buttons(self, top: int) -> None:
        x = 0
        for one in self.buttons:
            size = one.sizeHint()
            one.setGeometry(x, top, size.width(), size.height())
            x += size.width() + _GAP

    def _fitted_details(self, width: int, lines: int) -> list[str]:
        rows = wrapped(self.details, width, fonts.SMALL)
        if len(rows) > lines:
            rest = " ".join(rows[lines - 1 :])
            rows = [*rows[: lines - 1], drawing.elided(rest, width, fonts.SMALL)]
        return rows

    # --- events

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Close by Esc."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Say all of the head where the mouse rests on it, and of the item chosen elsewhere."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            in_head = event.pos().y() < drawing.HEAD
            words = self.note if in_head else self.details.replace(". ", ".\n")
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Place everything in the new size."""
        super().resizeEvent(event)
        self.place()
        if event.oldSize().width() != event.size().width():
            self.width_changed()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw head, details and foot."""
        painter = QPainter(self)
        note = "looking …" if self._late.now else self.note
        drawing.head(painter, self.back.x() - 8.0, self._title, note)
        drawing.line(painter, 0, self.width(), drawing.HEAD - 1, "line")
        drawing.line(painter, 0, self.width(), self._details_top - _ABOVE, "line")
        token = "ink2" if self._late.now else "ink"
        _draw_rows(painter, self._details_top, self._details, token)
        foot = wrapped(self.foot, self.width(), fonts.SMALL)
        _draw_rows(painter, self._foot_top, foot, "ink2")


def _draw_rows(painter: QPainter, top: float, rows: list[str], token: str) -> None:
    for number, row in enumerate(rows):
        base = drawing.baseline(top + _SMALL_LINE * number, _SMALL_LINE, fonts.SMALL)
        drawing.text(painter, 0, base, row, fonts.SMALL, token=token)
