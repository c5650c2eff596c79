"""Photos of a site, ``photos/SHA256.webp``: named by what they hold, and nothing but pixels."""

from __future__ import annotations

import hashlib
import re

from lawnmap.errors import InputRefused, LawnmapError, WriteFailed
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, confirm, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.lock import locked
from lawnmap.store.backdrop import bare
from lawnmap.store.folder import Folder
from lawnmap.store.inside import make_folder

NAME = re.compile(r"photos/[0-9a-f]{64}\.webp")
LARGEST = 4_000_000  # bytes


def keep(folder: Folder, data: bytes, *, disk: Disk = DISK) -> str:
    """Keep a photo, once, and return its name: its path from the folder.

    Raises
    ------
    InputRefused
        When it is not a WebP with pixels and nothing else, or a link leads out of the folder.
    WriteFailed
        When the disk does not take it.
    """
    if not bare(data) or len(data) > LARGEST:
        raise InputRefused("is not a plain WebP picture")
    name = f"photos/{hashlib.sha256(data).hexdigest()}.webp"
    path = folder.own(folder.path / name)
    try:
        with locked(folder.lock, guards=folder.name, disk=disk):
            make_folder(folder, folder.photos, disk=disk)
            there = disk.look(path)
            if there and there.st_size == len(data) and disk.do(read_regular, path) == data:
                told = confirm(path.name, folder.photos, disk=disk)
            else:  # whatever else has this name is not what the name says
                sweep(path, disk=disk)
                told = commit(path, data, force=True, disk=disk)
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(path, error) from error
    if told:  # a feature will name it: it must not be gone after a power cut
        raise WriteFailed(
            "the disk did not confirm the photo",
            file=folder.name,
            done="It may not last.",
            remedy="Check the disk and add the photo again.",
        )
    return name


def read(folder: Folder, name: str) -> bytes:
    """Return a photo.

    Raises
    ------
    InputRefused
        When there is none of this name, it leads out of the folder, or it is no plain picture.
    """
    path = folder.path / name
    if not NAME.fullmatch(name) or folder.path.resolve() not in path.resolve().parents:
        raise InputRefused("is not the name of a photo", file=name)
    data = read_regular(path, limit=LARGEST)
    if not bare(data):
        raise InputRefused("is not a plain WebP picture", file=name)
    return data
