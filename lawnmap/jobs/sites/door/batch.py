"""A batch: rows of whole sites, and what was left out of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd
import shapely

from lawnmap.errors import InputRefused
from lawnmap.files.limits import BULK
from lawnmap.jobs.sites.door import facts, names, shapes
from lawnmap.jobs.sites.door.arrow import pa, pc
from lawnmap.jobs.sites.door.content import Content
from lawnmap.jobs.sites.door.names import Hashes, Ids
from lawnmap.jobs.sites.door.order import ROW, Piece, changed
from lawnmap.jobs.sites.door.source import Look, Source, ids_of
from lawnmap.jobs.sites.door.trouble import Skipped, Trouble
from lawnmap.model import LONLAT
from lawnmap.processing.position.crs_check import at_home


@dataclass(frozen=True, eq=False)
class Batch:
    """Rows of whole sites.

    Attributes
    ----------
    number : int
        From 1, in the order they come.
    rows : GeoDataFrame
        Longitude/latitude, by place (0 up). Of zones: ``zone_id``, ``site_id``, ``region``,
        ``depot`` and every fact of a zone, then ``geometry``. The zones of a site stand together,
        by their ids. Of features: ``site_id`` and every fact of a feature, then ``geometry``; those
        of a site stand together, as the file has them.
    skipped : tuple of Skipped
        Rows that were left out, each with its reason, in the order of the file.
    remarks : tuple of str
        Whole sentences; the first batch may say that it lies where its CRS is not made for.
    """

    number: int
    rows: gpd.GeoDataFrame
    skipped: tuple[Skipped, ...]
    remarks: tuple[str, ...] = ()


class Origin(NamedTuple):
    """Where the rows of a table come from, and what was read of them before."""

    source: Source
    look: Look
    crs: str
    hashes: Hashes


def made(number: int, piece: Piece, origin: Origin) -> Batch:
    """Return raw rows as a batch, all of them checked.

    Raises
    ------
    InputRefused
        When the rows are not those whose names were read before, or nothing in them can lie on the
        earth.
    """
    many, content = piece.rows.num_rows, origin.look.content
    rows = piece.rows.column(ROW).to_numpy()
    trouble = Trouble(many)
    crowd = np.flatnonzero(piece.crowded)
    trouble.add_all(crowd, "site_id", f"its site has more than {BULK.zones:,} {content.table}")
    columns, found = origin.source.parsed(piece.rows.drop_columns([ROW]), origin.look, trouble)
    ids = ids_of(columns, rows, origin.look)
    if (ids.hashes() != origin.hashes[rows - 1]).any():
        raise changed()
    names.check(ids, trouble, content)
    if content.named:
        _doubles(ids, trouble)
    values = facts.checked(columns, many, trouble, content)
    what = values["feature"].to_numpy() if "feature" in values else np.full(many, content.one)
    placed = _placed(found, what, origin.crs, trouble)
    kept = _table(ids, values, placed, _kept(ids, rows, trouble), content)
    remarks = _at_home(found[~trouble.bad], origin.crs) if number == 1 else ()
    skipped = trouble.skipped(rows, ids.site, ids.zone, content.table)
    return Batch(number, kept, skipped, remarks)


def _doubles(ids: Ids, trouble: Trouble) -> None:
    """Say which names stand twice in a site; nobody can tell which of the zones is meant."""
    both = pd.DataFrame({"site": ids.site, "zone": ids.zone}, dtype=object)
    for row in np.flatnonzero(both.duplicated(keep=False)):
        trouble.add(int(row), "zone_id", "its zone_id stands more than once in its site")


def _placed(found: shapes.Shapes, what: shapes.Shapes, crs: str, trouble: Trouble) -> shapes.Shapes:
    there = found[~trouble.bad]
    placed = shapes.checked(found, what, crs, trouble)
    if crs == LONLAT and len(there) and trouble.bad.all() and shapes.looks_like_metres(there):
        raise InputRefused(
            "its coordinates are no longitudes and latitudes: this looks like metres",
            remedy="Give the CRS with --crs (such as EPSG:27700) if the file names none; else have "
            "it set right in a GIS.",
        )
    return placed


def _at_home(found: shapes.Shapes, crs: str) -> tuple[str, ...]:
    """Say when shapes lie where their CRS is not made for."""
    if crs == LONLAT:
        return ()
    return tuple(at_home(crs, shapely.get_coordinates(found), 1.0, said=True))


def _kept(ids: Ids, rows: names.Places, trouble: Trouble) -> names.Places:
    """Return the places of sound rows: sites as they come, the rows of each by their ids."""
    good = np.flatnonzero(~trouble.bad)
    site, _ = pd.factorize(ids.site[good])
    table = pa.table({"site": site, "zone": pa.array(ids.zone[good], pa.string()), ROW: rows[good]})
    keys = [("site", "ascending"), ("zone", "ascending")]
    return np.asarray(good[pc.sort_indices(table, sort_keys=keys).to_numpy()], dtype=np.int64)


def _table(
    ids: Ids,
    values: dict[str, pd.Series],
    placed: shapes.Shapes,
    kept: names.Places,
    content: Content,
) -> gpd.GeoDataFrame:
    own = {
        "zone_id": pd.Series(ids.zone, dtype=object, copy=False),
        "site_id": pd.Series(ids.site, dtype=object, copy=False),
        **values,
    }
    data = {
        name: pd.Series(own[name].to_numpy()[kept], dtype=own[name].dtype, copy=False)
        for name in content.columns
    }
    return gpd.GeoDataFrame(data, geometry=placed[kept], crs=LONLAT)
