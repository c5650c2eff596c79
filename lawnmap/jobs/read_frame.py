"""The job ``read`` for a table in memory: a GeoDataFrame into a site, by the door of every plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

import geopandas as gpd

from lawnmap.errors import InputRefused
from lawnmap.jobs import features
from lawnmap.jobs.read import SAME, ReadReply, empty_site
from lawnmap.jobs.reading import Reading
from lawnmap.readers import frame
from lawnmap.store import site as site_store
from lawnmap.store.folder import find


def read_frame(
    table: gpd.GeoDataFrame,
    reading: Reading,
    *,
    rename: Mapping[str, str] = frame.EMPTY,
    into: Path | None = None,
) -> ReadReply:
    """Read a GeoDataFrame as a site plan.

    Parameters
    ----------
    table : GeoDataFrame
    reading : Reading
        Choices; layers and control points are of files.
    rename : mapping of str to str
        From the table's own names of columns to those of ``docs/columns.md``.
    into : Path, optional
        A site folder to merge it into and save; None to save nothing.

    Returns
    -------
    ReadReply

    Raises
    ------
    CRSNeeded
        When neither the table nor the reading says where it lies.
    InputRefused
        With the row and the column of what is wrong; nothing was changed.
    """
    folder = find(into) if into is not None else None
    site = site_store.load(folder) if folder is not None else empty_site()
    crs = reading.crs if reading.crs != "local" else None
    found = frame.found(table, crs=crs, rename=rename, kind=reading.kind)
    try:
        taken = features.take(site, found, reading, folder)
    except InputRefused as error:
        raise error.within(file=frame.NAME) from error.__cause__
    warnings = list(taken.warnings)
    reply = ReadReply(taken.site, found, taken.changes, saved=False, warnings=warnings)
    if folder is None or all(each.what in SAME for each in taken.changes):
        return reply
    saved = site_store.save(folder, taken.site, also=taken.files)
    return replace(reply, site=saved.site, saved=True, warnings=[*warnings, *saved.warnings])
