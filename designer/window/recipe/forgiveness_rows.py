"""How what a recipe forgives is drawn: sentences, intervals on strips, shares as bars."""

from functools import partial

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPolygonF

from designer.window import fonts, theme
from designer.window.recipe import drawing
from designer.window.recipe.headline import wrapped
from designer.window.recipe.panel_list import Item
from designer.wording.forgiveness_lines import Drift, Share

__all__ = ["REACH", "drift_item", "has_strips", "head_item", "share_item", "text_item"]

ROW = 24
REACH = 10.0
"""How far a strip reaches to each side, in times of what is easily missed."""
_HEAD, _SHARE = 28, 20
_LINES = {fonts.MEDIUM: 18, fonts.SMALL: 15}
_NAME, _FIGURE, _NARROW = 0.38, 66, 330
_BLOCK, _TICK, _CAP, _BAR = 11, 17, 5, 8
_NUMBER, _INSET = 18, 4
_CLEAN = 44
"""What the second figure of a share takes."""


def text_item(
    words: str, width: int, number: str = "", size: int = fonts.MEDIUM, details: str = ""
) -> Item:
    """Return a sentence in as many lines as it needs, a number or mark in front of it.

    One with a number can be chosen.
    """
    start = _NUMBER if number else 0
    rows = wrapped(words, width - start - 4, size)
    height = _LINES[size]
    draw = partial(_draw_text, rows=rows, number=number, size=size)
    spoken = words if number else ""
    return Item(f"text {words}", height * len(rows) + 4, draw, spoken, details)


def head_item(title: str, note: str = "") -> Item:
    """Return the head of a group, with a note at its right."""

    def draw(painter: QPainter, box: QRectF, token: str) -> None:
        base = drawing.baseline(box.top() + 6, box.height() - 8)
        end = drawing.text(painter, 0, base, title, bold=True, token=token)
        room = box.right() - end - 12
        shown = drawing.elided(note, room, fonts.SMALL)
        drawing.text_right(painter, box.right(), base, shown, fonts.SMALL, token="ink2")
        drawing.line(painter, box.left(), box.right(), box.bottom() - 1, "line")

    return Item(f"head {title}", _HEAD, draw)


def drift_item(one: Drift) -> Item:
    """Return the interval of one thing."""
    return Item(f"drift {one.name}", ROW, partial(_draw_drift, one=one), one.spoken, one.details)


def share_item(one: Share, most: float) -> Item:
    """Return one thing that is not known; `most` is the share of the longest bar."""
    draw = partial(_draw_share, one=one, most=most)
    return Item(f"share {one.name}", _SHARE, draw, one.spoken, one.details)


def _draw_text(
    painter: QPainter, box: QRectF, token: str, rows: list[str], number: str, size: int
) -> None:
    height = _LINES[size]
    for line, row in enumerate(rows):
        base = drawing.baseline(box.top() + height * line, height, size)
        if number and not line:
            drawing.text_right(painter, _NUMBER - 6, base, number, fonts.SMALL, token="ink2")
        shade = "ink2" if size == fonts.SMALL else token
        drawing.text(painter, _NUMBER if number else 0, base, row, size, token=shade)


def has_strips(width: float) -> bool:
    """Return whether there is room for strips between names and figures."""
    return width >= _NARROW


def _draw_drift(painter: QPainter, box: QRectF, token: str, one: Drift) -> None:
    drawing.line(painter, box.left(), box.right(), box.bottom() - 1)
    base = drawing.baseline(box.top(), box.height())
    small = drawing.baseline(box.top(), box.height(), fonts.SMALL)
    right = box.right() - 4
    if not has_strips(box.width()):
        ends = f"{one.less} … {one.more}"
        start = drawing.text_right(painter, right, small, ends, fonts.SMALL, token=token)
        shown = drawing.elided(one.name, start - 10 - _INSET)
        drawing.text(painter, _INSET, base, shown, token=token)
        return
    name = round(_NAME * box.width())
    shown = drawing.elided(one.name, name - _INSET - 8)
    drawing.text(painter, _INSET, base, shown, token=token)
    left, end = name + _FIGURE, right - _FIGURE
    drawing.text_right(painter, left - 10, small, one.less, fonts.SMALL, token=token)
    drawing.text_right(painter, right, small, one.more, fonts.SMALL, token=token)
    _draw_strip(painter, QRectF(left, box.top(), end - left, box.height() - 1), one, token)


def _draw_strip(painter: QPainter, box: QRectF, one: Drift, token: str) -> None:
    """Draw the interval around where it stands; what goes on beyond the strip has no cap."""
    used = theme.now()
    left, right, middle = round(box.left()), round(box.right()), round(box.center().y())
    at = (left + right) / 2
    scale = (right - left) / 2 / REACH
    first = round(at - min(one.low, REACH) * scale)
    last = round(at + min(one.high, REACH) * scale)
    block = QRectF(first, middle - _BLOCK // 2, max(last - first, 1), _BLOCK)
    painter.fillRect(block, used.colour("good"))
    axis = used.colour("line")
    painter.fillRect(QRectF(left, middle, right - left, 1), axis)
    for x, slips, ends in ((first, one.low, one.ends_low), (last, one.high, one.ends_high)):
        if ends and slips <= REACH:
            painter.fillRect(QRectF(x, block.top(), 1, _BLOCK), used.colour("ink"))
    if one.low > REACH or not one.ends_low:
        _wedge(painter, first if one.low <= REACH else left, middle, -1)
    if one.high > REACH or not one.ends_high:
        _wedge(painter, last if one.high <= REACH else right, middle, 1)
    tick = used.colour("ink2" if token == "ink2" else "accent")
    painter.fillRect(QRectF(round(at - 1.5), middle - _TICK // 2, 3, _TICK), tick)


def _wedge(painter: QPainter, x: float, middle: float, side: int) -> None:
    """Draw that an interval goes on."""
    points = [(x + 5 * side, middle + 0.5), (x, middle - 3.5), (x, middle + 4.5)]
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.now().colour("line"))
    painter.drawPolygon(QPolygonF([QPointF(a, b) for a, b in points]))
    painter.restore()


def _draw_share(painter: QPainter, box: QRectF, token: str, one: Share, most: float) -> None:
    base = drawing.baseline(box.top(), box.height())
    right = box.right() - 4
    small = drawing.baseline(box.top(), box.height(), fonts.SMALL)
    drawing.text_right(painter, right, small, one.clean, fonts.SMALL, token="ink2")
    drawing.text_right(painter, right - _CLEAN, base, one.words, token=token)
    bars = min(0.2 * box.width(), 120.0)
    start = round(right - _CLEAN - 38 - bars)
    name = drawing.elided(one.name, start - _INSET - 10)
    drawing.text(painter, _INSET, base, name, token=token)
    length = round(bars * one.share / most) if most > 0 else 0
    middle = round(box.center().y())
    bar = QRectF(start, middle - _BAR // 2, max(length, 1), _BAR)
    painter.fillRect(bar, theme.now().colour("ink2"))
    painter.fillRect(QRectF(start, box.top(), 1, box.height()), theme.now().colour("line"))
