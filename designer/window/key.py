"""Keys to press; the usual one is words in a frame, filled where it is the first to take."""

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QEnterEvent, QFocusEvent, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QWidget

from designer.window import fonts, theme
from designer.window.recipe import drawing

__all__ = ["HEIGHT", "Key", "PaintedKey"]

HEIGHT = 24
_PAD, _RADIUS = 10, 2


class PaintedKey(QAbstractButton):
    """A button of our own drawing: it paints anew as its look changes, and Enter presses it."""

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def enterEvent(self, event: QEnterEvent) -> None:  # noqa: N802
        """Show that it can be pressed."""
        super().enterEvent(event)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802
        """Show it no more."""
        super().leaveEvent(event)
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show it no more."""
        super().focusOutEvent(event)
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Press it by Enter too; a button of Qt knows Space alone."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.modifiers():
            self.click()
        else:
            super().keyPressEvent(event)


class Key(PaintedKey):
    """A key with words.

    Parameters
    ----------
    words : what it says
    name : what a screen reader says of it; the words if not given
    first : whether it is the one to take first, drawn filled
    plain : whether it is words alone, without a frame
    """

    def __init__(
        self,
        words: str,
        parent: QWidget | None = None,
        name: str = "",
        first: bool = False,
        plain: bool = False,
        size: int = fonts.MEDIUM,
        height: int = HEIGHT,
    ) -> None:
        super().__init__(parent)
        self.setText(words)
        self.setAccessibleName(name or words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._first, self._plain, self._size, self._height = first, plain, size, height

    @property
    def is_first(self) -> bool:
        """Whether it is the one to take first."""
        return self._first

    def set_first(self, first: bool) -> None:
        """Fill it, or draw it as a frame."""
        if first != self._first:
            self._first = first
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for the words."""
        width = fonts.metrics(self._size).horizontalAdvance(self.text())
        pad = 4 if self._plain else _PAD
        return QSize(round(width) + 2 * pad, self._height)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return the same: words are not cut."""
        return self.sizeHint()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw frame and words."""
        painter, used = QPainter(self), theme.now()
        box = QRectF(self.rect())
        filled = self._first and self.isEnabled()
        token = "paper" if filled else "ink" if self.isEnabled() else "line"
        if self._plain:
            self._underline(painter, box)
        else:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            frame = "ink" if self.underMouse() or filled else "line"
            painter.setPen(QPen(used.colour(frame if self.isEnabled() else "hair"), 1))
            ground = "ink" if filled else "good" if self.isDown() else "ground"
            painter.setBrush(used.colour(ground))
            painter.drawRoundedRect(box.adjusted(0.5, 0.5, -0.5, -0.5), _RADIUS, _RADIUS)
        width = fonts.metrics(self._size).horizontalAdvance(self.text())
        base = drawing.baseline(0, self.height(), self._size)
        x = round((self.width() - width) / 2)
        drawing.text(painter, x, base, self.text(), self._size, token=token)
        if self.hasFocus():
            drawing.focus_mark(painter, box)

    def _underline(self, painter: QPainter, box: QRectF) -> None:
        """Draw the dots below words that can be pressed, a line while the mouse is over them."""
        solid = self.underMouse() or self.isDown()
        pen = QPen(theme.now().colour("ink" if solid else "line"), 1)
        pen.setStyle(Qt.PenStyle.SolidLine if solid else Qt.PenStyle.DotLine)
        painter.setPen(pen)
        y = round(drawing.baseline(0, self.height(), self._size)) + 3.5
        painter.drawLine(round(box.left()) + 4, round(y), round(box.right()) - 4, round(y))
