"""Files and folders beside the site file."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from lawnmap.errors import InputRefused
from lawnmap.files.admit import read_regular
from lawnmap.files.disk import DISK, Disk

if TYPE_CHECKING:
    from lawnmap.store.folder import Folder


def make_folder(folder: Folder, path: Path, *, disk: Disk) -> None:
    """Make a folder in that of a site, so that no power cut takes it away with what is in it.

    Its name is synced though it was there before: whoever made it may have failed to.
    """
    disk.do(os.makedirs, path, exist_ok=True)
    disk.sync_folder(folder.path)


def read_inside(folder: Folder, name: str, *, remedy: str, disk: Disk = DISK) -> bytes | None:
    """Return the bytes of a file of a site; None when there is none.

    Raises
    ------
    InputRefused
        When the file leads out of the folder.
    """
    path = folder.path / name
    if disk.look(path) is None:
        if path.is_symlink():  # on a disk that is away, say: that is not none
            raise InputRefused("is a link that leads nowhere", file=name, remedy=remedy)
        return None
    if folder.path.resolve() not in path.resolve().parents:
        raise InputRefused("is a link out of the site's folder", file=name, remedy=remedy)
    return disk.do(read_regular, path)
