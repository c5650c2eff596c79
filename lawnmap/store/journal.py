"""A change of several files at once: all of them or none, whenever the power goes.

The whole change is written to ``.lawnmap/journal`` and synced; from then on it counts. Then each
file is put in place, the site last, and the journal is removed. One that is found on opening a site
was cut off, and is finished: putting the same content in place twice does no harm.
"""

from __future__ import annotations

import base64
import binascii
import contextlib
import os
from collections.abc import Mapping
from typing import NamedTuple

from lawnmap.errors import InputRefused, LawnmapError, SiteDamaged, WriteFailed
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import UNCHANGED, commit, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.store import document
from lawnmap.store.aside import live, set_aside
from lawnmap.store.folder import SITE, Folder

VERSION = 1
LARGEST = 400_000_000
LATER = "The change is kept in .lawnmap/journal and is finished when the site is next opened."


class _Change(NamedTuple):
    revision: int
    files: Mapping[str, bytes]


def pending(folder: Folder, *, disk: Disk = DISK) -> bool:
    """Tell whether a change was cut off."""
    return disk.look(folder.journal) is not None


def change(
    folder: Folder, revision: int, files: Mapping[str, bytes], *, disk: Disk = DISK
) -> tuple[str, ...]:
    """Put several files of a site in place together. Only under the site's lock.

    Parameters
    ----------
    folder : Folder
        The site.
    revision : int
        The revision of the site that the change leads to.
    files : mapping of str to bytes
        Whole contents by path from the folder, the site file among them.

    Returns
    -------
    tuple of str
        Warnings.

    Raises
    ------
    WriteFailed
        When the disk does not take it. The message says whether nothing was changed, or whether
        the change is finished when the site is next opened.
    """
    for name in files:
        folder.together(name)
    packed = {name: base64.b64encode(data).decode("ascii") for name, data in files.items()}
    text = json_text.dumps({"journal": VERSION, "revision": revision, "files": packed})
    if commit(folder.journal, text.encode("ascii"), force=True, disk=disk):
        # A journal that may vanish protects nothing, so the change must not begin.
        removed = _remove(folder, disk)
        raise WriteFailed(
            "the disk did not confirm the journal",
            file=folder.name,
            done=UNCHANGED if removed else LATER,
            remedy="Check the disk and try again.",
        )
    return _apply(folder, files, disk)


def finish(folder: Folder, *, disk: Disk = DISK) -> None:
    """Finish a change that was cut off, if there is one. Only under the site's lock.

    Raises
    ------
    SiteDamaged
        When the journal itself is damaged.
    WriteFailed
        When the disk does not take it.
    """
    sweep(folder.journal, disk=disk)
    if not pending(folder, disk=disk):
        return
    cut_off = _read(folder)
    there = live(folder, disk=disk)
    revision = _revision(there)
    if revision is not None and revision > cut_off.revision:
        _remove(folder, disk)  # a power cut brought back a journal that was done with
        return
    if there and revision not in {cut_off.revision - 1, cut_off.revision}:
        set_aside(folder, "found", there, disk=disk)
    _apply(folder, cut_off.files, disk)


def _revision(data: bytes) -> int | None:
    try:
        return document.revision_of(document.parse(data, name=SITE))
    except InputRefused:
        return None


def _read(folder: Folder) -> _Change:
    try:
        value = json_text.loads(read_regular(folder.journal, limit=LARGEST), name="journal")
        if value["journal"] != VERSION:
            raise InputRefused("has another format")
        files = {
            name: base64.b64decode(text, validate=True) for name, text in value["files"].items()
        }
        for name in files:
            folder.together(name)
        return _Change(int(value["revision"]), files)
    except (ValueError, LookupError, AttributeError, TypeError, binascii.Error) as error:
        raise SiteDamaged(
            error.problem if isinstance(error, InputRefused) else "is damaged",
            file=".lawnmap/journal",
            done="The change in it was not finished.",
            remedy="Delete that file to go on with the site as it is; the change is then lost.",
        ) from error


def _apply(folder: Folder, files: Mapping[str, bytes], disk: Disk) -> tuple[str, ...]:
    """Put every file in place, the site last: its new revision says that the rest is there."""
    warnings: tuple[str, ...] = ()
    try:
        for name in sorted(files, key=lambda name: (name == SITE, name)):
            path = folder.together(name)
            disk.do(os.makedirs, path.parent, exist_ok=True)
            sweep(path, disk=disk)
            warnings += commit(path, files[name], force=True, disk=disk)
    except OSError as error:
        failed = error if isinstance(error, LawnmapError) else write_failed(folder.journal, error)
        failed.done = LATER
        raise failed from error
    if not warnings:  # else it is applied again on the next opening, and may then be confirmed
        _remove(folder, disk)
    return warnings


def _remove(folder: Folder, disk: Disk) -> bool:
    """Remove the journal; one that stays or comes back is harmless, see :func:`finish`."""
    with contextlib.suppress(OSError):
        return disk.remove(folder.journal)
    return False
