"""What stands round the dough map: the titles of its axes, and the key to its signs."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from designer.window import fonts, theme

__all__ = ["cross", "hatch", "paint_titles"]

_ACROSS, _UP = "liquid : powder, g/g", "melt phase, % of dough"


def paint_titles(
    painter: QPainter, area: QRectF, height: float, keys: Sequence[tuple[str, str]]
) -> None:
    """Draw the titles of the axes, and on the left below them signs with their meaning."""
    used, metrics = theme.now(), fonts.metrics(fonts.SMALL)
    painter.setFont(fonts.font(fonts.SMALL))
    painter.setPen(used.colour("ink2"))
    foot = height - 8
    start = area.right() - metrics.horizontalAdvance(_ACROSS)
    painter.drawText(QPointF(start, foot), _ACROSS)
    x = area.left()
    for kind, words in keys:
        width = 15 + metrics.horizontalAdvance(words)
        if x + width > start - 8:
            break
        _paint_sign(painter, QPointF(x + 5, foot - 4), kind)
        painter.setPen(used.colour("ink2"))
        painter.drawText(QPointF(x + 15, foot), words)
        x += width + 14
    painter.save()
    painter.translate(metrics.ascent(), area.center().y() + metrics.horizontalAdvance(_UP) / 2)
    painter.rotate(-90)
    painter.drawText(QPointF(0, 0), _UP)
    painter.restore()


def hatch(painter: QPainter, box: QRectF) -> None:
    """Fill a box with what says that nothing is known there."""
    used = theme.now()
    painter.fillRect(box, QColor(used.ground))
    painter.fillRect(box, QBrush(used.colour("hair"), Qt.BrushStyle.BDiagPattern))


def cross(painter: QPainter, at: QPointF) -> None:
    """Draw a cross of 7 px."""
    painter.drawLine(at + QPointF(-3.5, -3.5), at + QPointF(3.5, 3.5))
    painter.drawLine(at + QPointF(-3.5, 3.5), at + QPointF(3.5, -3.5))


def _paint_sign(painter: QPainter, at: QPointF, kind: str) -> None:
    used = theme.now()
    box = QRectF(round(at.x()) - 4.5, round(at.y()) - 3.5, 10, 8)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(used.colour("ink"), 1))
    if kind == "range":
        painter.drawRect(box)
    elif kind == "hatch":
        hatch(painter, box)
        painter.setPen(QPen(used.colour("line"), 1))
        painter.drawRect(box)
    elif kind == "cross":
        cross(painter, at)
    else:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(used.colour("ink"))
        painter.drawEllipse(at, 3.5, 3.5)
