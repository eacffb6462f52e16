"""Saving under faults: the old file stays whole, and the person reads what is wrong."""

import errno
import os
import signal
import stat
import subprocess
import sys
import time

import pytest

from designer.errors import ReadableError
from designer.recipe import Recipe, Row, file, saving

OLD = "format = 1\nname = 'old'\n"


@pytest.fixture
def recipe():
    return Recipe(name="Oat bar", rows=(Row("powder", "oat flour", {"1": 8.0}),))


@pytest.fixture
def old(tmp_path):
    path = tmp_path / "oat.toml"
    path.write_text(OLD, encoding="utf-8")
    return path


def left_over(folder):
    return sorted(path.name for path in folder.iterdir() if path.name.startswith(".bar-dough"))


def test_a_saved_recipe_reads_back(tmp_path, recipe):
    path = tmp_path / "new.toml"
    file.write(recipe, path)
    assert file.read(path) == recipe
    assert left_over(tmp_path) == []


def test_a_new_file_may_be_read_by_whom_the_system_lets(tmp_path, recipe):
    mask = os.umask(0o027)
    try:
        file.write(recipe, tmp_path / "new.toml")
    finally:
        os.umask(mask)
    assert stat.S_IMODE((tmp_path / "new.toml").stat().st_mode) == 0o640


def test_the_mode_of_a_file_is_kept(old, recipe):
    old.chmod(0o604)
    file.write(recipe, old)
    assert stat.S_IMODE(old.stat().st_mode) == 0o604


@pytest.mark.skipif(os.geteuid() != 0, reason="only root gives files away")
def test_the_owner_of_a_file_is_kept(old, recipe):
    os.chown(old, 65534, 65534)
    file.write(recipe, old)
    assert (old.stat().st_uid, old.stat().st_gid) == (65534, 65534)


def test_a_link_is_followed_and_stays_a_link(tmp_path, old, recipe):
    (tmp_path / "shelf").mkdir()
    link = tmp_path / "shelf" / "link.toml"
    link.symlink_to("../oat.toml")
    file.write(recipe, link)
    assert link.is_symlink()
    assert file.read(old) == recipe


@pytest.mark.parametrize("call", ["write", "fsync", "replace", "fchmod"])
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EROFS])
def test_a_fault_of_the_disk_leaves_the_old_file_and_nothing_else(
    old, recipe, monkeypatch, call, number
):
    def fails(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(saving.os, call, fails)
    with pytest.raises(ReadableError) as caught:
        file.write(recipe, old)
    assert caught.value.problem in [problem for problem, _ in saving._REASONS.values()]
    assert "what was on the disk is unchanged" in caught.value.advice
    assert old.read_text(encoding="utf-8") == OLD
    assert left_over(old.parent) == []


def test_every_fault_with_a_sentence_of_its_own_is_told_apart():
    problems = {number: problem for number, (problem, _) in saving._REASONS.items()}
    assert problems[errno.ENOSPC] == "The disk is full."
    assert problems[errno.EROFS] == "The disk can only be read."
    assert len(set(problems.values())) == len(problems) - 1  # EACCES and EPERM are one


def test_a_recipe_too_large_to_be_opened_again_is_not_written(old, recipe):
    with pytest.raises(ReadableError, match=r"0\.6 MB; a recipe has at most 0\.5 MB"):
        file.write(recipe.with_notes("oat " * 150_000), old)
    assert old.read_text(encoding="utf-8") == OLD


def test_a_write_in_pieces_is_a_whole_file(old, recipe, monkeypatch):
    whole = os.write
    monkeypatch.setattr(saving.os, "write", lambda descriptor, data: whole(descriptor, data[:7]))
    file.write(recipe, old)
    assert file.read(old) == recipe


def test_an_interrupted_save_leaves_nothing_behind(old, recipe, monkeypatch):
    def interrupted(_):
        raise KeyboardInterrupt

    monkeypatch.setattr(saving.os, "fsync", interrupted)
    with pytest.raises(KeyboardInterrupt):
        file.write(recipe, old)
    assert old.read_text(encoding="utf-8") == OLD
    assert left_over(old.parent) == []


def test_a_folder_that_cannot_be_flushed_does_not_undo_a_save(old, recipe, monkeypatch):
    def fails(_):
        raise OSError(errno.EINVAL, "no flush")

    monkeypatch.setattr(saving, "_flush_folder", fails)
    file.write(recipe, old)
    assert file.read(old) == recipe


def test_a_file_larger_than_the_system_allows_is_refused_and_the_old_one_kept(old):
    # A limit on the size of files stands in for a full disk; it needs no right to mount one.
    code = (
        "import resource, signal\n"
        "from designer.errors import ReadableError\n"
        "from designer.recipe import Recipe, file\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))\n"
        "try:\n"
        f"    file.write(Recipe(notes='oat ' * 5000), {str(old)!r})\n"
        "except ReadableError as error:\n"
        "    print(error)"
    )
    child = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert "larger than the system allows" in child.stdout
    assert old.read_text(encoding="utf-8") == OLD
    assert left_over(old.parent) == []


def test_without_the_right_to_write_the_sentence_says_so(open_folder, as_nobody):
    open_folder.chmod(0o555)
    path = open_folder / "new.toml"
    assert "You may not write here." in as_nobody(f"file.write(Recipe(), {str(path)!r})")
    assert not path.exists()


def test_a_protected_file_in_an_open_folder_stays(open_folder, as_nobody):
    open_folder.chmod(0o777)
    path = open_folder / "oat.toml"
    path.write_text(OLD, encoding="utf-8")
    path.chmod(0o444)
    assert "You may not write here." in as_nobody(f"file.write(Recipe(), {str(path)!r})")
    assert path.read_text(encoding="utf-8") == OLD


def test_with_the_right_to_write_nothing_stops_the_same_child(open_folder, as_nobody):
    open_folder.chmod(0o777)
    path = open_folder / "oat.toml"
    assert as_nobody(f"file.write(Recipe(), {str(path)!r})") == "done\n"
    assert file.read(path) == Recipe()


def test_what_cannot_be_a_file_is_refused(tmp_path, old, recipe):
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    fifo = tmp_path / "fifo"
    os.mkfifo(fifo)
    cases = {
        tmp_path: "This is a folder.",
        old / "below": "A part of the path is a file, not a folder.",
        tmp_path / "none" / "new.toml": "The folder does not exist.",
        tmp_path / ("x" * 300): "The name is too long.",
        loop: "The links lead in a circle.",
        fifo: "not a file on a disk",
        "/dev/null": "not a file on a disk",
        "nul\0byte": "cannot be written",
    }
    for path, problem in cases.items():
        with pytest.raises(ReadableError) as caught:
            file.write(recipe, path)
        assert problem in caught.value.problem
    assert left_over(tmp_path) == []


def test_what_a_killed_program_left_is_swept_once_it_is_old(tmp_path, recipe):
    stale, fresh = (tmp_path / f".bar-dough-{name}.tmp" for name in ("stale", "fresh"))
    for path in (stale, fresh):
        path.write_text("half", encoding="utf-8")
    long_ago = time.time() - 3600
    os.utime(stale, (long_ago, long_ago))
    file.write(recipe, tmp_path / "oat.toml")
    assert left_over(tmp_path) == [fresh.name]


def test_a_program_killed_while_saving_leaves_one_of_the_two_files_whole(tmp_path):
    path = tmp_path / "oat.toml"
    texts = [f"format = 1\nname = 'oat {n}'\nnotes = '{'x' * 20_000}'\n" for n in range(2)]
    path.write_text(texts[0], encoding="utf-8")
    code = (
        "import itertools\n"
        "from designer.recipe.saving import save\n"
        f"texts = {[text.encode() for text in texts]!r}\n"
        "print('ready', flush=True)\n"
        f"for text in itertools.cycle(texts): save({str(path)!r}, text)"
    )
    for kill in range(15):
        child = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE)
        with child:
            assert child.stdout.readline() == b"ready\n"
            time.sleep(0.003 * (kill + 1))
            child.send_signal(signal.SIGKILL)
        assert path.read_text(encoding="utf-8") in texts
    assert len(left_over(tmp_path)) <= 15
