"""Rings of up to about a kilometre, in series about their first vertex.

All that a sine or a root is needed for is worked once a ring; an edge costs some products. With h
the latitude of the middle of an edge less that of the first vertex, the series below leave out
terms of h³, and of the fourth power of the length of an edge.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from lawnmap.geometry.rings import RADIAN, Rings
from lawnmap.geometry.wgs84 import E2

Floats = npt.NDArray[np.float64]

# What is left out stays below 1e-9 of a length and 2e-9 of an area.
MOST = np.radians(0.005)  # of h, and of longitude along an edge; 550 m at the equator
MOST_LATITUDE = 85.0  # [°]


class Edges(NamedTuple):
    """Every edge of some rings; from the last vertex of a ring on there is one of no length.

    Attributes
    ----------
    east, north : (n,) arrays
        Change of longitude and latitude [rad].
    h : (n,) array
        Latitude of the middle, less that of the first vertex of the ring [rad].
    """

    east: Floats
    north: Floats
    h: Floats


def edges(rings: Rings) -> Edges:
    """Return the edges of rings."""
    longitude, above = rings.lonlat[:, 0], rings.above
    east, north, middle = np.empty((3, len(above)))
    np.subtract(longitude[1:], longitude[:-1], out=east[:-1])
    np.subtract(above[1:], above[:-1], out=north[:-1])
    np.add(above[1:], above[:-1], out=middle[:-1])
    east[rings.ends], north[rings.ends], middle[-1] = 0.0, 0.0, 0.0
    east *= RADIAN
    middle *= 0.5
    return Edges(east, north, middle)


def small_sizes(rings: Rings) -> tuple[Floats, Floats, npt.NDArray[np.bool_]]:
    """Return the area of each ring, its length, and whether it is small enough for both to hold.

    Returns
    -------
    areas : (rings,) array
        Counter-clockwise positive [m²].
    lengths : (rings,) array
        [m].
    small : (rings,) array of bool
    """
    if not len(rings.counts):
        return np.zeros(0), np.zeros(0), np.zeros(0, dtype=bool)
    starts, edge, scale = rings.starts, edges(rings), rings.scale
    small = np.abs(rings.lonlat[starts, 1]) <= MOST_LATITUDE
    if not np.maximum(_furthest(edge.h), _furthest(edge.east)) <= MOST:
        near = (np.abs(edge.h) <= MOST) & (np.abs(edge.east) <= MOST)
        small &= np.logical_and.reduceat(near, starts)
    east2 = rings.in_series(edge.h, scale.east)
    east2 *= edge.east
    east2 *= east2
    north2 = rings.in_series(edge.h, scale.north)
    north2 *= edge.north
    north2 *= north2
    under = _under(rings, edge, east2, north2)
    east2 += north2
    lengths = np.add.reduceat(np.sqrt(east2, out=east2), starts)
    return -np.add.reduceat(under, starts), lengths, small


def _furthest(values: Floats) -> float:
    """Return how far from naught the furthest value is."""
    return float(np.maximum(values.max(), -values.min()))


def _under(rings: Rings, edge: Edges, east2: Floats, north2: Floats) -> Floats:
    """Return the area between each edge and the parallel of the first vertex [m²].

    Up to the middle of the edge there is a strip of the width `east`; its area to a radian of h is
    the product of the radii and the cosine of the latitude. To that comes what lies between the
    geodesic and a straight line in longitude and area: a geodesic whose azimuth is a has, by
    Clairaut's relation, d²v/du² = -sin(latitude) (1 + 3 cot² a) r² in longitude u and area v, with
    r the radius of the parallel. Of a parabola that is the twelfth part, times the cube of `east`.
    """
    s, c, along = rings.scale.sine, rings.scale.cosine, rings.scale.north[1]
    strip = along * rings.scale.east[2]
    bend = strip * (4 * E2 * s * c / (1 - E2 * s * s) - s / c)
    under = rings.in_series(edge.h, (bend / 2, strip))
    under *= edge.h
    east_part, north_part = rings.spread(s / 12), rings.spread(s / 4 + bend / (8 * along * along))
    east_part *= east2
    north_part *= north2
    under += east_part
    under += north_part
    under *= edge.east
    return under
