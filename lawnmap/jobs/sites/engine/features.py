"""What else is mapped on sites put into the partitions that hold their zones.

The zones are laid out before. For each of their sites twelve bytes are held: a hash of its name,
and the partition. Sites of one hash get the features of both for a while, and then each its own.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import pyarrow as pa
import pyarrow.compute as pc
import shapely
from pyarrow import parquet

from lawnmap.jobs.sites.engine.partitions import FEATURES, ZONES, numbers, path_of, write
from lawnmap.model import LONLAT

Places = npt.NDArray[np.intp]
Names = npt.NDArray[np.object_]

SITE, KIND, SHAPE = "site_id", "feature", "geometry"
# Whatever the order of the file, those of a site come in this order.
ORDER = [(name, "ascending") for name in (SITE, KIND, SHAPE)]


class _Sites(NamedTuple):
    """Which partition each site is in, by a hash of its name.

    Attributes
    ----------
    hashes, numbers : (n,) array
        In the order of the hashes.
    """

    hashes: npt.NDArray[np.uint64]
    numbers: npt.NDArray[np.int32]

    def found(self, names: Names) -> tuple[Places, Places]:
        """Return the places of names whose hash is known, and the partition of each."""
        own = _hashes(names)
        first = np.searchsorted(self.hashes, own)
        many = np.searchsorted(self.hashes, own, side="right") - first
        before = np.cumsum(many) - many
        step = np.arange(int(many.sum())) - np.repeat(before, many)
        number = self.numbers[np.repeat(first, many) + step].astype(np.intp)
        return np.repeat(np.arange(len(names)), many), number


def lay_features(
    batches: Iterable[gpd.GeoDataFrame], folder: Path, *, scratch: Path | None = None
) -> tuple[dict[str, int], int]:
    """Write features beside the zones of their sites.

    Parameters
    ----------
    batches : iterable of GeoDataFrame
        Longitude/latitude, with ``site_id`` and every fact of a feature; each is held in memory by
        itself.
    folder : Path
        Of the partitions, in which the zones are already.
    scratch : Path, optional
        Where the features lie meanwhile: about as much as the partitions take. The system's own
        place when left out.

    Returns
    -------
    mapped : dict of str to int
        How many there are of each kind.
    lost : int
        How many are of sites that have no zones.
    """
    mapped: dict[str, int] = {}
    read = 0
    # Scratch, and no result: what a killed run leaves of it goes when the folder is emptied.
    with tempfile.TemporaryDirectory(prefix="lawnmap-", dir=scratch) as made:
        sites = _sites(folder)
        for features in batches:
            read += len(features)
            _deal(features, sites, Path(made))
        for path in sorted(Path(made).iterdir()):
            number = int(path.stem)
            rows = _gathered(path, _names(folder, number))
            for kind, many in rows[KIND].value_counts().items():
                mapped[str(kind)] = mapped.get(str(kind), 0) + int(many)
            if len(rows):
                write(folder, FEATURES, number, rows)
            path.unlink()
    return dict(sorted(mapped.items())), read - sum(mapped.values())


def _sites(folder: Path) -> _Sites:
    """Return the partition of each site, from the zones that are there."""
    hashes, number = [np.zeros(0, dtype=np.uint64)], [np.zeros(0, dtype=np.int32)]
    for each in numbers(folder):
        hashes.append(np.unique(_hashes(_names(folder, each).to_numpy(zero_copy_only=False))))
        number.append(np.full(len(hashes[-1]), each, dtype=np.int32))
    whole, of_each = np.concatenate(hashes), np.concatenate(number)
    order = np.argsort(whole, kind="stable")
    return _Sites(whole[order], of_each[order])


def _names(folder: Path, number: int) -> pa.Array:
    """Return the names of the sites in a partition."""
    column = parquet.read_table(path_of(folder, ZONES, number), columns=[SITE]).column(SITE)
    return pc.unique(column).cast(pa.string())


def _hashes(names: Names) -> npt.NDArray[np.uint64]:
    return np.asarray(pd.util.hash_array(names, categorize=False), dtype=np.uint64)


def _deal(features: gpd.GeoDataFrame, sites: _Sites, folder: Path) -> None:
    """Add each feature to the file of its partition."""
    row, number = sites.found(features[SITE].to_numpy(dtype=object))
    if not len(row):
        return
    plain = pd.DataFrame(features).assign(**{SHAPE: shapely.to_wkb(features.geometry.array)})
    table = pa.table({str(name): _column(str(name), plain[name]) for name in plain.columns})
    order = np.argsort(number, kind="stable")
    table, number = table.take(row[order]), number[order]
    found, starts = np.unique(number, return_index=True)
    for each, start, end in zip(found, starts, [*starts[1:], len(number)], strict=True):
        own = table.slice(start, end - start)
        with (
            (folder / f"{each}.arrow").open("ab") as sink,
            pa.ipc.new_stream(sink, own.schema) as writer,
        ):
            writer.write_table(own)


def _column(name: str, values: pd.Series) -> pa.Array:
    """Return a column as text where it holds objects, though nothing is in it."""
    text = name != SHAPE and pd.api.types.is_object_dtype(values.dtype)
    return pa.array(values, pa.string() if text else None, from_pandas=True)


def _gathered(path: Path, names: pa.Array) -> gpd.GeoDataFrame:
    """Return the features of a partition that are of its sites, in order."""
    whole = pa.concat_tables(_streams(path))
    whole = whole.filter(pc.is_in(whole.column(SITE), value_set=names))
    rows = whole.take(pc.sort_indices(whole, sort_keys=ORDER)).to_pandas()
    shapes = shapely.from_wkb(rows.pop(SHAPE).to_numpy(dtype=object))
    return gpd.GeoDataFrame(rows, geometry=shapes, crs=LONLAT)


def _streams(path: Path) -> Iterator[pa.Table]:
    """Yield what was added to a file, one after the other."""
    with pa.memory_map(str(path)) as source:
        while source.tell() < source.size():
            yield pa.ipc.open_stream(source).read_all()
