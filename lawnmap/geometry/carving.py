"""Ground carved into pieces of given sizes, one after the other, as a crew would work through it.

A straight cut moves over the ground until it has passed the size wanted. The area passed is a
quadratic function of the cut's place between two corners, so the place is found exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.passes.scanline import edges

Floats = npt.NDArray[np.float64]

# Ways the cut may move, turned from the first one wanted [°]: along the work, against it, across.
TURNS = (0, 180, 90, 270, 30, 210, 330, 150, 60, 240, 300, 120)
WHOLE = 1e-9  # of a size: less ground than this is no piece of its own
NOWHERE = shapely.Point(0, 0)


class _Cut(NamedTuple):
    """What a cut has passed and what it has not."""

    passed: BaseGeometry
    left: BaseGeometry


def carve(
    ground: BaseGeometry, sizes: Sequence[float], heading_deg: float = 0.0
) -> list[BaseGeometry]:
    """Return pieces of the ground in the order they are worked, together all of it.

    Parameters
    ----------
    ground : Polygon or MultiPolygon
        In metres.
    sizes : sequence of float
        Sizes of the pieces against each other, all above zero, in any unit.
    heading_deg : float
        Direction of travel, clockwise from north [°]. The first cut lies along it, so that a piece
        is a run of bouts; it moves another way only where a piece would fall apart.

    Returns
    -------
    list of Polygon or MultiPolygon
        As many as sizes. Each is in one piece where some cut allows it.

    Raises
    ------
    ValueError
        When a size is not above zero.

    Examples
    --------
    >>> pieces = carve(shapely.box(0, 0, 10, 5), [2, 2, 1], heading_deg=0)
    >>> [each.bounds for each in pieces]
    [(0.0, 0.0, 4.0, 5.0), (4.0, 0.0, 8.0, 5.0), (8.0, 0.0, 10.0, 5.0)]
    """
    if not all(size > 0 for size in sizes):
        raise ValueError("each piece must have a size above zero")
    scale = ground.area / sum(sizes) if sizes else 0.0
    left, turn, pieces = _in_order(ground, heading_deg), 0, []
    for size in sizes[:-1]:
        piece, left, turn = _next(left, size * scale, heading_deg, turn)
        pieces.append(piece)
    return [*pieces, _joined(left)] if sizes else []


def _next(
    parts: list[shapely.Polygon], wanted: float, heading_deg: float, turn: int
) -> tuple[BaseGeometry, list[shapely.Polygon], int]:
    """Return the next piece, what is left of the parts, and the way the cut moved."""
    taken: list[BaseGeometry] = []
    rest, missing = list(parts), wanted
    while rest and missing > wanted * WHOLE:
        first = rest.pop(0)
        if first.area <= missing * (1 + WHOLE):
            taken.append(first)
            missing -= first.area
            continue
        cut, turn = _best_cut(first, missing, heading_deg, turn)
        taken.append(cut.passed)
        rest = [*_polygons(cut.left), *rest]
        missing = 0.0
    return _joined(taken), rest, turn


def _best_cut(
    part: shapely.Polygon, wanted: float, heading_deg: float, turn: int
) -> tuple[_Cut, int]:
    """Return the first cut that leaves two pieces, else the one that leaves fewest."""
    best: tuple[int, _Cut, int] | None = None
    for way in (turn, *(each for each in TURNS if each != turn)):
        cut = _cut(part, wanted, heading_deg + way)
        count = len(_polygons(cut.passed)) + len(_polygons(cut.left))
        if best is None or count < best[0]:
            best = count, cut, way
        if count <= 2:  # noqa: PLR2004 - one on each side
            break
    assert best is not None  # noqa: S101 - TURNS is never empty
    return best[1], best[2]


def _cut(part: shapely.Polygon, wanted: float, heading_deg: float) -> _Cut:
    """Return the part on both sides of a cut along the heading that moves to its right."""
    turned = affinity.rotate(part, heading_deg, origin=NOWHERE)  # travel now points north
    west, south, east, north = turned.bounds
    at = _place(edges(np.array([shapely.orient_polygons(turned)])).ends, wanted)
    # The two sides are turned, and not the ground: so both have the very same corners on the cut.
    halves = [
        affinity.rotate(shapely.box(*sides), -heading_deg, origin=NOWHERE)
        for sides in ((west - 1, south - 1, at, north + 1), (at, south - 1, east + 1, north + 1))
    ]
    return _Cut(*shapely.intersection(part, halves))


def _place(sides: Floats, wanted: float) -> float:
    """Return how far east a north-south cut has passed the area wanted."""
    corners = np.unique(sides[..., 0])
    low, high = 0, len(corners) - 1
    while high - low > 1:
        middle = (low + high) // 2
        if _area_west(sides, corners[middle]) > wanted:
            high = middle
        else:
            low = middle
    return _within(sides, corners[low], corners[high], wanted)


def _within(sides: Floats, west: float, east: float, wanted: float) -> float:
    """Return the place between two corners, where the area is a quadratic in it."""
    start, middle, end = (
        _area_west(sides, west + share * (east - west)) for share in (0.0, 0.5, 1.0)
    )
    # start + b t + a t², t from 0 to 1
    a = 2 * (start - 2 * middle + end)
    b = end - start - a
    c = start - wanted
    root = np.sqrt(max(b * b - 4 * a * c, 0.0))
    share = -2 * c / (b + root) if b + root > 0 else 0.5  # the form that loses no digits
    return float(west + min(max(share, 0.0), 1.0) * (east - west))


def _area_west(sides: Floats, at: float) -> float:
    """Return the area west of a cut: what lies under each side, up to the cut, with its sign."""
    (x0, y0), (x1, y1) = sides[:, 0].T, sides[:, 1].T
    south = y0.min()
    slope = np.divide(y1 - y0, x1 - x0, out=np.zeros(len(sides)), where=x1 != x0)
    from_x, to_x = np.minimum(x0, at), np.minimum(x1, at)
    middle = y0 - south + slope * ((from_x + to_x) / 2 - x0)
    return float(((from_x - to_x) * middle).sum())  # the outer ring goes round to the left


def _in_order(ground: BaseGeometry, heading_deg: float) -> list[shapely.Polygon]:
    """Return the parts of the ground in the order a cut along the heading reaches them."""
    parts = _polygons(ground)
    turned = [affinity.rotate(each, heading_deg, origin=NOWHERE).bounds for each in parts]
    return [parts[place] for place in sorted(range(len(parts)), key=lambda each: turned[each])]


def _polygons(shape: BaseGeometry) -> list[shapely.Polygon]:
    return [
        each
        for each in shapely.get_parts(shapely.get_parts(shape))
        if each.geom_type == "Polygon" and each.area > 0
    ]


def _joined(parts: Sequence[BaseGeometry]) -> BaseGeometry:
    """Return parts as one shape. No two share a side: they are what cuts have left in pieces."""
    found = [each for part in parts for each in _polygons(part)]
    return found[0] if len(found) == 1 else shapely.MultiPolygon(found)
