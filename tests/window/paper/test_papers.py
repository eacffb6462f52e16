"""Label and recipe sheet as files: size, letters, nothing outside, nothing lost, honest words."""

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree

import pytest
from pdf_paper import Pdf
from PySide6.QtCore import QByteArray
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

from designer.evaluation.evaluate import evaluate
from designer.evaluation.label_sheet import kept_label
from designer.handbook import law
from designer.recipe import Row, Swap, file
from designer.recipe.label import Label, LabelFacts
from designer.window.paper.content import content

from ..conftest import DEMOS

LAW = law.load()
FACTS = LabelFacts(
    product="Oat bar",
    function="solid shampoo",
    batch="261128-OAT-1",
    best_before=date(2028, 11, 28),
    responsible="Oat Mill Workshop",
    address="Mill Lane 3\n1234 Brook",
    contact="hello@oat.example",
    panel=Decimal(40),
    own_lines=("Kontakt mit den Augen vermeiden.",),
)
LONG = "Methyl Hydrogenated Rosinate/Pentaerythrityl Tetra-di-t-butyl Hydroxyhydrocinnamate"


@pytest.fixture(scope="module")
def made(qapp, handbook, knowledge):
    """Return a function that makes a paper of the oat bar, or of a recipe made of it."""
    known = {}

    def make(what, label=None, change=lambda recipe: recipe, key="oat"):
        if key not in known:
            recipe = change(file.read(DEMOS / "oat_bar.toml"))
            known[key] = evaluate(recipe, handbook, knowledge)
        return content(what, known[key], label or Label(facts=FACTS)), known[key]

    return make


def inside(page, edge=10.0):
    """Assert that letters and lines stand on the page, away from its edge [mm]."""
    for one in page.letters:
        assert edge <= one.x <= page.width - edge - 0.3 * one.em, one
        assert edge <= one.y <= page.height - edge, one
    for x, y in page.points:
        assert edge <= x <= page.width - edge
        assert edge <= y <= page.height - edge


def lines(page):
    """Return the texts of a page by baseline: text, em, letters."""
    found = {}
    for one in page.letters:
        found.setdefault(round(one.y, 2), []).append(one)
    return ["".join(one.text for one in row) for row in found.values()], list(found.values())


@pytest.mark.parametrize(
    ("market", "size", "least", "by"),
    [
        # Heights: Directive 76/211/EEC Annex I, from memory; 21 CFR 701.13; C.R.C. c. 417 s. 14.
        ("EU", (210, 297), 3.0, "2"),
        ("UK", (210, 297), 3.0, "2"),
        ("US", (215.9, 279.4), 3.175, "e"),
        ("CA", (215.9, 279.4), 3.2, "2"),
    ],
)
def test_the_label_is_printed_on_the_usual_paper_in_letters_as_high_as_they_must_be(
    made, market, size, least, by
):
    label = Label(market, facts=FACTS)
    pdf = Pdf(made("label_pdf", label)[0])
    page = pdf.pages[0]
    assert (page.width, page.height) == pytest.approx(size, abs=0.2)
    assert page.images == 0
    weight = "Net wt." if market == "US" else "100 g"
    texts, rows = lines(page)
    at = next(n for n, text in enumerate(texts) if text.replace("\xa0", " ").startswith(weight))
    assert rows[at][0].font.endswith("Bold")
    measured = "1" if by == "2" else by
    assert rows[at][0].em * pdf.height(measured, bold=True) >= least
    # The ingredient list: 1/16 in by 21 CFR 701.3(b); in Canada from memory; else legible.
    small = 1.5875 if market == "US" else 1.6 if market == "CA" else 1.2
    names = next(n for n, text in enumerate(texts) if text.startswith("Ingredients/"))
    for row in rows[names : names + 12]:
        assert row[0].em * pdf.height("x") >= small


def test_the_mark_for_a_ruler_is_fifty_millimetres_long(made):
    page = Pdf(made("label_pdf")[0]).pages[0]
    lengths = [abs(b[0] - a[0]) for a, b in page.segments if abs(a[1] - b[1]) < 1e-6]
    assert any(length == pytest.approx(50, abs=0.01) for length in lengths)
    assert "50 mm" in page.text


def test_the_label_is_as_wide_as_is_wished(made):
    page = Pdf(made("label_pdf", Label(width=0.09, facts=FACTS))[0]).pages[0]
    lengths = [abs(b[0] - a[0]) for a, b in page.segments if abs(a[1] - b[1]) < 1e-6]
    assert any(length == pytest.approx(90, abs=0.01) for length in lengths)


def test_all_names_stand_on_it_in_order_with_cautions_in_both_languages(made):
    bytes_, result = made("label_pdf")
    text = " ".join(Pdf(bytes_).pages[0].text.split())
    sheet = kept_label(result, 0, LAW, Label(facts=FACTS))
    assert sheet.ingredients.text in text
    assert "Avoid contact with eyes." in text
    assert "Éviter le contact avec les yeux." in text
    assert "Kontakt mit den Augen vermeiden." in text
    only = " ".join(Pdf(made("label_pdf", Label(languages="en"))[0]).pages[0].text.split())
    assert "Éviter" not in only


def test_it_says_what_it_did_not_check_and_promises_nothing(made):
    pdf = Pdf(made("label_pdf")[0])
    text = " ".join(" ".join(page.text for page in pdf.pages).split())
    for words in ("Not checked:", f"Tables as of {LAW.as_of}", "qualified assessor decide"):
        assert words in text
    assert not re.search(r"\bis safe\b|compliant|allergen-free|approved", text, re.IGNORECASE)


def long_bar(recipe):
    """Return the bar with forty rows, some of long names."""
    rows = [
        Row("powder", f"{LONG} no. {n}", {"1": 0.4}, inci=f"{LONG} {n}", given_class="powder")
        for n in range(40 - len(recipe.rows))
    ]
    return replace(recipe, rows=(*recipe.rows, *rows))


@pytest.mark.parametrize("width", [0.02, 0.07, 0.175])
@pytest.mark.parametrize("market", ["EU", "US"])
def test_forty_rows_of_long_names_stay_on_the_page(made, market, width):
    label = Label(market, width=width, facts=FACTS)
    bytes_, result = made("label_pdf", label, long_bar, "long")
    pdf = Pdf(bytes_)
    for page in pdf.pages:
        inside(page)
    for page in pdf.pages:  # a name may go on behind the foot of a page
        page.letters = [one for one in page.letters if one.y < page.height - 15.1]
    told = "".join("".join(page.text.split()) for page in pdf.pages)
    for one in kept_label(result, 0, LAW, label).ingredients.names:
        assert "".join(one.split()) in told, one


@pytest.mark.parametrize("what", ["sheet", "sheet_closed"])
@pytest.mark.parametrize("key", ["oat", "long"])
def test_nothing_of_a_recipe_sheet_is_outside_its_pages(made, what, key):
    pdf = Pdf(made(what, change=long_bar if key == "long" else (lambda r: r), key=key)[0])
    for page in pdf.pages:
        inside(page)
        assert page.images == 0
    assert len(pdf.pages[0].segments) > 150, "the clock is drawn in lines"
    assert f"1 of {len(pdf.pages)}" in pdf.pages[0].text


def swapped(recipe):
    at = [row.name for row in recipe.rows].index("cocoa butter")
    swap = Swap("mango butter", 4.25, (("cetyl alcohol", 0.35),), chance=0.8, date="2026-11-28")
    other = Swap("illipe butter", 3.65)
    return recipe.with_row(at, replace(recipe.rows[at], swaps=(swap, other)))


def test_the_sheet_tells_amounts_that_add_up_steps_feel_swaps_and_cure(made):
    bytes_, _ = made("sheet", change=swapped, key="swaps")
    text = " ".join(" ".join(page.text for page in Pdf(bytes_).pages).split())
    # 8 bars of 100 g and 2 % left on bowl and hands: 816.3 g; own calculation.
    assert "all of it" in text
    assert "816.3" in text
    grams = [float(one) for one in re.findall(r"(?<![\d.])(\d+\.\d)(?= ?\d+\.\d\d(?!\d))", text)]
    assert grams
    for words in (
        "Sieve and dry-blend the powders: SCI fine powder",
        "Melt in a bath of 70 °C until it is clear",
        "Pour the melt and the liquids over the powders",
        "What it should feel like",
        "cocoa butter may be mango butter 4.25 % instead, with cetyl alcohol 0.35 %",
        "16 of 20 such batches come clean as predicted on 2026-11-28",
        "illipe butter 3.65 % instead: its effect was not worked out",
        "Each was worked out for the recipe of its day. A swap makes another formula",
        "Net weight when packed: 100 g",
        "Cure: no thumb dent from",
        "mask (FFP2 or better)",
    ):
        assert words in text, words


def test_grams_of_the_sheet_add_up_to_the_batch(made):
    from designer.wording.recipe_sheet import recipe_sheet

    _, result = made("sheet")
    told = recipe_sheet(result, 0, kept_label(result, 0, LAW))
    assert sum(Decimal(row.grams) for row in told.rows) == Decimal(told.total.grams)
    assert sum(Decimal(row.percent) for row in told.rows) == 100
    assert told.rows[0].ounces == "1.15"  # 32.65 g over 28.3495 g; own calculation


def test_the_form_without_amounts_tells_none(made):
    bytes_, _ = made("sheet_closed", change=swapped, key="swaps")
    text = " ".join(" ".join(page.text for page in Pdf(bytes_).pages).split())
    assert "mango butter instead" in text
    assert "A swap makes another formula: your assessor, your file and the label come first" in text
    for amount in ("4.25", "0.35", "3.65", "816.3", "449.0", "all of it", "percent g oz"):
        assert amount not in text, amount


def test_a_vector_drawing_is_at_real_size_in_outlines_and_says_what_it_shows(made):
    bytes_, _ = made("label_svg")
    root = ElementTree.fromstring(bytes_)
    width, height = (float(root.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert width == pytest.approx(74, abs=0.01)
    box = [float(one) for one in root.get("viewBox").split()]
    assert box[2] / width == pytest.approx(box[3] / height) == pytest.approx(100)
    kinds = {one.tag.split("}")[1] for one in root.iter()}
    assert "path" in kinds
    assert not kinds & {"text", "image"}
    told = next(one.text for one in root.iter() if one.tag.endswith("desc"))
    assert "Sodium Cocoyl Isethionate" in told


def test_nothing_of_the_vector_drawing_is_cut_off(made):
    renderer = QSvgRenderer(QByteArray(made("label_svg")[0]))
    image = QImage(370, 700, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    renderer.render(painter)
    painter.end()
    edges = [(x, y) for x in range(370) for y in (0, 699)]
    edges += [(x, y) for y in range(700) for x in (0, 369)]
    assert all(image.pixelColor(x, y).red() > 250 for x, y in edges)
    assert min(image.pixelColor(x, y).red() for x in range(20, 350) for y in range(20, 680)) < 60
