"""What the painted parts of the page share: heads, lines, texts on a baseline, the focus mark."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from designer.window import fonts, theme

__all__ = [
    "HEAD",
    "baseline",
    "elided",
    "fitted",
    "focus_mark",
    "head",
    "line",
    "text",
    "text_right",
]

HEAD = 28
"""Height of a head with its rule [logical px]."""

_SHORTEST = 4
"""Letters that are left of a name at least."""


def baseline(top: float, height: float, size: int = fonts.MEDIUM) -> float:
    """Return the baseline that centres capitals and digits in a row, on a whole pixel."""
    return round(top + (height + fonts.metrics(size).capHeight()) / 2)


def text(
    painter: QPainter,
    x: float,
    base: float,
    words: str,
    size: int = fonts.MEDIUM,
    bold: bool = False,
    token: str = "ink",
) -> float:
    """Draw words from `x` on a baseline; return where they end."""
    painter.setFont(fonts.font(size, bold))
    painter.setPen(theme.now().colour(token))
    painter.drawText(QPointF(x, base), words)
    return x + fonts.metrics(size, bold).horizontalAdvance(words)


def text_right(
    painter: QPainter,
    right: float,
    base: float,
    words: str,
    size: int = fonts.MEDIUM,
    bold: bool = False,
    token: str = "ink",
) -> float:
    """Draw words that end at `right`; return where they begin."""
    x = right - fonts.metrics(size, bold).horizontalAdvance(words)
    text(painter, x, base, words, size, bold, token)
    return x


def elided(words: str, width: float, size: int = fonts.MEDIUM, bold: bool = False) -> str:
    """Return words cut to a width, with an ellipsis where something is left out."""
    return fonts.metrics(size, bold).elidedText(words, Qt.TextElideMode.ElideRight, width)


def fitted(parts: Sequence[tuple[str, str]], room: float, spared: int = 0) -> str:
    """Return names with their figures, the longest names cut until all fit: never the figures.

    The first name is cut once the others have no more than `spared` letters, where that is given.
    """
    measure = fonts.metrics().horizontalAdvance
    names = [name for name, _ in parts]

    def joined() -> str:
        pairs = zip(names, parts, strict=True)
        return ", ".join(f"{name} {figure}".rstrip() for name, (_, figure) in pairs)

    while measure(joined()) > room:
        others = range(1, len(names)) if spared else range(0)
        ready = [k for k in others if len(names[k]) > spared] or range(len(names))
        longest = max(ready, key=lambda k: len(names[k]))
        kept = names[longest].removesuffix("…")
        if len(kept) <= _SHORTEST:
            return elided(joined(), room)
        names[longest] = f"{kept[:-1].rstrip(' ,/(')}…"
    return joined()


def line(painter: QPainter, left: float, right: float, y: float, token: str = "hair") -> None:
    """Draw a rule of 1 px in the pixel row `y`."""
    painter.fillRect(QRectF(left, y, right - left, 1), theme.now().colour(token))


def head(painter: QPainter, width: float, title: str, note: str = "", side: str = "left") -> None:
    """Draw the head of a part: its title, a note beside it or at the right, and the rule below."""
    base = baseline(0, HEAD - 4)
    end = text(painter, 0, base, title, bold=True)
    if note:
        shown = elided(note, width - end - 12, fonts.SMALL)
        if side == "right":
            text_right(painter, width, base, shown, fonts.SMALL, token="ink2")
        else:
            text(painter, end + 12, base, shown, fonts.SMALL, token="ink2")
    line(painter, 0, width, HEAD - 1, "line")


def focus_mark(painter: QPainter, box: QRectF) -> None:
    """Draw the mark of the focus inside a box: 2 px of accent."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(theme.now().colour("accent"), 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(box.adjusted(1, 1, -1, -1), 2, 2)
    painter.restore()
