"""Zones that lie together: each cluster has a flat frame and a sun of its own."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.frame import Frame, about

Shapes = npt.NDArray[np.object_]

TOGETHER_M = 1_000.0  # from the first zone of a cluster: the sun stands a hundredth of a degree off
REACH_M = 300.0  # of shadows: of 15 m at 3° of elevation


class Cluster(NamedTuple):
    """Zones that lie together.

    Attributes
    ----------
    frame : Frame
        About their middle.
    members : list of int
        Their places in the array.
    box_m2 : float
        Area of the box round them.
    reach : geometry
        Longitude/latitude: as far as what throws a shadow on them is looked for.
    """

    frame: Frame
    members: list[int]
    box_m2: float
    reach: BaseGeometry


def clusters(outlines: Shapes) -> list[Cluster]:
    """Return all outlines in clusters, each begun by the first that is in none yet."""
    left = list(range(len(outlines)))
    found = []
    while left:
        start = about(outlines[left[0]])
        middles = np.array(
            [[each.longitude, each.latitude] for each in (about(outlines[n]) for n in left)]
        )
        near = np.hypot(*start.to_metres(middles).T) <= TOGETHER_M
        # The frame's series is good for a site: what is on the far side of the earth may fold back.
        near &= np.hypot(*(middles - middles[0]).T) <= 1.0
        near[0] = True
        members = [n for n, together in zip(left, near, strict=True) if together]
        found.append(_cluster(outlines, members))
        left = [n for n, together in zip(left, near, strict=True) if not together]
    return found


def _cluster(outlines: Shapes, members: list[int]) -> Cluster:
    whole = shapely.box(*shapely.total_bounds(outlines[members]))
    frame = about(whole)
    flat = frame.flat(np.array([whole], dtype=object))[0]
    reach = frame.round(np.array([shapely.buffer(flat, REACH_M)], dtype=object))[0]
    return Cluster(frame, members, float(flat.area), reach)
