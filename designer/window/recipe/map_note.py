"""Which variants have another mix than the map is of, and the line below the map that says so."""

from itertools import groupby

from PySide6.QtCore import QEvent, QPointF
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.evaluation.dough_map import DoughMap
from designer.evaluation.evaluate import Evaluation
from designer.window import fonts, theme
from designer.window.recipe import drawing

__all__ = ["Mixes", "Note", "note_words"]

_HEIGHT = 16
_LEFT = 44.0
"""Where the axis above begins."""


class Mixes:
    """Which variants the shading of a map is not true of.

    A mark of another mix would stand on a chance that is not its own: the field is that of the
    active mix, scaled.
    """

    def __init__(self) -> None:
        self._chart: DoughMap | None = None
        self._known: dict[str, tuple[object, bool]] = {}

    def apart(self, chart: DoughMap | None, result: Evaluation) -> tuple[str, ...]:
        """Return the numbers of variants with another mix than a map is of; none without one."""
        if chart is None or chart.reason:
            return ()
        if chart is not self._chart:
            self._chart, self._known = chart, {}
        recipe = result.recipe
        found = []
        for variant, number in enumerate(recipe.numbers):
            if number == recipe.active.number:
                continue
            # Of an edit of one variant nothing changes for the others: they are asked once.
            cells = (
                recipe.bench,
                tuple((row.phase, row.name, row.percents.get(number)) for row in recipe.rows),
            )
            known = self._known.get(number)
            if known is None or known[0] != cells:
                known = self._known[number] = cells, chart.serves(result, variant)
            if not known[1]:
                found.append(number)
        return tuple(found)


def note_words(numbers: tuple[str, ...]) -> tuple[str, ...]:
    """Return ways to say that variants have another mix, the longest first."""
    if not numbers:
        return ()
    named = _listed(numbers)
    if len(numbers) == 1:
        return (
            f"{named} has another mix: shown on its own when it is the active one",
            f"{named}: another mix, on a map of its own when active",
            f"{named}: another mix",
        )
    return (
        f"{named} have other mixes: each is shown on its own when it is the active one",
        f"{named}: other mixes, on maps of their own when active",
        f"{named}: other mixes",
    )


def _listed(numbers: tuple[str, ...]) -> str:
    """Return numbers in words, runs of three and more as ranges: "2 and 4", "2–8"."""
    if not all(number.isdecimal() for number in numbers):
        return _joined(list(numbers))
    runs = groupby(enumerate(map(int, numbers)), key=lambda pair: pair[1] - pair[0])
    parts: list[str] = []
    for _, run in runs:
        values = [str(value) for _, value in run]
        parts += [f"{values[0]}–{values[-1]}"] if len(values) > 2 else values
    return _joined(parts)


def _joined(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


class Note(QWidget):
    """One line of small words below the map; it takes no room without any."""

    def __init__(self) -> None:
        super().__init__()
        self._ways: tuple[str, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(_HEIGHT)
        self.hide()

    @property
    def words(self) -> str:
        """All that is said, "" for nothing."""
        return self._ways[0] if self._ways else ""

    @property
    def shown(self) -> str:
        """The longest way to say it that has room."""
        measure = fonts.metrics(fonts.SMALL).horizontalAdvance
        fitting = (words for words in self._ways if measure(words) <= self.width())
        return next(fitting, self._ways[-1] if self._ways else "")

    def tell(self, numbers: tuple[str, ...]) -> None:
        """Say that these variants have another mix."""
        ways = note_words(numbers)
        if ways != self._ways:
            self._ways = ways
            self.setToolTip(self.words)
            self.setAccessibleName(self.words)
            self.setVisible(bool(ways))
            self.update()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the words, below the axis where they are short enough."""
        painter, words = QPainter(self), self.shown
        width = fonts.metrics(fonts.SMALL).horizontalAdvance(words)
        painter.setFont(fonts.font(fonts.SMALL))
        painter.setPen(theme.now().colour("ink2"))
        base = drawing.baseline(0, _HEIGHT, fonts.SMALL)
        painter.drawText(QPointF(max(0.0, min(_LEFT, self.width() - width)), base), words)
