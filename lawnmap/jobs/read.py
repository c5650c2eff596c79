"""The job ``read``: a site plan into a site, or to GeoJSON when it goes nowhere yet."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from pathlib import Path

from lawnmap import schema
from lawnmap.errors import InputRefused, UsageProblem
from lawnmap.files.admit import Source
from lawnmap.found import Found
from lawnmap.geometry.local import UNITS_M
from lawnmap.jobs import features, heights, pictures, surface
from lawnmap.jobs import preview as previews
from lawnmap.jobs.overview import Overview, overview
from lawnmap.jobs.reading import Reading, Taken, found_in, source_of
from lawnmap.model import Site
from lawnmap.processing.entering.merge import Change
from lawnmap.processing.position.control import Agreement
from lawnmap.store import site as site_store
from lawnmap.store.folder import Folder, find

NOTHING = "Nothing was changed."
SAME = ("unchanged", "kept")  # what changes nothing


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
    overview : Overview or None
        What the plan amounts to, of a dry run.
    """

    site: Site
    found: Found
    changes: list[Change]
    saved: bool
    warnings: list[str]
    agreement: Agreement | None = None
    overview: Overview | None = None


def read(
    path: Path | str | Source,
    reading: Reading | None = None,
    *,
    into: Path | None = None,
    dry_run: bool = False,
    preview: Path | None = None,
    today: dt.date | None = None,
) -> ReadReply:
    """Read a site plan.

    Parameters
    ----------
    path : Path, str or Source
        The plan; ``-`` for standard input; or what was admitted already.
    reading : Reading, optional
        Choices.
    into : Path, optional
        A site folder to merge it into and save; None to save nothing.
    dry_run : bool
        Work it out and save nothing.
    preview : Path, optional
        Where to draw what was found, as a PNG; an earlier preview there is replaced.
    today : date, optional
        The day that is noted with a surface.

    Returns
    -------
    ReadReply

    Raises
    ------
    LawnmapError
        One clear error; nothing was changed. UsageProblem for choices that make no sense.
    """
    reading = reading or Reading()
    _check(reading)
    if preview is not None:
        previews.admit(preview)
    source = source_of(path)
    folder = find(into) if into is not None else None
    site = site_store.load(folder) if folder is not None else empty_site()
    found = found_in(source, reading)
    try:
        if reading.kind == surface.KIND:
            day = today or site_store.today_utc()
            taken = surface.take(site, found, reading, source.name, day)
        else:
            taken = _take(site, found, reading, folder)
    except InputRefused as error:
        raise error.within(file=source.name) from error.__cause__
    warnings = list(taken.warnings)
    if preview is not None:
        warnings += previews.write(preview, taken)
    reply = ReadReply(
        taken.site,
        found,
        taken.changes,
        saved=False,
        warnings=warnings,
        agreement=taken.agreement,
        overview=overview(source, found, reading, taken) if dry_run else None,
    )
    if folder is None or dry_run or all(each.what in SAME for each in taken.changes):
        return reply
    saved = site_store.save(folder, taken.site, also=taken.files)
    return replace(reply, site=saved.site, saved=True, warnings=[*warnings, *saved.warnings])


def _check(reading: Reading) -> None:
    """Refuse choices that no plan could be read by."""
    kinds = (*schema.FEATURES, heights.KIND, surface.KIND)
    if reading.kind is not None and reading.kind.strip().lower() not in kinds:
        raise UsageProblem(
            f"--as is {reading.kind[:40]!r}", done=NOTHING, remedy=f"It can be: {', '.join(kinds)}."
        )
    if reading.units is not None and reading.units not in UNITS_M:
        raise UsageProblem(
            f"--units is {reading.units[:40]!r}",
            done=NOTHING,
            remedy=f"It can be: {', '.join(UNITS_M)}.",
        )
    if reading.fit != Reading.fit and reading.control is None:
        raise UsageProblem(
            "--fit says how control points are fitted, and none are given",
            done=NOTHING,
            remedy="Give --control with a sheet of them, or leave --fit out.",
        )


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
