"""What must not be lost though it cannot be the site, under a name that says why."""

from __future__ import annotations

import os
from pathlib import PurePath

from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, sweep
from lawnmap.files.disk import DISK, Disk
from lawnmap.store.folder import SITE, Folder

LARGEST = 1_000_000_000


def live(folder: Folder, *, disk: Disk = DISK) -> bytes:
    """Return the site file as it is, good or not; nothing when there is none or it is empty."""
    facts = disk.look(folder.site)
    if facts is None or facts.st_size == 0:
        return b""
    return disk.do(read_regular, folder.site, limit=LARGEST)


def set_aside(folder: Folder, why: str, data: bytes, *, name: str = SITE, disk: Disk = DISK) -> str:
    """Write `data` as ``site.WHY.geojson`` and return that name. Only under the site's lock.

    What was set aside before is never overwritten: the next gets a number. `name` is the file of
    the site that it could not be, as ``record.csv``.
    """
    usual = PurePath(name)
    number = 1
    while True:
        tail = f"{why}{f'-{number}' if number > 1 else ''}"
        path = folder.path / f"{usual.stem}.{tail}{usual.suffix}"
        if not disk.do(os.path.islink, path):  # a link may lead anywhere
            there = disk.look(path)
            if there is None:
                sweep(path, disk=disk)
                commit(path, data, force=False, disk=disk)
                return path.name
            if there.st_size == len(data) > 0 and disk.do(read_regular, path) == data:
                return path.name
        number += 1
