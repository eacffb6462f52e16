"""The time since the pour, in figures and on a strip of the first hour."""

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.evaluation.evaluate import Evaluation
from designer.window import fonts, theme
from designer.window.bench.measures import BIG, SMALL, WORDS
from designer.window.recipe import drawing
from designer.wording.sentence import mark_words

__all__ = ["Since"]

_TOP, _FIGURES, _STRIP = 24, 96, 56
_LOWER = 28
"""By how much the figures are smaller where there is little height."""
_HOUR = 3600.0
_EVERY = 900.0


class Since(QWidget):
    """The age of the dough, when it should come clean, when it must be pressed."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("Time since the pour")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._age: float | None = None
        self._feel_at: float | None = None
        self._window = (0.0, 0.0)
        self._clean: tuple[float, float, float] | None = None
        self._press: float | None = None
        self._expected: tuple[tuple[str, str], ...] = ()
        self._less = 0

    def be_low(self, low: bool) -> None:
        """Take less height, or as much as is good to read."""
        if (less := _LOWER if low else 0) != self._less:
            self._less = less
            self.updateGeometry()

    @property
    def figures(self) -> str:
        """The age as it is shown: minutes and seconds, hours before them from one on."""
        if self._age is None:
            return "0:00"
        seconds = int(self._age)
        hours, rest = divmod(seconds, 3600)
        minutes, seconds = divmod(rest, 60)
        return f"{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{minutes}:{seconds:02d}"

    def show_age(self, age: float | None, feel_at: float | None) -> None:
        """Show an age [s], None before the pour, and when to feel again."""
        before = self.figures, self._feel_at
        self._age, self._feel_at = age, feel_at
        if (self.figures, feel_at) != before:
            told = "Not poured yet" if age is None else f"{self.figures} since the pour"
            expected = [f"{name} {when}" for name, when in self._expected]
            self.setAccessibleDescription("; ".join((told, *expected)))
            self.update()

    def show_evaluation(self, result: Evaluation | None, variant: int) -> None:
        """Show when a variant should come clean, and when it must be pressed."""
        self._clean = self._press = None
        self._expected = ()
        if result is not None:
            self._window = result.conditions.window
            marks = result.forecasts[variant].marks
            clean, press = marks["clean_from"], marks["press_before"]
            if float(clean.share) >= 0.5:
                self._clean = float(clean.low), float(clean.value), float(clean.high)
            if float(press.share) >= 0.5:
                self._press = float(press.value)
            # The first two marks are those of the bowl; the others come on the rack.
            self._expected = tuple(mark_words(result, variant)[:2])
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for the figures and the strip."""
        return QSize(400, _TOP + _FIGURES - self._less + _STRIP)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the figures, what is expected, and the strip."""
        painter = QPainter(self)
        token = "ink2" if self._age is None else "ink"
        drawing.text(painter, 0, 18, "since the pour", SMALL, token="ink2")
        high = _FIGURES - self._less
        base = _TOP + high - (8 if self._less else 14)
        end = drawing.text(painter, 0, base, self.figures, BIG - self._less, True, token)
        drawing.text(painter, end + 16, base, "min", WORDS, token="ink2")
        y, room = 18.0, self.width() - end - 60
        for name, told in self._expected:
            when, _, share = told.partition(", reached in ")
            named = f"by the recipe {name}, {share}" if share else f"by the recipe {name}"
            drawing.text_right(painter, self.width(), y, named, SMALL, token="ink2")
            shown = drawing.elided(when, room, SMALL, True)
            drawing.text_right(painter, self.width(), y + 23, shown, SMALL, True)
            y += 54 - self._less // 4
        self._draw_strip(painter, _TOP + high + 22)

    def _x(self, seconds: float) -> float:
        return min(max(seconds, 0.0), _HOUR) / _HOUR * (self.width() - 1)

    def _draw_strip(self, painter: QPainter, y: float) -> None:
        used = theme.now()
        left, right = self._x(self._window[0]), self._x(self._window[1])
        painter.fillRect(QRectF(left, y - 10, right - left, 10), used.colour("good"))
        painter.fillRect(QRectF(0, y, self.width(), 1), used.colour("ink"))
        for k in range(13):
            x = self._x(300.0 * k)
            long = k % 3 == 0
            painter.fillRect(QRectF(round(x), y, 1, 7 if long else 4), used.colour("line"))
            if long:
                words = str(5 * k)
                wide = fonts.metrics(SMALL).horizontalAdvance(words)
                at = min(max(x - wide / 2, 0.0), self.width() - wide)
                drawing.text(painter, at, y + 24, words, SMALL, token="ink2")
        if self._clean is not None:
            low, value, high = (self._x(one) for one in self._clean)
            painter.fillRect(QRectF(low, y - 14, high - low, 1), used.colour("ink"))
            painter.fillRect(QRectF(value - 1, y - 18, 3, 9), used.colour("ink"))
        if self._press is not None and self._press <= _HOUR:
            painter.fillRect(QRectF(self._x(self._press) - 1, y - 14, 3, 14), used.colour("ink"))
        if self._feel_at is not None:
            self._draw_wedge(painter, self._x(self._feel_at), y - 1)
        if self._age is not None:
            x = self._x(self._age)
            painter.fillRect(QRectF(round(x) - 3, y - 20, 6, 38), used.colour("accent"))

    def _draw_wedge(self, painter: QPainter, x: float, y: float) -> None:
        """Mark the moment to feel again."""
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(theme.now().colour("ink"))
        painter.setBrush(theme.now().colour("paper"))
        corners = [QPointF(x, y), QPointF(x - 7, y - 12), QPointF(x + 7, y - 12)]
        painter.drawPolygon(QPolygonF(corners))
        painter.restore()
