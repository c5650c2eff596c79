"""The bulk door against the libraries below it, as ratios; and very many zones in bounded memory.

Run from a checkout: ``python docs/benchmarks/door.py [ZONES]``, 100,000 by default, and
``python docs/benchmarks/door.py stream [ZONES]``, 1,000,000 by default.

The door reads a table twice (names, then rows), brings its facts to the schema's columns, and
checks every shape: kind, numbers, range, closed, valid; and names that stand twice. The peers do
none of that. GDAL and pyarrow work for the door in a child of its own; its time is counted, its
start included. Times are of the processor, medians of five, each by turns.
"""

from __future__ import annotations

import os
import resource
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import geopandas as gpd
import numpy as np
import pyarrow.parquet as pq
import pyogrio
import shapely

from lawnmap.jobs.sites.door import reader, writer

ZONES, STREAMED = 100_000, 1_000_000
RUNS = 5
PART = 10_000
OF_A_SITE = 5


def lawns(many: int, first: int = 0) -> gpd.GeoDataFrame:
    """Return invented lawns of 5 to 40 corners, five a site."""
    rng = np.random.default_rng(first)
    corners = rng.integers(5, 41, many)
    own = np.repeat(np.arange(many), corners)
    place = np.arange(len(own)) - np.repeat(np.cumsum(corners) - corners, corners)
    turn = 2 * np.pi * (place + rng.uniform(-0.3, 0.3, len(own))) / corners[own]
    reach = rng.uniform(4, 25, many)[own] * rng.uniform(0.8, 1.2, len(own)) / 111_000
    east, north = rng.uniform(-5, 1.5, many)[own], rng.uniform(50, 56, many)[own]
    xy = np.column_stack([east + reach * 1.6 * np.cos(turn), north + reach * np.sin(turn)])
    numbers = np.arange(first, first + many)
    columns = {
        "site_id": [f"S{number // OF_A_SITE:07d}" for number in numbers],
        "zone_id": [f"Z{number % OF_A_SITE}" for number in numbers],
        "name": [f"Bank {number}" for number in numbers],
        "moss_rating": rng.integers(0, 6, many).astype(float),
        "thatch_mm": rng.uniform(0, 40, many),
        "turf_type": np.array(["verge", "general lawn"])[rng.integers(0, 2, many)],
        "region": np.array(["north", "south"])[rng.integers(0, 2, many)],
    }
    shapes = shapely.polygons(shapely.linearrings(xy, indices=own))
    return gpd.GeoDataFrame(columns, geometry=shapes, crs="OGC:CRS84")


def spent() -> float:
    """Return the processor time of this process and of the children that ended."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


def timed(*works: Callable[[], Any]) -> list[float]:
    """Return the median time of each work, done by turns."""
    took: list[list[float]] = [[] for _ in works]
    for _ in range(RUNS):
        for times, work in zip(took, works, strict=True):
            began = spent()
            work()
            times.append(spent() - began)
    return [median(times) for times in took]


def through_the_door(path: Path) -> int:
    """Read a table in batches, and return how many zones there were."""
    return sum(len(batch.rows) for batch in reader.batches(reader.opened(path)))


def by_pyogrio(path: Path) -> int:
    """Read a table whole."""
    return len(pyogrio.read_dataframe(path, use_arrow=True))


def ratios(many: int, folder: Path) -> None:
    """Print times and ratios for every kind of table."""
    table = lawns(many)
    lines, own_lines = folder / "a.geojsonl", folder / "b.geojsonl"
    parquet, own_parquet = folder / "a.parquet", folder / "b.parquet"
    whole = folder / "a.geojson"

    def write(path: Path, driver: str) -> None:
        pyogrio.write_dataframe(table, path, driver=driver, use_arrow=True)

    for path, driver in (("a.gpkg", "GPKG"), ("a.fgb", "FlatGeobuf")):
        write(folder / path, driver)
    wrote = timed(
        lambda: write(lines, "GeoJSONSeq"),
        lambda: write(whole, "GeoJSON"),
        lambda: writer.write_lines(own_lines, table),
        lambda: table.to_parquet(parquet, compression="zstd"),
        lambda: writer.write_parquet(own_parquet, table),
    )
    read = timed(
        lambda: by_pyogrio(lines),
        lambda: by_pyogrio(whole),
        lambda: through_the_door(lines),
        lambda: gpd.read_parquet(parquet),
        lambda: through_the_door(parquet),
    )
    print(f"{many:,} zones, {shapely.get_num_coordinates(table.geometry.array).sum():,} vertices")
    said("GeoJSON lines, read and written", read[2] + wrote[2], read[0] + wrote[0])
    said("GeoJSON lines against one collection", read[2] + wrote[2], read[1] + wrote[1])
    said("GeoJSON lines, read", read[2], read[0])
    said("GeoJSON lines, written", wrote[2], wrote[0])
    said("GeoParquet, read", read[4], read[3])
    said("GeoParquet, written", wrote[4], wrote[3])
    for name in ("a.gpkg", "a.fgb"):
        path = folder / name
        theirs, ours = timed(lambda: by_pyogrio(path), lambda: through_the_door(path))  # noqa: B023  (called at once)
        said(f"{path.suffix}, read", ours, theirs)


def said(what: str, ours: float, theirs: float) -> None:
    """Print two times and their ratio."""
    print(f"{what}: {ours:.2f} s, peer {theirs:.2f} s: {ours / theirs:.2f}")


def streamed(many: int, folder: Path) -> None:
    """Print time and memory of reading and writing a tenth of the zones, and all of them."""
    for count in (many // 10, many):
        path = folder / f"{count}.parquet"
        with pq.ParquetWriter(path, _arrow(folder, 1, 0).schema) as output:
            for first in range(0, count, PART):
                output.write_table(_arrow(folder, min(PART, count - first), first))
        before, began = _peak(), spent()
        zones = 0
        for batch in reader.batches(reader.opened(path)):
            zones += len(batch.rows)
            writer.write_parquet(folder / f"part-{batch.number:05d}.parquet", batch.rows)
        took = spent() - began
        print(
            f"{zones:,} zones of {path.stat().st_size / 1e6:.0f} MB, read and written in parts: "
            f"{took:.1f} s ({took / zones * 1e6:.1f} µs a zone); peak {_peak():.0f} MB, "
            f"{before:.0f} MB before; child {_peak(resource.RUSAGE_CHILDREN):.0f} MB"
        )


def _arrow(folder: Path, many: int, first: int) -> Any:
    writer.write_parquet(folder / "made.parquet", lawns(many, first))
    return pq.read_table(folder / "made.parquet").replace_schema_metadata(
        {b"geo": pq.read_schema(folder / "made.parquet").metadata[b"geo"]} if first == 0 else None
    )


def _peak(whose: int = resource.RUSAGE_SELF) -> float:
    """Return the most memory that was held so far [MB] (getrusage(2): KiB on Linux)."""
    return resource.getrusage(whose).ru_maxrss * 1024 / 1e6


def main() -> None:
    """Print what was asked for."""
    words = sys.argv[1:]
    asked = words and words[0] == "stream"
    numbers = [int(word) for word in words if word.isdigit()]
    with tempfile.TemporaryDirectory() as name:
        if asked:
            streamed(numbers[0] if numbers else STREAMED, Path(name))
        else:
            ratios(numbers[0] if numbers else ZONES, Path(name))


if __name__ == "__main__":
    main()
