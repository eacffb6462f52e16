"""The recipe's notes, and above them what was refused or cannot be evaluated."""

import re

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, QTimer
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QFocusEvent,
    QKeyEvent,
    QKeySequence,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QTextBlockFormat,
    QTextCursor,
)
from PySide6.QtWidgets import QFrame, QSizePolicy, QTextEdit, QWidget

from designer.document import Document
from designer.document.edit import NO_GESTURE
from designer.errors import ReadableError
from designer.recipe import Recipe
from designer.window import fonts, theme
from designer.window.copying import offer_copy
from designer.window.figures import MINUS
from designer.window.recipe import drawing
from designer.window.recipe.headline import is_empty, wrapped

__all__ = ["Notes", "NotesField", "Problem"]

_PITCH = 20
_PAUSE = 1000
"""After this time [ms] without a key what is typed goes into the recipe."""
_BAR, _INDENT = 3, 12
_FEWEST = 2
_NEGATIVE = re.compile(r"(?<![\w–])-(?=\d)")


class Problem(QWidget):
    """What is wrong in bold, what to do below, beside a bar of ink."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._problem, self._advice = "", ""
        offer_copy(self, lambda: self.text)
        self.hide()

    @property
    def text(self) -> str:
        """What is said; "" while nothing is wrong."""
        return f"{self._problem} {self._advice}".strip()

    def tell(self, problem: str, advice: str) -> None:
        """Say what is wrong and what to do; nothing, if nothing is."""
        self._problem, self._advice = (_NEGATIVE.sub(MINUS, words) for words in (problem, advice))
        self.setAccessibleName(self.text)
        self.setVisible(bool(problem))
        if problem:
            # A screen reader says at once what was refused.
            QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.Alert))
        self.update()

    def lines(self, width: int) -> list[tuple[str, bool]]:
        """Return its lines at a width, and whether each is bold."""
        room = width - _INDENT
        bold = [(row, True) for row in wrapped(self._problem, 0.94 * room, fonts.MEDIUM)]
        return bold + [(row, False) for row in wrapped(self._advice, room, fonts.MEDIUM)]

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Return the height of its lines."""
        return _PITCH * len(self.lines(width))

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the bar and the lines."""
        painter = QPainter(self)
        painter.fillRect(QRectF(0, 0, _BAR, self.height()), theme.now().colour("ink"))
        for number, (row, bold) in enumerate(self.lines(self.width())):
            base = drawing.baseline(_PITCH * number, _PITCH)
            drawing.text(painter, _INDENT, base, row, bold=bold)


class NotesField(QTextEdit):
    """The notes, edited in place; what is typed until the focus leaves is one undo step."""

    def __init__(self, document: Document, parent: QWidget) -> None:
        super().__init__(parent)
        self._document = document
        self.is_refused = False
        self._before: str | None = None  # what stood there when the typing began
        self._gesture = NO_GESTURE
        self._pause = QTimer(self, singleShot=True, interval=_PAUSE)
        self._pause.timeout.connect(self._take_so_far)
        self.textChanged.connect(self._begin)
        self.setAccessibleName("Notes")
        self.setAccessibleDescription("Ctrl+Enter takes them over, Esc brings the old ones back")
        self.setFont(fonts.font())
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAcceptRichText(False)
        self.setTabChangesFocus(True)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self.document().setDocumentMargin(0)
        self.viewport().setAutoFillBackground(False)
        self.setPlaceholderText("Type what is worth remembering")
        self._write(document.recipe.notes)

    def show_notes(self, notes: str) -> None:
        """Show the notes of the recipe, unless others are being typed."""
        if self.document().isModified() or self.is_refused:
            return
        if self.toPlainText() != notes or not notes:
            self._write(notes)

    def _write(self, notes: str) -> None:
        self.blockSignals(True)
        self.setPlainText(notes)
        spaced = QTextBlockFormat()
        fixed = QTextBlockFormat.LineHeightTypes.FixedHeight
        spaced.setLineHeight(_PITCH, fixed.value)
        cursor = QTextCursor(self.document())
        cursor.select(QTextCursor.SelectionType.Document)
        cursor.mergeBlockFormat(spaced)
        self.document().clearUndoRedoStacks()
        self.document().setModified(False)
        self.blockSignals(False)

    def _begin(self) -> None:
        """Take what is typed after a pause, so that no crash takes more than a few words."""
        if self.document().isModified():
            if self._before is None:
                self._before = self._document.recipe.notes
                self._gesture = self._document.new_gesture()
            self._pause.start()

    def _take_so_far(self) -> None:
        try:
            changed = self._document.recipe.with_notes(self.toPlainText())
        except ReadableError:
            return  # told when the typing ends
        self._document.edit("Notes", changed, self._gesture)

    def take(self) -> None:
        """Take over what was typed."""
        if not self.document().isModified():
            return
        recipe, gesture = self._document.recipe, self._gesture
        try:
            changed = recipe.with_notes(self.toPlainText())
        except ReadableError as error:
            self.is_refused = True
            advice = f"{error.advice[:-1]}; Esc brings the old notes back."
            self._document.refuse(ReadableError("Notes", error.problem, advice))
            self.viewport().update()
            return
        self._end()
        self._document.edit("Notes", changed, gesture)

    def restore(self) -> None:
        """Bring the old notes back; there and back leaves no step."""
        before, gesture = self._before, self._gesture
        self._end()
        if before is not None:
            self._document.edit("Notes", self._document.recipe.with_notes(before), gesture)
        self._write(self._document.recipe.notes)

    def _end(self) -> None:
        self._pause.stop()
        self._before, self._gesture = None, NO_GESTURE
        if self.is_refused:
            self.is_refused = False
            self._document.refuse(None)
        self.document().setModified(False)

    def event(self, event: QEvent) -> bool:
        """Let the window undo where there is nothing typed to take back."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            if event.key() == Qt.Key.Key_Delete:
                event.accept()  # of words and letters, not of a variant
                return True
            undoes = event.matches(QKeySequence.StandardKey.Undo)
            redoes = event.matches(QKeySequence.StandardKey.Redo)
            if (undoes and not self.document().isUndoAvailable()) or (
                redoes and not self.document().isRedoAvailable()
            ):
                event.ignore()
                return False
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Take over with Ctrl+Enter, give up with Esc."""
        key = event.key()
        control = event.modifiers() & Qt.KeyboardModifier.ControlModifier
        if key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and control:
            self.take()
        elif key == Qt.Key.Key_Escape and (self.document().isModified() or self.is_refused):
            self.restore()
        elif key == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Show the focus."""
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802
        """Take over what was typed when the focus leaves for another part."""
        super().focusOutEvent(event)
        if event.reason() not in (
            Qt.FocusReason.PopupFocusReason,
            Qt.FocusReason.ActiveWindowFocusReason,
        ):
            self.take()
        self.viewport().update()

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("Ctrl Enter", "take over"), ("Esc", "as it was"), ("Tab", "next")]

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802
        """Draw the text, and the frame of focus or refusal."""
        super().paintEvent(event)
        painter = QPainter(self.viewport())
        box = QRectF(self.viewport().rect())
        if self.is_refused:
            painter.setPen(QPen(theme.now().colour("ink"), 2, Qt.PenStyle.DashLine))
            painter.drawRect(box.adjusted(1, 1, -1, -1))
        elif self.hasFocus():
            drawing.focus_mark(painter, box)


class Notes(QWidget):
    """What was refused or failed, and below it the notes of the recipe."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._refused: ReadableError | None = None
        self._failed: ReadableError | None = None
        self.setAccessibleName("Notes")
        self.problem = Problem(self)
        self.field = NotesField(document, self)
        self.setFocusProxy(self.field)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.field.document().contentsChanged.connect(self.updateGeometry)
        document.changed.connect(self.show_recipe)
        document.refused.connect(self.show_refused)
        document.failed.connect(self.show_failure)
        document.evaluated.connect(lambda _: self.show_failure(None))

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return self.field.keys()

    def show_recipe(self, recipe: Recipe) -> None:
        """Show the notes of the recipe."""
        self.field.show_notes(recipe.notes)

    def show_refused(self, error: ReadableError | None) -> None:
        """Say what was refused and what to type; nothing once it is mended."""
        self._refused = error
        self._tell()

    def show_failure(self, error: ReadableError | None) -> None:
        """Say why the recipe cannot be evaluated; an empty one is told of by the sentence."""
        self._failed = error
        self._tell()

    def _tell(self) -> None:
        failed = None if is_empty(self._document.recipe) else self._failed
        if self._refused is not None:
            told = self._refused.problem, self._refused.advice
        elif failed is not None:
            told = f"{failed.title}: {failed.problem}", failed.advice
        else:
            told = "", ""
        if self.problem.text == " ".join(told).strip():
            return
        self.problem.tell(*told)
        self._place()
        self.updateGeometry()

    def _problem_height(self, width: int) -> int:
        if not self.problem.text:
            return 0
        return self.problem.heightForWidth(width) + 12

    def hasHeightForWidth(self) -> bool:  # noqa: N802
        """Return that lines break with the width."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Return the height of a problem, the head and the notes."""
        rows = max(self.field.document().size().height() / _PITCH, _FEWEST)
        return self._problem_height(width) + drawing.HEAD + 4 + round(_PITCH * min(rows, 6))

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the size at the present width."""
        return QSize(480, self.heightForWidth(max(self.width(), 300)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return room for a problem and two lines of notes."""
        least = drawing.HEAD + 4 + _FEWEST * _PITCH
        return QSize(200, self._problem_height(max(self.width(), 300)) + least)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Place problem and notes."""
        super().resizeEvent(event)
        self._place()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def _place(self) -> None:
        width, top = self.width(), self._problem_height(self.width())
        self.problem.setGeometry(0, 0, width, max(top - 12, 0))
        start = top + drawing.HEAD + 4
        self.field.setGeometry(0, start, width, max(self.height() - start, _PITCH))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the head of the notes."""
        painter = QPainter(self)
        painter.translate(0, self._problem_height(self.width()))
        drawing.head(painter, self.width(), "Notes")
