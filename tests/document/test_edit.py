"""One door: a gesture is one step, there and back is none, nothing merges over a save."""

from dataclasses import replace

import pytest

from designer.recipe import QS, Row, file

from .conftest import BETAINE


def texts(document):
    stack = document.undo_stack
    return [stack.text(number) for number in range(stack.count())]


@pytest.fixture
def shown(document):
    """Recipes that were shown, in order."""
    seen = []
    document.changed.connect(seen.append)
    return seen


def test_an_edit_is_a_step_with_its_text_and_undo_and_redo_show_it(document, shown):
    before = document.recipe
    after = before.with_name("Oat bar")
    document.edit("Name", after)
    assert texts(document) == ["Name"]
    document.undo_stack.undo()
    document.undo_stack.redo()
    assert shown == [after, before, after]
    assert document.recipe is after


def test_an_equal_recipe_is_no_step(document, shown):
    document.edit("Name", document.recipe.with_name(document.recipe.name))
    assert texts(document) == []
    assert shown == []
    assert document.undo_stack.isClean()


def test_a_gesture_is_one_step_named_by_where_it_ended(document, change, shown):
    before = document.recipe
    gesture = document.new_gesture()
    for percent in (14.0, 13.0, 12.5):
        last = change(document, percent, gesture)
    assert texts(document) == ["Undo betaine to 12.5"]
    assert len(shown) == 3
    document.undo_stack.undo()
    assert document.recipe is before
    document.undo_stack.redo()
    assert document.recipe is last


def test_two_gestures_are_two_steps_and_edits_without_one_never_merge(document, change):
    for percent in (14.0, 13.0):
        change(document, percent, document.new_gesture())
    for percent in (12.0, 11.0):
        change(document, percent)
    assert document.undo_stack.count() == 4


def test_there_and_back_leaves_no_step_and_the_document_as_saved(document, change):
    before = document.recipe
    gesture = document.new_gesture()
    for percent in (14.0, 13.0, 14.0):
        change(document, percent, gesture)
    assert document.undo_stack.count() == 1
    change(document, 14.5, gesture)
    assert document.undo_stack.count() == 0
    assert document.undo_stack.isClean()
    assert document.is_saved
    assert document.recipe is before
    assert not document.undo_stack.canUndo()
    change(document, 9.0, gesture)  # and on again, without letting go
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.recipe is before


def test_there_and_back_after_other_steps_leaves_those(document, change):
    change(document, 12.0)
    document.edit("Name", document.recipe.with_name("Oat bar"))
    gesture = document.new_gesture()
    change(document, 11.0, gesture)
    change(document, 12.0, gesture)
    assert texts(document) == ["Undo betaine to 12.0", "Name"]
    assert not document.undo_stack.isClean()


def test_a_row_dragged_away_and_put_back_in_one_gesture_keeps_its_place_in_the_file(document):
    # The row put in anew equals the one taken out, but its comment and unknown keys hang on that.
    opened = file.text(document.recipe)
    held = next(i for i, row in enumerate(document.recipe.rows) if row.held)
    row = document.recipe.rows[held]
    gesture = document.new_gesture()
    document.edit("Drag", document.recipe.remove_row(held), gesture)
    document.edit("Drag", document.recipe.add_row(row, held), gesture)
    assert document.undo_stack.count() == 0
    assert file.text(document.recipe) == opened
    document.edit("Name", document.recipe.with_name("Oat bar"))
    assert "# no change may move it" in file.text(document.recipe)


def test_there_and_back_by_two_steps_says_what_is_saved(document, change):
    change(document, 3.0)
    change(document, 14.5)
    assert document.undo_stack.count() == 2
    assert document.is_saved


def test_a_gesture_that_passes_what_is_saved_stays_one_step(document, change):
    change(document, 3.0)
    gesture = document.new_gesture()
    for percent in (10.0, 14.5, 16.0):
        change(document, percent, gesture)
    assert document.undo_stack.count() == 2
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.undo_stack.isClean()


def test_nothing_merges_across_a_save(qtbot, document, change, path):
    gesture = document.new_gesture()
    saved = change(document, 13.0, gesture)
    with qtbot.waitSignal(document.saved):
        document.save()
    change(document, 12.0, gesture)
    change(document, 11.0, gesture)
    assert document.undo_stack.count() == 2
    assert not document.is_saved
    document.undo_stack.undo()
    assert document.recipe is saved
    assert document.undo_stack.isClean()
    assert file.read(path) == saved


def test_back_to_the_saved_value_after_a_save_leaves_one_step(qtbot, document, change):
    gesture = document.new_gesture()
    change(document, 13.0, gesture)
    with qtbot.waitSignal(document.saved):
        document.save()
    change(document, 12.0, gesture)
    change(document, 13.0, gesture)
    assert document.undo_stack.count() == 1
    assert document.undo_stack.isClean()


def test_a_gesture_that_goes_on_after_undo_is_a_new_step(document, change):
    before = document.recipe
    gesture = document.new_gesture()
    change(document, 13.0, gesture)
    document.undo_stack.undo()
    change(document, 12.0, gesture)
    assert document.undo_stack.count() == 1
    document.undo_stack.undo()
    assert document.recipe is before


def test_steps_do_not_hold_the_document_back_from_a_figure_put_in_as_q_s_and_out(document):
    row = document.recipe.rows[BETAINE]
    document.edit("Fill up", document.recipe.with_percent(6, "1", None))
    document.edit("Fill up", document.recipe.with_percent(BETAINE, "1", QS))
    document.edit("Hold", document.recipe.with_row(0, replace(document.recipe.rows[0], held={"1"})))
    for _ in range(3):
        document.undo_stack.undo()
    assert document.recipe.rows[BETAINE] is row
    assert document.is_saved


def test_steps_share_the_rows_they_do_not_change(document):
    first, stack = document.recipe.rows[0], document.undo_stack
    for number in range(50):
        document.edit("Add", document.recipe.add_row(Row("powder", f"oat flour {number}")))
        document.edit("Name", document.recipe.with_name(f"Oat bar {number}"))
    for index in range(stack.count(), -1, -1):
        stack.setIndex(index)
        assert document.recipe.rows[0] is first
