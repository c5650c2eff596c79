"""Zones put into partitions: whole sites, those that lie near each other together.

Sites follow one another along a Hilbert curve by their middles; no curve is drawn through a site.
What is in which partition depends on the table alone, not on the batches it came in.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import shapely

from lawnmap.jobs.sites.engine.partitions import ZONES, write
from lawnmap.model import LONLAT

Places = npt.NDArray[np.intp]

LEVEL = 16  # of the curve: cells of 610 by 305 m at the equator
EARTH = (-180.0, -90.0, 180.0, 90.0)
ORDER = ["cell", "site_id"]
SHAPE = "geometry"


def lay_out(
    batches: Iterable[gpd.GeoDataFrame], folder: Path, *, most: int, scratch: Path | None = None
) -> list[int]:
    """Write zones as partitions and return their numbers.

    Parameters
    ----------
    batches : iterable of GeoDataFrame
        Whole sites, with ``site_id``; each is held in memory by itself.
    folder : Path
    most : int
        Zones in a partition, but for a site that has more by itself.
    scratch : Path, optional
        Where the batches lie meanwhile: about as much as the partitions take. The system's own
        place when left out.
    """
    # Scratch, and no result: what a killed run leaves of it goes when the folder is emptied.
    with tempfile.TemporaryDirectory(prefix="lawnmap-", dir=scratch) as made:
        found = [
            _kept(zones, _path(Path(made), batch)).assign(batch=batch)
            for batch, zones in enumerate(batches)
        ]
        if not found:
            return []
        sites = pd.concat(found).sort_values(ORDER, kind="stable", ignore_index=True)
        cuts = list(_cuts(sites["zones"].to_numpy(dtype=np.intp), most))
        for number, rows in enumerate(_partitions(sites, cuts, Path(made))):
            write(folder, ZONES, number, rows)
    return list(range(len(cuts)))


def _kept(zones: gpd.GeoDataFrame, path: Path) -> pd.DataFrame:
    """Write a batch in the order of its sites, and return these: any stretch can then be taken."""
    site, ids = pd.factorize(zones["site_id"].to_numpy(dtype=object))
    sites = pd.DataFrame(
        {
            "cell": _cells(zones, site, len(ids)),
            "site_id": ids,
            "zones": np.bincount(site, minlength=len(ids)),
        }
    ).sort_values(ORDER, kind="stable")
    place = np.empty(len(ids), dtype=np.intp)
    place[sites.index] = np.arange(len(ids))
    rows = zones.iloc[np.argsort(place[site], kind="stable")]
    plain = pd.DataFrame(rows).assign(**{SHAPE: shapely.to_wkb(rows.geometry.array)})
    table = pa.Table.from_pandas(plain, preserve_index=False)
    with pa.OSFile(str(path), "wb") as sink, pa.ipc.new_file(sink, table.schema) as writer:
        writer.write_table(table)
    return sites


def _path(folder: Path, batch: object) -> Path:
    return folder / f"{batch}.arrow"


def _cells(zones: gpd.GeoDataFrame, site: Places, many: int) -> Places:
    """Return where the middle of each site lies on the curve."""
    bounds = shapely.bounds(np.asarray(zones.geometry.array, dtype=object))
    least, most = np.full((many, 2), np.inf), np.full((many, 2), -np.inf)
    np.minimum.at(least, site, bounds[:, :2])
    np.maximum.at(most, site, bounds[:, 2:])
    middles = gpd.GeoSeries.from_xy(*((least + most) / 2).T)
    cells = middles.hilbert_distance(total_bounds=EARTH, level=LEVEL)
    return np.asarray(cells, dtype=np.intp)


def _cuts(zones: Places, most: int) -> Iterator[tuple[int, int]]:
    """Yield the first and the last of the sites of each partition."""
    total, begin = np.cumsum(zones), 0
    while begin < len(zones):
        before = int(total[begin - 1]) if begin else 0
        end = max(int(np.searchsorted(total, before + most, side="right")), begin + 1)
        yield begin, end
        begin = end


def _partitions(
    sites: pd.DataFrame, cuts: Iterable[tuple[int, int]], folder: Path
) -> Iterator[gpd.GeoDataFrame]:
    """Yield the zones of each partition, from a stretch of each batch that has some."""
    taken = dict.fromkeys(sites["batch"].unique().tolist(), 0)
    for begin, end in cuts:
        parts, place = [], []
        for batch, own in sites.iloc[begin:end].groupby("batch"):
            many = int(own["zones"].sum())
            with pa.memory_map(str(_path(folder, batch))) as source:
                stretch = pa.ipc.open_file(source).read_all().slice(taken[batch], many)
                parts.append(stretch.to_pandas())
            place.append(np.repeat(own.index, own["zones"]))
            taken[batch] += many
        rows = pd.concat(parts, ignore_index=True)
        rows = rows.iloc[np.argsort(np.concatenate(place), kind="stable")].reset_index(drop=True)
        yield gpd.GeoDataFrame(rows, geometry=shapely.from_wkb(rows[SHAPE]), crs=LONLAT)
