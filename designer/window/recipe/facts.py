"""The head line of editable facts."""

from dataclasses import dataclass

from PySide6.QtCore import QEvent, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import (
    QContextMenuEvent,
    QFocusEvent,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.recipe import Recipe
from designer.window import fonts, theme
from designer.window.recipe import drawing
from designer.window.recipe.bench_facts import FACTS, Fact, step_name

__all__ = ["FactField", "Facts"]

ROW = 22
_PAD = 4
_GAP = 20
_CAPTION_GAP = 6
_LEAST_EDIT = 72
_UNNAMED = "Recipe without a name"


class FactField(QLineEdit):
    """One fact: text that looks like text, and turns into an editor where it stands."""

    def __init__(self, document: Document, fact: Fact, parent: "Facts") -> None:
        super().__init__(parent)
        self._document, self._facts = document, parent
        self.fact = fact
        self.is_refused = False
        self._gesture = 0
        self._has_stepped = False
        self._is_editing = False
        self.lead = _PAD
        self._opened: Recipe | None = None
        self.setAccessibleName(fact.name)
        self.setFont(fonts.font(bold=fact.bold))
        self.setFrame(False)
        self.setReadOnly(True)
        self.setMaxLength(100_000)
        self.setTextMargins(_PAD - 2, 0, _PAD - 2, 0)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.IBeamCursor)
        step = f"; Up and Down change it by {fact.step}" if fact.step else ""
        self.setAccessibleDescription(f"Enter opens it{step}")

    @property
    def is_open(self) -> bool:
        """Whether it is being edited."""
        return not self.isReadOnly()

    @property
    def value(self) -> str:
        """Its text in the recipe as it is; "" where it does not apply."""
        return self.fact.shown(self._document.recipe) or ""

    def show_recipe(self) -> None:
        """Show the value of the recipe; what is being typed, or was refused, stays."""
        if self.is_open and not self._is_editing:
            # Somebody else changed the recipe: to give up means to keep that.
            self._opened, self._has_stepped = self._document.recipe, False
            self._gesture = self._document.new_gesture()
        if not (self.is_open and (self.isModified() or self.is_refused)):
            self._write(self.value)

    def _write(self, text: str) -> None:
        if self.text() != text:
            self.setText(text)
            self.setCursorPosition(0)
            self.setToolTip(text if len(text) > 40 else "")
        self.setModified(False)

    def open(self) -> None:
        """Edit in place, the present text selected."""
        if not self.is_open:
            self._gesture = self._document.new_gesture()
            self._opened, self._has_stepped = self._document.recipe, False
            self.setReadOnly(False)
            self._write(self.value)
            self._facts.place()
            self.raise_()
        self.selectAll()
        self.update()

    def take_typed(self) -> bool:
        """Take over what is being typed; return whether nothing was refused."""
        return self._take() if self.is_open else not self.is_refused

    def _close(self) -> None:
        if self.is_refused:
            self.is_refused = False
            self._document.refuse(None)
        self.setReadOnly(True)
        self.deselect()
        self._opened = None
        self._write(self.value)
        self._facts.place()
        self.update()

    def _take(self) -> bool:
        """Take over what was typed; return whether that was possible."""
        if not self.isModified() or self._is_as_it_was():
            self._close()
            return True
        recipe = self._document.recipe
        try:
            changed = self.fact.taken(recipe, self.text())
        except ReadableError as error:
            self._refuse(error)
            return False
        self._edit(changed)
        self._close()
        return True

    def _is_as_it_was(self) -> bool:
        """Return whether the text was typed back: a rounded text must not become the value."""
        return self.text() == self.value

    def _refuse(self, error: ReadableError) -> None:
        self.is_refused = True
        advice = (
            f"{error.advice[:-1]}; Esc brings back {self.value}." if self.value else error.advice
        )
        self._document.refuse(ReadableError(error.title, error.problem, advice))
        self.update()

    def _edit(self, changed: Recipe) -> None:
        before = self.fact.shown(self._opened or self._document.recipe) or ""
        after = self.fact.shown(changed) or ""
        self._is_editing = True
        try:
            self._document.edit(step_name(self.fact, before, after), changed, self._gesture)
        finally:
            self._is_editing = False

    def _step(self, steps: int) -> None:
        """Change the value by steps; a burst of them is one undo step."""
        if self.fact.stepped is None:
            return
        try:
            recipe = self._document.recipe
            if self.isModified() and not self._is_as_it_was():
                recipe = self.fact.taken(recipe, self.text())
            changed = self.fact.stepped(recipe, steps)
        except ReadableError as error:
            self._refuse(error)
            return
        if self.is_refused:
            self.is_refused = False
            self._document.refuse(None)
        self.setModified(False)
        self._has_stepped = True
        self._edit(changed)
        self._write(self.value)
        self._facts.place()
        self.selectAll()

    def _restore(self) -> None:
        """Give up the edit, steps included."""
        if self._opened is not None and self._has_stepped:
            # There and back leaves no step.
            opened = self.fact.shown(self._opened) or ""
            if self.value != opened:
                self._document.edit(
                    step_name(self.fact, opened, opened), self._opened, self._gesture
                )
        self._close()

    def event(self, event: QEvent) -> bool:
        """Let the window undo where there is nothing typed to take back."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if self.is_open and event.key() == Qt.Key.Key_Delete:
                event.accept()  # of words and letters, not of a variant
                return True
            undoes = event.matches(QKeySequence.StandardKey.Undo)
            redoes = event.matches(QKeySequence.StandardKey.Redo)
            is_typing = self.is_open and self.isModified()
            if (undoes or redoes) and not is_typing:
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Open, take over, give up, step."""
        key = event.key()
        enters = key in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if not self.is_open:
            if enters or key == Qt.Key.Key_F2:
                self.open()
            elif event.matches(QKeySequence.StandardKey.Copy):
                if self.text():
                    QGuiApplication.clipboard().setText(self.text())
            else:
                event.ignore()
            return
        if enters:
            self._take()
        elif key == Qt.Key.Key_Escape:
            self._restore()
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self._step(1 if key == Qt.Key.Key_Up else -1)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Open on the first press; later ones place the cursor."""
        if self.is_open:
            super().mousePressEvent(event)
        else:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self.open()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Keep the selection that opening made."""
        if not self.hasSelectedText():
            super().mouseReleaseEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802
        """Select by dragging while it is edited."""
        if self.is_open and event.buttons():
            super().mouseMoveEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802
        """Offer the editor's menu only while there is an editor."""
        if self.is_open:
            super().contextMenuEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus; tabbing in selects nothing."""
        super().focusInEvent(event)
        if not self.is_open:
            self.deselect()
        self._facts.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Take over what was typed when the focus leaves for another part."""
        if self.is_open and event.reason() not in (
            Qt.FocusReason.PopupFocusReason,
            Qt.FocusReason.ActiveWindowFocusReason,
        ):
            self._take()
        super().focusOutEvent(event)
        self._facts.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw text with dots below it, or the editor with its frame."""
        if self.is_open:
            super().paintEvent(event)
            painter = QPainter(self)
            if self.is_refused:
                pen = QPen(theme.now().colour("ink"), 2, Qt.PenStyle.DashLine)
                painter.setPen(pen)
                painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))
            else:
                drawing.focus_mark(painter, QRectF(self.rect()))
            return
        painter = QPainter(self)
        if self.hasFocus():
            painter.fillRect(self.rect(), theme.now().colour("paper"))
        base = drawing.baseline(0, ROW)
        words = self.text() or _UNNAMED
        room = self.width() - self.lead - _PAD
        shown = drawing.elided(words, room, bold=self.fact.bold)
        token = "ink" if self.text() else "ink2"
        end = drawing.text(painter, self.lead, base, shown, bold=self.fact.bold, token=token)
        if self.hasFocus():
            area = QRectF(self.lead, base + 4, end - self.lead, 2)
            painter.fillRect(area, theme.now().colour("accent"))
        else:
            pen = QPen(theme.now().colour("ink2"), 1, Qt.PenStyle.CustomDashLine)
            pen.setDashPattern([1, 2])
            painter.setPen(pen)
            painter.drawLine(QPointF(self.lead, base + 4.5), QPointF(end, base + 4.5))

    def natural_width(self) -> float:
        """Return the width its text needs at rest."""
        words = self.text() or _UNNAMED
        return fonts.metrics(bold=self.fact.bold).horizontalAdvance(words) + 2 * _PAD


@dataclass(frozen=True)
class _Place:
    """Where a fact stands: its words before, its field, its words after."""

    field: FactField
    box: QRect
    before: QPointF
    after: QPointF


class Facts(QWidget):
    """Name, bars, batch and conditions of the recipe; each can be edited where it stands."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._places: tuple[_Place, ...] = ()
        self._lines = 1
        self._seen: tuple[object, ...] = ()
        self.setAccessibleName("Recipe and conditions")
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.fields = {fact.name: FactField(document, fact, self) for fact in FACTS}
        document.changed.connect(self.show_recipe)
        self.show_recipe(document.recipe)

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        fact = next((one.fact for one in self.fields.values() if one.hasFocus()), None)
        found = [("Enter", "change")]
        if fact is not None and fact.step:
            found.append(("↑ ↓", fact.step))
        if fact is not None and fact.example:
            found.append((fact.example, "may be typed"))
        return [*found, ("Esc", "as it was"), ("Tab", "next")]

    def show_recipe(self, recipe: Recipe) -> None:
        """Show the facts of the recipe."""
        seen = recipe.name, recipe.bench
        if seen == self._seen:
            return
        self._seen = seen
        for field in self.fields.values():
            field.show_recipe()
        self.place()

    def place(self) -> None:
        """Put every fact where it belongs."""
        places = self._arranged(self.width())
        lines = _lines(places)
        if places != self._places:
            self._places = places
            there = {place.field: place.box for place in places}
            for field in self.fields.values():
                if field in there:
                    field.lead = _PAD if there[field].left() > 0 else 0
                    field.setGeometry(self._edited(field, there[field]))
                field.setVisible(field in there)
            self.update()
        if lines != self._lines:
            self._lines = lines
            self.updateGeometry()

    def _edited(self, field: FactField, box: QRect) -> QRect:
        """Return the box of a field, wider while it is edited."""
        if not field.is_open:
            return box
        wide = max(box.width() + 12, _LEAST_EDIT)
        left = max(0, min(box.left(), self.width() - wide))
        return QRect(left, box.top(), wide, box.height())

    def _arranged(self, width: int) -> tuple[_Place, ...]:
        """Return the places at a width; facts not stated are left out where they make a line."""
        recipe = self._document.recipe
        there = [f for f in self.fields.values() if f.fact.shown(recipe) is not None]
        stated = [f for f in there if not f.fact.optional or f.fact.stated(recipe) or f.is_open]
        whole, least = self._flow(there, width), self._flow(stated, width)
        return whole if _lines(whole) == _lines(least) else least

    def _flow(self, fields: list[FactField], width: int) -> tuple[_Place, ...]:
        measure = fonts.metrics().horizontalAdvance
        places: list[_Place] = []
        x, line = 0.0, 0
        for field in fields:
            fact = field.fact
            before = measure(fact.before) + _CAPTION_GAP if fact.before else 0.0
            words = fact.words_after(self._document.recipe)
            after = measure(words) + _CAPTION_GAP if words else 0.0
            room = max(160.0, width / 3) if fact.bold else float(width) - before - after
            text = min(field.natural_width() - 2 * _PAD, max(room, 40.0))
            if x > 0 and x + before + text + after > width:
                x, line = 0.0, line + 1
            base = ROW * line + drawing.baseline(0, ROW)
            left = x + before
            # The field has a margin around its text, except where the line begins.
            lead = _PAD if left > 0 else 0
            box = QRect(round(left) - lead, ROW * line, round(text) + lead + _PAD + 1, ROW)
            end = left + text
            places.append(_Place(field, box, QPointF(x, base), QPointF(end + _CAPTION_GAP, base)))
            x = end + after + _GAP
        return tuple(places)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the size of the lines there are."""
        return QSize(600, self.heightForWidth(max(self.width(), 600)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return a narrow size; facts move to further lines there."""
        return QSize(240, ROW)

    def hasHeightForWidth(self) -> bool:  # noqa: N802
        """Return that facts move to a second line when it is narrow."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Return the height of all lines at a width."""
        return ROW * _lines(self._arranged(width))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Place the facts anew."""
        super().resizeEvent(event)
        self.place()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the words around the values."""
        painter = QPainter(self)
        for place in self._places:
            fact = place.field.fact
            behind = fact.words_after(self._document.recipe)
            for words, at in ((fact.before, place.before), (behind, place.after)):
                if words:
                    drawing.text(painter, at.x(), at.y(), words, token="ink2")


def _lines(places: tuple[_Place, ...]) -> int:
    return 1 + max((place.box.top() // ROW for place in places), default=0)
