"""The sentence, first of all that is read."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import combinations, pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPointF, QSize, Signal
from PySide6.QtGui import QGuiApplication, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from designer.document import Document
from designer.errors import ReadableError
from designer.recipe import QS, Recipe
from designer.window import fonts, symbols
from designer.window.copying import offer_copy
from designer.window.recipe import drawing
from designer.window.recipe.working import Working
from designer.wording import headline as words

if TYPE_CHECKING:
    from designer.evaluation.evaluate import Evaluation

__all__ = ["Headline", "broken"]

INDENT, PITCH, SMALL_PITCH = 32, 32, 20
_ABOVE, _BELOW = 4, 0
_MARK = 20
_WIDE = 1500
"""From this width on one line is enough; below it the room of two is kept, so that nothing jumps
while one types."""

_MANY = 9
"""More pieces than a sentence of ours has: a long message, whose lines are full already."""

_CLAUSE_END = re.compile(r"(?<=[;.:]) ")
_INTERVAL = re.compile(r"(\(\d[^)]*\))")


class Headline(QWidget):
    """What the active variant will do, the chance, what that rests on, and what must be heard.

    Signals
    -------
    spoken(str)
        The text has changed; it is the accessible description of the window.
    """

    spoken = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._told = words.Headline("", "", "", "", ())
        self._rows: list[str] = []
        self._small: list[str] = []
        self.setAccessibleName("What the dough will do")
        offer_copy(self, lambda: self.text)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self._working = Working(document, self)
        self._working.changed.connect(lambda _: self.update())
        document.evaluated.connect(self.show_evaluation)
        document.failed.connect(self.show_failure)
        if document.evaluation is not None:
            self.show_evaluation(document.evaluation)

    @property
    def text(self) -> str:
        """All that is said, as one text."""
        return self._told.text

    @property
    def warnings(self) -> tuple[str, ...]:
        """What must be said with the sentence."""
        return self._told.warnings

    @property
    def rows(self) -> tuple[str, ...]:
        """The sentence as it is broken into lines now."""
        return tuple(self._rows)

    def copy(self) -> None:
        """Copy all that is said as text."""
        QGuiApplication.clipboard().setText(self.text)

    def show_evaluation(self, evaluation: Evaluation) -> None:
        """Tell what the active variant will do."""
        from designer.wording.told import headline_of

        recipe = evaluation.recipe
        self._show(headline_of(evaluation, recipe.numbers.index(recipe.active.number)))

    def show_failure(self, error: ReadableError) -> None:
        """Tell why nothing can be said, and what to do."""
        if is_empty(self._document.recipe):
            self._show(words.Headline("", words.EMPTY, "", "", ()))
        else:
            problem = f"{error.title}: {error.problem}"
            self._show(words.Headline("", problem, "", "", (error.advice,)))

    def _show(self, headline: words.Headline) -> None:
        if headline == self._told:
            return
        before = self.heightForWidth(self.width()), self._rows
        self._told = headline
        self.setAccessibleDescription(self.text)
        self._arrange()
        if self.heightForWidth(self.width()) != before[0] or not before[1]:
            self.updateGeometry()
        self.update()
        self.spoken.emit(self.text)

    def sizeHint(self) -> QSize:  # noqa: N802
        """Return the size of two lines."""
        return QSize(600, self.heightForWidth(max(self.width(), 600)))

    def minimumSizeHint(self) -> QSize:  # noqa: N802
        """Return a narrow size; the text breaks into more lines there."""
        return QSize(240, _ABOVE + PITCH + _BELOW)

    def hasHeightForWidth(self) -> bool:  # noqa: N802
        """Return that lines break with the width."""
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802
        """Return the height of all lines at a width."""
        rows, small = arranged(self._told, width - INDENT)
        least = 1 if width >= _WIDE else 2
        return _ABOVE + PITCH * max(len(rows), least) + SMALL_PITCH * len(small) + _BELOW

    def _arrange(self) -> None:
        rows, small = arranged(self._told, self.width() - INDENT)
        self._rows, self._small = list(rows), list(small)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802
        """Break the lines anew."""
        super().resizeEvent(event)
        self._arrange()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802
        """Paint anew in another theme."""
        super().changeEvent(event)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802
        """Draw the mark, the lines, and in small what the chance rests on."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)
        faint = self._working.now
        if self._told.state:
            middle = QPointF(_MARK / 2, _ABOVE + PITCH / 2 - 1)
            symbols.draw_state(painter, middle, self._told.state, _MARK)
        base, end = 0.0, 0.0
        for number, row in enumerate(self._rows):
            base = drawing.baseline(_ABOVE + PITCH * number, PITCH, fonts.LARGE)
            end = _draw_row(painter, row, base, faint)
        note = "working" if faint else self._told.basis
        top = _ABOVE + PITCH * len(self._rows)
        small = self._small
        if note:
            if small and small[0] == self._told.basis:
                small = [note, *small[1:]]
            else:
                drawing.text(painter, end + 16, base, note, fonts.SMALL, token="ink2")
        for number, row in enumerate(small):
            base = drawing.baseline(top + SMALL_PITCH * number, SMALL_PITCH)
            is_note = bool(note) and number == 0 and row == note
            drawing.text(
                painter,
                INDENT,
                base,
                row,
                fonts.SMALL if is_note else fonts.MEDIUM,
                token="ink2" if is_note or faint else "ink",
            )


def _draw_row(painter: QPainter, row: str, base: float, faint: bool) -> float:
    """Draw a line of the sentence, intervals in less weight; return where it ends."""
    x = float(INDENT)
    for piece in _INTERVAL.split(row):
        token = "ink2" if faint or _INTERVAL.fullmatch(piece) else "ink"
        x = drawing.text(painter, x, base, piece, fonts.LARGE, token=token)
    return x


@lru_cache(maxsize=64)
def arranged(headline: words.Headline, width: float) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the lines of a headline at a width: large ones, and those of medium size below.

    What the chance rests on is among those below only where it does not fit behind the last line.
    """
    width = max(width, 120.0)
    clauses = _CLAUSE_END.split(headline.sentence) if headline.sentence else []
    if headline.chance:
        clauses.append(headline.chance)
    rows = broken(tuple(clauses), width)
    below: list[str] = []
    if headline.basis and rows:
        note = fonts.metrics(fonts.SMALL).horizontalAdvance(headline.basis) + 16
        if fonts.metrics(fonts.LARGE).horizontalAdvance(rows[-1]) + note > width:
            below.append(headline.basis)
    for warning in headline.warnings:
        below += wrapped(warning, width, fonts.MEDIUM)
    return tuple(rows), tuple(below)


def broken(clauses: tuple[str, ...], width: float) -> list[str]:
    """Return clauses as lines: as few as fit, and of those breaks the most even one.

    A clause is only broken inside when it does not fit alone.
    """
    measure = fonts.metrics(fonts.LARGE).horizontalAdvance
    whole: list[str] = []
    for clause in clauses:
        whole += [clause] if measure(clause) <= width else _inside(clause, width)
    if len(whole) > _MANY:
        return whole
    best: tuple[float, list[str]] | None = None
    for count in range(1, len(whole) + 1):
        for cuts in combinations(range(1, len(whole)), count - 1):
            ends = [0, *cuts, len(whole)]
            rows = [" ".join(whole[a:b]) for a, b in pairwise(ends)]
            widest = max(measure(row) for row in rows)
            if widest <= width and (best is None or widest < best[0]):
                best = widest, rows
        if best is not None:
            return best[1]
    return whole


def _inside(clause: str, width: float) -> list[str]:
    """Return a clause that is too long for a line in pieces: at its clause ends, else at words."""
    measure = fonts.metrics(fonts.LARGE).horizontalAdvance
    pieces = _CLAUSE_END.split(clause)
    if len(pieces) > 1 and all(measure(piece) <= width for piece in pieces):
        return pieces
    return wrapped(clause, width, fonts.LARGE)


def wrapped(text: str, width: float, size: int) -> list[str]:
    """Return a text as lines no wider than `width`; a longer word is cut."""
    measure = fonts.metrics(size).horizontalAdvance
    rows, row = [], ""
    for word in text.split(" "):
        longer = f"{row} {word}" if row else word
        if measure(longer) <= width:
            row = longer
            continue
        if row:
            rows.append(row)
        while measure(word) > width:
            cut = next(n for n in range(len(word), 0, -1) if n == 1 or measure(word[:n]) <= width)
            rows.append(word[:cut])
            word = word[cut:]
        row = word
    return [*rows, row] if row else rows


def is_empty(recipe: Recipe) -> bool:
    """Return whether the active variant has nothing in it."""
    number = recipe.active.number
    figures = (row.percents.get(number) for row in recipe.rows)
    return not any(cell is QS or cell for cell in figures)
