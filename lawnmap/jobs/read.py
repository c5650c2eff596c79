"""The job ``read``: a site plan into a site, or to GeoJSON when it goes nowhere yet."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from lawnmap.errors import InputRefused
from lawnmap.found import Found
from lawnmap.jobs import features, heights, pictures
from lawnmap.jobs.reading import Reading, Taken, found_in, source_of
from lawnmap.model import Site
from lawnmap.processing.control import Agreement
from lawnmap.processing.merge import Change
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder, find


@dataclass(frozen=True)
class ReadReply:
    """What was read.

    Attributes
    ----------
    site : Site
        With what was read in it.
    found : Found
        What the file held, before it became part of the site.
    changes : list of Change
        What became of each feature.
    saved : bool
        Whether anything was saved.
    warnings : list of str
        What a person should know.
    agreement : Agreement or None
        How well the control points agree, when there were any.
    """

    site: Site
    found: Found
    changes: list[Change]
    saved: bool
    warnings: list[str]
    agreement: Agreement | None = None


def read(
    path: Path | str,
    reading: Reading | None = None,
    *,
    into: Path | None = None,
    dry_run: bool = False,
) -> ReadReply:
    """Read a site plan.

    Parameters
    ----------
    path : Path or str
        The plan; ``-`` for standard input.
    reading : Reading, optional
        Choices.
    into : Path, optional
        A site folder to merge it into and save; None to save nothing.
    dry_run : bool
        Work it out and save nothing.

    Raises
    ------
    LawnmapError
        One clear error; nothing was changed.
    """
    reading = reading or Reading()
    source = source_of(path)
    folder = find(into) if into is not None else None
    site = site_store.load(folder) if folder is not None else empty_site()
    found = found_in(source, reading)
    try:
        taken = _take(site, found, reading, folder)
    except InputRefused as error:
        raise error.within(file=source.name) from error.__cause__
    reply = ReadReply(
        taken.site,
        found,
        taken.changes,
        saved=False,
        warnings=taken.warnings,
        agreement=taken.agreement,
    )
    unchanged = all(change.what == "unchanged" for change in taken.changes)
    if folder is None or dry_run or unchanged:
        return reply
    saved = site_store.save(folder, taken.site, also=taken.files)
    warnings = [*taken.warnings, *saved.warnings]
    return replace(reply, site=saved.site, saved=True, warnings=warnings)


def _take(site: Site, found: Found, reading: Reading, folder: Folder | None) -> Taken:
    """Return the site with what was found, whatever it is."""
    if found.picture is not None:
        return pictures.take(site, found, reading, folder)
    if found.heights is not None or reading.kind == heights.KIND:
        return heights.take(site, found, reading)
    return features.take(site, found, reading, folder)


def empty_site() -> Site:
    """Return a site with nothing on it, saved nowhere."""
    return Site({"type": "FeatureCollection", "lawnmap": {"format": 1}, "features": []})
