"""The entry of `bar-dough`: the command line, and the window where it is wanted."""

import gc
import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from designer.errors import ReadableError

if TYPE_CHECKING:
    from designer.terminal.snapshot import Shot


_INSTEAD = '"bar-dough --help" tells what works in the terminal.'


class _Screen:
    """The window. Qt is imported when it is asked for, and after a look at what Qt needs."""

    def show(self, files: list[str]) -> int:
        _look(os.environ)
        # Importing makes no garbage; looking for it takes a tenth of the time to the first paint.
        gc.disable()
        from designer.window.application import main

        return main([Path(name) for name in files])

    def draw(self, shot: "Shot") -> None:
        _look({"QT_QPA_PLATFORM": "offscreen"})
        from designer.window.snapshot import draw

        draw(shot)


def _look(environment: Mapping[str, str]) -> None:
    from designer.window.start import screen_problem

    if problem := screen_problem(environment):
        raise ReadableError("Window", problem, _INSTEAD)


def main() -> int:
    """Run the command line and return its exit code."""
    # Our matrices are small: sharing one among threads takes longer than the product, and on a
    # busy machine ten times as long.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from designer.terminal import run

    return run(sys.argv[1:], _Screen())


if __name__ == "__main__":
    sys.exit(main())
