"""Changing outlines as a person does on a map: cut, merge, cut a bed out, share a neighbour's line.

Everything works on longitude/latitude directly, so that corners nobody touched stay the doubles
they were; only distances are measured in local metres.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import LineString, MultiPolygon, Point, Polygon
from shapely.ops import split

from lawnmap.geometry.frame import Frame, about

Floats = npt.NDArray[np.float64]
Outline = Polygon | MultiPolygon

GAP_M = 0.02  # between two outlines that are meant to touch: what a mouse misses by, not a path
SLIVER = 0.05  # width over length: thinner parts are slips of the hand
SLIVER_M2 = 0.5


def cut(outline: Outline, line: LineString) -> list[Polygon]:
    """Return the parts into which a drawn line cuts an outline, the largest first.

    The line is carried on straight at both ends by a hand's breadth, since a hand rarely ends it
    exactly on the edge.

    Raises
    ------
    ValueError
        When the line does not cross from edge to edge.
    """
    drawn = _carried_on(line, about(outline))
    whole = shapely.get_parts(outline)
    parts = [
        part
        for polygon in whole
        for part in split(polygon, drawn).geoms
        if isinstance(part, Polygon) and part.area > 0
    ]
    if len(parts) == len(whole):
        raise ValueError("the line does not cross the outline from edge to edge")
    return sorted(parts, key=lambda part: -part.area)


def merge(outlines: Sequence[Outline]) -> Polygon:
    """Return several outlines that touch as one.

    Gaps up to two centimetres are closed; a path between two lawns is not.

    Raises
    ------
    ValueError
        When they do not all hang together along an edge.
    """
    whole = shapely.union_all(list(outlines))
    if not isinstance(whole, Polygon):
        whole = shapely.union_all(_drawn_together(outlines))
    if not isinstance(whole, Polygon):  # a path lies between them, or only a corner is shared
        raise ValueError("the outlines do not touch along an edge")  # noqa: TRY004 - a question of ground
    return whole


def _drawn_together(outlines: Sequence[Outline]) -> list[Outline]:
    """Return outlines with those corners that nearly touch an earlier one moved onto it."""
    fitted: list[Outline] = []
    for outline in outlines:
        moved = _rings_through(outline, partial(_closed_sharing, neighbours=tuple(fitted)))
        fitted = [with_corners_of(each, moved) for each in fitted]
        for each in fitted:
            moved = with_corners_of(moved, each)
        fitted.append(moved)
    return fitted


def cut_out(outline: Outline, bed: Polygon) -> Outline:
    """Return an outline with a bed cut out of it.

    Raises
    ------
    ValueError
        When the bed does not lie on the outline, or nothing would be left.
    """
    left = shapely.difference(outline, bed)
    if not isinstance(left, Polygon | MultiPolygon) or left.is_empty:
        raise ValueError("nothing would be left of the outline")
    if left.equals(outline):
        raise ValueError("the bed does not lie on the outline")
    return left


def sharing(ring: Floats, neighbours: Sequence[Outline], within_m: float) -> Floats:
    """Return a ring's corners moved onto neighbours: onto a corner first, else onto an edge.

    Parameters
    ----------
    ring : (n, 2) array
        Corners, longitude/latitude, the last not repeating the first.
    neighbours : sequence of outlines
    within_m : float
        How near a corner has to be [m].

    Returns
    -------
    (n, 2) array
        A corner that was moved onto another has that corner's very doubles.
    """
    if not neighbours or len(ring) == 0:
        return ring
    frame = Frame(float(ring[0, 0]), float(ring[0, 1]))
    corners = np.unique(shapely.get_coordinates(list(neighbours)), axis=0)
    edges = frame.flat(np.array([shapely.boundary(each) for each in neighbours], dtype=object))
    flat_corners = frame.to_metres(corners)
    moved = ring.copy()
    for index, place in enumerate(frame.to_metres(ring)):
        away = np.hypot(*(flat_corners - place).T)
        nearest = int(away.argmin())
        if away[nearest] <= within_m:
            moved[index] = corners[nearest]
            continue
        point = Point(place)
        distances = shapely.distance(edges, point)
        edge = edges[int(distances.argmin())]
        if distances.min() <= within_m:
            on_edge = edge.interpolate(edge.project(point))
            moved[index] = frame.to_lonlat(shapely.get_coordinates(on_edge))[0]
    return moved


def with_corners_of(outline: Outline, neighbour: Outline, within_m: float = 0.001) -> Outline:
    """Return an outline with those corners of a neighbour added that lie on its edges.

    Two zones share a line only when both have the same corners on it: else a corner dragged in one
    opens a gap to the other.
    """
    frame = about(outline)
    corners = shapely.get_coordinates(neighbour)
    flat = frame.flat(np.array([shapely.boundary(outline)], dtype=object))[0]
    near = shapely.distance(shapely.points(frame.to_metres(corners)), flat) <= within_m
    here = {tuple(each) for each in shapely.get_coordinates(outline)}
    wanted = [each for each in np.unique(corners[near], axis=0) if tuple(each) not in here]
    if not wanted:
        return outline

    return _rings_through(
        outline, lambda ring: _with_points(ring, np.array(wanted), frame, within_m)
    )


def is_sliver(outline: Outline) -> bool:
    """Tell a slip of the hand from a zone: very small, or long and hardly any width.

    The width is that of the rectangle with the same area and edge.
    """
    flat = about(outline).flat(np.array([outline], dtype=object))[0]
    half = flat.length / 2
    root = float(np.sqrt(max(half * half - 4 * flat.area, 0.0)))
    width, length = (half - root) / 2, (half + root) / 2
    return bool(flat.area < SLIVER_M2 or (width < 0.1 and width < SLIVER * length))  # noqa: PLR2004 - 10 cm


def _carried_on(line: LineString, frame: Frame, by_m: float = 0.1) -> LineString:
    """Return a line carried on straight at both ends."""
    points = frame.to_metres(shapely.get_coordinates(line))
    ends = []
    for tip, before in ((points[0], points[1]), (points[-1], points[-2])):
        along = tip - before
        length = float(np.hypot(*along))
        if length == 0:
            raise ValueError("the line has no length")
        ends.append(tip + along / length * by_m)
    first, last = frame.to_lonlat(np.array(ends))
    return LineString([first, *shapely.get_coordinates(line), last])


def _closed_sharing(ring: Floats, neighbours: Sequence[Outline]) -> Floats:
    moved = sharing(ring[:-1], neighbours, within_m=GAP_M)
    return np.vstack([moved, moved[:1]])


def _rings_through(outline: Outline, change: Callable[[Floats], Floats]) -> Outline:
    """Return an outline with each closed ring of corners changed."""
    parts = [
        Polygon(
            change(shapely.get_coordinates(part.exterior)),
            [change(shapely.get_coordinates(hole)) for hole in part.interiors],
        )
        for part in shapely.get_parts(outline)
    ]
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)


def _with_points(ring: Floats, extra: Floats, frame: Frame, within_m: float) -> Floats:
    """Return a closed ring with points put in where they lie on its edges."""
    flat, spots = frame.to_metres(ring), frame.to_metres(extra)
    result = [ring[0]]
    for index in range(len(ring) - 1):
        start, along = flat[index], flat[index + 1] - flat[index]
        length = float(np.hypot(*along))
        if length > 0:
            offset = spots - start
            at = offset @ along / length
            off = np.abs(offset @ np.array([-along[1], along[0]])) / length
            on = np.flatnonzero((off <= within_m) & (at > within_m) & (at < length - within_m))
            result += [extra[each] for each in on[np.argsort(at[on])]]
        result.append(ring[index + 1])
    return np.array(result)
