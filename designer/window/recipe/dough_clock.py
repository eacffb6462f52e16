"""The dough clock: firmness against time, from the pour to four weeks."""

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPen, QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.window import fonts, theme
from designer.window.plot import Axis, Curve, Plot
from designer.window.recipe import clock_bands, clock_lane, clock_marks
from designer.window.recipe.clock_data import ClockData, Line, moment, read, row, when
from designer.window.recipe.clock_texts import Text, draw, line_height, measured
from designer.window.recipe.working import Working
from designer.window.symbols import draw_number
from designer.wording.headline import EMPTY

__all__ = ["DoughClockView"]

_TIME = Axis(1.0, 40320.0, log=True)
_KPA = Axis(1.0, 800.0, ((10.0, "10"), (100.0, "100")), log=True)
_LEFT, _RIGHT = 44, 56
_LOW_HEIGHT = 180
"""Below it [px] lane and head stand closer."""

_HEADER = (
    "minutes since the pour",
    "firmness, kPa, low",
    "median",
    "high",
    "dough temperature, °C",
    "state",
)


@dataclass(frozen=True)
class _Layout:
    """Where texts and numbers stand, for one size and one result."""

    labels: clock_marks.Labels
    words: clock_bands.Words
    lane: clock_lane.Lane


class DoughClockView(QWidget):
    """Firmness of the active variant with its interval, states, marks and temperature.

    Left, Right, Home and End move a crosshair along the times; so does the mouse.

    Signals
    -------
    numbers_changed()
        What `numbers` gives may be something else now.
    """

    numbers_changed = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._data: ClockData | None = None
        self._reason = ""
        self._layout: _Layout | None = None
        self._cursor: int | None = None
        self.setAccessibleName(clock_marks.TITLE)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMinimumHeight(140)
        self._build_plot()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.plot)
        self._working = Working(document, self)
        self._working.changed.connect(self._grow_stale)
        document.evaluated.connect(self._show)
        document.failed.connect(self._fail)
        document.pinned_changed.connect(self._show_again)
        self._show_again()

    def _build_plot(self) -> None:
        self.plot = Plot(_TIME, _KPA, self._margins())
        self.band = self.plot.band("accent", 0.16)
        self._others: list[Curve] = []
        self.median = self.plot.curve("accent", 2.4)
        self.median.item.setZValue(10)
        self.plot.under(self._draw_under)
        self.plot.over(self._draw_over)
        self.plot.viewport().setMouseTracking(True)
        self.plot.viewport().installEventFilter(self)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return a size in which all labels have room."""
        return QSize(752, 230)

    @property
    def data(self) -> ClockData | None:
        """What is shown."""
        return self._data

    @property
    def others(self) -> list[Curve]:
        """The lines of the other variants that are shown."""
        return [curve for curve in self._others if np.size(curve.data[0])]

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys of this part and what they do."""
        return [("← →", "along the time"), ("Home End", "first and last")]

    def numbers(self) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
        """Return what is drawn of the active variant as a table: header and rows."""
        if self._data is None:
            return _HEADER, []
        return _HEADER, [row(self._data, at) for at in range(self._data.minutes.size)]

    def texts(self) -> list[Text]:
        """Return every text that is drawn now, in px, but for the readout."""
        ticks = clock_lane.tick_texts(self.plot, self._lane_rect())
        if self._data is None:
            return ticks
        laid = self._laid_out()
        found = [*laid.lane.texts, *ticks]
        if not self._reason:
            found += [*laid.labels.texts, *laid.words.texts]
        if laid.labels.subtitle is not None:
            found.append(laid.labels.subtitle)
        return found

    def rings(self) -> tuple[clock_bands.Ring, ...]:
        """Return the numbers of variants on their lines, in px."""
        return () if self._data is None or self._reason else self._laid_out().words.rings

    def spoken(self) -> str:
        """Return what the clock says, in one or two sentences."""
        if self._reason or self._data is None:
            return self._reason
        told = []
        for mark in self._data.marks:
            span = ""
            if mark.time:
                low, high = when(mark.low * 60), when(mark.high * 60)
                span = f" {mark.time}" if low == high else f" {mark.time} ({low} to {high})"
                if mark.share < 0.975:
                    span += f", reached in {round(20 * mark.share)} of 20"
            told.append(f"{mark.words}{span}")
        if self._data.active.silence:
            told.append(self._data.active.silence)
        text = "; ".join(told)
        return f"{text[:1].upper()}{text[1:]}."

    # What arrives

    def _show_again(self) -> None:
        if self._document.evaluation is not None:
            self._show(self._document.evaluation)

    def _show(self, result: Evaluation) -> None:
        """Show a result: set data of the items, lay out what is painted when it is painted."""
        self._data = data = read(result, self._document.pinned)
        self._reason = f"No forecast: {data.reason}." if data.reason else ""
        empty = np.empty(0)
        self.plot.show_curve(self.median, data.minutes, data.active.value)
        self.plot.show_band(self.band, data.minutes, data.active.low, data.active.high)
        lines: tuple[Line, ...] = () if self._reason else data.others
        while len(self._others) < len(lines):
            self._others.append(self.plot.curve("ink", 1.4, is_dashed=True))
        for at, curve in enumerate(self._others):
            if at < len(lines):
                self.plot.show_curve(curve, data.minutes, lines[at].value)
            elif np.size(curve.data[0]):
                self.plot.show_curve(curve, empty, empty)
        if self._cursor is not None:
            self._cursor = min(self._cursor, data.minutes.size - 1)
        self._changed()

    def _fail(self, error: ReadableError) -> None:
        if self._document.evaluation is not None:
            # Something else failed, the map.
            return
        has_rows = bool(self._document.recipe.rows)
        self._reason = f"No forecast: {error.problem}" if has_rows else EMPTY
        empty = np.empty(0)
        for curve in (self.median, *self._others):
            self.plot.show_curve(curve, empty, empty)
        self.plot.show_band(self.band, empty, empty, empty)
        self._data = None
        self._changed()

    def _grow_stale(self, is_stale: bool) -> None:
        """Show old numbers as such, or new ones in their colours."""
        for one in (self.median, self.band):
            self.plot.recolour(one, "ink2" if is_stale else "accent")
        for curve in self._others:
            self.plot.recolour(curve, "ink2" if is_stale else "ink")
        self.plot.viewport().update()

    def _changed(self) -> None:
        self._layout = None
        self.setAccessibleDescription(self._described())
        self.plot.viewport().update()
        self.numbers_changed.emit()

    def _described(self) -> str:
        if self._cursor is None or self._data is None:
            return self.spoken()
        return "; ".join(moment(self._data, self._cursor))

    # The crosshair

    def readout(self) -> tuple[str, str] | None:
        """Return the two lines at the crosshair, or None without one."""
        if self._cursor is None or self._data is None:
            return None
        return moment(self._data, self._cursor)

    def _point(self, at: int | None) -> None:
        if at != self._cursor:
            self._cursor = at
            self.setAccessibleDescription(self._described())
            self.plot.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Move the crosshair."""
        if self._data is None or event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier:
            super().keyPressEvent(event)
            return
        last = self._data.minutes.size - 1
        here = self._data.result.knead if self._cursor is None else self._cursor
        steps: dict[int, int] = {
            Qt.Key.Key_Left: max(here - 1, 0),
            Qt.Key.Key_Right: min(here + 1, last),
            Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: last,
        }
        if event.key() in steps:
            self._point(steps[event.key()])
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the crosshair at the knead."""
        super().focusInEvent(event)
        if self._data is not None and self._cursor is None:
            self._point(self._data.result.knead)
        self.plot.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Take the crosshair away."""
        super().focusOutEvent(event)
        self._point(None)
        self.plot.viewport().update()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802
        """Follow the mouse over the plot."""
        kind = event.type()
        if isinstance(event, QMouseEvent) and kind in (
            QEvent.Type.MouseMove,
            QEvent.Type.MouseButtonPress,
        ):
            if kind == QEvent.Type.MouseButtonPress:
                self.setFocus(Qt.FocusReason.MouseFocusReason)
            self._point(self._under_mouse(event.position()))
        elif kind == QEvent.Type.Leave:
            keep = self._cursor if self.hasFocus() else None
            self._point(keep)
        return super().eventFilter(watched, event)

    def _under_mouse(self, point: QPointF) -> int | None:
        area = self.plot.area().united(self._lane_rect())
        if self._data is None or not area.contains(point):
            return self._cursor if self.hasFocus() else None
        minutes = self.plot.at(point)[0]
        return int(np.abs(np.log(self._data.minutes / minutes)).argmin())

    # Geometry

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Give the plot its room."""
        super().resizeEvent(event)
        self._layout = None
        self.plot.set_margins(self._margins())

    def _margins(self) -> tuple[int, int, int, int]:
        is_low = self.height() < _LOW_HEIGHT
        return (_LEFT, 52 if is_low else 56, _RIGHT, 39 if is_low else 48)

    def _lane_rect(self) -> QRectF:
        area = self.plot.area()
        gap, height = (4, 15) if self.height() < _LOW_HEIGHT else (6, 22)
        return QRectF(area.left(), area.bottom() + gap, area.width(), height)

    def _laid_out(self) -> _Layout:
        assert self._data is not None
        if self._layout is None:
            self._layout = _Layout(
                clock_marks.labels(self.plot, self._data),
                clock_bands.words(self.plot, self._data),
                clock_lane.lane(self.plot, self._data, self._lane_rect()),
            )
        return self._layout

    # Painting

    def _draw_under(self, painter: QPainter) -> None:
        if self._data is not None and not self._reason:
            clock_bands.draw_bands(painter, self.plot, self._data)

    def _draw_over(self, painter: QPainter) -> None:
        used = theme.now()
        painter.setFont(fonts.font(fonts.MEDIUM, bold=True))
        painter.setPen(used.colour("ink"))
        painter.drawText(QPointF(0, clock_marks.HEAD_BASELINE), clock_marks.TITLE)
        clock_lane.draw_ticks(painter, self.plot, self._lane_rect())
        if self._data is not None:
            if not self._reason:
                clock_bands.draw_window(painter, self.plot, self._data)
                clock_marks.draw_marks(painter, self.plot, self._data)
            clock_lane.draw_lane(
                painter, self._laid_out().lane, "ink2" if self._working.now else "ink"
            )
            for ring in self.rings():
                draw_number(painter, ring.centre, ring.number, ring.is_active)
        for text in self.texts():
            draw(painter, text)
        self._draw_reason(painter)
        self._draw_cursor(painter)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(used.colour("accent"), 2))
            painter.drawRect(self.plot.area().united(self._lane_rect()).adjusted(-2, -2, 2, 2))

    def _draw_reason(self, painter: QPainter) -> None:
        if self._reason:
            painter.setFont(fonts.font(fonts.MEDIUM))
            painter.setPen(theme.now().colour("ink2"))
            painter.drawText(
                self.plot.area().adjusted(12, 4, -12, -4),
                Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap,
                self._reason,
            )

    def _draw_cursor(self, painter: QPainter) -> None:
        read_out = self.readout()
        if read_out is None or self._data is None or self._cursor is None:
            return
        used, area = theme.now(), self.plot.area()
        minutes = float(self._data.minutes[self._cursor])
        x = round(self.plot.px(minutes, self.plot.y.low).x()) + 0.5
        painter.setPen(QPen(used.colour("ink"), 1))
        painter.drawLine(QPointF(x, area.top()), QPointF(x, self._lane_rect().bottom()))
        value = float(self._data.active.value[self._cursor])
        is_high = True
        if np.isfinite(value) and not self._reason:
            y = self.plot.px(minutes, value).y()
            is_high = y > area.center().y()
            if area.top() <= y <= area.bottom():
                painter.setBrush(used.colour("accent"))
                painter.drawEllipse(QPointF(x, y), 3.0, 3.0)
        self._draw_readout(painter, x, is_high, read_out)

    def _draw_readout(
        self, painter: QPainter, x: float, is_high: bool, lines: tuple[str, str]
    ) -> None:
        """Draw two lines beside the crosshair, in the half of the plot that the line leaves."""
        area, height = self.plot.area(), line_height()
        parts: list[tuple[tuple[str, bool], ...]] = [((lines[0], True),), ((lines[1], False),)]
        width = max(measured(part) for part in parts)
        left = x + 8 if x + 14 + width < self.width() else x - 8 - width
        top = area.top() + 8 if is_high else area.bottom() - 2 * height - 10
        used = theme.now()
        box = QRectF(left - 4, top - 2, width + 8, 2 * height + 6)
        painter.setBrush(used.colour("paper", 0.94))
        painter.setPen(QPen(used.colour("line"), 1))
        painter.drawRect(box)
        ascent = fonts.metrics(fonts.SMALL).ascent()
        for at, part in enumerate(parts):
            draw(painter, Text(QPointF(left, top + ascent + at * (height + 1)), part))
