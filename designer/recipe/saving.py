"""A file written whole or not at all."""

import errno
import os
import secrets
import stat
import time
from contextlib import suppress
from pathlib import Path

from designer.errors import ReadableError

__all__ = ["save"]

_TEMPORARY = ".bar-dough-{}.tmp"
_STALE = 600.0
"""Age [s] at which a temporary file is one that a killed program left behind."""

_REASONS: dict[int, tuple[str, str]] = {
    errno.ENOSPC: ("The disk is full.", "Make room and save again"),
    errno.EDQUOT: ("Your share of the disk is full.", "Make room and save again"),
    errno.EFBIG: ("The file would be larger than the system allows.", "Save it elsewhere"),
    errno.EACCES: ("You may not write here.", "Save it in a folder of yours"),
    errno.EPERM: ("You may not write here.", "Save it in a folder of yours"),
    errno.EROFS: ("The disk can only be read.", "Save it on another one"),
    errno.ENOTDIR: ("A part of the path is a file, not a folder.", "Correct the path"),
    errno.EISDIR: ("This is a folder.", "Name a file in it"),
    errno.ENOENT: ("The folder does not exist.", "Make it, or save elsewhere"),
    errno.ENAMETOOLONG: ("The name is too long.", "Use a shorter one"),
    errno.ELOOP: ("The links lead in a circle.", "Name the file itself"),
    errno.EIO: ("The disk reports a fault.", "Save it on another disk"),
}


def save(path: str | os.PathLike[str], content: bytes) -> None:
    """Put `content` into a file: all of it, or the file stays as it was.

    Parameters
    ----------
    path : str or path
        A link is followed; the mode of a file that is there is kept.
    content : bytes
        The whole of it.

    Raises
    ------
    ReadableError
        The disk is full, or the file may not be written. Nothing has changed then.

    Notes
    -----
    A temporary file in the same folder is written, flushed to the disk and renamed, then the
    folder is flushed. A program killed half-way leaves the old file and a temporary one, which
    a later save in that folder removes.
    """
    where = os.fspath(path)
    try:
        target = Path(os.path.realpath(path))
        before = _checked(target)
        _replace(target, content, before)
    except (OSError, ValueError) as error:
        raise _unsaved(where, error) from None
    with suppress(OSError):
        _flush_folder(target.parent)
        _sweep(target.parent)


def _checked(target: Path) -> os.stat_result | None:
    """Return what is at the target; raise OSError if it must not be replaced."""
    try:
        before = target.stat()
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(before.st_mode):
        raise OSError(errno.EISDIR, "folder")
    if not stat.S_ISREG(before.st_mode):
        raise OSError(errno.EINVAL, "this is not a file on a disk")
    # Renaming over a file asks the folder alone; a protected file is meant to stay.
    if not os.access(target, os.W_OK, effective_ids=os.access in os.supports_effective_ids):
        raise OSError(errno.EACCES, "protected")
    return before


def _replace(target: Path, content: bytes, before: os.stat_result | None) -> None:
    """Write beside the target and rename over it."""
    temporary = target.parent / _TEMPORARY.format(secrets.token_hex(8))
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o666)
    try:
        try:
            _write_all(descriptor, content)
            if before is not None:
                _take_over(descriptor, before)
            os.fsync(descriptor)
        finally:
            os.close(descriptor)
        os.replace(temporary, target)
    except BaseException:
        with suppress(OSError):
            os.unlink(temporary)
        raise


def _write_all(descriptor: int, content: bytes) -> None:
    rest = memoryview(content)
    while rest:
        rest = rest[os.write(descriptor, rest) :]


def _take_over(descriptor: int, before: os.stat_result) -> None:
    """Give the new file the owner and mode of the old one."""
    now = os.fstat(descriptor)
    if (now.st_uid, now.st_gid) != (before.st_uid, before.st_gid):
        with suppress(PermissionError):
            os.fchown(descriptor, before.st_uid, before.st_gid)
    os.fchmod(descriptor, stat.S_IMODE(before.st_mode))


def _flush_folder(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def _sweep(folder: Path) -> None:
    """Remove temporary files that a killed program left in the folder."""
    for left in folder.glob(_TEMPORARY.format("*")):
        if time.time() - left.stat().st_mtime > _STALE:
            left.unlink(missing_ok=True)


def _unsaved(where: str, error: OSError | ValueError) -> ReadableError:
    number = error.errno if isinstance(error, OSError) else None
    detail = (error.strerror if isinstance(error, OSError) else None) or "the name is wrong"
    problem, advice = _REASONS.get(
        number or 0, (f"It cannot be written: {detail}.", "Save it elsewhere")
    )
    return ReadableError(where, problem, f"{advice}; what was on the disk is unchanged.")
