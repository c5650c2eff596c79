"""Measure, choose and quantities of very many zones, against the area of the same zones in a grid.

Run from a checkout: ``python docs/benchmarks/zones.py [SIZES …] [--streamed ZONES]``, by default
10,000, 100,000 and 1,000,000 zones. The peer is what is written first with geopandas:
``to_crs(6933).area``, an equal-area grid, and nothing but the area. Both get the same invented
outlines of 5 to 40 corners, twenty zones to a site; ours goes through partitions of whole sites as
``lawnmap sites`` does, to the sums of each site. Printed are processor time, the ratio, the growth
from size to size and the memory that ours takes on top of the table. ``--streamed`` makes the zones
partition by partition, so that the whole never is in memory, and prints the most memory used.
"""

from __future__ import annotations

import argparse
import datetime as dt
import math
import resource
import statistics
import time
from collections.abc import Iterator
from pathlib import Path

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from lawnmap import schema
from lawnmap.jobs.choices import choices
from lawnmap.jobs.opening import open_site
from lawnmap.jobs.sites.partition import Terms, worked

PARTITION = 50_000
A_SITE = 20
SAMPLE = Path(__file__).resolve().parents[2] / "sample_geo" / "site"
WORDS = {
    "drainage": ("free", "slow", "stands wet"),
    "compaction": ("easy", "hard", "will not go in"),
    "wear": ("light", "moderate", "heavy"),
}

Shapes = npt.NDArray[np.object_]


def outlines(many: int, seed: int) -> Shapes:
    """Return invented lawns of 4 to 25 m across, 5 to 40 corners, all over Great Britain."""
    rng = np.random.default_rng(seed)
    corners = rng.integers(5, 41, many)
    first = np.cumsum(corners) - corners
    owner = np.repeat(np.arange(many), corners)
    turn = (np.arange(len(owner)) - first[owner] + rng.uniform(0, 0.6, len(owner))) / corners[owner]
    reach = rng.uniform(4, 25, many)[owner] * rng.uniform(0.8, 1.0, len(owner))
    longitude, latitude = rng.uniform(-5, 1.5, many), rng.uniform(50.5, 56, many)
    east = reach * np.cos(2 * np.pi * turn) / (111_320 * np.cos(np.radians(latitude[owner])))
    north = reach * np.sin(2 * np.pi * turn) / 111_290
    points = np.column_stack([longitude[owner] + east, latitude[owner] + north])
    return np.asarray(shapely.polygons(shapely.linearrings(points, indices=owner)), dtype=object)


def table(many: int, seed: int) -> gpd.GeoDataFrame:
    """Return a table of invented zones with ratings, as the bulk door hands it on."""
    rng = np.random.default_rng(seed + 1)
    data: dict[str, object] = {
        column.name: pd.Series(
            np.full(many, None if column.dtype == "object" else np.nan), dtype=column.dtype
        )
        for column in schema.facts("zones")
    }
    number = np.arange(many)
    data |= {
        "zone_id": pd.Series([f"z{each}" for each in number], dtype=object),
        "site_id": pd.Series([f"s{seed}-{each // A_SITE}" for each in number], dtype=object),
        "region": pd.Series(np.full(many, "north"), dtype=object),
        "depot": pd.Series(np.full(many, ""), dtype=object),
        "moss_rating": rng.integers(0, 6, many).astype(float),
        "thatch_rating": rng.integers(0, 4, many).astype(float),
        "cut_height_mm": np.round(rng.uniform(15, 60, many)),
        "slope_seen_deg": np.round(rng.uniform(0, 12, many)),
    }
    for name, words in WORDS.items():
        data[name] = pd.Series(rng.choice(np.array(words, dtype=object), many), dtype=object)
    return gpd.GeoDataFrame(data, geometry=outlines(many, seed), crs="OGC:CRS84")


def terms() -> Terms:
    """Return the choices of the sample site, for all zones."""
    today = dt.date(2026, 9, 1)
    opened = open_site(SAMPLE)
    found = choices(opened, depot=None, personal=Path("nowhere"), today=today)
    return Terms(type(found)(found.choices, found.products, found.machines))


def ours(zones: gpd.GeoDataFrame, asked: Terms) -> tuple[float, float]:
    """Work out a table in partitions; return its ground [m²] and its product [g or ml]."""
    nothing = no_features()
    ground, amount = [], []
    for begin in range(0, len(zones), PARTITION):
        part = worked(zones.iloc[begin : begin + PARTITION].reset_index(drop=True), nothing, asked)
        ground.append(math.fsum(part.zones["ground_area_m2"]))
        amount.append(math.fsum(part.needs["amount"]))
    return math.fsum(ground), math.fsum(amount)


def no_features() -> gpd.GeoDataFrame:
    """Return the table of other things mapped, without a row."""
    columns = {each.name: pd.Series([], dtype=each.dtype) for each in schema.facts("features")}
    site = {"site_id": pd.Series([], dtype=object)}
    return gpd.GeoDataFrame(columns | site, geometry=[], crs="OGC:CRS84")


def timed(sizes: list[int], runs: int) -> None:
    """Print time, ratio and growth for tables of several sizes."""
    asked, before = terms(), None
    ours(table(1_000, 0), asked)  # imports and reference tables are read once
    for many in sizes:
        zones = table(many, 7)
        peer, own = [], []
        started = _memory_mb()
        for _ in range(runs):
            began = time.process_time()
            area = float(zones.geometry.to_crs(6933).area.sum())
            peer.append(time.process_time() - began)
            began = time.process_time()
            ground, amount = ours(zones, asked)
            own.append(time.process_time() - began)
        quick, slow = statistics.median(own), statistics.median(peer)
        growth = (
            ""
            if before is None
            else (f", grown by n^{math.log(quick / before[1]) / math.log(many / before[0]):.2f}")
        )
        print(
            f"{many:>9,} zones: ours {quick:.2f} s ({quick / many * 1e6:.1f} µs a zone), "
            f"to_crs(6933).area {slow:.2f} s: {quick / slow:.2f} times{growth}; "
            f"{_memory_mb() - started:.0f} MB more; {area:,.0f} m² flat, {ground:,.0f} m² of "
            f"ground, {amount:,.0f} g, ml and l of everything"
        )
        before = many, quick


def streamed(many: int) -> None:
    """Work out zones that are made partition by partition, and print the most memory used."""
    asked, ground, began = terms(), [], time.process_time()
    for seed, zones in _made(many):
        ground.append(ours(zones, asked)[0])
        if seed in (1, 10) or len(zones) < PARTITION:
            print(f"  after {(seed + 1) * PARTITION:,} zones: {_memory_mb():.0f} MB at the most")
    spent = time.process_time() - began
    print(
        f"{many:,} zones streamed: {math.fsum(ground):,.0f} m² of ground, {_memory_mb():.0f} MB "
        f"at the most, {spent:.0f} s with making them"
    )


def _made(many: int) -> Iterator[tuple[int, gpd.GeoDataFrame]]:
    for seed, begin in enumerate(range(0, many, PARTITION)):
        yield seed, table(min(PARTITION, many - begin), seed)


def _memory_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main() -> None:
    """Read the sizes and print."""
    parser = argparse.ArgumentParser()
    parser.add_argument("sizes", nargs="*", type=int)
    parser.add_argument("--streamed", type=int)
    parser.add_argument("--runs", type=int, default=5)
    asked = parser.parse_args()
    if asked.streamed:
        streamed(asked.streamed)
    else:
        timed(asked.sizes or [10_000, 100_000, 1_000_000], asked.runs)


if __name__ == "__main__":
    main()
