"""The foot of the window: keys of the part in use, the last step, when it was saved."""

from PySide6.QtCore import QEvent, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QSizePolicy, QWidget

from designer.document import Document
from designer.errors import Notice, ReadableError
from designer.window import fonts
from designer.window.copying import offer_copy
from designer.window.recipe import drawing

__all__ = ["GENERAL", "HEIGHT", "Foot"]

HEIGHT = 24
_MARGIN, _GAP = 16, 16

GENERAL = (("F6", "next part"), ("Tab", "next"), ("Ctrl F1", "all keys"))
"""Keys told while no part of the page says which are its own."""


class Foot(QWidget):
    """Keys at the left; at the right what Ctrl Z takes back, or what was not taken, and saving."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._keys: tuple[tuple[str, str], ...] = GENERAL
        self._tip = ""
        self._refused: ReadableError | None = None
        self.setAccessibleName("Keys and last step")
        offer_copy(self, lambda: self.step_text)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(HEIGHT)
        # What the stack says is kept, for it speaks once more while it is taken down.
        self._step, self._clean = document.undo_stack.undoText(), document.undo_stack.isClean()
        document.undo_stack.undoTextChanged.connect(self._show_step)
        document.undo_stack.cleanChanged.connect(self._show_clean)
        document.place_changed.connect(self._tell)
        document.refused.connect(self._refuse)
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._show_focus)
        self._tell()

    @property
    def keys_text(self) -> str:
        """The keys as they are told."""
        return "   ".join(f"{key} {words}" for key, words in self._keys)

    @property
    def step_text(self) -> str:
        """What the last step was, or what was not taken over."""
        if self._refused is not None:
            told = self._refused.problem
            return told if isinstance(self._refused, Notice) else f"Not taken: {told}"
        return f"Ctrl Z takes back: {self._step}" if self._step else ""

    @property
    def saved_text(self) -> str:
        """Whether and when the recipe was saved."""
        saved_at, clean = self._document.saved_at, self._clean
        if self._document.path is None:
            return "not saved yet"
        if saved_at is None:
            return "saved" if clean else "changed since it was opened"
        return f"{'saved' if clean else 'changed since'} {saved_at:%H:%M}"

    def show_keys(self) -> None:
        """Show the keys again: what has the focus has others now."""
        self._show_focus(None, QApplication.focusWidget())

    def show_tip(self, tip: str) -> None:
        """Show what a command does in place of the keys; "" shows the keys again."""
        self._tip = tip
        self.update()

    def _show_step(self, step: str) -> None:
        self._step = step
        self._tell()

    def _show_clean(self, clean: bool) -> None:
        self._clean = clean
        self._tell()

    def _refuse(self, error: ReadableError | None) -> None:
        self._refused = error
        self._tell()

    def _tell(self) -> None:
        parts = filter(None, (self.step_text, self.saved_text))
        self.setAccessibleDescription(f"{self.keys_text}. {'. '.join(parts)}")
        self.update()

    def _show_focus(self, _old: QWidget | None, new: QWidget | None) -> None:
        """Tell the keys of the part that has the focus, or of the nearest around it."""
        if new is None or new.window() is not self.window():
            return
        found: QWidget | None = new
        while found is not None and not callable(getattr(found, "keys", None)):
            found = found.parentWidget()
        keys = tuple(found.keys()) if found is not None else GENERAL  # type: ignore[attr-defined]
        if keys != self._keys:
            self._keys = keys
            self._tell()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the height of a foot."""
        return QSize(600, HEIGHT)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the rule and the texts; keys give way to the last step where both do not fit."""
        painter = QPainter(self)
        drawing.line(painter, 0, self.width(), 0, "line")
        base = drawing.baseline(1, HEIGHT - 1, fonts.SMALL)
        right = float(self.width() - _MARGIN)
        right = drawing.text_right(painter, right, base, self.saved_text, fonts.SMALL, token="ink2")
        if step := self.step_text:
            room = max(right - 24 - self.width() * 0.4, 120.0)
            step = drawing.elided(step, room, fonts.SMALL)
            token = "ink" if self._refused is not None else "ink2"
            right = drawing.text_right(painter, right - 24, base, step, fonts.SMALL, token=token)
        self._draw_keys(painter, base, right - 24)

    def _draw_keys(self, painter: QPainter, base: float, end: float) -> None:
        x = float(_MARGIN)
        if self._tip:
            words = drawing.elided(self._tip, end - x, fonts.SMALL)
            drawing.text(painter, x, base, words, fonts.SMALL)
            return
        bold, plain = fonts.metrics(fonts.SMALL, bold=True), fonts.metrics(fonts.SMALL)
        for key, words in self._keys:
            width = bold.horizontalAdvance(key) + 4 + plain.horizontalAdvance(words)
            if x + width > end:
                return
            after = drawing.text(painter, x, base, key, fonts.SMALL, bold=True)
            x = drawing.text(painter, after + 4, base, words, fonts.SMALL, token="ink2") + _GAP
