"""An exclusive lock that a killed holder gives back at once.

The lock is the system's, on an open file; the file itself means nothing and may stay. Locks on
network shares are not to be trusted: whoever writes also compares revisions.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

from lawnmap.errors import Busy, LawnmapError, WriteFailed
from lawnmap.files.commit import UNCHANGED, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.platform import lock_exclusive, unlock

WAIT_S = 5.0
POLL_S = 0.01
OPEN = (
    os.O_RDWR
    | os.O_CREAT
    | getattr(os, "O_NOFOLLOW", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_BINARY", 0)
)


@contextlib.contextmanager
def locked(
    path: Path, *, guards: str = "", wait_s: float = WAIT_S, disk: Disk = DISK
) -> Iterator[None]:
    """Hold the lock on `path` for the length of a ``with`` block.

    Parameters
    ----------
    path : Path
        The lock file; it and its folder are made when they are not there.
    guards : str
        The file or folder that the lock guards, for messages.
    wait_s : float
        How long to wait for another holder [s].

    Raises
    ------
    Busy
        When another process, or another thread of this one, holds it all that time.
    WriteFailed
        When the lock file cannot be made, or the disk knows no locks.
    """
    deadline = time.monotonic() + wait_s
    try:
        handle = _take(path, deadline, disk)
    except LawnmapError as error:
        error.file = guards or error.file
        raise
    try:
        yield
    finally:
        # What was done under the lock is done; closing, or the end of the process, frees it.
        with contextlib.suppress(OSError):
            disk.do(unlock, handle)
        with contextlib.suppress(OSError):
            os.close(handle)


def _take(path: Path, deadline: float, disk: Disk) -> int:
    while True:
        handle = _open(path, disk)
        try:
            if _locked(handle, path, deadline, disk) and _still_there(handle, path, disk):
                return handle
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _open(path: Path, disk: Disk) -> int:
    try:
        disk.do(os.makedirs, path.parent, exist_ok=True)
        return disk.do(os.open, path, OPEN, 0o666)
    except OSError as error:
        raise write_failed(path, error) from error


def _locked(handle: int, path: Path, deadline: float, disk: Disk) -> bool:
    """Try until it is ours; after the deadline say who has to wait for whom."""
    while True:
        try:
            if disk.do(lock_exclusive, handle):
                return True
        except OSError as error:
            raise WriteFailed(
                f"the disk cannot lock a file ({error.strerror})",
                file=path.name,
                done=UNCHANGED,
                remedy="Keep the site on a disk of this machine.",
            ) from error
        if time.monotonic() >= deadline:
            raise Busy(
                "another lawnmap is writing here",
                file=path.name,
                done=UNCHANGED,
                remedy="Wait until it is done, or close it, and try again.",
            )
        time.sleep(POLL_S)


def _still_there(handle: int, path: Path, disk: Disk) -> bool:
    """Tell whether the file we locked is the one others would lock; it may be deleted when idle."""
    if disk.windows:
        return True  # an open file cannot be deleted there
    try:
        found = disk.look(path)
    except OSError as error:
        raise write_failed(path, error) from error
    return found is not None and os.path.samestat(found, os.fstat(handle))
