"""What to do with the dough now: one advice large, its keys, and the others below it."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from designer.window import fonts, theme
from designer.window.bench.measures import SMALL, TARGET, TITLE, WORDS
from designer.window.figures import glued
from designer.window.key import Key

if TYPE_CHECKING:
    from designer.wording.bowl_lines import BowlWords

__all__ = ["AnswerView", "Words"]

_OTHERS = 3


class Words(QLabel):
    """Plain text that wraps, in a size and a colour of the theme."""

    def __init__(self, size: int, bold: bool = False, token: str = "ink") -> None:
        super().__init__()
        self._token = token
        self.setFont(fonts.font(size, bold))
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._dress()

    def _dress(self) -> None:
        palette = self.palette()
        palette.setColor(self.foregroundRole(), theme.now().colour(self._token))
        self.setPalette(palette)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Take the colour of another theme."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.PaletteChange and (
            self.palette().color(self.foregroundRole()) != theme.now().colour(self._token)
        ):
            self._dress()

    def say(self, words: str) -> None:
        """Show words; without any it takes no room."""
        self.setText(glued(words))
        self.setVisible(bool(words))


class AnswerView(QWidget):
    """The advice.

    Signals
    -------
    done(int)
        The maker does what the advice of that place says.
    turned()
        Another advice is shown, or none.
    """

    done = Signal(int)
    turned = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("What to do now")
        self._told: BowlWords | None = None
        self._place = 0
        self._busy = False
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        self.standing = Words(SMALL, token="ink2")
        self.title = Words(TITLE, True)
        self.steps = Words(WORDS)
        self.chance = Words(SMALL, token="ink2")
        for label in (self.standing, self.title, self.steps, self.chance):
            layout.addWidget(label)
        row = QHBoxLayout()
        row.setSpacing(12)
        self.do_key = Key("Done", self, first=True, size=WORDS, height=TARGET)
        self.other_key = Key("Another advice", self, size=SMALL, height=TARGET)
        self.do_key.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.do_key.clicked.connect(self.do)
        self.other_key.clicked.connect(self.show_other)
        row.addWidget(self.do_key, 2)
        row.addWidget(self.other_key, 1)
        layout.addSpacing(4)
        layout.addLayout(row)
        self.others = Words(SMALL, token="ink2")
        layout.addSpacing(4)
        layout.addWidget(self.others)
        layout.addStretch(1)
        self._show()

    @property
    def place(self) -> int:
        """Which advice is shown, from 0."""
        return self._place

    @property
    def told(self) -> "BowlWords | None":
        """What is advised, in words; None while nothing is."""
        return self._told

    def be_low(self, low: bool) -> None:
        """Take less height, or as much as is good to read."""
        self.steps.setFont(fonts.font(SMALL if low else WORDS))

    def keys(self) -> list[tuple[str, str]]:
        """Return the keys that work here."""
        return [("D", "done"), ("O", "another advice"), ("1–5", "what you feel")]

    def say(self, words: str, busy: bool = False) -> None:
        """Show a sentence in place of advice."""
        self._told, self._busy, self._place = None, busy, 0
        self._show()
        self.standing.say(words)
        self.setAccessibleDescription(words)

    def show_answer(self, told: "BowlWords") -> None:
        """Show advice, the best first."""
        self._told, self._busy, self._place = told, False, 0
        self._show()

    def do(self) -> None:
        """Do what is shown."""
        if self._told is not None and self._told.lines:
            self.done.emit(self._place)

    def show_other(self) -> None:
        """Show the next advice, after the last one the first."""
        if self._told is not None and len(self._told.lines) > 1:
            self._place = (self._place + 1) % len(self._told.lines)
            self._show()

    def _show(self) -> None:
        told = self._told
        lines = told.lines if told is not None else ()
        one = lines[self._place] if lines else None
        self.standing.say(told.standing if told is not None else "")
        self.title.say(one.title if one else "")
        self.steps.say(one.steps if one else "")
        self.chance.say(one.chance if one else "")
        self.do_key.setText(one.key if one else "")
        self.do_key.setAccessibleName(f"{one.key}: {one.title}" if one else "Done")
        self.do_key.setVisible(one is not None)
        self.other_key.setVisible(len(lines) > 1)
        others = [
            f"{line.title}: {line.chance}" for k, line in enumerate(lines) if k != self._place
        ]
        more = len(others) - _OTHERS
        rest = [*others[:_OTHERS], *([f"and {more} more"] if more > 0 else [])]
        self.others.say("\n".join(rest))
        if told is not None:
            first = f"{one.title}. {one.steps} {one.chance}." if one else ""
            self.setAccessibleDescription(f"{told.standing} {first}".strip())
        self.updateGeometry()
        self.turned.emit()

    @property
    def notes(self) -> tuple[str, ...]:
        """What belongs to the advice that is shown: the recipe as made, and what to mind."""
        if self._told is None:
            return ()
        lines = self._told.lines
        made = (lines[self._place].made,) if lines and lines[self._place].made else ()
        return (*made, *self._told.cautions, *self._told.refused)
