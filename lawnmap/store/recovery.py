"""Take a site over from another program, or go back to a backup. Nothing is lost by either."""

from __future__ import annotations

import contextlib
import datetime as dt
import errno
import itertools
import os
import stat
from collections.abc import Iterator
from typing import Any

from lawnmap.errors import InputRefused, LawnmapError
from lawnmap.files.commit import commit, move, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.lock import locked
from lawnmap.model import FORMAT, Site
from lawnmap.store import backups, document, journal
from lawnmap.store.aside import live, set_aside
from lawnmap.store.backups import Backup
from lawnmap.store.features import whole
from lawnmap.store.folder import SITE, Folder
from lawnmap.store.site import Saved, today_utc

# What a GeoJSON 2008 ``crs`` member may say and still mean longitude, latitude in that order: the
# names that GDAL writes for WGS 84, flat and with heights.
LONLAT = {
    "urn:ogc:def:crs:OGC:1.3:CRS84",
    "urn:ogc:def:crs:OGC::CRS84",
    "OGC:CRS84",
    "urn:ogc:def:crs:OGC::CRS84h",
    "urn:ogc:def:crs:EPSG::4979",
    "urn:ogc:def:crs:EPSG::4326",
    "EPSG:4326",
}


def adopt(folder: Folder, *, disk: Disk = DISK) -> Saved:
    """Take over a site file that another program saved, as the next revision.

    The title and the rest of the header come from the newest good backup. Properties stay as the
    other program left them. Its file is kept under another name.

    Raises
    ------
    InputRefused
        When lawnmap saved it (there is nothing to take over), or it is no longer a site.
    """
    with _held(folder, disk):
        data = live(folder, disk=disk)
        found = document.parse(data, name=SITE)
        if not document.is_foreign(found):
            raise InputRefused(
                "was saved by lawnmap: there is nothing to take over",
                file=SITE,
                remedy="Leave --adopt out.",
            )
        _check_crs(found.pop("crs", None))
        own = found["lawnmap"] if isinstance(found.get("lawnmap"), dict) else {}
        revision = own["revision"] if whole(own.get("revision")) else 0
        header = {
            "title": folder.name,
            **_known_header(folder, disk),
            **own,
            "format": FORMAT,
            "revision": max(revision + 1, backups.next_revision(folder)),
        }
        written = document.encode({**found, "lawnmap": header}, name=SITE)
        set_aside(folder, "adopted", data, disk=disk)
        return _put(folder, written, disk)


def restore(
    folder: Folder, backup: Backup, *, today: dt.date | None = None, disk: Disk = DISK
) -> Saved:
    """Make a backup the live site again, as the next revision.

    The site file as it was found is kept: as a backup when it is good, else under another name. So
    is a folder that stands in its place, or a link that leads to itself.

    Raises
    ------
    InputRefused
        When the backup does not read well.
    """
    good = backups.read(backup)
    with _held(folder, disk, make_way=True):
        revision = backups.next_revision(folder)
        if there := live(folder, disk=disk):
            try:
                revision = document.decode(there, name=SITE)["lawnmap"]["revision"] + 1
                backups.keep(folder, revision - 1, today=today or today_utc(), disk=disk)
            except InputRefused:
                set_aside(folder, "damaged", there, disk=disk)
        again = Site(good).with_header(revision=revision)
        return _put(folder, document.encode(again.document, name=SITE), disk)


def _make_way(folder: Folder, disk: Disk) -> None:
    """Give another name to what stands in the place of the site file and can never be one."""
    try:
        facts = disk.look(folder.site)
        if facts is None or not stat.S_ISDIR(facts.st_mode):
            return
    except OSError as error:
        if error.errno != errno.ELOOP:
            raise
    names = (f"site.damaged{f'-{number}' if number > 1 else ''}" for number in itertools.count(1))
    there = set(disk.do(os.listdir, folder.path))
    move(folder.site, folder.path / next(name for name in names if name not in there), disk=disk)
    disk.sync_folder(folder.path)


@contextlib.contextmanager
def _held(folder: Folder, disk: Disk, *, make_way: bool = False) -> Iterator[None]:
    try:
        with locked(folder.lock, guards=folder.name, disk=disk):
            if make_way:
                _make_way(folder, disk)
            sweep(folder.site, disk=disk)
            journal.finish(folder, disk=disk)
            yield
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(folder.site, error) from error


def _put(folder: Folder, written: document.Written, disk: Disk) -> Saved:
    warnings = commit(folder.site, written.data, force=True, disk=disk)
    return Saved(Site(written.document), warnings)


def _known_header(folder: Folder, disk: Disk) -> dict[str, Any]:
    """Return the header of the newest good backup; none is none, and not one that is out of reach.

    Else a disk that fails for a moment would cost the site its title for good.
    """
    for backup in backups.listed(folder, disk=disk):
        with contextlib.suppress(LawnmapError):
            return dict(backups.read(backup)["lawnmap"])
    return {}


def _check_crs(crs: Any) -> None:
    if crs is None:
        return
    try:
        name = crs["properties"]["name"]
    except (TypeError, KeyError):
        name = None
    if name not in LONLAT:
        raise InputRefused(
            f"is in the coordinate reference system {name!r}, not in longitude and latitude",
            file=SITE,
            remedy="Save it again as EPSG:4326, or bring it in with lawnmap read.",
        )
