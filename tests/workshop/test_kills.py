"""Killed at any moment of writing, and two programs that write at once: nothing told is lost."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from designer import handbook
from designer.workshop import Logbook, Pantry, places
from designer.workshop.database import Database

PROGRAM = Path(__file__).with_name("writing.py")
ROOT = PROGRAM.parents[2]


def killed(kills, seed, folder, record):
    """Kill so many children; return what was found after each, and write down the sums."""
    done = subprocess.run(
        [sys.executable, str(PROGRAM), str(kills), str(seed), str(folder)],
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        timeout=1500,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found = [json.loads(line) for line in done.stdout.splitlines()]
    assert [one["problem"] for one in found if "problem" in one] == []
    assert len(found) == kills
    for name in ("acknowledged", "batches"):
        record(name, sum(one[name] for one in found))
    return found


def test_kills_lose_nothing_that_was_acknowledged(tmp_path, record_property):
    found = killed(20, 1, tmp_path, record_property)
    assert sum(one["acknowledged"] for one in found) > 50


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_300_kills_lose_nothing_that_was_acknowledged(tmp_path, record_property):
    found = killed(300, 2, tmp_path, record_property)
    assert sum(one["acknowledged"] for one in found) > 1000


def test_two_programs_at_once_lose_nothing(tmp_path):
    program = """
import sys
from dataclasses import replace
from pathlib import Path
from designer import handbook
from designer.workshop import Logbook, Pantry
from designer.workshop.database import Database
sys.path.insert(0, str(Path(sys.argv[3]).parent))
from writing import BATCH, TODAY
stores = Database(Path(sys.argv[1]))
pantry, logbook = Pantry(stores, handbook.load()), Logbook(stores, None, lambda: TODAY)
for number in range(40):
    logbook.add(replace(BATCH, number=""), pantry)
    pantry.move_stock("white clay", 0.002)
    pantry.copy("oat flour", f"{sys.argv[2]} {number}")
"""
    command = [sys.executable, "-c", program, str(places.store(tmp_path))]
    running = [
        subprocess.Popen(
            [*command, name, str(PROGRAM)],
            stderr=subprocess.PIPE,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
        )
        for name in ("first", "second")
    ]
    for one in running:
        assert one.wait(120) == 0, one.stderr.read()
        one.stderr.close()
    stores = Database(places.store(tmp_path))
    pantry, logbook = Pantry(stores, handbook.load()), Logbook(stores)
    assert len(logbook) == 80
    numbers = {one.number for one in logbook.batches()}
    assert numbers == {f"2026-11-01 no. {number}" for number in range(1, 81)}
    names = {f"{name} {number}" for name in ("first", "second") for number in range(40)}
    assert names <= {own.name for own in pantry.materials()}
    # A batch draws only once there is a stock: that moment is the race of the two.
    drawn = stores.rows("SELECT count(*) FROM stock WHERE batch IS NOT NULL")[0][0]
    assert pantry.stock("white clay") == pytest.approx(80 * 0.002 - drawn * 0.001)
    assert stores.verify() == []
    stores.close()
