"""Strips along things, and zones parted by them: what lies outside all, and what in which."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.geometry.frame import flats, middles, rounds
from lawnmap.geometry.overlay import polygons_only

Shapes = npt.NDArray[np.object_]
Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.intp]

SEGMENTS = 16  # to a quarter circle: a strip is never narrower than its width, and 0.13 % wider
STEP_DEG, STEP_M = 1e-4, 10.0  # a side so long is straight in degrees and in metres to a micrometre
METRES_A_DEGREE = 110_000.0  # of latitude, rounded down


class Parted(NamedTuple):
    """Zones parted by strips.

    Attributes
    ----------
    outside : (n,) array of polygons
        What of each zone lies in no strip; empty where nothing does.
    zone, group : (k,) arrays of int
        Zone and group of each piece that lies in strips, by zone and then by group.
    pieces : (k,) array of polygons
        No two of one zone overlap: ground in several groups is in the first of them.
    """

    outside: Shapes
    zone: Places
    group: Places
    pieces: Shapes


class Sites(NamedTuple):
    """Whose each zone and each strip is, where they are of many sites: arrays of int."""

    zones: Places
    strips: Places


def around(things: Shapes, widths_m: Floats) -> Shapes:
    """Return the ground within a distance of each thing, the thing included.

    Each is drawn in metres about itself, so that widths are true wherever on earth it lies.

    Parameters
    ----------
    things : (m,) array of shapes of any kind
        Longitude/latitude [°].
    widths_m : (m,) array
        Distance [m]; nothing is around a thing whose distance is not above zero.

    Returns
    -------
    (m,) array of polygons
        Longitude/latitude [°]. The circle of a corner is a polygon about the true one.
    """
    found = np.full(len(things), shapely.Polygon(), dtype=object)
    some = (np.asarray(widths_m) > 0) & ~shapely.is_empty(things)
    if some.any():
        flat = flats(shapely.segmentize(things[some], STEP_DEG))
        wide = np.asarray(widths_m, dtype=np.float64)[some] / np.cos(np.pi / 4 / SEGMENTS)
        strips = shapely.segmentize(shapely.buffer(flat, wide, quad_segs=SEGMENTS), STEP_M)
        found[some] = rounds(strips, middles(things[some]))
    return found


def near(zones: Shapes, things: Shapes, widths_m: Floats) -> npt.NDArray[np.bool_]:
    """Tell which things may have a zone within their distance; the others surely have none."""
    close = np.zeros(len(things), dtype=bool)
    if len(zones) and len(things):
        west, south, east, north = shapely.bounds(things).T
        high = np.asarray(widths_m, dtype=np.float64) / METRES_A_DEGREE
        steepest = np.clip(np.maximum(np.abs(south - high), np.abs(north + high)), 0.0, 89.9)
        wide = high / np.cos(np.radians(steepest))
        boxes = shapely.box(west - wide, south - high, east + wide, north + high)
        close[shapely.STRtree(zones).query(boxes, predicate="intersects")[0]] = True
    return close


def part(zones: Shapes, strips: Shapes, group: Places, sites: Sites | None = None) -> Parted:
    """Part zones by strips.

    Parameters
    ----------
    zones : (n,) array of polygons
        Longitude/latitude [°].
    strips : (m,) array of polygons
        May overlap.
    group : (m,) array of int
        Strips of one group are one: the order of things within it counts for nothing.
    sites : Sites, optional
        Whose the zones and the strips are, where they are of many: none parts another's.
    """
    outside = zones.copy()
    if not len(zones) or not len(strips):
        return Parted(outside, *_none())
    zone, strip = shapely.STRtree(strips).query(zones, predicate="intersects")
    if sites is not None:
        own = sites.zones[zone] == sites.strips[strip]
        zone, strip = zone[own], strip[own]
    pairs, pair = np.unique(np.column_stack([zone, group[strip]]), axis=0, return_inverse=True)
    joined = _joined(strips[strip], pair.ravel(), len(pairs))
    turn = _turns(pairs[:, 0])
    pieces = np.full(len(pairs), shapely.Polygon(), dtype=object)
    for each in range(int(turn.max(initial=-1)) + 1):
        now = np.flatnonzero(turn == each)
        here = pairs[now, 0]
        pieces[now] = polygons_only(shapely.intersection(outside[here], joined[now]))
        outside[here] = polygons_only(shapely.difference(outside[here], joined[now]))
    kept = ~shapely.is_empty(pieces)
    return Parted(outside, pairs[kept, 0], pairs[kept, 1], pieces[kept])


def discs(middles: Floats, radii_m: Floats) -> Shapes:
    """Return circles of the true area on the ground, as polygons in longitude/latitude.

    Parameters
    ----------
    middles : (n, 2) array
        Longitude and latitude [°].
    radii_m : (n,) array
        [m].
    """
    n = 4 * SEGMENTS
    equal_area = radii_m * np.sqrt(2 * np.pi / n / np.sin(2 * np.pi / n))
    angle = 2 * np.pi * np.arange(n) / n
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    return rounds(shapely.polygons(equal_area[:, None, None] * circle), middles)


def _none() -> tuple[Places, Places, Shapes]:
    return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp), np.zeros(0, dtype=object)


def _joined(strips: Shapes, pair: Places, count: int) -> Shapes:
    """Return one shape for each pair of a zone and a group; `pair` tells whose each strip is."""
    order = np.argsort(pair, kind="stable")
    starts = np.searchsorted(pair[order], np.arange(count + 1))
    own = strips[order]
    joined = own[starts[:-1]]
    for each in np.flatnonzero(np.diff(starts) > 1):
        joined[each] = shapely.union_all(own[starts[each] : starts[each + 1]])
    return np.asarray(joined, dtype=object)


def _turns(zone: Places) -> Places:
    """Return for sorted zones how many rows of the same zone stand before each."""
    first = np.searchsorted(zone, zone, side="left")
    return np.asarray(np.arange(len(zone)) - first, dtype=np.intp)
