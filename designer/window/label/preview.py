"""The label on the screen at real size, with its small ones marked and a mark for a ruler."""

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFocusEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.evaluation.net_content import plain_figure
from designer.window import fonts, theme
from designer.window.paper.ink import Text, draw
from designer.window.paper.label import RULER, Drawn, ruler
from designer.window.recipe import drawing

__all__ = ["Preview"]

_EDGE, _MARK = 12, 18
_RULER = 10.0
_DOTS = 96.0
_CREDIBLE = (50.0, 400.0)
"""Dots for each inch that a screen may have; one that tells others does not know its size."""


class Preview(QWidget):
    """What will be printed."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Label at real size")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.shown: Drawn | None = None
        self._old = False

    @property
    def scale(self) -> float:
        """Pixels of the screen for each millimetre."""
        dots = self.screen().physicalDotsPerInch()
        return (dots if _CREDIBLE[0] <= dots <= _CREDIBLE[1] else _DOTS) / 25.4

    def show_label(self, shown: Drawn | None, words: str) -> None:
        """Show a label; `words` is what it says."""
        self.shown, self._old = shown, False
        self.setAccessibleDescription(words)
        self.updateGeometry()
        self.update()

    def show_old(self, old: bool) -> None:
        """Tell an old label apart while a new one is worked out."""
        if old != self._old:
            self._old = old
            self.update()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("Ctrl C", "copy as text"), ("Tab", "next")]

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for the label and the marks."""
        if self.shown is None:
            return QSize(round(max(RULER, 70) * self.scale) + _MARK, 200)
        width = max(self.shown.width, RULER) * self.scale + _MARK
        height = (self.shown.height + _RULER) * self.scale
        return QSize(round(width), round(drawing.HEAD + _EDGE + height) + 40)

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

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the ruler mark, the label, its marks."""
        painter, one, scale = QPainter(self), self.shown, self.scale
        drawing.head(painter, self.width(), "At real size", "as this screen tells its size")
        if self.hasFocus():
            drawing.focus_mark(painter, QRectF(self.rect()))
        if one is None:
            return
        used = theme.now()
        painter.translate(0, drawing.HEAD + 6)
        marks = [item for item in ruler() if not (isinstance(item, Text) and not item.bold)]
        draw(painter, marks, scale, self._colour)
        painter.translate(0, _RULER * scale)
        box = QRectF(0, 0, one.width * scale, one.height * scale)
        painter.fillRect(box, used.colour("paper"))
        above = drawing.HEAD + 6 + _RULER * scale
        low, high = (event.rect().top() - above) / scale, (event.rect().bottom() - above) / scale
        seen = [
            item
            for item in one.items
            if isinstance(item, Text) and low <= item.y + item.em and item.y - item.em <= high
        ]
        for item in seen:
            if item.tag == "small":
                top = (item.y - 0.85 * item.em) * scale
                tint = QRectF(item.x * scale, top, item.width * scale, 1.15 * item.em * scale)
                painter.fillRect(tint, used.colour("good"))
        draw(painter, [*seen, one.frame], scale, self._colour)
        self._draw_height(painter, one, scale)
        painter.translate(0, box.bottom())
        self._draw_words(painter, one)

    def _colour(self, token: str) -> QColor:
        return theme.now().colour("ink2" if token == "ink" and self._old else token)

    def _draw_height(self, painter: QPainter, one: Drawn, scale: float) -> None:
        """Draw the bracket that shows how high the figures of the net weight are."""
        if one.weight is None:
            return
        base, tall = one.weight
        x = one.width * scale + 5
        colour = theme.now().colour("ink")
        low, high = round(base * scale), round((base - tall) * scale)
        for y in (low, high):
            painter.fillRect(QRectF(x, y, 9, 1), colour)
        painter.fillRect(QRectF(x + 4, high, 1, low - high), colour)

    def _draw_words(self, painter: QPainter, one: Drawn) -> None:
        """Say below the label how high its letters are and what is marked."""
        lines = ["shaded: may go in any order"]
        if one.weight is not None:
            least = plain_figure(one.least.millimetres)
            words = f"{one.least.by} {one.weight[1]:.1f} mm, at least {least} mm"
            lines.insert(0, words if one.least.known else "their least height: state the panel")
        for number, line in enumerate(lines):
            shown = drawing.elided(line, self.width(), fonts.SMALL)
            drawing.text(painter, 0, 16 + 16 * number, shown, fonts.SMALL, token="ink2")
