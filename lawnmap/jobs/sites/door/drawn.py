"""Shapes made of nested lists of coordinates, very many at once, their structure checked."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import chain
from typing import Any

import numpy as np
import numpy.typing as npt
import shapely

from lawnmap.errors import InputRefused
from lawnmap.jobs.sites.door.trouble import Trouble
from lawnmap.readers.coordinates import Coordinates

Shapes = npt.NDArray[np.object_]
Counts = npt.NDArray[np.intp]
Positions = npt.NDArray[np.float64]

GEOMETRY = "geometry"
PLANE = {2}  # numbers of a position
LEAST_OF_RING, LEAST_OF_LINE = 4, 2  # positions


def drawn(geometries: Sequence[Mapping[str, Any]]) -> Shapes:
    """Return shapes from geometries that are sound in structure.

    Raises
    ------
    TypeError, ValueError, KeyError, OverflowError
        When one is not.
    """
    result = np.empty(len(geometries), dtype=object)
    places: dict[str, list[int]] = {}
    for place, each in enumerate(geometries):
        places.setdefault(each["type"], []).append(place)
    for kind, own in places.items():
        result[own] = MAKERS[kind]([geometries[place]["coordinates"] for place in own])
    return result


def alone(geometry: Any, row: int, trouble: Trouble) -> Any:
    """Return one shape, or say what is wrong with it."""
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if not isinstance(kind, str) or kind not in MAKERS:
        said = f"is a {str(kind)[:40]}, which is not read" if kind else "has no type"
        trouble.add(row, GEOMETRY, f"its shape {said}")
        return None
    try:
        whole = Coordinates(lonlat=False).checked(geometry, "")
        return None if whole is None else drawn([geometry])[0]
    except InputRefused as error:
        place = error.place.removeprefix(", ")
        trouble.add(row, GEOMETRY, f"{place}: {error.problem}" if place else error.problem)
    except (TypeError, ValueError, OverflowError, RecursionError):
        trouble.add(row, GEOMETRY, f"its coordinates are not nested as a {kind} wants")
    return None


def _points(bodies: list[Any]) -> Shapes:
    return np.asarray(shapely.points(_positions(bodies)), dtype=object)


def _lines(bodies: list[Any]) -> Shapes:
    sizes = _lengths(bodies)
    if (sizes < LEAST_OF_LINE).any():
        _refuse()
    xy = _positions(list(chain.from_iterable(bodies)))
    return np.asarray(shapely.linestrings(xy, indices=_owners(sizes)), dtype=object)


def _several_lines(bodies: list[Any]) -> Shapes:
    members = _lines(list(chain.from_iterable(bodies))) if any(map(len, bodies)) else _NONE
    return _gathered(shapely.multilinestrings, members, _lengths(bodies))


def _polygons(bodies: list[Any]) -> Shapes:
    rings = list(chain.from_iterable(bodies))
    sizes = _lengths(rings)
    xy = _positions(list(chain.from_iterable(rings)))
    ends = np.cumsum(sizes)
    if (sizes < LEAST_OF_RING).any() or (xy[ends - sizes] != xy[ends - 1]).any():
        _refuse()
    loops = np.asarray(shapely.linearrings(xy, indices=_owners(sizes)), dtype=object)
    return _gathered(shapely.polygons, loops, _lengths(bodies))


def _several_polygons(bodies: list[Any]) -> Shapes:
    members = _polygons(list(chain.from_iterable(bodies)))
    return _gathered(shapely.multipolygons, members, _lengths(bodies))


MAKERS: Mapping[str, Callable[[list[Any]], Shapes]] = {
    "Point": _points,
    "LineString": _lines,
    "MultiLineString": _several_lines,
    "Polygon": _polygons,
    "MultiPolygon": _several_polygons,
}
_NONE = np.zeros(0, dtype=object)


def _positions(positions: list[Any]) -> Positions:
    """Return positions as an array, their heights left out."""
    if set(map(len, positions)) - PLANE:
        positions = [each[:2] for each in positions if len(each) > 1 or _refuse()]
    numbers = list(chain.from_iterable(positions))
    # Exact types: true is an int to Python, and "1" a number to NumPy.
    if set(map(type, numbers)) - {float, int}:
        _refuse()
    xy = np.fromiter(numbers, dtype=np.float64, count=len(numbers)).reshape(-1, 2)
    if not np.isfinite(xy).all():
        _refuse()
    return xy


def _lengths(lists: Sequence[Any]) -> Counts:
    return np.fromiter(map(len, lists), dtype=np.intp, count=len(lists))


def _owners(counts: Counts) -> Counts:
    """Return for each piece which whole it is of."""
    return np.repeat(np.arange(len(counts)), counts)


def _gathered(make: Callable[..., Any], pieces: Shapes, counts: Counts) -> Shapes:
    """Make shapes of so many pieces each; None for those without one."""
    made = np.full(len(counts), None, dtype=object)
    if len(pieces):
        make(pieces, indices=_owners(counts), out=made)
    return made


def _refuse() -> bool:
    raise ValueError
