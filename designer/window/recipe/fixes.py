"""The fixes: the smallest changes that mend the dough of the active variant."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QAction,
    QActionGroup,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QMenu, QSizePolicy, QToolTip, QWidget

from designer.document import Document
from designer.errors import Notice, ReadableError
from designer.evaluation.evaluate import Evaluation
from designer.recipe import Recipe
from designer.window import fonts, symbols, theme
from designer.window.actions import actions
from designer.window.key import Key
from designer.window.recipe import drawing
from designer.window.recipe.headline import wrapped
from designer.window.recipe.working import Late
from designer.wording.fix_lines import FixWords, Told, told_of, wishes_of
from designer.wording.fixes import FORMULA

if TYPE_CHECKING:
    from designer.advice.fixes import Fix, Fixes
    from designer.advice.wishes import Wish

__all__ = ["ROW", "FixesView"]

NAME = "fixes"
"""What the question is called among those the document's advisor answers."""

ROW = 38
_NUMBER, _GAP, _MARK = 18, 8, 10
_LINE = 17
"""Height of each of the two lines in a row."""


class FixesView(QWidget):
    """A list of fixes, each with its keys; one is chosen by the arrows and applied by Enter.

    Signals
    -------
    needed_changed(bool)
        The wish is missed now, or no longer.
    """

    needed_changed = Signal(bool)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._wish: Wish | None = None
        self._told = Told()
        self._fixes: tuple[Fix, ...] = ()
        self._chosen = self._first = self._left = 0
        self._keys: list[tuple[Key, Key]] = []
        self.setAccessibleName("Fixes")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(drawing.HEAD + ROW)
        self._late = Late(self)
        self._late.changed.connect(lambda _: self.update())
        self.wish_key = Key("Wish", self, "Another wish", plain=True, size=fonts.SMALL)
        self.wish_key.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.wish_key.clicked.connect(self.choose_wish)
        self.actions_ = actions(
            self,
            {
                "apply_fix": lambda: self.apply(self._chosen),
                "fix_as_variant": lambda: self.open_as_variant(self._chosen),
                "fix_wish": self.choose_wish,
            },
        )
        advisor = document.advisor
        advisor.answered.connect(self._take)
        advisor.failed.connect(self._fail)
        advisor.forgotten.connect(self._forget)
        advisor.working.connect(self._work)
        advisor.want(NAME, self._question())

    # --- what is asked

    def _question(self) -> Callable[..., Any]:
        wish = self._wish

        def ask(
            result: Evaluation, stop: Callable[[], bool], found: Callable[[Any], None]
        ) -> "tuple[Fixes, Told]":
            # Imported by the advisor's thread: the search needs more than the window does.
            from designer.advice.fix import priced
            from designer.advice.fixes import fixes
            from designer.advice.stocked import Stocked
            from designer.advice.wishes import CLEAN

            recipe, stocked = result.recipe, Stocked.read(result.handbook)
            answer = fixes(
                recipe,
                result.handbook,
                result.knowledge,
                recipe.numbers.index(recipe.active.number),
                wish or CLEAN,
                stop,
                result,
                lambda first: found((first, told_of(first))),
            )
            if answer is None:
                raise InterruptedError
            answer = priced(answer, stocked)
            return answer, told_of(answer)

        return ask

    def choose_wish(self) -> None:
        """Open the list of what may be wished of the dough."""
        menu = QMenu(self)
        group = QActionGroup(menu)
        for words, wish in wishes_of(self._document.recipe.bench):
            action = QAction(words, group, checkable=True)
            action.setChecked(wish == self._wish or (self._wish is None and wish.kind == "clean"))
            action.triggered.connect(partial(self.ask_for, wish))
            menu.addAction(action)
        menu.aboutToHide.connect(menu.deleteLater)
        below = self.wish_key.mapToGlobal(self.wish_key.rect().bottomLeft())
        menu.popup(below)

    def ask_for(self, wish: "Wish") -> None:
        """Look for fixes that meet another wish."""
        self._wish = wish
        self._document.advisor.want(NAME, self._question())

    # --- what is answered

    @property
    def told(self) -> Told:
        """What is shown, in words."""
        return self._told

    @property
    def chosen(self) -> int:
        """Which fix is chosen, from 0."""
        return self._chosen

    @property
    def is_needed(self) -> bool:
        """Whether the wish is missed, so that the list is worth a look."""
        return self._told.is_needed

    def _take(self, name: str, answer: Any) -> None:
        if name == NAME:
            answered, told = answer
            self._fixes = answered.fixes
            self._show(told)

    def _fail(self, name: str, error: ReadableError) -> None:
        if name == NAME:
            self._fixes = ()
            self._show(Told(verdict=str(error)))

    def _forget(self, name: str) -> None:
        # What is shown stays until the next answer, paler after a while; it can no more be applied.
        if name == NAME:
            self._fixes = ()
            self._place_keys()

    def _work(self, name: str, working: bool) -> None:
        if name == NAME:
            (self._late.begin if working else self._late.end)()

    def _show(self, told: Told) -> None:
        is_new, place = told.lines != self._told.lines, self._kept(told)
        was_needed, self._told = self._told.is_needed, told
        if is_new:
            self._first = 0
            self.choose(place)
        rows = [f"{one.moves}: {one.course}, {one.reached}" for one in told.lines]
        self.setAccessibleDescription("; ".join([told.note, *rows, told.verdict]).strip("; "))
        self._place_keys()
        self.update()
        if told.is_needed != was_needed:
            self.needed_changed.emit(told.is_needed)

    def _kept(self, told: Told) -> int:
        """Return where the fix that was chosen stands in another list, or the first place.

        A list gets better under the hand: Enter must not apply what was not chosen.
        """
        if not (self.hasFocus() and self._told.lines):
            return 0
        rows = {name for name, _ in self._told.lines[self._chosen].parts}
        same = (k for k, one in enumerate(told.lines) if {name for name, _ in one.parts} == rows)
        return next(same, 0)

    # --- what is done

    def apply(self, place: int) -> None:
        """Change the active variant as a fix says, as one step."""
        if place < len(self._fixes):
            fix = self._fixes[place]
            recipe = self._document.recipe
            changed = _figures_of(fix.recipe, recipe, recipe.active.number, recipe.active.number)
            self._document.edit(f"Fix: {self._told.lines[place].moves}", changed)
            self._say_formula()

    def open_as_variant(self, place: int) -> None:
        """Put a fix into a new variant beside the active one, and make it the active one."""
        if place >= len(self._fixes):
            return
        recipe, words = self._document.recipe, self._told.lines[place].moves
        old = recipe.active.number
        grown = recipe.add_variant(words[:40], like=old)
        new = grown.numbers[-1]
        changed = _figures_of(self._fixes[place].recipe, grown, old, new).use_variant(new)
        self._document.edit(f"New variant: {words}", changed)
        self._document.pin(old, *(one for one in self._document.pinned if one != old))
        self._say_formula()

    def _say_formula(self) -> None:
        """Say in the foot what a changed recipe means where the bar is sold."""
        problem, _, advice = FORMULA.partition(": ")
        self._document.refuse(Notice("Fix", f"{problem}.", advice[:1].upper() + advice[1:]))

    def choose(self, place: int) -> None:
        """Choose a fix, and bring it into view."""
        last = len(self._told.lines) - 1
        self._chosen = max(0, min(place, last))
        room = self._room
        self._first = max(min(self._first, self._chosen), self._chosen - room + 1, 0)
        self._place_keys()
        self.update()

    # --- where it stands

    @property
    def _room(self) -> int:
        return max((self.height() - drawing.HEAD) // ROW, 1)

    @property
    def shown(self) -> range:
        """Which fixes there is room for."""
        return range(self._first, min(self._first + self._room, len(self._told.lines)))

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        if not self._told.lines:
            return [("W", "another wish"), ("Tab", "next")]
        return [
            ("↑ ↓", "choose"),
            ("Enter", "apply"),
            ("Ctrl Enter", "as a new variant"),
            ("W", "another wish"),
        ]

    def leave_in_head(self, width: int) -> None:
        """Keep so much of the head free at its right."""
        self._left = width
        self._place_keys()

    def _place_keys(self) -> None:
        """Put the keys of the shown fixes where they stand."""
        wish = self.wish_key
        wish.resize(wish.sizeHint())
        wish.move(self.width() - self._left - wish.width() + 4, 0)
        shown = self.shown if self._fixes else range(0)
        while len(self._keys) < len(shown):
            self._add_keys()
        for line, (apply, as_new) in enumerate(self._keys):
            visible = line < len(shown)
            apply.setVisible(visible)
            as_new.setVisible(visible)
            if not visible:
                continue
            place = shown[line]
            words = self._told.lines[place].moves
            apply.setAccessibleName(f"Apply: {words}")
            as_new.setAccessibleName(f"As a new variant: {words}")
            apply.set_first(place == self._chosen)
            top = drawing.HEAD + line * ROW + (ROW - 1 - apply.sizeHint().height()) // 2
            as_new.setGeometry(
                self.width() - as_new.sizeHint().width(),
                top,
                as_new.sizeHint().width(),
                as_new.sizeHint().height(),
            )
            apply.setGeometry(
                as_new.x() - 8 - apply.sizeHint().width(),
                top,
                apply.sizeHint().width(),
                apply.sizeHint().height(),
            )

    def _add_keys(self) -> None:
        line = len(self._keys)
        apply, as_new = Key("Apply", self), Key("As new", self)
        for key in (apply, as_new):
            # Their work is done by Enter in the list; as stops of Tab they would be many.
            key.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        apply.clicked.connect(lambda: self.apply(self._first + line))
        as_new.clicked.connect(lambda: self.open_as_variant(self._first + line))
        self._keys.append((apply, as_new))

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for three fixes."""
        return QSize(388, drawing.HEAD + 3 * ROW)

    # --- events

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Walk through the fixes."""
        steps = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}
        key = Qt.Key(event.key())
        if key in steps and self._told.lines:
            self.choose(self._chosen + steps[key])
        elif key == Qt.Key.Key_Home:
            self.choose(0)
        elif key == Qt.Key.Key_End:
            self.choose(len(self._told.lines) - 1)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Choose the fix that is pressed."""
        line = int(event.position().y() - drawing.HEAD) // ROW
        if event.position().y() >= drawing.HEAD and line < len(self.shown):
            self.choose(self.shown[line])

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Do no more than choosing: the keys are beside it."""
        self.mousePressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802
        """Show further fixes."""
        turned = event.angleDelta().y()
        if turned:
            last = max(0, len(self._told.lines) - self._room)
            self._first = max(0, min(self._first + (-1 if turned > 0 else 1), last))
            self._place_keys()
            self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Show as many as there is room for."""
        super().resizeEvent(event)
        self.choose(self._chosen)

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

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the head and the fixes there is room for."""
        painter = QPainter(self)
        room = self.wish_key.x() - 12.0
        shown, count = self.shown, len(self._told.lines)
        if len(shown) < count:
            words = f"{shown.start + 1}–{shown.stop} of {count}"
            base = drawing.baseline(0, drawing.HEAD - 4)
            room = drawing.text_right(painter, room, base, words, fonts.SMALL, token="ink2") - 12
        drawing.head(painter, room, "Fixes", self._told.note if not self._late.now else "looking …")
        drawing.line(painter, 0, self.width(), drawing.HEAD - 1, "line")
        token = "ink2" if self._late.now else "ink"
        if not self._told.lines:
            rows = wrapped(self._told.verdict, self.width(), fonts.MEDIUM)
            for number, row in enumerate(rows):
                base = drawing.baseline(drawing.HEAD + 18 * number, 18)
                drawing.text(painter, 0, base, row, token=token)
        for line, place in enumerate(self.shown):
            box = QRectF(0, drawing.HEAD + ROW * line, self.width(), ROW)
            self._draw(painter, box, place, token)
        if self.hasFocus():
            drawing.focus_mark(painter, self._focus_box())

    def event(self, event: QEvent) -> bool:
        """Say all of a fix where the mouse rests."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            line = (event.pos().y() - drawing.HEAD) // ROW
            inside = event.pos().y() >= drawing.HEAD and line < len(self.shown)
            words = self._all_of(self.shown[line]) if inside else self._told.verdict
            QToolTip.showText(event.globalPos(), words, self)
            return True
        return super().event(event)

    def _all_of(self, place: int) -> str:
        """Return all that is known of a fix, line by line."""
        one = self._told.lines[place]
        return f"{one.moves}\n{one.course}: {one.reached}\n{one.effect}\n{FORMULA}"

    def _focus_box(self) -> QRectF:
        """Return what has the focus: the chosen fix, or the whole list while it is empty."""
        if not self._told.lines:
            return QRectF(self.rect())
        return QRectF(0, drawing.HEAD + ROW * (self._chosen - self._first), self.width(), ROW)

    def _draw(self, painter: QPainter, box: QRectF, place: int, token: str) -> None:
        one: FixWords = self._told.lines[place]
        if place == self._chosen:
            painter.fillRect(box.adjusted(0, 0, 0, -1), theme.now().colour("paper"))
        drawing.line(painter, box.left(), box.right(), box.bottom() - 1)
        right = self._keys[0][0].x() if self._keys and self._fixes else self.width()
        upper = drawing.baseline(box.top() + 2, _LINE)
        lower = drawing.baseline(box.top() + 2 + _LINE, _LINE, fonts.SMALL)
        drawing.text(painter, 2, upper, str(place + 1), fonts.SMALL, token="ink2")
        room = right - _NUMBER - _GAP
        drawing.text(painter, _NUMBER, upper, drawing.fitted(one.parts, room), token=token)
        centre = QPointF(_NUMBER + _MARK / 2, box.top() + 2 + 1.5 * _LINE)
        symbols.draw_state(painter, centre, one.state, _MARK)
        chance = fonts.metrics(bold=True).horizontalAdvance(one.reached)
        start = _NUMBER + _MARK + 6
        course = drawing.elided(one.course, room - (start - _NUMBER) - chance - 8, fonts.SMALL)
        end = drawing.text(painter, start, lower, course, fonts.SMALL, token="ink2")
        drawing.text(painter, end + 8, lower, one.reached, bold=True, token=token)


def _figures_of(source: Recipe, recipe: Recipe, old: str, new: str) -> Recipe:
    """Return a recipe with the figures that `source` has in variant `old`, in its variant `new`.

    Of the source only the figures are taken: the recipe may have variants that it has not.
    """
    for row, one in enumerate(source.rows):
        cell = one.percents.get(old)
        if recipe.rows[row].percents.get(new) != cell:
            recipe = recipe.with_percent(row, new, cell)
    return recipe
