"""A program that edits, undoes and saves without end, forked and killed at random moments.

Run as `killed.py KILLS SEED FOLDER`; prints a line of JSON for each kill. Each child writes down
what it does; what is found on the disk afterwards must fit that.
"""

import json
import os
import random
import re
import signal
import sys
import time
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QTimer

from designer.document import Document, recovery
from designer.document.evaluator import Evaluator
from designer.recipe import Recipe, Row, file

AT_ONCE = 8
MOST_LOST = 2.0
"""Time [s] of work that a kill may cost."""

BASE = file.parse(
    file.text(
        Recipe(
            name="state 0",
            rows=tuple(
                Row(phase, name, {"1": 10.0})
                for phase, name in (("melt", "cocoa butter"), ("powder", "oat flour"))
            ),
        )
    )
)


def state(number):
    """Return the recipe after change `number`."""
    rng = random.Random(number)
    recipe = replace(BASE, name=f"state {number}")
    if number:
        recipe = recipe.with_percent(rng.randrange(2), "1", round(rng.uniform(0, 90), 2))
        recipe = recipe.with_notes("\n".join(["oat"] * rng.randrange(300)))
    return recipe


def number_of(recipe):
    return int(re.fullmatch(r"state (\d+)", recipe.name)[1])


class Child:
    """Edits, undoes and saves, and writes down what it is about to do."""

    def __init__(self, folder, rng):
        self.rng, self.number = rng, 0
        # Some never save, so that all hangs on the copy; some are nearly always about to.
        self.saving = rng.choice([0.0, 0.0, 0.03, 0.1, 0.5])
        self.log = os.open(folder / "log", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
        self.document = Document(BASE, None, None, folder / "oat.toml")
        self.gesture = self.document.new_gesture()
        self.document.saved.connect(lambda _: self.tell("saved", self.document._place._written))
        self.timer = QTimer(singleShot=True)
        self.timer.timeout.connect(self.step)
        self.tell("shown", BASE)
        self.step()

    def tell(self, what, recipe):
        line = f"{time.monotonic()} {what} {number_of(recipe)}\n"
        os.write(self.log, line.encode())

    def step(self):
        kind, stack = self.rng.random(), self.document.undo_stack
        if self.rng.random() < self.saving:
            self.document.save()
        elif kind < 0.1 and stack.canUndo():
            stack.undo()
            self.tell("shown", self.document.recipe)
        else:
            self.number += 1
            if kind < 0.6:
                self.gesture = self.document.new_gesture()
            self.tell("shown", state(self.number))
            self.document.edit("Step", state(self.number), self.gesture)
        # Now and then long enough for nothing to be left to save.
        self.timer.start(self.rng.choice([0, 1, 5, 20, 20, 40, 300]))


def be_child(folder, rng):
    os.environ["XDG_DATA_HOME"] = str(folder)
    Evaluator.request = lambda *_: None
    application = QCoreApplication([])
    child = Child(folder, rng)
    application.exec()
    child.document.close()


def started(folder, rng):
    """Fork a child; return its number and the moment it is to die."""
    folder.mkdir()
    (folder / "oat.toml").write_text(BASE.source, encoding="utf-8")
    (folder / "log").touch()
    longest = 0.6 if rng.random() < 0.5 else 4.0
    life, seed = rng.uniform(0.02, longest), rng.random()
    child = os.fork()
    if child == 0:
        be_child(folder, random.Random(seed))
        os._exit(1)
    return child, time.monotonic() + life


def shown_since(events, moment):
    """Return the states that were shown at `moment` or later."""
    shown = [(when, number) for when, what, number in events if what == "shown"]
    before = [number for when, number in shown if when <= moment][-1:]
    return {*before, *(number for when, number in shown if when > moment)} or {0}


def found(folder, killed):
    """Compare what is on the disk with what the child did; return what to report."""
    lines = [line.split() for line in (folder / "log").read_text().splitlines()]
    events = [(float(when), what, int(number)) for when, what, number in lines]
    saved = [(when, number) for when, what, number in events if what == "saved"]
    text = (folder / "oat.toml").read_text(encoding="utf-8")
    there = number_of(file.parse(text))
    assert text == file.text(state(there)), "the saved file is torn"
    if saved:
        when, last = saved[-1]
        assert there in {last, *shown_since(events, when)}, "a save was lost"
    else:
        assert there in shown_since(events, 0.0), "a recipe was saved that never was"
    os.environ["XDG_DATA_HOME"] = str(folder)
    copies = recovery.left_behind()
    assert len(copies) <= 1, "one document left several copies"
    offered = {there}
    for copy in copies:
        number = number_of(copy.recipe())
        assert copy.recipe().source == file.text(state(number)), "the copy is torn"
        assert copy.original == folder / "oat.toml"
        offered.add(number)
    recent = shown_since(events, killed - MOST_LOST)
    assert offered & recent, f"more than {MOST_LOST} s lost: {offered}, {recent}"
    ends = [
        ([when for when, what, _ in events[place + 1 :] if what == "shown"] or [killed])[0]
        for place, (_, what, number) in enumerate(events)
        if what == "shown" and number in offered
    ]
    return {
        "edits": len(events),
        "saves": len(saved),
        "copies": len(copies),
        "lost": killed - max(ends, default=killed),
    }


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
        killed = time.monotonic()
        os.kill(child, signal.SIGKILL)
        _, status = os.waitpid(child, 0)
        try:
            assert os.WIFSIGNALED(status), "the child ended by itself"
            report = found(place, killed)
        except Exception as error:
            report = {"problem": f"{place.name}: {type(error).__name__}: {error}"}
        print(json.dumps(report), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3]))
