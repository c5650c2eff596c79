"""A file beside the site file that must not lead out of the folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lawnmap.errors import InputRefused
from lawnmap.files.admit import read_regular
from lawnmap.files.disk import DISK, Disk

if TYPE_CHECKING:
    from lawnmap.store.folder import Folder


def read_inside(folder: Folder, name: str, *, remedy: str, disk: Disk = DISK) -> bytes | None:
    """Return the bytes of a file of a site; None when there is none.

    Raises
    ------
    InputRefused
        When the file leads out of the folder.
    """
    path = folder.path / name
    if disk.look(path) is None:
        return None
    if folder.path.resolve() not in path.resolve().parents:
        raise InputRefused("is a link out of the site's folder", file=name, remedy=remedy)
    return disk.do(read_regular, path)
