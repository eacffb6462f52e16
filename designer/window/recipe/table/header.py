"""The head of the table: numbers of the variants, and how many more there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF, QRect, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
)
from PySide6.QtWidgets import QHeaderView

from designer.window import fonts, symbols, theme
from designer.window.recipe.table.drawing import RING, draw_wedge, elided, width
from designer.window.recipe.table.editor import CellEditor
from designer.window.recipe.table.model import NAME, TAG

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["HEIGHT", "WITH_TITLES", "VariantHeader"]

HEIGHT, WITH_TITLES = 25, 41
"""Without and with the titles of the variants below their numbers [logical px]."""

_EDITOR = 150


class VariantHeader(QHeaderView):
    """Numbers that can be clicked to use a variant, and double-clicked to rename it."""

    def __init__(self, table: RecipeTable) -> None:
        super().__init__(Qt.Orientation.Horizontal, table)
        self._table = table
        self.titles = False
        self.editor: CellEditor | None = None
        self._renamed = ""
        self.setAccessibleName("Columns of the recipe table")
        self.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setMinimumSectionSize(8)
        self.setHighlightSections(False)
        self.viewport().setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def show_titles(self, on: bool) -> None:
        """Show the titles below the numbers, or in the tooltips alone."""
        if on != self.titles:
            self.titles = on
            self.updateGeometry()
            self._table.updateGeometries()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the height of the head."""
        return QSize(super().sizeHint().width(), WITH_TITLES if self.titles else HEIGHT)

    # --- drawing

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the heads of all columns in view, and the words for those out of view."""
        used, model = theme.now(), self._table.lines
        painter = QPainter(self.viewport())
        painter.fillRect(event.rect(), QColor(used.ground))
        whole = self.viewport().rect()
        middle = HEIGHT // 2
        line = QRect(0, 0, whole.width(), HEIGHT)
        y = middle + 4.5
        painter.setFont(fonts.font(bold=True))
        painter.setPen(used.colour("ink"))
        painter.drawText(QPointF(0, y), "Recipe")
        for number in self._table.places.shown():
            self._draw_variant(painter, number)
        painter.setFont(fonts.font(fonts.SMALL))
        painter.setPen(used.colour("ink2"))
        tag = self._section(TAG)
        painter.drawText(QPointF(tag.right() - 6 - width("%", fonts.SMALL), y), "%")
        grams = self._section(model.grams_column)
        painter.drawText(QPointF(grams.right() - 8 - width("g", fonts.SMALL), y), "g")
        painter.setPen(used.colour("ink"))
        for rect, words, way in self.more():
            x = rect.left() + (16 if way < 0 else 4)
            painter.drawText(QPointF(x, y), words)
            tip = rect.left() + 9 if way < 0 else x + width(words, fonts.SMALL) + 7
            draw_wedge(painter, QPointF(tip, middle + 1), way < 0, used.colour("ink"), 90)
        painter.fillRect(0, whole.bottom(), line.width(), 1, QColor(used.line))

    def _draw_variant(self, painter: QPainter, number: str) -> None:
        used, model = theme.now(), self._table.lines
        variant = model.recipe.variant(number)
        rect = self._section(model.column_of(number))
        if variant.active:
            painter.fillRect(rect, QColor(used.paper))
            painter.fillRect(rect.left(), 0, rect.width(), 2, QColor(used.accent))
        centre = QPointF(rect.right() + 1 - RING + 0.5, HEIGHT // 2 + 1)
        symbols.draw_number(painter, centre, number, variant.active)
        if self.titles and variant.title:
            title = elided(variant.title, rect.width() - 6, fonts.SMALL)
            painter.setFont(fonts.font(fonts.SMALL))
            painter.setPen(used.colour("ink" if variant.active else "ink2"))
            x = rect.right() + 1 - 8 - width(title, fonts.SMALL)
            painter.drawText(QPointF(x, HEIGHT + 9), title)

    def _section(self, column: int) -> QRect:
        return QRect(
            self.sectionViewportPosition(column),
            0,
            self.sectionSize(column),
            self.viewport().height(),
        )

    def more(self) -> list[tuple[QRect, str, int]]:
        """Return where columns out of view are told, in which words, and which way they lie."""
        before, after = self._table.places.hidden()
        found = []
        if before:
            words = f"{len(before)} more"
            wide = round(width(words, fonts.SMALL)) + 20
            right = self._section(NAME).right() + self._section(TAG).width() - 18
            found.append((QRect(right - wide, 0, wide, HEIGHT), words, -1))
        if after:
            words = f"{len(after)} more"
            wide = round(width(words, fonts.SMALL)) + 18
            left = self._section(self._table.lines.grams_column).left()
            found.append((QRect(left, 0, wide, HEIGHT), words, 1))
        return found

    # --- pointer

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Use the variant whose number is clicked, or bring columns into view."""
        if event.button() != Qt.MouseButton.LeftButton:
            return
        way = self._way_at(event.position().toPoint())
        if way:
            self._table.places.scroll(way)
            return
        number = self._number_at(event.position().toPoint())
        if number:
            self._table.variants.use(number)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Show what can be clicked."""
        at = event.position().toPoint()
        hand = bool(self._number_at(at) or self._way_at(at))
        shape = Qt.CursorShape.PointingHandCursor if hand else Qt.CursorShape.ArrowCursor
        self.viewport().setCursor(shape)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Do nothing: a press does all."""

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Rename the variant in its place."""
        at = event.position().toPoint()
        way, number = self._way_at(at), self._number_at(at)
        if way:
            self._table.places.scroll(way)
        elif number:
            self.rename(number)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer what can be done with a variant."""
        number = self._number_at(event.pos())
        if number:
            self._table.variants.menu(number).popup(event.globalPos())

    def _number_at(self, at: QPoint) -> str:
        column = self.logicalIndexAt(at)
        return self._table.lines.number_at(column) if column >= 0 else ""

    def _way_at(self, at: QPoint) -> int:
        return next((way for rect, _, way in self.more() if rect.contains(at)), 0)

    # --- renaming

    def rename(self, number: str) -> None:
        """Let the title of a variant be typed in its place."""
        self.close_editor()
        self._table.places.bring_into_view(number)
        editor = CellEditor(self.viewport(), f"Title of variant {number}")
        self.editor, self._renamed = editor, number
        editor.left_by.connect(self._finish)
        editor.setText(self._table.lines.recipe.variant(number).title)
        editor.selectAll()
        self.place_editor()
        editor.show()
        editor.setFocus(Qt.FocusReason.OtherFocusReason)

    def place_editor(self) -> None:
        """Keep the editor where its column is."""
        if self.editor is None:
            return
        if self._renamed not in self._table.lines.recipe.numbers:
            self.close_editor()
            return
        rect = self._section(self._table.lines.column_of(self._renamed))
        # The number it belongs to stays in view behind it.
        left = max(0, rect.right() - RING - 14 - _EDITOR)
        self.editor.setGeometry(left, 1, _EDITOR, HEIGHT - 2)

    def finish(self) -> None:
        """Take the title that is being typed."""
        if self.editor is not None:
            self._finish("away")

    def close_editor(self) -> None:
        """Close the editor, whatever stands in it."""
        editor, self.editor = self.editor, None
        if editor is not None:
            editor.put_away()

    def _finish(self, how: str) -> None:
        editor, number = self.editor, self._renamed
        if editor is None:
            return
        if how == "escape":
            self._table.telling.tell(None)
            self.close_editor()
            self._table.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        if editor.isModified() and not self._table.variants.give_title(number, editor.text()):
            editor.refuse()
            return
        self.close_editor()
        if how != "away":
            self._table.setFocus(Qt.FocusReason.OtherFocusReason)
