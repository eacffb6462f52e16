"""Plain words that wrap, and rows of figures, in the colours of the theme."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QHelpEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QToolTip, QWidget

from designer.window import fonts, theme
from designer.window.copying import offer_copy
from designer.window.recipe import drawing

__all__ = ["Figures", "Words"]

_LINE, _LEAST = 22, 108


def _show(part: QWidget, visible: bool) -> None:
    """Show or hide a part; one that stands nowhere yet would open a window of its own."""
    if not visible or part.parentWidget() is not None:
        part.setVisible(visible)


class Words(QLabel):
    """Plain text that wraps; without any it takes no room."""

    def __init__(self, size: int = fonts.MEDIUM, bold: bool = False, token: str = "ink") -> None:
        super().__init__()
        self._token = token
        self.setFont(fonts.font(size, bold))
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        offer_copy(self, self.text)
        self._dress()

    def _dress(self) -> None:
        palette = self.palette()
        palette.setColor(self.foregroundRole(), theme.now().colour(self._token))
        self.setPalette(palette)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Take the colour of another theme."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and (
            self.palette().color(self.foregroundRole()) != theme.now().colour(self._token)
        ):
            self._dress()

    def say(self, words: str) -> None:
        """Show words."""
        self.setText(words)
        _show(self, bool(words))


class Figures(QWidget):
    """Rows of cells below a head: the first gives way, the others stand at the right.

    Parameters
    ----------
    name : what a screen reader calls it
    head : words above the columns, () for no head
    widths : of the columns after the first [logical px]
    """

    def __init__(self, name: str, head: Sequence[str], widths: Sequence[int]) -> None:
        super().__init__()
        self._head, self._widths = tuple(head), tuple(widths)
        self._rows: tuple[tuple[str, ...], ...] = ()
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        offer_copy(self, lambda: "\n".join("\t".join(row) for row in self._rows))

    @property
    def rows(self) -> tuple[tuple[str, ...], ...]:
        """What is shown."""
        return self._rows

    def show_rows(self, rows: Sequence[Sequence[str]], head: Sequence[str] | None = None) -> None:
        """Show rows, maybe under another head; without any it takes no room."""
        self._rows = tuple(tuple(row) for row in rows)
        self._head = self._head if head is None else tuple(head)
        self.setAccessibleDescription("; ".join(" ".join(row) for row in self._rows))
        _show(self, bool(rows))
        self.setFixedHeight(self.sizeHint().height())
        self.setMinimumWidth(self.sizeHint().width())
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for all rows."""
        lines = len(self._rows) + bool(self._head)
        return QSize(sum(self._widths) + _LEAST, max(lines * _LINE, 1))

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def event(self, event: QEvent) -> bool:
        """Say a row in full where the mouse rests."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            line = event.pos().y() // _LINE - bool(self._head)
            words = ", ".join(self._rows[line]) if 0 <= line < len(self._rows) else ""
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw head and rows."""
        painter = QPainter(self)
        top = 0.0
        if self._head:
            self._draw(painter, top, self._head, fonts.SMALL, "ink2")
            drawing.line(painter, 0, self.width(), _LINE - 1, "line")
            top += _LINE
        for row in self._rows:
            self._draw(painter, top, row, fonts.MEDIUM, "ink")
            drawing.line(painter, 0, self.width(), top + _LINE - 1)
            top += _LINE

    def _draw(
        self, painter: QPainter, top: float, row: Sequence[str], size: int, token: str
    ) -> None:
        base = drawing.baseline(top, _LINE, size)
        right = float(self.width())
        left = right - sum(self._widths)
        room = left + sum(self._widths[: next((k for k, cell in enumerate(row[1:]) if cell), 0)])
        name = drawing.elided(row[0], room - 8, size)
        drawing.text(painter, 0, base, name, size, token=token)
        for cell, width in zip(row[1:], self._widths, strict=False):
            left += width
            # A cell that alone has something to say may be wider than its column.
            alone = not any(row[2:]) and cell == row[1]
            room = left - 60 if alone else width - 4
            drawing.text_right(
                painter,
                right if alone else left,
                base,
                drawing.elided(cell, room, size),
                size,
                token=token,
            )
            if alone:
                return
