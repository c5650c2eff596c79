"""What stands between the sun and the ground: upright prisms, solid or letting some sun through."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import MultiPolygon, Polygon

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]


class Obstacle(NamedTuple):
    """An upright prism.

    A building, hedge or fence stands on the ground. A tree is two: its crown, a band from the
    crown's base to its top, and its stem. A beam that passes several bands is weakened by each;
    so is one that leaves a footprint with a bay and enters it again.

    Attributes
    ----------
    footprint : Polygon or MultiPolygon
        Seen from above, in the frame of the points [m]; valid and not empty.
    base_m, top_m : float
        Heights above the same datum as the points' [m]. No light comes under a base that is not
        above the point: minus infinity is for what stands on the ground, wherever that is.
    through : float
        Share of the direct beam that passes, 0 (solid) to 1.
    """

    footprint: Polygon | MultiPolygon
    base_m: float
    top_m: float
    through: float = 0.0


class Outlines(NamedTuple):
    """The rings of all footprints in one row, the inside always on the left.

    Attributes
    ----------
    xy : (v, 2) array
        Corners, the first of each ring again at its end [m].
    obstacle : (v,) array
        Whose each corner is.
    side : (v - 1,) array
        True where a corner and the next are two ends of a side, not the seam of two rings.
    base_m, top_m, through : (k,) arrays
        Of each obstacle.
    """

    xy: Floats
    obstacle: Places
    side: Mask
    base_m: Floats
    top_m: Floats
    through: Floats


def outlines(obstacles: Sequence[Obstacle]) -> Outlines:
    """Return the rings of all footprints.

    Raises
    ------
    ValueError
        Where a top is below its base, or a share is not from 0 to 1, or one is not a number.
    """
    base, top, through = np.array([each[1:] for each in obstacles], dtype=float).reshape(-1, 3).T
    if not (np.isfinite(top) & (base <= top)).all():
        raise ValueError("the top of an obstacle must not lie below its base")
    if not ((through >= 0) & (through <= 1)).all():
        raise ValueError("the share of the sun that passes an obstacle is from 0 to 1")
    footprints = np.array([each.footprint for each in obstacles], dtype=object)
    parts, of_part = shapely.get_parts(footprints, return_index=True)
    rings, of_ring = shapely.get_rings(shapely.orient_polygons(parts), return_index=True)
    xy, of_corner = shapely.get_coordinates(rings, return_index=True)
    side = of_corner[1:] == of_corner[:-1]
    return Outlines(xy, of_part[of_ring[of_corner]], side, base, top, through)
