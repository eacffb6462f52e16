"""The window: opening, saving, closing, the menus, the order of the parts."""

import gc
import json
import shutil
import threading
from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog

from designer.document import recovery
from designer.document.disk import of_text
from designer.errors import ReadableError
from designer.recipe import file
from designer.window import demos, theme
from designer.window.application import Application

from .conftest import answer, change, in_use, question

DEMOS = demos.folder()


def choose_file(qtbot, window, name):
    """Choose a file in the file dialog that is open."""
    qtbot.waitUntil(lambda: any(d.isVisible() for d in window.findChildren(QFileDialog)))
    dialog = next(d for d in window.findChildren(QFileDialog) if d.isVisible())
    dialog.selectFile(str(name))  # typed keys would race with the completion of names
    dialog.accept()


def entries(menu):
    return [action.text().replace("&", "") for action in menu.actions() if action.text()]


# --- starting


def test_a_first_start_opens_the_sticky_demo_as_a_copy_without_a_file(application):
    application.start([])
    (window,) = application.windows
    assert window.document.path is None
    assert window.document.recipe == file.read(DEMOS / f"{demos.first()}.toml")
    assert "sticky" in window.windowTitle()


def test_a_later_start_opens_the_recipe_last_open(application, bar):
    application.settings.last = bar
    application.start([])
    assert application.windows[0].document.path == bar


def test_a_start_without_the_recipe_last_open_falls_back_to_the_demo(application, bar):
    application.settings.last = bar
    bar.unlink()
    application.start([])
    assert application.windows[0].document.path is None


def test_a_recipe_last_open_that_broke_leaves_the_demo_and_a_word(application, bar):
    application.settings.last = bar
    bar.write_text("format = 1\n[[[", encoding="utf-8")
    application.start([])
    (window,) = application.windows
    assert "oat.toml" in window.strip.messages["error"].label.text()


def test_named_files_open_in_a_window_each_and_a_bad_one_is_told(application, bar, tmp_path):
    other = tmp_path / "butter.toml"
    shutil.copy(DEMOS / "butter_bar.toml", other)
    application.start([bar, other])
    assert [window.document.path for window in application.windows] == [bar, other]


def test_every_demo_of_the_menu_opens(application, qtbot):
    application.start([])
    menu = application.windows[0]._submenus["demos"]
    menu.aboutToShow.emit()
    assert entries(menu)[0] == "Oat bar sticky and mended"
    assert len(menu.actions()) == len(list(DEMOS.glob("*.toml")))
    next(one for one in menu.actions() if "Butter" in one.text()).trigger()
    assert any("utter" in window.document.recipe.name for window in application.windows)


# --- opening


def test_new_opens_an_empty_recipe_in_a_window_of_its_own(application, window, qtbot):
    qtbot.keyClick(window, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    assert len(application.windows) == 2
    assert application.windows[1].document.recipe.rows == ()
    assert application.windows[1].windowTitle().startswith("New recipe")


def test_open_asks_for_a_file_and_shows_it(application, window, tmp_path, qtbot):
    other = tmp_path / "butter.toml"
    shutil.copy(DEMOS / "butter_bar.toml", other)
    qtbot.keyClick(window, Qt.Key.Key_O, Qt.KeyboardModifier.ControlModifier)
    choose_file(qtbot, window, other)
    qtbot.waitUntil(lambda: len(application.windows) == 2)
    assert application.windows[1].document.path == other
    assert application.windows[1].windowTitle().startswith("butter.toml")


def test_a_file_that_is_open_already_is_raised_also_by_another_name(
    application, window, bar, tmp_path, qtbot
):
    application.new()
    link = tmp_path / "link.toml"
    link.symlink_to(bar)
    for path in (bar, link, bar.parent / "." / bar.name):
        application.windows[1].activateWindow()
        application.open(path)
        qtbot.waitUntil(window.isActiveWindow)
    assert len(application.windows) == 2


def test_a_file_that_cannot_be_read_leaves_a_word_and_the_window_as_it_was(
    application, window, tmp_path
):
    broken = tmp_path / "broken.toml"
    broken.write_text("name = ", encoding="utf-8")
    before = window.document.recipe
    application.open(broken)
    assert len(application.windows) == 1
    assert "broken.toml" in window.strip.messages["error"].label.text()
    assert window.document.recipe is before


def test_an_untouched_demo_makes_room_for_what_is_opened(application, bar):
    application.start([])
    application.open(bar)
    assert [window.document.path for window in application.windows] == [bar]


def test_a_demo_that_was_changed_stays(application, bar):
    application.start([])
    change(application.windows[0])
    application.open(bar)
    assert len(application.windows) == 2


def test_recent_files_can_be_opened_and_missing_ones_leave_the_list(
    application, window, bar, tmp_path, qtbot
):
    other = tmp_path / "butter.toml"
    shutil.copy(DEMOS / "butter_bar.toml", other)
    gone = tmp_path / "gone.toml"
    for path in (gone, other):
        application.settings.add_recent(path)
    menu = window._submenus["recent"]
    menu.aboutToShow.emit()
    assert [text.split()[0] for text in entries(menu)] == ["butter.toml", "gone.toml", "oat.toml"]
    menu.actions()[0].trigger()
    assert application.windows[1].document.path == other
    menu.aboutToShow.emit()
    menu.actions()[1].trigger()
    assert "gone.toml" in window.strip.messages["missing"].label.text()
    assert gone not in application.settings.recent


def dragged(*paths):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    return data


def dropped(window, data):
    """Drop something on a window; return whether it was taken."""
    arguments = (Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton)
    enter = QDragEnterEvent(QPoint(50, 50), *arguments, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(window, enter)
    if enter.isAccepted():
        drop = QDropEvent(QPointF(50, 50), *arguments, Qt.KeyboardModifier.NoModifier)
        QApplication.sendEvent(window, drop)
    return enter.isAccepted()


def test_recipe_files_dropped_on_the_window_open(application, window, tmp_path):
    first, second = tmp_path / "a.toml", tmp_path / "B.TOML"
    for path in (first, second):
        shutil.copy(DEMOS / "butter_bar.toml", path)
    assert dropped(window, dragged(first, second))
    assert [one.document.path for one in application.windows[1:]] == [first, second]


def test_nothing_but_recipe_files_can_be_dropped(application, window, tmp_path):
    text = QMimeData()
    text.setText("a.toml")
    assert not dropped(window, text)
    assert not dropped(window, dragged(tmp_path / "picture.png"))
    assert len(application.windows) == 1


# --- saving


def test_save_writes_the_file_and_the_mark_of_changes_goes(window, bar, qtbot):
    change(window)
    assert window.isWindowModified()
    with qtbot.waitSignal(window.document.saved):
        qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert file.read(bar) == window.document.recipe
    assert not window.isWindowModified()


def test_undoing_all_takes_the_mark_of_changes_away(window, qtbot):
    change(window)
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert not window.isWindowModified()


def test_a_recipe_without_a_file_asks_where_and_stays_there(application, tmp_path, qtbot):
    application.start([])
    window = in_use(qtbot, application.windows[0])
    qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    with qtbot.waitSignal(window.document.saved):
        choose_file(qtbot, window, tmp_path / "mine")
    assert window.document.path == tmp_path / "mine.toml"
    assert window.windowTitle().startswith("mine.toml")
    assert application.settings.recent[0] == tmp_path / "mine.toml"
    assert application.settings.last == tmp_path / "mine.toml"


def test_save_as_leaves_the_first_file_as_it_was(window, bar, tmp_path, qtbot):
    before = bar.read_bytes()
    change(window)
    modifiers = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(window, Qt.Key.Key_S, modifiers)
    with qtbot.waitSignal(window.document.saved):
        choose_file(qtbot, window, tmp_path / "other.toml")
    assert bar.read_bytes() == before
    assert file.read(tmp_path / "other.toml") == window.document.recipe


def test_a_save_that_fails_says_why_and_changes_nothing(window, bar, qtbot):
    change(window)
    bar.unlink()
    bar.mkdir()
    with qtbot.waitSignals(
        [window.document.save_failed, window.document.disk_changed],
        check_params_cbs=None,
        raising=False,
        timeout=500,
    ):
        qtbot.keyClick(window, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert {"save", "disk"} & set(window.strip.messages)
    assert window.isWindowModified()
    assert window.document.recipe.active


def test_a_folder_that_went_away_is_told_with_another_way(window, bar, tmp_path, qtbot):
    change(window)
    folder = tmp_path / "stick"
    folder.mkdir()
    with qtbot.waitSignal(window.document.saved):
        window.document.save_as(folder / "bar.toml")
    change(window, 12.0)
    shutil.rmtree(folder)
    with qtbot.waitSignal(window.document.save_failed):
        window.filing.save()
    message = window.strip.messages["save"]
    assert "folder does not exist" in message.label.text()
    qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    with qtbot.waitSignal(window.document.saved):
        choose_file(qtbot, window, tmp_path / "rescued.toml")
    assert window.strip.messages == {}


# --- the file on the disk


def theirs(bar):
    """Change the file as another program would."""
    recipe = file.read(bar)
    file.write(recipe.with_name("Theirs"), bar)


def test_a_change_on_the_disk_is_told_and_theirs_opens_beside(application, window, bar, qtbot):
    change(window)
    with qtbot.waitSignal(window.document.disk_changed):
        theirs(bar)
    message = window.strip.messages["disk"]
    assert "oat.toml" in message.label.text()
    qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    assert [one.document.recipe.name for one in application.windows][1] == "Theirs"
    assert application.windows[1].document.path is None
    assert "disk" in window.strip.messages


def test_mine_can_be_kept_over_a_change_on_the_disk(window, bar, qtbot):
    change(window)
    with qtbot.waitSignal(window.document.disk_changed):
        theirs(bar)
    qtbot.mouseClick(window.strip.messages["disk"].keys[2], Qt.MouseButton.LeftButton)
    with qtbot.waitSignal(window.document.saved):
        window.filing.save()
    assert file.read(bar) == window.document.recipe


def test_theirs_can_be_taken_as_a_step_that_can_be_undone(window, bar, qtbot):
    mine = window.document.recipe
    with qtbot.waitSignal(window.document.disk_changed):
        theirs(bar)
    qtbot.mouseClick(window.strip.messages["disk"].keys[1], Qt.MouseButton.LeftButton)
    assert window.document.recipe.name == "Theirs"
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.recipe == mine


def test_a_save_over_their_change_writes_nothing_until_the_maker_chose(window, bar, qtbot):
    change(window)
    theirs(bar)
    with qtbot.waitSignal(window.document.disk_changed):
        window.filing.save()
    assert file.read(bar).name == "Theirs"
    assert len(window.strip.messages["disk"].keys) == 3


def test_a_file_that_was_taken_away_is_told(window, bar, qtbot):
    with qtbot.waitSignal(window.document.disk_changed):
        bar.unlink()
    message = window.strip.messages["disk"]
    assert "any more" in message.label.text()
    with qtbot.waitSignal(window.document.saved):
        qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    assert file.read(bar) == window.document.recipe


# --- what a killed program left behind


@pytest.fixture
def left(bar):
    """A recovery copy of the oat bar as a killed program leaves it."""
    recipe = file.read(bar).with_name("Oat bar of a bad night")
    known = of_text(bar.read_text(encoding="utf-8")).digest
    stated = {"original": str(bar), "digest": known, "name": recipe.name, "process": "gone 1 1"}
    path = recovery.folder() / "left.toml"
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"# Recovery copy: {json.dumps(stated)}\n{file.text(recipe)}", "utf-8")
    yield path
    path.unlink(missing_ok=True)


def test_changes_left_behind_are_offered_and_opened_as_changes(application, left, bar, qtbot):
    application.start([bar])
    (message,) = application.windows[0].strip.messages.values()
    assert message.label.text().startswith("Oat bar of a bad night has changes from ")
    assert message.label.text().endswith(" that were not saved.")
    qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    (window,) = application.windows
    assert window.document.recipe.name == "Oat bar of a bad night"
    assert window.document.path == bar
    assert window.isWindowModified()
    assert left.exists()  # until they are saved
    with qtbot.waitSignal(window.document.saved):
        qtbot.keyClick(in_use(qtbot, window), Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    qtbot.waitUntil(lambda: not left.exists())
    assert file.read(bar).name == "Oat bar of a bad night"


def test_changes_left_behind_can_be_discarded(application, left, bar, qtbot):
    before = bar.read_bytes()
    application.start([bar])
    (message,) = application.windows[0].strip.messages.values()
    qtbot.mouseClick(message.keys[1], Qt.MouseButton.LeftButton)
    assert not left.exists()
    assert bar.read_bytes() == before
    assert application.windows[0].document.is_saved


def test_changes_left_behind_can_wait_for_the_next_start(application, left, bar, qtbot):
    application.start([bar])
    (message,) = application.windows[0].strip.messages.values()
    qtbot.mouseClick(message.keys[2], Qt.MouseButton.LeftButton)
    assert left.exists()
    assert not application.windows[0].strip.isVisible()


def test_an_offer_is_still_there_when_another_recipe_takes_the_place(application, left, bar):
    application.start([])
    application.open(bar)
    (window,) = application.windows
    (message,) = window.strip.messages.values()
    assert "bad night" in message.label.text()


def test_a_damaged_copy_is_told_and_stays(application, left, bar, qtbot):
    left.write_text("# Recovery copy: {}\nname = ", encoding="utf-8")
    application.start([bar])
    (message,) = application.windows[0].strip.messages.values()
    qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    assert "Recovery copy" in application.windows[0].strip.messages["error"].label.text()
    assert left.exists()


def test_a_recovery_copy_that_cannot_be_kept_is_told(window, qtbot):
    error = ReadableError("Recovery copy", "No copy can be kept: The disk is full.", "Save often.")
    window.document.recovery_failed.emit(error)
    assert "Save often" in window.strip.messages["recovery"].label.text()


# --- closing


def test_a_recipe_that_never_changed_closes_without_a_question(application, window, qtbot):
    qtbot.keyClick(window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    assert application.windows == []


def test_changes_that_were_not_saved_are_asked_about_and_can_be_kept_open(
    application, window, qtbot
):
    change(window)
    qtbot.keyClick(window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    assert "oat.toml" in question(window).text()
    answer(qtbot, window, "Keep open")
    assert application.windows == [window]
    assert window.isVisible()


def test_escape_at_the_question_keeps_the_window_open(application, window, qtbot):
    change(window)
    window.close()
    qtbot.waitUntil(lambda: question(window).isVisible())
    qtbot.keyClick(question(window), Qt.Key.Key_Escape)
    assert application.windows == [window]
    window.close()  # and it is asked again
    answer(qtbot, window, "Discard")
    assert application.windows == []


def test_discard_closes_and_leaves_the_file(application, window, bar, qtbot):
    before = bar.read_bytes()
    change(window)
    window.close()
    answer(qtbot, window, "Discard")
    assert application.windows == []
    assert bar.read_bytes() == before


def test_save_at_the_question_saves_and_closes(application, window, bar, qtbot):
    change(window)
    mine = window.document.recipe
    window.close()
    answer(qtbot, window, "Save")
    qtbot.waitUntil(lambda: application.windows == [])
    assert file.read(bar) == mine


def test_a_save_that_fails_at_the_question_keeps_the_window(application, window, bar, qtbot):
    change(window)
    theirs(bar)
    window.close()
    with qtbot.waitSignal(window.stayed):
        answer(qtbot, window, "Save")
    assert application.windows == [window]
    assert "disk" in window.strip.messages


def test_a_new_recipe_saved_at_the_question_asks_where(application, tmp_path, qtbot):
    application.start([])
    window = application.windows[0]
    change(window)
    window.close()
    answer(qtbot, window, "Save")
    choose_file(qtbot, window, tmp_path / "mine.toml")
    qtbot.waitUntil(lambda: application.windows == [])
    assert (tmp_path / "mine.toml").is_file()


def test_closing_right_after_save_waits_for_the_disk(application, window, bar, qtbot):
    change(window)
    mine = window.document.recipe
    window.filing.save()
    window.close()
    qtbot.waitUntil(lambda: application.windows == [])
    assert file.read(bar) == mine


def test_quit_closes_all_windows_and_asks_for_each_that_changed(
    application, window, tmp_path, qtbot
):
    application.new()
    application.open_demo(demos.first())
    demo = application.windows[-1]
    demo_name = demo.document.recipe.name
    change(window)
    change(demo)
    in_use(qtbot, window)
    qtbot.keyClick(window, Qt.Key.Key_Q, Qt.KeyboardModifier.ControlModifier)
    answer(qtbot, window, "Discard")
    answer(qtbot, demo, "Keep open")
    # What needed no question is still there as well: quitting was given up.
    assert [one.document.recipe.name for one in application.windows] == ["", demo_name]
    application.quit()
    answer(qtbot, demo, "Discard")
    assert application.windows == []


def test_keeping_one_open_ends_quitting(application, window, qtbot):
    application.new()
    change(window)
    in_use(qtbot, window)
    application.quit()
    answer(qtbot, window, "Keep open")
    assert len(application.windows) == 2
    application.windows[1].close()
    assert application.windows == [window]


# --- menus, steps, description


def test_undo_and_redo_name_their_steps(window, qtbot):
    assert window.commands["undo"].text() == "&Undo"
    assert not window.commands["undo"].isEnabled()
    change(window, text="CAPB 30 % 14.50 → 10.50 & more")
    assert window.commands["undo"].text() == "&Undo CAPB 30 % 14.50 → 10.50 && more"
    qtbot.keyClick(window, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.commands["redo"].text() == "&Redo CAPB 30 % 14.50 → 10.50 && more"
    qtbot.keyClick(window, Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    assert window.commands["undo"].isEnabled()


def test_the_menus_work_by_keys_alone(application, window, qtbot):
    qtbot.keyClick(window, Qt.Key.Key_F, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: QApplication.activePopupWidget() is not None)
    qtbot.keyClick(QApplication.activePopupWidget(), Qt.Key.Key_N)
    assert len(application.windows) == 2


def test_letters_in_an_open_menu_are_the_menus_own(window, qtbot):
    """Q fills up in the table; in an open menu it does nothing."""
    window.page.go_to("table")
    change(window, 20.0)
    steps = window.document.undo_stack.count()
    qtbot.keyClick(window, Qt.Key.Key_H, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: QApplication.activePopupWidget() is not None)
    for letter in (Qt.Key.Key_Q, Qt.Key.Key_H, Qt.Key.Key_Delete, Qt.Key.Key_P):
        qtbot.keyClick(QApplication.activePopupWidget(), letter)
    qtbot.keyClick(QApplication.activePopupWidget(), Qt.Key.Key_Escape)
    assert window.document.undo_stack.count() == steps


def test_escape_leaves_the_menus_for_the_table_also_after_a_second_menu(window, qtbot):
    window.page.go_to("table")
    for letter in (Qt.Key.Key_W, Qt.Key.Key_E):
        qtbot.keyClick(QApplication.focusWidget(), letter, Qt.KeyboardModifier.AltModifier)
        qtbot.waitUntil(lambda: QApplication.activePopupWidget() is not None)
        qtbot.keyClick(QApplication.activePopupWidget(), Qt.Key.Key_Escape)
        assert QApplication.activePopupWidget() is None
    assert QApplication.focusWidget() is window.menuBar()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert window.page.part_in_focus() == "table"


def test_the_menu_tells_in_the_foot_what_a_command_does(window, qtbot):
    qtbot.keyClick(window, Qt.Key.Key_F, Qt.KeyboardModifier.AltModifier)
    qtbot.waitUntil(lambda: QApplication.activePopupWidget() is not None)
    assert window.foot._tip == "Opens an empty recipe in a new window"
    qtbot.keyClick(QApplication.activePopupWidget(), Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: window.foot._tip == "")


def test_the_sentence_is_the_description_of_the_window(window, qtbot):
    qtbot.waitUntil(lambda: bool(window.accessibleDescription()), timeout=20_000)
    assert "of 20" in window.accessibleDescription()
    before = window.accessibleDescription()
    change(window, 20.0)
    qtbot.waitUntil(lambda: window.accessibleDescription() not in ("", before), timeout=20_000)


def test_the_menus_can_be_read_in_the_theme_that_is_chosen(window, qapp):
    bar = window.menuBar()

    def shown():
        picture = bar.grab().toImage()
        return {
            picture.pixelColor(x, y).name() for x in range(0, 120) for y in range(picture.height())
        }

    assert theme.LIGHT.ink in shown()
    window.commands["theme_dark"].trigger()
    qapp.processEvents()
    assert theme.DARK.ink in shown()
    window.commands["theme_light"].trigger()
    qapp.processEvents()
    assert theme.LIGHT.ink in shown()


def test_a_warning_that_is_gone_gives_its_room_back(window, qtbot):
    document, page = window.document, window.page
    # Until the map is there, parts still join and are placed.
    qtbot.waitUntil(lambda: document.dough_map is not None, timeout=20_000)
    before = page.table.y()
    at = [row.phase for row in document.recipe.rows].index("last")
    without = document.recipe.with_row(
        at, replace(document.recipe.rows[at], percents=dict.fromkeys(document.recipe.numbers, 0.0))
    )
    document.edit("No preservative", without)
    qtbot.waitUntil(lambda: bool(page.headline.warnings), timeout=20_000)
    qtbot.waitUntil(lambda: page.table.y() > before)
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: page.table.y() == before, timeout=20_000)


def test_a_theme_that_is_chosen_reaches_every_window_and_is_remembered(
    application, window, settings, qtbot
):
    application.new()
    window.commands["theme_dark"].trigger()
    assert theme.now() is theme.DARK
    assert settings.theme == "dark"
    for one in application.windows:
        assert one.commands["theme_dark"].isChecked()
        qtbot.waitUntil(lambda one=one: one.palette().window().color().name() == theme.DARK.ground)
    window.commands["theme_light"].trigger()
    assert theme.now() is theme.LIGHT


def test_size_and_place_are_remembered(application, window, bar, qtbot):
    window.resize(712, 555)
    window.close()
    application.open(bar)
    assert application.windows[0].size().toTuple() == (712, 555)


# --- parts


def test_f6_walks_through_the_parts_and_escape_goes_back_to_the_table(window, qtbot):
    qtbot.waitUntil(lambda: window.page.is_whole)
    window.page.go_to("table")
    walked = []
    for _ in range(len(window.page.parts())):
        qtbot.keyClick(window, Qt.Key.Key_F6)
        walked.append(window.page.part_in_focus())
    assert walked[-1] == "table"
    order = [name for name in window.page.parts() if name in walked]
    start = order.index("table") + 1
    assert walked[: len(order)] == order[start:] + order[:start]
    qtbot.keyClick(window, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    assert window.page.part_in_focus() != "table"
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Escape)
    assert window.page.part_in_focus() == "table"


def test_f6_reaches_a_message_between_the_last_part_and_the_first(window, qtbot):
    qtbot.waitUntil(lambda: window.page.is_whole)
    done = []
    window.strip.show_message("one", "It is full.", [("Again", lambda: done.append("one"))])
    window.strip.show_message(
        "two", "It is gone.", [("Save", lambda: done.append("two")), ("Close", lambda: None)]
    )
    again, save, _ = (key for message in window.strip.messages.values() for key in message.keys)
    for start, modifier in (
        ("clock", Qt.KeyboardModifier.NoModifier),
        ("facts", Qt.KeyboardModifier.ShiftModifier),
    ):
        window.page.go_to(start)
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_F6, modifier)
        assert QApplication.focusWidget() is save
        assert window.page.part_in_focus() == ""
    assert ("Enter", "press") in window.foot._keys
    qtbot.keyClick(save, Qt.Key.Key_F6)
    assert window.page.part_in_focus() == "facts"
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(save, Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    assert window.page.part_in_focus() == "clock"
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_F6)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert done == ["two"]
    assert window.page.part_in_focus() == "table"
    window.page.go_to("clock")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_F6)
    assert QApplication.focusWidget() is again
    qtbot.keyClick(again, Qt.Key.Key_Escape)
    assert window.page.part_in_focus() == "table"
    assert list(window.strip.messages) == ["one"]


def test_arrows_go_from_key_to_key_of_a_message(window, qtbot):
    done = []
    window.strip.show_message(
        "two", "It is gone.", [("Save", lambda: None), ("Close", lambda: done.append("close"))]
    )
    window.page.go_to("facts")
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_F6, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Right)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    assert done == ["close"]


def test_the_window_looks_at_the_disk_when_it_becomes_active(window, bar, qtbot):
    theirs(bar)
    with qtbot.waitSignal(window.document.disk_changed):
        QApplication.sendEvent(window, QEvent(QEvent.Type.WindowActivate))


# --- what must not get lost


@pytest.fixture
def slow(monkeypatch):
    """Writing waits while this is not set."""
    gate, write = threading.Event(), file.write

    def waiting(recipe, path):
        assert gate.wait(20)
        return write(recipe, path)

    monkeypatch.setattr(file, "write", waiting)
    yield gate
    gate.set()


def test_closing_after_save_and_undo_asks_for_what_the_file_does_not_say(
    application, window, bar, qtbot, slow
):
    before = window.document.recipe
    change(window)
    for key in (Qt.Key.Key_S, Qt.Key.Key_Z, Qt.Key.Key_W):
        qtbot.keyClick(window, key, Qt.KeyboardModifier.ControlModifier)
    assert application.windows == [window]
    with qtbot.waitSignal(window.document.saved):
        slow.set()
    answer(qtbot, window, "Save")
    qtbot.waitUntil(lambda: application.windows == [])
    assert file.read(bar) == before


def test_saving_twice_and_closing_at_once_writes_and_closes(application, window, bar, qtbot, slow):
    change(window)
    recipe = window.document.recipe
    for key in (Qt.Key.Key_S, Qt.Key.Key_S, Qt.Key.Key_W):
        qtbot.keyClick(window, key, Qt.KeyboardModifier.ControlModifier)
    slow.set()
    qtbot.waitUntil(lambda: application.windows == [])
    assert file.read(bar) == recipe


def save_as_while_closing(application, window, qtbot, slow, path):
    """Close with "Save", and save under another name before that is done."""
    change(window)
    qtbot.keyClick(window, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    answer(qtbot, window, "Save")
    qtbot.waitUntil(lambda: window.document.is_saving)
    window.filing.ask_save_as()
    choose_file(qtbot, window, path)
    assert application.windows == [window]


def test_save_as_behind_a_save_that_closes_is_written_too(
    application, window, bar, tmp_path, qtbot, slow
):
    other = tmp_path / "other.toml"
    save_as_while_closing(application, window, qtbot, slow, other)
    recipe = window.document.recipe
    slow.set()
    qtbot.waitUntil(lambda: application.windows == [])
    assert file.read(bar) == file.read(other) == recipe


def test_save_as_behind_a_save_that_closes_keeps_the_window_when_it_fails(
    application, window, bar, tmp_path, qtbot, slow
):
    folder = tmp_path / "gone"
    folder.mkdir()
    save_as_while_closing(application, window, qtbot, slow, folder / "other.toml")
    folder.rmdir()
    slow.set()
    qtbot.waitUntil(lambda: "save" in window.strip.messages)
    assert application.windows == [window]
    assert file.read(bar) == window.document.recipe
    assert not window.document.is_saving


def test_closing_during_a_save_under_another_name_waits_for_it(
    application, window, tmp_path, qtbot, slow
):
    folder = tmp_path / "gone"
    folder.mkdir()
    assert window.document.is_saved
    window.filing.ask_save_as()
    choose_file(qtbot, window, folder / "other.toml")
    folder.rmdir()
    window.close()
    assert application.windows == [window]
    slow.set()
    qtbot.waitUntil(lambda: "save" in window.strip.messages)
    assert application.windows == [window]


def test_opening_one_of_two_left_behind_keeps_the_other_offered(application, left, bar, qtbot):
    other = left.with_name("other.toml")
    other.write_text(left.read_text("utf-8").replace("bad night", "worse night"), "utf-8")
    application.start([bar])
    message = application.windows[0].strip.messages["copy left.toml"]
    qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    (window,) = application.windows
    assert list(window.strip.messages) == ["copy other.toml"]
    other.unlink()


def test_a_rescued_recipe_without_a_file_stays_when_another_is_opened(
    application, left, bar, qtbot
):
    left.write_text(left.read_text("utf-8").replace(str(bar), ""), "utf-8")
    application.start([])
    (message,) = application.windows[0].strip.messages.values()
    qtbot.mouseClick(message.keys[0], Qt.MouseButton.LeftButton)
    (rescued,) = application.windows
    application.new()
    assert len(application.windows) == 2
    assert question(rescued) is None


def test_a_file_named_twice_opens_in_one_window(application, bar):
    application.start([bar, bar])
    assert [window.document.path for window in application.windows] == [bar]


@pytest.fixture
def collecting(settings):
    """An application that looks after garbage, as the program's own does."""
    made = Application(settings, collects=True)
    yield made
    for window in list(made.windows):
        window.filing.discard()
    gc.unfreeze()


def test_garbage_is_looked_for_also_if_the_first_window_is_replaced(collecting, bar, qtbot):
    collecting.start([])
    collecting.open(bar)
    (window,) = collecting.windows
    qtbot.waitSignal(window.completed, timeout=20_000).wait()
    assert gc.get_freeze_count() > 10_000


class Garbage:
    """Refers to itself, and notes in which thread it is taken down."""

    def __init__(self, threads):
        self.itself, self.threads = self, threads

    def __del__(self):
        self.threads.append(threading.current_thread())


def test_garbage_is_taken_down_in_the_thread_of_the_window_alone(collecting, bar, qtbot):
    collecting.start([bar])
    qtbot.waitSignal(collecting.windows[0].completed, timeout=20_000).wait()
    threads = []
    Garbage(threads)
    # Enough new containers that the interpreter would look for garbage by itself.
    busy = threading.Thread(target=lambda: [[] for _ in range(200_000)])
    busy.start()
    busy.join()
    assert threads == []
    qtbot.waitUntil(lambda: threads == [threading.main_thread()], timeout=20_000)
