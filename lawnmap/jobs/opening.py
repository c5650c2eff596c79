"""Open what a command was given: a site folder, a site file or, to look at only, any site plan."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lawnmap.errors import InputRefused
from lawnmap.jobs.read import read
from lawnmap.jobs.reading import Reading
from lawnmap.model import Site
from lawnmap.store import site as site_store
from lawnmap.store.folder import SITE, Folder, find


@dataclass(frozen=True)
class Opened:
    """A site, and its folder when it has one."""

    site: Site
    folder: Folder | None
    warnings: tuple[str, ...] = ()


def open_site(path: Path | str) -> Opened:
    """Open a site for looking; a plain site plan, or ``-``, is a site without a folder.

    Returns
    -------
    Opened

    Raises
    ------
    InputRefused, SiteDamaged
        When there is no such site or it cannot be read.
    """
    if str(path) != "-":
        where = Path(path)
        try:
            is_site, there = where.is_dir() or where.name == SITE, where.exists()
        except OSError as error:  # a name that is too long is neither there nor not there
            raise InputRefused(
                f"cannot be opened ({error.strerror})", file=where.name, remedy="Check the path."
            ) from error
        if is_site:
            folder = find(where)
            return Opened(site_store.load(folder), folder)
        if not there:
            raise InputRefused(
                "there is no such site", file=where.name, remedy="Make one with lawnmap start."
            )
    reply = read(path, Reading())
    return Opened(reply.site, None, tuple(reply.warnings))


def own_folder(path: Path | str) -> Folder:
    """Return the folder of a site, for a command that saves something in it.

    Raises
    ------
    InputRefused
        When `path` is not a site folder or the site file in one.
    """
    return find(Path(path))
