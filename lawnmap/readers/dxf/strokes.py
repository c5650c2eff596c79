"""One entity as strokes: rows of corners in its own space, closed or open."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

import numpy as np
from ezdxf.math import Vec3

from lawnmap.readers.dxf import curves as dxf_curves
from lawnmap.readers.dxf.curves import Floats

HELPER_VERTEX = 16  # of a polyline: a control point of the curve that is drawn


class Stroke(NamedTuple):
    """A line as it is drawn, in chords.

    Attributes
    ----------
    points : (n, 3) array
        A closed one need not repeat its first corner.
    closed : bool
    """

    points: Floats
    closed: bool


def strokes(entity: Any) -> list[Stroke] | None:
    """Return the strokes of an entity in the coordinates of the space it stands in.

    None for a kind that is no line; hatches and points are not lines either.
    """
    convert = CONVERT.get(entity.dxftype())
    return None if convert is None else convert(entity)


def in_space(entity: Any, flat: Floats, elevation: float = 0.0) -> Floats:
    """Return (n, 2) coordinates of the entity's own plane as (n, 3) of the space it stands in."""
    ocs = entity.ocs()
    level = np.full((len(flat), 1), elevation)
    if not ocs.transform:
        return np.hstack([flat, level])
    axes = np.array([ocs.ux.xyz, ocs.uy.xyz, ocs.uz.xyz])
    turned: Floats = np.hstack([flat, level]) @ axes
    return turned


def _line(entity: Any) -> list[Stroke]:
    return [Stroke(_array([entity.dxf.start, entity.dxf.end]), closed=False)]


def _circle(entity: Any) -> list[Stroke]:
    return [Stroke(_round(entity, 0.0, math.tau), closed=True)]


def _arc(entity: Any) -> list[Stroke]:
    start, end = math.radians(entity.dxf.start_angle), math.radians(entity.dxf.end_angle)
    return [Stroke(_round(entity, start, dxf_curves.sweep_of(start, end)), closed=False)]


def _round(entity: Any, start: float, sweep: float) -> Floats:
    x, y, z = entity.dxf.center.xyz
    radius = float(entity.dxf.radius)
    axes = np.eye(2) * radius
    return in_space(entity, dxf_curves.arc(np.array([x, y]), axes[0], axes[1], start, sweep), z)


def _ellipse(entity: Any) -> list[Stroke]:
    # Centre and axis of an ellipse are in the space itself, unlike those of a circle.
    major = entity.dxf.major_axis
    minor = entity.dxf.extrusion.normalize().cross(major) * entity.dxf.ratio
    start, end = float(entity.dxf.start_param), float(entity.dxf.end_param)
    sweep = dxf_curves.sweep_of(start, end)
    centre, *axes = _array([entity.dxf.center, major, minor])
    points = dxf_curves.arc(centre, axes[0], axes[1], start, sweep)
    return [Stroke(points, closed=sweep == math.tau)]


def _lwpolyline(entity: Any) -> list[Stroke]:
    corners = np.array(entity.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
    if not len(corners):
        return []
    elevation = entity.dxf.elevation
    level = float(elevation if isinstance(elevation, float | int) else elevation[2])
    return [_polyline(entity, corners[:, :2], corners[:, 2], level, closed=bool(entity.closed))]


def _old_polyline(entity: Any) -> list[Stroke] | None:
    if entity.is_poly_face_mesh or entity.is_polygon_mesh:
        return None
    drawn = [each for each in entity.vertices if not each.dxf.flags & HELPER_VERTEX]
    if not drawn:
        return []
    points = _array([each.dxf.location for each in drawn])
    if entity.is_3d_polyline:
        return [Stroke(points, closed=bool(entity.is_closed))]
    bulges = np.array([each.dxf.bulge for each in drawn], dtype=np.float64)
    level = float(entity.dxf.elevation.z)
    return [_polyline(entity, points[:, :2], bulges, level, closed=bool(entity.is_closed))]


def _polyline(
    entity: Any, corners: Floats, bulges: Floats, level: float, *, closed: bool
) -> Stroke:
    flat = dxf_curves.bulged(corners, bulges.tolist(), closed=closed)
    return Stroke(in_space(entity, flat, level), closed)


def _spline(entity: Any) -> list[Stroke]:
    if entity.control_point_count() or (
        entity.dxf.hasattr("start_tangent") and entity.dxf.hasattr("end_tangent")
    ):
        points = dxf_curves.spline(entity.construction_tool())
    else:
        points = dxf_curves.through(Vec3.list(entity.fit_points), closed=bool(entity.closed))
    return [Stroke(points, bool(entity.closed))]


def _solid(entity: Any) -> list[Stroke]:
    # The third and fourth corner are stored crosswise; a triangle repeats its third.
    corners = _array([entity.dxf.vtx0, entity.dxf.vtx1, entity.dxf.vtx3, entity.dxf.vtx2])
    return [Stroke(in_space(entity, corners[:, :2], float(corners[0, 2])), closed=True)]


def _array(points: Iterable[Any]) -> Floats:
    return np.array([Vec3(each).xyz for each in points], dtype=np.float64)


CONVERT: dict[str, Callable[[Any], list[Stroke] | None]] = {
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LINE": _line,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _old_polyline,
    "SOLID": _solid,
    "SPLINE": _spline,
    "TRACE": _solid,
}
