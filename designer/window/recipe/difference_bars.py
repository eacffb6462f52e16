"""The bars of a split: a column for each difference, all on one scale, from a zero line each."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from designer.window import fonts, theme
from designer.window.recipe import drawing

if TYPE_CHECKING:
    from designer.wording.difference_lines import PartRow

__all__ = ["Bars", "draw_bars"]

_NAMES = (0.42, 0.34)
"""Share of the width that names may take beside one column, and beside two."""
_GAP, _BAR, _BETWEEN = 8, 8, 16


@dataclass(frozen=True)
class Bars:
    """Where bars stand [px].

    Attributes
    ----------
    names : float
        Where names end.
    columns : tuple of (left, right)
        From where bars may begin to where figures end.
    zeros : tuple of float
    scale : float [px for each unit]
    """

    names: float
    columns: tuple[tuple[float, float], ...]
    zeros: tuple[float, ...]
    scale: float

    @classmethod
    def of(cls, rows: "Sequence[PartRow]", width: float) -> "Bars":
        """Return where the bars of all rows stand, so that walking through them moves none."""
        count = len(rows[0].cells)
        measure = fonts.metrics().horizontalAdvance
        most = _NAMES[min(count, len(_NAMES)) - 1] * width
        names = round(min(max(measure(row.name) for row in rows) + _GAP, most))
        step = (width - names + _BETWEEN) / count
        bold = fonts.metrics(bold=True).horizontalAdvance
        figures = max(bold(cell.words) for row in rows for cell in row.cells) + _GAP
        ends = [[0.0, *(row.cells[k].value for row in rows[:-1])] for k in range(count)]
        room = max(step - _BETWEEN - figures, 8.0)
        span = max(max(values) - min(values) for values in ends) or 1.0
        columns = [
            (round(names + k * step), round(names + k * step + step - _BETWEEN))
            for k in range(count)
        ]
        return cls(
            names,
            tuple(columns),
            tuple(
                round(left - min(values) * room / span)
                for (left, _), values in zip(columns, ends, strict=True)
            ),
            room / span,
        )


def draw_bars(
    painter: QPainter,
    bars: Bars,
    rows: "Sequence[PartRow]",
    together: "PartRow",
    place: tuple[float, float],
    token: str,
) -> None:
    """Draw rows of names, bars and figures; `together` is their sum, if it is among them.

    `place` is the top of the first row and the height of each.
    """
    used, (top, height) = theme.now(), place
    for number, row in enumerate(rows):
        box = QRectF(0, top + height * number, bars.columns[-1][1], height)
        is_sum = row is together
        if is_sum:
            drawing.line(painter, 0, box.right(), box.top(), "ink")
        else:
            _draw_bars_of(painter, bars, row, box)
        base = drawing.baseline(box.top() + (1 if is_sum else 0), height)
        name = drawing.elided(row.name, bars.names - _GAP, bold=is_sum)
        drawing.text(painter, 0, base, name, bold=is_sum, token=token)
        for (_, right), cell in zip(bars.columns, row.cells, strict=True):
            words = cell.words or "·"
            drawing.text_right(painter, right, base, words, bold=is_sum, token=token)
    tall = height * (len(rows) - (rows[-1] is together))
    for zero in bars.zeros:
        painter.fillRect(QRectF(zero, top, 1, tall), used.colour("line"))


def _draw_bars_of(painter: QPainter, bars: Bars, row: "PartRow", box: QRectF) -> None:
    middle = round(box.center().y())
    for zero, cell in zip(bars.zeros, row.cells, strict=True):
        if cell.words:
            length = cell.value * bars.scale
            start = round(zero + min(length, 0.0))
            bar = QRectF(start, middle - _BAR // 2, max(round(abs(length)), 1), _BAR)
            painter.fillRect(bar, theme.now().colour("ink2"))
