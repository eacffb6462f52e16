"""What is in the bowl and what was done with it, by the clock on the wall."""

from datetime import datetime

from PySide6.QtCore import QEvent, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.document.bowl import InHand
from designer.quantities import written
from designer.window import fonts, theme
from designer.window.bench.measures import SMALL, WORDS
from designer.window.figures import spaced
from designer.window.recipe import drawing
from designer.window.recipe.headline import wrapped

__all__ = ["Work"]

_ROW, _TIME = 46, 72

_ANOTHER = (
    "What is added changes this lot: it is another formula than the recipe, to be held until a "
    "named person releases it."
)


class Work(QWidget):
    """A list of what was done, the newest below, and the mass in the bowl above it."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName("What was done")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._state = InHand()

    def show_state(self, state: InHand) -> None:
        """Show what is known of the dough."""
        self._state = state
        rows = [f"{self._wall(one.age)} {one.words}" for one in state.log]
        told = [f"{spaced(written(state.mass, 'mass'))} in the bowl"] if state.recipe else []
        self.setAccessibleDescription("; ".join([*told, *rows]) or "Nothing was poured yet")
        self.update()

    @property
    def lines(self) -> tuple[str, ...]:
        """What was done, in order."""
        return tuple(one.words for one in self._state.log)

    def _wall(self, age: float) -> str:
        assert self._state.poured is not None
        return f"{datetime.fromtimestamp(self._state.poured + age):%H:%M}"

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return room for some lines."""
        return QSize(480, 6 * _ROW)

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the mass, what was done, and what additions mean."""
        painter, state, width = QPainter(self), self._state, float(self.width())
        base = drawing.baseline(0, _ROW, WORDS)
        end = drawing.text(painter, 0, base, "In the bowl", WORDS, True)
        drawing.text(painter, end + 12, base, "g, as made", SMALL, token="ink2")
        mass = written(state.mass, "mass").split()[0] if state.recipe is not None else "–"
        drawing.text_right(painter, width, base, mass, WORDS, True)
        painter.fillRect(QRectF(0, _ROW - 2, width, 2), theme.now().colour("ink"))
        room = max(1, (self.height() - _ROW - 60) // _ROW)
        y = float(_ROW)
        for one in state.log[-room:]:
            base = drawing.baseline(y, _ROW, WORDS)
            drawing.text(painter, 0, base, self._wall(one.age), SMALL, token="ink2")
            words = drawing.elided(one.words, width - _TIME - 90, WORDS)
            drawing.text(painter, _TIME, base, words, WORDS)
            after = f"at {one.age / 60:.0f} min"
            drawing.text_right(painter, width, base, after, SMALL, token="ink2")
            y += _ROW
            drawing.line(painter, _TIME, width, y - 1)
        if not state.log:
            base = drawing.baseline(y, _ROW, SMALL)
            drawing.text(painter, 0, base, "Nothing was poured yet.", SMALL, token="ink2")
        if state.additions:
            y += 12
            for row in wrapped(_ANOTHER, self.width(), SMALL):
                drawing.text(
                    painter, 0, y + fonts.metrics(SMALL).ascent(), row, SMALL, token="ink2"
                )
                y += 22
