"""What ground pass lines cover: the union of their swaths, counted once and twice."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.passes.regions import LEAST_M2, SEGMENTS

Floats = npt.NDArray[np.float64]
Shapes = npt.NDArray[np.object_]

# Where swaths touch along a whole side, the two sides differ by rounding, and GEOS (3.14) now and
# then loses one of the swaths, or takes all of one for what both share, without a word. So those
# that should hang together are made wider by this, and those that should not, narrower.
HAIR_M = 1e-5
GRID_M = 1e-6
AMISS = 1e-6  # of an area
SIDE_TURN_DEG = 60  # a round turned by more has come to its next side


class Cover(NamedTuple):
    """What is covered.

    Attributes
    ----------
    covered : Polygon or MultiPolygon
        Union of the swaths within the ground.
    left : Polygon or MultiPolygon
        Ground they do not cover: for the rake.
    twice_m2 : float
        Ground covered more than once; the sides of a round count apart.
    outside_m2 : float
        Of the swaths, what lies outside the ground.
    reach_share : float
        Covered share of what a disc as wide as the machine can reach, 0 to 1.
    """

    covered: BaseGeometry
    left: BaseGeometry
    twice_m2: float
    outside_m2: float
    reach_share: float


def cover(
    area: BaseGeometry,
    reach: BaseGeometry,
    bouts: Floats,
    rounds: tuple[BaseGeometry, ...],
    width_m: float,
) -> Cover:
    """Return what bouts and rounds cover.

    Parameters
    ----------
    area, reach : Polygon or MultiPolygon
        The ground, and what of it a disc as wide as the machine can reach [m].
    bouts : (n, 2, 2) array
        Both ends of each [m]; a swath ends square.
    rounds : tuple of LineString
        Closed ones, and open ones where blades are lifted; the machine turns on the spot at their
        corners.
    width_m : float
        Working width [m].
    """
    round_about = np.array([_swept(each, width_m) for each in rounds], dtype=object)
    swept = shapely.union_all(np.concatenate([swaths(bouts, width_m + HAIR_M), round_about]))
    covered, left = _parted(area, swept)
    narrow = width_m - HAIR_M
    of_sides = [_swath(side, narrow) for each in rounds for side in sides(each)]
    return Cover(
        covered,
        left,
        _twice(np.concatenate([swaths(bouts, narrow), np.array(of_sides, dtype=object)]), area),
        float(swept.area - covered.area),
        float(shapely.intersection(covered, reach).area / reach.area) if reach.area else 1.0,
    )


def _parted(area: BaseGeometry, swept: BaseGeometry) -> tuple[BaseGeometry, BaseGeometry]:
    """Return what of some ground is swept and what is not; together they are the ground."""
    covered, left = shapely.intersection(area, swept), shapely.difference(area, swept)
    if abs(covered.area + left.area - area.area) > AMISS * area.area:
        covered, left = (
            work(area, swept, grid_size=GRID_M)
            for work in (shapely.intersection, shapely.difference)
        )
    return covered, left


def swaths(bouts: Floats, width_m: float, longer_m: float = 0.0) -> Shapes:
    """Return the rectangle each straight bout covers, and so much more at either end."""
    along = bouts[:, 1] - bouts[:, 0]
    ahead = along / np.hypot(*along.T)[:, None]
    aside = np.column_stack([ahead[:, 1], -ahead[:, 0]]) * width_m / 2
    begin, end = bouts[:, 0] - ahead * longer_m, bouts[:, 1] + ahead * longer_m
    corners = np.stack([begin - aside, end - aside, end + aside, begin + aside], axis=1)
    return np.asarray(shapely.polygons(corners), dtype=object)


def sides(line: BaseGeometry) -> list[BaseGeometry]:
    """Return the sides of a round: it is cut where its direction has turned far enough.

    A round that comes back along a narrow strip covers the strip twice, which only shows when its
    sides are taken apart.
    """
    points = shapely.get_coordinates(line)
    along = np.diff(points, axis=0)
    angle = np.degrees(np.unwrap(np.arctan2(along[:, 1], along[:, 0])))
    cuts = [0]
    for place in range(1, len(angle)):
        if abs(angle[place] - angle[cuts[-1]]) > SIDE_TURN_DEG:
            cuts.append(place)
    return [
        shapely.LineString(points[begin : end + 1])
        for begin, end in zip(cuts, [*cuts[1:], len(along)], strict=True)
    ]


def _swept(line: BaseGeometry, width_m: float) -> BaseGeometry:
    """Return what a round covers, its corners and the joint of a closed one included."""
    if line.is_closed:
        return shapely.buffer(shapely.LinearRing(line.coords), width_m / 2, quad_segs=SEGMENTS)
    parts = sides(line)
    turns = [shapely.Point(each.coords[0]) for each in parts[1:]]
    corners = shapely.buffer(turns, width_m / 2, quad_segs=SEGMENTS)
    return shapely.union_all([*(_swath(each, width_m) for each in parts), *corners])


def _swath(line: BaseGeometry, width_m: float) -> BaseGeometry:
    """Return what is swept along a side, square at both ends: a rectangle an edge, and the joints.

    GEOS' buffer with flat ends will not do: near its ends it may add or lose a corner.
    """
    points = shapely.get_coordinates(line)
    edges = np.stack([points[:-1], points[1:]], axis=1)
    if len(edges) == 1:
        only: BaseGeometry = swaths(edges, width_m)[0]
        return only
    parts = [swaths(edges, width_m, HAIR_M), _joints(edges, width_m + HAIR_M)]
    return shapely.union_all(np.concatenate(parts))


def _joints(edges: Floats, width_m: float) -> Shapes:
    """Return what the outer end of the machine sweeps at each corner between two edges."""
    along = edges[:, 1] - edges[:, 0]
    along /= np.hypot(*along.T)[:, None]
    before, after, corner = along[:-1], along[1:], edges[1:, 0]
    left = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    outer = np.where(left > 0, 1.0, -1.0)[:, None] * width_m / 2
    one, other = (outer * np.column_stack([each[:, 1], -each[:, 0]]) for each in (before, after))
    between = one + other
    between *= width_m / 2 / np.hypot(*between.T)[:, None]
    fan = np.stack([corner, corner + one, corner + between, corner + other], axis=1)
    return np.asarray(shapely.polygons(fan), dtype=object)


def _twice(found: Shapes, area: BaseGeometry) -> float:
    """Return the ground that more than one swath covers [m²]."""
    one, other = shapely.STRtree(found).query(found, predicate="intersects")
    pair = one < other
    both = shapely.intersection(found[one[pair]], found[other[pair]])
    solid = both[shapely.area(both) > LEAST_M2]
    return float(shapely.intersection(shapely.union_all(solid), area).area)
