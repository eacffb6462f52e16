"""The editor that stands over a cell while a text is typed."""

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QLineEdit, QWidget

from designer.window import fonts, theme

__all__ = ["CellEditor"]

_LONGEST = 20_000
"""Characters kept: more than anyone types; to lay out more takes longer than a few frames."""

_STAYS = (Qt.FocusReason.ActiveWindowFocusReason, Qt.FocusReason.PopupFocusReason)


_OWN = (
    *(Qt.Key.Key_Escape, Qt.Key.Key_Delete, Qt.Key.Key_Backspace, Qt.Key.Key_Insert),
    *(Qt.Key.Key_Up, Qt.Key.Key_Down),
)
"""Keys that are for the text, whatever is held with them: Ctrl+Delete takes a word, not a row."""


class CellEditor(QLineEdit):
    """A text being typed.

    Signals
    -------
    left_by(str)
        The maker wants to leave: "down", "up" (Enter), "next", "previous" (Tab), "step" (an arrow
        up or down), "escape", or "away" (the focus went elsewhere).
    """

    left_by = Signal(str)

    upwards = False
    modifiers = Qt.KeyboardModifier.NoModifier
    """Of the last arrow key."""

    def __init__(self, parent: QWidget, name: str, choosing: bool = False) -> None:
        super().__init__(parent)
        self._choosing = choosing
        self._leaving = False
        self._refused = False
        self.setAccessibleName(name)
        self.setFont(fonts.font())
        self.setFrame(False)
        self.setMaxLength(_LONGEST)
        self.setTextMargins(5, 0, 2, 0)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.NoContextMenu)
        self.textEdited.connect(lambda _: self._set_refused(False))

    @property
    def refused(self) -> bool:
        """Whether the text was refused as it stands."""
        return self._refused

    def refuse(self) -> None:
        """Show that the text was refused; it stays to be mended."""
        self._set_refused(True)

    def put_away(self) -> None:
        """Close without telling anyone."""
        self._leaving = True
        self.hide()
        self.deleteLater()

    def _set_refused(self, refused: bool) -> None:
        self._refused = refused
        self.update()

    def _leave(self, how: str) -> None:
        if not self._leaving:
            self._leaving = True
            self.left_by.emit(how)
            self._leaving = not self.isVisible()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Leave by Enter, Esc and the arrows up and down; else type."""
        key = event.key()
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            up = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
            self._leave("up" if up else "down")
        elif key == Qt.Key.Key_Escape:
            self._leave("escape")
        elif event.modifiers() & Qt.KeyboardModifier.AltModifier:
            event.accept()  # moving rows is not meant while a text is typed
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down) and not self._choosing:
            self.upwards, self.modifiers = key == Qt.Key.Key_Up, event.modifiers()
            self._leave("step")
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Keep keys that edit a text, Esc and Tab from shortcuts and the walk in the window."""
        if isinstance(event, QKeyEvent):
            if event.type() == QEvent.Type.ShortcutOverride and event.key() in _OWN:
                event.accept()
                return True
            if event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Tab:
                self._leave("next")
                return True
            if event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Backtab:
                self._leave("previous")
                return True
        return super().event(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Leave when the focus goes elsewhere in the window."""
        super().focusOutEvent(event)
        if event.reason() not in _STAYS:
            self._leave("away")

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the text, and the frame that says whether it was refused."""
        super().paintEvent(event)
        used = theme.now()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._refused:
            pen = QPen(used.colour("ink"), 2)
            pen.setDashPattern([3, 2])
        else:
            pen = QPen(used.colour("accent"), 2)
        painter.setPen(pen)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 2, 2)
