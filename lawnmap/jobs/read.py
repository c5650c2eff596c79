"""The job ``read``: a site plan into a site, or to GeoJSON when it goes nowhere yet."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused
from lawnmap.files import child
from lawnmap.geometry.validity import repair
from lawnmap.jobs.reading import features_of, source_of
from lawnmap.model import Found, Site
from lawnmap.processing.merge import Change, Merged, merge
from lawnmap.processing.outlines import Admission, shape_all
from lawnmap.processing.placing import placing
from lawnmap.store import site as site_store
from lawnmap.store.folder import find

REPAIR_S = 5.0
SMALL = 200  # vertices of an outline that can be mended here at once: under 0.1 s when measured


@dataclass(frozen=True)
class Reading:
    """How a site plan is to be read; see ``docs/commands/read.md``."""

    layer: str | None = None
    crs: str | None = None
    units: str | None = None
    kind: str | None = None
    repair: bool = False
    skip_bad: bool = False


@dataclass
class ReadReply:
    """What was read."""

    site: Site
    changes: list[Change]
    saved: bool
    warnings: list[str] = field(default_factory=list)


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
    found = features_of(source, layer=reading.layer, crs=_crs(reading), units=reading.units)
    try:
        merged = merge_found(site, found, reading)
    except InputRefused as error:
        raise error.within(file=source.name) from error.__cause__
    warnings = [*found.warnings, *merged.warnings]
    unchanged = all(change.what == "unchanged" for change in merged.changes)
    if folder is None or dry_run or unchanged:
        return ReadReply(merged.site, merged.changes, saved=False, warnings=warnings)
    saved = site_store.save(folder, merged.site)
    return ReadReply(saved.site, merged.changes, saved=True, warnings=[*warnings, *saved.warnings])


def merge_found(site: Site, found: Found, reading: Reading) -> Merged:
    """Return the site with what was found in it, every warning gathered."""
    placed = placing(site, found, reading.crs, reading.units)
    admission = Admission(
        kind=reading.kind,
        skip_bad=reading.skip_bad,
        repair=guarded_repair if reading.repair else None,
    )
    shaped = shape_all(found, placed.to_lonlat, admission)
    merged = merge(site, shaped)
    merged.site = merged.site.with_header(**placed.header)
    merged.warnings = [*placed.warnings, *admission.warnings, *merged.warnings]
    return merged


def guarded_repair(outline: BaseGeometry) -> BaseGeometry:
    """Mend an outline, a large one in a child process with a time limit."""
    if shapely.get_num_coordinates(outline) <= SMALL:
        return repair(outline)
    mended = child.run(
        "lawnmap.geometry.validity:repair_text",
        arguments={"wkb": shapely.to_wkb(outline, hex=True)},
        seconds=REPAIR_S,
    )
    whole: BaseGeometry = shapely.from_wkb(mended)
    return whole


def empty_site() -> Site:
    """Return a site with nothing on it, saved nowhere."""
    return Site({"type": "FeatureCollection", "lawnmap": {"format": 1}, "features": []})


def _crs(reading: Reading) -> str | None:
    """Return the CRS for the reader; a local plan is none of its business."""
    return None if reading.crs == "local" else reading.crs
