"""One of a few words, all in sight: arrows and clicks choose."""

from collections.abc import Callable

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.window import fonts, theme
from designer.window.recipe import drawing

__all__ = ["Choice"]

_HEIGHT, _PAD, _UNDERLINE = 24, 7, 2


class Choice(QWidget):
    """Words in a row; the chosen one is bold over a rule of accent.

    Parameters
    ----------
    name : what a screen reader calls it
    words : of each value, in order
    chosen : called with the value that is chosen
    """

    def __init__(self, name: str, words: dict[str, str], chosen: Callable[[str], object]) -> None:
        super().__init__()
        self._name, self._words, self._chosen = name, words, chosen
        self._value = next(iter(words))
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.show_value(self._value)

    @property
    def value(self) -> str:
        """The value that is chosen."""
        return self._value

    def show_value(self, value: str) -> None:
        """Show a value as chosen."""
        self._value = value
        self.setAccessibleDescription(f"{self._words[value]} of {', '.join(self._words.values())}")
        self.update()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("← →", "choose"), ("Tab", "next")]

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for all words."""
        return QSize(round(self._places()[-1].right()) + 1, _HEIGHT)

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return the same: words are not cut."""
        return self.sizeHint()

    def place(self, value: str) -> QRectF:
        """Return where a value stands."""
        return self._places()[list(self._words).index(value)]

    def _places(self) -> list[QRectF]:
        found, x = [], 0.0
        for words in self._words.values():
            wide = fonts.metrics(bold=True).horizontalAdvance(words) + 2 * _PAD
            found.append(QRectF(x, 0, wide, _HEIGHT))
            x += wide
        return found

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Choose the word beside, the first or the last."""
        values = list(self._words)
        at = values.index(self._value)
        to = {
            Qt.Key.Key_Left: at - 1,
            Qt.Key.Key_Right: at + 1,
            Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: len(values) - 1,
        }.get(Qt.Key(event.key()))
        if to is None or event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            super().keyPressEvent(event)
        elif 0 <= to < len(values) and to != at:
            self._chosen(values[to])

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose the word that is clicked."""
        for value, place in zip(self._words, self._places(), strict=True):
            if event.button() == Qt.MouseButton.LeftButton and place.contains(event.position()):
                if value != self._value:
                    self._chosen(value)
                return

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Take the end of a click."""
        event.accept()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show it no more."""
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the words, and the rule under the chosen one."""
        painter = QPainter(self)
        base = drawing.baseline(0, _HEIGHT)
        for (value, words), place in zip(self._words.items(), self._places(), strict=True):
            bold = value == self._value
            drawing.text(painter, place.left() + _PAD, base, words, bold=bold)
            rule = QRectF(place.left() + _PAD, _HEIGHT - 4, place.width() - 2 * _PAD, _UNDERLINE)
            if bold:
                painter.fillRect(rule, theme.now().colour("accent"))
        if self.hasFocus():
            drawing.focus_mark(painter, QRectF(0, 0, self._places()[-1].right(), _HEIGHT))
