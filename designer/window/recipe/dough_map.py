"""The dough map: how the mix would knead elsewhere, and a mark that carries the recipe there."""

import math
from collections.abc import Mapping

from PySide6.QtCore import QAbstractAnimation, QPointF, Qt, QTimer, QVariantAnimation, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QStyle, QVBoxLayout, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.evaluation.dough_map import DoughMap
from designer.evaluation.evaluate import Evaluation
from designer.evaluation.practice import practice_points
from designer.recipe import Recipe
from designer.window import fonts, theme
from designer.window.actions import actions
from designer.window.recipe.map_handle import Grip, Spot
from designer.window.recipe.map_note import Mixes, Note
from designer.window.recipe.map_plot import MapPlot
from designer.window.recipe.map_words import numbers, spoken
from designer.window.recipe.working import Late
from designer.wording.headline import EMPTY

__all__ = ["SLIDE", "DoughMapView"]

SLIDE = 120
"""How long a mark slides to its new place [ms]; 0 turns it off."""

_STEP = Spot(0.005, 0.001)
"""How far an arrow key goes."""

_BURST = 1000
"""Arrow keys that follow each other within this time [ms] are one undo step."""

_GRAB = 16.0

_TEXT = "Move on the map"

_ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}


class _Head(QWidget):
    """The title, what the shading means, and whether a new map is on its way."""

    def __init__(self) -> None:
        super().__init__()
        self.is_working = False
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(theme.ROW)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the words."""
        painter, used = QPainter(self), theme.now()
        painter.setFont(fonts.font(bold=True))
        painter.setPen(used.colour("ink"))
        painter.drawText(QPointF(0, 17), "Dough map")
        start = fonts.metrics(bold=True).horizontalAdvance("Dough map") + 10
        small = fonts.metrics(fonts.SMALL)
        end = float(self.width())
        painter.setFont(fonts.font(fonts.SMALL))
        painter.setPen(used.colour("ink2"))
        if self.is_working:
            end -= small.horizontalAdvance("working")
            painter.drawText(QPointF(end, 17), "working")
        for words in (
            "clear: kneads clean.  tint: how it would fail, stronger the likelier",
            "clear: kneads clean.  tint: how it fails",
            "clear: kneads clean",
        ):
            if start + small.horizontalAdvance(words) <= end - 8 * self.is_working:
                painter.drawText(QPointF(start, 17), words)
                break


class DoughMapView(QWidget):
    """The dough map of the active variant, with the marks of all that share its mix.

    The active mark is dragged, or moved by arrow keys, and the recipe follows.

    Signals
    -------
    numbers_changed()
        What `numbers` gives may be something else now.
    """

    numbers_changed = Signal()

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.setAccessibleName("Dough map")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.head, self.plot, self.below = _Head(), MapPlot(), Note()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(self.head)
        layout.addWidget(self.plot, 1)
        layout.addWidget(self.below)
        self.setMinimumSize(200, 160)
        self._grip: Grip | None = None  # by the pointer
        self._keyed: Grip | None = None  # by arrow keys
        self._held_at = QPointF()
        self._offset = QPointF()
        self._next: Recipe | None = None  # where the pointer is ahead of the results
        self._is_moving = False
        self._waiting: DoughMap | None = None
        self._chart: DoughMap | None = None
        self._is_stale = False  # the shading is that of another mix than the evaluation
        self._there: dict[str, Spot] = {}
        self._mixes = Mixes()
        self._apart: tuple[str, ...] = ()  # their marks would stand on a field not their own
        self._slide = QVariantAnimation(self, startValue=0.0, endValue=1.0)
        self._slide_from: dict[str, Spot] = {}
        self._slide.valueChanged.connect(self._show_slide)
        self._burst = QTimer(self, singleShot=True, interval=_BURST)
        self._burst.timeout.connect(self._end_burst)
        self._late = Late(self)  # a result, or the shading of its mix
        self._late.changed.connect(self._show_working)
        self.commands = actions(self, {"usual_recipes": self._toggle_usual})
        self._connect()

    def _connect(self) -> None:
        document, plot = self._document, self.plot
        plot.pressed.connect(self._press)
        plot.dragged.connect(self._drag)
        plot.released.connect(self._release)
        document.changed.connect(self._show_recipe)
        document.evaluated.connect(self._show_evaluation)
        document.failed.connect(self._show_failure)
        document.map_failed.connect(self._show_failure)
        document.mapped.connect(self.show_map)
        if (chart := document.dough_map) is not None:
            self.show_map(chart)
        if document.evaluation is not None:
            self._show_evaluation(document.evaluation)
        elif document.is_working:
            self._late.begin()
        else:
            self._show_message()

    # --- what the document tells

    def show_map(self, chart: DoughMap) -> None:
        """Show the shading of a map; during a drag it waits, for the mix stays the same."""
        if self._grip is not None and not self._is_stale:
            self._waiting = chart
            return
        self._chart, self._is_stale = chart, False
        self.plot.show_chart(chart)
        self._show_message()
        if (result := self._document.evaluation) is not None:
            self._part(result)
            if self._slide.state() != QAbstractAnimation.State.Running:
                self._show_points(self._there, result.recipe.active.number)
            self._late.end()
        self.numbers_changed.emit()

    def _show_recipe(self, recipe: Recipe) -> None:
        self._late.begin()
        if self._is_moving:
            return
        # Somebody else changed the recipe: what was held is another one now.
        self._next = None
        self._let_go()
        self._there = {n: spot for n, spot in self._there.items() if n in recipe.numbers}
        self._show_points(self._there, recipe.active.number)

    def _show_evaluation(self, result: Evaluation) -> None:
        active = result.recipe.variants.index(result.recipe.active)
        self._is_stale = self._chart is None or not self._chart.serves(result, active)
        if self._is_stale:
            self._late.begin()
        else:
            self._late.end()
        before = self._there
        across = result.mixture.liquid_to_powder.tolist()
        up = result.mixture.melt_fraction.tolist()
        self._there = {
            number: Spot(x, y)
            for number, x, y in zip(result.recipe.numbers, across, up, strict=True)
        }
        self.plot.good_batches = [
            Spot(*point) for point in getattr(self._document, "good_batches", ())
        ]
        for grip in (self._grip, self._keyed):
            if grip is not None:
                # The hand is ahead of the result.
                self._there[result.recipe.active.number] = grip.spot
        if self._chart is not None and self.plot.field is None and not self._chart.reason:
            self.plot.show_chart(self._chart)
        self._show_message()
        self._part(result)
        self._go_to(before)
        self.numbers_changed.emit()
        if self._next is not None:
            # The other views shall have shown this result first.
            QTimer.singleShot(0, self, self._catch_up)

    def _show_failure(self, error: ReadableError) -> None:
        self._next = None
        self._let_go()
        self._late.end()
        self._chart, self._waiting, self._is_stale = None, None, False
        self.plot.show_chart(None)
        self._show_message(error)
        if self._document.evaluation is None:
            self._there = {}
            self._apart = ()
            self.below.tell(())
            self._show_points({}, "")
            self.setAccessibleDescription(self.plot.message)
        self.numbers_changed.emit()

    def _show_message(self, error: ReadableError | None = None) -> None:
        """Say in the middle of the plot why there is nothing to see."""
        document, text = self._document, ""
        has_failed = document.evaluation is None and not document.is_working
        if has_failed and not {"powder", "liquid"} <= {row.phase for row in document.recipe.rows}:
            text = EMPTY
        elif error is not None:
            text = f"{error.title}: {error.problem}"
        elif self._is_empty():
            text = EMPTY
        elif self._chart is not None:
            text = self._chart.reason
        if text != self.plot.message:
            self.plot.message = text
            self.plot.viewport().update()

    def _is_empty(self) -> bool:
        """Return whether the active variant has no powder, or no liquid."""
        spot = self._there.get(self._document.recipe.active.number)
        return spot is not None and not (math.isfinite(spot.x) and spot.x > 0)

    def _show_working(self, is_working: bool) -> None:
        self.head.is_working = self.plot.is_working = is_working
        self.head.update()
        self.plot.viewport().update()

    # --- the marks

    def _part(self, result: Evaluation) -> None:
        """Find which variants the shading is not true of, and say so."""
        if not self._is_stale:
            self._apart = self._mixes.apart(self._chart, result)
            self.below.tell(self._apart)
        told = f" {self.below.words}." if self._apart else ""
        self.setAccessibleDescription(f"{spoken(result)}{told}")

    def _show_points(
        self, points: Mapping[str, Spot], active: str, goal: Mapping[str, Spot] | None = None
    ) -> None:
        """Show the marks that stand on a field of their own mix."""
        apart = set(self._apart) - {active}
        shown, end = (
            {number: spot for number, spot in one.items() if number not in apart}
            for one in (points, points if goal is None else goal)
        )
        self.plot.show_points(shown, active, end)

    def _go_to(self, before: dict[str, Spot]) -> None:
        """Show the marks where they are now, sliding from where they were after an edit."""
        active = self._document.recipe.active.number
        still = self._grip is not None or self._keyed is not None or not self._moves()
        if still or not self._leaps(before) or not self.plot.isVisible():
            self._slide.stop()
            self._show_points(self._there, active)
            return
        if self._slide.state() != QAbstractAnimation.State.Running:
            self._slide_from = before
        self._slide.stop()
        self._slide.setDuration(SLIDE)
        self._slide.start()

    def _leaps(self, before: dict[str, Spot]) -> bool:
        """Return whether the same marks are now elsewhere, by a pixel at least."""
        ways = [
            self.plot.place(spot) - self.plot.place(before[number])
            for number, spot in self._there.items()
            if number in before
        ]
        return len(ways) == len(before) and any(way.manhattanLength() > 1 for way in ways)

    def _moves(self) -> bool:
        """Return whether anything may move by itself: the system may not want it."""
        hint = QStyle.StyleHint.SH_Widget_Animation_Duration
        return SLIDE > 0 and self.style().styleHint(hint, None, self) > 0

    def _show_slide(self, part: float) -> None:
        shown = {}
        for number, end in self._there.items():
            start = self._slide_from.get(number, end)
            can = math.isfinite(start.x) and math.isfinite(end.x)
            shown[number] = (
                Spot(
                    start.x + part * (end.x - start.x),
                    start.y + part * (end.y - start.y),
                )
                if can
                else end
            )
        if part >= 1:
            shown = self._there
        self._show_points(shown, self._document.recipe.active.number, self._there)

    def show_usual_recipes(self, is_on: bool) -> None:
        """Show usual recipes as crosses, or not."""
        points = practice_points(self._document.handbook) if is_on else ()
        self.plot.usual = [Spot(*point) for point in points]
        self.plot.viewport().update()

    def _toggle_usual(self) -> None:
        self.show_usual_recipes(self.commands["usual_recipes"].isChecked())

    # --- moving the active mark

    def _gripped(self) -> Grip | None:
        """Return a new grip on the active variant, or None where there is nothing to move."""
        number = self._document.recipe.active.number
        spot = self._there.get(number)
        if spot is None or self._is_empty():
            return None
        self._slide.stop()
        self._show_points(self._there, number)
        return Grip(
            self._document.recipe,
            number,
            self._document.handbook,
            spot,
            self._document.new_gesture(),
        )

    def _press(self, point: QPointF) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._end_burst()
        mark = self.plot.active_mark()
        if mark is None:
            return
        way = point - mark.shown
        if math.hypot(way.x(), way.y()) > _GRAB:
            return
        self._grip = self._gripped()
        self._held_at, self._offset = point, way
        self.plot.viewport().setCursor(Qt.CursorShape.ClosedHandCursor)

    def _drag(self, point: QPointF, is_straight: bool) -> None:
        grip = self._grip
        if grip is None:
            return
        wanted = self.plot.spot(point - self._offset)
        if is_straight:
            way = point - self._held_at
            if abs(way.x()) >= abs(way.y()):
                wanted = Spot(wanted.x, grip.origin.y)
            else:
                wanted = Spot(grip.origin.x, wanted.y)
        self._carry(grip, wanted)

    def _carry(self, grip: Grip, wanted: Spot) -> None:
        """Bring the recipe to a point of the map, or to the border before it."""
        recipe = grip.move(wanted, self.plot.scale())
        number = self._document.recipe.active.number
        self._there = {**self._there, number: grip.spot}
        self.plot.note = grip.problem.problem if grip.problem is not None else ""
        self._show_points(self._there, number)
        if grip is self._grip and self._document.evaluation is None:
            # An edit with each move of a fast hand would make every result stale: none were shown.
            self._next = recipe
        else:
            self._edit(recipe, grip.gesture)

    def _catch_up(self) -> None:
        """Bring the recipe to where the pointer is by now."""
        if self._grip is not None and self._next is not None:
            recipe, self._next = self._next, None
            self._edit(recipe, self._grip.gesture)

    def _edit(self, recipe: Recipe, gesture: int) -> None:
        self._is_moving = True
        try:
            self._document.edit(_TEXT, recipe, gesture)
        finally:
            self._is_moving = False

    def _release(self) -> None:
        self._catch_up()
        self._let_go()

    def _restore(self, grip: Grip) -> None:
        """Take the drag back: no step is left of it."""
        self._next = None
        self._there = {**self._there, self._document.recipe.active.number: grip.origin}
        self._edit(grip.start, grip.gesture)
        self._let_go()
        self._show_points(self._there, self._document.recipe.active.number)

    def _let_go(self) -> None:
        self._end_burst()
        if self._grip is None:
            return
        self._grip = None
        self.plot.note = ""
        self.plot.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
        if self._waiting is not None:
            chart, self._waiting = self._waiting, None
            self.show_map(chart)
        self.plot.viewport().update()

    def _end_burst(self) -> None:
        self._burst.stop()
        if self._keyed is not None:
            self._keyed = None
            self.plot.note = ""
            self.plot.viewport().update()

    # --- keys and focus

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Move the mark by arrow keys; Esc takes a drag back, or leaves to the table."""
        if event.key() == Qt.Key.Key_Escape and self._grip is not None:
            self._restore(self._grip)
            return
        wanted = _ARROWS.get(Qt.Key(event.key()))
        held = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        size = {
            Qt.KeyboardModifier.NoModifier: 1.0,
            Qt.KeyboardModifier.ShiftModifier: 10.0,
            Qt.KeyboardModifier.ControlModifier: 0.1,
        }.get(held)
        if wanted is None or size is None or self._grip is not None:
            super().keyPressEvent(event)
            return
        self._step(wanted[0] * size, wanted[1] * size)

    def _step(self, across: float, up: float) -> None:
        if self._keyed is None:
            self._keyed = self._gripped()
        if self._keyed is None:
            return
        plot, spot = self.plot, self._keyed.spot
        wanted = Spot(
            min(max(spot.x + across * _STEP.x, plot.x.low), plot.x.high) if across else spot.x,
            min(max(spot.y + up * _STEP.y, plot.y.low / 100), plot.y.high / 100) if up else spot.y,
        )
        self._burst.start()
        self._carry(self._keyed, wanted)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Draw the focus round the mark."""
        super().focusInEvent(event)
        self.plot.is_focused = True
        self.plot.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """End a burst of arrow keys."""
        super().focusOutEvent(event)
        self._end_burst()
        self.plot.is_focused = False
        self.plot.viewport().update()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys of the map and what they do."""
        return [
            ("← →", "liquid : powder 0.005"),
            ("↑ ↓", "melt phase 0.1"),
            ("Shift", "× 10"),
            ("Ctrl", "÷ 10"),
            ("Esc", "table"),
        ]

    # --- words and numbers

    def numbers(self) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
        """Return the map as a table: header, then the variants, then a coarse raster."""
        return numbers(self._document.evaluation, self._there, self.plot.field)
