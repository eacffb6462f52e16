"""What stands on a paper: texts, rules and outlines in millimetres, drawn on any device."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPainterPath, QPen, QTransform

from designer.window import fonts

__all__ = [
    "PRINT",
    "Box",
    "Item",
    "Stroke",
    "Text",
    "advance",
    "digit_height",
    "draw",
    "moved",
    "x_height",
]

_REFERENCE = 100
"""Size [px] in which letters are measured and drawn; the painter brings them to their size."""

Colours = Callable[[str], QColor]

PRINT = {
    "ink": "#000000",
    "ink2": "#333333",
    "accent": "#000000",
    "line": "#7e7e7e",
    "hair": "#bdbdbd",
    "good": "#e3e3e3",
}
"""Colours on paper: black on white."""


@dataclass(frozen=True)
class Text:
    """Words on a baseline.

    Attributes
    ----------
    x, y : float [mm]
        Where they begin, and the baseline.
    em : float [mm]
        Size of the type.
    tag : str
        What they belong to, for who marks it.
    """

    x: float
    y: float
    words: str
    em: float
    bold: bool = False
    token: str = "ink"
    tag: str = ""

    @property
    def width(self) -> float:
        """Width [mm]."""
        return advance(self.words, self.em, self.bold)

    @property
    def height(self) -> float:
        """Least height [mm] of the letters and digits in it: that of x, or of digits alone."""
        letters = any(one.islower() for one in self.words)
        return (x_height(self.bold) if letters else digit_height(self.bold)) * self.em


@dataclass(frozen=True)
class Box:
    """A filled rectangle [mm]; a rule is a thin one."""

    x: float
    y: float
    width: float
    height: float
    token: str = "ink"


@dataclass(frozen=True)
class Stroke:
    """An outline of points [mm], filled where `fill` names a colour.

    Attributes
    ----------
    points : tuple of (x, y)
    pen : float [mm]
        Width of the line, 0 for none.
    dashed, closed : bool
    fill : str
        Token or "#rrggbb", "" for none.
    alpha : float
        Of the filling.
    """

    points: tuple[tuple[float, float], ...]
    pen: float = 0.25
    token: str = "ink"
    dashed: bool = False
    closed: bool = False
    fill: str = ""
    alpha: float = 1.0


Item = Text | Box | Stroke


@lru_cache(maxsize=8)
def _font(bold: bool) -> QFont:
    return QFont(fonts.font(_REFERENCE, bold))


@lru_cache(maxsize=8)
def _metrics(bold: bool) -> QFontMetricsF:
    return QFontMetricsF(_font(bold))


def advance(words: str, em: float, bold: bool = False) -> float:
    """Return the width [mm] of words in a type of a size [mm]."""
    return _advance(words, bold) * em / _REFERENCE


@lru_cache(maxsize=8192)
def _advance(words: str, bold: bool) -> float:
    return _metrics(bold).horizontalAdvance(words)


@lru_cache(maxsize=64)
def _tall(letter: str, bold: bool) -> float:
    path = QPainterPath()
    path.addText(QPointF(), _font(bold), letter)
    return path.boundingRect().height() / _REFERENCE


def x_height(bold: bool = False) -> float:
    """Return the height of the letter x over the size of the type."""
    return _tall("x", bold)


def digit_height(bold: bool = False) -> float:
    """Return the height of the lowest digit over the size of the type."""
    return min(_tall(digit, bold) for digit in "0123456789")


def moved(items: Iterable[Item], x: float, y: float) -> list[Item]:
    """Return items moved by so much [mm]."""
    found: list[Item] = []
    for one in items:
        if isinstance(one, Stroke):
            found.append(replace(one, points=tuple((a + x, b + y) for a, b in one.points)))
        else:
            found.append(replace(one, x=one.x + x, y=one.y + y))
    return found


def draw(
    painter: QPainter,
    items: Iterable[Item],
    scale: float,
    colours: Colours | None = None,
    outlined: bool = False,
) -> None:
    """Draw items.

    Parameters
    ----------
    scale : device units for each millimetre
    colours : of a token; black on white unless given
    outlined : letters as outlines, for a file that does not carry the type with it
    """
    colour = colours or _printed
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(scale, scale)
    for one in items:
        if isinstance(one, Text):
            _draw_text(painter, one, colour, outlined)
        elif isinstance(one, Box):
            painter.fillRect(QRectF(one.x, one.y, one.width, one.height), colour(one.token))
        else:
            _draw_stroke(painter, one, colour)
    painter.restore()


def _printed(token: str) -> QColor:
    return QColor(PRINT.get(token, token))


def _draw_text(painter: QPainter, one: Text, colour: Colours, outlined: bool) -> None:
    size = one.em / _REFERENCE
    if outlined:
        path = QPainterPath()
        path.addText(QPointF(), _font(one.bold), one.words)
        place = QTransform(size, 0, 0, size, one.x, one.y)
        painter.fillPath(place.map(path), colour(one.token))
        return
    painter.save()
    painter.translate(one.x, one.y)
    painter.scale(size, size)
    painter.setFont(_font(one.bold))
    painter.setPen(colour(one.token))
    painter.drawText(QPointF(), one.words)
    painter.restore()


def _draw_stroke(painter: QPainter, one: Stroke, colour: Colours) -> None:
    path = QPainterPath(QPointF(*one.points[0]))
    for point in one.points[1:]:
        path.lineTo(QPointF(*point))
    if one.closed:
        path.closeSubpath()
    if one.fill:
        filling = colour(one.fill)
        filling.setAlphaF(one.alpha)
        painter.fillPath(path, filling)
    if one.pen:
        pen = QPen(colour(one.token), one.pen)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if one.dashed:
            pen.setDashPattern([4, 3])
        painter.strokePath(path, pen)
