"""The edges of obstacles as points see them: how high they stand on each bearing.

Bearings are counted, not measured: a corner lies past so many of them, and a side is crossed by
those that one of its corners lies past and not the other. Neighbouring sides share a corner's
count, so no bearing slips between them or is counted twice, whatever the rounding.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.sunlight.obstacle import Outlines

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]
Mask = npt.NDArray[np.bool_]

HALF = 180.0  # degrees of a circle
TOUCHING = 1e-9  # [m²] of point and side: the point is as good as on the side


class Edges(NamedTuple):
    """Edges that bearings meet: one row for each time one comes into a footprint or leaves it.

    Attributes
    ----------
    cell : (c,) array
        Number of the point, times the count of bearings, and number of the bearing.
    obstacle : (c,) array
        Number of the obstacle.
    enters : (c,) array
        True where the bearing comes into the footprint, False where it leaves it.
    rise : (c,) array
        Of the obstacle's top where the bearing comes in, of its base where it leaves; 0 for what is
        not above the point.
    inside : (i, 2) array
        Numbers of point and obstacle, where a point stands in a footprint, below its top.
    """

    cell: Places
    obstacle: Places
    enters: Mask
    rise: Floats
    inside: Places


def edges(xyz: Floats, around: Outlines, bearing_deg: Floats, *, entering: bool = False) -> Edges:
    """Return the edges on every bearing from every point.

    Parameters
    ----------
    xyz : (p, 3) array
        Points [m].
    around : Outlines
    bearing_deg : (m,) array
        Clockwise from north, growing, from 0 to under 360 [°].
    entering : bool
        Leave out where bearings leave a footprint.
    """
    bearings = len(bearing_deg)
    east, north = (around.xy[:, None, axis] - xyz[:, axis] for axis in (0, 1))
    azimuth = np.degrees(np.arctan2(east, north))
    azimuth = np.where(azimuth < 0, azimuth + 2 * HALF, azimuth)
    passed = _passed(bearing_deg, azimuth)
    turn = np.diff(azimuth, axis=0)
    # A side never turns by more than half a circle: one that seems to do so went by the north.
    by_north = (turn < -HALF).astype(np.intp) - (turn > HALF)
    moved = (np.diff(passed, axis=0) + bearings * by_north) * around.side[:, None]
    count = np.maximum(moved, 0).ravel() if entering else np.abs(moved).ravel()
    row = np.repeat(np.arange(count.size), count)
    begins = np.cumsum(count) - count
    lowest = (passed[:-1] + np.minimum(moved, 0)).ravel()
    bearing = (np.arange(len(row)) + (lowest - begins)[row]) % bearings
    side, point = np.divmod(row, len(xyz))
    by_sine, by_cosine = _factors(xyz, around, moved > 0, (east[:-1], north[:-1]))
    sine, cosine = np.sin(np.radians(bearing_deg)), np.cos(np.radians(bearing_deg))
    return Edges(
        point * bearings + bearing,
        around.obstacle[side],
        moved.ravel()[row] > 0,
        np.abs(by_sine.ravel()[row] * sine[bearing] - by_cosine.ravel()[row] * cosine[bearing]),
        _inside(moved, xyz, around),
    )


def _passed(bearing_deg: Floats, azimuth: Floats) -> Places:
    """Return how many bearings come before each azimuth: a guess by the degree, then put right."""
    degrees = np.searchsorted(bearing_deg, np.arange(2 * HALF + 1))
    passed: Places = degrees[azimuth.astype(np.intp)]
    ended = np.append(bearing_deg, np.inf)
    for _ in range(np.diff(degrees).max()):
        passed += ended[passed] < azimuth
    return passed


def _factors(
    xyz: Floats, around: Outlines, enters: Mask, toward: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """Return what a bearing's sine and cosine are taken times for the rise of each side's edge.

    A bearing meets the side as far away as the cross product of the way to a corner and the side
    holds that of the bearing and the side; the rise is the height over that.
    """
    east, north = np.diff(around.xy, axis=0).T[:, :, None]
    product = toward[0] * north - toward[1] * east
    product[np.abs(product) < TOUCHING] = TOUCHING
    top, base = (each[around.obstacle[:-1], None] for each in (around.top_m, around.base_m))
    over = np.maximum(np.where(enters, top, base) - xyz[:, 2], 0) / product
    return over * north, over * east


def _inside(moved: Places, xyz: Floats, around: Outlines) -> Places:
    """Return points in footprints: the ring goes round them, so its turns do not cancel out."""
    begins = np.flatnonzero(np.diff(around.obstacle[:-1], prepend=-1))
    round_it = np.add.reduceat(moved, begins, axis=0) if len(begins) else moved[:0]
    which, point = np.nonzero(round_it)
    obstacle = around.obstacle[begins][which]
    below = around.top_m[obstacle] > xyz[point, 2]
    inside: Places = np.column_stack([point, obstacle])[below]
    return inside
