"""Places inside a zone at which to look: along a W, or one by chance in each of equal parts."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from lawnmap.geometry.carving import carve
from lawnmap.geometry.passes.headings import least_width

Floats = npt.NDArray[np.float64]

FROM_EDGE = 0.15  # of a zone's width: edges are mown, trodden and shaded otherwise
STROKES = np.array([[0.0, 1.0], [0.25, 0.0], [0.5, 1.0], [0.75, 0.0], [1.0, 1.0]])  # of a W
TRIES = 60  # for a place of chance that is far enough from the others
NOWHERE = shapely.Point(0, 0)


def along_w(zone: BaseGeometry, count: int) -> Floats:
    """Return places evenly along a W that is walked over the length of a zone.

    Parameters
    ----------
    zone : Polygon or MultiPolygon
        In metres.
    count : int
        Places wanted, at least one.

    Returns
    -------
    (count, 2) array
        In the order of the walk [m].

    Examples
    --------
    >>> along_w(shapely.box(0, 0, 40, 10), 3).round(1).tolist()
    [[7.7, 6.2], [20.0, 1.5], [32.3, 6.2]]
    """
    width, heading = least_width(zone)
    turned = affinity.rotate(zone, heading, origin=NOWHERE)  # its length now points north
    inside = turned.buffer(-FROM_EDGE * width)
    ground = turned if inside.is_empty else inside
    west, south, east, north = ground.bounds
    walk = STROKES[:, ::-1] * [east - west, north - south] + [west, south]
    seen = shapely.LineString(walk).intersection(ground)
    legs = [each for each in shapely.get_parts(seen) if each.length > 0]
    if not legs:
        place = shapely.get_coordinates(zone.representative_point())
        return np.repeat(place, count, axis=0)
    along = np.array([_at(legs, (number + 0.5) / count) for number in range(count)])
    return _turned_back(along, heading)


def one_in_each(zone: BaseGeometry, count: int, *, apart_m: float, seed: list[int]) -> Floats:
    """Return a place of chance in each of as many equal parts of a zone.

    Parameters
    ----------
    zone : Polygon or MultiPolygon
        In metres.
    count : int
        Places wanted, at least one.
    apart_m : float
        Least distance wanted between two places [m]; where a part has no such place after some
        tries, the farthest of those tried is taken.
    seed : list of int
        Numbers, not below zero, that fix the chance: the same give the same places.

    Returns
    -------
    (count, 2) array
        In metres.
    """
    chance = np.random.default_rng(seed)
    found: list[Floats] = []
    for part in _equal_parts(zone, count):
        tried = _inside(part, TRIES, chance)
        others = np.array(found).reshape(-1, 2)
        far = np.hypot(*(tried[:, None] - others[None]).transpose(2, 0, 1))
        nearest = far.min(axis=1, initial=np.inf)
        good = np.flatnonzero(nearest >= apart_m)
        found.append(tried[good[0] if len(good) else np.argmax(nearest)])
    return np.array(found)


def _at(legs: list[BaseGeometry], share: float) -> Floats:
    """Return the place at a share of the length of some lines together."""
    left = share * sum(each.length for each in legs)
    for each in legs:
        if left <= each.length:
            place: Floats = shapely.get_coordinates(each.interpolate(left))[0]
            return place
        left -= each.length
    end: Floats = shapely.get_coordinates(legs[-1])[-1]
    return end


def _turned_back(places: Floats, heading: float) -> Floats:
    turned = affinity.rotate(shapely.MultiPoint(places), -heading, origin=NOWHERE)
    return shapely.get_coordinates(turned)


def _equal_parts(zone: BaseGeometry, count: int) -> list[BaseGeometry]:
    """Return compact parts of equal area: halved across the longer way, again and again."""
    if count == 1:
        return [zone]
    fewer = count // 2
    across = least_width(zone).heading_deg + 90
    one, other = carve(zone, [fewer, count - fewer], across)
    return [*_equal_parts(one, fewer), *_equal_parts(other, count - fewer)]


def _inside(part: BaseGeometry, count: int, chance: np.random.Generator) -> Floats:
    """Return places of even chance inside some ground, the first of those drawn over its box."""
    west, south, east, north = part.bounds
    found = np.zeros((0, 2))
    while len(found) < count:
        drawn = chance.uniform([west, south], [east, north], (count, 2))
        found = np.vstack([found, drawn[shapely.contains_xy(part, drawn)]])
    return found[:count]
