"""Two workers of a Dask cluster against one process held to one core, as a ratio of time passed.

Run from a checkout: ``python docs/benchmarks/workers.py [ZONES] [--runs N]``, 1,000,000 zones and
three runs by default, on a machine that does nothing else. Both get the same partitions of invented
lawns, twenty zones to a site, as GeoParquet on disk, and leave GeoParquet: measured, obstacles
taken out (two beds and a tree stem in each zone of every fourth site), every step worked out, and
pass lines counted. The time of the cluster is from nothing to nothing: its processes are started
and ended in it. The sums must be the same to 1e-12 of each, also when one of the workers is killed
in the middle. Reading, measuring and writing alone are timed as well.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import signal
import statistics
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

import geopandas as gpd
import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import shapely
from zones import A_SITE, no_features, table, terms

from lawnmap.geometry import ellipsoid
from lawnmap.jobs.sites.engine import cluster, local, partitions
from lawnmap.jobs.sites.engine.whole_sites import WholeSites
from lawnmap.processing.many.totals_by import BY, joined

PARTITION = 10_000
WORKERS = 2
WITH_THINGS = 4  # one site in so many has three obstacles in each zone
SAME = 1e-12
LEAST_REACH = 0.8 * 4 / 111_320  # of the smallest lawn, from its middle [°]


class Found(NamedTuple):
    """Sums of a partition, and which process it was worked by."""

    pid: int
    totals: pd.DataFrame


@dataclass(frozen=True)
class Whole(WholeSites):
    """Every step, to sums."""

    def work(self, number: int, zones: gpd.GeoDataFrame) -> Found:  # type: ignore[override]
        """Work a partition."""
        return Found(os.getpid(), super().work(number, zones).totals)


@dataclass(frozen=True)
class Bare(WholeSites):
    """Reading, measuring and writing alone."""

    def work(self, number: int, zones: gpd.GeoDataFrame) -> Found:  # type: ignore[override]
        """Measure a partition."""
        outlines = np.asarray(zones.geometry.array, dtype=object)
        area, side = ellipsoid.areas(outlines), ellipsoid.perimeters(outlines)
        rows = zones.assign(outline_area_m2=area, perimeter_m=side)
        partitions.write(self.out, partitions.ZONES, number, rows)
        row = {"by": "all", "area_m2": area.sum(), "amount": side.sum(), "sites": 1.0}
        totals = pd.DataFrame([dict.fromkeys(BY, "") | row])
        return Found(os.getpid(), totals.reindex(columns=joined([]).columns, fill_value=0.0))


def made(folder: Path, many: int) -> list[int]:
    """Write partitions of invented zones with what stands in them; return their numbers."""
    for number, begin in enumerate(range(0, many, PARTITION)):
        zones = table(min(PARTITION, many - begin), number)
        partitions.write(folder, partitions.ZONES, number, zones)
        partitions.write(folder, partitions.FEATURES, number, things(zones, number))
    return partitions.numbers(folder)


def things(zones: gpd.GeoDataFrame, seed: int) -> gpd.GeoDataFrame:
    """Return two beds and a tree in each zone of every fourth site, well within the lawn."""
    rng = np.random.default_rng(seed)
    here = zones[(np.arange(len(zones)) // A_SITE) % WITH_THINGS == 0]
    middle = np.repeat(shapely.get_coordinates(shapely.centroid(here.geometry.array)), 3, axis=0)
    place = shapely.points(middle + rng.uniform(-LEAST_REACH / 2, LEAST_REACH / 2, middle.shape))
    bed = np.tile([True, True, False], len(here))
    shapes = np.array(place, dtype=object)
    shapes[bed] = shapely.buffer(shapes[bed], LEAST_REACH / 8, quad_segs=2)
    return no_features().reindex(range(len(shapes))).assign(
        feature=np.where(bed, "bed", "tree").astype(object),
        site_id=np.repeat(here["site_id"].to_numpy(), 3),
        stem_m=np.where(bed, np.nan, 0.3),
        geometry=gpd.GeoSeries(shapes, crs="OGC:CRS84"),
    )  # fmt: skip


@contextlib.contextmanager
def one_core() -> Iterator[None]:
    """Hold this process to one core, and Arrow to one thread."""
    before, threads = os.sched_getaffinity(0), (pa.cpu_count(), pa.io_thread_count())
    os.sched_setaffinity(0, {min(before)})
    pa.set_cpu_count(1)
    pa.set_io_thread_count(1)
    yield
    os.sched_setaffinity(0, before)
    pa.set_cpu_count(threads[0])
    pa.set_io_thread_count(threads[1])


def by_one(numbers: list[int], task: Whole | Bare) -> tuple[float, pd.DataFrame]:
    """Return the time that one process takes [s], and its sums."""
    began = time.perf_counter()
    with one_core():
        totals = joined(found.totals for found in local.run(numbers, task))
    return time.perf_counter() - began, totals


def by_two(
    numbers: list[int], task: Whole | Bare, *, kill: bool = False
) -> tuple[float, pd.DataFrame]:
    """Return the time that a cluster takes [s], and its sums; one of its workers may be killed."""
    began, parts = time.perf_counter(), []
    for found in cluster.run(numbers, task, workers=WORKERS):
        parts.append(found.totals)
        if kill and len(parts) == max(len(numbers) // 2, 1):
            os.kill(found.pid, signal.SIGKILL)
    return time.perf_counter() - began, joined(parts)


def same(one: pd.DataFrame, other: pd.DataFrame) -> float:
    """Return by how much sums differ at the most, as a share of each; stop when they do."""
    keys, figures = list(BY), [name for name in one.columns if name not in BY]
    if not one[keys].equals(other[keys]):
        sys.exit("not the same rows")
    mine, theirs = (each[figures].to_numpy(dtype=float) for each in (one, other))
    differs = np.abs(mine - theirs) / np.maximum(np.abs(mine), 1e-300)
    apart = float(np.max(differs[~np.isnan(mine)], initial=0))
    if not apart <= SAME or (np.isnan(mine) != np.isnan(theirs)).any():
        sys.exit(f"not the same: {apart}")
    return apart


def compared(kind: type[Whole | Bare], source: Path, numbers: list[int], runs: int) -> None:
    """Time both in turn and print the ratio of the medians."""
    asked, many = replace(terms(), lines=True), sum(_rows(source, number) for number in numbers)
    times: tuple[list[float], list[float]] = ([], [])
    apart = 0.0
    for _ in range(runs):
        with _out() as one, _out() as two:
            alone, totals = by_one(numbers, kind(source, one, asked))
            beside, others = by_two(numbers, kind(source, two, asked))
        apart = max(apart, same(totals, others))
        for each, spent in zip(times, (alone, beside), strict=True):
            each.append(spent)
    slow, quick = map(statistics.median, times)
    print(
        f"{kind.__name__.lower()}, {many:,} zones, {len(numbers)} partitions: one core {slow:.1f} s"
        f" ({slow / many * 1e6:.1f} µs a zone), {WORKERS} workers {quick:.1f} s:"
        f" {slow / quick:.2f} times; {len(totals)} sums apart by {apart:.1e} at the most"
    )
    if kind is Whole:
        with _out() as out:
            spent, others = by_two(numbers, kind(source, out, asked), kill=True)
        print(f"one worker killed: {spent:.1f} s, apart by {same(totals, others):.1e}")


def _rows(source: Path, number: int) -> int:
    return int(pq.read_metadata(partitions.path_of(source, "zones", number)).num_rows)


@contextlib.contextmanager
def _out() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="lawnmap-") as name:
        yield Path(name)


def main() -> None:
    """Make the partitions and print both comparisons."""
    parser = argparse.ArgumentParser()
    parser.add_argument("zones", nargs="?", type=int, default=1_000_000)
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    with _out() as source:
        numbers = made(source, asked.zones)
        kinds: Iterable[type[Whole | Bare]] = (Whole, Bare)
        for kind in kinds:
            compared(kind, source, numbers, asked.runs)


if __name__ == "__main__":
    main()
