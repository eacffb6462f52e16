"""The recipe sheet laid out on pages."""

from designer.evaluation.evaluate import Evaluation
from designer.window.paper.clock import HEIGHT, clock
from designer.window.paper.flow import Flow, Paper, pages, wrapped
from designer.window.paper.ink import Box, Item, Text, advance
from designer.window.paper.label import page_paper
from designer.wording.recipe_sheet import PHASE_WORDS, RecipeSheet, SheetRow

__all__ = ["sheet_pages"]

_EM, _SMALL, _HEAD, _TITLE = 3.2, 2.6, 3.6, 6.4
_FIGURE = 19.0
"""Width [mm] of a column of figures."""
_LINE = 1.35


def sheet_pages(
    told: RecipeSheet, result: Evaluation, variant: int, market: str
) -> tuple[list[list[Item]], Paper]:
    """Return the pages of a recipe sheet, and the paper that is usual where it is sold."""
    paper = page_paper(market)
    flow = Flow(paper.inner)
    flow.text(told.title, _TITLE, bold=True)
    flow.space(1)
    flow.text(told.summary, _HEAD)
    if told.basis:
        flow.text(told.basis, _SMALL, token="ink2")
    flow.space(3)
    if drawing := clock(result, variant, paper.inner):
        _head(flow, "Dough clock: firmness from the pour, 80 % interval")
        flow.put(drawing, HEIGHT + 2)
    _ingredients(flow, told)
    for head, texts, mark in (
        ("Method", [f"{step}" for step in told.steps], "number"),
        ("What it should feel like", [f"{when}: {what}" for when, what in told.feel], "–"),
        ("Swaps that are allowed", list(told.swaps), "–"),
        ("Weight and cure", [told.weight, told.cure], "–"),
        ("Cautions", list(told.cautions), "–"),
        ("Notes", list(told.notes), "–"),
    ):
        if texts:
            flow.space(2)
            _head(flow, head)
            for number, text in enumerate(texts, 1):
                sign = f"{number}" if mark == "number" else mark
                flow.text(text, _SMALL if head == "Notes" else _EM, indent=6, mark=sign)
                flow.space(0.6)
    return pages(flow, paper, told.title), paper


def _head(flow: Flow, words: str) -> None:
    flow.text(words, _HEAD, bold=True, stays=True)
    flow.rule()


def _ingredients(flow: Flow, told: RecipeSheet) -> None:
    flow.space(2)
    _head(flow, f"Ingredients, {told.batch}" if told.batch else "Ingredients")
    columns = 3 if told.total is not None else 0
    if columns:
        _figures(flow, ("percent", "g", "oz"), _SMALL, "ink2")
    before = ""
    for row in told.rows:
        if row.phase != before:
            flow.space(0.8)
            flow.text(PHASE_WORDS[row.phase], _SMALL, token="ink2", stays=True)
        before = row.phase
        _row(flow, row, columns)
    if told.total is not None:
        flow.put([Box(0, 0.3, flow.width, 0.25)], 1.2, stays=True)
        _row(flow, told.total, columns, bold=True)


def _figures(flow: Flow, words: tuple[str, ...], em: float, token: str) -> None:
    items = _right(flow.width, words, em, False, token)
    flow.put(items, _LINE * em, stays=True)


def _right(
    width: float, words: tuple[str, ...], em: float, bold: bool, token: str = "ink"
) -> list[Item]:
    """Return figures, each at the right of its column."""
    found: list[Item] = []
    for number, word in enumerate(reversed(words)):
        right = width - number * _FIGURE
        found.append(Text(right - advance(word, em, bold), em, word, em, bold, token))
    return found


def _row(flow: Flow, row: SheetRow, columns: int, bold: bool = False) -> None:
    """Put in an ingredient: its name, its INCI name beside it, or below where it is too long."""
    room = flow.width - columns * _FIGURE - 4
    items: list[Item] = []
    y = 0.0
    for line in wrapped([(row.name, "")], _EM, room, bold):
        items.append(Text(0, y + _EM, line[0][0], _EM, bold))
        y += _LINE * _EM
    if columns:
        items += _right(flow.width, (row.percent, row.grams, row.ounces), _EM, bold)
    beside = advance(row.name, _EM, bold) + 3
    is_said = not row.inci or row.inci.lower() == row.name.lower()
    if not is_said and beside + advance(row.inci, _SMALL) <= room:
        items.append(Text(beside, _EM, row.inci, _SMALL, token="ink2"))
    elif not is_said:
        for line in wrapped([(row.inci, "")], _SMALL, room):
            items.append(Text(0, y + _SMALL, line[0][0], _SMALL, token="ink2"))
            y += _LINE * _SMALL
    flow.put(items, y + 0.6)
