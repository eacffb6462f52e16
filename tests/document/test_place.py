"""Saving in a thread, and what others do to the file meanwhile: nothing of anybody is lost."""

import os
import resource
import threading
from difflib import unified_diff
from itertools import pairwise

import pytest
from PySide6.QtCore import QEventLoop, QTimer

from designer.document import Document
from designer.document.disk import Kind, fingerprint
from designer.document.shelf import Shelf
from designer.errors import ReadableError
from designer.recipe import Recipe, Row, Variant, file

THEIRS = """format = 1
name = "theirs"  # typed elsewhere

[[row]]
phase = "powder"
name = "oat flour"
percent = 7
"""


@pytest.fixture
def gate(monkeypatch):
    """Writing waits while this is not set."""
    gate, write = threading.Event(), file.write

    def waiting(recipe, path):
        assert gate.wait(20)
        return write(recipe, path)

    monkeypatch.setattr(file, "write", waiting)
    yield gate
    gate.set()


@pytest.fixture
def changes(document):
    """What the document told of its file."""
    told = []
    document.disk_changed.connect(told.append)
    return told


def save(qtbot, document):
    with qtbot.waitSignal(document.saved, raising=True) as saved:
        assert document.save()
    return saved.args[0]


def changed_lines(before, after):
    diff = unified_diff(before.splitlines(), after.splitlines(), n=0, lineterm="")
    return [line for line in diff if line[0] in "+-" and line[:3] not in ("+++", "---")]


def test_a_saved_recipe_is_in_the_file_and_its_step_is_clean(qtbot, document, change, path):
    recipe = change(document, 3.0)
    assert not document.is_saved
    assert document.saved_at is None
    assert save(qtbot, document) == path
    assert file.read(path) == recipe
    assert document.is_saved
    assert document.undo_stack.isClean()
    assert document.saved_at is not None


def test_the_window_goes_on_while_the_file_is_written(qtbot, document, change, path, gate):
    before = path.read_bytes()
    change(document, 3.0)
    document.save()
    assert document.is_saving
    assert not document.is_saved
    assert path.read_bytes() == before
    gate.set()
    qtbot.waitSignal(document.saved).wait()
    assert not document.is_saving


def test_every_change_of_place_is_told(qtbot, document, change, tmp_path):
    told = []
    document.place_changed.connect(
        lambda: told.append((document.is_saved, document.is_saving, document.path.name))
    )
    change(document, 3.0)
    with qtbot.waitSignal(document.saved):
        document.save_as(tmp_path / "other.toml")
    assert told == [
        (False, False, "oat.toml"),
        (False, True, "oat.toml"),
        (True, False, "other.toml"),
    ]


def test_one_edit_between_two_saves_changes_one_line(qtbot, document, change, path):
    texts = [path.read_text(encoding="utf-8")]
    for percent in (3.0, 4.0, 5.5):
        change(document, percent)
        save(qtbot, document)
        texts.append(path.read_text(encoding="utf-8"))
    for before, after in pairwise(texts):
        assert len(changed_lines(before, after)) == 2  # one away, one in its place


def test_a_row_removed_saved_and_brought_back_has_its_comment_again(qtbot, document, path):
    opened = path.read_bytes()
    assert b"# no change may move it" in opened
    index = next(i for i, row in enumerate(document.recipe.rows) if row.held)
    document.edit("Remove", document.recipe.remove_row(index))
    save(qtbot, document)
    assert b"# no change may move it" not in path.read_bytes()
    document.undo_stack.undo()
    assert not document.is_saved
    save(qtbot, document)
    assert path.read_bytes() == opened


def test_a_second_save_waits_and_writes_the_newest_recipe(
    qtbot, document, change, path, gate, monkeypatch
):
    written, write = [], file.write
    monkeypatch.setattr(file, "write", lambda *given: (written.append(given[0]), write(*given))[1])
    first = change(document, 3.0)
    document.save()
    change(document, 4.0)
    document.save()
    document.save()
    last = change(document, 5.0)
    gate.set()
    qtbot.waitUntil(lambda: document.is_saved and not document.is_saving)
    assert written == [first, last]
    assert file.read(path) == last


def test_what_is_undone_while_it_is_written_is_not_saved(qtbot, document, change, path, gate):
    before = document.recipe
    wrong = change(document, 3.0)
    document.save()
    document.undo_stack.undo()
    assert document.recipe == before
    assert not document.is_saved  # the file is about to say what was undone
    gate.set()
    qtbot.waitSignal(document.saved).wait()
    assert file.read(path) == wrong
    assert not document.is_saved
    save(qtbot, document)
    assert file.read(path) == before
    assert document.is_saved


def test_closing_at_the_first_of_two_saves_writes_the_second_too(
    qtbot, document, change, path, gate
):
    change(document, 3.0)
    document.save()
    last = change(document, 4.0)
    document.save()
    document.saved.connect(lambda _: document.close())
    with qtbot.waitSignal(document.saved):
        gate.set()
    assert file.read(path) == last


def test_a_step_made_while_saving_is_not_saved_and_undo_comes_back_to_what_is(
    qtbot, document, change, path, gate
):
    gesture = document.new_gesture()
    saved = change(document, 3.0, gesture)
    document.save()
    change(document, 4.0, gesture)
    assert document.undo_stack.count() == 2  # the drag goes on, but not across the save
    gate.set()
    qtbot.waitSignal(document.saved).wait()
    assert not document.is_saved
    assert not document.undo_stack.isClean()
    document.undo_stack.undo()
    assert document.recipe == saved == file.read(path)
    assert document.is_saved
    assert document.undo_stack.isClean()


def test_save_as_makes_the_new_file_the_documents_own(qtbot, document, change, path, tmp_path):
    before, other = path.read_bytes(), tmp_path / "other.toml"
    other.write_text("replaced, as the dialog asked", encoding="utf-8")
    recipe = change(document, 3.0)
    with qtbot.waitSignal(document.saved) as saved:
        document.save_as(other)
    assert saved.args[0] == document.path == other
    assert file.read(other) == recipe
    assert path.read_bytes() == before


def test_a_recipe_made_anew_asks_for_a_file_first(qtbot, opening, evaluation, shading, tmp_path):
    document = opening(Recipe(name="new"))
    assert document.is_saved  # nothing is lost yet
    document.edit("Name", document.recipe.with_name("mine"))
    assert not document.is_saved
    assert not document.save()
    with qtbot.waitSignal(document.saved):
        document.save_as(tmp_path / "new.toml")
    assert file.read(tmp_path / "new.toml").name == "mine"


def test_saving_over_what_somebody_else_wrote_writes_nothing_and_says_so(
    qtbot, document, change, changes, path
):
    mine = change(document, 3.0)
    path.write_text(THEIRS, encoding="utf-8")
    document.save()
    qtbot.waitUntil(lambda: changes != [] and not document.is_saving)
    assert {one.kind for one in changes} == {Kind.CHANGED}
    assert path.read_text(encoding="utf-8") == THEIRS
    assert document.recipe == mine
    assert document.disk_change.theirs() == file.parse(THEIRS)


def test_a_save_that_meets_the_same_change_again_says_so_again(
    qtbot, document, change, changes, path
):
    change(document, 3.0)
    path.write_text(THEIRS, encoding="utf-8")
    for _ in range(2):
        with qtbot.waitSignal(document.disk_changed):
            document.save()
            qtbot.waitUntil(lambda: not document.is_saving)
            changes.clear()
    assert path.read_text(encoding="utf-8") == THEIRS


def test_mine_kept_is_written_by_the_next_save(qtbot, document, change, changes, path):
    mine = change(document, 3.0)
    path.write_text(THEIRS, encoding="utf-8")
    document.check_disk()
    changes[0].keep_mine()
    assert document.disk_change is None
    assert not document.is_saved
    save(qtbot, document)
    assert file.read(path) == mine


def test_mine_kept_is_not_written_over_a_still_newer_change(qtbot, document, change, changes, path):
    change(document, 3.0)
    path.write_text(THEIRS, encoding="utf-8")
    document.check_disk()
    changes[0].keep_mine()
    newer = THEIRS.replace("theirs", "newer")
    path.write_text(newer, encoding="utf-8")
    with qtbot.waitSignal(document.disk_changed):
        document.save()
    qtbot.waitUntil(lambda: not document.is_saving)
    assert path.read_text(encoding="utf-8") == newer


def test_theirs_taken_is_one_step_and_undo_brings_mine_back(qtbot, document, change, changes, path):
    mine = change(document, 3.0)
    path.write_text(THEIRS, encoding="utf-8")
    document.check_disk()
    assert not document.is_saved
    changes[0].take_theirs()
    assert document.recipe == file.parse(THEIRS)
    assert document.undo_stack.undoText() == "Take the file on disk"
    assert document.undo_stack.count() == 2
    assert document.is_saved
    document.undo_stack.undo()
    assert document.recipe is mine
    assert not document.is_saved
    save(qtbot, document)
    assert file.read(path) == mine


def test_theirs_that_says_the_same_keeps_its_comments_when_taken(
    qtbot, document, changes, change, path
):
    opened = path.read_text(encoding="utf-8")
    path.write_text(opened + "# a thought of theirs\n", encoding="utf-8")
    document.check_disk()
    changes[0].take_theirs()
    change(document, 3.0)
    save(qtbot, document)
    assert path.read_text(encoding="utf-8").endswith("# a thought of theirs\n")


def test_a_change_on_the_disk_is_told_without_a_save(qtbot, document, path):
    with qtbot.waitSignal(document.disk_changed) as told:
        path.write_text(THEIRS, encoding="utf-8")
    assert told.args[0].kind is Kind.CHANGED


def test_another_file_put_in_place_is_told_and_the_next_one_too(qtbot, document, path, tmp_path):
    for name in ("one", "two"):
        other = tmp_path / "part"
        other.write_text(THEIRS.replace("theirs", name), encoding="utf-8")
        with qtbot.waitSignal(document.disk_changed):
            other.replace(path)
        assert document.disk_change.theirs().name == name


def test_a_file_gone_and_come_back_is_told_and_nothing_is_lost(qtbot, document, path):
    opened = path.read_bytes()
    with qtbot.waitSignal(document.disk_changed) as told:
        path.unlink()
    assert told.args[0].kind is Kind.GONE
    assert not document.is_saved
    with pytest.raises(ReadableError, match="There is no such file"):
        told.args[0].theirs()
    with qtbot.waitSignal(document.disk_changed) as told:
        path.write_bytes(opened)
    assert told.args[0].kind is Kind.BACK
    assert document.is_saved
    assert document.disk_change is None


def test_a_file_that_is_gone_is_written_anew_by_a_save(qtbot, document, change, path):
    recipe = change(document, 3.0)
    path.unlink()
    save(qtbot, document)
    assert file.read(path) == recipe
    assert document.is_saved


@pytest.mark.parametrize("way", ["touch", "rewrite", "replace"])
def test_the_same_content_written_anew_is_no_change(qtbot, document, change, changes, path, way):
    content = path.read_bytes()
    if way == "touch":
        os.utime(path)
    elif way == "rewrite":
        path.write_bytes(content)
    else:
        other = path.with_name("part")
        other.write_bytes(content)
        other.replace(path)
    document.check_disk()
    recipe = change(document, 3.0)
    save(qtbot, document)
    assert file.read(path) == recipe
    assert changes == []


def test_a_change_within_one_tick_of_the_clock_and_of_the_same_size_is_seen(path):
    known = fingerprint(path)
    content = path.read_bytes()
    path.write_bytes(content.replace(b"14.5", b"14.6"))
    os.utime(path, ns=(known.modified, known.modified))
    now = fingerprint(path, known)
    assert (now.size, now.modified, now.inode) == (known.size, known.modified, known.inode)
    assert not now.is_same(known)


def test_the_file_is_not_read_again_while_nothing_stirred(path, monkeypatch):
    os.utime(path, (1_700_000_000, 1_700_000_000))
    known = fingerprint(path)
    path.chmod(0)
    monkeypatch.setattr("designer.document.disk._digest", lambda *_: pytest.fail("was read"))
    assert fingerprint(path, known) is known


def test_a_file_that_changed_between_reading_and_opening_is_told(
    qtbot, opening, evaluation, shading, path
):
    recipe = file.read(path)
    path.write_text(THEIRS, encoding="utf-8")
    document = opening(recipe, path)
    qtbot.waitSignal(document.disk_changed).wait()
    assert document.disk_change.kind is Kind.CHANGED


def test_a_link_is_saved_through_and_watched(qtbot, opening, evaluation, shading, change, path):
    link = path.with_name("link.toml")
    link.symlink_to(path.name)
    document = opening(link, way=Document.open)
    recipe = change(document, 3.0)
    save(qtbot, document)
    assert link.is_symlink()
    assert file.read(path) == recipe
    with qtbot.waitSignal(document.disk_changed):
        path.write_text(THEIRS, encoding="utf-8")


def test_our_own_save_is_no_change_of_somebody_else(qtbot, document, change, changes):
    for percent in (3.0, 4.0, 5.0):
        change(document, percent)
        save(qtbot, document)
        document.check_disk()
    loop = QEventLoop()
    QTimer.singleShot(200, loop.quit)  # longer than the watch takes to stir
    loop.exec()
    assert changes == []
    assert document.is_saved


# --- faults


def fails(qtbot, document):
    with qtbot.waitSignal(document.save_failed) as failed:
        document.save()
    qtbot.waitUntil(lambda: not document.is_saving)
    return str(failed.args[0])


def test_a_full_disk_is_told_and_the_next_save_succeeds(qtbot, document, change, path):
    before = path.read_bytes()
    recipe = change(document, 3.0)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1024, hard))
    try:
        told = fails(qtbot, document)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert "The file would be larger than the system allows." in told
    assert path.read_bytes() == before
    assert document.recipe == recipe
    assert not document.is_saved
    assert not document.undo_stack.isClean()
    save(qtbot, document)
    assert file.read(path) == recipe


def test_a_folder_that_may_not_be_written_is_told(
    qtbot, opening, evaluation, shading, change, open_folder, as_nobody
):
    document = opening()
    change(document, 3.0)
    with qtbot.waitSignal(document.save_failed) as failed:
        document.save_as(open_folder / "new.toml")
    assert "You may not write here." in str(failed.args[0])
    assert document.path is None
    assert not document.is_saved


def test_a_file_made_a_folder_is_told_and_not_written_even_if_mine_is_kept(
    qtbot, document, change, changes, path
):
    change(document, 3.0)
    path.unlink()
    path.mkdir()
    document.check_disk()
    assert changes[-1].kind is Kind.CHANGED
    with pytest.raises(ReadableError, match="This is a folder"):
        changes[-1].take_theirs()
    assert document.undo_stack.count() == 1
    changes[-1].keep_mine()
    assert "This is a folder." in fails(qtbot, document)
    assert path.is_dir()


@pytest.mark.parametrize(
    ("theirs", "problem"),
    [
        ("format = 99\n", "newer format than this program reads"),
        ("format = 1\nname = \n", "This is not TOML"),
        ("", "The file is empty"),
        ("\0" * 100, "The file is not text"),
        ("format = 1\n" + "#" * 600_000, "at most 0.5 MB"),
    ],
)
def test_theirs_that_is_no_recipe_is_told_and_left_alone(
    document, change, changes, path, theirs, problem
):
    mine = change(document, 3.0)
    path.write_text(theirs, encoding="utf-8")
    document.check_disk()
    for act in (changes[0].theirs, changes[0].take_theirs):
        with pytest.raises(ReadableError, match=problem):
            act()
    assert document.recipe is mine
    assert document.undo_stack.count() == 1
    assert document.disk_change is changes[0]
    assert path.read_text(encoding="utf-8") == theirs


def test_a_mistake_of_the_program_while_saving_is_told(
    qtbot, document, change, path, monkeypatch, caplog
):
    before = path.read_bytes()
    change(document, 3.0)

    def broken(*_):
        raise ZeroDivisionError

    with monkeypatch.context() as patch:
        patch.setattr(file, "write", broken)
        assert "The program made a mistake while saving (ZeroDivisionError)." in fails(
            qtbot, document
        )
    assert path.read_bytes() == before
    save(qtbot, document)


def test_a_recipe_too_large_to_be_opened_again_is_not_written(qtbot, document, path):
    before = path.read_bytes()
    document.edit("Notes", document.recipe.with_notes("oat " * 150_000))
    assert "a recipe has at most 0.5 MB" in fails(qtbot, document)
    assert path.read_bytes() == before


def test_closing_waits_for_what_is_being_saved(document, change, path, gate):
    recipe = change(document, 3.0)
    document.save()
    closing = threading.Timer(0.05, gate.set)
    closing.start()
    document.close()
    assert file.read(path) == recipe


def test_a_large_recipe_is_saved_while_the_event_loop_turns(
    qtbot, opening, evaluation, shading, tmp_path
):
    numbers = [str(number) for number in range(1, 9)]
    large = Recipe(
        variants=tuple(Variant(number, active=number == "1") for number in numbers),
        rows=tuple(Row("powder", f"oat flour {i}", dict.fromkeys(numbers, 1.5)) for i in range(40)),
    )
    path = tmp_path / "large.toml"
    file.write(large, path)
    document = opening(path, way=Document.open)
    document.edit("Betaine", document.recipe.with_percent(3, "4", 2.5))
    turns = []
    timer = QTimer(interval=1)
    timer.timeout.connect(lambda: turns.append(document.is_saving))
    timer.start()
    save(qtbot, document)
    assert turns.count(True) >= 10  # laying it out takes a tenth of a second


def test_a_closed_document_leaves_no_thread(qtbot, opening, evaluation, shading, path):
    before = threading.active_count()
    for _ in range(3):
        document = opening(path, way=Document.open)
        document.edit("Name", document.recipe.with_name(f"{document.recipe.name} again"))
        save(qtbot, document)
        document.close()
        document.close()  # twice is no harm
    assert threading.active_count() == before


def test_a_file_that_is_no_recipe_is_not_opened(opening, path):
    path.write_text("format = 99\n", encoding="utf-8")
    with pytest.raises(ReadableError, match="newer format than this program reads"):
        opening(path, way=Document.open)


def test_a_shelf_that_could_not_be_filled_is_not_filled(monkeypatch):
    def gone():
        raise OSError("gone")

    monkeypatch.setattr("designer.handbook.load", gone)
    shelf = Shelf()
    shelf.fill()
    with pytest.raises(OSError, match="gone"):
        shelf.wait()
    assert not shelf.is_filled
