"""Points of ground: where they are, and how the ground lies there."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


class Points(NamedTuple):
    """Points of ground.

    Attributes
    ----------
    xyz : (n, 3) array
        East, north, and height above the obstacles' datum [m].
    slope_deg : (n,) array
        Of the ground, from the level [°].
    aspect_deg : (n,) array
        The way it falls, clockwise from the frame's north [°]. Where it or the slope is NaN, the
        ground is taken as level.
    """

    xyz: Floats
    slope_deg: Floats
    aspect_deg: Floats

    def where(self, chosen: slice) -> Points:
        """Return some of the points."""
        return Points(*(column[chosen] for column in self))


def level(xy: Floats, height_m: float = 0.0) -> Points:
    """Return points of level ground.

    Parameters
    ----------
    xy : (n, 2) array
        East and north [m].
    height_m : float
        Above the obstacles' datum [m].
    """
    count = len(xy)
    xyz = np.column_stack([xy, np.full(count, height_m)])
    return Points(xyz, np.zeros(count), np.full(count, np.nan))
