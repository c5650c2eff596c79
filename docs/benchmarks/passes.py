"""Lines in many zones: the scan line against a plain loop of intersections, as a ratio.

Run from a checkout: ``python docs/benchmarks/passes.py [ZONES]``, 10,000 by default. Both get the
same invented zones, a fifth of them with a hole, and the same lines 0.38 m apart. The loop makes
the lines of a zone and cuts them by it in one call of GEOS, which is how it is done by hand; both
must find the same length of line to a millimetre in a kilometre.
"""

from __future__ import annotations

import sys
import time

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.passes.scanline import Grid, edges, scan

STEP_M = 0.38
ZONES = 10_000
SAME = 1e-6

Shapes = npt.NDArray[np.object_]


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


def main() -> None:
    """Time both, the scan line twice and the better taken, and print the ratio."""
    areas = zones(int(sys.argv[1]) if len(sys.argv) > 1 else ZONES)
    scans, loops = [], []
    for _ in range(2):
        began = time.process_time()
        length, many = by_scan(areas)
        scans.append(time.process_time() - began)
        began = time.process_time()
        other, also = by_loop(areas)
        loops.append(time.process_time() - began)
    if abs(length / other - 1) > SAME:
        sys.exit(f"not the same: {length:.3f} m in {many}, {other:.3f} m in {also}")
    quick, slow = min(scans), min(loops)
    print(f"{len(areas)} zones, {many} lines, {length / 1000:.1f} km")
    print(f"scan line {quick:.2f} s, loop {slow:.2f} s: {slow / quick:.1f} times")


if __name__ == "__main__":
    main()
