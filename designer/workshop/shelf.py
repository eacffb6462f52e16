"""The handbook every command uses: the shipped one, with the maker's own laid over it if any."""

import gc
from functools import lru_cache
from pathlib import Path

from designer import handbook as shipped
from designer.handbook import Handbook
from designer.workshop import places

__all__ = ["handbook"]


def handbook(folder: Path | None = None) -> Handbook:
    """Return the shipped handbook with what the maker keeps laid over it.

    One object as long as nothing changes, as evaluations remember by it. Where nothing was ever
    kept, no database is imported.

    Raises
    ------
    ReadableError
        What is kept is damaged, or of a newer version of the program.
    """
    path = places.store(folder)
    state = tuple(_state(path.with_name(path.name + end)) for end in ("", "-wal"))
    return _laid(path, state) if state[0] else shipped.load()


def _state(path: Path) -> tuple[int, int] | None:
    """Return what changes with a file; None where there is nothing in it."""
    try:
        found = path.stat()
    except OSError:
        return None
    return (found.st_mtime_ns, found.st_size) if found.st_size else None


@lru_cache(maxsize=2)
def _laid(path: Path, _state: object) -> Handbook:
    from designer.workshop import database
    from designer.workshop.pantry import Pantry

    with database.borrowed(path.parent) as stores:
        if not stores.rows("SELECT 1 FROM material LIMIT 1"):
            return shipped.load()
        # Thousands of values are made at once, none of which is garbage: looking for it takes as
        # long as making them.
        looks = gc.isenabled()
        gc.disable()
        try:
            return Pantry(stores, shipped.load()).handbook()
        finally:
            if looks:
                gc.enable()
