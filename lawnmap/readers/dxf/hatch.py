"""Hatches: areas with holes, from loops that say little about each other.

Which loop is a hole is told by which lies in which, as the hatch is drawn: every second one, only
the outermost, or none, by its style.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
import shapely
from ezdxf.entities.boundary_paths import ArcEdge, EllipseEdge, LineEdge, SplineEdge
from ezdxf.math import Vec3

from lawnmap.readers.dxf import curves as dxf_curves
from lawnmap.readers.dxf.curves import Floats

TEXT_BOX = 8  # a loop that keeps the hatching off a text: the ground under it is not left out
OUTERMOST, WHOLE = 1, 2  # styles; 0 is every second one
POLYLINE = 1


def loops(entity: Any) -> list[Floats]:
    """Return the loops of a hatch, each as (n, 2) corners in the plane of the hatch."""
    found = []
    for path in entity.paths:
        if path.path_type_flags & TEXT_BOX:
            continue
        if path.type == POLYLINE:
            corners = np.array(path.vertices, dtype=np.float64).reshape(-1, 3)
            if len(corners):
                bulges = corners[:, 2].tolist()
                found.append(dxf_curves.bulged(corners[:, :2], bulges, closed=True))
        else:
            found.append(in_line([_edge(each) for each in path.edges]))
    return [loop for loop in found if len(loop) > 1]


def in_line(edges: Sequence[Floats]) -> Floats:
    """Return edges end to end, each turned round where its other end is nearer."""
    if not edges:
        return np.empty((0, 2))
    first = edges[0]
    if len(edges) > 1 and _away(first[0], edges[1]) < _away(first[-1], edges[1]):
        first = first[::-1]
    line = [first]
    for edge in edges[1:]:
        end = line[-1][-1]
        turned = math.dist(end, edge[-1]) < math.dist(end, edge[0])
        line.append(edge[::-1] if turned else edge)
    return np.vstack(line)


def _away(point: Floats, edge: Floats) -> float:
    return min(math.dist(point, edge[0]), math.dist(point, edge[-1]))


def _edge(edge: Any) -> Floats:
    """Return one edge of a loop as corners, in whatever direction."""
    if isinstance(edge, LineEdge):
        return _array([edge.start, edge.end])
    if isinstance(edge, ArcEdge):
        axes = np.eye(2) * edge.radius
        return _curve(edge.center, axes[0], axes[1], edge.start_angle, edge.end_angle)
    if isinstance(edge, EllipseEdge):
        major = np.array([edge.major_axis.x, edge.major_axis.y])
        minor = np.array([-major[1], major[0]]) * edge.ratio
        start, end = math.degrees(edge.start_param), math.degrees(edge.end_param)
        return _curve(edge.center, major, minor, start, end)
    if isinstance(edge, SplineEdge) and not edge.control_points:
        fit = Vec3.list(edge.fit_points)
        return dxf_curves.through(fit, closed=bool(edge.periodic))[:, :2]
    return dxf_curves.spline(edge.construction_tool())[:, :2]


def _curve(centre: Any, major: Floats, minor: Floats, start: float, end: float) -> Floats:
    begin = math.radians(start)
    sweep = dxf_curves.sweep_of(begin, math.radians(end))
    return dxf_curves.arc(np.array([centre.x, centre.y]), major, minor, begin, sweep)


def _array(points: Iterable[Any]) -> Floats:
    return np.array([(each.x, each.y) for each in points], dtype=np.float64)


def nested(rings: Sequence[shapely.Polygon], style: int) -> list[shapely.Polygon]:
    """Return the areas that loops stand for, each with its holes.

    Parameters
    ----------
    rings : sequence of Polygon
        Without holes.
    style : int
        0 for every second loop a hole, 1 for the outermost two only, 2 for no holes.
    """
    order = sorted(rings, key=lambda ring: -ring.area)
    depth, parent = _within(order)
    holes: dict[int | None, list[shapely.LinearRing]] = defaultdict(list)
    for index, ring in enumerate(order):
        holes[parent[index]].append(ring.exterior)
    return [
        shapely.Polygon(ring.exterior, [] if style == WHOLE else holes[index])
        for index, ring in enumerate(order)
        if depth[index] == 0 or (depth[index] % 2 == 0 and style not in {OUTERMOST, WHOLE})
    ]


def _within(rings: Sequence[shapely.Polygon]) -> tuple[list[int], list[int | None]]:
    """Return how many rings each lies in, and the smallest of them; the largest comes first."""
    tree = shapely.STRtree(list(rings))
    depth: list[int] = []
    parent: list[int | None] = []
    for index, ring in enumerate(rings):
        # A point on the way round: rings of one hatch may touch, but do not cross.
        middle = shapely.point_on_surface(ring)
        around = [int(n) for n in tree.query(middle, predicate="within") if n < index]
        depth.append(len(around))
        parent.append(max(around, default=None))
    return depth, parent
