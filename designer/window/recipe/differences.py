"""Why different: what each ingredient does to set the pinned variants apart from the active one."""

from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAction,
    QActionGroup,
    QFocusEvent,
    QGuiApplication,
    QHelpEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QMenu, QSizePolicy, QToolTip, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.recipe import Recipe
from designer.window import fonts, symbols, theme
from designer.window.key import Key
from designer.window.recipe import drawing
from designer.window.recipe.difference_bars import Bars, draw_bars
from designer.window.recipe.difference_question import Splits, question
from designer.window.recipe.headline import wrapped
from designer.window.recipe.working import Late

if TYPE_CHECKING:
    from designer.advice.differences import Difference
    from designer.wording.difference_lines import PartRow

__all__ = ["DifferencesView"]

NAME = "differences"
"""What the question is called among those the document's advisor answers."""

TITLE = "Why different"
QUANTITIES = {
    "wetness": "wetness",
    "log_firmness": "firmness, times",
    "clean_knead_chance": "clean, of 20",
    "dough_temperature": "temperature, °C",
    "cost": "cost, for a kilogram",
}
"""What can be shown, and what the key in the head calls it; cost only where prices are kept."""

ALONE = (
    "There is one variant only. Copy it (Ctrl+D) and change the copy to see what sets them apart."
)
NOTHING = "Press P on another variant to set it beside the active one."

NO_FORECAST = "The active variant has no forecast, so nothing can be set against it."

ROW, RINGS = 18, 20
_TWO_COLUMNS = 340
"""From this width [px] on two variants have room for bars beside each other, never more."""


class DifferencesView(QWidget):
    """Bars from a zero line, largest first, in a column for each pinned variant, two at a time.

    It asks only while it is shown.

    Signals
    -------
    numbers_changed()
        What `numbers` gives may be something else now.
    """

    numbers_changed = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._quantity = "wetness"
        self._splits = Splits()
        self._rows: tuple[PartRow, ...] = ()
        self._message = ""
        self._asked: tuple[str, ...] | None = None
        self._first = self._column = self._left = 0
        self.setAccessibleName(TITLE)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(drawing.HEAD + RINGS + ROW)
        self._late = Late(self)
        self._late.changed.connect(lambda _: self.update())
        self.quantity_key = Key("", self, plain=True, size=fonts.SMALL)
        self.quantity_key.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.quantity_key.clicked.connect(self.choose_quantity)
        self.show_quantity(self._quantity)
        advisor = document.advisor
        advisor.answered.connect(self._take)
        advisor.failed.connect(self._fail)
        advisor.working.connect(self._work)
        document.changed.connect(self._follow)
        document.failed.connect(self._tell_failure)
        document.pinned_changed.connect(self._follow)

    # --- what is asked

    def showEvent(self, _event: object) -> None:  # noqa: N802
        """Ask."""
        if self._document.evaluation is None and not self._document.is_working:
            self._show(Splits(), NO_FORECAST)
        self._follow()

    def hideEvent(self, _event: object) -> None:  # noqa: N802
        """Ask no longer."""
        self._drop()

    def _follow(self, _recipe: Recipe | None = None) -> None:
        """Ask what sets the pinned variants apart now, if anybody looks."""
        if not self.isVisible():
            return
        pinned, recipe = self._document.pinned, self._document.recipe
        if not pinned:
            self._drop()
            self._show(Splits(), NOTHING if len(recipe.variants) > 1 else ALONE)
        elif pinned != self._asked:
            self._asked = pinned
            self._document.advisor.want(NAME, question(pinned), first=True)

    def _tell_failure(self, error: ReadableError) -> None:
        """Say why there is nothing to compare; a map that fails alone takes nothing away."""
        if self._asked is not None and self._document.evaluation is None:
            self._show(Splits(), f"{error.title}: {error.problem} {error.advice}")

    def _drop(self) -> None:
        if self._asked is not None:
            self._asked = None
            self._document.advisor.drop(NAME)

    # --- what is answered

    @property
    def splits(self) -> Splits:
        """What is shown."""
        return self._splits

    @property
    def columns(self) -> int:
        """How many variants have room for bars beside each other."""
        return 2 if self.width() >= _TWO_COLUMNS else 1

    @property
    def beside(self) -> "tuple[Difference, ...]":
        """The differences there are columns for."""
        return self._splits.found[self._column : self._column + self.columns]

    @property
    def rows(self) -> "tuple[PartRow, ...]":
        """All ingredients that differ, largest first, and at last all together."""
        return self._rows

    @property
    def quantity(self) -> str:
        """Which figure is split."""
        return self._quantity

    @property
    def message(self) -> str:
        """What is said where there are no bars."""
        return self._message

    @property
    def note(self) -> str:
        """What the head says while the first answer is on its way."""
        is_waiting = self._late.now and not self._rows and not self._message
        return "looking …" if is_waiting else ""

    def _take(self, name: str, answer: Any) -> None:
        if name == NAME:
            same = not any(one.changes for one in answer.found)
            self._show(answer, " ".join(answer.sentences()) if same else "")

    def _fail(self, name: str, error: ReadableError) -> None:
        if name == NAME:
            self._show(Splits(), str(error))

    def _work(self, name: str, working: bool) -> None:
        if name == NAME:
            (self._late.begin if working else self._late.end)()

    def _show(self, splits: Splits, message: str) -> None:
        self._splits, self._message = splits, message
        self._column = max(0, min(self._column, len(splits.found) - self.columns))
        if self._quantity not in self.quantities:
            self.show_quantity("wetness")  # a price was taken back
        self._spread_out()
        self.numbers_changed.emit()

    def _spread_out(self) -> None:
        """Make the rows of the figure that is shown."""
        found, self._rows = self.beside, ()
        if found:
            from designer.wording.difference_lines import part_rows

            self._rows = part_rows(found, self._quantity)
        self._first = 0
        self.setAccessibleDescription(self._spoken())
        self._place_key()
        self.update()

    def _spoken(self) -> str:
        if not self._rows:
            return self._message
        told = [
            f"{row.name} {', '.join(cell.words or 'the same' for cell in row.cells)}"
            for row in self._rows
        ]
        words = f"{QUANTITIES[self._quantity]}: {'; '.join(told)}."
        return " ".join([*self._said, words])

    @property
    def _said(self) -> tuple[str, ...]:
        return self._splits.sentences(self._column, self._column + self.columns)

    # --- which figure

    def show_quantity(self, name: str) -> None:
        """Split another figure."""
        self._quantity = name
        self.quantity_key.setText(QUANTITIES[name])
        self.quantity_key.setAccessibleName(f"Another figure than {QUANTITIES[name]}")
        self._spread_out()

    @property
    def quantities(self) -> list[str]:
        """The figures that can be shown of what is set beside."""
        has_cost = any(one.currency for one in self._splits.found)
        return [name for name in QUANTITIES if has_cost or name != "cost"]

    def choose_quantity(self) -> None:
        """Open the list of figures that can be split."""
        menu = QMenu(self)
        group = QActionGroup(menu)
        for name in self.quantities:
            words = QUANTITIES[name]
            action = QAction(words.split(",")[0], group, checkable=True)
            action.setChecked(name == self._quantity)
            action.triggered.connect(partial(self.show_quantity, name))
            menu.addAction(action)
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(self.quantity_key.mapToGlobal(self.quantity_key.rect().bottomLeft()))

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        further = [("Shift ← →", "further variants")] if self._has_more else []
        return [
            ("← →", "another figure"),
            ("↑ ↓", "further ingredients"),
            *further,
            ("F7", "numbers"),
        ]

    @property
    def _has_more(self) -> bool:
        return len(self._document.pinned) > self.columns

    def move_by(self, columns: int) -> None:
        """Show the columns of further variants."""
        last = max(0, len(self._splits.found) - self.columns)
        self._column = max(0, min(self._column + columns, last))
        self._spread_out()

    def leave_in_head(self, width: int) -> None:
        """Keep so much of the head free at its right."""
        self._left = width
        self._place_key()
        self.update()

    def _place_key(self) -> None:
        key, start = self.quantity_key, fonts.metrics(bold=True).horizontalAdvance(TITLE) + 8
        key.setVisible(bool(self._rows))
        key.setGeometry(round(start), 0, key.sizeHint().width(), key.sizeHint().height())

    # --- copying

    def numbers(self) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
        """Return all figures as a table: header and rows."""
        from designer.wording.difference_lines import table

        return table(self._splits.found, self._splits.batch)

    def copy(self) -> None:
        """Copy all figures as text with tabs; what is said instead where there are none."""
        head, rows = self.numbers()
        lines = ["\t".join(row) for row in (head, *rows)] if rows else [self._message]
        QGuiApplication.clipboard().setText("\n".join(lines))

    # --- where it stands

    @property
    def _room(self) -> int:
        """Rows there is room for, with that of the sum."""
        return max((self.height() - drawing.HEAD - RINGS) // ROW, 1)

    @property
    def shown(self) -> "tuple[PartRow, ...]":
        """The rows there is room for; the sum is always among them, but where one row is all."""
        if self._room == 1:
            return self._rows[self._first : self._first + 1]
        return (*self._rows[:-1][self._first : self._first + self._room - 1], *self._rows[-1:])

    @property
    def _last(self) -> int:
        """How far it can be walked."""
        return max(0, len(self._rows) - self._room)

    def scroll_by(self, rows: int) -> None:
        """Show ingredients further down or up."""
        self._first = max(0, min(self._first + rows, self._last))
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for five ingredients and their sum."""
        return QSize(388, drawing.HEAD + RINGS + 6 * ROW)

    # --- events

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Walk through the ingredients, split another figure, copy."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
            return
        far = len(self._rows)
        steps = {
            Qt.Key.Key_Up: -1,
            Qt.Key.Key_Down: 1,
            Qt.Key.Key_PageUp: -self._room,
            Qt.Key.Key_PageDown: self._room,
            Qt.Key.Key_Home: -far,
            Qt.Key.Key_End: far,
        }
        turns = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
        key = Qt.Key(event.key())
        if key in steps:
            self.scroll_by(steps[key])
        elif key in turns and event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.move_by(turns[key])
        elif key in turns:
            names = self.quantities
            self.show_quantity(names[(names.index(self._quantity) + turns[key]) % len(names)])
        else:
            event.ignore()

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Walk through the ingredients."""
        if turned := event.angleDelta().y():
            self.scroll_by(-1 if turned > 0 else 1)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Show as many as there is room for."""
        super().resizeEvent(event)
        count = min(self.columns, len(self._splits.found))
        if self._rows and len(self._rows[0].cells) != count:
            self.move_by(0)
        self.scroll_by(0)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus."""
        super().focusInEvent(event)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show it no more."""
        super().focusOutEvent(event)
        self.update()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def event(self, event: QEvent) -> bool:
        """Say all of an ingredient where the mouse rests, else why the variants differ."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), self.tip(event.pos().y()), self)
            return True
        return super().event(event)

    def tip(self, y: int) -> str:
        """Return what is to be said of what stands at a height."""
        line = (y - drawing.HEAD - RINGS) // ROW
        if 0 <= line < len(self.shown) and self.shown[line] is not self._rows[-1]:
            from designer.wording.difference_lines import details

            name = self.shown[line].name
            return f"{name}\n{details(self._splits.found, name, self._splits.batch)}"
        return "\n".join(self._splits.sentences()) or self._message

    # --- painting

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the head, the numbers over their columns, the bars, and the sentences that fit."""
        painter = QPainter(self)
        drawing.head(painter, self.width() - self._left, TITLE, self.note)
        if self._has_more and self._rows:
            first, count = self._column + 1, len(self._splits.found)
            last = first + self.columns - 1
            words = f"{first if first == last else f'{first}–{last}'} of {count} variants"
            start = self.quantity_key.geometry().right() + 9
            room = self.width() - self._left - start
            base = drawing.baseline(0, drawing.HEAD - 4)
            shown = drawing.elided(words, room, fonts.SMALL)
            if shown == words:
                drawing.text(painter, start, base, words, fonts.SMALL, token="ink2")
        drawing.line(painter, 0, self.width(), drawing.HEAD - 1, "line")
        token = "ink2" if self._late.now else "ink"
        if not self._rows:
            self._draw_words(painter, [self._message], drawing.HEAD, token)
        else:
            self._draw_rows(painter, token)
        if self.hasFocus():
            # A frame would run through the letters at both edges.
            rule = QRectF(0, drawing.HEAD - 2, self.width(), 2)
            painter.fillRect(rule, theme.now().colour("accent"))

    def _draw_rows(self, painter: QPainter, token: str) -> None:
        shown = self.shown
        bars = Bars.of(self._rows, self.width())
        for column, one in enumerate(self.beside):
            is_wetness = self._quantity == "wetness"
            short = self._splits.short[self._column + column] if is_wetness else ""
            left, right = bars.columns[column]
            _draw_pair(painter, (left, right), (one.one, one.other), short)
        if len(shown) < len(self._rows):
            first, last = self._first + 1, self._first + max(len(shown) - 1, 1)
            span = f"{first}" if first == last else f"{first}–{last}"
            words = "" if shown[0] is self._rows[-1] else f"{span} of {len(self._rows) - 1}"
            base = drawing.baseline(drawing.HEAD, RINGS, fonts.SMALL)
            drawing.text(painter, 0, base, words, fonts.SMALL, token="ink2")
        top = drawing.HEAD + RINGS
        draw_bars(painter, bars, shown, self._rows[-1], (top, ROW), token)
        self._draw_words(painter, self._said, top + ROW * len(shown) + 6, token)

    def _draw_words(
        self, painter: QPainter, texts: "tuple[str, ...] | list[str]", top: float, token: str
    ) -> None:
        """Draw sentences one below the other, as many whole ones as fit."""
        for words in texts:
            rows = wrapped(words, self.width(), fonts.MEDIUM)
            is_first = words is texts[0]
            if top + ROW * len(rows) > self.height() and not (is_first and not self._rows):
                return
            for row in rows:
                drawing.text(painter, 0, drawing.baseline(top, ROW), row, token=token)
                top += ROW


def _draw_pair(
    painter: QPainter, span: tuple[float, float], numbers: tuple[str, str], short: str
) -> None:
    """Draw which variant is set against which, and how sure it is where there is room."""
    (left, right), middle = span, drawing.HEAD + RINGS / 2
    base = drawing.baseline(drawing.HEAD, RINGS, fonts.SMALL)
    measure = fonts.metrics(fonts.SMALL).horizontalAdvance
    needed = 24 + measure("against") + 28
    whole = needed + (8 + measure(short) if short else 0)
    start = max(left - 10, min(left, right - needed))
    symbols.draw_number(painter, QPointF(start + 10, middle), numbers[0], False)
    end = drawing.text(painter, start + 24, base, "against", fonts.SMALL, token="ink2")
    symbols.draw_number(painter, QPointF(end + 14, middle), numbers[1], True)
    if short and start + whole <= right:
        drawing.text(painter, end + 32, base, short, fonts.SMALL, token="ink2")
