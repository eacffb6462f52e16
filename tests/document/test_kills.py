"""Killed at any moment of editing and saving: no torn file, at most the last two seconds lost."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PROGRAM = Path(__file__).with_name("killed.py")
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
    for name in ("edits", "saves", "copies"):
        record(name, sum(one[name] for one in found))
    record("most_lost_s", max(one["lost"] for one in found))
    return found


def test_kills_tear_no_file_and_lose_at_most_two_seconds(tmp_path, record_property):
    found = killed(15, 1, tmp_path, record_property)
    assert sum(one["edits"] for one in found) > 100
    assert sum(one["saves"] for one in found) > 5
    assert sum(one["copies"] for one in found) >= 1


@pytest.mark.long
@pytest.mark.timeout(1800)
def test_500_kills_tear_no_file_and_lose_at_most_two_seconds(tmp_path, record_property):
    found = killed(500, 2, tmp_path, record_property)
    assert sum(one["saves"] for one in found) > 200
    assert sum(one["copies"] for one in found) > 50
