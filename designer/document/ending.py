"""Threads that were told to end: a window that closes does not wait for them, the program does."""

import atexit
import threading

__all__ = ["PATIENCE", "end", "leave"]

PATIENCE = 0.05
"""Time [s] for which a window that closes waits at most."""

_LONGEST = 5.0
"""Time [s] for which the end of the program waits for one thread: no evaluation takes as long, and
a program that does not end is worse than one that ends badly."""

_left: list[tuple[threading.Thread, object]] = []


def end(thread: threading.Thread, owner: object) -> None:
    """Wait a moment for a thread that was told to end; then leave it to the end of the program.

    `owner` is what the thread belongs to: the thread must not be the last to hold it, for what
    belongs to the window may not be taken down in another thread.
    """
    thread.join(PATIENCE)
    leave(thread, owner)


def leave(thread: threading.Thread, owner: object) -> None:
    """Let the program wait for a thread before it ends: cut off within Qt it would crash."""
    _left[:] = [one for one in _left if one[0].is_alive()]
    if thread.is_alive():
        _left.append((thread, owner))


@atexit.register
def _wait() -> None:
    for thread, _ in _left:
        thread.join(_LONGEST)
