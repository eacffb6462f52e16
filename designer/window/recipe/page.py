"""The page Recipe: where its parts stand."""

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QRect, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from designer.document import Document
from designer.window import theme
from designer.window.actions import actions
from designer.window.parts_page import PartsPage
from designer.window.recipe.facts import Facts
from designer.window.recipe.headline import Headline
from designer.window.recipe.notes import Notes
from designer.window.recipe.panel import Panel
from designer.window.recipe.table import RecipeTable
from designer.window.recipe.turns import Turns

__all__ = ["JOINING", "NARROWEST", "Places", "RecipePage", "column", "places"]

JOINING = tuple(
    f"designer.window.recipe.{name}"
    for name in (
        "readings",
        "advice",
        "swaps_panel",
        "forgiveness_panel",
        "dough_map",
        "dough_clock",
    )
)
"""Modules of the parts that show results; importing them takes longer than all others."""

NARROWEST = QSize(1100, 700)
"""The smallest window with two columns; below it the parts stand in one column that scrolls."""

_LOWEST = 640
"""Height of the page in the lowest window without a message; with one, the page scrolls."""
_FACTS, _HEADLINE, _NOTES, _ADVICE = 24, 36, 72, 142
_SPACE = 10
_UNDER_TOTAL = 2
"""The row of the total has space of its own; more would cost 18 rows their last one."""
_LEAST_READINGS, _LEAST_ADVICE, _LEAST_CLOCK = 268, 66, 170
_CLOCK = 0.335
"""Share of the height that the clock takes."""


@dataclass(frozen=True)
class Places:
    """Where everything stands on a page of a given size.

    Attributes
    ----------
    parts : rectangle of each part by its name
    rules : hairlines and lines, as rectangles 1 px thin
    height : of the whole page
    """

    parts: dict[str, QRect]
    rules: tuple[QRect, ...]
    height: int


def _between(width: int, small: int, large: int, most: int) -> int:
    """Return a measure that is `small` in a window of 1280, `large` at 1920, never over `most`."""
    return min(round(small + (large - small) * max(0, width - 1280) / 640), most)


def places(size: QSize, wanted: dict[str, int]) -> Places:
    """Return where the parts stand in two columns.

    Parameters
    ----------
    size : of the page
    wanted : height that "facts", "headline", "table", "readings" and "advice" would like
    """
    width = size.width()
    left, inner = theme.MARGIN, width - 2 * theme.MARGIN
    facts = max(_FACTS, wanted["facts"])
    parts = {"facts": QRect(left, 4, inner, facts)}
    parts["headline"] = QRect(left, 4 + facts, inner, max(_HEADLINE, wanted["headline"]))
    rule = parts["headline"].bottom() + 5
    top = rule + 8
    # With a long sentence the page scrolls sooner, for nothing below it may be cut off.
    least = _LEAST_READINGS + _LEAST_ADVICE + _SPACE + _LEAST_CLOCK
    height = max(size.height(), _LOWEST, top + least + 4)
    bottom = height - 4
    tall = bottom - top

    table_width = _between(width, 480, 648, 760)
    table = min(max(wanted["table"], 200), tall - _NOTES - _UNDER_TOTAL)
    parts["table"] = QRect(left, top, table_width, table)
    notes_top = top + table + _UNDER_TOTAL
    parts["notes"] = QRect(left, notes_top, table_width, bottom - notes_top)

    hair = left + table_width + theme.GUTTER // 2
    right = left + table_width + theme.GUTTER
    rest = width - theme.MARGIN - right
    readings_width = 250 if width < 1240 else _between(width, 388, 470, 540)
    map_width = rest - theme.GUTTER - readings_width
    clock = round(_CLOCK * tall)
    if tall - clock - _SPACE < _LEAST_READINGS + _LEAST_ADVICE:
        clock = max(tall - _SPACE - _LEAST_READINGS - _LEAST_ADVICE, _LEAST_CLOCK)
    upper = tall - clock - _SPACE
    parts["map"] = QRect(right, top, map_width, upper)
    edge = right + map_width + theme.GUTTER
    readings = max(_LEAST_READINGS, min(wanted["readings"], upper - min(_ADVICE, wanted["advice"])))
    parts["readings"] = QRect(edge, top, readings_width, readings)
    parts["advice"] = QRect(edge, top + readings, readings_width, upper - readings)
    parts["clock"] = QRect(right, bottom - clock, rest, clock)
    return Places(
        parts, (QRect(0, rule, width, 1), QRect(hair, rule + 1, 1, height - rule - 1)), height
    )


def column(width: int, wanted: dict[str, int]) -> Places:
    """Return where the parts stand one below the other, for a window that is too small for two."""
    left, inner = theme.MARGIN, max(width - 2 * theme.MARGIN, 320)
    heights = {
        "facts": max(_FACTS, wanted["facts"]),
        "headline": max(_HEADLINE, wanted["headline"]),
        "table": wanted["table"],
        "notes": _NOTES,
        "map": min(max(300, round(0.7 * inner)), 560),
        "readings": wanted["readings"],
        "advice": max(_ADVICE, wanted["advice"]),
        "clock": 300,
    }
    parts, y = {}, 4
    for name, height in heights.items():
        parts[name] = QRect(left, y, inner, height)
        y += height + (0 if name == "facts" else _SPACE)
    rule = parts["headline"].bottom() + _SPACE // 2
    return Places(parts, (QRect(0, rule, width, 1),), y)


class _Sheet(QWidget):
    """What is scrolled: the parts, and the rules between them."""

    def __init__(self, page: "RecipePage") -> None:
        super().__init__()
        self._page = page
        self.rules: tuple[QRect, ...] = ()

    def event(self, event: QEvent) -> bool:
        """Place the parts anew when one of them wants another height."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._page.place()
        return super().event(event)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the rules."""
        painter, colours = QPainter(self), theme.now()
        for rule in self.rules:
            lying = rule.height() == 1
            painter.fillRect(rule, QColor(colours.line if lying else colours.hair))


class RecipePage(PartsPage):
    """All parts of the page Recipe; those that show results join after the first paint."""

    home = "table"

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._sheet = _Sheet(self)
        self.setWidget(self._sheet)
        self._placed: dict[str, QRect] = {}
        self._tallest: tuple[tuple[int, int], int] = ((0, 0), 0)
        self.facts = Facts(document)
        self.headline = Headline(document)
        self.table = RecipeTable(document)
        self.notes = Notes(document)
        self.panels: dict[str, Panel] = {}
        for part in (self.facts, self.headline, self.table, self.notes):
            part.setParent(self._sheet)
        self._joining = self._join()

    @property
    def is_whole(self) -> bool:
        """Whether all parts are there."""
        return hasattr(self, "clock")

    def add_next(self) -> bool:
        """Put in the next part that shows results; return whether one was missing.

        Their places are kept free from the start, so nothing moves.
        """
        return next(self._joining, False)

    def add_all(self) -> None:
        """Put in all parts that are missing."""
        while self.add_next():
            pass

    def _join(self) -> Iterator[bool]:
        from designer.window.recipe.advice import Advice
        from designer.window.recipe.dough_clock import DoughClockView
        from designer.window.recipe.dough_map import DoughMapView
        from designer.window.recipe.forgiveness_panel import ForgivenessPanel
        from designer.window.recipe.readings import Readings
        from designer.window.recipe.swaps_panel import SwapsPanel

        self.readings, self.advice = Readings(self._document), Advice(self._document)
        self.readings.chosen.connect(self.advice.show_reading)
        yield self._show(self.readings, self.advice)
        self.swaps, self.forgiveness = SwapsPanel(self._document), ForgivenessPanel(self._document)
        self._add_panels()
        yield True
        self.map = DoughMapView(self._document)
        yield self._show(self.map)
        self.clock = DoughClockView(self._document)
        plots = [self.clock.plot.viewport(), self.map.plot.viewport(), self.advice]
        plots += self.panels.values()
        self._turns = Turns(self._document, plots, self)
        yield self._show(self.clock)

    # --- the panels over readings and advice

    @property
    def panel(self) -> "Panel | None":
        """The panel that is open."""
        return next((one for one in self.panels.values() if one.is_open), None)

    def open_panel(self, name: str) -> None:
        """Show a panel in place of readings and advice, and give it the focus."""
        for one, panel in self.panels.items():
            if one != name:
                panel.close_up()
        panel = self.panels[name]
        if not panel.is_open:
            panel.open()
        self._change_panel()
        self.go_to(name)

    def close_panel(self) -> None:
        """Show readings and advice again; nothing more is asked."""
        if (panel := self.panel) is not None:
            panel.close_up()
            self._change_panel()

    def _add_panels(self) -> None:
        self.panels = {"swaps": self.swaps, "forgiveness": self.forgiveness}
        for panel in self.panels.values():
            panel.setParent(self._sheet)
            panel.hide()
            panel.left.connect(self._leave_panel)
            panel.keys_changed.connect(self.table.keys_changed)  # the foot listens to the table
        self.actions_ = actions(self, {"show_forgiveness": lambda: self.open_panel("forgiveness")})
        self.table.swaps_wanted.connect(self._look_for_swaps)
        self.advice.asked.connect(self.close_panel)
        # The keys of what a panel hides would do nothing.
        self.addActions(list(self.advice.actions_.values()))

    def _look_for_swaps(self, row: int, number: str) -> None:
        self.swaps.ask_for(row, number)
        self.open_panel("swaps")

    def _leave_panel(self) -> None:
        self.close_panel()
        self.go_to("table")

    def _change_panel(self) -> None:
        for panel in self.panels.values():
            panel.setVisible(panel.is_open)
        for part in (self.readings, self.advice):
            part.setVisible(self.panel is None)
        self.place()
        self.order_tabs()

    def _show(self, *parts: QWidget) -> bool:
        for part in parts:
            part.setParent(self._sheet)
        self.place()
        for part in parts:
            part.show()
        self.order_tabs()
        return True

    def take_typed(self) -> bool:
        """Take over what is being typed in any part; return whether nothing was refused."""
        self.table.editing.finish()
        self.table.header.finish()
        self.notes.field.take()
        facts = [field.take_typed() for field in self.facts.fields.values()]
        return all(facts) and not self.notes.field.is_refused and not self.table.lines.refused

    def parts(self) -> dict[str, QWidget]:
        """Return the parts that take the focus, in the order of work."""
        opened = [name for name, panel in self.panels.items() if panel.is_open]
        names = ["facts", "table", "notes", "map", "readings", "advice", *opened, "clock"]
        return {name: getattr(self, name) for name in names if hasattr(self, name)}

    def place(self) -> None:
        """Put every part where it stands in a page of this size."""
        window, view = self.window().size(), self.viewport().size()
        wide = window.width() >= NARROWEST.width() and window.height() >= NARROWEST.height()
        found = (
            places(view, self._wanted(view.width()))
            if wide
            else column(view.width(), self._wanted(view.width()))
        )
        self._sheet.resize(max(view.width(), 352), max(view.height(), found.height))
        self._sheet.rules = found.rules
        for name, place in found.parts.items():
            part = getattr(self, name, None)
            if part is not None and part.geometry() != place:
                part.setGeometry(place)
        if (panel := self.panel) is not None:
            panel.setGeometry(found.parts["readings"].united(found.parts["advice"]))
        self._sheet.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Place the parts in the new size."""
        super().resizeEvent(event)
        self.place()

    def _wanted(self, width: int) -> dict[str, int]:
        inner = width - 2 * theme.MARGIN
        return {
            "facts": self.facts.heightForWidth(inner),
            "headline": self._headline_height(inner),
            "table": self.table.sizeHint().height(),
            "readings": self._wish("readings"),
            "advice": self._wish("advice"),
        }

    def _wish(self, name: str) -> int:
        part = getattr(self, name, None)
        return 0 if part is None else int(part.sizeHint().height())

    def _headline_height(self, width: int) -> int:
        """Return the height of the sentence, never less than it was at this width.

        A sentence that changes its length as one types must not move the table under the hand;
        a warning that comes or goes may.
        """
        wished = (
            self.headline.heightForWidth(width)
            if self.headline.hasHeightForWidth()
            else self.headline.sizeHint().height()
        )
        key = width, len(self.headline.warnings)
        tallest = max(self._tallest[1], wished) if self._tallest[0] == key else wished
        self._tallest = key, tallest
        return tallest
