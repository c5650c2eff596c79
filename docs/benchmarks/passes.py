"""Lines in many zones: the scan line against a plain loop of intersections, as a ratio.

Run from a checkout: ``python docs/benchmarks/passes.py [ZONES]``, 10,000 by default. Both get the
same invented zones, a fifth of them with a hole, and the same lines 0.38 m apart. The loop makes
the lines of a zone and cuts them by it in one call of GEOS, which is how it is done by hand; both
must find the same length of line to a millimetre in a kilometre.

A second line gives the whole step for many sites, ``geometry.passes.many``, against the exact
setting out of one zone at a time, ``geometry.passes.laying``, on a share of the zones: how much
faster it is, and how far its length and its turns are off.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from typing import TypeVar

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.passes.laying import lay
from lawnmap.geometry.passes.many import counted
from lawnmap.geometry.passes.scanline import Grid, edges, scan

STEP_M = 0.38
ZONES = 10_000
LAID = 50  # one zone in so many is set out exactly too
RUNS = 5
SAME = 1e-6

Shapes = npt.NDArray[np.object_]
Found = TypeVar("Found")


def zones(many: int) -> Shapes:
    """Return invented lawns of 50 to 1,500 m²: stars with rounded corners, some with a hole."""
    rng = np.random.default_rng(12)
    found = []
    for place in range(many):
        angle = np.sort(rng.uniform(0, 2 * np.pi, 9))
        radius = rng.uniform(5, 20) * rng.uniform(0.6, 1, 9)
        points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
        shape = shapely.buffer(shapely.convex_hull(shapely.multipoints(points)), 1, quad_segs=3)
        hole = shapely.buffer(shapely.Point(rng.uniform(-2, 2, 2)), 1, quad_segs=3)
        found.append(shapely.difference(shape, hole) if place % 5 == 0 else shape)
    return np.array(found, dtype=object)


def by_scan(areas: Shapes) -> tuple[float, int]:
    """Return the length of all lines, and their number, by the scan line."""
    west_south_east_north = shapely.bounds(areas)
    first = west_south_east_north[:, 1] + STEP_M / 2
    count = np.ceil((west_south_east_north[:, 3] - first) / STEP_M).astype(np.intp)
    found = scan(edges(areas), Grid(first, np.full(len(areas), STEP_M), count))
    return float((found.right - found.left).sum()), len(found.line)


def by_loop(areas: Shapes) -> tuple[float, int]:
    """Return the same by one intersection a zone."""
    length, many = 0.0, 0
    for area in areas:
        west, south, east, north = area.bounds
        y = np.arange(south + STEP_M / 2, north, STEP_M)
        lines = [((west - 1, each), (east + 1, each)) for each in y]
        cut = shapely.intersection(shapely.MultiLineString(lines), area)
        length += cut.length
        many += shapely.get_num_geometries(cut)
    return length, many


def timed(work: Callable[[], Found]) -> tuple[float, Found]:
    """Return the processor time of some work [s], and what it found."""
    began = time.process_time()
    found = work()
    return time.process_time() - began, found


def scan_against_loop(areas: Shapes) -> None:
    """Time both in turn and print the ratio of the medians."""
    runs = [(timed(lambda: by_scan(areas)), timed(lambda: by_loop(areas))) for _ in range(RUNS)]
    (_, (length, many)), (_, (other, also)) = runs[0]
    if abs(length / other - 1) > SAME:
        sys.exit(f"not the same: {length:.3f} m in {many}, {other:.3f} m in {also}")
    quick, slow = (statistics.median(run[place][0] for run in runs) for place in (0, 1))
    print(f"{len(areas)} zones, {many} lines, {length / 1000:.1f} km")
    print(f"scan line {quick:.2f} s, loop {slow:.2f} s: {slow / quick:.1f} times")


def whole_step(areas: Shapes) -> None:
    """Time the step for many sites against the exact setting out of single zones."""
    spent, found = timed(lambda: counted(areas, np.full(len(areas), STEP_M)))
    exact, laid = timed(lambda: [lay(area, STEP_M) for area in areas[::LAID]])
    length = sum(each.length_m for each in laid) / found.length_m[::LAID].sum()
    turns = sum(each.turns for each in laid) / found.turns[::LAID].sum()
    one, other = spent / len(areas) * 1e6, exact / len(laid) * 1e6
    print(
        f"whole step: {one:.0f} µs a zone, set out exactly {other:.0f} µs: {other / one:.0f} times;"
        f" length {100 / length - 100:+.2f} %, turns {100 / turns - 100:+.2f} %"
    )


def main() -> None:
    """Print both lines."""
    areas = zones(int(sys.argv[1]) if len(sys.argv) > 1 else ZONES)
    scan_against_loop(areas)
    whole_step(areas)


if __name__ == "__main__":
    main()
