"""The file: settings of SQLite, old, newer, foreign and damaged files, faults of the disk."""

import os
import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from designer import handbook
from designer.errors import ReadableError
from designer.workshop import Logbook, Pantry, migrations, places
from designer.workshop.database import Database, Watch, is_there, opened
from designer.workshop.faults import Damaged
from designer.workshop.values import Own

KEPT = Path(__file__).with_name("kept")
ROOT = Path(__file__).parents[2]


def kept(version, folder):
    return Path(shutil.copy(KEPT / f"format_{version}.sqlite", places.store(folder)))


def test_every_commit_is_flushed_and_readers_wait_for_no_writer(stores):
    assert stores.rows("PRAGMA journal_mode") == [("wal",)]
    assert stores.rows("PRAGMA synchronous") == [(2,)]  # FULL
    assert stores.rows("PRAGMA foreign_keys") == [(1,)]
    assert stores.verify() == []


def test_the_file_is_the_maker_s_alone(tmp_path, stores):
    assert places.store(tmp_path).stat().st_mode & 0o077 == 0


def test_a_process_has_one_connection_to_a_folder(tmp_path):
    assert not is_there(tmp_path)
    first = opened(tmp_path)
    assert opened(tmp_path / ".") is first
    assert is_there(tmp_path)
    first.close()
    second = opened(tmp_path)
    assert second is not first
    second.close()


def test_there_is_a_kept_file_of_every_version():
    assert sorted(path.name for path in KEPT.glob("*.sqlite")) == [
        f"format_{version}.sqlite" for version in range(1, migrations.NEWEST + 1)
    ]


@pytest.mark.parametrize("version", range(1, migrations.NEWEST + 1))
def test_a_kept_file_of_each_version_opens_with_all_that_is_in_it(tmp_path, version):
    kept(version, tmp_path)
    stores = Database(places.store(tmp_path))
    pantry = Pantry(stores, handbook.load())
    assert [own.name for own in pantry.materials()] == ["My oat flour", "glycerin", "Oat and clay"]
    oat = pantry.material("My oat flour")
    assert oat.uptake_polar == 0.9
    assert oat.moisture_fraction == pytest.approx(0.1)
    assert pantry.lots("My oat flour")[0].microbiology == "below 100 per g"
    assert str(pantry.prices("My oat flour")[0].amount) == "12.50"
    logbook = Logbook(stores, tmp_path)
    assert len(logbook) == (0 if version == 1 else 1)
    if version > 1:
        batch = logbook.batch("7")
        assert (batch.seen[0].words, batch.used[0].lot) == ("pliable", "M-17")
        assert [one.number for one in logbook.search("oat flour")] == ["7"]
        assert logbook.repeat("7").name == "Oat bar"
        assert pantry.stock("My oat flour") == pytest.approx(4.8)
    assert stores.verify() == []
    backups = sorted(path.name for path in places.backups(tmp_path).glob("*"))
    wanted = range(version, migrations.NEWEST)
    assert [name[:17] for name in backups] == [f"workshop-format-{one}" for one in wanted]
    stores.close()
    for path in places.backups(tmp_path).glob("*"):
        one = sqlite3.connect(path)
        assert one.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        one.close()


def test_a_step_that_fails_leaves_the_file_of_the_version_before(tmp_path, monkeypatch):
    path = kept(2, tmp_path)
    broken = (*migrations.STEPS[:2], ("CREATE TABLE new (a)", "CREATE TABLE new (a)"))
    monkeypatch.setattr(migrations, "STEPS", broken)
    with pytest.raises(ReadableError):
        Database(path)
    one = sqlite3.connect(path)
    assert one.execute("PRAGMA user_version").fetchone() == (2,)
    assert one.execute("SELECT count(*) FROM sqlite_master WHERE name = 'new'").fetchone() == (0,)
    one.close()


def test_a_newer_file_is_refused_and_not_touched(tmp_path):
    path = kept(migrations.NEWEST, tmp_path)
    one = sqlite3.connect(path)
    one.execute(f"PRAGMA user_version = {migrations.NEWEST + 1}")
    one.close()
    before = path.read_bytes()
    with pytest.raises(ReadableError, match=r"newer version.*nothing was changed"):
        Database(path)
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == [places.FILE]


def test_the_file_of_another_program_is_refused_and_not_touched(tmp_path):
    path = places.store(tmp_path)
    one = sqlite3.connect(path)
    one.execute("CREATE TABLE theirs (a)")
    one.close()
    before = path.read_bytes()
    with pytest.raises(ReadableError, match="database of another program"):
        Database(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("fault", ["text", "short", "page", "nothing readable"])
def test_a_damaged_file_is_told_and_left_as_it_is(tmp_path, fault):
    path = kept(migrations.NEWEST, tmp_path)
    whole = path.read_bytes()
    damaged = {
        "text": b"These are my notes, no database.\n" * 40,
        "short": whole[: len(whole) // 3],
        "page": whole[:8192] + b"\x5a" * 4096 * 6 + whole[8192 + 4096 * 6 :],
        "nothing readable": whole[:100] + b"\xff" * (len(whole) - 100),
    }[fault]
    path.write_bytes(damaged)
    with pytest.raises(Damaged, match="damaged"):
        Database(path)
    assert path.read_bytes() == damaged


def test_a_locked_file_is_told_and_the_other_s_change_stays(tmp_path, stores):
    other = sqlite3.connect(places.store(tmp_path), isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    mine = Database(places.store(tmp_path), busy=0.05)
    pantry = Pantry(mine, handbook.load())
    with pytest.raises(ReadableError, match=r"Another program is writing.*nothing was changed"):
        pantry.copy("oat flour", "My oat flour")
    other.execute("INSERT INTO setting VALUES ('currency', 'EUR')")
    other.execute("COMMIT")
    other.close()
    pantry.copy("oat flour", "My oat flour")
    assert mine.rows("SELECT value FROM setting") == [("EUR",)]
    mine.close()


def test_a_full_disk_is_told_and_what_was_kept_stays(tmp_path):
    program = """
import resource, signal, sys
from pathlib import Path
from designer import handbook
from designer.errors import ReadableError
from designer.workshop import Pantry
from designer.workshop.database import Database
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
stores = Database(Path(sys.argv[1]))
pantry = Pantry(stores, handbook.load())
pantry.copy("oat flour", "first")
size = Path(sys.argv[1]).with_name("workshop.sqlite-wal").stat().st_size
resource.setrlimit(resource.RLIMIT_FSIZE, (size + 200_000, size + 200_000))
kept = -1
try:
    for number in range(10_000):
        pantry.describe("first", remark=f"{number} " + "x" * 5000)
        kept = number
except ReadableError as error:
    print(error)
    assert kept > 2
    assert pantry.own("first").own.remark.startswith(f"{kept} ")
"""
    path = places.store(tmp_path)
    done = subprocess.run(
        [sys.executable, "-c", program, str(path)],
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "nothing was changed" in done.stdout
    after = Database(path)
    assert [own.name for own in Pantry(after, handbook.load()).materials()] == ["first"]
    assert after.verify() == []
    after.close()


@pytest.mark.skipif(os.geteuid() != 0, reason="only root becomes somebody else")
def test_in_a_folder_that_can_only_be_read_all_can_be_read_and_nothing_written(tmp_path):
    kept(migrations.NEWEST, tmp_path)
    places.store(tmp_path).chmod(0o644)
    tmp_path.chmod(0o555)
    for above in tmp_path.parents:
        if above != Path("/tmp") and Path("/tmp") in above.parents:
            above.chmod(0o755)
    child = os.fork()
    if child == 0:
        code = 1
        try:
            handbook.load()
            os.setegid(65534)
            os.seteuid(65534)
            stores = Database(places.store(tmp_path))
            pantry = Pantry(stores, handbook.load())
            assert pantry.material("My oat flour").uptake_polar == 0.9
            try:
                pantry.copy("oat flour", "another")
            except ReadableError as error:
                code = 0 if "You may not write here" in str(error) else 2
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == 0
    assert [one.name for one in tmp_path.iterdir()] == [places.FILE]


def test_a_change_of_another_window_is_noticed_once(tmp_path, stores, pantry):
    told = []
    watch = Watch(stores, lambda: told.append(1))
    assert not watch.poll()
    other = Database(places.store(tmp_path))
    Pantry(other, handbook.load()).copy("oat flour", "My oat flour")
    assert watch.poll()
    assert not watch.poll()
    assert told == [1]
    assert [own.name for own in pantry.materials()] == ["My oat flour"]
    pantry.copy("oat flour", "mine")  # of this window as well: all its pages ask the same
    assert watch.poll()
    other.close()


def test_the_handbook_stays_one_object_until_something_changes(pantry):
    first = pantry.handbook()
    assert pantry.handbook() is first
    pantry.add(Own("powder", "my clay", True, inci="Kaolin"))
    assert pantry.handbook() is not first


@pytest.mark.parametrize(
    "name", ["", ".", "..", "../a", "a/b", "/etc/passwd", "a\0b", "a\\b", "x" * 300]
)
def test_no_name_leads_out_of_its_folder(tmp_path, name):
    with pytest.raises(ReadableError):
        places.inside(tmp_path, name)


def test_a_link_in_the_folder_is_not_followed(tmp_path):
    (tmp_path / "a.png").symlink_to("/etc/hostname")
    with pytest.raises(ReadableError, match="link"):
        places.inside(tmp_path, "a.png")


def test_the_folder_can_be_named(tmp_path, monkeypatch):
    monkeypatch.setenv("BAR_DOUGH_DATA", str(tmp_path))
    assert places.store() == tmp_path / places.FILE
