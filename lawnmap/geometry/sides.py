"""How many sides of two lines meet, counted without making anything of them.

Working out where lines cross takes time and room with every crossing, and a scribble of some
thousand sides has millions. So they are counted first.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]

BLOCK = 500_000  # pairs looked at in one go
MOST_LOOKED = 5_000_000  # pairs of sides whose boxes meet: a second's work


def meetings(one: Floats, other: Floats, most: int) -> int:
    """Return how many pairs of sides, one of each line, have a point in common.

    Parameters
    ----------
    one, other : (n, 2) array
        Corners.
    most : int
        Counting ends as soon as there are more.

    Examples
    --------
    >>> square = np.array([(0, 0), (4, 0), (4, 4), (0, 4)], dtype=float)
    >>> meetings(square, np.array([(2, -1), (2, 5)], dtype=float), most=9)
    2
    """
    count, rows = 0, max(1, BLOCK // max(len(other) - 1, 1))
    for start in range(0, len(one) - 1, rows):
        part = one[start : start + rows + 1]
        met = _apart_by(part, other) & _apart_by(other, part).T & _boxes_meet(part, other)
        count += int(met.sum())
        if count > most:
            break
    return count


def crossings(outline: BaseGeometry, most: int) -> int:
    """Return how many pairs of sides of a polygon meet that do not follow on each other.

    Parameters
    ----------
    outline : Polygon or MultiPolygon
    most : int
        Counting ends as soon as there are more, or when that many would be too long to count.

    Examples
    --------
    >>> crossings(shapely.Polygon([(0, 0), (20, 30), (20, 0), (0, 30)]), most=9)
    1
    """
    rings = shapely.get_rings(shapely.get_parts(outline))
    corners, ring = shapely.get_coordinates(rings, return_index=True)
    first = np.flatnonzero(ring[1:] == ring[:-1])
    one, other, ring = corners[first], corners[first + 1], ring[first]
    low, high = np.minimum(one, other), np.maximum(one, other)
    count, looked = 0, 0
    for side, met in _boxes_meeting(np.asarray(shapely.box(*low.T, *high.T), dtype=object)):
        looked += len(side)
        pair = (met > side + 1) | (ring[met] != ring[side])
        count += int(_meet(one, other, side[pair], met[pair]).sum())
        if count > most:
            break
        if looked > MOST_LOOKED:
            return most + 1
    closed = shapely.get_num_coordinates(rings) > 3  # noqa: PLR2004 - its last side follows on the first
    return max(0, count - int(closed.sum()))


def nested(outline: BaseGeometry, most: int) -> int:
    """Return how many pairs of rings of a polygon may lie one in the other, by their bounds.

    Parameters
    ----------
    outline : Polygon or MultiPolygon
    most : int
        Counting ends as soon as there are more.
    """
    rings = shapely.get_rings(shapely.get_parts(outline))
    count = 0
    for ring, _ in _boxes_meeting(np.asarray(shapely.box(*shapely.bounds(rings).T), dtype=object)):
        count += len(ring)
        if count > most:
            break
    return count


def _boxes_meeting(boxes: npt.NDArray[np.object_]) -> Iterator[tuple[Places, Places]]:
    """Yield the pairs of boxes that meet, the first before the second, some of them at a time."""
    tree, start, rows = shapely.STRtree(boxes), 0, 16
    while start < len(boxes):
        one, other = tree.query(boxes[start : start + rows])
        one += start
        start += rows
        rows = max(16, min(BLOCK * rows // max(len(one), 1), 4 * rows))
        pair = other > one
        yield one[pair], other[pair]


def _meet(one: Floats, other: Floats, side: Places, met: Places) -> Flags:
    """Tell of pairs of sides, whose boxes meet, whether the sides themselves do."""
    found = np.ones(len(side), dtype=bool)
    for base, beside in ((side, met), (met, side)):
        along = other[base] - one[base]
        hands = [
            np.sign(along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0])
            for off in (one[beside] - one[base], other[beside] - one[base])
        ]
        found &= hands[0] * hands[1] <= 0
    return found


def _apart_by(line: Floats, sides: Floats) -> Flags:
    """Return whether the ends of each of the other sides are not both on one hand of each side."""
    (x1, y1), (x2, y2) = line[:-1].T[:, :, None], line[1:].T[:, :, None]
    hand = np.sign((x2 - x1) * (sides[:, 1] - y1) - (sides[:, 0] - x1) * (y2 - y1))
    apart: Flags = hand[:, :-1] * hand[:, 1:] <= 0
    return apart


def _boxes_meet(one: Floats, other: Floats) -> Flags:
    low, high = np.minimum(one[:-1], one[1:])[:, None], np.maximum(one[:-1], one[1:])[:, None]
    low_other, high_other = np.minimum(other[:-1], other[1:]), np.maximum(other[:-1], other[1:])
    meet: Flags = np.all((low <= high_other) & (low_other <= high), axis=2)
    return meet
