"""The ingredient list as rows: order, group, percent on both bases; the small ones move."""

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QFocusEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.window import fonts, theme
from designer.window.recipe import drawing
from designer.wording.label_rows import NameRow, group_head

__all__ = ["Names"]

ROW = 20
_GROUP, _FOOT = 22, 8
_NUMBER, _FIGURE, _DECIMALS = 26, 62, 38


class Names(QWidget):
    """The names of the list; in the group of the small ones a name moves by Alt with the arrows.

    Signals
    -------
    moved(int, int)
        The small name at a place is wanted at another; both count in the small group.
    chosen(QRect)
        The row there is chosen.
    """

    moved = Signal(int, int)
    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Ingredient list")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.rows: tuple[NameRow, ...] = ()
        self.at = 0
        self._market = "EU"
        self._missing = self._variant = ""
        self._old = False

    def show_rows(self, rows: tuple[NameRow, ...], market: str, variant: str = "") -> None:
        """Show rows, and of which variant; the name that is chosen stays chosen where it goes."""
        chosen = self.rows[self.at].inci if self.at < len(self.rows) else ""
        incis = [one.inci for one in rows]
        self.at = incis.index(chosen) if chosen in incis else min(self.at, max(len(rows) - 1, 0))
        self.rows, self._market, self._missing, self._old = rows, market, "", False
        self._variant = variant
        self.updateGeometry()
        self._tell()

    def show_missing(self, words: str) -> None:
        """Say why there is no list."""
        self.rows, self._missing = (), words
        self.updateGeometry()
        self._tell()

    def show_old(self, old: bool) -> None:
        """Tell old rows apart while new ones are worked out."""
        if old != self._old:
            self._old = old
            self.update()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("Alt ↑ ↓", "move a small one"), ("Ctrl C", "copy the label"), ("Tab", "next")]

    def _tell(self) -> None:
        if self.at < len(self.rows):
            one = self.rows[self.at]
            parts = [f"{self.at + 1}: {one.name}", group_head(one.group, self._market)]
            parts += [f"{text} % as {basis}" for basis, text in _percents(one) if text]
            self.setAccessibleDescription(", ".join(filter(None, (*parts, one.note))))
        else:
            self.setAccessibleDescription(self._missing)
        self.update()

    # --- places

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for all rows."""
        groups = len({one.group for one in self.rows})
        return QSize(360, drawing.HEAD + ROW * max(len(self.rows), 1) + _GROUP * groups + _FOOT)

    def row_top(self, number: int) -> float:
        """Return where a row begins."""
        groups = len({one.group for one in self.rows[: number + 1]})
        return drawing.HEAD + ROW * number + _GROUP * groups

    def row_box(self, number: int) -> QRectF:
        """Return where a row stands."""
        return QRectF(0, self.row_top(number), self.width(), ROW)

    # --- keys and clicks

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Walk through the rows, move a small one."""
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()), 0)
        ends = {Qt.Key.Key_Home: 0, Qt.Key.Key_End: len(self.rows) - 1}
        if step and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            self._move(step)
        elif step:
            self._choose(self.at + step)
        elif Qt.Key(event.key()) in ends:
            self._choose(ends[Qt.Key(event.key())])
        elif event.matches(QKeySequence.StandardKey.Copy) and not self.rows:
            QGuiApplication.clipboard().setText(self._missing)
        else:
            super().keyPressEvent(event)

    def _choose(self, number: int) -> None:
        self.at = max(0, min(number, len(self.rows) - 1))
        self._tell()
        if self.rows:
            self.chosen.emit(self.row_box(self.at).toRect())

    def _move(self, step: int) -> None:
        small = [number for number, one in enumerate(self.rows) if one.group == "small"]
        if self.at in small:
            place = small.index(self.at)
            if 0 <= place + step < len(small):
                self.moved.emit(place, place + step)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose the row that is clicked."""
        for number in range(len(self.rows)):
            if self.row_box(number).contains(event.position()):
                self._choose(number)

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

    # --- painting

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the head, the groups and the rows."""
        painter = QPainter(self)
        drawing.head(painter, self.width(), "Ingredient list")
        base = drawing.baseline(0, drawing.HEAD - 4)
        small, right = fonts.SMALL, self.width()
        x = fonts.metrics(bold=True).horizontalAdvance("Ingredient list") + 12
        words = drawing.elided(self._variant, right - 2 * _FIGURE - x - 4, small)
        drawing.text(painter, x, base, words, small, token="ink2")
        drawing.text_right(painter, right, base, "% cured", small, token="ink2")
        drawing.text_right(painter, right - _FIGURE, base, "% added", small, token="ink2")
        if not self.rows:
            drawing.text(painter, 0, drawing.HEAD + 18, self._missing, small, token="ink2")
        seen, top, before = event.rect(), float(drawing.HEAD), ""
        for number, one in enumerate(self.rows):
            if one.group != before:
                self._draw_group(painter, one.group, top)
                top += _GROUP
            before = one.group
            if top + ROW >= seen.top() and top <= seen.bottom():
                self._draw_row(painter, number, one)
            top += ROW

    def _draw_group(self, painter: QPainter, group: str, top: float) -> None:
        words = group_head(group, self._market)
        base = drawing.baseline(top, _GROUP, fonts.SMALL)
        drawing.text(painter, 0, base, words, fonts.SMALL, token="ink2")
        drawing.line(painter, 0, self.width(), top + _GROUP - 1, "line")

    def _draw_row(self, painter: QPainter, number: int, one: NameRow) -> None:
        box, used = self.row_box(number), theme.now()
        if one.group == "small":
            painter.fillRect(QRectF(0, box.top(), 4, ROW), used.colour("good"))
        token = "ink2" if self._old else "ink"
        base, small = drawing.baseline(box.top(), ROW), fonts.SMALL
        drawing.text_right(painter, _NUMBER - 4, base, str(number + 1), small, token="ink2")
        figures = self.width() - 2 * _FIGURE
        room = figures - _NUMBER - 12
        if one.note:
            wide = fonts.metrics(small).horizontalAdvance(one.note)
            name = drawing.elided(one.name, room - wide - 10)
            drawing.text_right(painter, figures - 4, base, one.note, small, token="ink2")
        else:
            name = drawing.elided(one.name, room)
        end = drawing.text(painter, _NUMBER, base, name, token=token)
        if one.moves:
            self._draw_wedge(painter, end + 5, base)
        for right, words in ((self.width() - _FIGURE, one.added), (self.width(), one.cured)):
            self._draw_figure(painter, right - _DECIMALS, base, words or "–", token)
        drawing.line(painter, 0, self.width(), box.bottom() - 1)
        if self.hasFocus() and number == self.at:
            drawing.focus_mark(painter, box)

    def _draw_figure(
        self, painter: QPainter, point: float, base: float, words: str, token: str
    ) -> None:
        """Draw a figure with its decimal point at a place."""
        whole, dot, decimals = words.partition(".")
        drawing.text_right(painter, point, base, whole, token=token)
        drawing.text(painter, point, base, f"{dot}{decimals}", token=token)

    def _draw_wedge(self, painter: QPainter, x: float, base: float) -> None:
        """Mark a name that stands elsewhere on the other basis."""
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.now().colour("ink"))
        corners = [QPointF(x, base - 4), QPointF(x + 7, base - 8), QPointF(x + 7, base)]
        painter.drawPolygon(QPolygonF(corners))
        painter.restore()


def _percents(one: NameRow) -> tuple[tuple[str, str], ...]:
    return (("added", one.added), ("cured", one.cured))
