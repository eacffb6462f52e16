"""The label at real size: its frame, the ruler mark, and a page with what to know before print."""

from dataclasses import dataclass

from designer.evaluation.label_sheet import LabelSheet
from designer.evaluation.letters import Height, small_print, weight_print
from designer.evaluation.net_content import plain_figure
from designer.window.paper.flow import A4, LETTER, Flow, Paper, pages
from designer.window.paper.ink import Item, Stroke, Text, advance, digit_height, moved, x_height
from designer.wording.label_text import as_of, label_parts, notes_before_print, title

__all__ = ["PAD", "RULER", "Drawn", "drawn", "page_paper", "paper_pages", "ruler", "vector"]

PAD = 3.0
"""Space inside the frame [mm]."""

RULER = 50.0
"""Length of the mark [mm] that a ruler is held to."""

_NOTE = 2.6
_RULER_HEIGHT = 9.0
_ROOM = 0.02
"""Share by which letters are larger than they must be, for what a printer loses."""


@dataclass(frozen=True)
class Drawn:
    """A label at real size.

    Attributes
    ----------
    items : tuple of Item
        From its upper left corner, without the frame.
    width, height : float [mm]
        Of the frame.
    weight : (float, float) or None [mm]
        Baseline and height of the letters of the net weight.
    least : Height
        What they must be at least.
    """

    items: tuple[Item, ...]
    width: float
    height: float
    weight: tuple[float, float] | None
    least: Height

    @property
    def frame(self) -> Stroke:
        """The line along which it is cut."""
        w, h = self.width, self.height
        return Stroke(((0, 0), (w, 0), (w, h), (0, h)), 0.2, "line", closed=True)


def em_for(height: Height, bold: bool = False) -> float:
    """Return the size of type [mm] whose letters have a least height."""
    share = digit_height(bold) if height.by == "digits" else x_height(bold)
    return float(height.millimetres) * (1 + _ROOM) / share


def drawn(sheet: LabelSheet, languages: str, width: float) -> Drawn:
    """Return the label of a sheet, `width` wide [mm]."""
    small = em_for(small_print(sheet.market))
    least = weight_print(sheet)
    sizes = {"product": (1.7 * small, True), "weight": (em_for(least, True), True)}
    sizes["hold"] = (1.3 * small, True)
    sizes["function"] = (1.15 * small, False)
    flow = Flow(width - 2 * PAD)
    weight = None
    before = ""
    for part in label_parts(sheet, languages):
        em, bold = sizes.get(part.kind, (small, False))
        if before and before != part.kind:
            flow.space(0.7 * small)
        if part.kind == "weight":
            share = digit_height(bold) if least.by == "digits" else x_height(bold)
            weight = (PAD + flow.height + em, em * share)
        flow.text(part.pieces, em, bold=bold)
        before = part.kind
    items = tuple(moved(flow.items, PAD, PAD))
    return Drawn(items, width, flow.height + 2 * PAD, weight, least)


def ruler(y: float = 0.0) -> list[Item]:
    """Return the mark for a ruler with its length in words, from the left at a height."""
    base = y + 3.0
    found: list[Item] = [Stroke(((0, base), (RULER, base)), 0.2)]
    for k in range(int(RULER) // 5 + 1):
        high = 3.0 if k % 10 == 0 else 2.0 if k % 2 == 0 else 1.2
        found.append(Stroke(((5 * k, base), (5 * k, base - high)), 0.2))
    told = f"{RULER:g} mm"
    found.append(Text(0, base + 3.4, told, _NOTE, bold=True))
    x = advance(told, _NOTE, True) + 1.5
    found.append(Text(x, base + 3.4, "print at 100 %, then measure", _NOTE, token="ink2"))
    return found


def page_paper(market: str) -> Paper:
    """Return the paper that is usual where it is sold."""
    return LETTER if market in ("US", "CA") else A4


def paper_pages(
    sheet: LabelSheet, one: Drawn, recipe: str, variant: str
) -> tuple[list[list[Item]], Paper]:
    """Return the pages to print: the label at real size, the ruler mark, what to know before."""
    paper = page_paper(sheet.market)
    flow = Flow(paper.inner)
    flow.text(title(sheet, recipe, variant), 3.6, bold=True)
    flow.space(3)
    flow.put(ruler(), _RULER_HEIGHT)
    room = paper.height - 2 * paper.edge - 10
    if one.height <= room:
        flow.put([*one.items, one.frame, *_height_mark(one)], one.height + 8)
    else:
        _cut(flow, one, room)
    flow.text("Before you print", 3.2, bold=True, stays=True)
    flow.space(1)
    for note in notes_before_print(sheet):
        flow.text(note, _NOTE, indent=4, mark="–")
        flow.space(0.8)
    return pages(flow, paper, f"{recipe or 'Label'}. {as_of(sheet)}"), paper


def _height_mark(one: Drawn) -> list[Item]:
    """Return the mark beside the frame that shows how high the figures of the weight are."""
    if one.weight is None or not one.least.known:
        return []
    base, tall = one.weight
    x = one.width + 1.5
    told = f"Net weight: {one.least.by} {tall:.1f} mm high, "
    told += f"at least {plain_figure(one.least.millimetres)} mm"
    lines = [((x, y), (x + 2, y)) for y in (base - tall, base)]
    lines.append(((x + 1, base - tall), (x + 1, base)))
    return [
        *(Stroke(points, 0.15, "ink2") for points in lines),
        Text(0, one.height + 1.4 * _NOTE, told, _NOTE, token="ink2"),
    ]


def _cut(flow: Flow, one: Drawn, room: float) -> None:
    """Put in a label that is longer than a page, in parts as high as one."""
    words = "The label is longer than a page: print it in these parts, or make it wider."
    flow.text(words, _NOTE, token="ink2")
    texts = sorted((item for item in one.items if isinstance(item, Text)), key=lambda t: t.y)
    part: list[Text] = []
    for text in [*texts, None]:
        if part and (text is None or text.y - part[0].y + 2 * part[0].em + PAD > room):
            top = part[0].y - part[0].em
            tall = part[-1].y - top + 2 * PAD
            frame = ((0.0, 0.0), (one.width, 0.0), (one.width, tall), (0.0, tall))
            lines = moved(part, 0, PAD - top)
            flow.put([*lines, Stroke(frame, 0.2, "line", closed=True)], tall + 3)
            part = []
        if text is not None:
            part.append(text)


def vector(sheet: LabelSheet, one: Drawn) -> tuple[list[Item], float, float]:
    """Return the label alone with its frame and the ruler mark below it: items, width, height."""
    edge = 2.0
    width = max(one.width, RULER) + 2 * edge
    items = moved([*one.items, one.frame], edge, edge)
    items += moved(ruler(), edge, one.height + 2 * edge)
    y = one.height + 2 * edge + _RULER_HEIGHT
    note = Flow(width - 2 * edge)
    note.text(as_of(sheet), 2.0, token="ink2")
    items += moved(note.items, edge, y)
    return items, width, y + note.height + edge
