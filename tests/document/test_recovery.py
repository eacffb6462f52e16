"""Recovery copies: made within two seconds, gone when nothing would be lost, found after a kill."""

import json
import os
import shutil
import stat
import subprocess
import sys
import threading
import time

import pytest

from designer.document import Document, recovery
from designer.document.disk import Kind
from designer.document.recovery import Recovery, left_behind
from designer.errors import ReadableError
from designer.recipe import Recipe, file


@pytest.fixture(autouse=True)
def no_copies():
    shutil.rmtree(recovery.folder(), ignore_errors=True)


@pytest.fixture
def soon(monkeypatch):
    """Copies are made at once, where a test is not about how long that takes."""
    monkeypatch.setattr(recovery, "DELAY", 0.0)


def copies():
    return sorted(recovery.folder().glob("*.toml"))


def content(path):
    header, _, text = path.read_text(encoding="utf-8").partition("\n")
    return json.loads(header.removeprefix("# Recovery copy: ")), text


def kept(qtbot, recipe):
    """Wait until the only copy holds a recipe."""
    wanted = file.text(recipe)
    qtbot.waitUntil(lambda: [content(path)[1] for path in copies()] == [wanted])
    return copies()[0]


def die(path, process="0b00 1 2"):
    """Make a copy one of a process that is gone."""
    header, text = content(path)
    line = json.dumps(header | {"process": process})
    path.write_text(f"# Recovery copy: {line}\n{text}", encoding="utf-8")


# --- when there is one


def test_within_two_seconds_of_a_change_there_is_a_copy_also_while_changes_go_on(
    qtbot, document, change
):
    begun = time.monotonic()
    percents = iter(range(10_000))

    def is_there():
        change(document, next(percents) / 100)  # a burst that does not end
        return copies() != []

    qtbot.waitUntil(is_there, timeout=2000)
    assert 0.5 < time.monotonic() - begun < 2.0
    first = content(copies()[0])[1]
    again = time.monotonic()

    def is_newer():
        change(document, next(percents) / 100)
        return content(copies()[0])[1] != first

    qtbot.waitUntil(is_newer, timeout=2000)
    assert time.monotonic() - again < 2.0


def test_a_copy_says_what_it_is_of_and_reads_as_a_recipe_file(qtbot, soon, document, change, path):
    recipe = change(document, 3.0)
    copy = kept(qtbot, recipe)
    header, _ = content(copy)
    assert header["original"] == str(path)
    assert header["digest"] == document._place.digest != ""
    assert header["name"] == recipe.name
    assert file.read(copy) == recipe
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700


def test_a_document_without_changes_has_no_copy(qtbot, qapp, soon, document):
    qtbot.waitUntil(lambda: document.dough_map is not None)
    qapp.processEvents()
    assert copies() == []


def test_a_save_removes_the_copy(qtbot, soon, document, change):
    kept(qtbot, change(document, 3.0))
    with qtbot.waitSignal(document.saved):
        document.save()
    qtbot.waitUntil(lambda: copies() == [])


def test_undo_to_what_is_saved_removes_the_copy_and_redo_makes_one(qtbot, soon, document, change):
    recipe = change(document, 3.0)
    kept(qtbot, recipe)
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: copies() == [])
    document.undo_stack.redo()
    kept(qtbot, recipe)


def test_a_copy_being_written_when_nothing_is_to_be_kept_does_not_stay(
    soon, qtbot, document, change, monkeypatch
):
    begun, gate, whole = threading.Event(), threading.Event(), recovery._save

    def slow(path, text):
        begun.set()
        assert gate.wait(20)
        whole(path, text)

    monkeypatch.setattr(recovery, "_save", slow)
    change(document, 3.0)
    qtbot.waitUntil(begun.is_set)
    document.undo_stack.undo()
    gate.set()
    document.close()
    assert copies() == []


def test_closing_removes_the_copy(qtbot, soon, document, change):
    kept(qtbot, change(document, 3.0))
    document.close()
    assert copies() == []


def test_a_change_during_a_save_is_kept(qtbot, soon, document, change):
    change(document, 3.0)
    document.save()
    recipe = change(document, 4.0)
    with qtbot.waitSignal(document.saved):
        pass
    kept(qtbot, recipe)


def test_a_save_that_fails_as_the_document_closes_leaves_the_copy(
    soon, document, change, monkeypatch
):
    recipe = change(document, 3.0)

    def full(*_):
        raise ReadableError("oat.toml", "The disk is full.", "Make room.")

    monkeypatch.setattr(file, "write", full)
    document.save()
    document.close()
    assert content(copies()[0])[1] == file.text(recipe)


def test_a_file_that_is_gone_makes_an_unchanged_recipe_worth_keeping(qtbot, soon, document, path):
    path.unlink()
    kept(qtbot, document.recipe)


# --- when it cannot be kept


def test_a_folder_that_cannot_be_written_is_told_once_and_work_goes_on(
    qtbot, soon, document, change, monkeypatch, tmp_path
):
    blocked = tmp_path / "no folder"
    blocked.write_text("", encoding="utf-8")
    monkeypatch.setattr(document._recovery, "_file", blocked / "recovery" / "x.toml")
    told, tried, whole = [], [], recovery._save
    document.recovery_failed.connect(told.append)

    def counted(path, content):
        tried.append(path)
        whole(path, content)

    monkeypatch.setattr(recovery, "_save", counted)

    def change_and_wait(percent):
        change(document, percent)
        count = len(tried)
        qtbot.waitUntil(lambda: len(tried) > count and not document._recovery._is_writing)

    for percent in (3.0, 4.0, 5.0):
        change_and_wait(percent)
    assert len(told) == 1
    assert f"No copy of what is not saved can be kept in {blocked}" in str(told[0])
    blocked.unlink()
    change_and_wait(6.0)
    written = blocked / "recovery" / "x.toml"
    assert content(written)[1] == file.text(document.recipe)
    shutil.rmtree(blocked)
    blocked.write_text("", encoding="utf-8")
    change_and_wait(7.0)
    assert len(told) == 2  # it was mended in between
    with qtbot.waitSignal(document.saved):
        document.save()


def test_a_full_disk_is_told(qtbot, soon, document, change, monkeypatch):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("designer.recipe.saving.os.fsync", full)
    with qtbot.waitSignal(document.recovery_failed) as told:
        change(document, 3.0)
    assert "The disk is full." in str(told.args[0])


def test_a_recipe_too_large_for_a_copy_is_told(qtbot, soon, document):
    with qtbot.waitSignal(document.recovery_failed) as told:
        document.edit("Notes", document.recipe.with_notes("oat " * 150_000))
    assert "too large" in str(told.args[0])
    assert copies() == []


def test_a_mistake_of_the_program_is_told_and_the_next_copy_is_made(
    qtbot, soon, document, change, monkeypatch, caplog
):
    with monkeypatch.context() as patch:
        patch.setattr(recovery, "_save", None)
        with qtbot.waitSignal(document.recovery_failed) as told:
            change(document, 3.0)
    assert "The program made a mistake" in str(told.args[0])
    kept(qtbot, change(document, 4.0))


# --- what is left behind


def test_a_copy_of_a_running_program_is_not_offered(qtbot, soon, document, change):
    kept(qtbot, change(document, 3.0))
    assert left_behind() == []


def test_a_copy_of_a_program_that_is_gone_is_offered_with_all_that_is_known(
    qtbot, soon, document, change, path
):
    recipe = change(document, 3.0)
    die(kept(qtbot, recipe))
    (copy,) = left_behind()
    assert copy.recipe() == recipe
    assert (copy.original, copy.name) == (path, recipe.name)
    assert abs(copy.when.timestamp() - time.time()) < 60
    assert not copy.original_is_newer
    copy.discard()
    assert left_behind() == copies() == []
    copy.discard()  # twice is no harm


@pytest.mark.parametrize("kind", ["a number used again", "a zombie"])
def test_a_process_number_that_means_another_process_does_not_hide_a_copy(
    qtbot, soon, document, change, kind
):
    copy = kept(qtbot, change(document, 3.0))
    boot, number, start = content(copy)[0]["process"].split()
    assert int(number) == os.getpid()
    if kind == "a zombie":
        with subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE) as child:
            process = recovery._process(child.pid)
            assert recovery._is_running(process)
            child.stdin.close()
            qtbot.waitUntil(lambda: not recovery._is_running(process))
            die(copy, process)
            assert len(left_behind()) == 1
        return
    die(copy, f"{boot} {number} {int(start) - 1}")
    assert len(left_behind()) == 1


def test_the_newest_copy_comes_first(qtbot, soon, document, change):
    copy = kept(qtbot, change(document, 3.0))
    die(copy)
    for name, age in (("older", 100), ("oldest", 200)):
        other = copy.with_name(f"{name}.toml")
        shutil.copy(copy, other)
        os.utime(other, (time.time() - age,) * 2)
    assert [one.file.stem for one in left_behind()] == [copy.stem, "older", "oldest"]


def test_a_copy_that_says_what_its_file_says_is_not_offered(qtbot, soon, document, change, path):
    recipe = change(document, 3.0)
    copy = kept(qtbot, recipe)
    die(copy)
    path.write_text(file.text(recipe), encoding="utf-8")  # killed right after saving
    assert left_behind() == []
    assert not copy.exists()


def test_a_copy_older_than_its_file_says_so(qtbot, soon, document, change, path):
    copy = kept(qtbot, change(document, 3.0))
    die(copy)
    os.utime(copy, (time.time() - 10,) * 2)
    path.write_text("format = 1\nname = 'saved after'\n", encoding="utf-8")
    assert left_behind()[0].original_is_newer


@pytest.mark.parametrize(
    ("damage", "problem"),
    [
        (b"", "The file is empty"),
        (b"# Recovery copy: {\n", "The file is empty"),
        (b"\0" * 5000, "The file is not text"),
        (b"\xff\xfe\xfa" * 50, "UTF-16"),
        (b"# Recovery copy: [1]\nname = \n", "This is not TOML"),
        (b'# Recovery copy: {"process": 7, "name": [], "original": {}}\nx', "This is not TOML"),
        (b"# Recovery copy: " + b"[" * 30_000 + b"\nformat = 1", "Recovery copy"),
    ],
)
def test_a_damaged_copy_is_offered_and_tells_what_is_wrong(damage, problem):
    recovery.folder().mkdir(parents=True)
    (recovery.folder() / "damaged.toml").write_bytes(damage)
    (copy,) = left_behind()
    assert (copy.original, copy.name) == (None, "")
    if b"format" not in damage:
        with pytest.raises(ReadableError, match=problem):
            copy.recipe()
    copy.discard()
    assert left_behind() == []


def test_a_recipe_without_a_header_of_ours_is_a_recipe_all_the_same():
    recovery.folder().mkdir(parents=True)
    (recovery.folder() / "bare.toml").write_text("format = 1\nname = 'bare'\n", encoding="utf-8")
    assert left_behind()[0].recipe().name == "bare"


def test_no_folder_means_no_copies():
    assert left_behind() == []


# --- taking one up


@pytest.fixture
def left(qtbot, soon, opening, evaluation, shading, change, path):
    """A copy left behind by a document of the file at `path`."""
    document = opening(path, way=Document.open)
    copy = kept(qtbot, change(document, 3.0))
    text = copy.read_bytes()
    document.close()
    copy.write_bytes(text)
    die(copy)
    return left_behind()[0]


def test_a_recovered_recipe_is_unsaved_of_its_file_and_keeps_its_copy(
    qtbot, opening, left, path, change
):
    document = opening(left, way=Document.recover)
    assert document.recipe.rows[10].percents["1"] == 3.0
    assert document.path == path
    assert not document.is_saved
    assert not document.undo_stack.isClean()
    qtbot.waitUntil(lambda: left_behind() == [])  # the copy is this program's now
    kept(qtbot, document.recipe)
    with qtbot.waitSignal(document.saved):
        document.save()
    assert file.read(path) == document.recipe
    qtbot.waitUntil(lambda: copies() == [])


def test_a_recovered_recipe_whose_file_changed_since_says_so(qtbot, opening, left, path):
    path.write_text("format = 1\nname = 'theirs'\n", encoding="utf-8")
    document = opening(left, way=Document.recover)
    qtbot.waitSignal(document.disk_changed).wait()
    assert document.disk_change.kind is Kind.CHANGED


def test_a_damaged_copy_cannot_be_taken_up_and_stays(opening, left):
    left.file.write_text("# Recovery copy: {}\nname =", encoding="utf-8")
    with pytest.raises(ReadableError, match="This is not TOML"):
        opening(left, way=Document.recover)
    assert copies() == [left.file]


def test_a_recipe_never_saved_is_recovered_without_a_file(
    qtbot, soon, opening, evaluation, shading
):
    document = opening(Recipe(name="new"))
    document.edit("Name", document.recipe.with_name("Oat bar"))
    die(kept(qtbot, document.recipe))
    recovered = opening(left_behind()[0], way=Document.recover)
    assert recovered.recipe.name == "Oat bar"
    assert recovered.path is None
    assert not recovered.is_saved


def test_a_copy_holds_windows_line_ends_and_a_byte_order_mark(
    qtbot, soon, opening, evaluation, shading, tmp_path
):
    path = tmp_path / "windows.toml"
    path.write_bytes("\ufeffformat = 1\r\nname = 'oat'\r\n".encode())
    document = opening(path, way=Document.open)
    document.edit("Name", document.recipe.with_name("barley"))
    qtbot.waitUntil(lambda: len(copies()) == 1)
    die_bytes = copies()[0].read_bytes().split(b"\n", 1)[1]
    copies()[0].write_bytes(b"# Recovery copy: {}\n" + die_bytes)
    (copy,) = left_behind()
    assert copy.recipe().source == '\ufeffformat = 1\r\nname = "barley"\r\n'


def test_a_copy_kept_from_a_header_longer_than_any_path(qtbot, soon, qapp, tmp_path):
    keeper = Recovery()
    recipe = Recipe(name="é" * 200)
    original = tmp_path / ("é" * 2000)
    keeper.want(recipe, original, "")
    qtbot.waitUntil(lambda: len(copies()) == 1)
    die(copies()[0])
    assert left_behind()[0].original == original
    keeper.close()
