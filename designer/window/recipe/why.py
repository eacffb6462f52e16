"""Why a reading is what it is: the ingredients that move it most."""

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import (
    QFocusEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.window import fonts, theme
from designer.window.recipe import drawing
from designer.window.recipe.headline import wrapped
from designer.window.recipe.working import Working
from designer.wording.causes import Cause, Causes, causes

__all__ = ["Why"]

ROW = 18
_LEAST = 1
_NAME, _WORDS = 0.42, 12
"""Share of the width that names may take; gap before the words."""
_BAR = 8


class Why(QWidget):
    """Bars from a zero line, largest first, for the reading last chosen."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._name = "firmness"
        self._causes = Causes("")
        self._first = self._left = 0
        self.setAccessibleName("Why")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(drawing.HEAD + ROW * _LEAST)
        self._working = Working(document, self)
        self._working.changed.connect(lambda _: self.update())
        document.evaluated.connect(self.show_evaluation)
        document.failed.connect(self.show_failure)
        if document.evaluation is not None:
            self.show_evaluation(document.evaluation)

    @property
    def causes(self) -> Causes:
        """What is shown."""
        return self._causes

    @property
    def shown(self) -> tuple[Cause, ...]:
        """The causes there is room for, the largest unless further ones were asked for."""
        room = max((self.height() - drawing.HEAD) // ROW, 1)
        first = max(0, min(self._first, len(self._causes.causes) - room))
        return self._causes.causes[first : first + room]

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("↑ ↓", "further ingredients"), ("Tab", "next")]

    def leave_in_head(self, width: int) -> None:
        """Keep so much of the head free at its right."""
        self._left = width
        self.update()

    def scroll_by(self, rows: int) -> None:
        """Show causes further down or up."""
        last = max(0, len(self._causes.causes) - len(self.shown))
        self._first = max(0, min(self._first + rows, last))
        self.update()

    def show_reading(self, name: str) -> None:
        """Show why a reading is what it is."""
        self._name, self._first = name, 0
        if self._document.evaluation is not None:
            self.show_evaluation(self._document.evaluation)

    def show_evaluation(self, evaluation: Evaluation) -> None:
        """Show the causes in the active variant."""
        recipe = evaluation.recipe
        self._show(causes(evaluation, recipe.numbers.index(recipe.active.number), self._name))

    def show_failure(self, _error: ReadableError) -> None:
        """Show nothing: there is no reading to explain."""
        self._show(Causes(""))

    def _show(self, told: Causes) -> None:
        if told == self._causes:
            return
        self._causes = told
        words = [f"{one.name} {one.words}" for one in told.causes[:8]]
        self.setAccessibleDescription(f"{told.title}: {'; '.join(words) or told.missing}")
        self.update()

    def copy(self) -> None:
        """Copy all causes as text: what they tell, then a name and its words on each line."""
        told = self._causes
        lines = [f"{one.name}\t{one.words}" for one in told.causes] or [told.missing]
        QGuiApplication.clipboard().setText("\n".join(filter(None, (told.title, *lines))))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Walk through the causes, copy them."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
            return
        steps = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
        pages = {Qt.Key.Key_PageUp: -1, Qt.Key.Key_PageDown: 1}
        far = len(self._causes.causes)
        ends = {Qt.Key.Key_Home: -far, Qt.Key.Key_End: far}
        key = Qt.Key(event.key())
        if rows := steps.get(key, 0) or ends.get(key, 0) or pages.get(key, 0) * len(self.shown):
            self.scroll_by(rows)
        else:
            event.ignore()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Walk through the causes."""
        turned = event.angleDelta().y()
        if turned:
            self.scroll_by(-1 if turned > 0 else 1)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show it no more."""
        super().focusOutEvent(event)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for six causes."""
        return QSize(388, drawing.HEAD + 6 * ROW)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the head and a bar for each cause."""
        painter = QPainter(self)
        drawing.head(painter, self.width() - self._left, "Why", self._causes.title)
        drawing.line(painter, 0, self.width(), drawing.HEAD - 1, "line")
        token = "ink2" if self._working.now else "ink"
        if self.hasFocus():
            drawing.focus_mark(painter, QRectF(self.rect()))
        if not self._causes.causes:
            for number, row in enumerate(wrapped(self._causes.missing, self.width(), fonts.MEDIUM)):
                base = drawing.baseline(drawing.HEAD + ROW * number, ROW)
                drawing.text(painter, 0, base, row, token=token)
            return
        shown = self.shown
        ends = [end for one in shown for end in (one.low, one.value, one.high)]
        low, high = min(0.0, *ends), max(0.0, *ends)
        measure = fonts.metrics().horizontalAdvance
        names = min(max(measure(one.name) for one in shown) + 8, _NAME * self.width())
        words = max(measure(one.words) for one in shown) + _WORDS
        left, right = round(names), round(self.width() - words)
        scale = (right - left) / (high - low or 1.0)
        zero = round(left - low * scale)
        for number, one in enumerate(shown):
            box = QRectF(0, drawing.HEAD + ROW * number, self.width(), ROW)
            _draw_cause(painter, box, one, (left, zero, scale), token)
        height = ROW * len(shown)
        painter.fillRect(QRectF(zero, drawing.HEAD, 1, height), theme.now().colour("line"))


def _draw_cause(
    painter: QPainter, box: QRectF, one: Cause, axis: tuple[float, float, float], token: str
) -> None:
    """Draw the name of an ingredient, its bar with the interval as a thin line, and its words.

    `axis` is where bars may begin, where zero stands, and the pixels of one.
    """
    left, zero, scale = axis
    used = theme.now()
    base = drawing.baseline(box.top(), box.height())
    drawing.text(painter, 0, base, drawing.elided(one.name, left - 8), token=token)
    drawing.text_right(painter, box.right(), base, one.words, token=token)
    middle = round(box.center().y())
    length = one.value * scale
    start = zero + min(length, 0.0)
    bar = QRectF(round(start), middle - _BAR // 2, max(round(abs(length)), 1), _BAR)
    painter.fillRect(bar, used.colour("ink2"))
    if one.low != one.high:
        first, last = round(zero + one.low * scale), round(zero + one.high * scale)
        painter.fillRect(QRectF(first, middle, last - first, 1), used.colour("ink"))
        for x in (first, last - 1):
            painter.fillRect(QRectF(x, middle - 2, 1, 5), used.colour("ink"))
