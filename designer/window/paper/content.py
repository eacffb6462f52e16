"""Which paper is made of an evaluation, as the bytes of its file."""

from designer.evaluation.evaluate import Evaluation
from designer.evaluation.label_sheet import kept_label
from designer.exchange import own_tables
from designer.recipe.label import Label
from designer.window.paper.files import pdf, svg
from designer.window.paper.label import drawn, paper_pages, vector
from designer.window.paper.recipe_sheet import sheet_pages
from designer.wording.label_text import label_plain, title
from designer.wording.recipe_sheet import recipe_sheet

__all__ = ["content"]


def content(what: str, result: Evaluation, label: Label) -> bytes:
    """Return a file of the active variant.

    Parameters
    ----------
    what : "label_pdf" | "label_svg" | "sheet" | "sheet_closed"
        A closed recipe sheet tells no amounts.
    result : Evaluation
    label : Label
        As the recipe keeps it now.

    Raises
    ------
    ReadableError
        The weight cannot be, or a table of law is broken.
    """
    recipe = result.recipe
    number = recipe.active.number
    variant = recipe.numbers.index(number)
    sheet = kept_label(result, variant, own_tables.law(), label)
    if what.startswith("sheet"):
        told = recipe_sheet(result, variant, sheet, amounts=what == "sheet")
        pages, paper = sheet_pages(told, result, variant, sheet.market)
        return pdf(pages, paper, told.title)
    one = drawn(sheet, label.languages, 1000 * label.width)
    words = title(sheet, recipe.name, number)
    if what == "label_svg":
        return svg(*vector(sheet, one), words, label_plain(sheet, label.languages))
    pages, paper = paper_pages(sheet, one, recipe.name, number)
    return pdf(pages, paper, words)
