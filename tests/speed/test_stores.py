"""Search and start of full stores, as ratios in one run, and the times that a person waits."""

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest
from filled_shop import fill_logbook, fill_pantry

from designer import handbook
from designer.workshop import Logbook, Pantry, places
from designer.workshop.database import Database
from designer.workshop.logbook import words_of

ROOT = Path(__file__).parents[2]
QUERIES = ("honey k-17", "clean after 11", "no. 99", "ab")


def best(act, times=5):
    """Return the least processor time [s] of some runs."""
    found = []
    for _ in range(times):
        start = time.process_time()
        act()
        found.append(time.process_time() - start)
    return min(found)


def filled(folder, materials, batches):
    stores = Database(places.store(folder))
    pantry, logbook = Pantry(stores, handbook.load()), Logbook(stores, folder)
    fill_pantry(pantry, materials)
    fill_logbook(logbook, batches)
    return pantry, logbook


def check_search(pantry, logbook, record):
    """Compare search with a plain scan that reads and looks at everything; return the times."""

    def scan_batches(words):
        every = ((one.number, words_of(one)) for one in logbook.batches())
        return [number for number, text in every if all(word in text for word in words.split())]

    def scan_materials(words):
        return [
            own.name
            for own in pantry.materials()
            if all(word in f"{own.name} {own.supplier}".casefold() for word in words.split())
        ]

    batches = max(best(lambda q=q: logbook.search(q, 50)) for q in QUERIES)
    plain = best(lambda: scan_batches(QUERIES[0]), 1)
    pantry.search("clay rose")
    materials = best(lambda: pantry.search("clay rose"))
    plain_materials = best(lambda: scan_materials("clay rose"))
    record("batches_ms", 1000 * batches)
    record("batches_scan_over_search", plain / batches)
    record("materials_ms", 1000 * materials)
    record("materials_scan_over_search", plain_materials / materials)
    return batches, plain, materials


@pytest.mark.speed
def test_search_is_quicker_than_a_plain_scan(tmp_path, record_property):
    pantry, logbook = filled(tmp_path, 300, 800)
    batches, plain, _ = check_search(pantry, logbook, record_property)
    assert batches < plain / 3
    pantry.database.close()


@pytest.mark.long
@pytest.mark.speed
def test_10000_batches_and_2000_materials_are_searched_within_50_ms(tmp_path, record_property):
    pantry, logbook = filled(tmp_path, 2000, 10_000)
    batches, plain, materials = check_search(pantry, logbook, record_property)
    assert batches < 0.05
    assert materials < 0.05
    assert batches < plain / 10
    pantry.database.close()


@pytest.mark.long
@pytest.mark.speed
def test_a_command_starts_as_quickly_with_full_stores_as_with_empty_ones(tmp_path, record_property):
    full, empty = tmp_path / "full", tmp_path / "empty"
    filled(full, 2000, 10_000)[0].database.close()
    Database(places.store(empty)).close()

    def processor(folder):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(
            [sys.executable, "-m", "designer", "check", "demo_recipes/oat_bar.toml", "--json"],
            stdout=subprocess.DEVNULL,
            check=True,
            cwd=ROOT,
            env=os.environ | {"BAR_DOUGH_DATA": str(folder)},
        )
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    processor(empty)
    times = [(processor(empty), processor(full)) for _ in range(7)]
    ratio = min(one for _, one in times) / min(one for one, _ in times)
    record_property("full_over_empty", ratio)
    assert ratio < 1.2
