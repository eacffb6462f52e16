"""The plot of the dough map: shading, lines, names and the marks of the variants."""

import math
from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QMouseEvent,
    QPainter,
    QPen,
    QPixmap,
    QPolygonF,
    QResizeEvent,
    QWheelEvent,
)

from designer.evaluation.dough_map import DoughMap
from designer.vocabulary import Floats
from designer.window import fonts, symbols, theme
from designer.window.figures import joined
from designer.window.plot import Axis, Plot, label
from designer.window.recipe.map_field import Field, Line
from designer.window.recipe.map_handle import Spot
from designer.window.recipe.map_keys import cross, hatch, paint_titles
from designer.window.recipe.map_labels import (
    Label,
    Placer,
    crossing,
    edges,
    length,
    name_states,
    ticks,
)
from designer.window.recipe.map_marks import Mark, marks, paint_marks

__all__ = ["MapPlot"]

_MARGINS = (44, 4, 6, 40)
_PERCENT = 100.0
_DASH_DOT = [7.0, 3.0, 1.0, 3.0]
_WORTH_A_NAME = 60.0
"""Lines shorter than this [px] get no label."""
_USUAL = (0.10, 0.46), (0.06, 0.28)
"""Axes while there is no map yet."""


def _axis(low: float, high: float, step: float, decimals: int) -> Axis:
    return Axis(low, high, tuple(ticks(low, high, step, decimals)))


class MapPlot(Plot):
    """Draws a map and marks; knows no document.

    Signals
    -------
    pressed(QPointF), dragged(QPointF, bool), released()
        Of the left button, in px; whether Shift is held.
    """

    pressed = Signal(QPointF)
    dragged = Signal(QPointF, bool)
    released = Signal()

    def __init__(self) -> None:
        (left, right), (low, high) = _USUAL
        across, up = _axis(left, right, 0.05, 2), _axis(low * _PERCENT, high * _PERCENT, 5, 0)
        super().__init__(across, up, _MARGINS)
        self.field: Field | None = None
        self.message = ""
        self.note = ""
        self.good_batches: Sequence[Spot] = ()
        self.usual: Sequence[Spot] = ()
        self.is_focused = False
        self.is_working = False
        self._lines: tuple[list[Line], list[Line]] = ([], [])
        self._points: dict[str, Spot] = {}
        self._active = ""
        self._hover: QPointF | None = None
        self._picture: tuple[object, QImage] | None = None
        self._layout: tuple[object, list[Label], dict[str, QRectF]] | None = None
        self._marks: tuple[object, list[Mark]] | None = None
        self._goal: dict[str, Spot] = {}
        self._still: tuple[object, QPixmap] | None = None
        self._named: dict[str, tuple[float, float]] = {}
        self.setMouseTracking(True)
        self.under(self._paint_still)
        for layer in (
            self._paint_labels,
            self._paint_marks,
            self._paint_focus,
            self._paint_words,
            self._paint_hover,
        ):
            self.over(layer)

    # --- what is shown

    @property
    def chart(self) -> DoughMap | None:
        """The map that is shown."""
        return self.field.chart if self.field else None

    def show_chart(self, chart: DoughMap | None) -> None:
        """Show another map, or none."""
        self._picture = self._still = None
        self._named = {}
        if chart is None or chart.reason:
            self.field, self._lines = None, ([], [])
        else:
            self.field = Field(chart)
            self._lines = self.field.contours(), self.field.wetness_lines()
        if chart is not None:
            (left, right), (low, high) = chart.limits
            wide = right - left > 0.5
            tall = high - low > 0.3
            self.set_axes(
                _axis(left, right, 0.1 if wide else 0.05, 1 if wide else 2),
                _axis(low * _PERCENT, high * _PERCENT, 10 if tall else 5, 0),
            )
        if self.isVisible():
            self.shaded()
        self.viewport().update()

    def show_points(
        self, points: Mapping[str, Spot], active: str, goal: Mapping[str, Spot] | None = None
    ) -> None:
        """Show the variants where they are; labels keep away from where they are going."""
        wanted = dict(points), active, dict(points if goal is None else goal)
        if wanted != (self._points, self._active, self._goal):
            self._points, self._active, self._goal = wanted
            self.viewport().update()

    def spot(self, point: QPointF) -> Spot:
        """Return the point of the map at px, within the axes."""
        x, y = self.at(point)
        return Spot(
            min(max(x, self.x.low), self.x.high),
            min(max(y, self.y.low), self.y.high) / _PERCENT,
        )

    def place(self, spot: Spot) -> QPointF:
        """Return where a point of the map stands, in px."""
        # Without powder liquid : powder is infinite, which no painter takes.
        far = 2 * self.x.high
        return self.px(min(spot.x, far) if math.isfinite(spot.x) else far, spot.y * _PERCENT)

    def scale(self) -> tuple[float, float]:
        """Return px per g/g across and per share up."""
        area = self.area()
        return (
            area.width() / (self.x.high - self.x.low),
            area.height() / (self.y.high - self.y.low) * _PERCENT,
        )

    def active_mark(self) -> Mark | None:
        """Return the mark of the active variant, if it is shown."""
        return next((mark for mark in self._marked() if mark.active), None)

    def shaded(self) -> QImage | None:
        """Return the shading in device px, painted once for a map, a size and a theme."""
        if self.field is None:
            return None
        ratio, area = self.devicePixelRatioF(), self.area()
        size = round(area.width() * ratio), round(area.height() * ratio)
        key = (size, theme.now())
        if min(size) < 1:
            return None
        if self._picture is None or self._picture[0] != key:
            self._picture = key, self.field.picture(theme.now(), *size)
        return self._picture[1]

    # --- layout

    def _laid_out(self) -> tuple[object, list[Label], dict[str, QRectF]]:
        """Return the labels and names where they stand."""
        key = (self.area(), self._goal, self._active, self.note, id(self.field), self.message)
        if self._layout is None or self._layout[0] != key:
            self._layout = (key, *self._lay_out())
        return self._layout

    def _marked(self) -> list[Mark]:
        """Return the marks where they stand."""
        key = (self.area(), self._points, self._active, self.x, self.y)
        if self._marks is None or self._marks[0] != key:
            self._marks = key, self._marks_at(self._points)
        return self._marks[1]

    def _marks_at(self, spots: Mapping[str, Spot]) -> list[Mark]:
        points = {number: self.place(spot) for number, spot in spots.items()}
        return marks(self.area(), points, self._active)

    def _lay_out(self) -> tuple[list[Label], dict[str, QRectF]]:
        area = self.area()
        if self.field is None or min(area.width(), area.height()) < 80:
            return [], {}
        goal = self._marked() if self._goal == self._points else self._marks_at(self._goal)
        placer = Placer(area, [mark.box for mark in goal])
        if self.note:
            placer.taken.append(self._note_box())
        labels = self._line_labels(placer)
        free = len(placer.taken)
        placer.taken += edges(self._known_good_box())
        cells = [max(4, min(40, int(side / 8))) for side in (area.width(), area.height())]
        regions = self.field.regions(*cells)
        before = {
            state: QPointF(area.left() + x * area.width(), area.top() + y * area.height())
            for state, (x, y) in self._named.items()
        }
        names = name_states(placer, regions, before)
        missing = {state: mask for state, mask in regions.items() if state not in names}
        if missing:
            # Rather on the outline of the known-good range than not at all.
            del placer.taken[free : free + 4]
            names |= name_states(placer, missing, {})
        self._named = {
            state: (
                (box.center().x() - area.left()) / area.width(),
                (box.center().y() - area.top()) / area.height(),
            )
            for state, box in names.items()
        }
        return labels, names

    def _line_labels(self, placer: Placer) -> list[Label]:
        area = placer.area
        found: list[Label] = []
        foot, head = area.bottom() - 0.12 * area.height(), area.top() + 0.08 * area.height()
        contours = [(line, self._in_px(line.places)) for line in self._lines[0]]
        is_told = False
        for line, points in sorted(contours, key=lambda one: crossing(one[1], foot)):
            if length(points) < _WORTH_A_NAME:
                continue
            text = f"{line.level:.0f}"
            if line.level == 15 and not is_told:
                text += " of 20"
            if made := placer.along(text, points, foot):
                is_told |= text.endswith("of 20")
                found.append(made)
        named: set[float] = set()
        for line in self._lines[1]:
            points = self._in_px(line.places)
            if line.level in named or length(points) < 2 * _WORTH_A_NAME:
                continue
            if made := placer.along(f"wetness {line.level:.1f}", points, head):
                named.add(line.level)
                found.append(made)
        return found

    def _in_px(self, places: Floats) -> Floats:
        area = self.area()
        return (area.left(), area.bottom()) + places * (area.width(), -area.height())

    def _known_good_box(self) -> QRectF:
        assert self.chart is not None
        (left, right), (low, high) = self.chart.known_good
        box = QRectF(self.place(Spot(left, high)), self.place(Spot(right, low)))
        return box & self.area()

    def _note_box(self) -> QRectF:
        area, metrics = self.area(), fonts.metrics(fonts.SMALL)
        wide = area.width() - 20
        text = metrics.boundingRect(
            QRectF(0, 0, wide, 200), int(Qt.TextFlag.TextWordWrap), self.note
        )
        return QRectF(area.left() + 6, area.top() + 6, text.width() + 8, text.height() + 4)

    # --- painting

    def _paint_still(self, painter: QPainter) -> None:
        """Paint what only another map, size or theme changes, from a picture of it."""
        ratio = self.devicePixelRatioF()
        key = (
            id(self.field),
            self.size(),
            ratio,
            theme.now(),
            self.x,
            self.y,
            tuple(self.usual),
            tuple(self.good_batches),
        )
        if self._still is None or self._still[0] != key:
            picture = QPixmap(self.size() * ratio)
            picture.setDevicePixelRatio(ratio)
            picture.fill(Qt.GlobalColor.transparent)
            inner = QPainter(picture)
            for layer in (
                self._paint_field,
                self._paint_lines,
                self._paint_known_good,
                self._paint_batches,
                self._paint_titles,
            ):
                inner.save()
                layer(inner)
                inner.restore()
            inner.end()
            self._still = key, picture
        painter.drawPixmap(0, 0, self._still[1])

    def _paint_field(self, painter: QPainter) -> None:
        image, area = self.shaded(), self.area()
        if image is None or self.field is None:
            return
        if self.field.silent.any():
            hatch(painter, area)
        painter.drawImage(area, image)

    def _paint_lines(self, painter: QPainter) -> None:
        used = theme.now()
        painter.setClipRect(self.area())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        contours, wetness = self._lines
        for line in contours:
            painter.setPen(QPen(used.colour("ink", 0.8), 1.6 if line.level == 15 else 1.0))
            painter.drawPolyline(self._polygon(line))
        pen = QPen(used.colour("ink", 0.8), 1.0)
        pen.setDashPattern(_DASH_DOT)
        painter.setPen(pen)
        for line in wetness:
            painter.drawPolyline(self._polygon(line))

    def _polygon(self, line: Line) -> QPolygonF:
        return QPolygonF([QPointF(x, y) for x, y in self._in_px(line.places).tolist()])

    def _paint_known_good(self, painter: QPainter) -> None:
        if self.field is None:
            return
        used, box = theme.now(), self._known_good_box()
        outline = QRectF(
            QPointF(round(box.left()) + 0.5, round(box.top()) + 0.5),
            QPointF(round(box.right()) + 0.5, round(box.bottom()) + 0.5),
        )
        for colour, width in ((used.colour("paper", 0.82), 3), (used.colour("ink", 0.75), 1)):
            pen = QPen(colour, width)
            pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
            painter.setPen(pen)
            painter.drawRect(outline)

    def _paint_batches(self, painter: QPainter) -> None:
        used = theme.now()
        painter.setClipRect(self.area())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for spot in self.usual:
            for colour, width in ((used.colour("paper", 0.82), 3.0), (used.colour("ink"), 1.25)):
                painter.setPen(QPen(colour, width))
                cross(painter, self.place(spot))
        painter.setPen(QPen(used.colour("paper"), 1))
        painter.setBrush(used.colour("ink"))
        for spot in self.good_batches:
            painter.drawEllipse(self.place(spot), 3.5, 3.5)

    def _paint_labels(self, painter: QPainter) -> None:
        _, labels, names = self._laid_out()
        token = "ink2" if self.is_working else "ink"
        for one in labels:
            label(painter, one.baseline, one.text, token=token)
        metrics = fonts.metrics(fonts.MEDIUM)
        for state, box in names.items():
            painter.fillRect(box, theme.now().colour("paper", 0.82))
            symbols.draw_state(painter, QPointF(box.left() + 10, box.center().y()), state, 12.0)
            foot = box.center().y() + (metrics.ascent() - metrics.descent()) / 2
            at = QPointF(box.left() + 21, foot)
            label(painter, at, state, fonts.MEDIUM, token=token, on_paper=0)

    def _paint_marks(self, painter: QPainter) -> None:
        paint_marks(painter, self._marked(), self.area(), self.is_focused)

    def _paint_titles(self, painter: QPainter) -> None:
        paint_titles(painter, self.area(), float(self.height()), self.signs())

    def _paint_focus(self, painter: QPainter) -> None:
        if self.is_focused and self.active_mark() is None:
            painter.setPen(QPen(theme.now().colour("accent"), 2))
            painter.drawRect(self.area().adjusted(1, 1, -1, -1))

    def signs(self) -> list[tuple[str, str]]:
        """Return the signs on the map that the key below it explains, and what they mean."""
        if self.field is None:
            return []
        chart = self.field.chart
        found = [("range", "known good")]
        if self.good_batches:
            found.append(("dot", "own good"))
        if self.usual:
            found.append(("cross", "usual"))
        if (chart.outside & chart.reachable).any():
            found.append(("hatch", "no forecast"))
        elif not chart.reachable.all():
            found.append(("hatch", "out of reach"))
        return found

    def _paint_words(self, painter: QPainter) -> None:
        used, area = theme.now(), self.area()
        if self.note:
            box = self._note_box()
            painter.fillRect(box, QColor(used.paper))
            painter.setPen(QPen(used.colour("ink"), 1))
            painter.setFont(fonts.font(fonts.SMALL))
            painter.drawText(box.adjusted(4, 2, -2, 0), int(Qt.TextFlag.TextWordWrap), self.note)
        if self.message:
            painter.setPen(used.colour("ink2"))
            painter.setFont(fonts.font())
            # Marks may stand in the middle.
            flags, box = Qt.AlignmentFlag, area.adjusted(24, 12, -24, -12)
            middle = flags.AlignHCenter | (flags.AlignTop if self._points else flags.AlignVCenter)
            painter.drawText(box, int(middle | Qt.TextFlag.TextWordWrap), self.message)

    def _paint_hover(self, painter: QPainter) -> None:
        if self._hover is None or self.field is None:
            return
        text = self.readout(self._hover)
        metrics, area, used = fonts.metrics(fonts.SMALL), self.area(), theme.now()
        box = QRectF(0, 0, metrics.horizontalAdvance(text) + 10, metrics.height() + 4)
        # Above the pointer and the mark it may hold; below where there is no room.
        x = min(max(self._hover.x() + 12, area.left() + 2), area.right() - box.width() - 2)
        y = self._hover.y() - 26 - box.height()
        box.moveTo(x, y if y > area.top() + 2 else self._hover.y() + 26)
        painter.fillRect(box, QColor(used.paper))
        painter.setPen(QPen(used.colour("line"), 1))
        painter.drawRect(box)
        painter.setPen(used.colour("ink"))
        painter.setFont(fonts.font(fonts.SMALL))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    def readout(self, point: QPointF) -> str:
        """Return what the map says at px, in a few words."""
        if self.field is None:
            return ""
        spot = self.spot(point)
        where = f"{joined(spot.x, 'liquid_to_powder')}, {joined(spot.y, 'melt_fraction')}"
        chance = float(self.field.chart.chance_at([spot.x], [spot.y])[0])
        state = self.field.state_at(*spot)
        if not math.isfinite(chance):
            return f"{where}: out of reach"
        if not state:
            return f"{where}: no forecast"
        clean = round(20 * chance)
        return f"{where}: {clean} of 20" + (f", else {state}" if clean < 20 else "")

    # --- events

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Tell where the left button was pressed."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.pressed.emit(event.position())
        event.accept()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Tell where the pointer is dragged, or read the map under it."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            is_held = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self.dragged.emit(event.position(), is_held)
            self._hover = None
        else:
            inside = self.area().contains(event.position())
            self._hover = event.position() if inside else None
            mark = self.active_mark()
            is_near = mark is not None and mark.box.contains(event.position())
            shape = Qt.CursorShape.OpenHandCursor if is_near else Qt.CursorShape.CrossCursor
            self.viewport().setCursor(shape if inside else Qt.CursorShape.ArrowCursor)
        self.viewport().update()
        event.accept()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Tell that the left button was let go."""
        if event.button() == Qt.MouseButton.LeftButton:
            self.released.emit()
        event.accept()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Take the second press like the first."""
        self.mousePressEvent(event)

    def leaveEvent(self, event: QEvent) -> None:  # noqa: N802
        """Read the map no more."""
        super().leaveEvent(event)
        self._hover = None
        self.viewport().update()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Leave the wheel to what scrolls the page."""
        event.ignore()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Shade the new size."""
        super().resizeEvent(event)
        if hasattr(self, "_picture") and self.isVisible():
            self.shaded()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Shade in the colours of another theme."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and hasattr(self, "_picture"):
            self.shaded()
