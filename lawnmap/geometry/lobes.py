"""The lobes of a walk that crosses itself: what it bounds, and which way round each was walked."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.sides import meetings

Floats = npt.NDArray[np.float64]

MOST_CORNERS = 2_000  # half an hour of walking, a fix a second
MOST_CROSSINGS = 500
KNOT_M2, KNOT_SHARE = 0.5, 0.01  # a lobe under both is a knot in the line, not a piece of lawn


class Lobe(NamedTuple):
    """One piece of ground that a walk goes round.

    Attributes
    ----------
    outline : Polygon
    area : float
        Square metres.
    turn : int
        1 when it was walked anticlockwise, -1 when clockwise.
    """

    outline: shapely.Polygon
    area: float
    turn: int


def lobes(ring: Floats) -> list[Lobe] | None:
    """Return the lobes of a closed walk, the largest first; None when it crosses itself too often.

    A piece of ground belongs to a lobe when the walk winds round it: anticlockwise more often
    than clockwise, or the other way round. Ground that it winds round twice is there once.

    Parameters
    ----------
    ring : (n, 2) array
        Metres; the last point repeats the first.

    Examples
    --------
    >>> eight = np.array([(0, 0), (20, 30), (20, 0), (0, 30), (0, 0)], dtype=float)
    >>> [(lobe.area, lobe.turn) for lobe in lobes(eight)]
    [(150.0, -1), (150.0, 1)]
    """
    corners = len(ring) - 1
    # Each side meets itself and the two beside it.
    most = 3 * corners + 2 * MOST_CROSSINGS
    if corners > MOST_CORNERS or meetings(ring, ring, most) > most:
        return None
    noded = shapely.unary_union(shapely.LineString(ring))
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))
    if not len(faces):
        return []
    winds = _windings(ring, shapely.get_coordinates(shapely.point_on_surface(faces)))
    found = [
        Lobe(part, float(part.area), turn)
        for turn in (1, -1)
        for part in shapely.get_parts(shapely.union_all(faces[winds * turn > 0]))
        if part.geom_type == "Polygon"
    ]
    return sorted(found, key=lambda lobe: (-lobe.area, lobe.turn))


def _windings(ring: Floats, places: Floats) -> npt.NDArray[np.int64]:
    """Return how often a ring winds round each place, by the sides that cross a ray to the east."""
    (x1, y1), (x2, y2) = ring[:-1].T[:, None], ring[1:].T[:, None]
    x, y = places[:, :1], places[:, 1:]
    left = (x2 - x1) * (y - y1) - (x - x1) * (y2 - y1)
    up = (y1 <= y) & (y2 > y) & (left > 0)
    down = (y1 > y) & (y2 <= y) & (left < 0)
    winds: npt.NDArray[np.int64] = up.sum(axis=1) - down.sum(axis=1)
    return winds


def without_knots(found: list[Lobe]) -> list[Lobe]:
    """Return the lobes that are more than a knot in the line."""
    least = min(KNOT_M2, KNOT_SHARE * sum(lobe.area for lobe in found))
    return [lobe for lobe in found if lobe.area >= least] or found[:1]


def together(found: list[Lobe]) -> BaseGeometry:
    """Return lobes as one polygon or multipolygon."""
    parts = [lobe.outline for lobe in found]
    whole = parts[0] if len(parts) == 1 else shapely.multipolygons(parts)
    # Lobes of two directions share a side where it was walked twice the same way: then one area.
    return whole if shapely.is_valid(whole) else shapely.union_all(parts)
