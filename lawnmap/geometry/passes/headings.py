"""The heading of fewest turns: least width of a convex zone, a search by degrees for others."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.passes.regions import Regions
from lawnmap.geometry.passes.scanline import Edges, Grid, edges, scan, turned

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

SEARCHED = np.arange(180.0)  # [°]; a line runs both ways
CONVEX = 1e-6  # of its hull, by which a zone may be hollow and still be convex
TIE = 1e-9
SPARE_M = 1e-4  # ground that no further line is laid for
MOST_CROSSINGS = 2_000_000  # in one go; headings are counted in blocks for memory


class Width(NamedTuple):
    """Least width of some ground [m], and the heading to travel along it [°]."""

    width_m: float
    heading_deg: float


def least_width(area: BaseGeometry) -> Width:
    """Return the least distance of two parallel lines that hold the ground between them.

    One of the two lies along an edge of the convex hull, and the other touches the corner farthest
    from it: rotating calipers, here by one search for all edges at once. Of headings that come to
    the same, the one along the longest edge is taken.

    Parameters
    ----------
    area : geometry
        In metres, with an area.

    Notes
    -----
    The rectangle of least *area* round a shape is another thing, and often turned otherwise: for
    the triangle (0, 0), (10, 0), (2, 6) it lies along the slope, and is 6.3 m wide instead of 6.

    Examples
    --------
    >>> found = least_width(shapely.Polygon([(0, 0), (10, 0), (2, 6)]))
    >>> round(found.width_m, 6), round(found.heading_deg, 6)
    (6.0, 90.0)
    """
    hull = shapely.orient_polygons(shapely.convex_hull(area))
    points = shapely.get_coordinates(hull)[:-1]
    along = np.roll(points, -1, axis=0) - points
    length = np.hypot(*along.T)
    angle = np.unwrap(np.arctan2(along[:, 1], along[:, 0]))
    # The corner farthest from an edge begins the first edge that has turned by half a circle.
    twice = np.concatenate([angle, angle + 2 * np.pi])
    opposite = points[np.searchsorted(twice, angle + np.pi) % len(points)] - points
    across = np.abs(along[:, 0] * opposite[:, 1] - along[:, 1] * opposite[:, 0]) / length
    least = across.min()
    tied = np.flatnonzero(across <= least * (1 + TIE))
    edge = tied[np.argmax(length[tied])]
    return Width(float(least), float(np.degrees(np.arctan2(*along[edge])) % 180))


def fewest_turns(found: Regions, width_m: float, step_m: float) -> float:
    """Return the heading with the fewest pieces of lines [°].

    Least width comes first and keeps its place unless another heading has fewer pieces.
    """
    narrow = least_width(found.rest).heading_deg
    if is_convex(found.rest):
        return narrow
    tried = np.concatenate([[narrow], SEARCHED])
    return float(tried[np.argmin(counts(found, tried, width_m, step_m))])


def is_convex(area: BaseGeometry) -> bool:
    """Return whether ground is in one piece, without holes, and nowhere hollow."""
    hull = float(shapely.convex_hull(area).area)
    return bool(hull - area.area <= CONVEX * hull)


def counts(found: Regions, headings_deg: Floats, width_m: float, step_m: float) -> Places:
    """Return the number of pieces of lines at each heading."""
    run, rest = (edges(np.array([each], dtype=object)) for each in (found.run, found.rest))
    longest = float(np.hypot(*np.ptp(run.ends.reshape(-1, 2), axis=0)))
    block = max(1, int(MOST_CROSSINGS / len(run.owner) / (1 + longest / step_m)))
    parts = [
        _counted(run.ends, rest.ends, headings_deg[begin : begin + block], width_m, step_m)
        for begin in range(0, len(headings_deg), block)
    ]
    return np.concatenate(parts)


def _counted(
    run: Floats, rest: Floats, headings_deg: Floats, width_m: float, step_m: float
) -> Places:
    """Return the pieces at some headings, each taken as a polygon of its own."""
    many = len(headings_deg)
    here = headings_deg[:, None, None]
    grid = lines(turned(rest[None], here)[..., 1].reshape(many, -1), width_m, step_m)
    owner = np.repeat(np.arange(many), len(run))
    pieces = scan(Edges(turned(run[None], here).reshape(-1, 2, 2), owner), grid)
    return np.bincount(pieces.owner, minlength=many).astype(np.intp)


def lines(across: Floats, width_m: Floats | float, step_m: Floats | float) -> Grid:
    """Return the lines that cover some ground whichever way it is turned.

    The first reaches over its near side by the overlap, since a round has been walked there; the
    last reaches over the far side by at least as much.

    Parameters
    ----------
    across : (n, m) array
        Places of m points of the ground across n headings [m].
    width_m, step_m : float or (n,) array
        Working width, and from one line to the next [m].
    """
    near, far = across.min(axis=1), across.max(axis=1)
    first = near + step_m - width_m / 2
    count = np.maximum(np.ceil((far - near + width_m - step_m - SPARE_M) / step_m), 1)
    return Grid(first, np.full(len(near), step_m), count.astype(np.intp))
