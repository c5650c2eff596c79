"""Earlier states of a site file: the last five, and one a day for thirty days.

A backup is a second name for the file that is about to be replaced. The live file is never renamed
away, since that would leave moments with no site at all. Days come from the name, never from file
times, which copying and unpacking change.
"""

from __future__ import annotations

import datetime as dt
import os
import re
from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import commit, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.store import document
from lawnmap.store.folder import Folder, not_listed

GENERATIONS = 5
DAYS = 30
NAME = re.compile(r"r(\d{6,9})-(\d{4}-\d{2}-\d{2})\.geojson")


@dataclass(frozen=True, order=True)
class Backup:
    """One earlier state: its revision, the day it was replaced by the next, and where it is."""

    revision: int
    day: dt.date
    path: Path


def listed(folder: Folder, *, disk: Disk = DISK) -> list[Backup]:
    """Return the backups of a site, newest first; whether they are good is not looked at.

    Raises
    ------
    InputRefused
        When the folder cannot be listed, or a link leads it out of the site's.
    """
    try:
        return as_found(folder, disk=disk)
    except OSError as error:
        raise not_listed(folder.backups, error) from error


def as_found(folder: Folder, *, disk: Disk) -> list[Backup]:
    """Return what :func:`listed` does, for a writer: an error of the disk is left as it is."""
    try:
        names = disk.do(os.listdir, folder.backups)
    except FileNotFoundError:
        return []
    found = []
    for name in names:
        match = NAME.fullmatch(name)
        try:
            day = dt.date.fromisoformat(match.group(2)) if match else None
        except ValueError:
            continue
        if match and day:
            found.append(Backup(int(match.group(1)), day, folder.backups / name))
    return sorted(found, reverse=True)


def read(backup: Backup) -> document.Document:
    """Return the checked document in a backup, in the newest format."""
    return document.decode(read_regular(backup.path), name=backup.path.name)


def newest_good(folder: Folder) -> Backup | None:
    """Return the newest backup that reads well."""
    try:
        found = listed(folder)
    except InputRefused:
        return None
    for backup in found:
        try:
            read(backup)
        except LawnmapError:
            continue
        return backup
    return None


def next_revision(folder: Folder) -> int:
    """Return a revision that was never used, when the live file no longer tells its own.

    The newest backup is the state before the live one, so the live file was one above it.
    """
    found = listed(folder)
    return found[0].revision + 2 if found else 1


def keep(folder: Folder, revision: int, *, today: dt.date, disk: Disk = DISK) -> None:
    """Make the live site file a backup as well. Only under the site's lock."""
    path = folder.backups / f"r{revision:06d}-{today.isoformat()}.geojson"
    try:
        disk.do(os.makedirs, folder.backups, exist_ok=True)
        sweep(path, disk=disk)
        disk.remove(path)
        live = disk.do(Path.resolve, folder.site)
        try:
            disk.do(os.link, live, path)
        except OSError:  # another disk, or one without hard links
            commit(path, disk.do(read_regular, live), force=True, disk=disk)
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(path, error) from error


def prune(folder: Folder, *, today: dt.date, disk: Disk = DISK) -> tuple[str, ...]:
    """Remove what is older than the rule keeps; return a warning when that cannot be done."""
    try:
        backups = as_found(folder, disk=disk)
        latest = sorted({backup.revision for backup in backups})[-GENERATIONS:]
        days: set[dt.date] = set()
        for backup in backups:
            of_its_day = backup.day not in days and (today - backup.day).days <= DAYS
            days.add(backup.day)
            if backup.revision not in latest and not of_its_day:
                disk.remove(backup.path)
    except OSError as error:
        return (f"Old backups could not be removed ({error.strerror}).",)
    return ()
