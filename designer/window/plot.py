"""Our one plot class: fixed ranges, our axes and type, curves and bands in the theme's colours."""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import pyqtgraph
from PySide6.QtCore import QEvent, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsPathItem

from designer.vocabulary import Floats
from designer.window import fonts, theme

__all__ = ["Axis", "Band", "Curve", "Plot", "label"]

Layer = Callable[[QPainter], None]
"""Paints over or under the plot, in logical px of its viewport."""

_TICK = 4
_DASHES = [5.0, 3.0]


@dataclass(frozen=True)
class Axis:
    """What an axis spans and where its ticks stand, in shown units.

    Attributes
    ----------
    low, high : float
    ticks : tuple of (value, text)
    log : bool
        Positions follow the logarithm; `low` is positive then.
    title : str
        Drawn at the end of the axis, unit included.
    """

    low: float
    high: float
    ticks: tuple[tuple[float, str], ...] = ()
    log: bool = False
    title: str = ""

    def place(self, value: float) -> float:
        """Return where a value stands: 0 at the low end, 1 at the high end."""
        if self.log:
            tiny = self.low * 1e-9
            return math.log(max(value, tiny) / self.low) / math.log(self.high / self.low)
        return (value - self.low) / (self.high - self.low)

    def value(self, place: float) -> float:
        """Return the value at a place, the inverse of `place`."""
        if self.log:
            return self.low * math.exp(place * math.log(self.high / self.low))
        return self.low + place * (self.high - self.low)

    def placed(self, values: Floats) -> Floats:
        """Return the places of many values."""
        if self.log:
            logs = np.log(np.maximum(values, self.low * 1e-9))
            return np.asarray((logs - math.log(self.low)) / math.log(self.high / self.low))
        return np.asarray((np.asarray(values) - self.low) / (self.high - self.low))


@dataclass
class Curve:
    """A line of the plot; its colour follows the theme."""

    item: pyqtgraph.PlotCurveItem
    token: str
    width: float
    is_dashed: bool = False
    alpha: float = 1.0
    _data: tuple[Floats, Floats] = field(default=(np.empty(0), np.empty(0)), repr=False)

    def dress(self, ratio: float = 1.0) -> None:
        """Take the pen of the theme; `ratio` px of the screen are one logical px."""
        pen = QPen(theme.now().colour(self.token, self.alpha), self.width * ratio)
        pen.setCosmetic(True)
        if self.is_dashed:
            pen.setDashPattern(_DASHES)
        self.item.setPen(pen)

    @property
    def data(self) -> tuple[Floats, Floats]:
        """What is shown, in shown units."""
        return self._data


@dataclass
class Band:
    """A filled region between two lines, with thin edges above and below."""

    item: QGraphicsPathItem
    edges: QGraphicsPathItem
    token: str
    alpha: float
    _data: tuple[Floats, Floats, Floats] | None = field(default=None, repr=False)

    def dress(self, ratio: float = 1.0) -> None:
        """Take brush and pen of the theme; `ratio` px of the screen are one logical px."""
        used = theme.now()
        self.item.setBrush(QBrush(used.colour(self.token, self.alpha)))
        self.item.setPen(QPen(Qt.PenStyle.NoPen))
        pen = QPen(used.colour(self.token, 0.75), ratio)
        pen.setCosmetic(True)
        self.edges.setPen(pen)

    @property
    def data(self) -> tuple[Floats, Floats, Floats] | None:
        """What is shown, in shown units: x, low, high."""
        return self._data


class Plot(pyqtgraph.PlotWidget):
    """A plot whose ranges its view sets; the mouse neither pans nor zooms it.

    Curves and bands are items in places of the axes (0 to 1); everything else, axes included, is
    painted by layers in px, under or over them.
    """

    def __init__(self, x: Axis, y: Axis, margins: tuple[int, int, int, int] = (44, 8, 8, 32)):
        super().__init__(background=None)
        self.x, self.y = x, y
        self._curves: list[Curve] = []
        self._bands: list[Band] = []
        self._under: list[Layer] = []
        self._over: list[Layer] = [self._draw_axes]
        self._margins = margins
        item = self.plotItem
        item.hideAxis("left")
        item.hideAxis("bottom")
        item.hideButtons()
        item.setMenuEnabled(False)
        item.setContentsMargins(0, 0, 0, 0)
        item.layout.setContentsMargins(*(float(margin) for margin in margins))
        item.layout.setSpacing(0)
        box = item.vb
        box.setMouseEnabled(False, False)
        box.setDefaultPadding(0)
        box.disableAutoRange()
        box.setRange(xRange=(0, 1), yRange=(0, 1), padding=0)
        self.setViewportUpdateMode(self.ViewportUpdateMode.FullViewportUpdate)
        # What lies under the curves changes with them.
        self.setCacheMode(self.CacheModeFlag.CacheNone)
        self.setFrameShape(self.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.viewport().setAccessibleName("Plot area")

    def area(self) -> QRectF:
        """Return the rectangle between the axes, in px of the viewport."""
        left, top, right, bottom = self._margins
        return QRectF(left, top, self.width() - left - right, self.height() - top - bottom)

    def px(self, x: float, y: float) -> QPointF:
        """Return where a point in shown units stands, in px of the viewport."""
        area = self.area()
        return QPointF(
            area.left() + self.x.place(x) * area.width(),
            area.bottom() - self.y.place(y) * area.height(),
        )

    def at(self, point: QPointF) -> tuple[float, float]:
        """Return the point in shown units at px of the viewport."""
        area = self.area()
        return (
            self.x.value((point.x() - area.left()) / max(area.width(), 1.0)),
            self.y.value((area.bottom() - point.y()) / max(area.height(), 1.0)),
        )

    def set_axes(self, x: Axis, y: Axis) -> None:
        """Change the axes; what is shown moves along."""
        if (x, y) != (self.x, self.y):
            self.x, self.y = x, y
            for curve in self._curves:
                self.show_curve(curve, *curve.data)
            for band in self._bands:
                if band.data is not None:
                    self.show_band(band, *band.data)
            self.viewport().update()

    def set_margins(self, margins: tuple[int, int, int, int]) -> None:
        """Change the room left, above, right and below the axes; what is shown moves along."""
        if margins != self._margins:
            self._margins = margins
            self.plotItem.layout.setContentsMargins(*(float(margin) for margin in margins))
            self.plotItem.layout.activate()
            self.viewport().update()

    def curve(self, token: str, width: float, is_dashed: bool = False, alpha: float = 1.0) -> Curve:
        """Return a new line in a colour of the theme."""
        item = pyqtgraph.PlotCurveItem(antialias=True)
        self.addItem(item)
        made = Curve(item, token, width, is_dashed, alpha)
        made.dress(self.devicePixelRatioF())
        self._curves.append(made)
        return made

    def show_curve(self, curve: Curve, x: Floats, y: Floats) -> None:
        """Show a line through points in shown units, with a gap where y is NaN."""
        curve._data = (np.asarray(x), np.asarray(y))
        curve.item.setData(self.x.placed(x), self.y.placed(y), connect="finite")

    def band(self, token: str, alpha: float) -> Band:
        """Return a new filled region in a colour of the theme."""
        item, edges = QGraphicsPathItem(), QGraphicsPathItem()
        self.addItem(item)
        self.addItem(edges)
        made = Band(item, edges, token, alpha)
        made.dress(self.devicePixelRatioF())
        self._bands.append(made)
        return made

    def show_band(self, band: Band, x: Floats, low: Floats, high: Floats) -> None:
        """Show the region between two lines, in shown units, with a gap where one is NaN."""
        band._data = (np.asarray(x), np.asarray(low), np.asarray(high))
        path, rims = QPainterPath(), QPainterPath()
        across, under, over = self.x.placed(x), self.y.placed(low), self.y.placed(high)
        there = np.isfinite(under) & np.isfinite(over)
        edges = np.flatnonzero(np.diff(np.concatenate([[False], there, [False]])))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            xs = across[start:end].tolist()
            above, below = (
                [QPointF(*point) for point in zip(xs, ys[start:end].tolist(), strict=True)]
                for ys in (over, under)
            )
            rims.addPolygon(QPolygonF(above))
            rims.addPolygon(QPolygonF(below))
            path.addPolygon(QPolygonF([*above, *reversed(below)]))
            path.closeSubpath()
        band.item.setPath(path)
        band.edges.setPath(rims)

    def under(self, layer: Layer) -> None:
        """Paint a layer under curves and bands, on paper."""
        self._under.append(layer)

    def over(self, layer: Layer) -> None:
        """Paint a layer over everything."""
        self._over.append(layer)

    def drawBackground(self, painter: QPainter, rect: QRectF) -> None:  # noqa: N802
        """Paint ground, paper and the layers under the curves."""
        painter.save()
        painter.resetTransform()
        painter.fillRect(self.viewport().rect(), QColor(theme.now().ground))
        painter.fillRect(self.area(), QColor(theme.now().paper))
        for layer in self._under:
            painter.save()
            layer(painter)
            painter.restore()
        painter.restore()

    def drawForeground(self, painter: QPainter, rect: QRectF) -> None:  # noqa: N802
        """Paint axes and the layers over the curves."""
        painter.save()
        painter.resetTransform()
        for layer in self._over:
            painter.save()
            layer(painter)
            painter.restore()
        painter.restore()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Follow a change of the theme."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_curves"):
            self._dress()

    def event(self, event: QEvent) -> bool:
        """Follow the window to a screen with another ratio: pens of items are in its own px."""
        if event.type() == QEvent.Type.DevicePixelRatioChange:
            self._dress()
        return bool(super().event(event))

    def recolour(self, one: Curve | Band, token: str) -> None:
        """Give a line or a region another colour of the theme."""
        one.token = token
        one.dress(self.devicePixelRatioF())

    def _dress(self) -> None:
        for curve in self._curves:
            curve.dress(self.devicePixelRatioF())
        for band in self._bands:
            band.dress(self.devicePixelRatioF())
        self.viewport().update()

    def close(self) -> bool:
        """Let go of the items, which do not outlive the closing of their plot."""
        self._curves.clear()
        self._bands.clear()
        return bool(super().close())

    def _draw_axes(self, painter: QPainter) -> None:
        """Paint axes left and bottom, ticks out, no grid."""
        used, area = theme.now(), self.area()
        painter.setPen(QPen(used.colour("line"), 1))
        left, bottom = round(area.left()) - 0.5, round(area.bottom()) + 0.5
        painter.drawLine(QPointF(left, area.top()), QPointF(left, bottom))
        painter.drawLine(QPointF(left, bottom), QPointF(area.right(), bottom))
        painter.setFont(fonts.font(fonts.SMALL))
        flags = Qt.AlignmentFlag
        for value, text in self.y.ticks:
            y = round(self.px(self.x.low, value).y()) + 0.5
            if area.top() - 1 <= y <= area.bottom() + 1:
                painter.setPen(QPen(used.colour("line"), 1))
                painter.drawLine(QPointF(left - _TICK, y), QPointF(left, y))
                painter.setPen(used.colour("ink2"))
                box = QRectF(0, y - 10, left - _TICK - 4, 20)
                painter.drawText(box, flags.AlignRight | flags.AlignVCenter, text)
        self._draw_x_ticks(painter, bottom)

    def _draw_x_ticks(self, painter: QPainter, bottom: float) -> None:
        used, area = theme.now(), self.area()
        metrics = fonts.metrics(fonts.SMALL)
        for value, text in self.x.ticks:
            x = round(self.px(value, self.y.low).x()) + 0.5
            if not area.left() - 1 <= x <= area.right() + 1:
                continue
            painter.setPen(QPen(used.colour("line"), 1))
            painter.drawLine(QPointF(x, bottom), QPointF(x, bottom + _TICK))
            if text:
                width = metrics.horizontalAdvance(text)
                start = min(max(x - width / 2, area.left() - 8), self.width() - width - 1)
                painter.setPen(used.colour("ink2"))
                painter.drawText(QPointF(start, bottom + _TICK + 11), text)


def label(
    painter: QPainter,
    at: QPointF,
    text: str,
    size: int = fonts.SMALL,
    bold: bool = False,
    token: str = "ink",
    on_paper: float = 0.82,
) -> QRectF:
    """Draw a text whose baseline starts at a point, on a patch of paper; return the patch."""
    used, metrics = theme.now(), fonts.metrics(size, bold)
    width = metrics.horizontalAdvance(text)
    patch = QRectF(at.x() - 2, at.y() - metrics.ascent(), width + 4, metrics.height())
    if on_paper:
        painter.fillRect(patch, used.colour("paper", on_paper))
    painter.setFont(fonts.font(size, bold))
    painter.setPen(used.colour(token))
    painter.drawText(at, text)
    return patch
