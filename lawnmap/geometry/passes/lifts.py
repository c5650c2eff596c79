"""Where blades are lifted: lines cut near things that lie hidden in the turf."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.passes.regions import SEGMENTS

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]

# A buffer's circle is a polygon inside the true one: widened by this, it holds it.
WIDER = 1 / np.cos(np.pi / 4 / SEGMENTS)


class Lifted(NamedTuple):
    """What is worked of bouts and rounds, and where the blades are up.

    Attributes
    ----------
    bouts : (n, 2, 2) array
        Both ends of each piece, in the direction it is walked [m].
    bout : (n,) array
        Place of the bout it is a piece of.
    rounds : tuple of LineString
        Pieces of rounds; whole ones stay closed.
    round : (m,) array
        Place of the round it is a piece of.
    lifts : int
        Times the blades are lifted.
    """

    bouts: Floats
    bout: npt.NDArray[np.intp]
    rounds: tuple[BaseGeometry, ...]
    round: npt.NDArray[np.intp]
    lifts: int


def lifted(
    bouts: Floats, rounds: tuple[BaseGeometry, ...], things: Shapes, clear_m: float
) -> Lifted:
    """Cut the lines where they pass near hidden things.

    Parameters
    ----------
    bouts : (n, 2, 2) array
        Both ends of each [m].
    rounds : tuple of LineString
    things : (k,) array of points and lines
        What lies hidden [m].
    clear_m : float
        Distance from a centre line within which the blades are up [m].
    """
    every = np.concatenate([shapely.linestrings(bouts), np.array(rounds, dtype=object)])
    part, place = every, np.arange(len(every))
    lifts = 0
    if len(things) and len(every):
        up = shapely.union_all(shapely.buffer(things, clear_m * WIDER, quad_segs=SEGMENTS))
        shapely.prepare(up)
        near = shapely.intersects(up, every)
        over = shapely.line_merge(shapely.intersection(every[near], up))
        lifts = int(shapely.get_num_geometries(over).sum())
        worked = every.copy()
        worked[near] = shapely.line_merge(shapely.difference(every[near], up))
        part, place = shapely.get_parts(worked, return_index=True)
        lines = shapely.length(part) > 0
        part, place = part[lines], place[lines]
    straight = place < len(bouts)
    pieces = shapely.get_coordinates(part[straight]).reshape(-1, 2, 2)
    along = np.einsum("ij,ij->i", pieces[:, 1] - pieces[:, 0], _way(bouts)[place[straight]])
    pieces[along < 0] = pieces[along < 0, ::-1]
    return Lifted(
        pieces, place[straight], tuple(part[~straight]), place[~straight] - len(bouts), lifts
    )


def _way(bouts: Floats) -> Floats:
    return bouts[:, 1] - bouts[:, 0]
