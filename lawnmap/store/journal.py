"""A change of several files at once: all of them or none, whenever the power goes.

The whole change is written to ``.lawnmap/journal`` and synced; from then on it counts. Then each
file is put in place, the site last, and the journal is removed. One that is found on opening a site
was cut off, and is finished: putting the same content in place twice does no harm.
"""

from __future__ import annotations

import base64
import binascii
import contextlib
import errno
import os
from collections.abc import Mapping
from typing import Any, NamedTuple

from lawnmap.errors import InputRefused, LawnmapError, SiteDamaged, WriteFailed
from lawnmap.files import json_text
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import UNCHANGED, commit, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.seal import digest_of, seal_of
from lawnmap.store import document
from lawnmap.store.aside import live, set_aside
from lawnmap.store.folder import SITE, Folder

VERSION = 2
UNSEALED = 1  # written by an earlier lawnmap, which had no seal
LARGEST = 400_000_000
LATER = "The change is kept in .lawnmap/journal and is finished when the site is next opened."


class _Change(NamedTuple):
    revision: int
    files: Mapping[str, bytes]
    before: Mapping[str, str]  # digests of what the files held


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
    _refuse_forbidden(folder, files, disk)
    packed = {name: base64.b64encode(data).decode("ascii") for name, data in files.items()}
    before = {name: digest_of(_there(folder, name, disk)) for name in files if name != SITE}
    value = {"journal": VERSION, "revision": revision, "files": packed, "before": before}
    text = json_text.dumps({**value, "seal": _seal(value)})
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


def _refuse_forbidden(folder: Folder, files: Mapping[str, bytes], disk: Disk) -> None:
    """Refuse a change that could not be put in place: no site could be opened until it is."""
    for name in files:
        path = folder.together(name)
        for each in (path, path.parent):
            if disk.look(each) is None or disk.do(os.access, each, os.W_OK):
                continue
            if each == path:
                raise WriteFailed(
                    "is read-only",
                    file=path.name,
                    done=UNCHANGED,
                    remedy="Make it writable, and try again.",
                )
            denied = PermissionError(errno.EACCES, os.strerror(errno.EACCES))
            raise write_failed(path, denied)


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
    for name in cut_off.files:
        _keep_found(folder, name, cut_off, disk)
    _apply(folder, cut_off.files, disk)


def _keep_found(folder: Folder, name: str, cut_off: _Change, disk: Disk) -> None:
    """Keep what somebody wrote into a file since the change was cut off, under another name."""
    there = _there(folder, name, disk) if name != SITE else b""
    if there not in {b"", cut_off.files[name]} and digest_of(there) != cut_off.before.get(name):
        set_aside(folder, "found", there, name=name, disk=disk)


def _there(folder: Folder, name: str, disk: Disk) -> bytes:
    """Return what a file of a site holds; nothing when there is none."""
    path = folder.together(name)
    facts = disk.look(path)
    if facts is None or facts.st_size == 0:
        return b""
    return disk.do(read_regular, path, limit=LARGEST)


def _revision(data: bytes) -> int | None:
    try:
        return document.revision_of(document.parse(data, name=SITE))
    except InputRefused:
        return None


def _read(folder: Folder) -> _Change:
    try:
        value = json_text.loads(read_regular(folder.journal, limit=LARGEST), name="journal")
        sealed = value.pop("seal", None)
        if value["journal"] not in {VERSION, UNSEALED}:
            raise InputRefused("has another format")
        if (sealed is not None or value["journal"] != UNSEALED) and sealed != _seal(value):
            raise InputRefused("is not as it was written")
        files = {
            name: base64.b64decode(text, validate=True) for name, text in value["files"].items()
        }
        for name in files:
            folder.together(name)
        return _Change(int(value["revision"]), files, dict(value.get("before", {})))
    except (ValueError, LookupError, AttributeError, TypeError, binascii.Error) as error:
        raise SiteDamaged(
            error.problem if isinstance(error, InputRefused) else "is damaged",
            file=".lawnmap/journal",
            done="The change in it was not finished.",
            remedy="Delete that file to go on with the site as it is; the change is then lost.",
        ) from error


def _seal(value: Mapping[str, Any]) -> str:
    """Return the seal of a change: one damaged letter would be another record, or no site."""
    parts = [value["journal"], value["revision"], value["files"], value.get("before")]
    return seal_of(parts)


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
