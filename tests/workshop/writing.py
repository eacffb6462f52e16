"""A program that keeps batches and materials without end, and is killed at random moments.

Run as `writing.py KILLS SEED FOLDER`; prints a line of JSON for each kill. Each child writes a line
when a change was acknowledged; all of these must be in the file afterwards, and it must be sound.
"""

import json
import os
import random
import signal
import sys
import time
from dataclasses import replace
from datetime import date
from pathlib import Path

from designer import handbook
from designer.workshop import Logbook, Pantry, places, properties
from designer.workshop.batches import Batch, Used
from designer.workshop.database import Database

AT_ONCE = 4
TODAY = date(2026, 11, 28)
RECIPE = 'format = 1\n[[row]]\nphase = "powder"\nname = "white clay"\npercent = 100\n'
BATCH = Batch("", RECIPE, "2026-11-01", 0.5, used=(Used("white clay", "powder", "", 0.001),))
BOOK = handbook.load()


def be_child(folder, rng):
    log = os.open(folder / "log", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    stores = Database(places.store(folder))
    pantry, logbook = Pantry(stores, BOOK, lambda: TODAY), Logbook(stores, folder, lambda: TODAY)
    pantry.move_stock("white clay", 1000.0)
    os.write(log, b"stock\n")
    uptake = properties.named("uptake oil", "powder")
    for number in range(1, 1_000_000):
        kind = rng.random()
        if kind < 0.6:
            notes = "fine " * rng.randrange(2000)
            logbook.add(replace(BATCH, number=f"batch {number}", notes=notes), pantry)
            told = f"batch {number}"
        elif kind < 0.8:
            pantry.copy("oat flour", f"material {number}")
            told = f"material {number}"
        else:
            pantry.put("oat flour", uptake, 0.5 + number * 1e-6, "measured")
            told = f"value {number}"
        # Acknowledged: what a person was told is kept.
        os.write(log, f"{told}\n".encode())


def started(folder, rng):
    """Fork a child; return its number and the moment it is to die."""
    folder.mkdir()
    (folder / "log").touch()
    life, seed = rng.uniform(0.02, 0.5), rng.random()
    child = os.fork()
    if child == 0:
        try:
            be_child(folder, random.Random(seed))
        finally:
            os._exit(1)
    return child, time.monotonic() + life


def found(folder):
    """Compare what is in the file with what was acknowledged; return what to report."""
    told = (folder / "log").read_text().splitlines()
    stores = Database(places.store(folder))
    assert stores.verify() == [], "the file is damaged"
    logbook, pantry = Logbook(stores, folder), Pantry(stores, BOOK)
    batches = {one.number for one in logbook.batches()}
    names = {own.name for own in pantry.materials()}
    values = {f"value {round((v.si - 0.5) * 1e6)}" for kept in pantry.kept() for v in kept.values}
    lost = [one for one in told if one != "stock" and one not in batches | names | values]
    assert not lost, f"acknowledged and lost: {lost[:3]}"
    # One change at most was kept and not yet acknowledged.
    kept = len(batches) + sum(name.startswith("material") for name in names) + len(values)
    assert kept - len([one for one in told if one != "stock"]) in (0, 1), "half a change is kept"
    if "stock" in told:
        left = 1000.0 - 0.001 * len(batches)
        assert abs(pantry.stock("white clay") - left) < 1e-6, "a batch and its stock were parted"
    assert {one.number for one in logbook.search("batch")} == batches, "the index lost a batch"
    stores.close()
    return {"acknowledged": len(told), "batches": len(batches)}


def main(kills, seed, folder):
    rng = random.Random(seed)
    waiting, running = list(range(kills)), {}
    while waiting or running:
        while waiting and len(running) < AT_ONCE:
            place = folder / str(waiting.pop())
            running[place] = started(place, rng)
        place, (child, moment) = min(running.items(), key=lambda item: item[1][1])
        time.sleep(max(0.0, moment - time.monotonic()))
        del running[place]
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        try:
            assert os.WIFSIGNALED(status), "the child ended by itself"
            report = found(place)
        except Exception as error:
            report = {"problem": f"{place.name}: {type(error).__name__}: {error}"}
        print(json.dumps(report), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3]))
