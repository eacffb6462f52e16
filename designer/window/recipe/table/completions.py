"""The list of ingredients that match what is typed, below the editor."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPoint, QPointF, QRect, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QListWidget,
    QListWidgetItem,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from designer.window import fonts, theme
from designer.window.recipe.table.drawing import baseline, elided, width
from designer.window.recipe.table.edits import CLASS_IN_PHASE
from designer.window.recipe.table.ingredients import completions, described

if TYPE_CHECKING:
    from designer.handbook import Handbook, Material

__all__ = ["Completions", "Entry"]

_ROW, _MOST_ROWS, _WIDE = 24, 9, 470
_ENTRY = Qt.ItemDataRole.UserRole


class Entry(NamedTuple):
    """One choice: the name it puts into the row, and what it is; an unknown one is no material."""

    name: str
    inci: str
    told: str
    material: Material | None = None


class _Painter(QStyledItemDelegate):
    """Draws a choice: common name, INCI name, kind and class."""

    def paint(
        self,
        painter: QPainter,
        option: QStyleOptionViewItem,
        index: QModelIndex | QPersistentModelIndex,
    ) -> None:
        """Draw one choice."""
        used, rect = theme.now(), option.rect
        entry: Entry = index.data(_ENTRY)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        painter.fillRect(rect, QColor(used.accent if chosen else used.paper))
        ink, weak = ("paper", "paper") if chosen else ("ink", "ink2")
        y, right = baseline(rect), rect.right() - 8
        painter.setFont(fonts.font(fonts.SMALL))
        painter.setPen(used.colour(weak))
        told = elided(entry.told, round(rect.width() * (0.33 if entry.inci else 0.62)), fonts.SMALL)
        right -= round(width(told, fonts.SMALL))
        painter.drawText(QPointF(right, y), told)
        room = right - rect.left() - 20
        name = elided(entry.name, round(0.68 * room) if entry.inci else room)
        inci = elided(entry.inci, round(room - width(name) - 12), fonts.SMALL)
        if len(inci) > 2:
            painter.drawText(QPointF(rect.left() + 8 + width(name) + 12, y), inci)
        painter.setFont(fonts.font())
        painter.setPen(used.colour(ink))
        painter.drawText(QPointF(rect.left() + 8, y), name)

    def sizeHint(  # noqa: N802
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Return the height of a choice."""
        return QSize(100, _ROW)


class Completions(QListWidget):
    """Choices below an editor; the editor keeps the focus.

    Attributes
    ----------
    phase : str
        Where an ingredient unknown to the handbook would stand.
    """

    def __init__(self, parent: QWidget, editor: QWidget, handbook: Handbook, phase: str) -> None:
        super().__init__(parent)
        self._window, self._handbook, self.phase = parent, handbook, phase
        self.setAccessibleName("Matching ingredients")
        # A click here leaves the focus where one types.
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.setFocusProxy(editor)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setItemDelegate(_Painter(self))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setUniformItemSizes(True)
        self.hide()

    def offer(self, typed: str) -> None:
        """List what matches; the best is chosen, and the text as typed comes last."""
        typed = " ".join(typed.split())
        self.clear()
        if not typed or len(typed) > 200:
            self.hide()
            return
        kind = CLASS_IN_PHASE[self.phase]
        found, matching = completions(self._handbook, typed, kind)
        for material in found:
            self._add(entry_of(material))
        known = any(typed.casefold() == one.name.casefold() for one in found)
        if not known:
            told = f"not in the tables: a middling {kind} in {self.phase.capitalize()}"
            self._add(Entry(typed, "", told))
        self.setCurrentRow(0 if matching else self.count() - 1)
        self.show()

    def _add(self, entry: Entry) -> None:
        item = QListWidgetItem()
        item.setData(_ENTRY, entry)
        item.setText(entry.name)
        told = ", ".join(part for part in entry[:3] if part)
        item.setData(Qt.ItemDataRole.AccessibleTextRole, told)
        self.addItem(item)

    def chosen(self) -> Entry | None:
        """Return the choice that Enter takes."""
        item = self.currentItem()
        entry: Entry | None = item.data(_ENTRY) if item is not None else None
        return entry if not self.isHidden() else None

    def step(self, by: int) -> None:
        """Go to another choice, around the ends."""
        if self.count():
            self.setCurrentRow((self.currentRow() + by) % self.count())

    def place_below(self, rect: QRect) -> None:
        """Stand below a rectangle of the parent, or above it where there is more room."""
        room = self._window.rect()
        below = room.bottom() - rect.bottom()
        above = rect.top()
        wanted = min(self.count(), _MOST_ROWS) * _ROW + 2
        up = below < wanted and above > below
        height = max(min(wanted, above if up else below), _ROW + 2)
        wide = min(max(_WIDE, rect.width()), room.width() - 8)
        left = max(4, min(rect.left(), room.width() - wide - 4))
        top = rect.top() - height if up else rect.bottom() + 1
        self.setGeometry(QRect(QPoint(left, top), QSize(wide, height)))
        self.raise_()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the choices and a line around them."""
        super().paintEvent(event)
        painter = QPainter(self.viewport())
        painter.setPen(theme.now().colour("line"))
        painter.drawRect(self.viewport().rect().adjusted(0, 0, -1, -1))


def entry_of(material: Material) -> Entry:
    """Return a material as a choice."""
    return Entry(material.name, material.inci, described(material), material)
