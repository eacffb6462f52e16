"""The list of checks: one row each under heads, walked by the arrows, copied as a table."""

from PySide6.QtCore import QEvent, QRect, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QGuiApplication, QPainter, QPalette, QPen, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from designer.window import fonts, theme
from designer.window.checks.model import Arranged, CheckModel, Place
from designer.window.recipe import drawing
from designer.wording.check_groups import CheckRow

__all__ = ["CheckList"]

_ROW = 25
_WIDTHS = (0, 174, 90, 150, 0)
"""Of the columns [logical px]; what is left is parted between the first and the last."""

_FIRST = 0.72
"""Of what is left, up to `_ENOUGH` for the first column."""

_ENOUGH = 460

_LEAST = 116
"""Of the first column, and of the bar that scrolls."""

_NARROW = 270
"""What is left at least for the last column to be shown; the whole source stands beside."""
_PAD = 6


class _Cells(QStyledItemDelegate):
    """Draws heads and cells."""

    def sizeHint(self, _option: QStyleOptionViewItem, _index: Place) -> QSize:  # noqa: N802
        """Return the height of a row."""
        return QSize(60, _ROW)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Place) -> None:
        """Draw a cell."""
        model, view = index.model(), self.parent()
        box: QRect = option.rect
        if not isinstance(model, CheckModel) or not isinstance(view, CheckList):
            return
        painter.save()
        one = model.check(index.row())
        if one is None:
            self._head(painter, box, model.head(index.row()))
        else:
            self._cell(painter, box, one, index.column(), view, index.row())
        painter.restore()

    def _head(self, painter: QPainter, box: QRect, head: tuple[str, int] | None) -> None:
        words, count = head or ("", 0)
        base = drawing.baseline(box.top() + 2, box.height() - 2)
        end = drawing.text(painter, box.left(), base, words, bold=True)
        drawing.text(painter, end + 10, base, str(count), fonts.SMALL, token="ink2")
        drawing.line(painter, box.left(), box.right() + 1, box.bottom(), "line")

    def _cell(
        self,
        painter: QPainter,
        box: QRect,
        one: CheckRow,
        column: int,
        view: "CheckList",
        row: int,
    ) -> None:
        chosen = view.currentIndex().row() == row
        if chosen:
            painter.fillRect(box, theme.now().colour("paper"))
        words = one.cells[column]
        size = fonts.SMALL if column == len(_WIDTHS) - 1 else fonts.MEDIUM
        bold = (column == 3 and one.verdict == "over") or (one.line.is_broken and column == 0)
        token = "ink2" if column in (2, 4) or one.verdict_words == "within" else "ink"
        room = box.width() - 2 * _PAD
        base = drawing.baseline(box.top(), box.height(), size)
        shown = drawing.elided(words, room, size, bold)
        drawing.text(painter, box.left() + _PAD, base, shown, size, bold, token)
        drawing.line(painter, box.left(), box.right() + 1, box.bottom())
        if chosen and view.hasFocus():
            self._frame(painter, box, column, view)

    def _frame(self, painter: QPainter, box: QRect, column: int, view: "CheckList") -> None:
        painter.setPen(QPen(theme.now().colour("accent"), 2))
        top, bottom = box.top() + 1, box.bottom()
        painter.drawLine(box.left(), top, box.right() + 1, top)
        painter.drawLine(box.left(), bottom, box.right() + 1, bottom)
        if not column:
            painter.drawLine(box.left() + 1, top, box.left() + 1, bottom)
        if box.right() >= view.viewport().width() - 2:
            painter.drawLine(box.right(), top, box.right(), bottom)


class _Head(QHeaderView):
    """Words above the columns, on the ground."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setFixedHeight(_ROW)
        self.setSectionsClickable(False)

    def paintSection(self, painter: QPainter, box: QRect, section: int) -> None:  # noqa: N802
        """Draw the words and the rule below."""
        painter.fillRect(box, theme.now().colour("ground"))
        model = self.model()
        words = str(model.headerData(section, Qt.Orientation.Horizontal)) if model else ""
        base = drawing.baseline(box.top(), box.height(), fonts.SMALL)
        drawing.text(painter, box.left() + _PAD, base, words, fonts.SMALL, token="ink2")
        drawing.line(painter, box.left(), box.right() + 1, box.bottom(), "line")


class CheckList(QTableView):
    """The list.

    Signals
    -------
    chosen(object)
        The check at the cursor, None where there is none.
    """

    chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._model = CheckModel()
        self._market = ""
        self.setModel(self._model)
        self.setItemDelegate(_Cells(self))
        self.setHorizontalHeader(_Head(self))
        self.setAccessibleName("Checks")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(_ROW)
        self.verticalHeader().setMinimumSectionSize(_ROW)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self.setMinimumSize(sum(_WIDTHS) + _LEAST, 8 * _ROW)
        self.viewport().setBackgroundRole(QPalette.ColorRole.Window)

    @property
    def checks(self) -> list[CheckRow]:
        """The checks that are shown, in order."""
        found = (self._model.check(row) for row in range(self._model.rowCount()))
        return [one for one in found if one is not None]

    @property
    def heads(self) -> list[str]:
        """The heads that are shown, in order."""
        found = (self._model.head(row) for row in range(self._model.rowCount()))
        return [one[0] for one in found if one is not None]

    @property
    def current(self) -> CheckRow | None:
        """The check at the cursor."""
        return self._model.check(self.currentIndex().row())

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [
            ("↑ ↓", "choose"),
            ("M", "market"),
            ("S", "sort"),
            ("V", "show"),
            ("Ctrl C", "copy"),
            ("T", "target pH"),
        ]

    def show_rows(self, arranged: Arranged, market: str) -> None:
        """Show rows under their heads; the cursor stays on the same check."""
        self._market = market
        before, scrolled = self.current, self.verticalScrollBar().value()
        self._model.show_rows(arranged)
        self.clearSpans()
        for row in range(self._model.rowCount()):
            one = self._model.check(row)
            if one is None:
                self.setSpan(row, 0, 1, self._model.columnCount())
            elif not any(one.cells[1:3]):
                self.setSpan(row, 0, 1, 3)  # what has neither value nor limit may be longer
        place = self._row_of(before)
        if place is not None:
            self.selectRow(place)
        self.verticalScrollBar().setValue(scrolled)
        self.chosen.emit(self.current)

    def _row_of(self, before: CheckRow | None) -> int | None:
        """Return where a check stands now, where the first one does if it is gone."""
        first: int | None = None
        for row in range(self._model.rowCount()):
            one = self._model.check(row)
            if one is None:
                continue
            first = row if first is None else first
            if before is not None and one.line.title == before.line.title:
                return row
        return first

    def copy(self) -> None:
        """Copy the rows chosen where they are several, else all, as a table for a spreadsheet."""
        from designer.exchange.checks_table import as_tsv

        rows = sorted(one.row() for one in self.selectionModel().selectedRows())
        found = [one for row in rows if (one := self._model.check(row)) is not None]
        chosen = found if len(found) > 1 else self.checks
        QGuiApplication.clipboard().setText(as_tsv(chosen, self._market))

    def currentChanged(self, current: Place, previous: Place) -> None:  # noqa: N802
        """Tell which check the cursor is on."""
        super().currentChanged(current, previous)
        self.viewport().update()
        self.chosen.emit(self.current)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Give each column its share."""
        super().resizeEvent(event)
        rest = self.viewport().width() - sum(_WIDTHS)
        first = min(int(rest * _FIRST), _ENOUGH) if rest >= _NARROW else rest
        self.setColumnHidden(len(_WIDTHS) - 1, rest < _NARROW)
        for column, width in enumerate((first, *_WIDTHS[1:-1], rest - first)):
            self.setColumnWidth(column, width)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.viewport().update()

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus, on a row."""
        super().focusInEvent(event)
        if self.current is None and (row := self._row_of(None)) is not None:
            self.selectRow(row)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show it no more."""
        super().focusOutEvent(event)
        self.viewport().update()
