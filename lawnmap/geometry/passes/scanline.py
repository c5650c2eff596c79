"""Where parallel lines run inside polygons: a scan line over arrays, for many polygons at once.

An edge meets a line that lies at or above its lower end and below its upper one (half-open), so
that a line through a corner is counted once, and an edge along a line not at all.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Shapes = npt.NDArray[np.object_]

SHORTEST_M = 1e-3  # a shorter piece is the rounding of a corner


class Edges(NamedTuple):
    """Edges of polygons, and which polygon each belongs to.

    Attributes
    ----------
    ends : (m, 2, 2) array
        Both ends of each edge [m].
    owner : (m,) array
        Place of its polygon.
    """

    ends: Floats
    owner: Places


class Grid(NamedTuple):
    """The lines to lay over each polygon: y = first + k · step, for k from 0 up to `many`."""

    first: Floats
    step: Floats
    many: Places


class Pieces(NamedTuple):
    """Pieces of lines within polygons, by polygon, line and place on the line.

    Attributes
    ----------
    owner, line : (n,) array
        Place of the polygon, and number of the line in it.
    left, right : (n,) array
        Where the piece begins and ends [m].
    """

    owner: Places
    line: Places
    left: Floats
    right: Floats


def edges(polygons: Shapes) -> Edges:
    """Return the edges of polygons with holes, or of multipolygons."""
    parts, owner = shapely.get_parts(polygons, return_index=True)
    rings, ring_part = shapely.get_rings(parts, return_index=True)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    within = ring[1:] == ring[:-1]
    ends = np.stack([points[:-1], points[1:]], axis=1)[within]
    return Edges(ends, owner[ring_part[ring[:-1][within]]].astype(np.intp))


def turned(points: Floats, heading_deg: Floats | float) -> Floats:
    """Return points with x along a heading and y to the right of it.

    The turn is its own inverse: turned twice, a point is back at its east and north.

    Parameters
    ----------
    points : (..., 2) array
        East and north [m].
    heading_deg : float or array that broadcasts with points[..., 0]
        Clockwise from north [°].
    """
    angle = np.radians(heading_deg)
    sine, cosine = np.sin(angle), np.cos(angle)
    east, north = points[..., 0], points[..., 1]
    return np.stack([east * sine + north * cosine, east * cosine - north * sine], axis=-1)


def scan(found: Edges, grid: Grid) -> Pieces:
    """Return the pieces of lines that lie inside.

    Parameters
    ----------
    found : Edges
        With x along the lines.
    grid : Grid
        One entry a polygon.
    """
    owner = found.owner
    lower, upper = found.ends[..., 1].min(axis=1), found.ends[..., 1].max(axis=1)
    first, step, many = (each[owner] for each in grid)
    begin = np.clip(np.ceil((lower - first) / step), 0, many).astype(np.intp)
    end = np.clip(np.ceil((upper - first) / step), 0, many).astype(np.intp)
    times = end - begin
    edge = np.repeat(np.arange(len(owner)), times)
    line = np.arange(len(edge)) - np.repeat(np.cumsum(times) - times, times) + begin[edge]
    y = first[edge] + line * step[edge]
    (x0, y0), (x1, y1) = (found.ends[edge, end].T for end in (0, 1))
    x = x0 + (y - y0) / (y1 - y0) * (x1 - x0)
    order = np.lexsort([x, line, owner[edge]])
    enter, leave = order[0::2], order[1::2]
    longer = x[leave] - x[enter] > SHORTEST_M
    enter, leave = enter[longer], leave[longer]
    return Pieces(owner[edge[enter]], line[enter], x[enter], x[leave])
