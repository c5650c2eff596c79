"""How high the ground lies at any place of a site, and which way a zone falls."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.found import Heights
from lawnmap.geometry import surface
from lawnmap.geometry.frame import Frame

Floats = npt.NDArray[np.float64]

LEAST_M2 = 1e-4  # of a triangle between heights that has a slope


class Fall(NamedTuple):
    """How steep ground is, and which way it falls, clockwise from north; NaN when level [°]."""

    slope_deg: float
    aspect_deg: float


LEVEL = Fall(0.0, np.nan)


class Levels:
    """Ground between known heights: plain triangles, and beyond them as the nearest height.

    Without heights all ground lies at 0.

    Parameters
    ----------
    heights : Heights or None
    frame : Frame
        In which places are asked for.
    """

    def __init__(self, heights: Heights | None, frame: Frame) -> None:
        self.frame = frame
        self.points = np.empty((0, 3))
        if heights is not None:
            known = heights.points[np.isfinite(heights.points).all(axis=1)]
            self.points = np.column_stack([frame.to_metres(known[:, :2]), known[:, 2]])
        spots = np.asarray(shapely.points(self.points[:, :2]), dtype=object)
        self._spots = shapely.STRtree(spots)
        net = shapely.delaunay_triangles(shapely.multipoints(self.points))
        triangles = shapely.get_parts(net)
        triangles = triangles[shapely.area(triangles) > LEAST_M2]
        self._triangles = shapely.STRtree(triangles)
        corners = shapely.get_coordinates(triangles, include_z=True).reshape(-1, 4, 3)
        self._corner = corners[:, 0]
        self._normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])

    def at(self, xy: Floats) -> Floats:
        """Return the height of the ground at (n, 2) places [m]."""
        if not len(self.points):
            return np.zeros(len(xy))
        places = shapely.points(xy)
        level: Floats = self.points[self._spots.nearest(places), 2]
        place, within = self._triangles.query(places, predicate="intersects")
        normal, corner = self._normal[within], self._corner[within]
        rise = ((xy[place] - corner[:, :2]) * normal[:, :2]).sum(axis=1) / normal[:, 2]
        level[place] = corner[:, 2] - rise
        return level

    def fall(self, xy: Floats) -> Fall:
        """Return the fall of the plane that fits the ground best at some places."""
        try:
            plane = surface.plane(np.column_stack([xy, self.at(xy)]))
        except ValueError:
            return LEVEL
        if plane.slope_deg == 0:
            return LEVEL
        return Fall(plane.slope_deg, float(np.degrees(np.arctan2(-plane.east, -plane.north)) % 360))
