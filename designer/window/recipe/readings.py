"""The readings: one line each, on strips, the active variant beside the pinned ones."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import (
    QAbstractListModel,
    QEvent,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QFocusEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QPalette,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QListView,
    QSizePolicy,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from designer.document import Document
from designer.errors import ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.window import fonts, symbols, theme
from designer.window.recipe import drawing
from designer.window.recipe.reading_strip import draw_discs, draw_split, draw_strip
from designer.window.recipe.table.drawing import draw_wedge
from designer.window.recipe.working import Working
from designer.wording.lines import NAMES, Line, moment_words, unknown_lines
from designer.wording.told import lines_of

__all__ = ["Readings"]

ROW, TALL = theme.ROW, 38
_STRIP, _RIGHT, _POINT, _UNIT, _PITCH = 140, 100, 56, 24, 54
"""Where the strip begins; from the right: where it ends, the decimal point, the unit; and how far
columns stand apart."""
_NAME = 132
"""What the longest name takes."""
_WEDGE = 11
"""What the wedge before a value that differs takes."""
_NARROW, _SHORTEST = 340, 64

_Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True)
class Column:
    """The readings of one variant."""

    number: str
    active: bool
    lines: tuple[Line, ...]


class _Lines(QAbstractListModel):
    """The readings as a list, for the keys, the tooltips and the screen reader."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.columns: tuple[Column, ...] = ()

    def show(self, columns: tuple[Column, ...]) -> None:
        """Show the readings of these variants."""
        if columns != self.columns:
            self.columns = columns
            self.dataChanged.emit(self.index(0), self.index(len(NAMES) - 1))

    def line(self, row: int) -> Line | None:
        """Return a reading of the active variant."""
        return next((column.lines[row] for column in self.columns if column.active), None)

    def rowCount(self, parent: _Index | None = None) -> int:  # noqa: N802
        """Return how many readings there are."""
        return 0 if parent is not None and parent.isValid() else len(NAMES)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> str | None:
        """Return a reading as words: what is said of it, and what stands behind it."""
        roles, line = Qt.ItemDataRole, self.line(index.row())
        if line is None:
            return list(NAMES.values())[index.row()] if role == roles.DisplayRole else None
        if role in (roles.DisplayRole, roles.AccessibleTextRole):
            return "; ".join([line.spoken, *self._others(index.row())])
        if role == roles.AccessibleDescriptionRole:
            return line.details
        if role == roles.ToolTipRole:
            return f"{line.spoken}\n{line.details}".replace(". ", ".\n") if line.details else None
        return None

    def _others(self, row: int) -> list[str]:
        return [
            f"variant {column.number}: {column.lines[row].value}"
            for column in self.columns
            if not column.active
        ]


class _Painter(QStyledItemDelegate):
    """Paints a reading across the whole row."""

    def __init__(self, view: "_View", readings: "Readings") -> None:
        super().__init__(view)
        self._view, self._readings = view, readings

    def sizeHint(self, _option: QStyleOptionViewItem, _index: _Index) -> QSize:  # noqa: N802
        """Return the height of a row: 24 px, more where there is room."""
        return QSize(0, self._readings.row_height)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Paint a row."""
        box = QRectF(option.rect)
        row = index.row()
        if row == self._view.currentIndex().row():
            painter.fillRect(box.adjusted(0, 0, 0, -1), theme.now().colour("paper"))
        drawing.line(painter, box.left(), box.right(), box.bottom() - 1)
        _Row(painter, box, row, self._readings).paint()
        if row == self._view.currentIndex().row() and self._view.hasFocus():
            drawing.focus_mark(painter, box)


@dataclass(frozen=True)
class _Row:
    """Paints one reading."""

    painter: QPainter
    box: QRectF
    row: int
    readings: "Readings"

    def paint(self) -> None:
        columns, faint = self.readings.shown, self.readings.is_working
        token = "ink2" if faint else "ink"
        base = drawing.baseline(self.box.top(), self.box.height())
        name = list(NAMES.values())[self.row]
        named = drawing.text(self.painter, 0, base, name, token=token)
        line = next((column.lines[self.row] for column in columns if column.active), None)
        if line is None:
            return
        others = tuple(column.lines[self.row] for column in columns if not column.active)
        if len(columns) == 1:
            end = self._single(line, base, token)
        else:
            end = self._columns(columns, base, token)
        if line.missing and self._is_said_elsewhere(columns):
            return
        if line.missing or line.name == "firmness":
            start = named + 12 if self.readings.strip_end is None else _STRIP
            self._words(line, base, start, end - 8 - start, token)
        else:
            self._strip(line, others)

    def _is_said_elsewhere(self, columns: tuple[Column, ...]) -> bool:
        """Return whether nothing has a value: the sentence says why, and here the row chosen."""
        chosen = self.readings.view.currentIndex().row()
        return self.row != chosen and all(one.missing for c in columns for one in c.lines)

    def _single(self, line: Line, base: float, token: str) -> float:
        """Draw value and unit of the one variant; return where they begin."""
        width = self.box.width()
        if line.name == "firmness" and not line.missing:
            return self._firmness(line, base, width)
        if line.name == "clean_knead_chance" and not line.missing:
            words = f"{line.value} {line.unit}"
            return drawing.text_right(self.painter, width, base, words, bold=True, token=token)
        unit = "" if line.name == "clean_knead_chance" else line.unit
        drawing.text(self.painter, width - _UNIT, base, unit, fonts.SMALL, token="ink2")
        return self._value(line, width - _POINT, base, True, token)

    def _firmness(self, line: Line, base: float, width: float) -> float:
        """Draw the firmness in figures, the interval where the hand's word leaves room."""
        value = f"{line.value} {line.unit}"
        whole = f"{value} ({line.interval})" if line.interval else value
        word = fonts.metrics(bold=True).horizontalAdvance(line.hand)
        name = fonts.metrics().horizontalAdvance(line.words) + 12
        start = name if self.readings.strip_end is None else _STRIP
        room = width - start - word - 12
        fits = fonts.metrics(fonts.SMALL).horizontalAdvance(whole) <= room
        shown = whole if fits else value
        return drawing.text_right(self.painter, width, base, shown, fonts.SMALL, token="ink2")

    def _value(self, line: Line, point: float, base: float, bold: bool, token: str) -> float:
        """Draw a value with its decimal point at `point`; return where it begins."""
        whole = line.value.partition(".")[0]
        x = point - fonts.metrics(bold=bold).horizontalAdvance(whole)
        drawing.text(self.painter, x, base, line.value, bold=bold, token=token)
        return x

    def _columns(self, columns: tuple[Column, ...], base: float, token: str) -> float:
        """Draw the values of several variants; return where they begin."""
        width, begins = self.box.width(), self.box.width()
        active = next(column.lines[self.row] for column in columns if column.active)
        for number, column in enumerate(columns):
            line = column.lines[self.row]
            point = width - _POINT - _PITCH * (len(columns) - 1 - number)
            way = way_of(line, active)
            bold = column.active or bool(way)
            plain = "ink" if bold else "ink2"
            shown = token if token == "ink2" else "accent" if column.active else plain
            start = self._value(line, point, base, bold, shown)
            if way:
                start -= _WEDGE
                centre = QPointF(start + 3, self.box.center().y() - 0.5)
                draw_wedge(self.painter, centre, way > 0, theme.now().colour(shown))
            begins = min(begins, start)
        unit = columns[0].lines[self.row].unit
        drawing.text_right(self.painter, width, base, unit, fonts.SMALL, token="ink2")
        return begins

    def _words(self, line: Line, base: float, start: float, room: float, token: str) -> None:
        """Draw what a hand says of the firmness, or why there is no value."""
        if line.missing:
            # Its first words, where all of them do not fit: the rest is said when chosen.
            fits = fonts.metrics(fonts.SMALL).horizontalAdvance(line.missing) <= room
            words = line.missing if fits else line.missing.split(":")[0]
            shown = drawing.elided(words, room, fonts.SMALL)
            drawing.text(self.painter, start, base, shown, fonts.SMALL, token="ink2")
            return
        if (
            len(self.readings.shown) < 3
            or fonts.metrics(bold=True).horizontalAdvance(line.hand) <= room
        ):
            # Beside many columns a piece of the word would say nothing; the row chosen says it all.
            shown = drawing.elided(line.hand, room, bold=True)
            drawing.text(self.painter, start, base, shown, bold=True, token=token)

    def _strip(self, line: Line, others: tuple[Line, ...]) -> None:
        """Draw what stands between name and value."""
        right = self.readings.strip_end
        if right is None:
            return
        box = QRectF(_STRIP, self.box.top(), right - _STRIP, self.box.height() - 1)
        if line.name == "clean_knead_chance":
            draw_discs(self.painter, box, line)
        elif line.name == "active_surfactant":
            draw_split(self.painter, box, line)
        else:
            draw_strip(self.painter, box, line, others, self.readings.is_working)


def way_of(line: Line, active: Line) -> int:
    """Return 1 or -1 where a reading is told as more, or less, than that of the active variant.

    What is told the same is the same: differences that nobody can read do not stand out.
    """
    if line.at is None or active.at is None or line.value == active.value:
        return 0
    return 1 if line.at > active.at else -1


class _View(QListView):
    """The list; Up and Down walk, Tab leaves."""

    def __init__(self, readings: "Readings") -> None:
        super().__init__(readings)
        self._readings = readings
        self.setAccessibleName("Readings")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setUniformItemSizes(True)
        self.setTabKeyNavigation(False)
        # Opaque: else all that lies behind would be painted with it, at every key.
        self.viewport().setBackgroundRole(QPalette.ColorRole.Window)
        self.viewport().setAutoFillBackground(True)

    def dataChanged(  # noqa: N802
        self, first: _Index, last: _Index, roles: Sequence[int] = ()
    ) -> None:
        """Paint anew; a list would lay out its rows as well, and paint a second time after that."""
        QAbstractItemView.dataChanged(self, first, last, roles)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus."""
        super().focusInEvent(event)
        self.viewport().update()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Copy the reading chosen with what stands behind it; all else is the list's."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self._readings.copy()
        else:
            super().keyPressEvent(event)

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return self._readings.keys()


class Readings(QWidget):
    """The readings of the active variant, and of others in columns beside it, as many as fit.

    Signals
    -------
    chosen(str)
        The name of the reading chosen: its causes are wanted.
    """

    chosen = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._moment = ""
        self._model = _Lines(self)
        self.view = _View(self)
        self.view.setModel(self._model)
        self.view.setItemDelegate(_Painter(self.view, self))
        self.setFocusProxy(self.view)
        self.setAccessibleName("Readings")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, drawing.HEAD, 0, 0)
        layout.addWidget(self.view)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.setMinimumHeight(drawing.HEAD + ROW * len(NAMES))
        self.setMaximumHeight(drawing.HEAD + TALL * len(NAMES))
        self._working = Working(document, self)
        self._working.changed.connect(lambda _: self.view.viewport().update())
        self.choose("firmness")
        self.view.selectionModel().currentRowChanged.connect(self._choose)
        document.foreseen.connect(self._show_at_once)
        document.evaluated.connect(self.show_evaluation)
        document.failed.connect(self.show_failure)
        document.pinned_changed.connect(self._show_pinned)
        if document.evaluation is not None:
            self.show_evaluation(document.evaluation)

    @property
    def columns(self) -> tuple[Column, ...]:
        """What is shown, variant by variant."""
        return self._model.columns

    @property
    def shown(self) -> tuple[Column, ...]:
        """The columns there is room for: the active variant, and others as they fit."""
        room = 1 + max(0, self.width() - _NAME - _POINT - _UNIT) // _PITCH
        others = [column.number for column in self.columns if not column.active][: room - 1]
        return tuple(c for c in self.columns if c.active or c.number in others)

    @property
    def is_working(self) -> bool:
        """Whether what is shown is the result before the last edit."""
        return self._working.now

    @property
    def row_height(self) -> int:
        """Height of a row at this height of the widget."""
        room = (self.height() - drawing.HEAD) // len(NAMES)
        return min(max(ROW, room), TALL)

    @property
    def strip_end(self) -> int | None:
        """Where strips end at this width; None where there is no room for them."""
        end = self.width() - _RIGHT - _PITCH * (max(len(self.shown), 1) - 1)
        return end if self.width() >= _NARROW and end - _STRIP >= _SHORTEST else None

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("↑ ↓", "choose a reading: why it is so"), ("Tab", "next")]

    def choose(self, name: str) -> None:
        """Choose a reading."""
        index = self._model.index(list(NAMES).index(name))
        flag = QItemSelectionModel.SelectionFlag.ClearAndSelect
        self.view.selectionModel().setCurrentIndex(index, flag)

    def copy(self) -> None:
        """Copy the reading chosen as a line of text: its value, its interval, the other variants'.

        A number that leaves the window alone would leave its uncertainty behind.
        """
        index = self.view.currentIndex()
        told = self._model.data(index)
        line = self._model.line(index.row())
        behind = line.details if line is not None and not line.missing else ""
        QGuiApplication.clipboard().setText(". ".join(filter(None, (told, behind))))

    def show_evaluation(self, evaluation: Evaluation) -> None:
        """Show the readings of the active and the pinned variants, in the order of the recipe."""
        numbers, active = evaluation.recipe.numbers, evaluation.recipe.active.number
        shown = [number for number in numbers if number in (active, *self._document.pinned)]
        columns = tuple(
            Column(n, n == active, lines_of(evaluation, numbers.index(n))) for n in shown
        )
        self._show(columns, moment_words(evaluation))

    def _show_at_once(self, evaluation: Evaluation) -> None:
        """Show what is known of the knead, before anything else is worked out or painted."""
        self.show_evaluation(evaluation)
        self.view.viewport().repaint()

    def show_failure(self, error: ReadableError) -> None:
        """Show that there are no readings, and why."""
        number = self._document.recipe.active.number
        why = f"{error.problem[:1].lower()}{error.problem[1:]}".rstrip(".")
        self._show((Column(number, True, unknown_lines(why)),), "")

    def _show(self, columns: tuple[Column, ...], moment: str) -> None:
        before = [(c.number, c.active) for c in self.columns], self._moment
        self._moment = moment
        self._model.show(columns)
        if ([(c.number, c.active) for c in columns], moment) != before:
            self.update()

    def _show_pinned(self) -> None:
        if self._document.evaluation is not None:
            self.show_evaluation(self._document.evaluation)

    def _choose(self, current: QModelIndex, _previous: QModelIndex) -> None:
        self.chosen.emit(list(NAMES)[current.row()])

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Give the rows the height there is."""
        super().resizeEvent(event)
        self.view.scheduleDelayedItemsLayout()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return rows of a comfortable height."""
        return QSize(388, drawing.HEAD + 30 * len(NAMES))

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the head: what the readings are given for, or the numbers of the variants."""
        painter = QPainter(self)
        columns = self.shown
        if len(columns) < 2:
            note = f"{self._moment}; block: known good" if self._moment else ""
            drawing.head(painter, self.width(), "Readings", note, "right")
            return
        drawing.head(painter, self.width(), "Readings")
        count = len(columns)
        for number, column in enumerate(columns):
            x = self.width() - _POINT - _PITCH * (count - 1 - number)
            symbols.draw_number(painter, QPointF(x, 13), column.number, column.active)
        room = self.width() - _POINT - _PITCH * (count - 1) - 16
        start = fonts.metrics(bold=True).horizontalAdvance("Readings") + 12
        count = len(self.columns)
        wanted = self._moment if len(columns) == count else f"{len(columns)} of {count}"
        note = drawing.elided(wanted, room - start, fonts.SMALL)
        if note == wanted:
            base = drawing.baseline(0, drawing.HEAD - 4)
            drawing.text(painter, start, base, note, fonts.SMALL, token="ink2")
