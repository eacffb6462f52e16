"""Label and sheet saved from the menus: the file is whole, or a sentence says why it is not."""

import errno
import os

import pytest
from pdf_paper import Pdf
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QRadioButton

from designer.recipe import saving
from designer.window.paper.wishes import Papers


def chosen(qtbot, window, path):
    """Answer the file dialog that is open."""
    qtbot.waitUntil(lambda: any(d.isVisible() for d in window.findChildren(QFileDialog)))
    dialog = next(d for d in window.findChildren(QFileDialog) if d.isVisible())
    dialog.fileSelected.emit(str(path))
    dialog.reject()


def message(window):
    return window.strip.messages["paper"].label.text()


def told(qtbot, window):
    qtbot.waitUntil(lambda: "paper" in window.strip.messages, timeout=20_000)
    return message(window)


def test_the_page_is_reached_by_its_key_and_saves_the_label_as_pdf(qtbot, demo_window, tmp_path):
    window = demo_window
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_4, Qt.KeyboardModifier.ControlModifier)
    page = window.pages.current
    assert window.pages.name == "label"
    assert page.part_in_focus() == "names"
    qtbot.waitUntil(lambda: page.sheet is not None, timeout=20_000)
    qtbot.mouseClick(page.pdf_key, Qt.MouseButton.LeftButton)
    chosen(qtbot, window, tmp_path / "label.pdf")
    assert "label.pdf is saved in" in told(qtbot, window)
    text = " ".join(Pdf((tmp_path / "label.pdf").read_bytes()).pages[0].text.split())
    assert page.sheet.ingredients.text in text
    assert [one.name for one in tmp_path.iterdir()] == ["label.pdf"]


@pytest.mark.parametrize("form", ["sheet", "sheet_closed"])
def test_the_menu_saves_a_sheet_with_amounts_or_without(qtbot, demo_window, tmp_path, form):
    window = demo_window
    window.commands["export_sheet"].trigger()
    dialog = window.findChild(QDialog, "sheet_form")
    qtbot.waitUntil(dialog.isVisible)
    dialog.findChild(QRadioButton, form).click()
    qtbot.keyClick(dialog, Qt.Key.Key_Return)
    chosen(qtbot, window, tmp_path / "sheet.pdf")
    told(qtbot, window)
    text = Pdf((tmp_path / "sheet.pdf").read_bytes()).pages[0].text
    assert ("percent" in text) == (form == "sheet")


def test_a_label_that_is_asked_for_while_results_are_on_their_way_is_of_the_new_recipe(
    qtbot, demo_window, tmp_path
):
    window, document = demo_window, demo_window.document
    recipe = document.recipe
    document.edit("Less", recipe.with_percent(0, recipe.active.number, 1.25))
    assert document.evaluation is None
    window.papers.write("sheet", tmp_path / "sheet.pdf")
    assert window.papers.is_busy
    told(qtbot, window)
    assert "1.25" in Pdf((tmp_path / "sheet.pdf").read_bytes()).pages[0].text


def test_a_folder_in_its_place_is_a_sentence(qtbot, demo_window, tmp_path):
    demo_window.papers.write("label_pdf", tmp_path)
    assert "Not saved." in told(qtbot, demo_window)
    assert "This is a folder" in message(demo_window)


def test_a_full_disk_leaves_the_old_file_whole_and_nothing_beside_it(
    qtbot, demo_window, tmp_path, monkeypatch
):
    path = tmp_path / "label.svg"
    path.write_text("before", encoding="utf-8")

    def full(_descriptor, _content):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(saving, "_write_all", full)
    demo_window.papers.write("label_svg", path)
    assert "The disk is full" in told(qtbot, demo_window)
    assert path.read_text(encoding="utf-8") == "before"
    assert [one.name for one in tmp_path.iterdir()] == ["label.svg"]


def test_a_mistake_of_the_program_is_told_and_writes_nothing(
    qtbot, demo_window, tmp_path, monkeypatch, caplog
):
    def wrong(*_):
        raise ZeroDivisionError

    monkeypatch.setattr("designer.window.paper.content.content", wrong)
    demo_window.papers.write("label_pdf", tmp_path / "label.pdf")
    assert "mistake here (ZeroDivisionError)" in told(qtbot, demo_window)
    assert not list(tmp_path.iterdir())


def test_a_recipe_that_makes_no_dough_says_so(qtbot, demo_window, tmp_path):
    document = demo_window.document
    document.edit("Nothing", document.recipe.with_rows(()))
    qtbot.waitUntil(lambda: not document.is_working, timeout=20_000)
    demo_window.papers.write("label_pdf", tmp_path / "label.pdf")
    assert "no dough to tell of" in told(qtbot, demo_window)
    assert not list(tmp_path.iterdir())


def test_papers_of_a_window_take_the_name_of_its_recipe(demo_window):
    proposed = demo_window.filing.proposed_beside("label", "pdf")
    assert proposed.name.endswith("_label.pdf")
    assert isinstance(demo_window.papers, Papers)
