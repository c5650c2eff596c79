"""What of each zone is lawn, counted once: zones that overlap, and obstacles that lie in them.

Everything is done in longitude and latitude, where the sides of an outline are straight by the
standard (RFC 7946, 3.1.1); areas are then taken on the ellipsoid.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.ellipsoid import areas

Shapes = npt.NDArray[np.object_]


class Overlap(NamedTuple):
    """Two zones that share ground, by their places in the table."""

    first: int
    second: int
    area_m2: float


# Neighbours that share a line differ by round-off; below this no one would see an overlap.
LEAST_OVERLAP_M2 = 0.01
AMISS = 1e-9  # of an area
GRID_DEG = 1e-10  # about 0.01 mm


def overlaps(zones: Shapes) -> list[Overlap]:
    """Return every pair of zones that share more than 0.01 m², in table order."""
    if len(zones) < 2:  # noqa: PLR2004 - a pair
        return []
    first, second = shapely.STRtree(zones).query(zones, predicate="intersects")
    pair = first < second
    first, second = first[pair], second[pair]
    shared = areas(_polygons_only(shapely.intersection(zones[first], zones[second])))
    found = [
        Overlap(int(i), int(j), float(area))
        for i, j, area in zip(first, second, shared, strict=True)
        if area > LEAST_OVERLAP_M2
    ]
    return sorted(found)


def counted_once(zones: Shapes, pairs: list[Overlap]) -> Shapes:
    """Return the zones with shared ground left in the zone higher up the table only."""
    result = zones.copy()
    for second in sorted({pair.second for pair in pairs}):
        before = np.array([result[pair.first] for pair in pairs if pair.second == second])
        result[second] = _less(zones[second], before)
    return result


def without(zones: Shapes, obstacles: Shapes) -> Shapes:
    """Return the zones with every obstacle taken out.

    Parameters
    ----------
    zones : (n,) array of polygons
    obstacles : (m,) array of polygons
        May overlap each other; each square metre is taken out once.
    """
    result = zones.copy()
    if not len(zones) or not len(obstacles):
        return result
    zone, obstacle = shapely.STRtree(obstacles).query(zones, predicate="intersects")
    for index in np.unique(zone):
        result[index] = _less(zones[index], obstacles[obstacle[zone == index]])
    return result


def _less(zone: BaseGeometry, others: Shapes) -> BaseGeometry:
    """Return a zone without some other shapes.

    Where two outlines all but share a side, GEOS (3.14) now and then returns a wrong shape without
    a word. So what is left and what went are held against the whole, and done again on a grid of
    a hundredth of a millimetre when they are not it.
    """
    out = shapely.union_all(others)
    left, gone = shapely.difference(zone, out), shapely.intersection(zone, out)
    taken = shapely.area(shapely.intersection(zone, others))
    whole = abs(left.area + gone.area - zone.area) <= AMISS * zone.area
    if (
        whole
        and taken.max() <= gone.area + AMISS * zone.area <= taken.sum() + 2 * AMISS * zone.area
    ):
        return left
    out = shapely.union_all(others, grid_size=GRID_DEG)
    return shapely.difference(zone, out, grid_size=GRID_DEG)


def _polygons_only(shapes: Shapes) -> Shapes:
    """Drop the lines and points in which neighbours merely touch."""
    return np.array(
        [
            shapely.union_all([part for part in shapely.get_parts(each) if part.area > 0])
            for each in shapes
        ],
        dtype=object,
    )
