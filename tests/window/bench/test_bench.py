"""The bench by real keys and clicks: pour, feel, follow an advice, take it back."""

import pytest
from PySide6.QtCore import Qt

from designer.recipe import Row
from designer.recipe.values import MOST_VARIANTS
from designer.window.figures import glued
from designer.window.main_window import MainWindow

START = 1_700_000_000.0


class Clock:
    """A clock that a test sets."""

    def __init__(self):
        self.now = START

    def __call__(self):
        return self.now

    def later(self, minutes):
        self.now += 60.0 * minutes


@pytest.fixture
def window(document, qtbot):
    made = MainWindow(document)
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    yield made
    made.filing.discard()


@pytest.fixture
def page(window, qtbot):
    qtbot.keyClick(window.page.table, Qt.Key.Key_2, Qt.KeyboardModifier.ControlModifier)
    page = window.pages.page("bench")
    page.bowl.clock = Clock()
    assert page.isVisible()
    return page


def press(qtbot, page, key):
    qtbot.keyClick(page.window().focusWidget(), key)


def advised(qtbot, page):
    """Wait for advice by its signal: who asks again and again takes time from who answers."""
    answered = page._document.advisor.answered
    while page.answer.told is None:
        qtbot.waitSignal(answered, timeout=20_000).wait()


def evaluated(qtbot, document):
    while document.evaluation is None:
        qtbot.waitSignal(document.evaluated, timeout=20_000).wait()


def felt(qtbot, page, number, minutes):
    """Wait so long, say what is felt by its key, and wait for advice."""
    page.bowl.clock.later(minutes)
    press(qtbot, page, number)
    advised(qtbot, page)
    return page.answer.told


def test_the_page_opens_by_its_number_or_its_key_and_escape_stays_on_it(window, page, qtbot):
    assert window.pages.name == "bench"
    assert window.page_bar.keys["bench"].isChecked()
    qtbot.mouseClick(window.page_bar.keys["recipe"], Qt.MouseButton.LeftButton)
    assert window.pages.name == "recipe"
    assert window.page.part_in_focus() == "table"
    qtbot.mouseClick(window.page_bar.keys["bench"], Qt.MouseButton.LeftButton)
    press(qtbot, page, Qt.Key.Key_Escape)
    assert window.pages.name == "bench"


def test_nothing_can_be_felt_before_the_pour_and_it_says_so(page, window, qtbot):
    refused = []
    window.document.refused.connect(refused.append)
    press(qtbot, page, Qt.Key.Key_4)
    assert "no dough before melt and powder have met" in str(refused[-1])
    assert window.document.undo_stack.count() == 0
    assert not page.feel.keys_of["sticky"].isEnabled()


def test_a_sticky_dough_gets_advice_that_makes_it_cleaner(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    told = felt(qtbot, page, Qt.Key.Key_4, 8)
    assert page.work.lines == ("Poured", "Felt: sticky")
    assert page.feel.keys_of["sticky"].is_chosen
    assert told.standing.startswith("At 8 min: sticky")
    first = page._answer.advice[0]
    assert first.chance > page._answer.chance_without
    assert page.answer.title.text() == glued(told.lines[0].title)
    assert told.lines[0].title in page.answer.accessibleDescription()


def test_what_is_added_comes_into_the_recipe_as_made_and_one_undo_takes_both_back(
    page, window, qtbot
):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    place = next(k for k, one in enumerate(page._answer.advice) if one.move == "add")
    while page.answer.place != place:
        press(qtbot, page, Qt.Key.Key_O)
    advice, before = page._answer.advice[place], window.document.recipe
    batch = page.bowl.now.batch
    press(qtbot, page, Qt.Key.Key_D)
    recipe = window.document.recipe
    assert recipe == advice.made_first.recipe
    number = recipe.active.number
    assert sum(row.percents.get(number, 0.0) for row in recipe.rows) == pytest.approx(100, abs=1e-9)
    assert page.bowl.now.mass == pytest.approx(batch + advice.first)
    assert page.work.lines[-1].startswith("Added ")
    assert "Feel it again" in page.question.text()
    window.document.undo_stack.undo()
    assert window.document.recipe == before
    assert page.bowl.now.additions == ()


def test_after_an_addition_the_dough_is_felt_again_with_what_was_added(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    press(qtbot, page, Qt.Key.Key_D)
    told = felt(qtbot, page, Qt.Key.Key_3, 5)
    assert told.lines[0].title == "Stop kneading and shape it"
    assert page.bowl.question().additions == page.bowl.now.additions
    assert [one.age for one in page.bowl.question().noted] == [480.0, 780.0]


def test_a_temperature_typed_right_after_what_was_felt_belongs_to_it(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    page.bowl.clock.later(1)
    page.temperature.setFocus()
    qtbot.keyClicks(page.temperature, "26 C")
    qtbot.keyClick(page.temperature, Qt.Key.Key_Return)
    assert page.bowl.question().temperature == pytest.approx(299.15)
    assert page.answer.told is None  # it is asked anew
    advised(qtbot, page)


def test_another_word_within_half_a_minute_replaces_the_first(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_5, 8)
    felt(qtbot, page, Qt.Key.Key_4, 0.2)
    assert page.work.lines == ("Poured", "Felt: sticky")
    assert [one.age for one in page.bowl.question().noted] == [480.0]


def test_a_changed_recipe_keeps_what_was_made_apart(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    document = window.document
    document.edit("Name", document.recipe.with_name("Another bar"))
    felt(qtbot, page, Qt.Key.Key_4, 8)
    place = next(k for k, one in enumerate(page._answer.advice) if one.move == "add")
    page.follow(place)
    assert document.recipe.name == "Another bar"
    assert document.recipe.numbers == ("1", "2")
    opened = []
    window.copy_wanted.connect(opened.append)
    qtbot.mouseClick(page.kept_key, Qt.MouseButton.LeftButton)
    assert opened == [page.bowl.now.made]


def test_the_rod_and_the_temperature_are_typed(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    page.bowl.clock.later(8)
    page.temperature.setFocus()
    qtbot.keyClicks(page.temperature, "31 C")
    page.rod.setFocus()
    qtbot.keyClicks(page.rod, "300 g")
    qtbot.keyClick(page.rod, Qt.Key.Key_Return)
    noted = page.bowl.now.noted
    assert noted[0].finding.mass == pytest.approx(0.3)
    assert page.bowl.now.temperature == pytest.approx(304.15)
    advised(qtbot, page)
    assert "by the rod" in page.answer.told.standing


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("rod", "-5 g", "rod"),
        ("rod", "three", "number"),
        ("temperature", "400 C", "temperature"),
        ("temperature", "200 C", "a dough of 200.0 °c is not possible"),
        ("batch", "0", "batch"),
        ("batch", "12 cm", "mass"),
        ("at_hand", "moon dust", "not in the handbook"),
        ("ago", "-3 min", "since the pour"),
        ("ago", "5 d", "since the pour"),
    ],
)
def test_what_cannot_be_taken_over_stays_and_the_foot_says_why(
    page, window, qtbot, field, typed, said
):
    press(qtbot, page, Qt.Key.Key_P)
    state = page.bowl.now
    refused = []
    window.document.refused.connect(refused.append)
    one = getattr(page, field)
    one.setFocus()
    one.selectAll()
    qtbot.keyClicks(one, typed)
    qtbot.keyClick(one, Qt.Key.Key_Return)
    assert one.is_refused
    assert one.text() == typed
    assert said in f"{refused[-1].title} {refused[-1]}".lower()
    assert page.bowl.now == state
    qtbot.keyClick(one, Qt.Key.Key_Escape)
    assert not one.is_refused
    assert refused[-1] is None


def test_the_time_of_the_pour_can_be_mended_and_what_was_felt_keeps_its_place(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    page.ago.setFocus()
    qtbot.keyClicks(page.ago, "10 min")
    qtbot.keyClick(page.ago, Qt.Key.Key_Return)
    assert page.bowl.age == pytest.approx(600)
    assert page.bowl.now.noted[0].age == pytest.approx(600)
    assert page.since.figures == "10:00"
    (whole,) = page.bowl.question().stretches
    assert (whole.start, whole.end) == (0.0, pytest.approx(600))
    assert [one.age for one in page.bowl.now.log] == [0.0, pytest.approx(600)]


def test_when_the_time_of_the_pour_is_mended_it_is_felt_again_at_the_same_moment(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_5, 8)
    page.follow(next(k for k, one in enumerate(page._answer.advice) if one.move == "add"))
    left = page.question.text()
    page.bowl.correct(600.0)
    assert page.question.text() == left


def test_another_batch_empties_the_bowl_and_undo_brings_it_back(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    qtbot.mouseClick(page.empty_key, Qt.MouseButton.LeftButton)
    assert page.bowl.now.poured is None
    assert page.pour_key.isVisible()
    window.document.undo_stack.undo()
    assert page.work.lines == ("Poured", "Felt: sticky")


def test_a_dough_that_has_set_is_told_so(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    page.bowl.clock.later(240)
    press(qtbot, page, Qt.Key.Key_2)
    assert "has set" in page.answer.standing.text()
    assert page.answer.told is None


def test_the_next_batch_is_of_the_recipe_and_not_as_made(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    place = next(k for k, one in enumerate(page._answer.advice) if one.move == "add")
    page.follow(place)
    assert window.document.recipe.active.number == "3"
    qtbot.mouseClick(page.empty_key, Qt.MouseButton.LeftButton)
    assert window.document.recipe.active.number == "1"
    assert window.document.recipe.numbers == ("1", "2", "3")
    window.document.undo_stack.undo()
    assert window.document.recipe.active.number == "3"
    assert page.bowl.now.poured is not None


def test_after_an_advice_the_number_keys_say_what_is_felt(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    page.answer.do_key.setFocus()
    press(qtbot, page, Qt.Key.Key_Return)
    batch = page.bowl.now.batch
    page.bowl.clock.later(5)
    press(qtbot, page, Qt.Key.Key_4)
    assert page.work.lines[-1] == "Felt: sticky"
    assert page.bowl.now.batch == batch


def test_an_untouched_field_leaves_undo_to_the_window(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    page.batch.setFocus()
    qtbot.keyClick(page.batch, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert page.work.lines == ("Poured",)


def test_a_bare_figure_is_grams_and_enter_leads_back_to_the_hands(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    page.batch.setFocus()
    page.batch.selectAll()
    qtbot.keyClicks(page.batch, "500")
    qtbot.keyClick(page.batch, Qt.Key.Key_Return)
    assert page.bowl.now.batch == pytest.approx(0.5)
    assert page.part_in_focus() == "feel"


def test_the_figures_count_on_past_an_hour(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    page.bowl.clock.later(61.5)
    page._show_time()
    assert page.since.figures == "1:01:30"


def test_every_part_that_takes_the_focus_has_a_name_and_is_reached_by_f6(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    seen = []
    for _ in range(12):
        press(qtbot, page, Qt.Key.Key_F6)
        widget = window.focusWidget()
        assert widget.accessibleName()
        seen.append(page.part_in_focus())
    assert {"feel", "measured", "rod", "answer", "batch", "at_hand", "ago", "empty"} <= set(seen)


def test_what_is_pressed_with_a_glove_is_large_enough(page):
    assert all(key.sizeHint().height() >= 56 for key in page.feel.keys_of.values())
    for key in (page.pour_key, page.empty_key, page.answer.do_key, page.answer.other_key):
        assert key.sizeHint().height() >= 56


def test_a_second_pour_is_refused_while_a_dough_is_in_the_bowl(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    refused = []
    window.document.refused.connect(refused.append)
    press(qtbot, page, Qt.Key.Key_P)
    assert "Another batch" in str(refused[-1])
    assert page.work.lines == ("Poured", "Felt: sticky")


def test_a_variant_that_holds_nothing_is_not_poured(page, window, qtbot):
    refused = []
    window.document.refused.connect(refused.append)
    window.document.edit("Empty", window.document.recipe.with_rows(()))
    press(qtbot, page, Qt.Key.Key_P)
    assert "holds nothing" in str(refused[-1])
    assert page.bowl.now.poured is None


def test_what_took_long_to_weigh_is_felt_so_much_later(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_5, 8)
    place = next(k for k, one in enumerate(page._answer.advice) if one.move == "add")
    advised = page._answer.advice[place].feel_at
    page.bowl.clock.later(4)
    page.follow(place)
    assert page.bowl.now.following.feel_at == pytest.approx(advised + 240)
    assert page.question.text() == "Feel it again in 5:00 min"
    assert "Knead and feel again at 17" in page.answer.standing.text()


def test_the_focus_follows_what_was_felt(page, window, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_4, 8)
    assert window.focusWidget() is page.feel.keys_of["sticky"]


def test_a_dough_that_was_shaped_is_not_to_be_felt_again(page, qtbot):
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_3, 8)
    assert not page.answer.chance.isVisible()
    press(qtbot, page, Qt.Key.Key_D)
    assert page.work.lines[-1] == "Shaped"
    assert page.answer.standing.text().startswith("Shaped. Another batch")
    assert "again" not in page.question.text()


def test_no_variant_is_lost_where_there_is_no_room_for_what_was_made(page, window, qtbot):
    document = window.document
    recipe = document.recipe
    while len(recipe.variants) < MOST_VARIANTS:
        recipe = recipe.add_variant("copy", like="1")
    document.edit("Copies", recipe)
    press(qtbot, page, Qt.Key.Key_P)
    felt(qtbot, page, Qt.Key.Key_5, 8)
    page.follow(next(k for k, one in enumerate(page._answer.advice) if one.move == "add"))
    assert document.recipe == recipe
    assert page.kept_key.isVisible()


def test_the_dough_in_the_bowl_keeps_its_name_and_its_clock_when_the_recipe_changes(
    page, window, qtbot
):
    document = window.document
    press(qtbot, page, Qt.Key.Key_P)
    named, expected = page.variant.text(), page.since._expected
    assert named.endswith("variant 1 sticky")
    document.edit("Less", document.recipe.with_percent(0, "1", 1.0))
    evaluated(qtbot, document)
    assert (page.variant.text(), page.since._expected) == (named, expected)
    document.edit("Delete", document.recipe.remove_variant("1"))
    evaluated(qtbot, document)
    assert (page.variant.text(), page.since._expected) == (named, expected)


def test_while_the_recipe_cannot_be_worked_out_it_says_what_advice_waits_for(page, window, qtbot):
    document = window.document
    press(qtbot, page, Qt.Key.Key_P)
    page.bowl.clock.later(8)
    good = document.recipe
    unknown = good.add_row(Row("powder", "moon dust")).with_percent(len(good.rows), "1", 3.0)
    document.edit("Unknown", unknown)
    press(qtbot, page, Qt.Key.Key_4)
    qtbot.waitUntil(lambda: "page 1" in page.answer.standing.text(), timeout=20_000)
    document.edit("Known", good)
    advised(qtbot, page)
