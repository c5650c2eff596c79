"""True area and perimeter of many lawns, as a share of what a projection to a map grid takes.

Run from a checkout: ``python docs/benchmarks/areas.py [ZONES ...] [--rounds N]``, by default
10,000, 100,000 and 1,000,000 zones in five rounds. The peer is what is done by hand with geopandas:
``estimate_utm_crs``, ``to_crs``, ``area`` and ``length``. Both get the same invented polygons and
take turns; the time is that of the processor, and the median of the rounds is told. On top of that
come how the time grows, what memory is needed over the polygons themselves, how far from
geographiclib the result is, and how much longer than it takes merely to read the corners.
"""

from __future__ import annotations

import argparse
import time
import tracemalloc
from collections.abc import Callable

import geopandas as gpd
import numpy as np
import numpy.typing as npt
import shapely
from geographiclib.geodesic import Geodesic

from lawnmap.geometry.ellipsoid import measured

SIZES = [10_000, 100_000, 1_000_000]
ROUNDS = 5
SAMPLE = 5_000
READ = 100_000  # zones, whose corners no processor's cache holds

Shapes = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]


def lawns(many: int) -> Shapes:
    """Return invented lawns of 5 to 40 corners and 50 to 2,000 m², strewn over 600 km."""
    rng = np.random.default_rng(8)
    corners = rng.integers(5, 41, many)
    own = np.repeat(np.arange(many), corners)
    number = np.arange(len(own)) - np.repeat(np.cumsum(corners) - corners, corners)
    angle = 2 * np.pi * (number + rng.uniform(-0.3, 0.3, len(own))) / corners[own]
    reach = rng.uniform(4, 25, many)[own] * rng.uniform(0.8, 1.2, len(own)) / 111_200
    longitude, latitude = rng.uniform(-5, 1.5, many)[own], rng.uniform(50.5, 56, many)[own]
    east = reach * np.cos(angle) / np.cos(np.radians(latitude))
    points = np.column_stack([longitude + east, latitude + reach * np.sin(angle)])
    return np.asarray(shapely.polygons(shapely.linearrings(points, indices=own)), dtype=object)


def by_grid(table: gpd.GeoSeries) -> tuple[Floats, Floats]:
    """Return areas and perimeters on the map grid that geopandas picks."""
    flat = table.to_crs(table.estimate_utm_crs())
    return flat.area.to_numpy(), flat.length.to_numpy()


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time of some work."""
    began = time.process_time()
    work()
    return time.process_time() - began


def off(outlines: Shapes) -> tuple[float, float]:
    """Return the largest difference to geographiclib: of an area, as a share of what is allowed.

    Allowed are 1e-4 m² and 1e-8 of the area: on small lawns geographiclib's own round-off reaches
    7.5e-5 m². Of a perimeter it is the share itself.
    """
    truth = []
    for outline in outlines:
        ring = Geodesic.WGS84.Polygon()
        for longitude, latitude in shapely.get_coordinates(outline)[:-1]:
            ring.AddPoint(latitude, longitude)
        truth.append(ring.Compute()[1:])
    around, area = np.array(truth).T
    areas, perimeters = measured(outlines)
    allowed = 1e-4 + 1e-8 * area
    return float((np.abs(areas - area) / allowed).max()), float(
        np.abs(perimeters / around - 1).max()
    )


def memory_mb(outlines: Shapes) -> float:
    """Return the most memory that the work holds at a time, its result included."""
    tracemalloc.start()
    measured(outlines)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return most / 1e6


def one_size(many: int, rounds: int) -> float:
    """Time one size, print a line, and return the seconds a run takes."""
    outlines = lawns(many)
    table = gpd.GeoSeries(outlines, crs="OGC:CRS84")
    ours, peers = [], []
    for _ in range(rounds):
        ours.append(seconds(lambda: measured(outlines)))
        peers.append(seconds(lambda: by_grid(table)))
    mine, peer = float(np.median(ours)), float(np.median(peers))
    print(
        f"{many:>9,} zones: {mine:.3f} s, geopandas {peer:.3f} s: {mine / peer:.3f} of it; "
        f"{memory_mb(outlines):.0f} MB more memory"
    )
    return mine


def how_near_to_reading(rounds: int) -> None:
    """Print how much longer the work takes than a sum and a copy of all corners."""
    outlines = lawns(READ)
    points = shapely.get_coordinates(outlines)
    work, total, copied, taken = (
        float(np.median([seconds(each) for _ in range(rounds)]))
        for each in (
            lambda: measured(outlines),
            points.sum,
            points.copy,
            lambda: shapely.get_coordinates(outlines),
        )
    )
    print(
        f"A sum of all corners takes {total / work:.3f} of the time, a copy {copied / work:.3f}, "
        f"to get them out of the polygons {taken / work:.2f}."
    )


def main() -> None:
    """Time all sizes and print what is told above."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("zones", nargs="*", type=int, default=SIZES)
    asked.add_argument("--rounds", type=int, default=ROUNDS)
    given = asked.parse_args()
    times = [one_size(many, given.rounds) for many in given.zones]
    if len(times) > 1:
        grown = np.polyfit(np.log(given.zones), np.log(times), 1)[0]
        print(f"The time grows with the {grown:.2f}th power of the zones.")
    area, perimeter = off(lawns(SAMPLE))
    print(
        f"Largest difference to geographiclib, {SAMPLE:,} zones: {area:.2f} of 1e-4 m² + 1e-8 of "
        f"the area, {perimeter:.1e} of the perimeter."
    )
    how_near_to_reading(given.rounds)


if __name__ == "__main__":
    main()
