"""Obstacles taken out of many lawns, as a share of what ``geopandas.overlay`` takes.

Run from a checkout: ``python docs/benchmarks/obstacles.py [ZONES ...] [--rounds N]``, 100,000 zones
by default, in five rounds. Both get the same invented lawns with three beds each, some of which
reach over the edge or lap over one another, and take turns; the time is that of the processor, and
the median of the rounds is told. Every area must be the same to 1e-9.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.ellipsoid import areas
from lawnmap.geometry.overlay import without

SIZES = [100_000]
ROUNDS = 5
BEDS = 3
SAME = 1e-9

Shapes = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]


def round_about(middles: Floats, reach_m: Floats, corners: int) -> Shapes:
    """Return a polygon of so many corners about each middle, in longitude and latitude."""
    angle = 2 * np.pi * np.arange(corners) / corners
    rng = np.random.default_rng(len(middles))
    reach = reach_m[:, None] * rng.uniform(0.8, 1.1, (len(middles), corners)) / 111_200
    east = reach * np.cos(angle) / np.cos(np.radians(middles[:, 1:]))
    points = np.stack([middles[:, :1] + east, middles[:, 1:] + reach * np.sin(angle)], axis=2)
    return np.asarray(shapely.polygons(points), dtype=object)


def gardens(many: int) -> tuple[Shapes, Shapes]:
    """Return invented lawns of some hundred square metres, and their beds."""
    rng = np.random.default_rng(9)
    middles = np.column_stack([rng.uniform(-5, 1.5, many), rng.uniform(50.5, 56, many)])
    reach = rng.uniform(6, 20, many)
    away = np.repeat(reach, BEDS) * rng.uniform(0.1, 1.0, BEDS * many) / 111_200
    angle = rng.uniform(0, 2 * np.pi, BEDS * many)
    beds = np.repeat(middles, BEDS, axis=0)
    beds[:, 0] += away * np.cos(angle) / np.cos(np.radians(beds[:, 1]))
    beds[:, 1] += away * np.sin(angle)
    return round_about(middles, reach, 20), round_about(beds, rng.uniform(0.5, 2, len(beds)), 8)


def by_overlay(lawns: gpd.GeoDataFrame, beds: gpd.GeoDataFrame) -> Shapes:
    """Return what is left of each lawn."""
    left = gpd.overlay(lawns, beds, how="difference", keep_geom_type=True)
    return np.asarray(left.geometry.array, dtype=object)


def timed(work: Callable[[], Shapes]) -> tuple[float, Shapes]:
    """Return the processor time of some work [s], and what it found."""
    began = time.process_time()
    found = work()
    return time.process_time() - began, found


def one_size(many: int, rounds: int) -> None:
    """Time one size and print a line."""
    lawns, beds = gardens(many)
    lawn_table = gpd.GeoDataFrame(geometry=lawns, crs="OGC:CRS84")
    bed_table = gpd.GeoDataFrame(geometry=beds, crs="OGC:CRS84")
    ours, peers = [], []
    for _ in range(rounds):
        mine, left = timed(lambda: without(lawns, beds))
        peer, also = timed(lambda: by_overlay(lawn_table, bed_table))
        ours.append(mine)
        peers.append(peer)
    left_m2, also_m2 = areas(left), areas(also)
    if len(left) != len(also) or (np.abs(left_m2 - also_m2) > SAME * also_m2).any():
        sys.exit("not the same areas")
    quick, slow = float(np.median(ours)), float(np.median(peers))
    print(
        f"{many:>9,} zones, {BEDS} beds each: {quick:.2f} s, geopandas.overlay {slow:.2f} s: "
        f"{quick / slow:.2f} of it; areas within {np.abs(left_m2 / also_m2 - 1).max():.0e}"
    )


def main() -> None:
    """Time all sizes."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("zones", nargs="*", type=int, default=SIZES)
    asked.add_argument("--rounds", type=int, default=ROUNDS)
    given = asked.parse_args()
    for many in given.zones:
        one_size(many, given.rounds)


if __name__ == "__main__":
    main()
