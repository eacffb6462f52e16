"""What the hands feel: five keys with the marks of the states."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from designer.vocabulary import STATES
from designer.window import fonts, symbols, theme
from designer.window.bench.measures import SMALL
from designer.window.key import PaintedKey
from designer.window.recipe import drawing
from designer.wording.words import MEANING

__all__ = ["FeelKey", "FeelKeys"]

_HEIGHT, _MARK = 80, 20


class FeelKey(PaintedKey):
    """One state of the dough; its number is the key that presses it."""

    def __init__(self, number: int, state: str) -> None:
        super().__init__()
        self.state, self._number = state, number
        self.setText(state)
        self.setAccessibleName(f"{state}: {MEANING[state]}")
        self.setToolTip(MEANING[state])
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._chosen = False

    @property
    def is_chosen(self) -> bool:
        """Whether it is what was felt last."""
        return self._chosen

    def choose(self, chosen: bool) -> None:
        """Mark it as what was felt last, or not."""
        if chosen != self._chosen:
            self._chosen = chosen
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return a target that a glove meets."""
        return QSize(112, _HEIGHT)

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw frame, mark, word and number."""
        painter, used = QPainter(self), theme.now()
        box = QRectF(self.rect())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        chosen = self._chosen and self.isEnabled()
        width = 2.5 if chosen else 1.0
        token = "accent" if chosen else "ink" if self.underMouse() else "line"
        painter.setPen(QPen(used.colour(token if self.isEnabled() else "hair"), width))
        painter.setBrush(used.colour("paper" if chosen or self.isDown() else "ground"))
        inset = width / 2 + 0.5
        painter.drawRoundedRect(box.adjusted(inset, inset, -inset, -inset), 2, 2)
        painter.setOpacity(1.0 if self.isEnabled() else 0.45)
        symbols.draw_state(painter, QPointF(box.center().x(), 30), self.state, _MARK)
        words = fonts.metrics(SMALL, chosen).horizontalAdvance(self.state)
        x = round((box.width() - words) / 2)
        base = drawing.baseline(46, 26, SMALL)
        drawing.text(painter, x, base, self.state, SMALL, chosen)
        number = str(self._number)
        drawing.text_right(painter, box.right() - 9, 18, number, fonts.SMALL, token="ink2")
        if self.hasFocus():
            drawing.focus_mark(painter, box.adjusted(3, 3, -3, -3))


class FeelKeys(QWidget):
    """The five keys, dry to wet.

    Signals
    -------
    felt(str)
        One was pressed.
    """

    felt = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("What you feel")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(8)
        self.keys_of: dict[str, FeelKey] = {}
        for number, state in enumerate(STATES, 1):
            key = FeelKey(number, state)
            key.clicked.connect(lambda _=False, state=state: self.felt.emit(state))
            self.keys_of[state] = key
            layout.addWidget(key)

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("1–5", "what you feel"), ("← →", "the next one"), ("D", "done"), ("O", "another")]

    @property
    def focused(self) -> FeelKey | None:
        """The key that has the focus."""
        return next((key for key in self.keys_of.values() if key.hasFocus()), None)

    @property
    def chosen(self) -> str:
        """The state that was felt last, or ""."""
        return next((one for one, key in self.keys_of.items() if key.is_chosen), "")

    def choose(self, state: str) -> None:
        """Mark the state that was felt last; "" for none."""
        for one, key in self.keys_of.items():
            key.choose(one == state)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802
        """Walk from key to key."""
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        keys = list(self.keys_of.values())
        at = next((k for k, key in enumerate(keys) if key.hasFocus()), None)
        if step and at is not None:
            keys[max(0, min(at + step, len(keys) - 1))].setFocus()
        else:
            super().keyPressEvent(event)
