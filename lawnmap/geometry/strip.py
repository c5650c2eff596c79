"""Strips along things: the ground of a zone that is farther from them than so many metres."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import about

Shapes = npt.NDArray[np.object_]

SEGMENTS = 16  # to a quarter circle: a strip is never narrower than 99.5 % of its width


def outside_strip(zones: Shapes, things: Shapes, width_m: float) -> Shapes:
    """Return what is left of each zone beyond `width_m` of any of the things.

    Parameters
    ----------
    zones : (n,) array of polygons
        Longitude/latitude [°].
    things : (m,) array of shapes of any kind
        Longitude/latitude [°].
    width_m : float
        Width of the strip [m].
    """
    result = zones.copy()
    if not len(things) or width_m <= 0:
        return result
    for index, zone in enumerate(zones):
        if zone.is_empty:
            continue
        frame = about(zone)
        flat = frame.flat(np.array([zone, *things], dtype=object))
        near = [each for each in flat[1:] if shapely.dwithin(each, flat[0], width_m)]
        if near:
            # The circle of a buffer is a polygon inside the true one; widen it to hold it.
            wide = width_m / np.cos(np.pi / 4 / SEGMENTS)
            strip = shapely.union_all(shapely.buffer(near, wide, quad_segs=SEGMENTS))
            result[index] = frame.round(np.array([shapely.difference(flat[0], strip)]))[0]
    return result


def disc(longitude: float, latitude: float, radius_m: float) -> BaseGeometry:
    """Return a circle of the true area on the ground, as a polygon in longitude/latitude."""
    frame = about(shapely.Point(longitude, latitude))
    n = 4 * SEGMENTS
    equal_area = radius_m * np.sqrt(2 * np.pi / n / np.sin(2 * np.pi / n))
    angle = 2 * np.pi * np.arange(n) / n
    corners = equal_area * np.column_stack([np.cos(angle), np.sin(angle)])
    return shapely.Polygon(frame.to_lonlat(corners))
