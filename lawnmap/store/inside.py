"""Files and folders beside the site file."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from lawnmap.errors import InputRefused, SiteDamaged
from lawnmap.files.admit import read_regular
from lawnmap.files.disk import DISK, Disk

if TYPE_CHECKING:
    from lawnmap.store.folder import Folder

Held = TypeVar("Held")
ANEW = "Type it anew, put back a copy of yours, or take it away."


def make_folder(folder: Folder, path: Path, *, disk: Disk) -> None:
    """Make a folder in that of a site, so that no power cut takes it away with what is in it.

    Its name is synced though it was there before: whoever made it may have failed to.
    """
    disk.do(os.makedirs, path, exist_ok=True)
    disk.sync_folder(folder.path)


def typed(path: Path, *, limit: int) -> bytes | None:
    """Return the bytes of a file that a person types; None when there is none.

    Raises
    ------
    InputRefused
        When it cannot be read, is empty or too large.
    """
    try:
        path.lstat()
    except FileNotFoundError:
        return None
    return read_regular(path, limit=limit, remedy=ANEW)


def kept(
    folder: Folder,
    name: str,
    parse: Callable[[bytes], Held],
    *,
    remedy: str,
    disk: Disk = DISK,
) -> Held | None:
    """Return what is in a file of a site that lawnmap writes; None when there is none.

    Raises
    ------
    InputRefused
        When the file leads out of the folder, or cannot be opened.
    SiteDamaged
        When it is not as it was written. Nothing is overwritten.
    """
    path = folder.path / name
    if disk.look(path) is None:
        if path.is_symlink():  # on a disk that is away, say: that is not none
            raise InputRefused("is a link that leads nowhere", file=name, remedy=remedy)
        return None
    if folder.path.resolve() not in path.resolve().parents:
        raise InputRefused("is a link out of the site's folder", file=name, remedy=remedy)
    try:
        return parse(disk.do(read_regular, path))
    except InputRefused as error:
        if isinstance(error.__cause__, OSError):
            raise  # what cannot be opened is not damaged
        raise SiteDamaged(error.problem, file=name, place=error.place, remedy=remedy) from error
