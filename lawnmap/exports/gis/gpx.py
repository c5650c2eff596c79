"""Places to walk to, for a phone or a hand-held receiver (GPX 1.1)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple
from xml.etree import ElementTree as ET

from lawnmap.exports.gis.tables import refuse_without_place
from lawnmap.exports.wording.amounts import text
from lawnmap.pages.escape import clean
from lawnmap.pages.words import known, word
from lawnmap.paper import Paper

TITLE = "places to walk to, for a phone (GPX)"
SUFFIX = ".gpx"
AUDIENCE = "crew"

SPACE = "http://www.topografix.com/GPX/1/1"
DECIMALS = 8  # of a degree: 1 mm on the ground
SHOWN = ("access", "supply", "drain", "hidden")  # points a crew looks for


class Place(NamedTuple):
    """One waypoint: longitude and latitude [°], its name, and what is there."""

    longitude: float
    latitude: float
    name: str
    about: str = ""


def render(paper: Paper) -> bytes:
    """Return the middle of each zone, gates, taps, drains and hidden points, and places for cores.

    Parameters
    ----------
    paper : Paper
        Already cut down to its audience.

    Raises
    ------
    InputRefused
        For a schematic, or a site without a place on the earth.
    """
    refuse_without_place(paper)
    places = [*_zones(paper), *_features(paper), *_cores(paper)]
    return gpx(places, paper.plan.site.title)


def gpx(places: Iterable[Place], title: str) -> bytes:
    """Return waypoints as a GPX 1.1 document, UTF-8.

    Characters that no XML document may hold are left out of words.
    """
    root = ET.Element("gpx", {"xmlns": SPACE, "version": "1.1", "creator": "lawnmap"})
    ET.SubElement(ET.SubElement(root, "metadata"), "name").text = clean(title)
    for each in places:
        where = {
            "lat": f"{each.latitude:.{DECIMALS}f}",
            "lon": f"{each.longitude:.{DECIMALS}f}",
        }
        point = ET.SubElement(root, "wpt", where)
        ET.SubElement(point, "name").text = clean(each.name)
        if each.about:
            ET.SubElement(point, "desc").text = clean(each.about)
    ET.indent(root)
    data: bytes = ET.tostring(root, encoding="UTF-8", xml_declaration=True)
    return data + b"\n"


def _zones(paper: Paper) -> Iterator[Place]:
    zones = paper.plan.zones
    for number, (zone_id, shape) in enumerate(zones.geometry.items(), start=1):
        middle = shape.representative_point()
        name = text(zones["name"].get(zone_id)) if "name" in zones.columns else ""
        yield Place(middle.x, middle.y, f"{number} {name or zone_id}")


def _features(paper: Paper) -> Iterator[Place]:
    table = paper.plan.site.features
    for kind, name, shape in zip(table["feature"], table["name"], table.geometry, strict=True):
        if kind in SHOWN and shape.geom_type == "Point":
            yield Place(shape.x, shape.y, text(name) or known("feature", kind))


def _cores(paper: Paper) -> Iterator[Place]:
    layer = paper.plan.layers.get("core_places")
    if layer is not None:
        for zone_id, number, place in zip(
            layer["zone_id"], layer["number"], layer.geometry, strict=True
        ):
            yield core(zone_id, number, place.x, place.y)


def core(zone_id: str, number: int, longitude: float, latitude: float) -> Place:
    """Return the waypoint of a place for a core."""
    return Place(longitude, latitude, word("gpx.core", zone=zone_id, number=number))
