"""Make, load and save a site.

A save gives a new revision and never overwrites somebody else's: the revision on disk must be the
one that was loaded. It is told as saved when the disk has it, and not before.
"""

from __future__ import annotations

import datetime as dt
import errno
import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import Busy, InputRefused, LawnmapError, SiteDamaged
from lawnmap.files.admit import read_regular
from lawnmap.files.commit import UNCHANGED, commit, confirm, sweep, write_failed
from lawnmap.files.disk import DISK, Disk
from lawnmap.files.lock import locked
from lawnmap.model import FORMAT, Site
from lawnmap.store import backups, document, heights, journal, surface
from lawnmap.store.aside import set_aside
from lawnmap.store.folder import SITE, Folder, find


@dataclass(frozen=True)
class Saved:
    """A site as it now stands on disk.

    Attributes
    ----------
    site : Site
        With its new revision.
    warnings : tuple of str
        What a person should know, each a whole sentence.
    """

    site: Site
    warnings: tuple[str, ...] = ()


def today_utc() -> dt.date:
    """Return the day by which backups are named; the same everywhere on earth."""
    return dt.datetime.now(dt.UTC).date()


def create(
    folder: Folder, site: Site, files: Mapping[str, bytes] | None = None, *, disk: Disk = DISK
) -> Saved:
    """Make a site folder with its first files.

    Parameters
    ----------
    folder : Folder
        A new folder, or one that holds no site yet.
    site : Site
        What to begin with; it gets revision 1.
    files : mapping of str to bytes, optional
        Other files by path from the folder. One that is there already is left as it is.

    Raises
    ------
    InputRefused
        When the folder holds a site already.
    WriteFailed
        When the disk does not take it.
    """
    first = site.with_header(format=FORMAT, revision=1)
    written = document.encode(first.document, name=SITE)
    warnings: tuple[str, ...] = ()
    try:
        if disk.look(folder.path) is None:
            disk.do(os.mkdir, folder.path)
        with locked(folder.lock, guards=folder.name, disk=disk):
            if disk.look(folder.site) is not None or backups.as_found(folder, disk=disk):
                raise InputRefused(
                    "holds a site already", file=folder.name, remedy="Choose another folder."
                )
            for name, content in (files or {}).items():
                warnings += _first(folder.path / name, content, disk)
            # The site comes last: until it is there the folder is no site, and can be made again.
            sweep(folder.site, disk=disk)
            warnings += commit(folder.site, written.data, force=False, disk=disk)
            warnings += confirm(folder.name, folder.path.resolve().parent, disk=disk)
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(folder.path, error) from error
    return Saved(Site(written.document), warnings)


def _first(path: Path, content: bytes, disk: Disk) -> tuple[str, ...]:
    if disk.look(path) is not None:
        return (f"{path.name} was there already and was left as it is.",)
    disk.do(os.makedirs, path.parent, exist_ok=True)
    sweep(path, disk=disk)
    return commit(path, content, force=False, disk=disk)


def load(where: Folder | Path | str, *, disk: Disk = DISK) -> Site:
    """Return a site, having finished a change that was cut off.

    Raises
    ------
    InputRefused
        When there is no site, or another program saved it.
    SiteDamaged
        When the site file is damaged or from a newer lawnmap, or its heights or surface are
        damaged. Nothing is overwritten; of a site file the newest good backup is named.
    """
    folder = where if isinstance(where, Folder) else find(where)
    try:
        while True:
            if journal.pending(folder, disk=disk):
                with locked(folder.lock, guards=folder.name, disk=disk):
                    journal.finish(folder, disk=disk)
            before = _look(folder, disk)
            there = _read(folder, disk)
            site = Site(there, heights.read(folder, disk=disk), surface.read(folder, disk=disk))
            # Nothing is locked while it is read, so that readers never wait for each other; a
            # change of several files that came meanwhile is seen whole the next time round.
            if _same(before, disk.look(folder.site)) and not journal.pending(folder, disk=disk):
                return site
    except LawnmapError:
        raise
    except OSError as error:
        raise InputRefused(
            f"cannot be opened ({error.strerror})", file=folder.name, remedy="Check the path."
        ) from error


def _same(one: os.stat_result | None, other: os.stat_result | None) -> bool:
    """Tell whether a file is still the one it was; a save puts another in its place."""
    return one is not None and other is not None and os.path.samestat(one, other)


def save(
    folder: Folder,
    site: Site,
    *,
    also: Mapping[str, bytes] | None = None,
    today: dt.date | None = None,
    disk: Disk = DISK,
) -> Saved:
    """Save a changed site, and whatever changes together with it.

    Parameters
    ----------
    folder : Folder
        Where it was loaded from.
    site : Site
        With the revision it had when it was loaded.
    also : mapping of str to bytes, optional
        Whole contents of other files, such as ``record.csv``: after this either all files are new
        or none is.
    today : date, optional
        The day for the name of the backup.

    Raises
    ------
    InputRefused
        When the site is not fit to be saved.
    Busy
        When somebody else saved meanwhile: the edit is kept beside the site under another name.
    SiteDamaged
        When the file on disk was damaged meanwhile; the edit is kept likewise.
    WriteFailed
        When the disk does not take it: the old site is still there, whole.
    """
    today = today or today_utc()
    new = site.with_header(format=FORMAT, revision=site.revision + 1)
    written = document.encode(new.document, name=SITE)
    try:
        with locked(folder.lock, guards=folder.name, disk=disk):
            sweep(folder.site, disk=disk)
            journal.finish(folder, disk=disk)
            _agree(folder, site, also or {}, disk)
            backups.keep(folder, site.revision, today=today, disk=disk)
            if also:
                files = {**also, SITE: written.data}
                warnings = journal.change(folder, new.revision, files, disk=disk)
            else:
                warnings = commit(folder.site, written.data, force=True, disk=disk)
            warnings += backups.prune(folder, today=today, disk=disk)
    except LawnmapError:
        raise
    except OSError as error:
        raise write_failed(folder.site, error) from error
    return Saved(Site(written.document, site.heights, site.surface), warnings)


def _agree(folder: Folder, site: Site, also: Mapping[str, bytes], disk: Disk) -> None:
    """Check that the site on disk is still the one that was loaded; else keep the edit."""
    try:
        there = _parsed(folder, disk)
    except (InputRefused, SiteDamaged) as error:
        error.done = f"Your edit is kept in {_kept(folder, site, also, disk)}."
        raise
    revision = document.revision_of(there)
    if revision != site.revision:
        now = "by another program" if revision is None else f"and is now at revision {revision}"
        raise Busy(
            f"was changed elsewhere {now}; yours is revision {site.revision}",
            file=SITE,
            done=f"Your edit is kept in {_kept(folder, site, also, disk)}; "
            "the site was not changed.",
            remedy="Load the site again and make the edit once more.",
        )
    found = there["lawnmap"]["format"]
    if found != FORMAT:
        set_aside(folder, f"format-{found}", disk.do(read_regular, folder.site), disk=disk)


def _kept(folder: Folder, site: Site, also: Mapping[str, bytes], disk: Disk) -> str:
    """Keep an edit that cannot be saved beside the site, and return the names of its files.

    Whatever was to change together with the site is part of the edit: of work that was recorded it
    is the row.
    """
    files = {SITE: document.encode(site.document, name=SITE).data, **also}
    why = f"mine-{site.revision}"
    return " and ".join(
        set_aside(folder, why, data, name=name, disk=disk) for name, data in files.items()
    )


def _look(folder: Folder, disk: Disk) -> os.stat_result | None:
    """Return the facts about the site file; a link that leads to itself is damage to it."""
    try:
        return disk.look(folder.site)
    except OSError as error:
        if error.errno != errno.ELOOP:
            raise
        raise damaged(folder, InputRefused("is a link that leads to itself")) from error


def _parsed(folder: Folder, disk: Disk) -> document.Document:
    """Return the document on disk, its features not looked at."""
    if _look(folder, disk) is None:
        raise damaged(folder, InputRefused("is missing"))
    try:
        return document.parse(disk.do(read_regular, folder.site), name=SITE)
    except InputRefused as error:
        if isinstance(error.__cause__, OSError):
            raise  # what cannot be opened is not damaged
        # What helps with a plan that is read in, to export it again, does not help here.
        raise damaged(folder, InputRefused(error.problem, place=error.place)) from error


def _read(folder: Folder, disk: Disk) -> document.Document:
    found = _parsed(folder, disk)
    if document.is_foreign(found):
        what = "has a member crs" if "crs" in found else "has no member lawnmap"
        raise InputRefused(
            f"was saved by another program: it {what}",
            file=SITE,
            done=UNCHANGED,
            remedy="Take it over as the next revision (lawnmap check SITE --adopt), "
            "or go back to a backup (lawnmap check SITE --restore).",
        )
    try:
        return document.accept(found, name=SITE)
    except InputRefused as error:
        raise damaged(folder, error) from error


def damaged(folder: Folder, error: InputRefused) -> SiteDamaged:
    """Return the error for a damaged site file, naming the newest good backup."""
    backup = backups.newest_good(folder)
    offer = (
        f"The newest good backup is revision {backup.revision} of {backup.day}: "
        "lawnmap check SITE --restore."
        if backup
        else "There is no good backup: mend it in a text editor, or put back a copy of yours."
    )
    return SiteDamaged(
        error.problem,
        file=SITE,
        place=error.place,
        done=UNCHANGED,
        remedy=f"{error.remedy} {offer}".strip(),
    )
