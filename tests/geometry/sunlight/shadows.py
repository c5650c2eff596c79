"""Hours of sun the slow way: the shadow of everything, drawn as a polygon for every moment.

Independent of the package's method: no bearings, no bins, no horizons. The shadow that a convex
prism throws on a level is the hull of its base's shadow and of its top's; a point's light is the
product of what the shadows over it let through (geo.md 5.4 a).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely

from lawnmap.geometry.sunlight.obstacle import Obstacle
from lawnmap.geometry.sunlight.path import SunPath
from lawnmap.geometry.sunlight.points import Points


class Prisms(NamedTuple):
    """Convex prisms; the corners of all in one row."""

    xy: np.ndarray
    of: np.ndarray
    base_m: np.ndarray
    top_m: np.ndarray
    through: np.ndarray


def slow_hours(points: Points, sun: SunPath, obstacles: Sequence[Obstacle]) -> np.ndarray:
    """Return the hours of each point, level by level."""
    hours = np.zeros(len(points.xyz))
    for height in np.unique(points.xyz[:, 2]):
        mine = np.flatnonzero(points.xyz[:, 2] == height)
        level = Points(*(column[mine] for column in points))
        hours[mine] = _on_level(level, sun, _prisms(obstacles, height))
    return hours


def _prisms(obstacles: Sequence[Obstacle], height: float) -> Prisms:
    """Return what stands above a level, heights from there; what has a bay is cut in triangles."""
    parts = []
    for footprint, base, top, through in obstacles:
        convex = np.isclose(footprint.convex_hull.area, footprint.area, rtol=1e-9)
        assert convex or through == 0, "a shadow in pieces would be counted more than once"
        pieces = (
            [footprint]
            if convex
            else shapely.get_parts(shapely.constrained_delaunay_triangles(footprint))
        )
        parts += [(piece, max(base - height, 0), top - height, through) for piece in pieces]
    footprints, base, top, through = zip(*(part for part in parts if part[2] > 0), strict=True)
    xy, of = shapely.get_coordinates(np.array(footprints), return_index=True)
    return Prisms(xy, of, np.array(base), np.array(top), np.array(through))


def _on_level(points: Points, sun: SunPath, prisms: Prisms) -> np.ndarray:
    tree = shapely.STRtree(shapely.points(points.xyz[:, :2]))
    hours = np.zeros(len(points.xyz))
    up = sun.elevation_deg > 0
    for azimuth, elevation, step in zip(*(column[up] for column in sun), strict=True):
        light = faces(points, azimuth, elevation).astype(float)
        which, point = tree.query(shadows(prisms, azimuth, elevation), predicate="contains")
        np.multiply.at(light, point, prisms.through[which])
        hours += step * light
    return hours


def shadows(prisms: Prisms, azimuth: float, elevation: float) -> np.ndarray:
    """Return the shadow of each prism on the level."""
    away = -np.array([np.sin(np.radians(azimuth)), np.cos(np.radians(azimuth))])
    away /= np.tan(np.radians(elevation))
    ends = [prisms.xy + height[prisms.of, None] * away for height in (prisms.base_m, prisms.top_m)]
    order = np.argsort(np.tile(prisms.of, 2), kind="stable")
    corners = np.vstack(ends)[order]
    return shapely.convex_hull(shapely.multipoints(corners, indices=np.tile(prisms.of, 2)[order]))


def faces(points: Points, azimuth: float, elevation: float) -> np.ndarray:
    """Return where the sun is on the upper side of the ground's plane, by its normal."""
    slope, aspect = np.radians(points.slope_deg), np.radians(np.nan_to_num(points.aspect_deg))
    normal = [np.sin(slope) * np.sin(aspect), np.sin(slope) * np.cos(aspect), np.cos(slope)]
    a, e = np.radians([azimuth, elevation])
    beam = [np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)]
    return sum(n * b for n, b in zip(normal, beam, strict=True)) > 0
