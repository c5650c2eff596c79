"""GPX 1.0 and 1.1: each track and each route is a layer, and all waypoints are one."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING, Any, NamedTuple

from lawnmap.errors import InputRefused
from lawnmap.files import xml_text
from lawnmap.files.limits import SITE
from lawnmap.files.numbers import number
from lawnmap.found import Layer
from lawnmap.readers import attributes, walked
from lawnmap.readers import crs as reference_system
from lawnmap.readers.gathering import Gathering
from lawnmap.readers.layers import choose
from lawnmap.readers.net import netted

if TYPE_CHECKING:
    from lawnmap.files.admit import Source
    from lawnmap.files.xml_text import Element
    from lawnmap.found import Found

TITLE = "GPX (recorded track)"
KINDS = ("gpx",)
CHILD = False

NAMESPACES = {
    "",
    "http://www.topografix.com/GPX/1/0",
    "http://www.topografix.com/GPX/1/1",
}
TEXTS = ("name", "cmt", "desc")
LEAST = 2  # points of a line


class Walk(NamedTuple):
    """What is one layer: a track, a route, or all the waypoints."""

    layer: Layer
    elements: list[Element]


@netted
def look(source: Source) -> list[Layer]:
    """List tracks, routes and waypoints."""
    return [walk.layer for walk in _walks(source)]


@netted
def read(
    source: Source,
    *,
    layer: str | None = None,
    crs: str | None = None,
    units: str | None = None,  # noqa: ARG001 - every reader takes it; GPX is always in degrees
) -> Found:
    """Return one track or route as a line, or the waypoints as points.

    A break in reception (a new segment) stays a break: the pieces are not joined here. Points of
    pauses and spikes are left out of tracks, and told; a route was planned, and is left as it is.

    Raises
    ------
    InputRefused
        With track, segment and point.
    """
    walks = _walks(source)
    chosen = choose([walk.layer for walk in walks], layer)
    walk = next(each for each in walks if each.layer.name == chosen.name)
    system = reference_system.agreed(reference_system.LONLAT, crs)
    gathering = Gathering(lonlat=True, metres="GPX is in degrees only; export the track again.")
    for count, element in enumerate(walk.elements, 1):
        if element.name == "wpt":
            properties = _texts(element)
            place = attributes.place("waypoint", count, properties)
            part = {"type": "Point", "coordinates": _position(element, place)}
            gathering.add([part], properties, place)
        else:
            _add_line(gathering, element, walk.layer.name)
    return gathering.found(system)


def _walks(source: Source) -> list[Walk]:
    root = xml_text.parse(source.data, name=source.name)
    if root.name != "gpx" or root.namespace not in NAMESPACES:
        raise InputRefused(
            f"has the root element <{root.name}> of {root.namespace[:60]!r}, which is not GPX 1",
            remedy="Save the track as GPX 1.1.",
        )
    walks: list[Walk] = []
    taken: Counter[str] = Counter()
    for noun, tag in (("track", "trk"), ("route", "rte")):
        for count, element in enumerate(root.every(tag), 1):
            if any(_segments(element)):
                name = _free(
                    f"{noun} {attributes.one_line(element.text_of('name')) or count}", taken
                )
                several = len([each for each in _segments(element) if len(each) >= LEAST]) > 1
                kind = "MultiLineString" if several else "LineString"
                walks.append(Walk(Layer(name, 1, (kind,)), [element]))
            if len(walks) > SITE.zones:
                raise InputRefused(
                    f"holds more than {SITE.zones:,} tracks", remedy="Split it into several files."
                )
    if waypoints := root.every("wpt"):
        walks.append(Walk(Layer("waypoints", len(waypoints), ("Point",)), waypoints))
    return walks


def _free(name: str, taken: Counter[str]) -> str:
    """Return `name`, with a number behind it when it is already taken.

    The last number given to each name is kept: ten thousand tracks may all be called the same.
    """
    free = name
    while free in taken:
        taken[name] += 1
        free = f"{name} ({taken[name]})"
    taken[free] = 1
    return free


def _segments(element: Element) -> list[list[Element]]:
    if element.name == "rte":
        return [element.every("rtept")]
    return [segment.every("trkpt") for segment in element.every("trkseg")]


def _add_line(gathering: Gathering, element: Element, place: str) -> None:
    """Add a track or route: a line, or the several lines that breaks in reception made of it."""
    lines: dict[str, dict[str, Any]] = {}
    segments = _segments(element)
    several = len(segments) > 1
    for count, points in enumerate(segments, 1):
        label = f"segment {count}" if element.name == "trk" else "all points"
        where = f"{place}, {label}"
        line = [_position(each, f"{where}, point {n}") for n, each in enumerate(points, 1)]
        if element.name == "trk":
            told = where if several else place
            line = walked.cleaned(gathering, line, [each.text_of("time") for each in points], told)
        if len(line) >= LEAST:
            lines[label] = {"type": "LineString", "coordinates": line}
        elif line:
            gathering.note("Left out, a segment of a single point", where)
    if len(lines) > 1:
        gathering.warn(f"{place} was broken off: it is in {len(lines)} segments.")
    properties = {**_texts(element), "outline_source": "gps"}
    gathering.add([*lines.values()], properties, place, labels=[*lines])


def _texts(element: Element) -> dict[str, Any]:
    found = {key: element.text_of(key) for key in TEXTS}
    return {key: text for key, text in found.items() if text}


def _position(point: Element, place: str) -> list[float]:
    position: list[float] = []
    for axis, key in (("longitude", "lon"), ("latitude", "lat")):
        where = f"{place} (line {point.line})"
        if key not in point.attributes:
            raise InputRefused(f"has no {axis}", place=where, remedy="Export the track again.")
        try:
            position.append(number(point.attributes[key]))
        except ValueError as error:
            raise InputRefused(
                f"{axis}: {error}", place=where, remedy="Correct the point."
            ) from error
    return position
