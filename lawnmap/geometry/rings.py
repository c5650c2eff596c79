"""Outlines taken apart into rings, for work on arrays of vertices.

Taking apart is most of the cost of measuring. A polygon without holes is one ring, so that its
vertices are read straight off; only the others need an object for each ring.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.wgs84 import E2, radii

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.int64]
Shapes = npt.NDArray[np.object_]

# Vertices and outlines worked at once: a dozen arrays of them, and the outlines themselves, stay
# near the processor, and a million lawns need no more memory than a thousand.
BATCH = 32_768
OUTLINES = 2_048

POLYGON = 3  # what GEOS counts each kind as
LINES = (1, 2, 5)
OUTER, INNER, LINE = 1, -1, 0

RADIAN = np.pi / 180  # as a factor: np.radians takes eight times as long


class Scales(NamedTuple):
    """How long a radian is along each ring.

    Attributes
    ----------
    sine, cosine : (rings,) arrays
        Of the latitude of the first vertex.
    east, north : tuples of (rings,) arrays
        Metres to a radian of longitude and of latitude: series in the latitude less that of the
        first vertex [rad], the highest power first.
    """

    sine: Floats
    cosine: Floats
    east: tuple[Floats, Floats, Floats]
    north: tuple[Floats, Floats]


@dataclass(frozen=True)
class Rings:
    """Rings of some outlines, vertex after vertex; none is empty.

    Attributes
    ----------
    lonlat : (n, 2) array
        Longitude and latitude of all vertices, the first of a ring repeated last [°].
    counts : (rings,) array of int
        Vertices of each ring.
    owner : (rings,) array of int
        Place of the outline that each ring is of.
    sort : (rings,) array of int
        OUTER, INNER, or LINE for a line, which encloses nothing.
    outlines : int
        How many outlines there are; some may have no ring.
    """

    lonlat: Floats
    counts: Places
    owner: Places
    sort: Places
    outlines: int

    @cached_property
    def starts(self) -> Places:
        """Index of the first vertex of each ring."""
        return self.ends + 1 - self.counts

    @cached_property
    def ends(self) -> Places:
        """Index of the last vertex of each ring."""
        return np.cumsum(self.counts) - 1

    @cached_property
    def above(self) -> Floats:
        """Latitude of each vertex, less that of the first of its ring [rad]."""
        latitude = self.lonlat[:, 1]
        return (latitude - self.spread(latitude[self.starts])) * RADIAN

    @cached_property
    def scale(self) -> Scales:
        """How long a radian is along each ring."""
        latitude = self.lonlat[self.starts, 1] * RADIAN
        s, c = np.sin(latitude), np.cos(latitude)
        across, along = radii(s)
        stretch = 3 * along * E2 * s * c / (1 - E2 * s * s)  # the slope of `along`
        east = (-(along * c + stretch * s) / 2, -along * s, across * c)
        return Scales(s, c, east, (stretch, along))

    def spread(self, values: Floats) -> Floats:
        """Return a value of each ring for each of its vertices."""
        return np.repeat(values, self.counts)

    def in_series(self, h: Floats, coefficients: tuple[Floats, ...]) -> Floats:
        """Return the value of a series at each vertex; its coefficients are those of the rings."""
        first, *others = coefficients
        value = self.spread(first)
        for each in others:
            value *= h
            value += self.spread(each)
        return value

    def summed(self, values: Floats) -> Floats:
        """Return the sum over each outline of a value of each ring."""
        totals = np.bincount(self.owner, weights=values, minlength=self.outlines)
        return totals.astype(np.float64)  # of no ring at all the counts are whole numbers

    def where(self, chosen: npt.NDArray[np.bool_]) -> Rings:
        """Return some of the rings, with their vertices."""
        vertices = self.lonlat[np.repeat(chosen, self.counts)]
        each = (self.counts[chosen], self.owner[chosen], self.sort[chosen])
        return Rings(vertices, *each, self.outlines)


def batches(outlines: Shapes) -> Iterator[tuple[slice, Rings]]:
    """Yield outlines taken apart, about BATCH vertices at a time, with the slice they are of.

    Parameters
    ----------
    outlines : (n,) array of shapely geometries
        Polygons and lines, of one part or several; of anything else come the polygons in it.
    """
    outlines = np.asarray(outlines, dtype=object)
    for first in range(0, len(outlines), OUTLINES):
        some = outlines[first : first + OUTLINES]
        counts = shapely.get_num_coordinates(some).astype(np.int64)
        batch = (np.cumsum(counts) - counts) // BATCH
        for start, stop in pairwise([*np.flatnonzero(np.diff(batch, prepend=-1)), len(some)]):
            here = slice(first + start, first + stop)
            yield here, _rings(outlines[here], counts[start:stop])


def wrapped(degrees: Floats) -> Floats:
    """Bring differences of longitude into ±180°, so that the antimeridian is no seam."""
    # The addition below rounds at 180; where nothing is wrapped the exact difference stands.
    over = np.abs(degrees) > 180.0  # noqa: PLR2004 - half a turn
    if not over.any():
        return degrees
    return np.where(over, (degrees + 180.0) % 360.0 - 180.0, degrees)


def _rings(outlines: Shapes, counts: Places) -> Rings:
    simple = (shapely.get_type_id(outlines) == POLYGON) & (counts > 0)
    simple &= shapely.get_num_interior_rings(outlines) == 0
    place = np.flatnonzero(simple)
    every = len(place) == len(outlines)
    lonlat = shapely.get_coordinates(outlines if every else outlines[simple])
    found = Rings(lonlat, counts[simple], place, np.full(len(place), OUTER), len(outlines))
    return found if every else _joined(found, *_by_ring(outlines, np.flatnonzero(~simple)))


def _by_ring(outlines: Shapes, place: Places) -> tuple[Rings, Rings]:
    """Take apart outlines with holes, with several parts or without an area."""
    parts, of = shapely.get_parts(outlines[place], return_index=True)
    rings, part = shapely.get_rings(parts, return_index=True)
    outer = np.ones(len(rings), dtype=bool)
    outer[1:] = part[1:] != part[:-1]
    line = np.isin(shapely.get_type_id(outlines[place]), LINES)[of]
    return (
        _of(rings, place[of[part]], np.where(outer, OUTER, INNER), len(outlines)),
        _of(parts[line], place[of[line]], np.full(int(line.sum()), LINE), len(outlines)),
    )


def _of(shapes: Shapes, owner: Places, sort: Places, outlines: int) -> Rings:
    counts = shapely.get_num_coordinates(shapes).astype(np.int64)
    some = counts > 0
    return Rings(shapely.get_coordinates(shapes), counts[some], owner[some], sort[some], outlines)


def _joined(*found: Rings) -> Rings:
    lonlat, counts, owner, sort = (
        np.concatenate(each)
        for each in zip(*((r.lonlat, r.counts, r.owner, r.sort) for r in found), strict=True)
    )
    return Rings(lonlat, counts, owner, sort, found[0].outlines)
