"""The write of a file that no lock of a site guards: an export, a register, a chart.

The folder it goes into is locked for the moment of the write, which leaves nothing behind; so what
a killed writer left there is known to be nobody's, and is swept. Where folders know no locks (on
Windows, on some network shares) it is left, and the message of ``commit`` says what to do.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

from lawnmap.errors import Busy
from lawnmap.files.commit import UNCHANGED, commit, sweep
from lawnmap.files.disk import DISK, FOLDER, Disk
from lawnmap.files.lock import POLL_S, WAIT_S
from lawnmap.files.platform import lock_exclusive


def put(
    path: Path, data: bytes, *, force: bool, disk: Disk = DISK, wait_s: float = WAIT_S
) -> tuple[str, ...]:
    """Write a file as ``commit`` does, and sweep what a killed writer of it left.

    Parameters
    ----------
    path : Path
        A file in an existing folder.
    data : bytes
        The whole content.
    force : bool
        Whether a file that is there already may be replaced.
    wait_s : float
        How long to wait for another writer in that folder [s].

    Returns
    -------
    tuple of str
        Warnings of the disk.

    Raises
    ------
    UsageProblem, WriteFailed, Busy
        As ``commit`` does.
    """
    with held(path, wait_s, disk) as ours:
        if ours:
            sweep(path, disk=disk)
        return commit(path, data, force=force, disk=disk)


@contextlib.contextmanager
def held(path: Path, wait_s: float, disk: Disk) -> Iterator[bool]:
    """Hold the folder of a file for the length of a ``with`` block.

    Yields whether it could be locked; what is wrong, ``commit`` tells. While somebody else
    holds it that long, Busy is raised.
    """
    handle = None
    if not disk.windows:
        with contextlib.suppress(OSError, RuntimeError):  # RuntimeError: a loop of links
            handle = disk.do(os.open, disk.do(Path.resolve, path).parent, FOLDER)
    if handle is None:
        yield False
        return
    try:
        yield _locked(handle, path, time.monotonic() + wait_s, disk)
    finally:
        os.close(handle)


def _locked(handle: int, path: Path, deadline: float, disk: Disk) -> bool:
    while True:
        try:
            if disk.do(lock_exclusive, handle):
                return True
        except OSError:
            return False
        if time.monotonic() >= deadline:
            raise Busy(
                "another lawnmap is writing in its folder",
                file=path.name,
                done=UNCHANGED,
                remedy="Wait until it is done, and try again.",
            )
        time.sleep(POLL_S)
