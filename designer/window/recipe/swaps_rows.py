"""How a stand-in is drawn in the list of swaps."""

from functools import partial

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter

from designer.window import fonts, symbols
from designer.window.recipe import drawing
from designer.window.recipe.panel_list import Item
from designer.wording.swap_lines import SwapWords

__all__ = ["ROW", "head_item", "kept_item", "offer_item", "refused_item"]

ROW, _HEAD = 38, 26
_LINE = 17
_NUMBER, _MARK, _SIDE = 22, 10, 6
_SPARED = 9
"""Letters left of what goes in beside a stand-in, before the name of that is cut."""


def offer_item(number: int, one: SwapWords, kept: str) -> Item:
    """Return a stand-in: what goes in, below it how the dough is then and what else moves."""
    spoken = f"{one.spoken}, {kept}" if kept else one.spoken
    details = f"{one.details} {kept[:1].upper()}{kept[1:]}.".strip() if kept else one.details
    draw = partial(_draw_offer, number=number, one=one, kept=bool(kept))
    return Item(f"offer {one.parts[0][0]}", ROW, draw, spoken, details)


def kept_item(one: SwapWords, serial: int) -> Item:
    """Return a kept swap that is not among the stand-ins found now."""
    draw = partial(_draw_plain, title=one.parts, told=one.rest)
    return Item(f"kept {serial}", ROW, draw, f"{one.moves}: {one.rest}", one.details)


def refused_item(one: SwapWords) -> Item:
    """Return what is no stand-in, with the reason."""
    draw = partial(_draw_plain, title=one.parts, told=one.why_not)
    return Item(f"none {one.moves}", ROW, draw, one.spoken, one.details)


def head_item(words: str) -> Item:
    """Return what parts the stand-ins from the others."""

    def draw(painter: QPainter, box: QRectF, token: str) -> None:
        base = drawing.baseline(box.top() + 4, box.height() - 4, fonts.SMALL)
        drawing.text(painter, 0, base, words, fonts.SMALL, bold=True, token=token)
        drawing.line(painter, box.left(), box.right(), box.bottom() - 1, "line")

    return Item(f"head {words}", _HEAD, draw)


def _lines(box: QRectF) -> tuple[float, float]:
    """Return the baselines of the two lines of a row."""
    upper = drawing.baseline(box.top() + 2, _LINE)
    return upper, drawing.baseline(box.top() + 2 + _LINE, _LINE, fonts.SMALL)


def _draw_offer(
    painter: QPainter, box: QRectF, token: str, number: int, one: SwapWords, kept: bool
) -> None:
    drawing.line(painter, box.left(), box.right(), box.bottom() - 1)
    upper, lower = _lines(box)
    drawing.text_right(painter, _NUMBER - 6, upper, str(number), fonts.SMALL, token="ink2")
    right = box.right() - 4
    if kept:
        right = drawing.text_right(painter, right, upper, "kept", fonts.SMALL, True, token) - 8
    words = drawing.fitted(one.parts, right - _NUMBER, _SPARED)
    drawing.text(painter, _NUMBER, upper, words, token=token)
    x: float = _NUMBER
    if one.state:
        centre = QPointF(_NUMBER + _MARK / 2, box.top() + 2 + 1.5 * _LINE)
        symbols.draw_state(painter, centre, one.state, _MARK)
        x += _MARK + _SIDE
    x = drawing.text(painter, x, lower, one.reached, fonts.SMALL, bold=True, token=token)
    rest = ", ".join(part for part in (one.was, one.rest) if part)
    if rest:
        shown = drawing.elided(rest, box.right() - 4 - x - 8, fonts.SMALL)
        drawing.text(painter, x + 8, lower, shown, fonts.SMALL, token="ink2")


def _draw_plain(
    painter: QPainter, box: QRectF, token: str, title: tuple[tuple[str, str], ...], told: str
) -> None:
    drawing.line(painter, box.left(), box.right(), box.bottom() - 1)
    upper, lower = _lines(box)
    room = box.right() - 4 - _NUMBER
    drawing.text(painter, _NUMBER, upper, drawing.fitted(title, room), token=token)
    shown = drawing.elided(told, room, fonts.SMALL)
    drawing.text(painter, _NUMBER, lower, shown, fonts.SMALL, token="ink2")
