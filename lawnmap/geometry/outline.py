"""GeoJSON geometry objects to shapes and back, with the place of whatever is wrong."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import shapely
from shapely.geometry import mapping, shape
from shapely.geometry.base import BaseGeometry

from lawnmap.errors import InputRefused

RING = 4  # positions of the smallest closed ring (RFC 7946, 3.1.6)
TYPES = ("Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon")


def build(geometry: dict[str, Any]) -> BaseGeometry:
    """Return the shape of a GeoJSON geometry object, x and y only.

    Raises
    ------
    InputRefused
        With ring and point, for a position that is not two finite numbers, a line of one point, or
        a ring that is short or open. Whether rings cross is asked in
        :mod:`lawnmap.geometry.validity`.
    """
    kind = geometry.get("type")
    if kind not in TYPES:
        raise InputRefused(f"the geometry type {kind!r} is not one a site plan can hold")
    coordinates = geometry.get("coordinates")
    if not isinstance(coordinates, list) or not coordinates:
        raise InputRefused("the geometry is empty")
    for place, positions in _chains(kind, coordinates):
        for number, position in enumerate(positions, start=1):
            _check_position(position, f"{place}point {number}")
        _check_chain(kind, place, positions)
    flat = shapely.force_2d(shape({"type": kind, "coordinates": coordinates}))
    if kind.endswith("Polygon"):
        try:
            flat = shapely.remove_repeated_points(flat)
        except shapely.errors.GEOSException as error:  # fewer than three corners are left
            raise InputRefused("has no area", remedy="Draw it again.") from error
    return flat


def _chains(kind: str, coordinates: list[Any]) -> Iterator[tuple[str, list[Any]]]:
    """Yield each run of positions with the words that lead to it."""
    if kind == "Point":
        yield "", [coordinates]
    elif kind in {"MultiPoint", "LineString"}:
        yield "", coordinates
    elif kind in {"MultiLineString", "Polygon"}:
        word = "ring" if kind == "Polygon" else "line"
        for number, chain in enumerate(coordinates, start=1):
            yield f"{word} {number}, ", _listed(chain, f"{word} {number}")
    else:
        for part, polygon in enumerate(coordinates, start=1):
            for number, ring in enumerate(_listed(polygon, f"part {part}"), start=1):
                yield f"part {part}, ring {number}, ", _listed(ring, f"part {part}, ring {number}")


def _listed(value: Any, place: str) -> list[Any]:
    if not isinstance(value, list):
        raise InputRefused("is not a list of positions", place=place)
    return value


def _check_position(position: Any, place: str) -> None:
    if not isinstance(position, list | tuple) or len(position) < 2:  # noqa: PLR2004 - x and y
        raise InputRefused("is not a position of two numbers", place=place)
    for axis, value in zip(("x (longitude)", "y (latitude)"), position[:2], strict=True):
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise InputRefused(f"{axis} is not a number", place=place)
        if not math.isfinite(value):
            raise InputRefused(f"{axis} is not a finite number", place=place)


def _check_chain(kind: str, place: str, positions: list[Any]) -> None:
    place = place.removesuffix(", ")
    if kind.endswith("LineString") and len(positions) < 2:  # noqa: PLR2004 - a line has two ends
        raise InputRefused("a line needs at least two points", place=place)
    if kind.endswith("Polygon"):
        if len(positions) < RING:
            raise InputRefused("a ring needs at least four points", place=place)
        if list(positions[0][:2]) != list(positions[-1][:2]):
            raise InputRefused("the ring is not closed", place=place)


def as_geojson(geometry: BaseGeometry) -> dict[str, Any]:
    """Return the GeoJSON object of a shape, with right-hand rings (RFC 7946, 3.1.6).

    Examples
    --------
    >>> as_geojson(shapely.Polygon([(0, 0), (0, 1), (1, 1)]))["coordinates"]
    [[[0.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.0, 0.0]]]
    """
    turned = shapely.orient_polygons(geometry, exterior_cw=False)
    found = mapping(turned)
    return {"type": found["type"], "coordinates": _lists(found["coordinates"])}


def _lists(value: Any) -> Any:
    # Parts of a MultiPolygon come in a list already, and what is in them does not.
    return [_lists(item) for item in value] if isinstance(value, tuple | list) else value


def close(line: BaseGeometry) -> tuple[BaseGeometry, Any]:
    """Return the polygon a line of three or more points bounds, and the side that was added.

    Returns
    -------
    polygon : Polygon
        The line with its ends joined.
    joined : LineString or None
        The side added between last and first point; None when the line was closed already.
    """
    points = shapely.get_coordinates(line)
    closed = bool((points[0] == points[-1]).all())
    if len(points) - closed < RING - 1:
        raise InputRefused("an outline needs at least three different points")
    ring = points if closed else np.vstack([points, points[:1]])
    joined = None if closed else shapely.LineString([points[-1], points[0]])
    return shapely.Polygon(ring), joined
