"""The assessed formula on the page: frozen, changed, held, released by name, undone, saved."""

import pytest
from PySide6.QtCore import Qt

from designer.recipe import file
from designer.window.checks.ask import Ask
from designer.wording.assessed import HOLD


def asked(qtbot, window, key, **lines):
    """Press a key of the page, fill in what is asked, and press Enter."""
    qtbot.keyClick(window.pages.current.list, key)
    dialog = next(one for one in window.findChildren(Ask) if one.isVisible())
    for name, text in lines.items():
        field = dialog.fields[name]
        field.selectAll()
        qtbot.keyClicks(field, text)
    qtbot.mouseClick(dialog.take_key, Qt.MouseButton.LeftButton)
    return dialog


def change(document, percent):
    recipe = document.recipe
    at = [row.name for row in recipe.rows].index("CAPB 30 %")
    document.edit("CAPB", recipe.with_percent(at, recipe.active.number, percent))


def test_a_changed_formula_is_held_until_a_named_person_releases_it(qtbot, opened, tmp_path):
    window, page = opened("oat_bar")
    document, view = window.document, page.assessed
    assert "No formula of this recipe is noted as assessed" in view.standing.text()
    assert not view.release_key.isVisible()
    line = {"report": "SA-2026-014", "name": "A. Assessor", "date": "2026-11-20"}
    asked(qtbot, window, Qt.Key.Key_F, **line)
    assert "report SA-2026-014 of 20 November 2026, A. Assessor" in view.standing.text()
    assert not page.held.isVisible()

    change(document, 12.5)
    assert page.held.text() == HOLD
    assert page.held.isVisible()
    names = [row[0] for row in view.differences.rows]
    assert "CAPB 30 %" in names
    assert view.differences.rows[names.index("CAPB 30 %")][1].endswith("→ 12.50 %")
    assert view.release_key.isVisible()

    asked(qtbot, window, Qt.Key.Key_R, name="B. Keeper", date="2026-12-02")
    assert not page.held.isVisible()
    assert "released by B. Keeper on 2 December 2026" in view.standing.text()
    document.undo_stack.undo()
    assert page.held.isVisible()
    document.undo_stack.redo()
    assert not page.held.isVisible()

    path = tmp_path / "bar.toml"
    file.write(document.recipe, path)
    assert file.read(path) == document.recipe
    change(document, 13.0)
    assert page.held.isVisible()
    qtbot.mouseClick(view.forget_key, Qt.MouseButton.LeftButton)
    assert document.recipe.assessed == ()
    document.undo_stack.undo()
    assert page.held.isVisible()


@pytest.mark.parametrize(
    ("lines", "problem"),
    [
        ({"report": "", "name": "A"}, "There is no number of the report."),
        ({"report": "SA", "name": ""}, "There is no name of a person."),
        ({"report": "SA", "name": "A", "date": "soon"}, '"soon" is not a day.'),
    ],
)
def test_what_lacks_is_asked_for_and_nothing_is_lost_or_changed(qtbot, opened, lines, problem):
    window, _ = opened("oat_bar")
    dialog = asked(qtbot, window, Qt.Key.Key_F, **lines)
    assert dialog.isVisible()
    assert problem in dialog.problem.text()
    assert dialog.typed()["report"] == lines["report"]
    assert window.document.recipe.assessed == ()
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert window.document.undo_stack.count() == 0


def test_a_copied_variant_that_differs_is_held_too(qtbot, opened):
    window, page = opened("oat_bar")
    document = window.document
    line = {"report": "SA-1", "name": "A. Assessor", "date": "2026-11-20"}
    asked(qtbot, window, Qt.Key.Key_F, **line)
    grown = document.recipe.add_variant("more", like=document.recipe.active.number)
    document.edit("copy", grown.use_variant(grown.numbers[-1]))
    assert not page.held.isVisible()
    qtbot.waitUntil(lambda: page.summary.text().startswith("Variant 2 more. Of the limits"))
    change(document, 12.5)
    assert page.held.isVisible()
