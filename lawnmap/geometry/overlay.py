"""What of each zone is lawn, counted once: zones that overlap, and obstacles that lie in them.

Everything is done in longitude and latitude, where the sides of an outline are straight by the
standard (RFC 7946, 3.1.1); areas are then taken on the ellipsoid. All zones are worked in one call
each of GEOS; only those it gets wrong are done again one by one.
"""

from __future__ import annotations

from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.ellipsoid import areas

Shapes = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]


class Overlap(NamedTuple):
    """Two zones that share ground, by their places in the table."""

    first: int
    second: int
    area_m2: float


# Neighbours that share a line differ by round-off; below this no one would see an overlap.
LEAST_OVERLAP_M2 = 0.01
AMISS = 1e-9  # of an area
GRID_DEG = 1e-10  # about 0.01 mm
MANY = 64  # zones of a site, from which on a tree finds neighbours sooner
POLYGONS = (3, 6)  # what GEOS counts them as


def overlaps(zones: Shapes, sites: Places | None = None) -> list[Overlap]:
    """Return every pair of zones that share more than 0.01 m², in table order.

    Parameters
    ----------
    zones : (n,) array of polygons
    sites : (n,) array of int, optional
        The site of each zone: zones of two sites are no pair.
    """
    if len(zones) < 2:  # noqa: PLR2004 - a pair
        return []
    near = _near(zones) if sites is None else _near_on_site(zones, sites)
    if not near.size:
        return []
    first, second = near[:, shapely.intersects(zones[near[0]], zones[near[1]])]
    shared = areas(polygons_only(shapely.intersection(zones[first], zones[second])))
    found = [
        Overlap(int(i), int(j), float(area))
        for i, j, area in zip(first, second, shared, strict=True)
        if area > LEAST_OVERLAP_M2
    ]
    return sorted(found)


def counted_once(zones: Shapes, pairs: list[Overlap]) -> Shapes:
    """Return the zones with shared ground left in the zone higher up the table only.

    The very array that is given comes back where no two share any.
    """
    if not pairs:
        return zones
    result = zones.copy()
    by_second = attrgetter("second")
    for second, shared in groupby(sorted(pairs, key=by_second), by_second):
        before = np.array([result[pair.first] for pair in shared])
        result[second] = _less(zones[[second]], before, np.zeros(len(before), dtype=np.intp))[0]
    return result


def without(
    zones: Shapes,
    obstacles: Shapes,
    sites: Places | None = None,
    obstacle_sites: Places | None = None,
) -> Shapes:
    """Return the zones with every obstacle taken out; the very array given where none is in any.

    Parameters
    ----------
    zones : (n,) array of polygons
    obstacles : (m,) array of polygons
        May overlap each other; each square metre is taken out once.
    sites, obstacle_sites : (n,) and (m,) arrays of int, optional
        The site of each: an obstacle is taken out of zones of its own site only.
    """
    if not len(zones) or not len(obstacles):
        return zones
    zone, obstacle = shapely.STRtree(obstacles).query(zones, predicate="intersects")
    if sites is not None and obstacle_sites is not None:
        own = sites[zone] == obstacle_sites[obstacle]
        zone, obstacle = zone[own], obstacle[own]
    order = np.argsort(zone, kind="stable")
    touched, owner = np.unique(zone[order], return_inverse=True)
    if not len(touched):
        return zones
    result = zones.copy()
    result[touched] = _less(zones[touched], obstacles[obstacle[order]], owner)
    return result


def _near(zones: Shapes) -> Places:
    """Return the pairs of zones whose boxes meet, (2, pairs), the first before the second."""
    first, second = shapely.STRtree(zones).query(zones)
    pair = first < second
    return np.stack([first[pair], second[pair]])


def _near_on_site(zones: Shapes, sites: Places) -> Places:
    """Return the pairs of zones of one site whose boxes meet.

    Each is held against the next of its site, then against the one after, and so on.
    """
    found = [np.zeros((2, 0), dtype=np.intp)]
    most = int(np.unique(sites, return_counts=True)[1].max())
    if most == 1:
        return found[0]
    if most > MANY:
        near = _near(zones)
        return near[:, sites[near[0]] == sites[near[1]]]
    order = np.argsort(sites, kind="stable")
    code, boxes = sites[order], shapely.bounds(zones[order])
    for step in range(1, most):
        first = np.flatnonzero(code[:-step] == code[step:])
        one, other = boxes[first], boxes[first + step]
        meet = (one[:, :2] <= other[:, 2:]).all(axis=1) & (other[:, :2] <= one[:, 2:]).all(axis=1)
        found.append(np.stack([order[first[meet]], order[first[meet] + step]]))
    return np.concatenate(found, axis=1)


def _less(zones: Shapes, others: Shapes, owner: Places) -> Shapes:
    """Return zones without some other shapes; `owner` tells in order of which each is to be taken.

    Where two outlines all but share a side, GEOS (3.14) now and then returns a wrong shape without
    a word. So what is left and what went are held against the whole, and done again on a grid of
    a hundredth of a millimetre when they are not it.
    """
    many = len(zones)
    first = np.searchsorted(owner, np.arange(many + 1))
    out, whole = _united(others, first), shapely.area(zones)
    left = np.asarray(shapely.difference(zones, out), dtype=object)
    each = _shared(zones[owner], others)
    most, gone = np.zeros(many), np.bincount(owner, weights=each, minlength=many)
    np.maximum.at(most, owner, each)
    total = gone.copy()
    lapped = shapely.area(out) < (1 - AMISS) * np.bincount(owner, shapely.area(others), many)
    gone[lapped] = shapely.area(shapely.intersection(zones[lapped], out[lapped]))
    allowed = AMISS * whole
    sound = np.abs(shapely.area(left) + gone - whole) <= allowed
    sound &= (most <= gone + allowed) & (gone <= total + allowed)
    for place in np.flatnonzero(~sound):
        own = others[first[place] : first[place + 1]]
        on_grid = shapely.union_all(own, grid_size=GRID_DEG)
        left[place] = shapely.difference(zones[place], on_grid, grid_size=GRID_DEG)
    return left


def _united(shapes: Shapes, first: Places) -> Shapes:
    """Return one shape for each run of shapes from `first` on; runs of one length in one call."""
    lengths = np.diff(first)
    found = np.empty(len(lengths), dtype=object)
    for length in np.unique(lengths):
        here = np.flatnonzero(lengths == length)
        found[here] = shapely.union_all(shapes[first[here, None] + np.arange(length)], axis=1)
    return found


def _shared(zones: Shapes, others: Shapes) -> Floats:
    """Return the area each zone shares with its other shape [square degrees]."""
    shapely.prepare(zones)
    within = shapely.contains_properly(zones, others)
    shapely.destroy_prepared(zones)
    shared = shapely.area(others)
    shared[~within] = shapely.area(shapely.intersection(zones[~within], others[~within]))
    return shared


def polygons_only(shapes: Shapes) -> Shapes:
    """Drop the lines and points in which shapes merely touch."""
    found = np.asarray(shapes, dtype=object).copy()
    for place in np.flatnonzero(~np.isin(shapely.get_type_id(found), POLYGONS)):
        parts = shapely.get_parts(found[place])
        parts = parts[shapely.area(parts) > 0]
        found[place] = shapely.union_all(parts) if len(parts) else shapely.Polygon()
    return found
