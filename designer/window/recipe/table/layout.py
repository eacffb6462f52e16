"""Sizes of rows and columns, and which variants are in view."""

from __future__ import annotations

from typing import TYPE_CHECKING

from designer.window.recipe.table import columns
from designer.window.recipe.table.header import HEIGHT, WITH_TITLES
from designer.window.recipe.table.model import FIRST, NAME, TAG

if TYPE_CHECKING:
    from designer.window.recipe.table.view import RecipeTable

__all__ = ["HIGHEST", "LOWEST", "SCROLL_BAR", "Layout"]

LOWEST, HIGHEST = 24, 32
"""Height of a row [logical px]."""

SCROLL_BAR = """
QScrollBar:vertical { width: 10px; background: transparent; margin: 0; }
QScrollBar::handle:vertical { background: palette(mid); min-height: 32px; margin: 0 0 0 4px; }
QScrollBar::add-line, QScrollBar::sub-line { height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }
"""


class Layout:
    """Names and grams always have their room; variants that have none scroll by columns."""

    def __init__(self, table: RecipeTable) -> None:
        self._table = table
        self._first = 0

    def fit(self) -> None:
        """Give rows and columns their sizes; hide the columns there is no room for."""
        self._fit_rows()
        self._fit_columns()
        self._table.header.viewport().update()

    def _fit_rows(self) -> None:
        table = self._table
        count = max(len(table.lines.lines), 1)
        titled = any(variant.title for variant in table.lines.recipe.variants)
        roomy = (table.height() - WITH_TITLES) // count >= LOWEST + 2
        table.header.show_titles(titled and roomy)
        room = table.height() - (WITH_TITLES if table.header.titles else HEIGHT)
        high = max(LOWEST, min(room // count, HIGHEST))
        if table.verticalHeader().defaultSectionSize() != high:
            table.verticalHeader().setDefaultSectionSize(high)
        # The scroll bar comes or goes now, so that the columns meet the width they will have.
        table.updateGeometries()

    def _fit_columns(self) -> None:
        table = self._table
        variants = len(table.lines.recipe.variants)
        sizes = columns.sizes(table.viewport().width(), variants)
        self._first = max(0, min(self._first, variants - sizes.shown))
        for at in range(variants):
            hide = not self._first <= at < self._first + sizes.shown
            if table.isColumnHidden(FIRST + at) != hide:
                table.setColumnHidden(FIRST + at, hide)
            if not hide:
                table.setColumnWidth(FIRST + at, sizes.variant)
        for column, wide in (
            (NAME, sizes.name),
            (TAG, sizes.tag),
            (table.lines.grams_column, sizes.grams),
        ):
            if table.columnWidth(column) != wide:
                table.setColumnWidth(column, wide)

    def shown(self) -> list[str]:
        """Return the variants whose columns are in view."""
        return [
            number
            for at, number in enumerate(self._table.lines.recipe.numbers)
            if not self._table.isColumnHidden(FIRST + at)
        ]

    def hidden(self) -> tuple[list[str], list[str]]:
        """Return the variants out of view on the left and on the right."""
        numbers, shown = list(self._table.lines.recipe.numbers), self.shown()
        if not shown:
            return [], []
        return numbers[: numbers.index(shown[0])], numbers[numbers.index(shown[-1]) + 1 :]

    def scroll(self, by: int) -> None:
        """Bring other columns into view."""
        self._first += by
        self.fit()
        self._table.viewport().update()
        self._table.editing.follow()

    def bring_into_view(self, number: str) -> None:
        """Scroll columns until that of a variant is in view."""
        before, after = self.hidden()
        if number in before:
            self.scroll(-(len(before) - before.index(number)))
        elif number in after:
            self.scroll(after.index(number) + 1)
