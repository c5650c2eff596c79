"""The geometries of KML (OGC 07-147r2, 10) as GeoJSON has them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from lawnmap.errors import InputRefused
from lawnmap.files.limits import SITE
from lawnmap.files.numbers import number
from lawnmap.readers.coordinates import too_many

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lawnmap.files.xml_text import Element

KINDS = {
    "Point": "Point",
    "LineString": "LineString",
    "LinearRing": "LineString",
    "Polygon": "Polygon",
}
# What a placemark may show that is not an outline we can use.
NO_OUTLINES = {"Track", "MultiTrack", "Model"}


def kinds(element: Element) -> Iterator[str]:
    """Yield the kinds of geometry of a placemark, by GeoJSON's names, without reading any."""
    for child in element.children:
        if child.namespace == element.namespace:
            if child.name == "MultiGeometry":
                yield from kinds(child)
            elif child.name in KINDS:
                yield KINDS[child.name]


def no_outlines(element: Element) -> Iterator[str]:
    """Yield the names of what a placemark or MultiGeometry holds that is left out."""
    for child in element.children:
        if child.name == "MultiGeometry":
            yield from no_outlines(child)
        elif child.name in NO_OUTLINES:
            yield child.name


def geometries(element: Element) -> Iterator[dict[str, Any]]:
    """Yield the geometries of a placemark or MultiGeometry, however deep.

    Raises
    ------
    InputRefused
        With the line, for numbers, positions and rings that are not as KML has them.
    """
    for child in element.children:
        if child.namespace != element.namespace:
            continue
        if child.name == "MultiGeometry":
            yield from geometries(child)
        elif child.name == "Polygon":
            yield {"type": "Polygon", "coordinates": _rings(child)}
        elif child.name == "Point":
            positions = _positions(child)
            if len(positions) > 1:
                raise _at(child, "is a Point with more than one position")
            yield {"type": "Point", "coordinates": positions[0] if positions else []}
        elif child.name == "LineString":
            yield {"type": "LineString", "coordinates": _positions(child)}
        elif child.name == "LinearRing":
            yield {"type": "LineString", "coordinates": _ring(child)}


def _rings(polygon: Element) -> list[list[list[float]]]:
    outer, inner = (
        [ring for edge in polygon.every(tag) for ring in edge.every("LinearRing")]
        for tag in ("outerBoundaryIs", "innerBoundaryIs")
    )
    if len(outer) != 1:
        raise _at(polygon, f"has {len(outer)} outer rings instead of one")
    return [_ring(ring) for ring in (*outer, *inner)]


def _ring(element: Element) -> list[list[float]]:
    positions = _positions(element)
    if positions and positions[0][:2] != positions[-1][:2]:
        raise _at(element, "the ring does not end where it begins")
    return positions


def _positions(geometry: Element) -> list[list[float]]:
    """Read ``longitude,latitude[,height]`` with blanks between positions."""
    element = geometry.first("coordinates")
    if element is None:
        return []
    positions: list[list[float]] = []
    for match in re.finditer(r"\S+", element.text):
        try:
            positions.append(_position(match[0]))
        except ValueError as error:
            below = element.text.count("\n", 0, match.start())
            raise _at(element, str(error), below=below) from error
        if len(positions) > SITE.vertices:
            raise too_many()
    return positions


def _position(text: str) -> list[float]:
    parts = text.split(",")
    if len(parts) not in {2, 3}:
        raise ValueError(f"{text[:60]!r} is not longitude,latitude[,height]")
    return [number(part) for part in parts]


def _at(element: Element, problem: str, *, below: int = 0) -> InputRefused:
    return InputRefused(
        problem, place=f"line {element.line + below}", remedy="Correct it and read the file again."
    )
