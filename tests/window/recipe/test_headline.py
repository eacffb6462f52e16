"""The sentence: the one of the terminal, the chance against the wanted one, well broken."""

import pytest
from PySide6.QtGui import QAccessible

from designer.recipe import Recipe, Row
from designer.window import fonts
from designer.window.recipe.headline import INDENT, Headline, broken
from designer.wording.sentence import sentence


@pytest.fixture
def show(qtbot):
    def showing(document, width=1248):
        headline = Headline(document)
        qtbot.addWidget(headline)
        headline.resize(width, headline.heightForWidth(width))
        headline.show()
        return headline

    return showing


def test_it_says_the_sentence_of_the_terminal_and_the_chance(document, show):
    result = document.evaluation
    active = result.recipe.numbers.index(result.recipe.active.number)
    headline = show(document)
    assert headline.text.startswith(sentence(result, active))
    assert "of 20 such batches" in headline.text
    assert "sual practice, no own batches yet" in headline.text
    assert " ".join(headline.rows) in headline.text


def test_a_missed_chance_is_said_against_the_wanted_one(qtbot, document, show):
    headline = show(document)
    assert "Comes clean in 7 of 20 such batches; 14 are wanted." in headline.text
    with qtbot.waitSignal(headline.spoken) as spoken:
        document.edit("Wanted", document.recipe.with_bench(wanted=0.35))
    assert "wanted" not in spoken.args[0]
    assert "7 of 20 such batches" in spoken.args[0]


def test_a_change_is_spoken_and_is_what_a_screen_reader_gets(qtbot, document, show):
    headline = show(document)
    with qtbot.waitSignal(headline.spoken) as spoken:
        document.edit("Room", document.recipe.with_bench(room=308.15))
    assert spoken.args[0] == headline.text
    interface = QAccessible.queryAccessibleInterface(headline)
    assert interface.text(QAccessible.Text.Description) == headline.text


def test_serious_cautions_stand_below_in_full(open_recipe, show):
    headline = show(open_recipe("weak_preservative_bar"))
    plain = headline.heightForWidth(1248)
    assert "the preservative is weak" in headline.text
    assert plain > show(open_recipe("oat_bar")).heightForWidth(1248)


def test_an_empty_recipe_says_what_to_add(qtbot, document, show):
    headline = show(document)
    recipe = document.recipe
    with qtbot.waitSignal(document.failed):
        document.edit("Clear", Recipe("Empty", variants=recipe.variants))
    assert headline.text == "Add a powder and a liquid to see how it kneads."


def test_an_unknown_ingredient_is_told_with_what_to_do(qtbot, document, show):
    headline = show(document)
    with qtbot.waitSignal(document.failed) as failed:
        strange = Row("powder", "moon dust", dict.fromkeys(document.recipe.numbers, 2.0))
        document.edit("Add moon dust", document.recipe.add_row(strange))
    assert failed.args[0].problem in headline.text
    assert failed.args[0].advice in headline.text


def test_outside_the_model_no_chance_is_told(open_recipe, show):
    wet = Recipe(rows=(Row("powder", "oat flour", {"1": 5.0}), Row("liquid", "water", {"1": 95.0})))
    headline = show(open_recipe(wet))
    assert headline.text.startswith("No forecast:")
    assert "of 20" not in headline.text


CLAUSES = (
    "Sticks at first, comes clean, usually within 5–20 min of kneading;",
    "workable for about an hour.",
    "Likely: 17 of 20 such batches.",
)


@pytest.mark.parametrize("width", [260, 420, 640, 900, 1216, 1856, 4000])
def test_lines_fit_and_break_at_clause_ends_where_they_can(qapp, width):
    rows = broken(CLAUSES, width)
    measure = fonts.metrics(fonts.LARGE).horizontalAdvance
    assert " ".join(rows) == " ".join(CLAUSES)
    assert all(measure(row) <= width for row in rows)
    if width >= max(measure(clause) for clause in CLAUSES):
        assert all(row[-1] in ";.:" for row in rows)


def test_the_break_is_the_most_even_one(qapp):
    measure = fonts.metrics(fonts.LARGE).horizontalAdvance
    rows = broken(CLAUSES, 1216)
    assert rows == [CLAUSES[0], f"{CLAUSES[1]} {CLAUSES[2]}"]
    assert max(measure(row) for row in rows) < measure(f"{CLAUSES[0]} {CLAUSES[1]}")


def test_a_narrow_window_gets_three_lines_of_the_same_size(open_recipe, show):
    headline = show(open_recipe("oat_bar"), 700)
    assert len(headline.rows) >= 3
    assert headline.heightForWidth(700) > headline.heightForWidth(1248)


def test_a_long_message_breaks_inside_its_clauses(qapp):
    width = 500 - INDENT
    rows = broken(("word " * 60 + "x" * 300,), width)
    assert all(fonts.metrics(fonts.LARGE).horizontalAdvance(row) <= width for row in rows)


def test_the_old_sentence_is_kept_while_the_new_one_is_on_its_way(qtbot, document, show):
    headline = show(document)
    before = headline.text
    with qtbot.waitSignal(document.evaluated):
        document.edit("Room", document.recipe.with_bench(room=308.15))
        assert headline.text == before
    assert headline.text != before
