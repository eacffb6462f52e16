"""A field of the bench: a figure with its caption, taken over by Enter or on leaving."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.window import fonts, theme
from designer.window.bench.measures import SMALL
from designer.window.recipe import drawing

__all__ = ["Typed"]

_HEIGHT = 32


class Typed(QLineEdit):
    """A figure that can be typed; what cannot be taken over stays, and the foot says why.

    Parameters
    ----------
    name : what a screen reader calls it
    shown : its text as it is now
    taken : called with what was typed; raises `ReadableError`
    hint : what may be typed, shown while it is empty

    Signals
    -------
    entered()
        Enter was pressed and nothing refused: the next key is for something else.
    """

    entered = Signal()

    def __init__(
        self,
        document: Document,
        name: str,
        shown: Callable[[], str],
        taken: Callable[[str], object],
        hint: str,
        width: int,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._shown, self._taken = document, shown, taken
        self._width = width
        self.is_refused = False
        self.setAccessibleName(name)
        self.setPlaceholderText(f"e.g. {hint}")
        self.setAccessibleDescription(f"For example {hint}")
        self.setFont(fonts.font(SMALL))
        self.setFrame(False)
        self.setMaxLength(10_000)
        self.setTextMargins(6, 0, 6, 0)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.show_value()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return its fixed size."""
        return QSize(self._width, _HEIGHT)

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [
            ("Enter", "take it over"),
            (self.placeholderText().removeprefix("e.g. "), "may be typed"),
            ("Esc", "as it was"),
        ]

    def show_value(self) -> None:
        """Show the value as it is; what is being typed, or was refused, stays."""
        if not (self.is_refused or (self.hasFocus() and self.isModified())):
            self.setText(self._shown())
            self.setModified(False)

    def take(self) -> bool:
        """Take over what was typed; return whether that was possible."""
        if not self.isModified():
            return not self.is_refused
        try:
            self._taken(self.text())
        except ReadableError as error:
            self.is_refused = True
            self._document.refuse(error)
            self.update()
            return False
        self._accept()
        return True

    def _accept(self) -> None:
        if self.is_refused:
            self.is_refused = False
            self._document.refuse(None)
        self.setModified(False)
        self.show_value()
        self.update()

    def event(self, event: QEvent) -> bool:
        """Let the window undo where nothing was typed that could be taken back."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.matches(QKeySequence.StandardKey.Undo)
            and not self.isModified()
        ):
            event.ignore()
            return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Take over by Enter, give up by Esc."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.take():
                self.entered.emit()
        elif event.key() == Qt.Key.Key_Escape and (self.isModified() or self.is_refused):
            self._accept()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Select all, to be typed over."""
        super().focusInEvent(event)
        if not self.is_refused:
            self.selectAll()
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Take over what was typed."""
        super().focusOutEvent(event)
        self.take()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the frame that belongs to its state around the text."""
        super().paintEvent(event)
        painter, used = QPainter(self), theme.now()
        box = self.rect().toRectF()
        if self.is_refused:
            painter.setPen(QPen(used.colour("ink"), 2, Qt.PenStyle.DashLine))
            painter.drawRect(box.adjusted(1, 1, -1, -1))
        elif self.hasFocus():
            drawing.focus_mark(painter, box)
        else:
            painter.setPen(QPen(used.colour("line"), 1))
            painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
