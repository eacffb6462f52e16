"""Shapes that stand for the states of a dough and the numbers of variants, beside their words."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from designer.window import fonts, theme

__all__ = ["draw_number", "draw_state", "state_path"]

_OUTLINE = 1.25


def state_path(state: str, size: float) -> QPainterPath:
    """Return the outline of a state's mark, centred on (0, 0), `size` logical px across.

    crumbly: three crumbs; stiff: a block; pliable: a ball; sticky: a sagging drop; slack: a puddle.
    """
    path = QPainterPath()
    r = size / 2
    if state == "crumbly":
        crumb = 0.46 * r
        for x, y in ((0.0, -0.5), (-0.52, 0.42), (0.52, 0.42)):
            path.addEllipse(QPointF(x * r, y * r), crumb, crumb)
    elif state == "stiff":
        path.addRect(QRectF(-0.8 * r, -0.8 * r, 1.6 * r, 1.6 * r))
    elif state == "pliable":
        path.addEllipse(QPointF(0, 0), 0.9 * r, 0.9 * r)
    elif state == "sticky":
        path.moveTo(0, -r)
        path.cubicTo(0.12 * r, -0.45 * r, 0.85 * r, -0.1 * r, 0.85 * r, 0.3 * r)
        path.cubicTo(0.85 * r, 0.78 * r, 0.45 * r, r, 0, r)
        path.cubicTo(-0.45 * r, r, -0.85 * r, 0.78 * r, -0.85 * r, 0.3 * r)
        path.cubicTo(-0.85 * r, -0.1 * r, -0.12 * r, -0.45 * r, 0, -r)
    else:
        path.moveTo(-r, 0.5 * r)
        path.cubicTo(-r, -0.75 * r, r, -0.75 * r, r, 0.5 * r)
        path.closeSubpath()
    return path


def draw_state(painter: QPainter, centre: QPointF, state: str, size: float) -> None:
    """Draw a state's mark in its colour with an ink outline."""
    used = theme.now()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(centre)
    painter.setPen(QPen(used.colour("ink"), _OUTLINE))
    painter.setBrush(used.state(state))
    painter.drawPath(state_path(state, size))
    painter.restore()


def draw_number(painter: QPainter, centre: QPointF, number: str, active: bool) -> None:
    """Draw a variant's number in a ring of 20 px: a filled disc for the active one."""
    used = theme.now()
    radius = 10.0 if len(number) < 3 else 13.0
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    fill = used.colour("accent") if active else used.colour("paper")
    edge = QPen(fill if active else used.colour("ink"), 1.25)
    painter.setPen(edge)
    painter.setBrush(fill)
    painter.drawEllipse(centre, radius - 0.75, radius - 0.75)
    painter.setFont(fonts.font(fonts.MEDIUM if len(number) < 2 else fonts.SMALL, bold=True))
    painter.setPen(QColor(used.paper) if active else used.colour("ink"))
    box = QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius)
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, number)
    painter.restore()
